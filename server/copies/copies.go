// Package copies keeps copies of a shop in folders: it names them by their time, puts one into a second place so that it is
// whole there or not there at all, tells why a place doesn't do, and removes those that needn't be kept.
package copies

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"
)

// Of the copies in a folder these are kept: the last one of each of the last seven days and of each of the last four weeks
// that have one. Our own choice: a mistake is mostly noticed within a month.
const (
	dailyCopies  = 7
	weeklyCopies = 4
)

const (
	layout = "20060102T150405.000000.db"
	part   = ".part" // the end of a name while the copy isn't whole
)

// Name is what a copy of that time is called. The prefix tells one shop's copies from others' in the same folder.
func Name(prefix string, at time.Time) string { return prefix + at.UTC().Format(layout) }

// made returns when a copy of that prefix was made by its name; ok is false for any other file.
func made(prefix, name string) (at time.Time, ok bool) {
	stamp, ours := strings.CutPrefix(name, prefix)
	at, err := time.Parse(layout, stamp)
	return at, ours && err == nil
}

// Prune removes the copies of a prefix that needn't be kept. Files of another name are nobody's but the shop's own.
func Prune(dir, prefix string) error {
	files, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	days, weeks := map[string]bool{}, map[[2]int]bool{}
	for _, f := range slices.Backward(files) { // the newest first: they are named by time
		at, ok := made(prefix, f.Name())
		if !ok || f.IsDir() {
			continue
		}
		day := at.Format(time.DateOnly)
		year, number := at.ISOWeek()
		week := [2]int{year, number}
		ofDay, ofWeek := !days[day] && len(days) < dailyCopies, !weeks[week] && len(weeks) < weeklyCopies
		if ofDay || ofWeek {
			days[day], weeks[week] = true, true
			continue
		}
		if err := os.Remove(filepath.Join(dir, f.Name())); err != nil {
			return err
		}
	}
	return nil
}

// errDiffers is a copy that reads otherwise than it was written.
var errDiffers = errors.New("copies: what was written to the second place reads otherwise")

// Put copies a file, which nobody writes meanwhile, into a folder under a copy's name, reads it back, and prunes the folder.
// It returns the copy's path. The folder is never made: one that is missing is a disk that isn't there.
func Put(file, folder, prefix string, at time.Time) (string, error) {
	if why := Check(folder); why != Good {
		return "", &PlaceError{folder, why}
	}
	if err := dropParts(folder, prefix); err != nil {
		return "", err
	}
	path := filepath.Join(folder, Name(prefix, at))
	if err := write(file, path+part); err != nil {
		return "", errors.Join(err, os.Remove(path+part))
	}
	if err := os.Rename(path+part, path); err != nil {
		return "", err
	}
	syncFolder(folder)
	return path, Prune(folder, prefix)
}

// write copies a file's bytes onto the disk and reads them back.
func write(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	written, read := sha256.New(), sha256.New()
	if _, err := io.Copy(io.MultiWriter(out, written), in); err != nil {
		return err
	}
	if err := out.Sync(); err != nil {
		return err
	}
	if _, err := out.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if _, err := io.Copy(read, out); err != nil {
		return err
	}
	if !bytes.Equal(written.Sum(nil), read.Sum(nil)) {
		return errDiffers
	}
	return nil
}

// dropParts removes what a copy that was cut short has left.
func dropParts(folder, prefix string) error {
	files, err := os.ReadDir(folder)
	if err != nil {
		return err
	}
	for _, f := range files {
		name, cut := strings.CutSuffix(f.Name(), part)
		if _, ours := made(prefix, name); cut && ours {
			err = errors.Join(err, os.Remove(filepath.Join(folder, f.Name())))
		}
	}
	return err
}

// syncFolder has the disk keep a folder's names, where its system can: a share often can't.
func syncFolder(dir string) {
	if f, err := os.Open(dir); err == nil {
		_ = f.Sync()
		f.Close()
	}
}

// Why is what speaks against a folder, the end of a key of the catalogue.
type Why string

const (
	Good       Why = ""
	Relative   Why = "relative"   // not a whole path
	Missing    Why = "missing"    // no such folder: perhaps its disk isn't there
	Unwritable Why = "unwritable" // the program may not write there
	Inside     Why = "inside"     // the shop's own folder
	Full       Why = "full"
	Other      Why = "other" // the log says what
)

// PlaceError is a folder that doesn't do.
type PlaceError struct {
	Folder string
	Why    Why
}

func (e *PlaceError) Error() string { return fmt.Sprintf("copies: folder %s: %s", e.Folder, e.Why) }

// Check tells what speaks against putting copies into a folder, by writing a small file there.
func Check(folder string) Why {
	if !filepath.IsAbs(folder) {
		return Relative
	}
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return Missing
	}
	f, err := os.CreateTemp(folder, ".tablehand-*")
	if err != nil {
		return WhyOf(err)
	}
	_, err = f.WriteString("tablehand looks whether it may write here\n")
	if err = errors.Join(err, f.Close(), os.Remove(f.Name())); err != nil {
		return WhyOf(err)
	}
	return Good
}

// WhyOf tells what kept a copy from being put, by the error.
func WhyOf(err error) Why {
	var place *PlaceError
	switch {
	case err == nil:
		return Good
	case errors.As(err, &place):
		return place.Why
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return Full
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return Unwritable
	case errors.Is(err, fs.ErrNotExist):
		return Missing
	}
	return Other
}
