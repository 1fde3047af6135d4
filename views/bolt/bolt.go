// Package bolt lays a bolt of cloth out as a strip to scale: which cut lies where, what is flawed, what is cut, where the
// knife is, and what remains.
package bolt

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Strip is one bolt, or the part of it that is the order's.
type Strip struct {
	Bolt, Lot string
	From, To  measure.Length // the order's part: to the bolt's end, as listed or measured
	Pieces    []Piece        // along the bolt: its cuts and flaws
	Cuts      int            // of the order on it
	Done      int            // of them, told as cut
	Knife     measure.Length // where the last piece that was cut ends, From while nothing is
	Units     measure.Unit
}

// Piece is a stretch of a bolt: a cut, or several that follow each other, or a flaw, or what was spoilt, or what is others'.
type Piece struct {
	First, Last string // the cuts' numbers, alike for one; "" for what can't be used
	From, To    measure.Length
	Done        bool
	Gone        bool // it came off and is no cut: a remnant now, or scrap
	Promised    bool // on an order's strip to others, on the shelf's to anybody
	Next        bool // the cut whose turn it is
	Turned      bool // the panel's width runs along the bolt, its top along one edge
}

// Flawed reports whether the stretch can't be used.
func (p Piece) Flawed() bool { return p.First == "" && !p.Promised && !p.Gone }

// Others reports whether the stretch is not for the order whose strip it is: promised to another, or kept from it.
func (p Piece) Others() bool { return p.First == "" && p.Promised }

// One reports whether the stretch is a single cut.
func (p Piece) One() bool { return p.First == p.Last }

// Start and End are the piece's ends as they are shown.
func (s Strip) Start(p Piece) measure.Quantity { return measure.OfLength(p.From, s.Units) }

// End is where the piece ends.
func (s Strip) End(p Piece) measure.Quantity { return measure.OfLength(p.To, s.Units) }

// Length is how much cloth there is, as it is bought.
func (s Strip) Length() measure.Quantity { return measure.OfLength(s.To-s.From, s.Units.Purchase()) }

// Left is what lies behind the last cut and isn't others', as cloth is bought: flaws in it count as cloth.
func (s Strip) Left() measure.Quantity {
	used := max(s.From, s.used(false))
	left := s.To - used
	for _, p := range s.Pieces {
		if p.Others() {
			left -= max(0, p.To-max(p.From, used))
		}
	}
	return measure.OfLength(left, s.Units.Purchase())
}

// NotOurs is what of the bolt is others', as cloth is bought; no quantity where all is the order's.
func (s Strip) NotOurs() measure.Quantity {
	var all measure.Length
	for _, p := range s.Pieces {
		if p.Others() {
			all += p.To - p.From
		}
	}
	if all == 0 {
		return measure.Quantity{}
	}
	return measure.OfLength(all, s.Units.Purchase())
}

// KnifeAt is where the knife is, Nothing while nothing is cut.
func (s Strip) KnifeAt() measure.Quantity {
	if s.Knife <= s.From {
		return measure.Quantity{}
	}
	return measure.OfLength(s.Knife, s.Units)
}

// used is where the last cut ends, or with all the last thing that is drawn.
func (s Strip) used(all bool) (end measure.Length) {
	for _, p := range s.Pieces {
		if all || p.First != "" {
			end = max(end, p.To)
		}
	}
	return end
}

// OfPlan are the bolts of a fabric as its cuts are laid out before anything is cut.
func OfPlan(p *workup.ClothPlan, units measure.Unit) []Strip {
	cuts := map[string][]Piece{}
	turned := map[string]bool{}
	for i := range p.Cuts {
		turned[p.Cuts[i].ID] = p.Cuts[i].Railroaded
	}
	for _, at := range p.Plan.Placements {
		cuts[at.Bolt] = append(cuts[at.Bolt], Piece{First: at.Cut, Last: at.Cut, From: at.From, To: at.To, Turned: turned[at.Cut]})
	}
	return of(p.Fabric, cuts, units)
}

// OfTickets are the bolts of a fabric as an order's cutting tickets have them now; the fabric's bolts are those of
// stations.Floor.Bolts.
func OfTickets(f *orderfile.Fabric, tickets []*stations.Ticket, units measure.Unit) []Strip {
	cuts := map[string][]Piece{}
	for _, t := range tickets {
		if t.Spec.Kind != plan.CuttingTicket || t.Spec.Fabric != f.ID {
			continue
		}
		next := t.NextCut()
		for i := range t.Spec.Cuts {
			l := &t.Spec.Cuts[i]
			done := l.Done || t.State() == stations.Finished
			if l.Bolt == "" || t.Cancelled && !done {
				continue
			}
			span := l.Span()
			cuts[l.Bolt] = append(cuts[l.Bolt], Piece{
				First: l.Cut, Last: l.Cut, From: span.From, To: span.To, Done: done, Next: l == next && t.State() == stations.AtWork, Turned: l.Railroaded,
			})
		}
	}
	return of(f, cuts, units)
}

func of(f *orderfile.Fabric, cuts map[string][]Piece, units measure.Unit) []Strip {
	var strips []Strip
	for _, b := range f.Bolts {
		s := Strip{Bolt: b.ID, Lot: b.Lot, From: b.From, To: b.Length, Units: units, Pieces: cuts[b.ID], Cuts: len(cuts[b.ID]), Knife: b.From}
		for _, p := range s.Pieces {
			if p.Done {
				s.Done++
				s.Knife = max(s.Knife, p.To)
			}
		}
		without := func(stretches []orderfile.Flaw, promised bool) {
			for _, f := range stretches {
				if span := (cutting.Span{From: max(f.From, s.From), To: min(f.To, s.To)}); span.From < span.To {
					s.Pieces = append(s.Pieces, Piece{From: span.From, To: span.To, Promised: promised})
				}
			}
		}
		without(b.Flaws, false)
		without(joined(b.Spoken), true)
		slices.SortStableFunc(s.Pieces, func(a, b Piece) int { return cmp.Compare(a.From, b.From) })
		if s.Cuts > mostCuts {
			s.Pieces = merged(s.Pieces)
		}
		strips = append(strips, s)
	}
	return strips
}

// joined are stretches along a bolt, those that touch as one.
func joined(stretches []orderfile.Flaw) (list []orderfile.Flaw) {
	stretches = slices.SortedFunc(slices.Values(stretches), func(a, b orderfile.Flaw) int { return cmp.Compare(a.From, b.From) })
	for _, s := range stretches {
		if n := len(list); n > 0 && s.From <= list[n-1].To {
			list[n-1].To = max(list[n-1].To, s.To)
		} else {
			list = append(list, s)
		}
	}
	return list
}

// mostCuts is how many cuts of a bolt are drawn each by itself; of more, those that follow each other are one stretch. Our own
// choice.
const mostCuts = 24

// merged puts cuts that follow each other in number and are alike done together; what they leave between them is pattern.
func merged(pieces []Piece) []Piece {
	var list []Piece
	for _, p := range pieces {
		if n := len(list); n > 0 && p.First != "" && list[n-1].First != "" && p.Done == list[n-1].Done && p.Turned == list[n-1].Turned && !p.Next && !list[n-1].Next {
			list[n-1].Last, list[n-1].To = p.Last, p.To
			continue
		}
		list = append(list, p)
	}
	return list
}

// thinnest is what part of a bolt a flaw is drawn at least.
const thinnest = 250

// OfShelf is a bolt of the shelf: what came off it, what was found on what is left, and what tickets are still to cut from that.
func OfShelf(b *shelf.Bolt, promised []shelf.Promise) Strip {
	s := Strip{Bolt: string(b.Code), Lot: b.Lot, From: b.Began, To: b.End(), Units: b.Units, Knife: b.Begin}
	for i := range b.Off {
		f := &b.Off[i]
		span := f.Span()
		p := Piece{From: span.From, To: span.To, Gone: f.As == shelf.AsRemnant || f.As == shelf.AsScrapped}
		if f.As == shelf.AsCut {
			p.First, p.Last, p.Done = f.Cut, f.Cut, true
			s.Cuts, s.Done = s.Cuts+1, s.Done+1
		}
		s.Pieces = append(s.Pieces, p)
	}
	for i := range b.Flaws {
		if span := b.Flaws[i].Span(); span.To >= b.Begin {
			from := max(span.From, b.Begin)
			s.Pieces = append(s.Pieces, Piece{From: from, To: max(span.To, from+(s.To-s.From).Div(thinnest))}) // a spot is seen too
		}
	}
	for _, p := range promised {
		s.Pieces, s.Cuts = append(s.Pieces, Piece{First: p.Cut, Last: p.Cut, From: p.Span.From, To: p.Span.To, Promised: true}), s.Cuts+1
	}
	slices.SortStableFunc(s.Pieces, func(a, b Piece) int { return cmp.Compare(a.From, b.From) })
	if s.Cuts > mostCuts {
		s.Pieces = merged(s.Pieces)
	}
	return s
}
