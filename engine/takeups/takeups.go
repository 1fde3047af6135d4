// Package takeups shares the cloth of a heading set by hand among its pleats so that seams fall inside them: which pleat hides which
// seam, and the evenest take-ups that put them there.
package takeups

import (
	"cmp"
	"slices"
	"sort"

	"tablehand/engine/measure"
)

// Seams are in half nanometres, since the middle of a join can be half of one. What they are held against is doubled.

// eighth is how far inside a pleat a seam has to lie (from memory: nearer to its sides, the fold shows it).
const eighth = measure.Inch / 8

// Rounded is by how much a place in a row may be off by rounding alone. What by exact figures lies on the very edge of what
// is allowed is allowed.
const Rounded = 4 * measure.Nanometre

// SpreadLimit is by how much the take-ups of one panel may differ before the eye sees it (common practice: ½ in).
const SpreadLimit = measure.Inch/2 + Rounded/2

// Row is a hand-set heading whose spaces are equal and whose take-ups may differ so that seams fall inside a
// pleat. With C_k the cloth that the take-ups before pleat k hold, the pleat lies flat from Flats[k] + C_k to
// Flats[k] + C_{k+1}.
type Row struct {
	Flats []measure.Length // for each pleat: the flat cloth before it from the return edge, take-ups left out
	Total measure.Length   // cloth of all take-ups together, at least a nanometre for each
	// Seams2 are twice the places of the seams from the return edge of the flat panel, ascending: lengths in half nanometres.
	Seams2 []measure.Length
	// Quarter is how far from a side of a pleat a seam is hidden; 0 where the whole of it hides one.
	Quarter measure.Length
}

// place is where a seam lies: in which part of which pleat.
type place struct {
	pleat int
	part  part
}

// part is a part of a pleat, or of none.
type part uint8

const (
	beside      part = iota // in a space, or within an eighth of a pleat's side
	within                  // in a pleat, an eighth clear of both sides
	nearQuarter             // so, and in the quarter at the return edge
	farQuarter              // so, and in the quarter at the leading edge
)

// hides reports whether a seam in a part of a pleat isn't seen.
func (r Row) hides(in part) bool { return in > within || in == within && r.Quarter == 0 }

// cost is what a seam's part counts: hidden nothing, each seam in view more than all that lie beside the pleats.
func (r Row) cost(in part) int {
	switch {
	case r.hides(in):
		return 0
	case in == within:
		return len(r.Seams2) + 1
	}
	return len(r.Seams2) + 2
}

// Folded is how the cloth is shared among the pleats.
type Folded struct {
	TakeUps []measure.Length
	Inside  int            // seams inside a pleat, an eighth of an inch clear of both its sides
	Hidden  int            // of them those where it hides them
	Spread  measure.Length // largest take-up less the smallest
}

// Folded is the row with the best pleats for its seams, which have to lie again where they lay when those were found.
func (h *Hiding) Folded() Folded {
	r := h.row
	taken := r.taut(h.stopped())
	r.placesOf(taken, h.now, 0)
	f := Folded{TakeUps: make([]measure.Length, len(r.Flats))}
	for _, at := range h.now {
		if at.part != beside {
			f.Inside++
		}
		if r.hides(at.part) {
			f.Hidden++
		}
	}
	for k := range f.TakeUps {
		f.TakeUps[k] = taken[k+1] - taken[k]
	}
	if len(f.TakeUps) > 0 {
		f.Spread = slices.Max(f.TakeUps) - slices.Min(f.TakeUps)
	}
	return f
}

// costOf is what the places of all seams count.
func (r Row) costOf(places []place) (sum int) {
	for _, at := range places {
		sum += r.cost(at.part)
	}
	return sum
}

// placesOf finds where each seam lies when C_k is taken, or would with C_k off by so much.
func (r Row) placesOf(taken []measure.Length, places []place, off measure.Length) {
	clear := eighth - off
	for i, x := range r.Seams2 {
		k := sort.Search(len(r.Flats), func(k int) bool { return 2*(r.Flats[k]+taken[k]+clear) > x }) - 1
		if k < 0 || x > 2*(r.Flats[k]+taken[k+1]-clear) {
			places[i] = place{}
			continue
		}
		places[i] = place{k, within}
		switch quarter := r.Quarter + off; {
		case r.Quarter == 0:
		case x-2*(r.Flats[k]+taken[k]) <= 2*quarter:
			places[i].part = nearQuarter
		case 2*(r.Flats[k]+taken[k+1])-x <= 2*quarter:
			places[i].part = farQuarter
		}
	}
}

// stop keeps C_k between two values: a seam in pleat k lets C_k not grow above most, one in pleat k − 1 not fall
// below least; one in a quarter of either is held from both sides.
type stop struct {
	k           int
	least, most measure.Length
}

// sharing is what all take-ups lie within.
type sharing struct{ least, most measure.Length }

func (s sharing) spread() measure.Length { return s.most - s.least }

func (s sharing) possible() bool { return s.least > 0 && s.spread() <= SpreadLimit }

// evenly is the sharing without any stop.
func (r Row) evenly() sharing {
	if len(r.Flats) == 0 {
		return sharing{}
	}
	n := measure.Length(len(r.Flats))
	return sharing{measure.Length(r.Total.FloorDiv(n)), measure.Length(r.Total.CeilDiv(n))}
}

// with widens a sharing to what one more stop asks. The take-ups can lie within [least, most] exactly when between
// any two stops a < b there is room for (b − a) of the least and need for no more than (b − a) of the most: C_k may
// move by any amount in that range at each pleat, so only straight runs from one stop to another bind. Hence every
// pair of stops bounds least and most by itself, and the best of both go together. What isn't possible is not followed
// to its end: the nearest stops press most, so they come first.
func (s sharing) with(before []stop, b stop, end stop) sharing {
	s = s.between(b, end)
	for i := len(before) - 1; i >= 0 && s.possible(); i-- {
		s = s.between(before[i], b)
	}
	return s
}

func (s sharing) between(a, b stop) sharing {
	switch n := measure.Length(b.k - a.k); {
	case n > 0:
		s.least = min(s.least, measure.Length((b.most - a.least).FloorDiv(n)))
		s.most = max(s.most, measure.Length((b.least - a.most).CeilDiv(n)))
	case n < 0: // the near side of the pleat that a holds already for a seam before
		return s.between(b, a)
	case a.least > b.most || b.least > a.most:
		s.least = 0 // impossible
	}
	return s
}

// Hiding searches which pleat is to hide each seam, from the return edge on. Every seam added only widens the
// sharing, so a branch ends where it can't beat the best one any more. It may go on with the same pleats and other
// places of the seams: the best is that of all.
type Hiding struct {
	row     Row
	even    []measure.Length // C of equal take-ups
	free    sharing
	now     []place // of each seam, as far as decided
	best    []place
	missed  int            // what the best places cost
	spread  measure.Length // its spread
	enough  measure.Length // a spread that is no better than the best
	lost    []int          // what the seams from each one on cost at the least, each alone
	left    *int           // tries left
	options [][]option     // room for each seam's options
	stops   []stop         // room for all seams'
}

type option struct {
	place
	shared sharing
}

// Hiding begins with no seam hidden. It shares the row's seams: they may be moved between two looks for places, their count not. It takes
// its tries from those given and ends where none are left; what was best by then stands.
func (r Row) Hiding(tries *int) *Hiding {
	n := len(r.Seams2)
	h := &Hiding{
		row: r, even: r.taut(nil), free: r.evenly(), now: make([]place, n), best: make([]place, n),
		lost: make([]int, n+1), left: tries, options: make([][]option, n), stops: make([]stop, 1, 2*n+1), // the cloth before pleat 0 is none
	}
	h.Below(n + 1)
	return h
}

// Below lets the search take only places that leave fewer seams in view than so many: for whoever has so many already, the rest
// isn't worth its tries. To be said before the first look.
func (h *Hiding) Below(inView int) {
	h.missed, h.spread = inView*(len(h.now)+1), 0 // what one seam in view costs at the least; all of them together not one more
}

// Missed is what the seams cost where they lie best, the less the better: 0 where all of them are hidden. While no places are taken
// it is what those must stay below.
func (h *Hiding) Missed() int { return h.missed }

func (h *Hiding) end() stop { return stop{len(h.row.Flats), h.row.Total, h.row.Total} }

// TakeEven takes the places of the seams while all take-ups are equal, or off by so much, where they cost less than the
// best, and reports whether they do.
func (h *Hiding) TakeEven(off measure.Length) bool {
	h.row.placesOf(h.even, h.now, off)
	m := h.row.costOf(h.now)
	if m >= h.missed {
		return false
	}
	copy(h.best, h.now)
	h.missed, h.spread = m, h.free.spread()
	return true
}

// Improve looks for places of the seams that cost less than the best, or as much with a spread less by more than same, and
// reports whether there are any.
func (h *Hiding) Improve(same measure.Length) bool {
	if h.free.least <= 0 {
		return false
	}
	missed, spread := h.missed, h.spread
	h.enough = spread - same
	if least := h.giveUp(); h.lost[0] > missed || h.lost[0] == missed && least >= h.enough {
		return false
	}
	h.try(0, h.stops, h.free, 0)
	return h.missed < missed || h.spread < spread
}

// giveUp adds up what the seams cost at the least. It returns the spread that their cheapest places take at least.
func (h *Hiding) giveUp() (least measure.Length) {
	for i := len(h.now) - 1; i >= 0; i-- {
		cost := h.row.cost(beside)
		if alone := h.placesFor(i, h.stops, h.free); len(alone) > 0 {
			cost = h.row.cost(alone[0].part)
			least = max(least, alone[0].shared.spread())
		}
		h.lost[i] = h.lost[i+1] + cost
	}
	return least
}

func (h *Hiding) try(i int, stops []stop, shared sharing, missed int) {
	if m := missed + h.lost[i]; m > h.missed || m == h.missed && shared.spread() >= h.enough || *h.left <= 0 {
		return
	}
	if i == len(h.now) {
		copy(h.best, h.now)
		h.missed, h.spread, h.enough = missed, shared.spread(), shared.spread()
		return
	}
	*h.left--
	for _, o := range h.placesFor(i, stops, shared) {
		h.now[i] = o.place
		near, far := h.row.held(i, o.place)
		h.try(i+1, append(stops, near, far), o.shared, missed+h.row.cost(o.part))
	}
	h.now[i] = place{}
	h.try(i+1, stops, shared, missed+h.row.cost(beside))
}

// placesFor lists the places in pleats that seam i may have beside what is decided, those that cost least first, then those with
// the least spread. The further a pleat lies from the return edge, the less its far side is stopped and the more its near side: so
// the pleats that serve lie together.
func (h *Hiding) placesFor(i int, stops []stop, shared sharing) []option {
	n, end := len(h.row.Flats), h.end()
	from := max(0, stops[len(stops)-1].k-1) // the pleat of the seam before
	from += sort.Search(n-from, func(k int) bool {
		_, far := h.row.held(i, place{from + k, within})
		return shared.with(stops, far, end).possible()
	})
	list := h.options[i][:0]
	for k := from; k < n; k++ {
		near, _ := h.row.held(i, place{k, within})
		if !shared.with(stops, near, end).possible() {
			break
		}
		for _, at := range h.row.parts(k) {
			near, far := h.row.held(i, at)
			if near.least > near.most || far.least > far.most {
				continue
			}
			nearly := shared.with(stops, near, end)
			if both := nearly.with(append(stops, near), far, end); both.possible() {
				list = append(list, option{at, both})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b option) int {
		return cmp.Or(cmp.Compare(h.row.cost(a.part), h.row.cost(b.part)), cmp.Compare(a.shared.spread(), b.shared.spread()))
	})
	h.options[i] = list
	return list
}

// parts are the places that pleat k has for a seam.
func (r Row) parts(k int) []place {
	if r.Quarter == 0 {
		return []place{{k, within}}
	}
	return []place{{k, nearQuarter}, {k, farQuarter}, {k, within}}
}

// floorHalf and ceilHalf are half of a length, down and up to a nanometre.
func floorHalf(l measure.Length) measure.Length { return measure.Length(l.FloorDiv(2)) }
func ceilHalf(l measure.Length) measure.Length  { return measure.Length(l.CeilDiv(2)) }

// held is what C must keep to on both sides of a pleat for seam i to lie in a part of it.
func (r Row) held(i int, at place) (near, far stop) {
	x := r.Seams2[i] - 2*r.Flats[at.pleat]
	near, far = stop{at.pleat, 0, floorHalf(x - 2*eighth)}, stop{at.pleat + 1, ceilHalf(x + 2*eighth), r.Total}
	switch at.part {
	case nearQuarter:
		near.least = ceilHalf(x - 2*r.Quarter)
	case farQuarter:
		far.most = floorHalf(x + 2*r.Quarter)
	}
	return near, far
}

// stopped are the stops of the best.
func (h *Hiding) stopped() []stop {
	var stops []stop
	for i, at := range h.best {
		if at.part != beside {
			near, far := h.row.held(i, at)
			stops = append(stops, near, far)
		}
	}
	return stops
}

// taut pulls C straight from none to all like a string between the stops: of all ways to share it is the evenest,
// by the least spread as by any other measure. The stop furthest off a straight pull is one that the string bends
// round: a string bends only at stops, and towards the one that holds it.
func (r Row) taut(stops []stop) []measure.Length {
	taken := make([]measure.Length, len(r.Flats)+1)
	taken[len(r.Flats)] = r.Total
	r.pull(taken, 0, len(r.Flats), stops)
	return taken
}

// pull fills in C between from and to, where it is given. Off is counted in (to − from)ths of a nanometre, so that
// nothing is rounded before the end.
func (r Row) pull(taken []measure.Length, from, to int, stops []stop) {
	rise, run := taken[to]-taken[from], to-from
	k, bend, furthest := 0, measure.Length(0), measure.Length(0)
	for _, s := range stops {
		if s.k <= from || s.k >= to {
			continue
		}
		straight := rise.Times(s.k - from)
		if off := (s.least - taken[from]).Times(run) - straight; off > furthest {
			k, bend, furthest = s.k, s.least, off
		}
		if off := straight - (s.most - taken[from]).Times(run); off > furthest {
			k, bend, furthest = s.k, s.most, off
		}
	}
	if furthest > 0 {
		taken[k] = bend
		r.pull(taken, from, k, stops)
		r.pull(taken, k, to, stops)
		return
	}
	for k := from + 1; k < to; k++ {
		taken[k] = taken[from] + rise.MulDiv(int64(k-from), int64(run))
	}
}
