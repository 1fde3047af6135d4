package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"
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

// Of the copies in the data folder these are kept: the last one of each of the last seven days and of each of the last
// four weeks that have one. Our own choice: a mistake is mostly noticed within a month.
const (
	dailyCopies  = 7
	weeklyCopies = 4
)

const copyName = "tablehand-20060102T150405.000000.db"

// prune removes the copies in the data folder that needn't be kept. Files of another name are nobody's but the shop's own.
func prune(dir string) error {
	files, err := os.ReadDir(dir)
	if err != nil {
		return &FolderError{dir, err}
	}
	days, weeks := map[string]bool{}, map[[2]int]bool{}
	for _, f := range slices.Backward(files) { // the newest first: they are named by time
		made, err := time.Parse(copyName, f.Name())
		if err != nil || f.IsDir() {
			continue
		}
		day := made.Format(time.DateOnly)
		year, number := made.ISOWeek()
		week := [2]int{year, number}
		ofDay, ofWeek := !days[day] && len(days) < dailyCopies, !weeks[week] && len(weeks) < weeklyCopies
		if ofDay || ofWeek {
			days[day], weeks[week] = true, true
			continue
		}
		if err := os.Remove(filepath.Join(dir, f.Name())); err != nil {
			return &FolderError{dir, err}
		}
	}
	return nil
}

// BackupHere is Backup into a file of its own in the data folder, named by the time; it returns the file's path. Copies
// that are older and too many are removed.
func (a *Access) BackupHere(ctx context.Context) (string, error) {
	dir := filepath.Join(a.dir, backupFolder)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", &FolderError{dir, err}
	}
	file := filepath.Join(dir, a.clock().UTC().Format(copyName))
	if err := a.Backup(ctx, file); err != nil {
		return "", err
	}
	return file, prune(dir)
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
