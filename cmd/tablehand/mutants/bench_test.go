package mutants

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// verdict is what the tests say of a mutant.
type verdict string

const (
	isNoProgram verdict = "doesn't compile"
	dies        verdict = "noticed"
	hangs       verdict = "noticed, goes on for ever"
	lives       verdict = "ALIVE"
)

// bench is a copy of the program that is broken and mended.
type bench struct {
	root     string
	bin      string                   // for the compiled tests
	patience map[string]time.Duration // how long the tests of a package may take
}

// try breaks the copy, runs the tests that have to notice, the package's own first, and mends it again. The error is of files, or
// says that the tests fail before anything is broken.
func (b bench) try(m mutant, tests []string) (verdict, error) {
	own := path.Dir(m.File)
	tests = append([]string{own}, slices.DeleteFunc(slices.Clone(tests), func(dir string) bool { return dir == own })...)
	tests = slices.DeleteFunc(tests, func(dir string) bool { return !b.hasTests(dir) })
	for _, dir := range tests {
		if err := b.learn(dir); err != nil {
			return isNoProgram, err
		}
	}
	file := filepath.Join(b.root, m.File)
	whole, err := os.ReadFile(file)
	if err != nil {
		return isNoProgram, err
	}
	defer os.WriteFile(file, whole, 0o600)
	if err := os.WriteFile(file, m.source, 0o600); err != nil {
		return isNoProgram, err
	}
	for _, dir := range tests {
		if b.compile(dir) != nil {
			return isNoProgram, nil
		}
		err := b.run(dir, b.patience[dir])
		if errors.Is(err, context.DeadlineExceeded) {
			return hangs, nil
		}
		if err != nil {
			return dies, nil
		}
	}
	return lives, nil
}

// learn runs a package's tests before anything is broken: they have to pass, and their time is the measure of those that go on for ever.
func (b bench) learn(dir string) error {
	if b.patience[dir] > 0 {
		return nil
	}
	if err := b.compile(dir); err != nil {
		return err
	}
	began := time.Now()
	if err := b.run(dir, 20*time.Minute); err != nil {
		return fmt.Errorf("%s, unbroken: %w", dir, err)
	}
	b.patience[dir] = time.Minute + 5*time.Since(began)
	return nil
}

func (b bench) hasTests(dir string) bool {
	files, _ := filepath.Glob(filepath.Join(b.root, dir, "*_test.go"))
	return len(files) > 0
}

func (b bench) compile(dir string) error {
	cmd := exec.Command("go", "test", "-c", "-trimpath", "-vet=off", "-ldflags", "-s -w", "-o", b.binary(dir), "./"+dir)
	cmd.Dir = b.root
	out, err := cmd.CombinedOutput()
	if err != nil {
		return fmt.Errorf("%s: %w: %s", dir, err, out)
	}
	return nil
}

func (b bench) binary(dir string) string {
	return filepath.Join(b.bin, strings.ReplaceAll(dir, "/", "-")+".test")
}

// run runs a package's compiled tests, without the searches for the smallest example, which only people need, and without keeping
// examples for the next run, which is of another break. A break that makes them fill the memory is stopped at 8 GB.
func (b bench) run(dir string, patience time.Duration) error {
	args := []string{"-test.failfast", "-test.short", "-test.timeout", "0"}
	if b.randomly(dir) {
		args = append(args, "-rapid.nofailfile", "-rapid.shrinktime", "1ms")
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	cmd := exec.CommandContext(ctx, "sh", append([]string{"-c", `ulimit -v 8000000 2>/dev/null; exec "$@"`, "sh", b.binary(dir)}, args...)...)
	cmd.Dir = filepath.Join(b.root, dir)
	cmd.WaitDelay = 10 * time.Second
	cmd.Env = slices.DeleteFunc(os.Environ(), func(e string) bool { return strings.HasPrefix(e, "TABLEHAND_") || strings.HasPrefix(e, "CI=") })
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
func (b bench) randomly(dir string) bool {
	files, _ := filepath.Glob(filepath.Join(b.root, dir, "*_test.go"))
	return slices.ContainsFunc(files, func(file string) bool {
		source, _ := os.ReadFile(file)
		return strings.Contains(string(source), `"pgregory.net/rapid"`)
	})
}
