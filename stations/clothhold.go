package stations

import (
	"slices"

	"tablehand/engine/measure"
)

// Why cloth holds a cutting ticket. Both are the step's reason too.
const (
	ClothShort = "cloth_short" // some cuts have no place on the bolts
	LotsMixed  = "lots_mixed"  // a window can only be cut from several dye lots
)

// ClothHold is what the bolts lack for a cutting ticket, which the office decides; with an empty Reason they lack
// nothing any more, or the office has gone on, and the ticket is free.
type ClothHold struct {
	Ticket  Code             `json:"ticket"`
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

// knowsCloth reports whether bolts were listed when the ticket's cuts were laid out.
func (s *TicketSpec) knowsCloth() bool { return !s.Number("on_bolts").IsZero() }

// unplaced are a cutting ticket's cuts that lie on no bolt and aren't cut, and their length together.
func (s *TicketSpec) unplaced() (cuts []string, short measure.Length) {
	for i := range s.Cuts {
		if l := &s.Cuts[i]; l.Bolt == "" && !l.Done {
			cuts = append(cuts, l.Cut)
			short += l.Length.Length()
		}
	}
	return cuts, short
}

// lack is what the bolts lack for a ticket; nil where nothing. The windows named mix lots.
func (s *TicketSpec) lack(mixed []string) *ClothHold {
	h := &ClothHold{Ticket: s.Code, Fabric: s.Fabric}
	for i := range s.Cuts {
		for _, part := range s.Cuts[i].For {
			if slices.Contains(mixed, part.Window) {
				h.Windows = union(h.Windows, []string{part.Window})
			}
		}
	}
	cuts, short := s.unplaced()
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
	moved := Moved{Ticket: h.Ticket, Station: Cutting, State: Held}
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
