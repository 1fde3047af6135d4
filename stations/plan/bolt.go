package plan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// NamedBolt is a bolt that an order's file lists. Two unfinished orders that name a bolt alike, by fabric, bolt and lot,
// mean one bolt, unless the office has said that they are two.
type NamedBolt struct {
	Fabric string           `json:"fabric"`
	Bolt   string           `json:"bolt"`
	Lot    string           `json:"lot,omitempty"`
	From   measure.Quantity `json:"from,omitzero"` // where the order's part begins, Nothing where the file doesn't part the bolt
	To     measure.Quantity `json:"to,omitzero"`   // where the last cut on it ends, Nothing for none
}

// NamedBolts are the bolts that an order's file lists, with where its cuts end on each.
func NamedBolts(w *workup.Workup) []NamedBolt {
	ends := map[string]map[string]measure.Length{}
	for i := range w.Cloth {
		ends[w.Cloth[i].Fabric.ID] = lastCuts(w.Cloth[i].Plan.Placements)
	}
	var named []NamedBolt
	for i := range w.Order.Fabrics {
		f := &w.Order.Fabrics[i]
		for _, b := range f.Bolts {
			if b.Shelf != "" { // what of it is whose, the shelf knows
				continue
			}
			named = append(named, NamedBolt{
				Fabric: f.ID, Bolt: b.ID, Lot: b.Lot, From: OptionalLength(b.From, w.Order.Units), To: OptionalLength(ends[f.ID][b.ID], w.Order.Units),
			})
		}
	}
	return named
}

// Alike reports whether two orders name a bolt alike.
func (b NamedBolt) Alike(other NamedBolt) bool {
	return b.Name() == other.Name()
}

// Name is the bolt without its parts: equal where two orders name it alike.
func (b NamedBolt) Name() NamedBolt {
	return NamedBolt{Fabric: b.Fabric, Bolt: b.Bolt, Lot: b.Lot}
}

// Part is the stretch that the order is cut from: nothing where it has no cut there.
func (b NamedBolt) Part() cutting.Span {
	from := b.From.Length()
	return cutting.Span{From: from, To: max(from, b.To.Length())}
}

// Clashes reports whether two orders that name a bolt alike can't both be cut from it: neither says which part is its
// own, or the parts overlap.
func (b NamedBolt) Clashes(other NamedBolt) bool {
	if b.From.IsZero() && other.From.IsZero() {
		return true
	}
	p, q := b.Part(), other.Part()
	return p.From < q.To && q.From < p.To
}

// BoltPart is the part of a bolt that is an order's: from a place on, measured from the bolt's first end, to its end.
type BoltPart struct {
	Bolt string           `json:"bolt"`
	Lot  string           `json:"lot,omitempty"`
	From measure.Quantity `json:"from"` // as cloth is bought: "12yd"
}

// BoltParts are the bolts of a fabric of which only a part is the order's, by its file: a bolt of the shelf is measured from where its
// cloth begins, which moves.
func BoltParts(f *orderfile.Fabric, units measure.Unit) []BoltPart {
	var parts []BoltPart
	for _, b := range f.Bolts {
		if b.From > 0 && b.Shelf == "" {
			parts = append(parts, BoltPart{b.ID, b.Lot, measure.OfLength(b.From, units.Purchase())})
		}
	}
	return parts
}

// Yield takes off a ticket's remnants what other orders are cut from.
func (s *Ticket) Yield(spoken map[string][]cutting.Span) {
	var left []Remnant
	for _, r := range s.Remnants {
		from := r.From.Length()
		if end := besides(cutting.Span{From: from, To: from + r.Length.Length()}, spoken[r.Bolt]); end.From < end.To {
			left = append(left, Remnant{Bolt: r.Bolt, From: measure.OfLength(end.From, s.Units), Length: measure.OfLength(end.To-end.From, s.Units)})
		}
	}
	s.Remnants = left
}

// lastCuts returns where the last cut of each bolt ends.
func lastCuts(placements []cutting.Placement) map[string]measure.Length {
	last := map[string]measure.Length{}
	for _, p := range placements {
		last[p.Bolt] = max(last[p.Bolt], p.To)
	}
	return last
}

// besides is the end of a bolt as far as it is nobody else's: from behind a part that another order is cut from to where
// the next one begins.
func besides(end cutting.Span, spoken []cutting.Span) cutting.Span {
	spoken = slices.SortedFunc(slices.Values(spoken), func(a, b cutting.Span) int { return cmp.Compare(a.From, b.From) })
	for _, s := range spoken {
		if s.From >= end.From {
			end.To = min(end.To, s.From)
			break
		}
		end.From = max(end.From, s.To)
	}
	return end
}
