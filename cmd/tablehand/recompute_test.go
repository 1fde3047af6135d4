package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"tablehand/views/i18n"
)

var reSeed = flag.Int64("recompute.seed", 20260101, "seed of the random orders that are worked out twice")

// TestRecompute lets the program and the second program work random orders out and wants no difference in any number: 20,000
// orders, 100,000 with TABLEHAND_LONG=1. Every twentieth is read from a file by the command line and explained too, and its
// trails are held against its numbers.
func TestRecompute(t *testing.T) {
	orders := 20_000
	if os.Getenv("TABLEHAND_LONG") != "" {
		orders = 100_000
	}
	// Fractions make much garbage that is soon gone: collecting it less often saves a fifth of the time.
	collect := debug.SetGCPercent(400)
	t.Cleanup(func() { debug.SetGCPercent(collect) })
	const shards = 4
	for shard := range shards {
		t.Run(fmt.Sprint(shard), func(t *testing.T) {
			t.Parallel()
			failures := 0
			for i := shard; i < orders && failures < 3; i += shards {
				if !reCheckOrder(t, i) {
					failures++
				}
			}
		})
	}
}

// reCheckOrder works order i out twice and reports whether both agree.
func reCheckOrder(t *testing.T, i int) bool {
	t.Helper()
	o, rng := reRandomOrder(*reSeed, i)
	file, explained := reWriter{rng}.file(o), i%20 == 0
	work := reWorkedOut
	if explained {
		work = func(file string) (stdout []byte, stderr string, exit int) { return reCommandLine(t, file) }
	}
	stdout, stderr, exit := work(file)
	diffs := reCompare(stdout, exit, o.work(), explained)
	if len(diffs) == 0 {
		return true
	}
	t.Errorf("order %d of seed %d differs:\n  %s\nthe file:\n%s\nstderr: %s", i, *reSeed, strings.Join(diffs, "\n  "), file, stderr)
	return false
}

// reCommandLine works a file out as a person would start it, explained.
func reCommandLine(t *testing.T, file string) (stdout []byte, stderr string, exit int) {
	path := filepath.Join(t.TempDir(), "order.yaml")
	if err := os.WriteFile(path, []byte(file), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, complaints bytes.Buffer
	err := run(context.Background(), []string{"workup", path, "--format", "json", "--explain"}, strings.NewReader(""), &out, &complaints)
	return out.Bytes(), complaints.String(), exitCode(err)
}

// reWorkedOut works a file out by the command itself, which spares the time of reading a command line.
func reWorkedOut(file string) (stdout []byte, stderr string, exit int) {
	var out, complaints bytes.Buffer
	e := &env{ctx: context.Background(), stdin: strings.NewReader(file), stdout: &out, stderr: &complaints, words: i18n.For("en")}
	err := (&workupCommand{Order: "-", Format: "json"}).Run(e)
	return out.Bytes(), complaints.String(), exitCode(err)
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
	slices.Sort(d)
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
