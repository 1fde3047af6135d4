package views

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestScripts runs the scripts' own tests by node: what they work out themselves, lengths, the keypad and what a scanner types.
// On CI a missing node is a failure.
func TestScripts(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("node is missing, and CI must have it")
	}
	if err != nil {
		t.Skip("there is no node here")
	}
	tests, err := filepath.Glob("testdata/scripts/*.test.mjs")
	if err != nil || len(tests) == 0 {
		t.Fatal("the scripts have no tests: ", err)
	}
	if out, err := exec.Command(node, append([]string{"--test"}, tests...)...).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
