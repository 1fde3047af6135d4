package server

import (
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestHealth: what a watcher is told, and who is told how old the last copy is.
func TestHealth(t *testing.T) {
	dir := t.TempDir()
	s := openShopIn(t, dir)
	well := map[string]string{"status": "ok", "database": "ok", "disk": "ok", "file": "ok", "copy_age_seconds": ""}
	s.ask(t, scene{as: stations.Screen, do: "GET /healthz", status: 200, has: well})
	if _, err := s.Desk.Store.BackupHere(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.clock.Add(time.Hour)
	s.ask(t, scene{as: stations.Screen, do: "GET /healthz", status: 200, has: map[string]string{"copy_age_seconds": "3600"}})
	s.ask(t, scene{do: "GET /healthz", status: 200, has: well}) // asked from elsewhere, by nobody known
	s.clock.Add(-3 * time.Hour)
	s.ask(t, scene{as: stations.Screen, do: "GET /healthz", status: 200, has: map[string]string{"copy_age_seconds": "0"}})
	path := dir + "/tablehand.db"
	if err := os.Rename(path, path+".aside"); err != nil {
		t.Fatal(err)
	}
	s.ask(t, scene{do: "GET /healthz", status: 503, has: map[string]string{"status": "unwell", "file": "moved", "disk": "ok"}})
	if err := os.Rename(path+".aside", path); err != nil {
		t.Fatal(err)
	}
	s.ask(t, scene{do: "GET /healthz", status: 200, has: well})
}

// TestScanByFormWhileMoved: a bench's page hears of a fault what a program hears, and the scan isn't taken.
func TestScanByFormWhileMoved(t *testing.T) {
	dir := t.TempDir()
	s := openShopIn(t, dir)
	code := s.release(t, "SMI-014")[0]
	path := dir + "/tablehand.db"
	if err := os.Rename(path, path+".aside"); err != nil {
		t.Fatal(err)
	}
	for _, script := range []bool{true, false} {
		got := s.post(t, stations.Bench, "/station/cutting/scan", url.Values{"code": {code}, "action": {"hold"}, "reason": {"a flaw"}, "key": {"k"}}, script)
		if got.status != 503 || script && !strings.Contains(string(got.body), `"data_moved"`) {
			t.Errorf("script %v: %d %s", script, got.status, got.body)
		}
	}
	if err := os.Rename(path+".aside", path); err != nil {
		t.Fatal(err)
	}
	if state := s.Store.Floor().Ticket(plan.Code(code)).State(); state != stations.Ready {
		t.Errorf("the ticket is %s", state)
	}
}
