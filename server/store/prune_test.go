package store

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// TestCopiesArePruned: of two copies a day through ten weeks those of the last days and weeks are kept, and nothing that
// isn't such a copy is touched.
func TestCopiesArePruned(t *testing.T) {
	dir := t.TempDir()
	first := time.Date(2026, 9, 21, 8, 0, 0, 0, time.UTC) // a Monday
	var mine []string
	write := func(name string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"tablehand-old.db", "note.txt", "tablehand-20260921T080000.db", "tablehand-20260921T080000.000000.db.aside"} {
		write(name)
		mine = append(mine, name)
	}
	for day := range 70 {
		for _, hour := range []time.Duration{0, 9 * time.Hour} {
			write(first.AddDate(0, 0, day).Add(hour).Format(copyName))
			if err := prune(dir); err != nil {
				t.Fatal(err)
			}
		}
	}
	var want []string
	for day := 63; day < 70; day++ { // the last week's days
		want = append(want, first.AddDate(0, 0, day).Add(9*time.Hour).Format(copyName))
	}
	for week := 1; week < 4; week++ { // and the last copy of the three weeks before
		want = append(want, first.AddDate(0, 0, 69-7*week).Add(9*time.Hour).Format(copyName))
	}
	want = append(want, mine...)
	slices.Sort(want)
	var got []string
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		got = append(got, f.Name())
	}
	if !slices.Equal(got, want) {
		t.Errorf("kept are\n%q\nwant\n%q", got, want)
	}
}
