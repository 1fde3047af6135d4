package mutants

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// room is what is broken together: the files of some folders, and the packages whose tests have to notice.
type room struct {
	dirs  []string
	tests []string
	share int // of the mutants, in hundredths
}

// rooms are where a break costs cloth, money or data.
var rooms = []room{
	{[]string{"engine/measure"}, []string{"./engine/measure"}, 8},
	{[]string{"engine/orderfile"}, []string{"./engine/orderfile"}, 8},
	{[]string{"engine/workup"}, []string{"./engine/workup"}, 20},
	{[]string{"engine/cutting"}, []string{"./engine/cutting"}, 9},
	{[]string{"engine/billing"}, []string{"./engine/billing"}, 5},
	{[]string{"stations"}, []string{"./stations"}, 30},
	{[]string{"server/store"}, []string{"./server/store"}, 8},
	{[]string{"server/desk", "server/edge", "server/api", "server/web"}, []string{"./server/desk", "./server/edge", "./server/web", "./server"}, 12},
}

// enough is what share of the mutants has to be noticed, in percent.
const enough = 90

// patience is how long the tests of one break may take; a break that makes them go on for ever is noticed too.
const patience = 4 * time.Minute

// TestMutants breaks the program many times. Each break that no test notices has to stand in survivors.txt with the reason why
// that is right. How many: TABLEHAND_MUTANTS, in the long tier 40. TABLEHAND_MUTANTS_IN=stations does one folder.
func TestMutants(t *testing.T) {
	many, _ := strconv.Atoi(os.Getenv("TABLEHAND_MUTANTS"))
	if many == 0 && os.Getenv("TABLEHAND_LONG") != "" {
		many = 40
	}
	if many == 0 {
		t.Skip("takes hours: TABLEHAND_MUTANTS=200 tries 200 mutants")
	}
	root := moduleRoot(t)
	known := survivors(t)
	var jobs []job
	for _, r := range rooms {
		jobs = append(jobs, jobsIn(t, root, r, max(1, many*r.share/100))...)
	}
	killed, alive := try(t, root, jobs)
	var unexplained, stale []string
	for _, m := range alive {
		if known[m.name()] == "" {
			unexplained = append(unexplained, fmt.Sprintf("%s (line %d)", m.name(), m.Line))
		}
	}
	for _, m := range killed {
		if known[m.name()] != "" {
			stale = append(stale, m.name())
		}
	}
	all := len(killed) + len(alive)
	t.Logf("%d mutants, %d noticed: %d %%", all, len(killed), 100*len(killed)/max(1, all))
	for _, name := range unexplained {
		t.Errorf("no test notices %s", name)
	}
	for _, name := range stale {
		t.Errorf("a test notices %s: take it off survivors.txt", name)
	}
	if 100*len(killed) < enough*all {
		t.Errorf("%d of %d are noticed, fewer than %d %%", len(killed), all, enough)
	}
}

// job is a mutant and the tests that have to notice it; spare ones take the place of those that don't compile.
type job struct {
	of    []mutant // the first that compiles
	tests []string
}

// jobsIn chooses so many mutants of a room, the same each time while its code is the same.
func jobsIn(t *testing.T, root string, r room, many int) []job {
	if only := os.Getenv("TABLEHAND_MUTANTS_IN"); only != "" && !slices.Contains(r.dirs, only) {
		return nil
	}
	var all []mutant
	for _, dir := range r.dirs {
		files, err := filepath.Glob(filepath.Join(root, dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range files {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			of, err := mutantsOf(path)
			if err != nil {
				t.Fatal(err)
			}
			for i := range of {
				of[i].File, _ = filepath.Rel(root, path)
			}
			all = append(all, of...)
		}
	}
	random := rand.New(rand.NewPCG(2, uint64(len(r.dirs[0]))))
	random.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	jobs := make([]job, min(many, len(all)))
	for i, m := range all {
		if n := i % len(jobs); len(jobs[n].of) < 4 {
			jobs[n].of = append(jobs[n].of, m)
			jobs[n].tests = r.tests
		}
	}
	return jobs
}

// try works the jobs off, in a copy of the program for each core.
func try(t *testing.T, root string, jobs []job) (killed, alive []mutant) {
	var mu sync.Mutex
	var wait sync.WaitGroup
	next := make(chan job)
	for range min(runtime.NumCPU(), 2) {
		copied := copyTree(t, root)
		wait.Go(func() {
			for j := range next {
				for _, m := range j.of {
					compiles, noticed := tryOne(t, copied, m, j.tests)
					if !compiles {
						continue
					}
					mu.Lock()
					if noticed {
						killed = append(killed, m)
					} else {
						alive = append(alive, m)
						t.Logf("alive: %s (line %d)", m.name(), m.Line)
					}
					mu.Unlock()
					break
				}
			}
		})
	}
	for _, j := range jobs {
		next <- j
	}
	close(next)
	wait.Wait()
	return killed, alive
}

// tryOne breaks the copy, runs the tests, and mends it again.
func tryOne(t *testing.T, copied string, m mutant, tests []string) (compiles, noticed bool) {
	path := filepath.Join(copied, m.File)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Error(err)
		return false, false
	}
	defer os.WriteFile(path, whole, 0o600)
	if err := os.WriteFile(path, m.source, 0o600); err != nil {
		t.Error(err)
		return false, false
	}
	if run(copied, "go", "vet", "./"+filepath.ToSlash(filepath.Dir(m.File))) != nil && run(copied, "go", "build", "./"+filepath.ToSlash(filepath.Dir(m.File))) != nil {
		return false, false
	}
	for _, pkg := range tests {
		if run(copied, "go", "test", "-failfast", "-count=1", "-timeout", patience.String(), pkg) != nil {
			return true, true
		}
	}
	return true, false
}

func run(dir, name string, args ...string) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience+time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = dir
	cmd.Env = slices.DeleteFunc(os.Environ(), func(e string) bool { return strings.HasPrefix(e, "TABLEHAND_") || strings.HasPrefix(e, "CI=") })
	return cmd.Run()
}

// copyTree copies what belongs to the program, so that tests that fail leave nothing in it.
func copyTree(t *testing.T, root string) string {
	to := t.TempDir()
	out, err := exec.Command("git", "-C", root, "ls-files", "--cached", "--others", "--exclude-standard").Output()
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("CI works on a git checkout: ", err)
	}
	if err != nil {
		t.Skip("not a git checkout: ", err)
	}
	for line := range strings.Lines(string(out)) {
		name := strings.TrimSpace(line)
		source, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			continue // taken off, and not committed yet
		}
		if err := os.MkdirAll(filepath.Join(to, filepath.Dir(name)), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(to, name), source, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return to
}

// survivors reads the list of those that may live: a name, then indented why.
func survivors(t *testing.T) map[string]string {
	text, err := os.ReadFile("survivors.txt")
	if err != nil {
		t.Fatal(err)
	}
	reasons := map[string]string{}
	name := ""
	for line := range strings.Lines(string(text)) {
		switch {
		case strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "\t"):
			reasons[name] += strings.TrimSpace(line)
		default:
			name = strings.TrimSpace(line)
			reasons[name] = ""
		}
	}
	for name, why := range reasons {
		if why == "" {
			t.Errorf("survivors.txt doesn't say why %s may live", name)
		}
	}
	return reasons
}

func moduleRoot(t *testing.T) string {
	out, err := exec.Command("go", "env", "GOMOD").Output()
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Dir(strings.TrimSpace(string(out)))
}

// TestMutantsOfAFile holds the breaking itself to an example: each kind of break, where it belongs and nowhere else.
func TestMutantsOfAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.go")
	source := `package a

func f(a, b int, names []string) (n int) {
	for _, name := range names {
		if a <= b && name != "" {
			continue
		}
		n++
		n += a - b
		println(name)
	}
	return n * 2
}
`
	if err := os.WriteFile(path, []byte(source), 0o600); err != nil {
		t.Fatal(err)
	}
	of, err := mutantsOf(path)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]int{}
	for _, m := range of {
		got[m.What]++
		if string(m.source) == source {
			t.Errorf("%s changes nothing", m.name())
		}
	}
	want := map[string]int{"always": 1, "never": 1, "|| for &&": 1, "< for <=": 1, "== for !=": 1, "break for continue": 1, "-- for ++": 1, "-= for +=": 1,
		"+ for -": 1, "operands swapped": 1, "a call left out": 1, "/ for *": 1}
	if !maps.Equal(got, want) {
		t.Errorf("found %v, want %v", got, want)
	}
}
