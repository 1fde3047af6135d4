package mutants

import (
	"cmp"
	"fmt"
	"go/parser"
	"go/token"
	"hash/fnv"
	"maps"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
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
	{[]string{"engine", "engine/numbering", "engine/orderfile"}, []string{"engine/orderfile", "server/desk"}, 10},
	{[]string{"engine/workup", "engine/workup/sample", "engine/workup/choices", "engine/workup/relief", "engine/pattern", "engine/roll", "engine/purchase", "engine/rows", "engine/opendays"}, nil, 18},
	{[]string{"engine/takeups"}, []string{"engine/workup"}, 2},
	{[]string{"engine/cutting"}, nil, 4},
	{[]string{"engine/cutplan", "engine/packing", "engine/cutfile"}, []string{"engine/cutplan"}, 4},
	{[]string{"engine/billing"}, nil, 5},
	{[]string{"stations", "stations/board", "stations/invoice", "stations/layers", "stations/plan", "stations/refold", "stations/revision", "stations/shelf"}, []string{"stations"}, 27},
	{[]string{"server/store", "server/auth", "server/cache", "server/calendar", "server/copies", "server/live", "server/picture", "server/secure", "server/turns"}, nil, 12},
	{[]string{"server", "server/books", "server/desk", "server/stock", "server/edge", "server/api", "server/web", "server/access", "server/bookroom", "server/shelfroom", "server/taking", "server/ways"}, []string{"server"}, 10},
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
	datasets := cmp.Or(os.Getenv("TABLEHAND_DATASETS"), filepath.Join(filepath.Dir(root), "shared", "datasets"))
	b := &bench{t: t, root: copyTree(t, root), datasets: datasets, bin: t.TempDir(), patience: map[string]time.Duration{}}
	only := os.Getenv("TABLEHAND_MUTANTS_IN")
	var done []outcome
	for _, r := range rooms {
		if only == "" || slices.Contains(r.dirs, only) {
			done = append(done, b.tryAll(r, mutantsIn(t, root, r), max(1, many*r.share/100))...)
		}
	}
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

// mutantsIn are all mutants of a room in an order by chance that stays: by the sums of their names, so that a change of one file leaves
// what is chosen in the others as it was.
func mutantsIn(t *testing.T, root string, r room) []mutant {
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
	return all
}

func sum(name string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(name))
	return h.Sum64()
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
		if string(m.broken([]byte(source), 0, len(source))) == source || m.in == nil {
			t.Errorf("%s changes nothing, or is in no function", m.name())
		}
	}
	out, where := planted([]byte(source), of, []int{1, len(of)})
	if _, err := parser.ParseFile(token.NewFileSet(), "", out, 0); err != nil || len(where) != 2 {
		t.Errorf("planted: %v\n%s", err, out)
	}
	lines := strings.Split(string(out), "\n")
	for i, s := range where {
		if !strings.HasPrefix(lines[s.first-2], fmt.Sprintf("case %d:", s.number)) || !strings.HasPrefix(lines[s.last-1], "}()") {
			t.Errorf("mutant %d doesn't stand in lines %d to %d of\n%s", i+1, s.first, s.last, out)
		}
	}
	if bad := where.named([]byte("a.go:1:1: no such thing")); len(bad) != 0 {
		t.Errorf("%v are at the first line", bad)
	}
	want := map[string]int{"always": 1, "never": 1, "|| for &&": 1, "< for <=": 1, "== for !=": 1, "break for continue": 1, "-- for ++": 1, "-= for +=": 1,
		"+ for -": 1, "operands swapped": 1, "a call left out": 1, "/ for *": 1}
	if !maps.Equal(got, want) {
		t.Errorf("found %v, want %v", got, want)
	}
}
