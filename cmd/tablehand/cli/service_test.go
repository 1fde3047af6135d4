package cli_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// TestServiceUnit: the command line of the systemd unit serves a shop, and systemd, where it is there, takes the unit.
func TestServiceUnit(t *testing.T) {
	body, err := os.ReadFile("../tablehand.service")
	if err != nil {
		t.Fatal(err)
	}
	var command []string
	for line := range strings.Lines(string(body)) {
		if line, ok := strings.CutPrefix(line, "ExecStart="); ok {
			command = strings.Fields(line)
		}
	}
	if len(command) < 2 || filepath.Base(command[0]) != "tablehand" {
		t.Fatalf("the unit starts %q", command)
	}
	dir := filepath.Join(t.TempDir(), "shop")
	args := []string{"--listen", "127.0.0.1:0"}
	for i, word := range command[1:] {
		if command[i] == "--data" {
			word = dir
		}
		args = append(args, word)
	}
	args[0], args[1], args[2] = args[2], args[0], args[1] // the subcommand comes first
	shoptest.ServeBy(t, dir, args)
	if _, err := os.Stat(filepath.Join(dir, "tablehand.db")); err != nil {
		t.Error(err)
	}

	analyze, err := exec.LookPath("systemd-analyze")
	switch {
	case err != nil && os.Getenv("CI") != "":
		t.Fatal(err) // .ci/run installs it
	case err != nil:
		t.Skip("no systemd here")
	}
	unit := filepath.Join(t.TempDir(), "tablehand.service")
	if err := os.WriteFile(unit, []byte(strings.Replace(string(body), command[0], "/bin/true", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if said, err := exec.Command(analyze, "verify", unit).CombinedOutput(); err != nil || strings.Contains(string(said), unit) {
		t.Errorf("systemd says: %v %s", err, said)
	}
}
