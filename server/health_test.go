package server

import (
	"os"
	"testing"
	"time"

	"tablehand/stations"
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
