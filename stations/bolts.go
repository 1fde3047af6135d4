package stations

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
)

// Off is a stretch that is off a bolt beside the cuts, or the end that was measured. Marks are lengths along the bolt as
// it was listed, in the order's unit.
type Off struct {
	As   OffKind          `json:"as"`
	Bolt string           `json:"bolt,omitempty"` // "" where the spoilt cut lay on none
	From measure.Quantity `json:"from,omitzero"`
	To   measure.Quantity `json:"to,omitzero"`
	Cut  string           `json:"cut,omitempty"` // that was spoilt
}

// OffKind says what became of a stretch.
type OffKind string

const (
	OffFlaw   OffKind = "flaw"
	OffSpoilt OffKind = "spoilt"
	OffRest   OffKind = "rest" // the bolt ends at To: what is left was measured
)

func (f *Off) span() cutting.Span { return cutting.Span{From: f.From.Length(), To: f.To.Length()} }

// made reports whether one of the ticket's cuts is made, or may be.
func (t *Ticket) made(l *plan.Cut) bool {
	return l.Done || t.At > 0 || t.cutInto() && !t.told
}

// layable reports whether cuts of the ticket can still be laid out otherwise: it isn't begun, or it is known which are
// made.
func (t *Ticket) layable() bool {
	return !t.Cancelled && t.At == 0 && (!t.cutInto() || t.told)
}

// bolts are what is known of a fabric's bolts from an order's cutting tables.
type bolts struct {
	taken map[string][]cutting.Span // what is cut, or spoilt
	flaws map[string][]orderfile.Flaw
	ends  map[string]measure.Length // as measured
	front map[string]measure.Length // behind which lies what was told as cut
}

// boltsOf gathers what the tickets of an order's fabric say; with is one of them as it will be, nil for none.
func (o *Overlay) boltsOf(order *Order, fabric string, with *Ticket) bolts {
	b := bolts{map[string][]cutting.Span{}, map[string][]orderfile.Flaw{}, map[string]measure.Length{}, map[string]measure.Length{}}
	var uncut []*plan.Cut
	for _, t := range order.Tickets {
		if with != nil && t.Spec.Code == with.Spec.Code {
			t = with
		}
		if t.isPanel() || t.Spec.Fabric != fabric {
			continue
		}
		b.tell(t.Off)
		for i := range t.Spec.Cuts {
			switch l := &t.Spec.Cuts[i]; {
			case l.Bolt == "":
			case t.Cancelled && !l.Done:
			case t.made(l):
				b.taken[l.Bolt] = append(b.taken[l.Bolt], l.Span())
				if l.Done {
					b.front[l.Bolt] = max(b.front[l.Bolt], l.End())
				}
			default:
				uncut = append(uncut, l)
			}
		}
	}
	b.closeFront(uncut)
	return b
}

func (b *bolts) tell(off []Off) {
	for i := range off {
		f := &off[i]
		switch span := f.span(); f.As {
		case OffFlaw:
			b.flaws[f.Bolt] = append(b.flaws[f.Bolt], orderfile.Flaw{From: span.From, To: span.To})
		case OffSpoilt:
			if f.Bolt != "" {
				b.taken[f.Bolt] = append(b.taken[f.Bolt], span)
				b.front[f.Bolt] = max(b.front[f.Bolt], span.To)
			}
		case OffRest:
			b.ends[f.Bolt] = span.To
		}
	}
}

// closeFront takes what lies before the knife and isn't cut: it came off with the cut behind it. Only where a cut was laid
// there it may still be: cuts are told late.
func (b *bolts) closeFront(uncut []*plan.Cut) {
	for bolt, front := range b.front {
		var kept []cutting.Span
		for _, l := range uncut {
			if s := l.Span(); l.Bolt == bolt && s.From < front {
				kept = append(kept, s)
			}
		}
		slices.SortFunc(kept, func(a, b cutting.Span) int { return cmp.Compare(a.From, b.From) })
		at := measure.Length(0)
		for _, s := range kept {
			if s.From > at {
				b.taken[bolt] = append(b.taken[bolt], cutting.Span{From: at, To: s.From})
			}
			at = max(at, s.To)
		}
		if front > at {
			b.taken[bolt] = append(b.taken[bolt], cutting.Span{From: at, To: front})
		}
	}
}

// hasRoom reports whether a ticket's cuts, were they not begun, could be made where they lie, as far as the tables know the
// bolts.
func (o *Overlay) hasRoom(t *Ticket) bool {
	ready := t.copy()
	ready.Steps[t.At].State = Ready
	b := o.boltsOf(o.order(t.Order), t.Spec.Fabric, ready)
	for i := range t.Spec.Cuts {
		l := &t.Spec.Cuts[i]
		span := l.Span()
		end, measured := b.ends[l.Bolt]
		if ready.made(l) || l.Bolt == "" {
			continue
		}
		met := func(s cutting.Span) bool { return s.From < span.To && span.From < s.To }
		flawed := func(f orderfile.Flaw) bool { return met(cutting.Span{From: f.From, To: f.To}) }
		if measured && span.To > end || slices.ContainsFunc(b.taken[l.Bolt], met) || slices.ContainsFunc(b.flaws[l.Bolt], flawed) {
			return false
		}
	}
	return true
}

// known reports whether the table told anything that the order's file doesn't say.
func (b *bolts) known() bool { return len(b.flaws)+len(b.ends)+len(b.front) > 0 }

// on is a fabric with its bolts as they are known now: the flaws that were found, the ends that were measured.
func (b *bolts) on(f *orderfile.Fabric) *orderfile.Fabric {
	if !b.known() {
		return f
	}
	now := *f
	now.Bolts = slices.Clone(f.Bolts)
	for i := range now.Bolts {
		bolt := &now.Bolts[i]
		bolt.Flaws = slices.Concat(bolt.Flaws, b.flaws[bolt.ID])
		if end, measured := b.ends[bolt.ID]; measured {
			bolt.Length = end
		}
	}
	return &now
}

// Bolts is a fabric of an order with its bolts as its cutting tables know them: the flaws found there, the ends that
// were measured, and as flaws what was spoilt.
func (f *Floor) Bolts(order *Order, fabric *orderfile.Fabric) *orderfile.Fabric {
	b := f.Overlay().boltsOf(order, fabric.ID, nil)
	for _, t := range order.Tickets {
		for i := range t.Off {
			if off := &t.Off[i]; off.As == OffSpoilt && off.Bolt != "" && t.Spec.Fabric == fabric.ID {
				b.flaws[off.Bolt] = append(b.flaws[off.Bolt], orderfile.Flaw{From: off.span().From, To: off.span().To})
			}
		}
	}
	return b.on(fabric)
}
