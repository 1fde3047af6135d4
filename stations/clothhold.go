package stations

import (
	"fmt"
	"maps"
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
)

// Why cloth holds a cutting ticket. Both are the step's reason too.
const (
	ClothShort = "cloth_short" // some cuts have no place on the bolts
	LotsMixed  = "lots_mixed"  // a window can only be cut from several dye lots
)

// ClothHold is what the bolts lack for a cutting ticket, which the office decides; with an empty Reason they lack
// nothing any more, or the office has gone on, and the ticket is free.
type ClothHold struct {
	Ticket  plan.Code        `json:"ticket"`
	Reason  string           `json:"reason,omitempty"`
	Fabric  string           `json:"fabric,omitempty"`
	Short   measure.Quantity `json:"short,omitzero"`    // the length of the cuts without a place, in the order's unit
	Cuts    []string         `json:"cuts,omitempty"`    // those cuts
	Windows []string         `json:"windows,omitempty"` // that mix lots
}

// holdByCloth holds the step for what its bolts lack. Another hold is kept behind it.
func (s *StepNow) holdByCloth(h *ClothHold) {
	switch {
	case s.State != Held:
		s.Before = s.State
	case s.Cloth == nil:
		s.stopped = &stop{s.Reason, s.Picture, s.ForOffice}
	}
	s.State, s.Reason, s.Picture, s.ForOffice, s.Cloth = Held, h.Reason, "", true, h
}

// freed is the state of a step that its cloth holds once it does so no more.
func (s *StepNow) freed() State {
	if s.stopped != nil {
		return Held
	}
	return s.Before
}

// free ends a hold by the cloth.
func (s *StepNow) free() {
	stopped := s.stopped
	s.stopped, s.Cloth, s.ForOffice = nil, nil, false
	if stopped != nil {
		s.Reason, s.Picture, s.ForOffice = stopped.reason, stopped.picture, stopped.forOffice
		return
	}
	s.resume()
}

// heldByCloth reports whether what its bolts lack holds the ticket.
func (t *Ticket) heldByCloth() bool {
	now := t.Current()
	return now != nil && now.Cloth != nil
}

// lackOf is what the bolts lack for a ticket; nil where nothing. Of the panels that are told the windows mix lots.
func lackOf(s *plan.Ticket, mixed func(panel plan.Code) bool) *ClothHold {
	h := &ClothHold{Ticket: s.Code, Fabric: s.Fabric}
	for i := range s.Cuts {
		for _, part := range s.Cuts[i].For {
			if mixed(part.Ticket) {
				h.Windows = union(h.Windows, []string{part.Window})
			}
		}
	}
	cuts, short := s.Unplaced()
	switch {
	case len(cuts) > 0:
		h.Reason, h.Short, h.Cuts = ClothShort, measure.OfLength(short, s.Units), cuts
	case len(h.Windows) > 0:
		h.Reason = LotsMixed
	default:
		return nil
	}
	return h
}

// holdByCloth adds to an event what it means for tickets that their bolts lack something, or nothing any more.
func (o *Overlay) holdByCloth(e *Event, h ClothHold) {
	moved := Moved{Ticket: h.Ticket, Station: plan.Cutting, State: Held}
	if h.Reason == "" {
		moved.State = o.ticket(h.Ticket).Current().freed()
	}
	e.Holds = append(e.Holds, h)
	if h.Ticket != e.Ticket {
		e.Also = append(e.Also, moved)
	}
}

// applyHolds holds and frees tickets once all else that an event says is done.
func (o *Overlay) applyHolds(e Event) {
	for i := range e.Holds {
		h := e.Holds[i]
		t := o.ownTicket(h.Ticket)
		if h.Ticket != e.Ticket {
			t = o.touch(h.Ticket, e.At)
		}
		step := t.Current()
		if h.Reason == "" {
			step.free()
		} else {
			step.holdByCloth(&h)
		}
	}
}

// weigh settles what it means that the bolts do for a fabric's cuts, or don't.
func (r *revising) weigh(fabric *orderfile.Fabric, c *fabricCut, mixed []int, specs map[plan.Code]*plan.Ticket) {
	short := false
	for _, s := range specs {
		if s != nil && len(fabric.Bolts) > 0 {
			cuts, _ := s.Unplaced()
			short = short || len(cuts) > 0
		}
	}
	pending := slices.ContainsFunc(c.open, (*Ticket).heldByCloth)
	switch alike := c.asBefore(specs); {
	case !short && len(mixed) == 0:
	case alike && c.known && !pending && !c.worse(mixed, specs):
		return // it was so before, and the office went on with it
	case alike || !c.known && c.before+len(c.open) > 0:
		r.hold(mixed, specs)
	case short:
		r.short = append(r.short, fabric.ID)
	default:
		r.mixed = append(r.mixed, fabric.ID)
	}
	for _, t := range c.open {
		again := slices.ContainsFunc(r.holds, func(h ClothHold) bool { return h.Ticket == t.Spec.Code })
		if t.heldByCloth() && specs[t.Spec.Code] != nil && !again {
			r.holds = append(r.holds, ClothHold{Ticket: t.Spec.Code})
		}
	}
}

// hold holds the tickets whose cuts have no place, or mix lots.
func (r *revising) hold(mixed []int, specs map[plan.Code]*plan.Ticket) {
	mixes := func(panel plan.Code) bool {
		treatment, has := r.seated(panel)
		return has && slices.Contains(mixed, r.sheet.Work.LotGroup(treatment))
	}
	for _, code := range slices.Sorted(maps.Keys(specs)) {
		if s := specs[code]; s != nil {
			if h := lackOf(s, mixes); h != nil {
				r.holds = append(r.holds, *h)
			}
		}
	}
}

// lacking reports whether the bolts lack something for a ticket.
func (r *revising) lacking() bool {
	return slices.ContainsFunc(r.holds, func(h ClothHold) bool { return h.Reason != "" })
}

// goOn has the office pass over what the bolts lack: what they would hold goes on, and what they held is free.
func (r *revising) goOn(reason string) {
	var holds []ClothHold
	for _, h := range r.holds {
		t := r.ticket(h.Ticket)
		if h.Reason != "" {
			r.passOver(h)
		}
		if t != nil && t.heldByCloth() {
			holds = append(holds, ClothHold{Ticket: h.Ticket})
		}
	}
	r.holds = holds
	r.out.Override, r.out.Reason = true, reason
	r.out.Revised.Short, r.out.Revised.Mixed = r.short, r.mixed
}

// passOver notes the fabric of a hold that doesn't come about.
func (r *revising) passOver(h ClothHold) {
	if h.Reason == LotsMixed {
		r.mixed = union(r.mixed, []string{h.Fabric})
	} else {
		r.short = union(r.short, []string{h.Fabric})
	}
}

// asBefore reports whether the tickets have the very cuts to make that they had, wherever they lie.
func (c *fabricCut) asBefore(specs map[plan.Code]*plan.Ticket) bool {
	if specs[""] != nil {
		return false
	}
	for _, t := range c.open {
		s := specs[t.Spec.Code]
		if s == nil || !slices.Equal(workOf(t.Spec.Cuts), workOf(s.Cuts)) {
			return false
		}
	}
	return true
}

// worse reports whether the bolts lack more for the tickets than they did: more cuts have no place, or a window mixes
// lots that didn't.
func (c *fabricCut) worse(mixed []int, specs map[plan.Code]*plan.Ticket) bool {
	var was, is measure.Length
	for _, t := range c.open {
		_, before := t.Spec.Unplaced()
		_, after := specs[t.Spec.Code].Unplaced()
		was, is = was+before, is+after
	}
	return is > was || slices.ContainsFunc(mixed, func(group int) bool { return len(c.were[group]) < 2 })
}

// workOf says of each cut what is to be cut for whom, but not where, in an order of its own.
func workOf(lines []plan.Cut) []string {
	var list []string
	for i := range lines {
		l := &lines[i]
		list = append(list, fmt.Sprint(l.Length, l.Class, l.Phase, l.Trimming, l.Railroaded, l.For))
	}
	slices.Sort(list)
	return list
}
