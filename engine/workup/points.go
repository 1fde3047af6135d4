package workup

import (
	"cmp"
	"math/big"
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// points are where a flat panel is held, all a pitch apart. A pitch is seldom a whole nanometre, so lengths are counted in shares of one:
// point k stands (first + k·step)/share from the return edge, and last/share is flat outside the last point.
type points struct {
	n                 int
	first, step, last measure.Length
	share             measure.Length
}

// at is the place of point k, from 0, rounded once.
func (a *points) at(k int) measure.Length { return (a.first + a.step.Times(k)).Div(int64(a.share)) }

// gap is the gap that a place lies in, 1 between the first two points and 0 before them, and how far into it, in half shares.
func (a *points) gap(x doubled) (gap int, into measure.Length) {
	from := measure.Length(x)*a.share - 2*a.first
	if from < 0 {
		return 0, from
	}
	before := from.FloorDiv(2 * a.step)
	return int(before) + 1, from - 2*a.step*measure.Length(before)
}

// near reports whether a point is nearer to a place than clear.
func (a *points) near(x doubled, clear doubled) bool {
	gap, into := a.gap(x)
	reach := measure.Length(clear) * a.share
	switch {
	case gap == 0:
		return -into < reach
	case gap >= a.n:
		return into+2*a.step.Times(gap-a.n) < reach
	}
	return into < reach || 2*a.step-into < reach
}

// inFront reports whether a place lies in a fold that stands to the room: both edges turn to the window, so the first gap does, and every
// second after it.
func (a *points) inFront(x doubled) bool {
	gap, into := a.gap(x)
	return gap%2 == 1 && gap < a.n && into > 0
}

// off is how far the pitch lies outside a range, exactly; 0 inside.
func (a *points) off(r orderfile.Range) *big.Rat {
	return big.NewRat(int64(max(r.Min*a.share-a.step, a.step-r.Max*a.share, 0)), int64(a.share))
}

// aside is how far the pitch lies from a length, exactly.
func (a *points) aside(from measure.Length) *big.Rat {
	return big.NewRat(int64((a.step - from*a.share).Abs()), int64(a.share))
}

// pitching is the heading's row of points with the treatment's own before it.
func (w *window) pitching() orderfile.Pitching { return w.line.Points.Over(w.heading.Pitching) }

// pointsOf shares n points out on a flat width: the pitch is (H − fixed)/(n − 1 + h/2), h being how many ends are half a pitch and fixed
// the flats at the others. With a return the first point stands at the rod's end, whatever the heading's ends: the flat before it runs to
// the wall.
func (w *window) pointsOf(n int, flat measure.Length) *points {
	row, halves := w.pitching(), 0
	var first, last doubled
	switch row.Ends {
	case orderfile.HalfPitch:
		halves = 2
	case orderfile.FixedEnd:
		first, last = twice(row.End), twice(row.End)
	case orderfile.InsetEnd:
		first, last = twice(row.Inset), twice(row.Inset)
	case orderfile.TabEnd:
		first, last = doubled(w.line.Tab.Width), doubled(w.line.Tab.Width)
	}
	ret := w.ret()
	if ret > 0 {
		halves, first = halves/2, twice(ret)
	}
	spread := measure.Length(twice(flat) - first - last)
	gaps := measure.Length(2*(n-1) + halves) // in half pitches
	a := &points{n: n, step: 2 * spread, share: 2 * gaps, first: measure.Length(first) * gaps, last: measure.Length(last) * gaps}
	if row.Ends == orderfile.HalfPitch {
		a.last = spread
		if ret == 0 {
			a.first = spread
		}
	}
	return a
}

// layPoints chooses the points and the trim together, and fills in where points and joins lie. It is false where no panel can be made.
func (w *window) layPoints(p *Panel) bool {
	counts, inRange := []*points{w.carried.along()}, true
	if w.heading.Holds == orderfile.OnPoints {
		counts, inRange = w.counts(p.FlatWidth)
	}
	if w.tooManyPoints(counts[0].n) {
		return false
	}
	at, joins := w.bestPoints(p, counts)
	if !w.apart(at) {
		return false
	}
	if !inRange {
		w.tellPitch(at)
	}
	w.fillPoints(p, at)
	p.SeamsInFront = joins.inFront
	w.tellPoints(p, joins)
	return true
}

// bestPoints are those of the counts, in the order in which they are preferred, with which the joins lie best in all the panels that have
// one count.
func (w *window) bestPoints(p *Panel, counts []*points) (at *points, joins seamsAt) {
	var best seamsAt
	for i, next := range counts {
		var all, own seamsAt
		for _, side := range w.together() {
			laid := w.bestTrim(side, p, next, len(counts))
			if all.add(laid); side == w.side {
				own = laid
			}
		}
		if i == 0 || best.worseThan(all) {
			at, best, joins = next, all, own
		}
		if best.clear() {
			break
		}
	}
	w.layJoins(p, joins.trim)
	return at, joins
}

// counts lists the points that there may be, nearest to the preferred pitch first, of equal ones the fewer: exactly those that the order
// asks, all whose pitch is in range, or where none is the one nearest to it; then inRange is false.
func (w *window) counts(flat measure.Length) (list []*points, inRange bool) {
	row := w.pitching()
	if n := w.line.Points.Count; n != nil {
		a := w.pointsOf(*n, flat)
		return []*points{a}, a.off(row.Pitch).Sign() == 0
	}
	by := 1
	if row.Parity == orderfile.EvenCount {
		by = 2
	}
	// The pitch falls as points come to be more, so those in range stand side by side, behind the last whose pitch is over it.
	last := w.pointsOf(2, flat)
	spread := last.step / 4 // H − fixed
	for n := max(2, int(spread.FloorDiv(row.Pitch.Max))/2*2-2); n <= orderfile.MostPoints+by; n += by {
		next := w.pointsOf(n, flat)
		if next.off(row.Pitch).Sign() == 0 {
			list = append(list, next)
			continue
		}
		if next.step < row.Pitch.Min*next.share {
			if len(list) == 0 {
				last = nearer(last, next, row.Pitch)
			}
			break
		}
		last = next
	}
	if len(list) == 0 {
		return []*points{last}, false
	}
	slices.SortFunc(list, byPitch(row.PreferredPitch))
	return list, true
}

// nearer is the one of two whose pitch is nearer to a range, the first of equal ones.
func nearer(a, b *points, r orderfile.Range) *points {
	if b.off(r).Cmp(a.off(r)) < 0 {
		return b
	}
	return a
}

// fillPoints fills in where points stand, flat and hung.
func (w *window) fillPoints(p *Panel, at *points) {
	share := int64(at.share)
	p.Points, p.Pitch = at.n, at.step.Div(share)
	p.EdgeToPoint, p.LeadToPoint = at.first.Div(share), at.last.Div(share)
	p.FoldDepth = at.step.Div(2 * share)
	p.Positions, p.Places = make([]measure.Length, at.n), make([]measure.Length, at.n)
	for k := range at.n {
		p.Positions[k] = at.at(k)
		if w.heading.Holds == orderfile.OnCarriers {
			p.Places[k] = w.carried.place(k)
		} else {
			p.Places[k] = w.hungAt(p, at, k)
		}
	}
}

// hungAt is the place of a point on the finished heading: the return lies flat, and the rest closes evenly. Rounded once.
func (w *window) hungAt(p *Panel, at *points, k int) measure.Length {
	ret := w.ret()
	beyond := at.first + at.step.Times(k) - ret*at.share
	if beyond <= 0 {
		return at.at(k)
	}
	return ret + (p.FinishedWidth-ret).MulDiv(int64(beyond), int64(at.share*(p.FlatWidth-ret)))
}

// clear is how far a join should stay from the middle of a point.
func (w *window) clear() doubled {
	switch w.heading.Pole {
	case orderfile.InEyelets:
		return doubled(w.line.Eyelet.Outer) + twice(halfInch)
	case orderfile.ByTabs:
		return doubled(w.line.Tab.Width) + twice(halfInch)
	}
	return 0
}

// apart refuses points that stand in each other.
func (w *window) apart(at *points) bool {
	var least measure.Length
	switch w.heading.Pole {
	case orderfile.InEyelets:
		least = w.line.Eyelet.Outer + halfInch
	case orderfile.ByTabs:
		least = w.line.Tab.Width
	}
	if at.step > 0 && at.step >= least*at.share {
		return true
	}
	if at.step <= 0 {
		w.fail("too_narrow.points", w.widthKey(), map[string]any{"Flat": w.handCloth.flat()})
		return false
	}
	w.fail("points_collide", w.pointsKey(), map[string]any{"Count": at.n, "Pitch": max(0, at.step.Div(int64(at.share))), "Least": least})
	return false
}

// tooManyPoints tells where a panel would have more points than anybody means.
func (w *window) tooManyPoints(n int) bool {
	if n <= orderfile.MostPoints {
		return false
	}
	w.fail("absurd.points", w.pointsKey(), map[string]any{"Count": n, "Most": orderfile.MostPoints})
	return true
}

// pointsKey is the key of the order file that set how many points there are.
func (w *window) pointsKey() string {
	if w.line.Points.Count != nil {
		return "points.count"
	}
	return w.widthKey()
}

func (w *window) tellPitch(at *points) {
	r := w.pitching().Pitch
	w.tell(engine.Warning, "pitch_out_of_range", w.pointsKey(), map[string]any{
		"Count": at.n, "Pitch": at.step.Div(int64(at.share)), "Min": r.Min, "Max": r.Max,
	})
}

// tellPoints tells of joins that show or lie in the way, and of folds that the wall is in the way of.
func (w *window) tellPoints(p *Panel, joins seamsAt) {
	if p.Points < fewestPleats {
		w.tell(engine.Warning, "few_pleats.points", w.widthKey(), map[string]any{"Count": p.Points, "Least": fewestPleats})
	}
	if joins.near > 0 {
		w.tell(engine.Note, "seam_at_point", "face", map[string]any{"Count": joins.near, "Fabric": w.face.ID})
	}
	if joins.inFront > 0 {
		w.tell(engine.Note, "seam_shows.front", "face", map[string]any{"Count": joins.inFront, "Fabric": w.face.ID})
	}
	if from := w.rod().Projection; from > 0 && p.FoldDepth > 0 && from < p.FoldDepth+halfInch {
		w.tellAt(engine.Warning, "folds_touch_wall", w.rodKey("projection"), map[string]any{"Projection": from, "Depth": p.FoldDepth, "Least": p.FoldDepth + halfInch})
	}
}

// carriers are a wave's: how many, and the panel that they make, in half nanometres.
type carriers struct {
	n                int
	flatOf, openOf   measure.Length // of one carrier: of the tape, of the track
	flat, reach      doubled
	first, firstOpen doubled
}

// carriers are the fewest, of an even number, whose panel reaches the width asked when they are open: with half of one's at both ends, or
// the return flat before the first.
func (w *window) carriers(asked measure.Length) carriers {
	c := carriers{n: 2, flatOf: w.tape.PocketPitch.Times(w.tape.Pockets), openOf: w.rod().CarrierPitch}
	c.first, c.firstOpen = doubled(c.flatOf), doubled(c.openOf)
	if ret := w.ret(); ret > 0 {
		c.first, c.firstOpen = twice(ret), twice(ret)
	}
	// firstOpen + (n − 1)·c + c/2 ≥ asked
	short := measure.Length(twice(asked)-c.firstOpen) - c.openOf
	if short > 0 {
		c.n = int(min(2*((short.CeilDiv(2*c.openOf)+2)/2), orderfile.MostPoints+1))
	}
	of := func(first doubled, one measure.Length) doubled { return first + twice(one.Times(c.n-1)) + doubled(one) }
	c.flat, c.reach = of(c.first, c.flatOf), of(c.firstOpen, c.openOf)
	return c
}

// along are the carriers' hooks on the flat panel.
func (c *carriers) along() *points {
	return &points{n: c.n, first: measure.Length(c.first), step: 2 * c.flatOf, last: c.flatOf, share: 2}
}

// place is where hook k stands when the carriers are open.
func (c *carriers) place(k int) measure.Length {
	return (c.firstOpen + twice(c.openOf.Times(k))).half()
}

// byPitch orders points by how near their pitch is to the preferred one, then fewer first.
func byPitch(preferred measure.Length) func(a, b *points) int {
	return func(a, b *points) int {
		return cmp.Or(a.aside(preferred).Cmp(b.aside(preferred)), cmp.Compare(a.n, b.n))
	}
}
