package store

import (
	"errors"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

var (
	// ErrBusy is a command that wasn't kept: the queue is full, or the disk refused it. It may be sent again.
	ErrBusy = errors.New("store: busy")
	// ErrNotKnownYet is a command whose answer took longer than its caller waited: it may still be carried out.
	ErrNotKnownYet = errors.New("store: not known yet")
	// ErrClosed is a command sent after Close.
	ErrClosed = errors.New("store: closed")
	// ErrNotFound is a row that isn't there.
	ErrNotFound = errors.New("store: not found")
)

// DamagedError is a database file that isn't whole any more.
type DamagedError struct{ Says string }

func (e *DamagedError) Error() string { return "store: the database is damaged: " + e.Says }

// Fault is what a person has to mend under the store, which mends itself in no time.
type Fault string

const (
	NoFault  Fault = ""
	DiskFull Fault = "disk_full"      // no room left; what comes after there is room again is kept
	ReadOnly Fault = "disk_read_only" // the disk takes no writing, often because it fails
	Damaged  Fault = "data_damaged"   // the file isn't whole: a backup has to be restored
	Moved    Fault = "data_moved"     // another file stands in its place, or none: it has to be put back
)

// FaultOf tells what is wrong with the disk or the file by any error of this package.
func FaultOf(err error) Fault {
	var damaged *DamagedError
	if errors.As(err, &damaged) {
		return Damaged
	}
	var moved *MovedError
	if errors.As(err, &moved) {
		return Moved
	}
	var errno syscall.Errno
	errors.As(err, &errno)
	var e sqlite3.Error
	if errors.As(err, &e) {
		switch e.Code {
		case sqlite3.ErrFull:
			return DiskFull
		case sqlite3.ErrReadonly:
			return ReadOnly
		case sqlite3.ErrCorrupt, sqlite3.ErrNotADB:
			return Damaged
		}
		if e.ExtendedCode == sqlite3.ErrIoErrSHMSize { // its only cause: the index of the log can't grow
			return DiskFull
		}
		errno = e.SystemErrno
	}
	switch errno {
	case syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG:
		return DiskFull
	case syscall.EROFS:
		return ReadOnly
	}
	return NoFault
}

// isLocked reports whether another connection holds the lock that was wanted.
func isLocked(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && (e.Code == sqlite3.ErrBusy || e.Code == sqlite3.ErrLocked)
}
