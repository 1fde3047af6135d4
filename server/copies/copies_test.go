package copies

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"
)

// TestCopiesArePruned: of two copies a day through ten weeks those of the last days and weeks are kept, and nothing that
// isn't such a copy is touched.
func TestCopiesArePruned(t *testing.T) {
	dir := t.TempDir()
	const prefix = "tablehand-"
	first := time.Date(2026, 9, 21, 8, 0, 0, 0, time.UTC) // a Monday
	var mine []string
	write := func(name string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"tablehand-old.db", "note.txt", "tablehand-20260921T080000.db", "tablehand-20260921T080000.000000.db.aside",
		"tablehand-other-20260921T080000.000000.db", "20260921T080000.000000.db"} {
		write(name)
		mine = append(mine, name)
	}
	for day := range 70 {
		for _, hour := range []time.Duration{0, 9 * time.Hour} {
			write(Name(prefix, first.AddDate(0, 0, day).Add(hour)))
			if err := Prune(dir, prefix); err != nil {
				t.Fatal(err)
			}
		}
	}
	var want []string
	for day := 63; day < 70; day++ { // the last week's days
		want = append(want, Name(prefix, first.AddDate(0, 0, day).Add(9*time.Hour)))
	}
	for week := 1; week < 4; week++ { // and the last copy of the three weeks before
		want = append(want, Name(prefix, first.AddDate(0, 0, 69-7*week).Add(9*time.Hour)))
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

// TestPut: a copy is whole at the second place or not there; what an earlier one that was cut short has left goes, and
// nothing of others' does.
func TestPut(t *testing.T) {
	const prefix = "tablehand-abc-"
	from := filepath.Join(t.TempDir(), "shop.db")
	body := bytes.Repeat([]byte("reed"), 1<<18)
	if err := os.WriteFile(from, body, 0o600); err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	at := time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)
	theirs := []string{Name("tablehand-xyz-", at) + part, "note" + part}
	for _, name := range append(theirs, Name(prefix, at.Add(-time.Hour))+part) {
		if err := os.WriteFile(filepath.Join(folder, name), []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	path, err := Put(from, folder, prefix, at)
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(got, body) || filepath.Base(path) != Name(prefix, at) {
		t.Errorf("%s has %d bytes: %v", path, len(got), err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others may read the copy: %v", info.Mode())
	}
	want := append([]string{Name(prefix, at)}, theirs...)
	slices.Sort(want)
	var names []string
	files, _ := os.ReadDir(folder)
	for _, f := range files {
		names = append(names, f.Name())
	}
	if !slices.Equal(names, want) {
		t.Errorf("the folder has\n%q\nwant\n%q", names, want)
	}
	// A copy that can't be read leaves nothing behind.
	if _, err := Put(filepath.Join(folder, "nowhere"), folder, prefix, at.Add(time.Hour)); err == nil {
		t.Error("nothing was copied")
	}
	if files, _ := os.ReadDir(folder); len(files) != len(want) {
		t.Errorf("a copy that failed leaves %d files, not %d", len(files), len(want))
	}
}

func TestCheck(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		folder string
		want   Why
	}{{dir, Good}, {"copies", Relative}, {"", Relative}, {filepath.Join(dir, "nowhere"), Missing}, {file, Missing}} {
		if got := Check(tt.folder); got != tt.want {
			t.Errorf("%q: %q, want %q", tt.folder, got, tt.want)
		}
	}
	if files, _ := os.ReadDir(dir); len(files) != 1 {
		t.Errorf("a look leaves something behind: %v", files)
	}
	for err, want := range map[error]Why{
		&fs.PathError{Op: "write", Err: syscall.ENOSPC}:              Full,
		&fs.PathError{Op: "open", Err: syscall.EROFS}:                Unwritable,
		&fs.PathError{Op: "open", Err: syscall.EACCES}:               Unwritable,
		fmt.Errorf("x: %w", &PlaceError{"/media/stick", Missing}):    Missing,
		&fs.PathError{Op: "rename", Err: syscall.EIO}:                Other,
		fmt.Errorf("opened: %w", &fs.PathError{Err: fs.ErrNotExist}): Missing,
	} {
		if got := WhyOf(err); got != want {
			t.Errorf("%v: %q, want %q", err, got, want)
		}
	}
}

// TestUnreadableIsNoCopy: what can't be read whole leaves no copy behind that looks like one.
func TestUnreadableIsNoCopy(t *testing.T) {
	folder := t.TempDir()
	path, err := Put(t.TempDir(), folder, "tablehand-", time.Date(2026, 9, 21, 8, 0, 0, 0, time.UTC)) // a folder is opened, and can't be read
	left, _ := os.ReadDir(folder)
	if err == nil || path != "" || len(left) > 0 {
		t.Errorf("%q %v, and %d files are left", path, err, len(left))
	}
}
