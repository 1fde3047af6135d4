package server

import (
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tablehand/server/store"
	"tablehand/stations"
)

// copiesIn returns the files of a folder.
func copiesIn(t *testing.T, folder string) (names []string) {
	t.Helper()
	files, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		names = append(names, f.Name())
	}
	return names
}

// TestDailyCopy: a shop that names a second place has a whole copy there each day without anybody's doing, sees its age on
// Today, and is told there and in the log when it can't be made.
func TestDailyCopy(t *testing.T) {
	s := newShop(t)
	var log lockedLog
	s.Log = slog.New(slog.NewTextHandler(&log, nil))
	second := filepath.Join(t.TempDir(), "stick")
	office := stations.Office
	name := func(folder string, status int) answer {
		t.Helper()
		form := goodForm("zone", "America/New_York", "copy_folder", folder)
		got := s.post(t, office, "/settings", form, false)
		if got.status != status {
			t.Fatalf("%q is answered %d", folder, got.status)
		}
		return got
	}
	today := func(want string, bad bool) {
		t.Helper()
		page := s.visit(t, office, "/", 200)
		said := ""
		if _, after, there := strings.Cut(page, `id="copy">`); there {
			said, _, _ = strings.Cut(after, "</p>")
		}
		if strings.Contains(said, "▲") != bad || want == "" && said != "" || !strings.Contains(said, want) {
			t.Errorf("Today says %q, want %q", said, want)
		}
		if got := s.visit(t, stations.Program, "/", 200); strings.Contains(got, second) {
			t.Error("a program is told of the second place")
		}
	}
	due := func() { t.Helper(); s.Desk.CopyIfDue(t.Context()) }

	s.post(t, office, "/setup", goodForm(), false)
	due()
	today("", false)
	for folder, why := range map[string]string{"copies": "whole path", second: "no such folder", filepath.Join(s.Desk.Store.Dir(), "backups"): "inside"} {
		if got := name(folder, 422); !strings.Contains(string(got.body), why) {
			t.Errorf("%q isn't refused for %q", folder, why)
		}
	}
	if err := os.Mkdir(second, 0o700); err != nil {
		t.Fatal(err)
	}
	name(second+"/", 303)
	today("The first copy to "+second, false)
	s.release(t, "SMI-1")
	due()
	due() // once a day
	today("has a copy less than an hour old", false)
	made := copiesIn(t, second)
	if len(made) != 1 {
		t.Fatalf("the second place has %q", made)
	}
	restored := t.TempDir()
	if _, err := store.Restore(t.Context(), restored, filepath.Join(second, made[0]), time.Now(), false); err != nil {
		t.Errorf("the copy: %v", err)
	}
	if differences, err := store.AuditDir(t.Context(), restored); err != nil || len(differences) > 0 {
		t.Errorf("the copy differs: %v %v", differences, err)
	}

	s.clock.Add(20 * time.Hour) // from 3 in the morning in the shop's zone to 23 o'clock: the same day
	due()
	today("20 hours ago", false)
	s.clock.Add(2 * time.Hour)
	due()
	if made := copiesIn(t, second); len(made) != 2 {
		t.Errorf("on the second day the place has %q", made)
	}
	s.ask(t, scene{as: stations.Screen, do: "GET /healthz", status: 200, has: map[string]string{"copy_age_seconds": "0"}})

	// The stick is pulled out.
	if err := os.Rename(second, second+".out"); err != nil {
		t.Fatal(err)
	}
	s.clock.Add(24 * time.Hour)
	due()
	due() // not again at once
	today("no such folder", true)
	if n := strings.Count(log.String(), "no copy at the second place"); n != 1 || !strings.Contains(log.String(), "why=missing") {
		t.Errorf("the log says it %d times:\n%s", n, log.String())
	}
	if page := s.visit(t, office, "/check", 200); !strings.Contains(page, "The last copy there is 24 hours old") {
		t.Error("the self-check doesn't tell of it")
	}
	s.ask(t, scene{as: stations.Screen, do: "GET /healthz", status: 200, has: map[string]string{"copy_age_seconds": "86400"}}) // one in its own folder doesn't count
	if _, err := os.Stat(second); err == nil {
		t.Error("the program has made the folder itself")
	}
	if err := os.Rename(second+".out", second); err != nil {
		t.Fatal(err)
	}
	s.clock.Add(16 * time.Minute)
	due()
	today("has a copy less than an hour old", false)
	s.clock.Add(72 * time.Hour) // a shop that stood still
	today("3 days ago", true)

	// The button makes one there too.
	before := len(copiesIn(t, second))
	if got := s.post(t, office, "/check/backup", url.Values{}, false); got.status != 303 || len(copiesIn(t, second)) != before+1 {
		t.Errorf("the button is answered %d and makes no copy at the second place", got.status)
	}
	name("", 303)
	today("", false)
}

// TestTwoShopsInOneFolder: shops that name the same second place leave each other's copies alone.
func TestTwoShopsInOneFolder(t *testing.T) {
	second := t.TempDir()
	one, two := newShop(t), newShop(t)
	for _, s := range []*shop{one, two} {
		if got := s.post(t, stations.Office, "/settings", goodForm("copy_folder", second), false); got.status != 303 {
			t.Fatalf("%d %s", got.status, got.body)
		}
	}
	one.Desk.CopyIfDue(t.Context())
	theirs := copiesIn(t, second)[0]
	for range 60 {
		two.clock.Add(24 * time.Hour)
		two.Desk.CopyIfDue(t.Context())
	}
	if _, err := os.Stat(filepath.Join(second, theirs)); err != nil {
		t.Error(err)
	}
	if names := copiesIn(t, second); len(names) < 10 || len(names) > 12 {
		t.Errorf("kept are %d: %q", len(names), names)
	}
}
