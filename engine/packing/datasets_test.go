package packing

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// The published sets are not part of the project. TABLEHAND_CUTTING names a folder with them, one file a set: the number of
// instances, then of each its name, "length count best bound" and its lengths, as 98x3 for 98 three times; of several lengths of
// stock, "classes count best bound", the classes as length:cost, and the lengths.

// instance is one of a published set.
type instance struct {
	name        string
	problem     Problem
	best, bound int64 // as published
}

// published reads a set, and skips where it isn't.
func published(t testing.TB, set string) []instance {
	t.Helper()
	dir := os.Getenv("TABLEHAND_CUTTING")
	if dir == "" {
		t.Skip("TABLEHAND_CUTTING names no folder with the published sets")
	}
	data, err := os.ReadFile(filepath.Join(dir, set+".txt"))
	if err != nil {
		t.Skip(err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")[1:]
	several := strings.HasPrefix(set, "vsbpp")
	var list []instance
	for len(lines) >= 3 {
		head := strings.Fields(lines[1])
		in := instance{name: strings.TrimSpace(lines[0]), best: number(t, head[2]), bound: number(t, head[3])}
		in.problem.Classes = []Class{{number(t, head[0]), 1, -1}}
		if several {
			in.problem.Classes = nil
			for _, c := range strings.Fields(lines[2]) {
				length, cost, _ := strings.Cut(c, ":")
				in.problem.Classes = append(in.problem.Classes, Class{number(t, length), number(t, cost), -1})
			}
			lines = lines[1:]
		}
		for _, f := range strings.Fields(lines[2]) {
			length, count, many := strings.Cut(f, "x")
			k := Kind{number(t, length), 1}
			if many {
				k.Want = int(number(t, count))
			}
			if n := len(in.problem.Kinds); n > 0 && in.problem.Kinds[n-1].Length == k.Length {
				in.problem.Kinds[n-1].Want += k.Want
			} else {
				in.problem.Kinds = append(in.problem.Kinds, k)
			}
		}
		lines = lines[3:]
		list = append(list, in)
	}
	return list
}

func number(t testing.TB, text string) int64 {
	t.Helper()
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// counter is a meter.
type counter struct{ left, used int64 }

func (c *counter) Spend(units int64) { c.used += units }
func (c *counter) Done() bool        { return c.used > c.left }

// faults of a solution, from the definitions alone.
func (in *instance) faults(s Solution) (list []string) {
	got := map[int64]int{}
	cost := int64(0)
	for _, f := range s.Fillings {
		c := in.problem.Classes[f.Class]
		cost += c.Cost
		sum := int64(0)
		for _, x := range f.Takes {
			got[in.problem.Kinds[x.Kind].Length] += x.Count
			sum += in.problem.Kinds[x.Kind].Length * int64(x.Count)
		}
		if sum > c.Length {
			list = append(list, fmt.Sprintf("%d on %d", sum, c.Length))
		}
	}
	for _, k := range in.problem.Kinds {
		if got[k.Length] != k.Want {
			list = append(list, fmt.Sprintf("%d times %d, not %d", got[k.Length], k.Length, k.Want))
		}
	}
	if cost != s.Cost {
		list = append(list, fmt.Sprintf("cost %d, not %d", cost, s.Cost))
	}
	if s.Bound > in.best {
		list = append(list, fmt.Sprintf("bound %d over the best known %d", s.Bound, in.best))
	}
	if s.Cost < in.bound {
		list = append(list, fmt.Sprintf("cost %d under the published bound %d", s.Cost, in.bound))
	}
	return list
}

// expected is what share of a set is to be proven, or at the best known cost, with so much work for each.
type expected struct {
	set          string
	work         int64 // of each instance, in the quick tier
	proven, best int   // in hundredths
}

var expectations = []expected{
	{"falkenauer_u", 20e6, 100, 100}, {"falkenauer_t", 200e6, 100, 100}, {"scholl_1", 20e6, 99, 99}, {"scholl_2", 200e6, 97, 97}, {"scholl_3_hard", 1e9, 60, 60},
	{"schwerin", 20e6, 99, 99}, {"waescher", 200e6, 100, 100}, {"random_delorme", 200e6, 97, 97}, {"hard28", 1e9, 70, 70},
	{"vsbpp_monaci", 200e6, 75, 89}, {"vsbpp_haouari", 200e6, 60, 93},
}

// TestPublishedSets: solutions are sound, no bound is over a known solution, none is worse than best fit, and nearly all are proven. The
// quick tier does a few of each; -v prints the table.
func TestPublishedSets(t *testing.T) {
	only := os.Getenv("TABLEHAND_SET")
	for _, e := range expectations {
		if only != "" && !slices.Contains(strings.Split(only, ","), e.set) {
			continue
		}
		t.Run(e.set, func(t *testing.T) {
			list := published(t, e.set)
			long := os.Getenv("TABLEHAND_LONG") != ""
			if !long {
				list = slices.DeleteFunc(list, func(in instance) bool { return len(in.problem.Kinds) > 90 })
				list = list[:min(len(list), 4)]
			}
			work := e.work
			if n, _ := strconv.ParseInt(os.Getenv("TABLEHAND_WORK"), 10, 64); n > 0 {
				work = n
			}
			if name := os.Getenv("TABLEHAND_INSTANCE"); name != "" {
				list = slices.DeleteFunc(list, func(in instance) bool { return !strings.Contains(in.name, name) })
			}
			r := results{}
			for _, in := range list {
				r.solve(t, &in, work)
			}
			r.print(t, e.set)
			if n := len(list); long && (r.proven*100 < e.proven*n || r.best*100 < e.best*n) {
				t.Errorf("%d of %d proven, %d at the best known", r.proven, n, r.best)
			}
		})
	}
}

type results struct {
	n, proven, best, quick, soon int
	took                         []time.Duration
}

func (r *results) solve(t *testing.T, in *instance, work int64) {
	t.Helper()
	m := &counter{left: work}
	begin := taken()
	s := Solve(in.problem, m)
	took := taken() - begin
	if faults := in.faults(s); len(faults) > 0 {
		t.Fatalf("%s: %v", in.name, faults)
	}
	r.n++
	r.took = append(r.took, took)
	proven := s.Cost == s.Bound
	if proven {
		r.proven++
		if took <= 50*time.Millisecond {
			r.quick++
		}
		if took <= 250*time.Millisecond {
			r.soon++
		}
	}
	if s.Cost <= in.best {
		r.best++
	}
	if !proven || os.Getenv("TABLEHAND_OPEN") == "all" {
		t.Logf("%-22s cost %d, bound %d, best known %d, bound %d; %v, work %d M", in.name, s.Cost, s.Bound, in.best, in.bound, took.Round(100*time.Microsecond), m.used/1e6)
	}
	plain := (&solver{Problem: in.problem, meter: m}).bestFit((&solver{Problem: in.problem}).wants(), 0)
	if cost := (&solver{Problem: in.problem}).cost(plain); plain != nil && len(in.problem.Classes) == 1 && s.Cost > cost {
		t.Errorf("%s: %d, by best fit %d", in.name, s.Cost, cost)
	}
}

func (s *solver) cost(list []Filling) (sum int64) {
	for _, f := range list {
		sum += s.Classes[f.Class].Cost
	}
	return sum
}

func (r *results) print(t *testing.T, set string) {
	t.Helper()
	if r.n == 0 {
		return
	}
	slices.Sort(r.took)
	t.Logf("%-16s %3d instances, %3d proven, %3d within 50 ms, %3d within 250 ms, %3d at the best known; median %v, longest %v", set, r.n, r.proven, r.quick, r.soon, r.best,
		r.took[r.n/2].Round(100*time.Microsecond), r.took[r.n-1].Round(time.Millisecond))
}
