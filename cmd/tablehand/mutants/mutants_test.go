package mutants

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"maps"
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

// room is what is broken together: the files of some folders. The tests of a folder have to notice what is broken in it, or those of
// the packages named.
type room struct {
	dirs  []string
	tests []string // beside the folder's own
	share int      // of the mutants, in hundredths
}

// rooms are where a break costs cloth, money or data.
var rooms = []room{
	{[]string{"engine/measure"}, nil, 8},
	{[]string{"engine", "engine/orderfile"}, []string{"engine/orderfile"}, 10},
	{[]string{"engine/workup"}, nil, 20},
	{[]string{"engine/cutting"}, nil, 8},
	{[]string{"engine/billing"}, nil, 5},
	{[]string{"stations", "stations/board"}, nil, 27},
	{[]string{"server/store", "server/auth", "server/cache", "server/live", "server/picture"}, nil, 12},
	{[]string{"server", "server/desk", "server/edge", "server/api", "server/web"}, []string{"server"}, 10},
}

// enough is what share of the mutants has to be noticed, in percent.
const enough = 90

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
	done := try(t, root, jobs)
	var killed, alive []mutant
	for _, r := range rooms {
		tried, noticed, late := 0, 0, 0
		for _, d := range done {
			if !slices.Contains(r.dirs, path.Dir(d.File)) {
				continue
			}
			tried++
			switch d.verdict {
			case lives:
				alive = append(alive, d.mutant)
				continue
			case hangs:
				late++
			}
			noticed++
			killed = append(killed, d.mutant)
		}
		if tried > 0 {
			t.Logf("%s: %d tried, %d noticed, %d of them by going on for ever", r.dirs[len(r.dirs)-1], tried, noticed, late)
		}
	}
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

// job is a mutant and the packages whose tests have to notice it; spare ones take the place of those that don't compile.
type job struct {
	of    []mutant // the first that compiles
	tests []string
}

// jobsIn chooses so many mutants of a room: those whose names have the lowest sums, so that a change of one file leaves the choice in
// the others as it was.
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
		for _, file := range files {
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			of, err := mutantsOf(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range of {
				m.File = path.Join(dir, filepath.Base(file))
				all = append(all, m)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b mutant) int {
		return cmp.Or(cmp.Compare(sum(a.name()), sum(b.name())), strings.Compare(a.name(), b.name()))
	})
	jobs := make([]job, min(many, len(all)))
	for i, m := range all {
		if n := i % len(jobs); len(jobs[n].of) < 4 {
			jobs[n].of = append(jobs[n].of, m)
		}
	}
	for i := range jobs {
		jobs[i].tests = r.tests
	}
	return jobs
}

func sum(name string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(name))
	return h.Sum64()
}

// outcome is a mutant and what the tests said of it.
type outcome struct {
	mutant
	verdict
}

// try works the jobs off, in a copy of the program for each core.
func try(t *testing.T, root string, jobs []job) (done []outcome) {
	var mu sync.Mutex
	var wait sync.WaitGroup
	next := make(chan job)
	for range min(runtime.NumCPU(), 2) {
		b := bench{root: copyTree(t, root), bin: t.TempDir(), patience: map[string]time.Duration{}}
		wait.Go(func() {
			for j := range next {
				for _, m := range j.of {
					v, err := b.try(m, j.tests)
					if err != nil {
						t.Error(err)
					}
					if v == isNoProgram {
						continue
					}
					mu.Lock()
					done = append(done, outcome{m, v})
					t.Logf("%s: %s (line %d)", v, m.name(), m.Line)
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
	return done
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

// TestEveryRoomIsBroken finds a package of the engine, the floor or the server that no room names, and a room that is gone.
func TestEveryRoomIsBroken(t *testing.T) {
	root := moduleRoot(t)
	var there, named []string
	for _, top := range []string{"engine", "stations", "server"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(file string, _ os.DirEntry, err error) error {
			if strings.HasSuffix(file, ".go") && !strings.HasSuffix(file, "_test.go") {
				dir, _ := filepath.Rel(root, filepath.Dir(file))
				there = append(there, filepath.ToSlash(dir))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	shares := 0
	for _, r := range rooms {
		named = append(named, r.dirs...)
		shares += r.share
	}
	slices.Sort(there)
	there = slices.Compact(there)
	for _, dir := range there {
		if !slices.Contains(named, dir) {
			t.Errorf("no room of mutants_test.go names %s", dir)
		}
	}
	for _, dir := range named {
		if !slices.Contains(there, dir) {
			t.Errorf("mutants_test.go names %s, where nothing is", dir)
		}
	}
	if shares != 100 {
		t.Errorf("the rooms' shares are %d hundredths", shares)
	}
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
