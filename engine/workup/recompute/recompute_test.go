// Package recompute works random orders out a second time, by a program that shares nothing with the first but the meaning
// of an order file. Only recompute_test.go looks at the engine, and only to let it work.
package recompute

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

var reSeed = flag.Int64("recompute.seed", 20260101, "seed of the random orders that are worked out twice")

// TestRecompute lets the program and the second program work random orders out and wants no difference in any number: 20,000
// orders over all headings, 200,000 with TABLEHAND_LONG=1. Every twentieth is explained too, and its trails are held
// against its numbers.
func TestRecompute(t *testing.T) {
	orders := reMany(200_000, 20_000)
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

// reMany is how many there are of something: in the long tier, or else.
func reMany(long, quick int) int {
	if os.Getenv("TABLEHAND_LONG") != "" {
		return long
	}
	return quick
}

// reCheckOrder works order i out twice and reports whether both agree.
func reCheckOrder(t *testing.T, i int) bool {
	t.Helper()
	o, rng := reRandomOrder(*reSeed, i)
	file, explained := reWriter{rng}.file(o), i%20 == 0
	written, exit := reWorkedOut(t, file, explained)
	diffs := reCompare(written, exit, o.work(), explained)
	if len(diffs) == 0 {
		return true
	}
	t.Errorf("order %d of seed %d differs:\n  %s\nthe file:\n%s", i, *reSeed, strings.Join(diffs, "\n  "), file)
	return false
}

// reWorkedOut lets the program work a file out. It returns the JSON that the program writes, and the exit code: 1 where the work has
// an error. Keys of the catalogue stand for its sentences.
func reWorkedOut(t *testing.T, file string, explained bool) (written []byte, exit int) {
	t.Helper()
	say := func(p engine.Problem) string { return p.Code }
	order, problems := orderfile.Parse([]byte(file))
	doc := workup.RefusedDocument(problems, say)
	if order != nil {
		w := workup.Compute(order)
		problems = append(problems, w.Problems...)
		w.Problems = problems
		doc = w.Document(explained, say, func(key string) string { return key })
	}
	if engine.AnyError(problems) {
		exit = 1
	}
	written, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	return written, exit
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
			d.rowTrails(fmt.Sprintf(".treatments[%d]", i), tr, "fabrics")
		}
		totals, _ := got["totals"].(map[string]any)
		d.rowTrails(".totals", totals, "fabrics", "tape", "buckram", "thread", "hooks", "mass")
	}
	return d
}
