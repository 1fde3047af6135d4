package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"tablehand/stations"
)

// TestAFileThatIsGone: what stands in the shop's place no more takes no scans, until it is put back.
func TestAFileThatIsGone(t *testing.T) {
	dir := t.TempDir()
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 3)
	path, aside := filepath.Join(dir, databaseFile), filepath.Join(dir, "aside.db")
	hold := scan(code(2), stations.Hold, "", "k1")
	for name, damage := range map[string]func() error{
		"moved": func() error { return os.Rename(path, aside) },
		"replaced": func() error {
			return errors.Join(os.Rename(path, aside), os.WriteFile(path, []byte("SQLite format 3"), 0o600))
		},
	} {
		if fault, silent := s.Health(t.Context()); fault != NoFault || silent {
			t.Fatalf("a healthy shop: %q, silent %v", fault, silent)
		}
		if err := damage(); err != nil {
			t.Fatal(err)
		}
		seq := s.Floor().Seq()
		if fault, _ := s.Health(t.Context()); fault != Moved {
			t.Errorf("%s: health tells %q", name, fault)
		}
		for i, a := range batchOf(s, hold, scan(code(3), stations.Hold, "", "k2")) {
			if FaultOf(a.err) != Moved || !errors.Is(a.err, ErrBusy) {
				t.Errorf("%s: answer %d is %+v", name, i, a)
			}
		}
		if _, err := s.AddPicture(t.Context(), []byte("a picture")); FaultOf(err) != Moved {
			t.Errorf("%s: a picture: %v", name, err)
		}
		if s.Floor().Seq() != seq {
			t.Errorf("%s: the floor went on to %d", name, s.Floor().Seq())
		}
		if err := os.Rename(aside, path); err != nil {
			t.Fatal(err)
		}
	}
	mustDo(t, s, hold)
	mustAudit(t, s)
}

// TestHealthOfADiskThatRefuses: a fault that a commit met is told until one is kept.
func TestHealthOfADiskThatRefuses(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 3)
	for _, tt := range []struct{ met, told Fault }{{Damaged, Damaged}, {ReadOnly, ReadOnly}, {DiskFull, NoFault}, {NoFault, NoFault}} {
		s.fault.Store(tt.met)
		if fault, silent := s.Health(t.Context()); fault != tt.told || silent { // the disk has room again
			t.Errorf("after %q: %q, silent %v", tt.met, fault, silent)
		}
	}
	s.fault.Store(Damaged)
	mustDo(t, s, scan(code(2), stations.Hold, "", "k1"))
	if fault, _ := s.Health(t.Context()); fault != NoFault {
		t.Errorf("after a scan that was kept: %q", fault)
	}
	if err := s.Access.Close(); err != nil {
		t.Fatal(err)
	}
	if fault, silent := s.Health(t.Context()); fault != NoFault || !silent {
		t.Errorf("with the database closed: %q, silent %v", fault, silent)
	}
}
