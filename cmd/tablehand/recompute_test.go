package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var reSeed = flag.Int64("recompute.seed", 20260101, "seed of the random orders that are worked out twice")

// TestRecompute lets the program and the second program work random orders out and wants no difference in any number: 2,000
// orders, 50,000 with TABLEHAND_LONG=1. Every tenth is explained too, and its trails are held against its numbers.
func TestRecompute(t *testing.T) {
	orders := 2000
	if os.Getenv("TABLEHAND_LONG") != "" {
		orders = 50000
	}
	const shards = 4
	for shard := range shards {
		t.Run(fmt.Sprint(shard), func(t *testing.T) {
			t.Parallel()
			dir, failures := t.TempDir(), 0
			for i := shard; i < orders && failures < 3; i += shards {
				if !reCheckOrder(t, dir, i) {
					failures++
				}
			}
		})
	}
}

// reCheckOrder works order i out twice and reports whether both agree.
func reCheckOrder(t *testing.T, dir string, i int) bool {
	t.Helper()
	o, rng := reRandomOrder(*reSeed, i)
	file := reWriter{rng}.file(o)
	path := filepath.Join(dir, "order.yaml")
	if err := os.WriteFile(path, []byte(file), 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"workup", path, "--format", "json"}
	if i%10 == 0 {
		args = append(args, "--explain")
	}
	var stdout, stderr bytes.Buffer
	err := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr)
	diffs := reCompare(stdout.Bytes(), exitCode(err), o.work(), i%10 == 0)
	if len(diffs) == 0 {
		return true
	}
	t.Errorf("order %d of seed %d differs:\n  %s\nthe file:\n%s\nstderr: %s", i, *reSeed, strings.Join(diffs, "\n  "), file, stderr.String())
	return false
}

// reCompare holds the program's output and exit code against the second program's.
func reCompare(stdout []byte, exit int, want reWork, explained bool) []string {
	var d reDiffs
	got, err := reDecode(stdout)
	if err != nil {
		return []string{fmt.Sprintf("not JSON: %v: %.200s", err, stdout)}
	}
	if got["treatments"] == nil {
		return []string{fmt.Sprintf("the file was not used: %s", stdout)}
	}
	if exit != want.exit {
		d.add("exit code", "is %d, want %d", exit, want.exit)
	}
	d.tree("", got, want.tree)
	d.problems(got["problems"], want)
	if explained {
		treatments, _ := got["treatments"].([]any)
		for i, tr := range treatments {
			tr, _ := tr.(map[string]any)
			panels, _ := tr["panels"].([]any)
			for k, panel := range panels {
				panel, _ := panel.(map[string]any)
				d.trails(fmt.Sprintf(".treatments[%d].panels[%d]", i, k), panel)
			}
		}
	}
	return d
}
