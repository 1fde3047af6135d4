package mutants

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// verdict is what the tests say of a mutant.
type verdict string

const (
	dies  verdict = "noticed"
	hangs verdict = "noticed, goes on for ever"
	lives verdict = "ALIVE"
)

// outcome is a mutant and what the tests said of it.
type outcome struct {
	mutant
	verdict
}

// bench is a copy of the program, in which a room is broken. All its mutants are compiled at once, each in its branch of the
// function that it is in; which of them is in force the environment says. So what takes long is done once.
type bench struct {
	t        *testing.T
	root     string
	datasets string                   // that lie beside the checkout
	bin      string                   // for the compiled tests
	patience map[string]time.Duration // how long the tests of a package may take
}

// tryAll tries so many of a room's mutants, those first in the list that compile.
func (b *bench) tryAll(r room, all []mutant, many int) []outcome {
	inside := slices.DeleteFunc(slices.Clone(all), func(m mutant) bool { return m.in == nil })
	inside = b.compileAll(r, inside[:min(len(inside), many+many/2+4)])
	chosen := inside[:min(len(inside), many)]
	for _, dir := range r.tested(b) {
		began := time.Now()
		if err := b.run(dir, 0, 30*time.Minute); err != nil {
			b.t.Fatalf("%s, unbroken: %v", dir, err)
		}
		b.patience[dir] = time.Minute + 5*time.Since(began)
	}
	var mu sync.Mutex
	var wait sync.WaitGroup
	var done []outcome
	next := make(chan int)
	for range min(runtime.NumCPU(), 2) {
		wait.Go(func() {
			for i := range next {
				m := chosen[i]
				v := b.verdictOn(r, m, i+1)
				mu.Lock()
				done = append(done, outcome{m, v})
				mu.Unlock()
				b.t.Logf("%s: %s (line %d)", v, m.name(), m.Line)
			}
		})
	}
	for i := range chosen {
		next <- i
	}
	close(next)
	wait.Wait()
	return done
}

// verdictOn runs the tests that have to notice a mutant: those of its own package, then the others of its room.
func (b *bench) verdictOn(r room, m mutant, number int) verdict {
	for _, dir := range r.testsOf(b, path.Dir(m.File)) {
		err := b.run(dir, number, b.patience[dir])
		if errors.Is(err, context.DeadlineExceeded) {
			return hangs
		}
		if err != nil {
			return dies
		}
	}
	return lives
}

// testsOf are the packages whose tests have to notice what is broken in a folder.
func (r room) testsOf(b *bench, own string) []string {
	dirs := append([]string{own}, slices.DeleteFunc(slices.Clone(r.tests), func(dir string) bool { return dir == own })...)
	return slices.DeleteFunc(dirs, func(dir string) bool { return !b.hasTests(dir) })
}

// tested are all packages whose tests the room needs.
func (r room) tested(b *bench) []string {
	var all []string
	for _, dir := range r.dirs {
		all = append(all, r.testsOf(b, dir)...)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func (b *bench) hasTests(dir string) bool {
	files, _ := filepath.Glob(filepath.Join(b.root, dir, "*_test.go"))
	return len(files) > 0
}

// compileAll compiles the room's tests with the mutants in it, and returns those that compile. Each has its place in the list
// as its number, counted from 1. The files on disk are as before afterwards: some tests read them.
func (b *bench) compileAll(r room, all []mutant) []mutant {
	for {
		originals, spans := b.plant(all)
		out, err := b.compile(r)
		for file, source := range originals {
			if err := os.WriteFile(filepath.Join(b.root, file), source, 0o600); err != nil {
				b.t.Fatal(err)
			}
		}
		for dir := range dirsOf(all) {
			os.Remove(filepath.Join(b.root, dir, inForceFile))
		}
		if err == nil {
			return all
		}
		bad := spans.named(out)
		if len(bad) == 0 {
			b.t.Fatalf("the tests don't compile: %v\n%s", err, out)
		}
		var good []mutant
		for i, m := range all {
			if !bad[i+1] {
				good = append(good, m)
			}
		}
		all = good
	}
}

func (b *bench) compile(r room) (out []byte, err error) {
	for _, dir := range r.tested(b) {
		cmd := exec.Command("go", "test", "-c", "-trimpath", "-vet=off", "-gcflags=-e", "-ldflags=-s -w", "-o", b.binary(dir), "./"+dir)
		cmd.Dir = b.root
		if out, err = cmd.CombinedOutput(); err != nil {
			return out, err
		}
	}
	return nil, nil
}

func (b *bench) binary(dir string) string {
	return filepath.Join(b.bin, strings.ReplaceAll(dir, "/", "-")+".test")
}

// beyond are tests that a busy machine fails by itself: what they say of a break is worth nothing.
const beyond = "^TestSoak$"

// run runs a package's compiled tests with a mutant in force, 0 for none. They do without the searches for the smallest example,
// which only people need, and keep no example for the next run, which is of another break. What fills the memory is stopped
// at 8 GB.
func (b *bench) run(dir string, number int, patience time.Duration) error {
	args := []string{"-c", `ulimit -v 8000000 2>/dev/null; exec "$@"`, "sh", b.binary(dir), "-test.failfast", "-test.short", "-test.skip", beyond, "-test.timeout", "0"}
	if b.randomly(dir) {
		args = append(args, "-rapid.nofailfile", "-rapid.shrinktime", "1ms")
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	cmd := exec.CommandContext(ctx, "sh", args...)
	cmd.Dir = filepath.Join(b.root, dir)
	cmd.WaitDelay = 10 * time.Second
	cmd.Env = slices.DeleteFunc(os.Environ(), func(e string) bool { return strings.HasPrefix(e, "TABLEHAND_") || strings.HasPrefix(e, "CI=") })
	cmd.Env = append(cmd.Env, inForce+"="+strconv.Itoa(number), "TABLEHAND_DATASETS="+b.datasets)
	out, err := cmd.CombinedOutput()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}

// randomly reports whether tests of a package use rapid, and take its flags.
func (b *bench) randomly(dir string) bool {
	files, _ := filepath.Glob(filepath.Join(b.root, dir, "*_test.go"))
	return slices.ContainsFunc(files, func(file string) bool {
		source, _ := os.ReadFile(file)
		return strings.Contains(string(source), `"pgregory.net/rapid"`)
	})
}
