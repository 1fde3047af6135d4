package recompute

import (
	"encoding/json"
	"math"
	"math/rand"
	"os"
	"strconv"
	"strings"
	"testing"
)

// This file holds what the program chose against everything that it might have chosen instead, in plain floating point: other
// numbers of points, other numbers of pleats, other trims. A count that hangs on less than a slip is given to the program.
const (
	reSlip   = 1e-6
	reGridIn = 1.0 / 16
)

// rePanelOut is a panel as the program writes it, in inches.
type rePanelOut struct {
	Finished reInches `json:"finished_width"`
	Flat     reInches `json:"flat_width"`
	AtReturn reInches `json:"trim_return"`
	AtLead   reInches `json:"trim_leading"`
	Seams    []reInches
	Points   int
	Pitch    reInches
	InFront  int `json:"seams_in_front"`
	Pleats   int
	Hidden   int `json:"seams_hidden"`

	Widths    string
	MotifTrim reInches   `json:"motif_trim"`
	Motifs    []reInches `json:"motif_positions"`
}

type reInches float64

func (i *reInches) UnmarshalText(text []byte) error {
	v, err := strconv.ParseFloat(strings.TrimSuffix(string(text), "in"), 64)
	*i = reInches(v)
	return err
}

// reOnlyPanel lets the program work an order of one window out and returns its first panel; ok is false where it makes none.
func reOnlyPanel(t *testing.T, o reOrder, rng *rand.Rand) (p rePanelOut, file string, ok bool) {
	t.Helper()
	panels, file := reOnlyPanels(t, o, rng)
	if len(panels) == 0 {
		return p, file, false
	}
	return panels[0], file, true
}

// reOnlyPanels are all of its panels.
func reOnlyPanels(t *testing.T, o reOrder, rng *rand.Rand) (panels []rePanelOut, file string) {
	t.Helper()
	file = reWriter{rng}.file(o)
	written, _ := reWorkedOut(t, file, false)
	var doc struct {
		Treatments []struct{ Panels []rePanelOut }
	}
	if err := json.Unmarshal(written, &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Treatments) != 1 || len(doc.Treatments[0].Panels) == 0 {
		return nil, file
	}
	return doc.Treatments[0].Panels, file
}

// untrimmed are the panel's seams with nothing trimmed at the return.
func (p rePanelOut) untrimmed() []float64 {
	var seams []float64
	for _, x := range p.Seams {
		seams = append(seams, float64(x+p.AtReturn))
	}
	return seams
}

// trims are those that a grid of sixteenths has.
func (p rePanelOut) trims() []float64 {
	var trims []float64
	for k := 0; float64(k)*reGridIn <= float64(p.AtReturn+p.AtLead)+reSlip; k++ {
		trims = append(trims, float64(k)*reGridIn)
	}
	return trims
}

// nearEdges counts the seams within 4 in of an edge, by so much more or less.
func (p rePanelOut) nearEdges(trim, slip float64) (near float64) {
	for _, x := range p.untrimmed() {
		if x-trim < 4+slip || float64(p.Flat)-(x-trim) < 4+slip {
			near++
		}
	}
	return near
}

// reWorse compares scores, of which less is better one after another, and reports whether a is worse than b by more than slips.
func reWorse(a, b []float64) bool {
	for i := range a {
		if math.Abs(a[i]-b[i]) > reSlip {
			return a[i] > b[i]
		}
	}
	return false
}

// reHeld is how points hold a heading, in inches.
type reHeld struct {
	low, high, best, clear, end float64 // end is below 0 where half a pitch is flat
	even                        bool
}

var reHolds = map[string]reHeld{
	"eyelet": {6, 8, 7, 1.75, -1, true}, "tab": {6, 8, 7, 1.5, 1, false}, "ring": {5, 7, 6, 0, 0.5, true},
}

// spacing is the pitch of n points on a panel, and where the first stands.
func (h reHeld) spacing(flat, ret float64, n int) (pitch, first float64) {
	first, last, gaps := h.end, h.end, float64(n-1)
	if ret > 0 {
		first = ret
	}
	for _, end := range []float64{first, last} {
		if end < 0 {
			gaps += 0.5
		}
		flat -= max(end, 0)
	}
	pitch = flat / gaps
	if first < 0 {
		first = pitch / 2
	}
	return pitch, first
}

// score is what n points come to with a trim; slip over 0 counts seams that are on the verge, under 0 doesn't.
func (h reHeld) score(p rePanelOut, ret, trim float64, n int, slip float64) []float64 {
	pitch, first := h.spacing(float64(p.Flat), ret, n)
	atPoint, front := 0.0, 0.0
	for _, x := range p.untrimmed() {
		x -= trim
		near := false
		for k := range n {
			at := first + float64(k)*pitch
			near = near || math.Abs(x-at) < h.clear+slip
			if k%2 == 0 && k < n-1 && x > at-slip && x < at+pitch+slip {
				front++
			}
		}
		if near && h.clear > 0 {
			atPoint++
		}
	}
	return []float64{p.nearEdges(trim, slip), atPoint, front, math.Abs(pitch - h.best), float64(n), float64(p.AtReturn+p.AtLead) - trim}
}

// off is how far a pitch is out of its range.
func (h reHeld) off(pitch float64) float64 { return max(0, h.low-pitch, pitch-h.high) }

// noneBetter wants no other number of points with one of the trims to be better than the program's, in the panel and its mates together.
func (h reHeld) noneBetter(t *testing.T, p rePanelOut, mates []rePanelOut, from float64, trims []float64, file string) {
	t.Helper()
	pitch := float64(p.Pitch)
	score := func(trim float64, n int, slip float64) []float64 {
		all := h.score(p, from, trim, n, slip)
		for _, mate := range mates {
			for i, its := range h.score(mate, from, float64(mate.AtReturn), n, slip)[:3] {
				all[i] += its
			}
		}
		return all
	}
	mine := score(float64(p.AtReturn), p.Points, -reSlip)
	for n := 2; n < 200; n++ {
		if h.even && n%2 == 1 {
			continue
		}
		q, _ := h.spacing(float64(p.Flat), from, n)
		switch {
		case h.off(q) < h.off(pitch)-reSlip:
			t.Fatalf("%s\n%d points are %v apart, %d would be %v", file, p.Points, pitch, n, q)
		case h.off(pitch) > reSlip && n != p.Points || h.off(q) > h.off(pitch)+reSlip:
			continue
		}
		for _, trim := range trims {
			if other := score(trim, n, reSlip); reWorse(mine, other) {
				t.Fatalf("%s\n%d points and %v trimmed at the return come to %v, %d and %v to %v", file, p.Points, p.AtReturn, mine, n, trim, other)
			}
		}
	}
}

// TestRecomputeNoBetterPoints wants no other number of points and no other trim to be better than the program's.
func TestRecomputeNoBetterPoints(t *testing.T) {
	rng, orders := rand.New(rand.NewSource(41)), 600
	if os.Getenv("TABLEHAND_LONG") != "" {
		orders = 20_000
	}
	outOfRange, inFront := 0, 0
	for i := range orders {
		heading := []string{"eyelet", "tab", "ring"}[i%3]
		ret := reL(0, 1)
		if rng.Intn(2) == 0 {
			ret = reL(int64(1+rng.Intn(40)), 8)
		}
		o := reFlowing(heading, "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			o.overrides = [][2]string{{"fullness_slack", "0"}}
			o.rods, o.tapes, o.fabrics = []reRod{{id: "pole", diameter: reL(1, 1)}}, nil, o.fabrics[:1]
			f.usable, t.returnTo, t.quantity = reL(int64(4*40+rng.Intn(4*60)), 4), ret, 2
			t.finishedWidth = reL(int64(8*12+rng.Intn(8*90)), 8)
			if rng.Intn(8) == 0 {
				t.finishedWidth = reL(int64(8*6+rng.Intn(8*10)), 8)
			}
		})
		o.text()
		p, file, ok := reOnlyPanel(t, o, rng)
		if !ok {
			continue
		}
		h, from := reHolds[heading], reFloat(ret.reNum)
		pitch, _ := h.spacing(float64(p.Flat), from, p.Points)
		if math.Abs(pitch-float64(p.Pitch)) > reSlip {
			t.Fatalf("%s\nthe pitch is %v, want %v", file, p.Pitch, pitch)
		}
		h.noneBetter(t, p, nil, from, p.trims(), file)
		if h.off(pitch) > reSlip {
			outOfRange++
		}
		inFront += p.InFront
	}
	if outOfRange < 5 || inFront < 5 {
		t.Errorf("only %d pitches were out of range, and %d seams in front", outOfRange, inFront)
	}
}

func reFloat(v reNum) float64 { f, _ := v.r.Float64(); return f }

// text writes the lengths of an order made by hand, in inches.
func (o *reOrder) text() {
	say := func(ls ...*reLen) {
		for _, l := range ls {
			if l.given() {
				l.text = l.String() + `"`
			}
		}
	}
	for i := range o.fabrics {
		f := &o.fabrics[i]
		say(&f.usable, &f.matchWidth, &f.sideways, &f.motif)
	}
	for i := range o.rods {
		say(&o.rods[i].diameter)
	}
	for i := range o.treatments {
		t := &o.treatments[i]
		say(&t.returnTo, &t.lap, &t.leadFlat, &t.finishedWidth, &t.finishedLength, &t.motifLead)
	}
}

// TestRecomputeNoBetterPleats wants no other number of pleats in range to hide more seams than the program's, nor as many with
// spaces nearer to the preferred; of a pair whose motifs mirror in both its panels. Every seam is put into every pleat, on every side that
// hides it.
func TestRecomputeNoBetterPleats(t *testing.T) {
	rng, orders := rand.New(rand.NewSource(43)), 200
	if os.Getenv("TABLEHAND_LONG") != "" {
		orders = 4000
	}
	checked, shown, pairs := 0, 0, 0
	for i := range orders {
		heading := []string{"cartridge-hand", "goblet", "box", "inverted-box"}[i%4]
		row, _ := reRowOf(heading, "in")
		o := reHeaded(heading, func(c *reConv, f *reFabric, t *reTreatment) {
			f.usable, t.quantity = reL(int64(4*45+rng.Intn(4*20)), 4), 2
			t.halves = 3 + rng.Intn(3)
			t.returnTo, t.leadFlat = reL(int64(8+rng.Intn(24)), 8), reL(int64(8+rng.Intn(24)), 8)
			cloth := reFloat(f.usable.reNum)*float64(t.halves)/2 - 8
			t.finishedWidth = reL(int64(8*cloth/(1.8+rng.Float64()*0.6)), 8)
			if i%8 >= 4 { // up to 3 in to be trimmed
				t.surplus = "trim"
				full := (cloth - 3*rng.Float64()) / reFloat(t.finishedWidth.reNum)
				t.fullness = reLen{reNum: reFrac(int64(1000*full), 1000)}
				t.fullness.text = t.fullness.String()
			}
			if i%16 >= 12 { // its motifs leave no trim to choose
				f.sideways, t.motif = reL(int64(8+rng.Intn(24)), 8), []string{"centred_on", "centred_between", "mirrored"}[i/16%3]
				if t.motif == "mirrored" {
					t.draw, t.quantity, t.halves = "stationary_pair", 1, 3+rng.Intn(2)
				}
			}
		})
		o.overrides = [][2]string{{"fullness_slack", "0"}}
		o.text()
		panels, file := reOnlyPanels(t, o, rng)
		if len(panels) == 0 {
			continue
		}
		tr, p := o.treatments[0], panels[0]
		room := float64(p.Finished) - reFloat(tr.returnTo.reNum) - reFloat(tr.leadFlat.reNum)
		hides := func(n int) (all float64) {
			for _, p := range panels {
				trims, most := p.trims(), 0.0
				if tr.motif != "" {
					trims = []float64{float64(p.AtReturn)}
				}
				near := p.leastNearEdges(trims)
				for _, trim := range trims {
					if p.nearEdges(trim, reSlip) <= near {
						most = max(most, p.mostHidden(reFloat(tr.returnTo.reNum), room, n, trim, int(most)))
					}
				}
				all += most
			}
			return all
		}
		inRange := func(n int) bool {
			s, takeUp := room/float64(n-1), float64(p.Flat-p.Finished)/float64(n)
			return s >= reFloat(row.spaceLow)-reSlip && s <= reFloat(row.spaceHigh)+reSlip &&
				takeUp >= reFloat(row.takeLow)-reSlip && takeUp <= reFloat(row.takeHigh)+reSlip
		}
		asked := reFloat(tr.finishedWidth.reNum) * reFloat(tr.fullness.or(reInt(1)))
		if !inRange(p.Pleats) || tr.surplus == "trim" && math.Abs(float64(p.Flat)-asked) > reSlip {
			continue
		}
		checked++
		score := func(n int, hidden float64) []float64 {
			return []float64{-hidden, math.Abs(room/float64(n-1) - reFloat(row.spaceBest)), float64(n)}
		}
		hidden := 0
		for _, out := range panels {
			if hidden += out.Hidden; out.Pleats != p.Pleats || out.Flat != p.Flat {
				t.Fatalf("%s\n%d pleats on %v at the left, %d on %v at the right", file, p.Pleats, p.Flat, out.Pleats, out.Flat)
			}
		}
		mine := score(p.Pleats, float64(hidden))
		for n := 2; n < 80; n++ {
			if !inRange(n) || !reWorse(mine, score(n, float64(len(panels)*len(p.Seams)))) { // it couldn't be better if it hid all
				continue
			}
			if other := score(n, hides(n)); reWorse(mine, other) {
				t.Fatalf("%s\n%d pleats come to %v, %d to %v", file, p.Pleats, mine, n, other)
			}
		}
		shown += len(panels)*len(p.Seams) - hidden
		pairs += len(panels) - 1
	}
	if checked < orders/2 || shown == 0 && orders > 100 || pairs < orders/50 {
		t.Errorf("only %d of %d panels were checked, %d pairs, %d seams show", checked, orders, pairs, shown)
	}
}

// leastNearEdges is the fewest seams within 4 in of an edge that any of the trims leaves.
func (p rePanelOut) leastNearEdges(trims []float64) float64 {
	least := p.nearEdges(float64(p.AtReturn), -reSlip)
	for _, trim := range trims {
		least = min(least, p.nearEdges(trim, -reSlip))
	}
	return least
}

// mostHidden is the most seams, if over so many, that n pleats hide with a trim, whatever they take up.
func (p rePanelOut) mostHidden(ret, room float64, n int, trim float64, over int) float64 {
	surplus, clear, most := float64(p.Flat-p.Finished), 1.0/8+reSlip, 1.0/2-reSlip
	quarter := surplus/float64(n)/4 - reSlip
	best := over
	options := 2*n + 1
	for code := range int(math.Pow(float64(options), float64(len(p.Seams)))) {
		low, high := make([]float64, n+1), make([]float64, n+1)
		for k := range high {
			high[k] = surplus
		}
		high[0], low[n] = 0, surplus
		hidden, rest := 0, code
		for _, at := range p.untrimmed() {
			choice := rest % options
			rest /= options
			if choice == 2*n {
				continue
			}
			hidden++
			k := choice / 2
			x := at - trim - ret - room*float64(k)/float64(n-1)
			high[k], low[k+1] = min(high[k], x-clear), max(low[k+1], x+clear)
			if choice%2 == 0 {
				low[k] = max(low[k], x-quarter)
			} else {
				high[k+1] = min(high[k+1], x+quarter)
			}
		}
		if hidden <= best {
			continue
		}
		if spread, ok := reSpreadByHalving(low, high); ok && spread <= most {
			best = hidden
		}
	}
	return float64(best)
}
