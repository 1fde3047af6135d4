package store

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"time"
)

// AuditError is a copy that was made but isn't what its ledger says.
type AuditError struct {
	File        string
	Differences []Difference
}

func (e *AuditError) Error() string {
	return fmt.Sprintf("store: %s: %d differences, the first: %s", e.File, len(e.Differences), e.Differences[0])
}

// Backup writes a copy of the shop as of the last commit into a new file, while people work, and opens and audits
// the copy. The file must not be there yet (fs.ErrExist); of a copy that failed nothing is left, except one that
// was written but doesn't audit (*AuditError), which stays to be looked at.
func (a *Access) Backup(ctx context.Context, file string) error {
	f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600) // VACUUM INTO takes an empty file
	if err != nil {
		return fmt.Errorf("store: backup: %w", err)
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("store: backup: %w", err)
	}
	if err := a.vacuumInto(ctx, file); err != nil {
		return errors.Join(fmt.Errorf("store: backup: %w", err), os.Remove(file))
	}
	differences, err := auditFile(ctx, file)
	if err != nil {
		return fmt.Errorf("store: look through the backup: %w", err)
	}
	if len(differences) > 0 {
		return &AuditError{file, differences}
	}
	// A shop whose own disk takes nothing more can still be copied to another: the note is not worth the copy.
	if whole, err := filepath.Abs(file); err == nil {
		_ = a.SetAll(ctx, map[Setting]string{LastBackup: a.clock().UTC().Format(time.RFC3339), LastBackupFile: whole})
	}
	return nil
}

// vacuumInto copies through a handle of its own: the readers may write nothing, not even a copy, and the writer has
// scans to keep.
func (a *Access) vacuumInto(ctx context.Context, file string) (err error) {
	db, err := openPool(writerDSN(filepath.Join(a.dir, databaseFile)), 1, slog.New(slog.DiscardHandler))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, closePool(db)) }()
	if err := db.WithContext(ctx).Exec("VACUUM INTO ?", file).Error; err != nil {
		return err
	}
	return errors.Join(syncFile(file), syncFolder(filepath.Dir(file)))
}

// syncFile has the disk keep a file that another handle wrote.
func syncFile(name string) error {
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
