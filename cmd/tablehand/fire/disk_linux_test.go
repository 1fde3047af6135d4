package fire

import (
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// smallDisk mounts a disk of that many KiB of its own; where that isn't allowed the test is skipped, but on CI: the
// store's own tests play a full disk everywhere.
func smallDisk(t *testing.T, kib string) string {
	t.Helper()
	dir := t.TempDir()
	err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size="+kib+"k")
	if os.Getenv("CI") == "" && (errors.Is(err, syscall.EPERM) || errors.Is(err, syscall.EACCES)) {
		t.Skip("only root mounts disks: ", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// fillDisk takes all the room that is left on a disk, and returns what gives it back.
func fillDisk(t *testing.T, disk string) (again func()) {
	t.Helper()
	name := filepath.Join(disk, "filler")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	block := make([]byte, 4096)
	for err == nil {
		_, err = f.Write(block)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
	return func() {
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
	}
}

// TestFullDisk fills the disk under a shop at work: scans are refused with 503 and a sentence, pages go on, the shop
// can be copied to another disk, and with room again the same scan is kept. Nothing acknowledged is lost.
func TestFullDisk(t *testing.T) {
	disk := smallDisk(t, "4096")
	s, cmd := shoptest.StartProcess(t, filepath.Join(disk, "shop"))
	s.Office, s.Station, s.Screen = s.Token(t, "Office", "office"), s.Token(t, "Bench", "station"), s.Token(t, "Wall", "screen")
	f := s.Release(t, "FULL-1", shoptest.ManyWindows("3")...)
	f.CutAll(t)
	code := f.Panels[0].Ticket
	again := fillDisk(t, disk)
	var last shoptest.Fields
	var refused shoptest.Answer
	acknowledged := map[int64]string{}
	for i := 0; i < 5000 && refused.Status == 0; i++ {
		last = shoptest.Scan(code, []string{"hold", "resume"}[i%2], "", "reason", strings.Repeat("no room ", 20))
		got := s.Send(t, shoptest.Request{As: s.Station, Do: "POST /api/scans", Send: last})
		if got.Status == http.StatusOK {
			acknowledged[got.Seq(t)] = code
		} else {
			refused = got
		}
	}
	if refused.Status != 503 || refused.At("code") != "disk_full" || refused.Header.Get("Retry-After") == "" || !strings.Contains(refused.At("message"), "disk") {
		t.Fatalf("after %d scans: %d %v %s", len(acknowledged), refused.Status, refused.Header, refused.Body)
	}
	s.Ask(t, shoptest.Request{As: s.Screen, Do: "GET /api/board", Status: 200})
	s.Ask(t, shoptest.Request{Do: "GET /healthz", Status: 503, Has: map[string]string{"disk": "full", "database": "ok", "file": "ok"}})
	copied := filepath.Join(t.TempDir(), "copy.db")
	if _, said, code := shoptest.Command(t, "backup", copied, "--data", s.Dir); code != 0 {
		t.Errorf("a copy to another disk: exit %d, %s", code, said)
	}
	here := filepath.Join(disk, "copy.db")
	if _, said, code := shoptest.Command(t, "backup", here, "--data", s.Dir); code != 1 || !strings.Contains(said, "disk is full") {
		t.Errorf("a copy to the full disk: exit %d, said %q", code, said)
	}
	if left, _ := filepath.Glob(here + "*"); len(left) > 0 {
		t.Errorf("left of the copy that failed: %v", left)
	}
	again()
	s.Ask(t, shoptest.Request{Do: "GET /healthz", Status: 200, Has: map[string]string{"disk": "ok"}})
	s.Done(t, s.Station, last, nil)
	end := s.Board(t).Seq
	kept := map[int64]bool{}
	for _, c := range shoptest.Until(t, s.Events(t, s.Screen, "?after=0", ""), end) {
		kept[c.Data.Seq] = true
	}
	for seq := range acknowledged {
		if !kept[seq] {
			t.Errorf("scan %d was acknowledged and is gone", seq)
		}
	}
	shoptest.Interrupt(t, cmd)
	s.Audit(t)
}

// TestFullDiskAtStart: neither a new shop nor one that is there opens on a full disk, and neither is harmed; a restore
// that finds no room leaves the shop as it was.
func TestFullDiskAtStart(t *testing.T) {
	disk := smallDisk(t, "2048")
	s := shoptest.Serve(t, filepath.Join(disk, "shop"))
	s.Office = s.Token(t, "Office", "office")
	f := s.Release(t, "FULL-2")
	backup := filepath.Join(t.TempDir(), "copy.db")
	if _, said, code := shoptest.Command(t, "backup", backup, "--data", s.Dir); code != 0 {
		t.Fatal(said)
	}
	s.Stop()
	again := fillDisk(t, disk)
	for _, args := range [][]string{shoptest.ServeArgs(s.Dir), shoptest.ServeArgs(filepath.Join(disk, "new")), {"restore", backup, "--data", s.Dir}} {
		if out, said, code := shoptest.Command(t, args...); code != 1 || !strings.Contains(said, "disk") || !strings.Contains(said, "full") || out != "" {
			t.Errorf("%v on a full disk: exit %d, said %q", args, code, said)
		}
	}
	again()
	s = shoptest.Serve(t, s.Dir)
	s.Office = s.Token(t, "Office again", "office")
	s.Station = s.Office
	s.Look(t, f.Panels[0].Ticket)
	s.Audit(t)
}

// TestReadOnlyDisk: a shop on a disk that takes no writing isn't served, and says so.
func TestReadOnlyDisk(t *testing.T) {
	disk := smallDisk(t, "2048")
	s := shoptest.Serve(t, filepath.Join(disk, "shop"))
	s.Stop()
	remount := func(flags uintptr) {
		if err := syscall.Mount("tmpfs", disk, "tmpfs", syscall.MS_REMOUNT|flags, ""); err != nil {
			t.Fatal(err)
		}
	}
	remount(syscall.MS_RDONLY)
	for _, args := range [][]string{shoptest.ServeArgs(s.Dir), shoptest.ServeArgs(filepath.Join(disk, "new")), {"backup", filepath.Join(t.TempDir(), "copy.db"), "--data", s.Dir}, {"token", "x", "--role", "screen", "--data", s.Dir}} {
		if _, said, code := shoptest.Command(t, args...); code != 1 || !strings.Contains(said, "can't be written to") {
			t.Errorf("%v on a read-only disk: exit %d, said %q", args, code, said)
		}
	}
	remount(0)
	shoptest.Serve(t, s.Dir).Audit(t)
}

// TestBrowserOnAFullDisk: a bench whose scan finds no room keeps it, says that it is the disk, and sends it again
// until there is room.
func TestBrowserOnAFullDisk(t *testing.T) {
	disk := smallDisk(t, "4096")
	c := browser.Start(t)
	s := shoptest.Serve(t, filepath.Join(disk, "shop"))
	s.Office, s.Station = s.Token(t, "Office", "office"), s.Token(t, "Bench", "station")
	f := s.Release(t, "FULL-3", shoptest.ManyWindows("2")...)
	f.CutAll(t)
	p := c.SignIn(t, s).Tab(t, 1280, 800, "/station/joining")
	again := fillDisk(t, disk)
	for i, status := 0, http.StatusOK; status == http.StatusOK && i < 5000; i++ {
		status = s.Send(t, shoptest.Request{As: s.Station, Do: "POST /api/scans",
			Send: shoptest.Scan(f.Panels[1].Ticket, []string{"hold", "resume"}[i%2], "", "reason", strings.Repeat("no room ", 20))}).Status
	}
	p.Scan(f.Panels[0].Ticket, "kept")
	if text := p.Sees("#answer .said.kept"); !strings.Contains(text, "disk") || strings.Contains(text, "network") {
		t.Errorf("on a full disk the bench is told %q", text)
	}
	again()
	p.Wait(`document.querySelector('#answer .said.done')`)
	s.Expect(t, f.Panels[0].Ticket, "joining", "at_work")
	s.Audit(t)
}
