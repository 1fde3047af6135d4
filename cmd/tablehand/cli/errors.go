package cli

import (
	"errors"
	"io/fs"

	"tablehand/server/desk"
	"tablehand/server/secure"
	"tablehand/server/store"
	"tablehand/stations"
)

// sentence says in the catalogue's words what kept a command from its work and what to do; what the catalogue
// doesn't know is told as it is.
func (e *env) sentence(err error) string {
	var (
		refusal *stations.Refusal
		inUse   *store.InUseError
		version *store.VersionError
		folder  *store.FolderError
		audit   *store.AuditError
		upgrade *store.UpgradeError
		backup  *store.BackupError
		path    *fs.PathError
	)
	var open *secure.OpenKeyError
	var export *desk.ReadBackError
	say := e.words.T
	switch {
	case errors.As(err, &open):
		return say("cli.error.open_key", "File", open.File)
	case errors.As(err, &export):
		return say("cli.read_back."+string(export.Fault), "Where", export.Where, "Cause", orEmpty(export.Err)) + " " + say("cli.read_back.nothing")
	case errors.As(err, &refusal):
		return e.words.Refusal(refusal)
	case errors.As(err, &backup):
		return say("cli.error.backup", "File", backup.File, "Cause", e.backupCause(backup.Err))
	case errors.As(err, &inUse):
		return say("cli.error.in_use", "Dir", inUse.Dir)
	case errors.As(err, &version) && version.Newer():
		return say("cli.error.newer", "Has", version.Has, "Knows", version.Knows)
	case errors.As(err, &version):
		return say("cli.error.older", "Has", version.Has, "Knows", version.Knows)
	case errors.As(err, &upgrade):
		return say("cli.error.upgrade", "Count", len(upgrade.Differences), "First", upgrade.Differences[0].String())
	case errors.As(err, &audit):
		return say("cli.error.copy", "File", audit.File, "Count", len(audit.Differences), "First", audit.Differences[0].String())
	case store.FaultOf(err) != store.NoFault:
		return say("cli.error."+string(store.FaultOf(err)), "Cause", cause(err))
	case errors.As(err, &folder) && errors.Is(err, fs.ErrNotExist):
		return say("cli.error.no_shop", "Dir", folder.Dir)
	case errors.As(err, &folder):
		return say("cli.error.folder", "Dir", folder.Dir, "Cause", folder.Err)
	case errors.As(err, &path) && errors.Is(err, fs.ErrExist):
		return say("cli.error.exists", "File", path.Path)
	}
	return err.Error()
}

// orEmpty is what an error says, "" for none.
func orEmpty(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// cause is the innermost of an error's reasons that still says what was amiss.
func cause(err error) string {
	var damaged *store.DamagedError
	var folder *store.FolderError
	switch {
	case errors.As(err, &damaged):
		return damaged.Says
	case errors.As(err, &folder):
		return folder.Err.Error()
	}
	return err.Error()
}

// backupCause says what keeps a file from being restored.
func (e *env) backupCause(err error) string {
	var (
		version *store.VersionError
		audit   *store.AuditError
		path    *fs.PathError
	)
	say := e.words.T
	switch {
	case errors.As(err, &version):
		return say("cli.backup.newer", "Has", version.Has, "Knows", version.Knows)
	case errors.As(err, &audit):
		return say("cli.backup.differs", "Count", len(audit.Differences), "First", audit.Differences[0].String())
	case errors.Is(err, store.ErrNoShop):
		return say("cli.backup.no_shop")
	case store.FaultOf(err) == store.Damaged:
		return say("cli.backup.damaged")
	case store.FaultOf(err) == store.DiskFull:
		return say("cli.backup.no_room")
	case errors.As(err, &path) && errors.Is(err, fs.ErrNotExist):
		return say("cli.backup.no_file")
	}
	return err.Error()
}
