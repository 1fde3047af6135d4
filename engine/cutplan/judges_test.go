package cutplan

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// judgedJob is a job that is too large to try all ways, and small enough for solvers of whole-number programs.
func judgedJob(r *rand.Rand) cutting.Problem {
	upTo := func(n int) measure.Length { return measure.Length(r.IntN(n + 1)) }
	one := func(n int) bool { return r.IntN(n) == 0 }
	p := cutting.Problem{MinRemnant: 5, Bound: map[string][]string{}}
	if one(3) {
		p.Kerf = 1 + upTo(1)
	}
	if one(4) {
		p.EndAllowance = 1 + upTo(2)
	}
	starts := []measure.Length{0}
	if one(2) {
		p.VerticalRepeat = 3 + upTo(9)
		if one(2) {
			starts = append(starts, p.VerticalRepeat.Div(2))
		}
	}
	switch r.IntN(8) {
	case 0:
		p.Aim = cutting.LeastLength
	case 1:
		p.Aim = cutting.LeastCost
	}
	var lengths []measure.Length
	for range 2 + r.IntN(5) {
		lengths = append(lengths, 7+upTo(25))
	}
	need := measure.Length(0)
	for window, want := 0, 10+r.IntN(21); len(p.Cuts) < want; window++ {
		c := cutting.Cut{Length: lengths[r.IntN(len(lengths))], Group: fmt.Sprint("w", window), Anywhere: one(10)}
		if one(6) {
			c.Group = ""
		} else if one(12) {
			p.Bound[c.Group] = []string{"A"}
		}
		for i := range 1 + r.IntN(5) {
			c.ID, c.Start = fmt.Sprint(window, ".", i), starts[i%len(starts)]
			p.Cuts = append(p.Cuts, c)
			need += c.Length + p.VerticalRepeat/3
		}
	}
	full := 50 + upTo(60)
	lots := 1 + r.IntN(3)
	enough := need + need/3 + full*measure.Length(lots)/2
	if one(8) {
		enough = need * 2 / 3
	}
	for have := measure.Length(0); have < enough; {
		b := cutting.Bolt{ID: fmt.Sprint("R", len(p.Bolts)), Length: full, Lot: string(rune('A' + r.IntN(lots))), Cost: 3 + int64(upTo(3))}
		switch r.IntN(5) {
		case 0:
			b.Length, b.Remnant, b.Cost = 12+upTo(40), true, 0
		case 1:
			b.Length, b.Opened = 20+upTo(80), one(2)
		}
		if p.VerticalRepeat > 0 && one(2) {
			b.FirstRepeat = upTo(int(p.VerticalRepeat) - 1)
		}
		if one(4) {
			from := upTo(int(b.Length) - 4)
			b.Flaws = append(b.Flaws, cutting.Span{From: from, To: from + 1 + upTo(3)})
		}
		p.Bolts = append(p.Bolts, b)
		have += b.Length
	}
	return p
}

// judged is a job with its best plan.
type judged struct {
	name    string
	problem cutting.Problem
	plan    Plan
	works   int // of judgedWorks, how many it took
}

// judgedWorks are what a plan may take, one after the other, until it is the best.
var judgedWorks = []int64{DefaultWork, 200_000_000, 2_000_000_000}

// TestJudgedJobs: plans come to what two solvers of whole-number programs say is the least.
func TestJudgedJobs(t *testing.T) {
	if os.Getenv("TABLEHAND_LONG") == "" {
		t.Skip("takes minutes: TABLEHAND_LONG=1 does it")
	}
	const rounds = 200
	dir := t.TempDir()
	jobs := make([]judged, rounds)
	for seed := range jobs {
		j := &jobs[seed]
		j.name, j.problem = strconv.Itoa(seed), judgedJob(rand.New(rand.NewPCG(uint64(seed), 7)))
		if err := os.WriteFile(filepath.Join(dir, j.name+".lp"), []byte(text(&j.problem)), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, by := range []struct {
		name  string
		judge func(t *testing.T, dir string, jobs []judged) map[string]int64
	}{{"CBC", byCBC}, {"HiGHS", byHiGHS}} {
		t.Run(by.name, func(t *testing.T) {
			least := by.judge(t, dir, jobs)
			soon, short, proven := 0, 0, 0
			for i := range jobs {
				j := &jobs[i]
				got := j.best(t, least[j.name])
				if got != least[j.name] {
					t.Errorf("job %s: %d, by %s %d\n%+v", j.name, got, by.name, least[j.name], j.problem)
				}
				if j.works == 1 {
					soon++
				}
				if j.plan.Short > 0 {
					short++
				}
				if j.plan.Optimal {
					proven++
				}
			}
			t.Logf("%d jobs, %d short of cloth; %d the best with the usual work, %d proven", rounds, short, soon, proven)
			if soon < rounds*9/10 {
				t.Errorf("%d of %d are the best with the usual work", soon, rounds)
			}
		})
	}
}

// best plans with more and more work, until that comes to so much.
func (j *judged) best(t *testing.T, least int64) (got int64) {
	for _, work := range judgedWorks[j.works:] {
		if got = outcomeOf(&j.problem, &j.plan); j.works > 0 && got <= least {
			break
		}
		j.works++
		j.plan = Best(context.Background(), j.problem, Budget{Work: work})
		if faults := Verify(j.problem, j.plan); len(faults) > 0 {
			t.Fatalf("job %s: %v", j.name, faults)
		}
	}
	return outcomeOf(&j.problem, &j.plan)
}

// judgedLeast is what both solvers say of the first jobs.
var judgedLeast = []int64{
	2, 4, 4, 6, 7, 2, 6, 3, 8, 5, 10, 3, 8, 2, 4,
	9, 6, 14, 6, 5, 2, 5, 17, 3, 19, 5, 387, 3, 2183, 559,
	3, 19, 17, 28, 6, 447, 3, 759, 6, 7, 147, 6, 8, 843, 355,
	266, 4, 5, 10, 1, 3, 8, 5, 3, 6, 4, 9, 287, 14, 5,
}

// TestJudgedSoon: with work of about 20 ms plans come to no less than the solvers say, and nearly all to just that.
func TestJudgedSoon(t *testing.T) {
	equal := 0
	for seed, least := range judgedLeast {
		p := judgedJob(rand.New(rand.NewPCG(uint64(seed), 7)))
		plan := Best(context.Background(), p, Budget{Work: 2_000_000})
		switch got := outcomeOf(&p, &plan); {
		case got < least:
			t.Errorf("job %d: %d, where %d is the least\n%+v", seed, got, least, p)
		case got == least:
			equal++
		}
	}
	if equal < 57 {
		t.Errorf("%d of %d jobs come to the least", equal, len(judgedLeast))
	}
}

// noJudge skips where a solver isn't here; on CI that is a failure.
func noJudge(t *testing.T, why string) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatal(why)
	}
	t.Skip(why)
}

func byCBC(t *testing.T, dir string, jobs []judged) map[string]int64 {
	cbc, err := exec.LookPath("cbc")
	if err != nil {
		noJudge(t, "there is no cbc here: apt-get install coinor-cbc brings it")
	}
	least := map[string]int64{}
	for i := range jobs {
		name := jobs[i].name
		out := filepath.Join(dir, name+".txt")
		if said, err := exec.Command(cbc, filepath.Join(dir, name+".lp"), "-ratioGap", "0", "-allowableGap", "0", "-seconds", "120", "-solve", "-solution", out).CombinedOutput(); err != nil {
			t.Fatalf("job %s: %v\n%s", name, err, said)
		}
		data, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		var value float64
		if _, err := fmt.Sscanf(string(data), "Optimal - objective value %g", &value); err != nil {
			t.Fatalf("job %s: %.80s", name, data)
		}
		least[name] = int64(math.Round(value))
	}
	return least
}

const highsPackage = "highs@1.15.3"

// byHiGHS runs the solver as npm has it, which is fetched once into the user's cache folder.
func byHiGHS(t *testing.T, dir string, jobs []judged) map[string]int64 {
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Fatal(err)
	}
	home := filepath.Join(cache, "tablehand-tests", highsPackage)
	if _, err := os.Stat(filepath.Join(home, "node_modules", "highs")); err != nil {
		if said, err := exec.Command("npm", "install", "--silent", "--no-save", "--ignore-scripts", "--prefix", home, highsPackage).CombinedOutput(); err != nil {
			noJudge(t, fmt.Sprintf("npm doesn't give %s: %v %s", highsPackage, err, said))
		}
	}
	var names []string
	for i := range jobs {
		names = append(names, jobs[i].name)
	}
	run := exec.Command("node", "-e", `
		const { readFileSync } = require("fs");
		require("highs")().then((highs) => {
			for (const name of process.argv[2].split(",")) {
				const { Status, ObjectiveValue } = highs.solve(readFileSync(process.argv[1] + "/" + name + ".lp", "utf8"), { mip_rel_gap: 0, mip_abs_gap: 0, time_limit: 120 });
				console.log(name, Status.replace(" ", "_"), ObjectiveValue);
			}
		});`, dir, strings.Join(names, ","))
	run.Dir = home
	said, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	least := map[string]int64{}
	for _, line := range strings.Split(strings.TrimSpace(string(said)), "\n") {
		var name, status string
		var value float64
		if _, err := fmt.Sscan(line, &name, &status, &value); err != nil || status != "Optimal" {
			t.Fatalf("%s: %v", line, err)
		}
		least[name] = int64(math.Round(value))
	}
	return least
}
