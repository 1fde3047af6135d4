package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tablehand/stations"
)

func addPicture(t *testing.T, s *Store, text string) string {
	t.Helper()
	id, err := s.AddPicture(context.Background(), []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func showing(picture string, cmd stations.Scan) stations.Scan {
	cmd.Picture = picture
	return cmd
}

// A picture comes before the hold that names it, and stays with it: on the floor, in the ledger, in a copy.
func TestAHoldShowsItsPicture(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 2)
	id := addPicture(t, s, "a flaw")
	if again := addPicture(t, s, "a flaw"); again != id {
		t.Errorf("the same picture again is %s, first %s", again, id)
	}
	hold := showing(id, scan(code(2), stations.Hold, "", "k1"))
	if e := mustDo(t, s, hold); e.Picture != id {
		t.Errorf("the event names %q", e.Picture)
	}
	if e := mustDo(t, s, hold); e.Picture != id || e.Seq != 3 {
		t.Errorf("sent again the event is %d and names %q", e.Seq, e.Picture)
	}
	if _, err := s.Do(ctx, scan(code(2), stations.Hold, "", "k1")); refusal(err) != "key_reused" {
		t.Errorf("the same hold without its picture: %v", err)
	}
	mustDo(t, s, showing(id, scan(code(3), stations.Hold, "", "k2"))) // one picture for two panels
	mustAudit(t, s)
	if got := s.Floor().Ticket(code(2)).Current().Picture; got != id {
		t.Errorf("the ticket shows %q", got)
	}
	backup := filepath.Join(t.TempDir(), databaseFile)
	if err := s.Backup(ctx, backup); err != nil {
		t.Fatal(err)
	}
	for _, place := range []string{dir, filepath.Dir(backup)} {
		if place == dir {
			s.Close()
		}
		s := openShop(t, place)
		data, err := s.Picture(ctx, id)
		if err != nil || string(data) != "a flaw" || s.Floor().Ticket(code(3)).Current().Picture != id {
			t.Errorf("opened again in %s the picture is %q, %v", place, data, err)
		}
		mustDo(t, s, scan(code(2), stations.Resume, "", "k3"))
		if got := s.Floor().Ticket(code(2)).Current().Picture; got != "" {
			t.Errorf("resumed it still shows %q", got)
		}
		mustAudit(t, s)
	}
}

func TestAHoldNamesOnlyWhatIsThere(t *testing.T) {
	ctx := context.Background()
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 1)
	nowhere := strings.Repeat("0", 64)
	if _, err := s.Picture(ctx, nowhere); !errors.Is(err, ErrNotFound) {
		t.Errorf("no picture: %v", err)
	}
	hold := showing(nowhere, scan(code(2), stations.Hold, "", "k1"))
	if _, err := s.Do(ctx, hold); refusal(err) != "unknown_picture" {
		t.Errorf("a hold that shows no picture: %v", err)
	}
	mustDo(t, s, scan(code(2), stations.Hold, "", "k1")) // a refused scan's key is free
	mustAudit(t, s)
}

// A picture that no hold has named is dropped after a day; one that a hold names never is.
func TestUnnamedPicturesAreDropped(t *testing.T) {
	ctx := context.Background()
	now := start
	s, err := Open(ctx, Options{Dir: t.TempDir(), Clock: func() time.Time { return now }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	order(t, s, "SMI-1", 1, 1)
	settle(s)
	named, old := addPicture(t, s, "named"), addPicture(t, s, "old")
	mustDo(t, s, showing(named, scan(code(2), stations.Hold, "", "k1")))
	settle(s)
	has := func(id string) bool {
		_, err := s.Picture(ctx, id)
		return err == nil
	}
	now = now.Add(unnamedFor)
	young := addPicture(t, s, "young")
	s.dropUnnamed()
	if !has(named) || !has(old) || !has(young) {
		t.Error("a picture is dropped within its day")
	}
	now = now.Add(time.Second)
	s.dropUnnamed()
	if !has(named) || has(old) || !has(young) {
		t.Errorf("after a day there are named %v, old %v, young %v", has(named), has(old), has(young))
	}
	mustAudit(t, s)
}

func TestUnnamedPicturesAreBounded(t *testing.T) {
	s := openShop(t, t.TempDir())
	for i := range mostUnnamed {
		addPicture(t, s, fmt.Sprint(i))
	}
	if _, err := s.AddPicture(context.Background(), []byte("one more")); !errors.Is(err, ErrBusy) {
		t.Errorf("one more: %v", err)
	}
	addPicture(t, s, "7") // it is there already
}

// The database itself keeps a picture that the ledger names, and audit finds what was done behind its back.
func TestAuditLooksThroughPictures(t *testing.T) {
	for _, change := range []struct{ name, sql string }{
		{"another picture", "DROP TRIGGER pictures_no_change; UPDATE pictures SET data = x'00'"},
		{"no picture", "DROP TRIGGER pictures_no_delete; DELETE FROM pictures"},
		{"not named", "DROP TRIGGER pictures_stay_named; UPDATE pictures SET event = NULL"},
		{"named by another", "DROP TRIGGER pictures_stay_named; UPDATE pictures SET event = 1"},
	} {
		t.Run(change.name, func(t *testing.T) {
			s := openShop(t, t.TempDir())
			order(t, s, "SMI-1", 1, 1)
			id := addPicture(t, s, "a flaw")
			mustDo(t, s, showing(id, scan(code(2), stations.Hold, "", "k1")))
			mustAudit(t, s)
			trigger, statement, _ := strings.Cut(change.sql, "; ")
			if err := s.write.Exec(statement).Error; err == nil {
				t.Errorf("%s goes through", statement)
			}
			mustExec(t, s.write, trigger)
			mustExec(t, s.write, statement)
			differences, err := s.Audit(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if !slices.ContainsFunc(differences, func(d Difference) bool { return d.Table == "pictures" && d.Key == id }) {
				t.Errorf("goes unseen: %v", differences)
			}
		})
	}
}

// Large pictures come back as they were, in whatever order they are asked for.
func TestPicturesComeBackWhole(t *testing.T) {
	s := openShop(t, t.TempDir())
	want := bytes.Repeat([]byte{0, 0xFF, 'x'}, 60_000)
	id := addPicture(t, s, string(want))
	if got, err := s.Picture(context.Background(), id); err != nil || !bytes.Equal(got, want) {
		t.Errorf("%d bytes come back as %d, %v", len(want), len(got), err)
	}
}
