package stations

import (
	"slices"
	"time"

	"tablehand/stations/plan"
)

// Planned is what a command does to a floor, worked out beforehand on that floor: thousands of tickets are planned beside
// whoever keeps the floor's events in order, who then only looks whether it still holds.
type Planned struct {
	Event   Event    // its Seq and At are settled when it is kept
	Refused *Refusal // instead of an event

	order string
	bolts []plan.NamedBolt // that the order is cut from, before or after
	on    *Floor
	after *Overlay // the floor with the event; nil once it is kept
}

// IsLarge reports whether a command is about all of an order's tickets, so that it is better planned.
func IsLarge(cmd Command) bool {
	switch cmd.(type) {
	case ReleaseOrder, ReviseOrder:
		return true
	}
	return false
}

// Plan decides a large command on the floor as it is, and what the floor is with it.
func (f *Floor) Plan(cmd Command, now time.Time) *Planned {
	p := &Planned{on: f, after: f.Overlay()}
	switch c := cmd.(type) {
	case ReleaseOrder:
		p.order, p.bolts = c.Order, c.Bolts
	case ReviseOrder:
		p.order, p.bolts = c.Order, plan.NamedBolts(c.Sheet.Work)
	default:
		panic("stations: a command that isn't planned")
	}
	if o := f.Order(p.order); o != nil {
		p.bolts = slices.Concat(p.bolts, o.bolts())
	}
	e := Event{At: stamp(now), Action: cmd.action()}
	if p.Refused = p.after.decide(cmd, &e); p.Refused == nil {
		p.after.Apply(e)
		p.Event = e
	}
	return p
}

// Keep takes what was planned for the overlay's own, as of now, and returns its event, or its refusal. ok is false, and
// nothing is done, where something that it was planned by has changed since: the order or one of its tickets, the bolts
// that others are cut from, a code that it draws.
func (o *Overlay) Keep(p *Planned, now time.Time, seq int64) (e Event, refused *Refusal, ok bool) {
	if p.after == nil || !o.holds(p) {
		return Event{}, nil, false
	}
	if p.Refused != nil {
		return Event{}, p.Refused, true
	}
	e = p.Event
	e.Seq, e.At = seq, stamp(now)
	for code, t := range p.after.tickets {
		if t.Changed.Equal(p.Event.At) {
			t.Changed = e.At
		}
		o.tickets[code] = t
	}
	o.orders[p.order] = p.after.orders[p.order]
	o.seq = seq
	p.after = nil // they are the overlay's, which may change them
	return e, nil, true
}

// holds reports whether a plan's command would be decided here as it was.
func (o *Overlay) holds(p *Planned) bool {
	if o.order(p.order) != p.on.Order(p.order) {
		return false
	}
	for i := range p.Event.Tickets {
		if o.ticket(p.Event.Tickets[i].Code) != nil {
			return false
		}
	}
	if len(p.bolts) == 0 {
		return true
	}
	named := map[plan.NamedBolt]bool{}
	for _, b := range p.bolts {
		named[b.Name()] = true
	}
	were := map[string]*Order{}
	for _, other := range p.on.Overlay().others(p.order) {
		were[other.ID] = other
	}
	for _, other := range o.others(p.order) {
		was := were[other.ID]
		delete(were, other.ID)
		if was != other && !slices.Equal(was.cutFrom(named), other.cutFrom(named)) {
			return false
		}
	}
	for _, gone := range were {
		if len(gone.cutFrom(named)) > 0 {
			return false
		}
	}
	return true
}

// cutFrom are those of an order's bolts that are named; nil has none.
func (o *Order) cutFrom(named map[plan.NamedBolt]bool) []plan.NamedBolt {
	if o == nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(o.bolts()), func(b plan.NamedBolt) bool { return !named[b.Name()] })
}

// stamp is an instant as an event has it.
func stamp(now time.Time) time.Time { return now.UTC().Truncate(time.Microsecond) }
