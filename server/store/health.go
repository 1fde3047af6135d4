package store

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"tablehand/server/copies"
)

// Space is what the shop takes and what its disk has left, in bytes.
type Space struct {
	Database   int64 // with its log
	Free, Disk int64 // 0, 0 where the system doesn't tell
}

// Space measures the shop's files and disk.
func (a *Access) Space() (Space, error) {
	var s Space
	for _, name := range []string{databaseFile, databaseFile + "-wal"} {
		info, err := os.Stat(filepath.Join(a.dir, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return s, &FolderError{a.dir, err}
		}
		s.Database += info.Size()
	}
	var err error
	if s.Free, s.Disk, err = diskSpace(a.dir); err != nil {
		return s, &FolderError{a.dir, err}
	}
	return s, nil
}

// backupFolder is where the program's own page puts its copies, within the data folder.
const backupFolder = "backups"

// herePrefix begins the names of the copies in it.
const herePrefix = "tablehand-"

// BackupHere is Backup into a file of its own in the data folder, named by the time; it returns the file's path. Copies
// that are older and too many are removed.
func (a *Access) BackupHere(ctx context.Context) (string, error) {
	dir := filepath.Join(a.dir, backupFolder)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", &FolderError{dir, err}
	}
	file := filepath.Join(dir, copies.Name(herePrefix, a.clock()))
	if err := a.Backup(ctx, file); err != nil {
		return "", err
	}
	return file, copies.Prune(dir, herePrefix)
}

// LastBackup tells when the last whole copy was made and where it was put; zero, "" where none was.
func (a *Access) LastBackup(ctx context.Context) (time.Time, string, error) {
	when, err := a.Setting(ctx, LastBackup)
	if err != nil || when == "" {
		return time.Time{}, "", err
	}
	made, err := time.Parse(time.RFC3339, when)
	if err != nil {
		return time.Time{}, "", fmt.Errorf("store: the time of the last backup: %w", err)
	}
	file, err := a.Setting(ctx, LastBackupFile)
	return made, file, err
}

// LastAway returns when the last copy was put into the second place, and its path; a zero time where none was.
func (a *Access) LastAway(ctx context.Context) (time.Time, string, error) {
	when, err := a.Setting(ctx, LastAway)
	if err != nil || when == "" {
		return time.Time{}, "", err
	}
	put, err := time.Parse(time.RFC3339, when)
	if err != nil {
		return time.Time{}, "", fmt.Errorf("store: the time of the last copy at the second place: %w", err)
	}
	file, err := a.Setting(ctx, LastAwayFile)
	return put, file, err
}

// CopyPrefix begins the names of this shop's copies at a second place, where others may keep theirs too.
func (a *Access) CopyPrefix(ctx context.Context) (string, error) {
	id, err := a.SetOnce(ctx, shopID, strings.ToLower(rand.Text()[:8]))
	return herePrefix + id + "-", err
}

// Dir is the data folder.
func (a *Access) Dir() string { return a.dir }

// MadeHere reports whether a backup lies where BackupHere puts them.
func (a *Access) MadeHere(file string) bool {
	here, err := filepath.Abs(filepath.Join(a.dir, backupFolder))
	return err == nil && filepath.Dir(file) == here
}

// OpenBackup opens the last backup for reading where BackupHere has made it and it is still there; else ErrNotFound.
func (a *Access) OpenBackup(ctx context.Context) (*os.File, error) {
	_, file, err := a.LastBackup(ctx)
	if err != nil {
		return nil, err
	}
	if !a.MadeHere(file) {
		return nil, ErrNotFound
	}
	f, err := os.Open(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNotFound
	}
	return f, err
}

// MovedError is a database file that no longer stands where the shop is: it was moved, deleted or put aside by another
// while it was open. What is written to it now nobody finds again.
type MovedError struct{ File string }

func (e *MovedError) Error() string {
	return fmt.Sprintf("store: %s isn't the file that was opened any more", e.File)
}

// remember notes which file was opened.
func (s *Store) remember() (err error) {
	s.opened, err = os.Stat(filepath.Join(s.dir, databaseFile))
	return err
}

// moved returns a *MovedError where the file under the shop's name isn't the one that is open.
func (s *Store) moved() error {
	path := filepath.Join(s.dir, databaseFile)
	if now, err := os.Stat(path); err != nil || !os.SameFile(now, s.opened) {
		return &MovedError{path}
	}
	return nil
}

// A scan takes a few pages of 4 kB. Under scantRoom the disk counts as full, and once it has refused a scan up to
// someRoom. Our own choices.
const (
	scantRoom = 64 << 10
	someRoom  = 256 << 10
)

// Health tells what keeps scans from being taken, NoFault where nothing is known to; silent reports that the database
// doesn't answer. It writes nothing.
func (s *Store) Health(ctx context.Context) (fault Fault, silent bool) {
	if s.moved() != nil {
		return Moved, false
	}
	last, _ := s.fault.Load().(Fault)
	space, err := s.Space()
	full := err == nil && space.Disk > 0 && (space.Free < scantRoom || last == DiskFull && space.Free < someRoom)
	switch {
	case full:
		return DiskFull, false
	case last == Damaged, last == ReadOnly:
		return last, false
	}
	return NoFault, s.Ping(ctx) != nil
}
