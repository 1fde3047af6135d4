package stations

import (
	"slices"
	"time"

	"tablehand/stations/plan"
)

// undoWithin is how long a start or finish may be taken back, by the server's clock.
const undoWithin = 5 * time.Minute

// decideUndo takes back the ticket's last start or finish, by the same device and soon, if nothing has happened
// since to the ticket or to a step that it made ready. The undo itself is such a happening: it isn't taken back.
func (o *Overlay) decideUndo(t *Ticket, c Scan, e *Event) *Refusal {
	switch {
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.last == nil || !t.isPanel() && t.last.action != Finish && t.last.revision != o.order(t.Order).Revision:
		return t.refuse("undo_overtaken", "ticket")
	case t.last.device != c.Actor.Device:
		return t.refuse("undo_not_yours", "ticket")
	case e.At.Sub(t.last.at) > undoWithin:
		return t.refuse("undo_late", "ticket")
	}
	e.Station = t.Steps[t.last.step].Spec.Station
	if t.last.table != nil {
		return o.decideUntell(t, e)
	}
	if t.last.action == Start {
		if !t.isPanel() && !o.hasRoom(t) {
			return t.refuse("undo_overtaken", "ticket") // it was told of their bolts since, and laid around these cuts
		}
		e.State, e.Next = Ready, e.Station
		return nil
	}
	e.State = AtWork
	if t.isPanel() {
		e.Also = o.freed(t)
		return nil
	}
	if t.State() == Held { // a finish that became a hold moved nobody
		return nil
	}
	e.Also = o.takenBack(t)
	return o.movedOn(t, e.Also)
}

// movedOn refuses to take back a cutting when one of the panels that its cloth went to has had anything done to it
// since all its cloth was cut. Those that were ahead of this cutting don't count.
func (o *Overlay) movedOn(cut *Ticket, still []Moved) *Refusal {
	untouched := map[plan.Code]bool{}
	for _, m := range still {
		p := o.ticket(m.Ticket)
		untouched[m.Ticket] = p.changes == p.cutAt
	}
	for _, code := range o.pastCutting(cut) {
		if !untouched[code] && !slices.Contains(cut.last.ahead, code) {
			r := cut.refuse("undo_overtaken", "ticket")
			r.Where = &Place{Station: o.ticket(code).Station(), Tickets: []plan.Code{code}}
			return r
		}
	}
	return nil
}

// pastCutting returns the panels of a fabric that have all their cloth.
func (o *Overlay) pastCutting(cut *Ticket) []plan.Code {
	var codes []plan.Code
	for _, p := range o.order(cut.Order).Tickets {
		if p.isPanel() && p.cutFrom(cut) && p.At > 0 {
			codes = append(codes, p.Spec.Code)
		}
	}
	return codes
}
