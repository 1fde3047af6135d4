package main

import (
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
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
	s, cmd := startProcess(t, filepath.Join(disk, "shop"))
	s.office, s.station, s.screen = s.token(t, "Office", "office"), s.token(t, "Bench", "station"), s.token(t, "Wall", "screen")
	f := s.release(t, "FULL-1", manyWindows("3")...)
	f.cutAll(t)
	code := f.panels[0].Ticket
	again := fillDisk(t, disk)
	var last fields
	var refused answer
	acknowledged := map[int64]string{}
	for i := 0; i < 5000 && refused.status == 0; i++ {
		last = scan(code, []string{"hold", "resume"}[i%2], "", "reason", strings.Repeat("no room ", 20))
		got := s.send(t, request{as: s.station, do: "POST /api/scans", send: last})
		if got.status == http.StatusOK {
			acknowledged[got.seq(t)] = code
		} else {
			refused = got
		}
	}
	if refused.status != 503 || refused.at("code") != "disk_full" || refused.header.Get("Retry-After") == "" || !strings.Contains(refused.at("message"), "disk") {
		t.Fatalf("after %d scans: %d %v %s", len(acknowledged), refused.status, refused.header, refused.body)
	}
	s.ask(t, request{as: s.screen, do: "GET /api/board", status: 200})
	copied := filepath.Join(t.TempDir(), "copy.db")
	if _, said, code := command(t, "backup", copied, "--data", s.dir); code != 0 {
		t.Errorf("a copy to another disk: exit %d, %s", code, said)
	}
	here := filepath.Join(disk, "copy.db")
	if _, said, code := command(t, "backup", here, "--data", s.dir); code != 1 || !strings.Contains(said, "disk is full") {
		t.Errorf("a copy to the full disk: exit %d, said %q", code, said)
	}
	if left, _ := filepath.Glob(here + "*"); len(left) > 0 {
		t.Errorf("left of the copy that failed: %v", left)
	}
	again()
	s.done(t, s.station, last, nil)
	end := s.board(t).Seq
	kept := map[int64]bool{}
	for _, c := range until(t, s.events(t, s.screen, "?after=0", ""), end) {
		kept[c.Data.Seq] = true
	}
	for seq := range acknowledged {
		if !kept[seq] {
			t.Errorf("scan %d was acknowledged and is gone", seq)
		}
	}
	interrupt(t, cmd)
	s.audit(t)
}

// TestFullDiskAtStart: neither a new shop nor one that is there opens on a full disk, and neither is harmed; a restore
// that finds no room leaves the shop as it was.
func TestFullDiskAtStart(t *testing.T) {
	disk := smallDisk(t, "2048")
	s := serveShop(t, filepath.Join(disk, "shop"))
	s.office = s.token(t, "Office", "office")
	f := s.release(t, "FULL-2")
	backup := filepath.Join(t.TempDir(), "copy.db")
	if _, said, code := command(t, "backup", backup, "--data", s.dir); code != 0 {
		t.Fatal(said)
	}
	s.stop()
	again := fillDisk(t, disk)
	for _, args := range [][]string{serveArgs(s.dir), serveArgs(filepath.Join(disk, "new")), {"restore", backup, "--data", s.dir}} {
		if out, said, code := command(t, args...); code != 1 || !strings.Contains(said, "disk") || !strings.Contains(said, "full") || out != "" {
			t.Errorf("%v on a full disk: exit %d, said %q", args, code, said)
		}
	}
	again()
	s = serveShop(t, s.dir)
	s.office = s.token(t, "Office again", "office")
	s.station = s.office
	s.look(t, f.panels[0].Ticket)
	s.audit(t)
}

// TestReadOnlyDisk: a shop on a disk that takes no writing isn't served, and says so.
func TestReadOnlyDisk(t *testing.T) {
	disk := smallDisk(t, "2048")
	s := serveShop(t, filepath.Join(disk, "shop"))
	s.stop()
	remount := func(flags uintptr) {
		if err := syscall.Mount("tmpfs", disk, "tmpfs", syscall.MS_REMOUNT|flags, ""); err != nil {
			t.Fatal(err)
		}
	}
	remount(syscall.MS_RDONLY)
	for _, args := range [][]string{serveArgs(s.dir), serveArgs(filepath.Join(disk, "new")), {"backup", filepath.Join(t.TempDir(), "copy.db"), "--data", s.dir}, {"token", "x", "--role", "screen", "--data", s.dir}} {
		if _, said, code := command(t, args...); code != 1 || !strings.Contains(said, "takes no writing") {
			t.Errorf("%v on a read-only disk: exit %d, said %q", args, code, said)
		}
	}
	remount(0)
	serveShop(t, s.dir).audit(t)
}

// TestBrowserOnAFullDisk: a bench whose scan finds no room keeps it, says that it is the disk, and sends it again
// until there is room.
func TestBrowserOnAFullDisk(t *testing.T) {
	disk := smallDisk(t, "4096")
	c := startChromium(t)
	s := serveShop(t, filepath.Join(disk, "shop"))
	s.office, s.station = s.token(t, "Office", "office"), s.token(t, "Bench", "station")
	f := s.release(t, "FULL-3", manyWindows("2")...)
	f.cutAll(t)
	p := c.signIn(t, s).tab(t, 1280, 800, "/station/joining")
	again := fillDisk(t, disk)
	for i, status := 0, http.StatusOK; status == http.StatusOK && i < 5000; i++ {
		status = s.send(t, request{as: s.station, do: "POST /api/scans",
			send: scan(f.panels[1].Ticket, []string{"hold", "resume"}[i%2], "", "reason", strings.Repeat("no room ", 20))}).status
	}
	p.scan(f.panels[0].Ticket, "held")
	if text := p.sees("#answer .said.held"); !strings.Contains(text, "disk") || strings.Contains(text, "network") {
		t.Errorf("on a full disk the bench is told %q", text)
	}
	again()
	p.wait(`document.querySelector('#answer .said.done')`)
	s.expect(t, f.panels[0].Ticket, "joining", "at_work")
	s.audit(t)
}
