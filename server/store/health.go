package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
)

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
