package store

import (
	"errors"

	"github.com/mattn/go-sqlite3"
)

var (
	// ErrBusy is a command that wasn't kept: the queue is full, or the disk refused it. It may be sent again.
	ErrBusy = errors.New("store: busy")
	// ErrClosed is a command sent after Close.
	ErrClosed = errors.New("store: closed")
	// ErrNotFound is a row that isn't there.
	ErrNotFound = errors.New("store: not found")
)

// isLocked reports whether another connection holds the lock that was wanted.
func isLocked(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && (e.Code == sqlite3.ErrBusy || e.Code == sqlite3.ErrLocked)
}
