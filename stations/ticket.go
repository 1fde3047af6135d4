package stations

import (
	"fmt"
	"slices"
	"time"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// Ticket is a ticket on the floor; read only.
type Ticket struct {
	Spec       *plan.Ticket
	Order      string
	Customer   string
	Due        string
	Cancelled  bool
	Scrapped   bool // and its cloth was cut; BillsScrap: it can be billed all the same
	BillsScrap bool
	At         int // index of the current step in Steps; len(Steps) when finished
	Steps      []StepNow
	Invoice    string // draft that it stands on, also when that is issued; "" for none
	Changed    time.Time
	RemadeAs   plan.Code // the panel that replaces it

	// What the order's newest file says against what is being made; see Renumbered.
	Kept       []string
	Wanted     *plan.Ticket
	ClothStays bool
	Removed    bool

	joined []plan.Code // the tickets that the office has joined it with, itself among them

	told bool  // something was told at the cutting table: the cuts are made that were told so, and no others
	Off  []Off // what the cutting table told of the bolts beside the cuts

	cutBy   []plan.Code // the tickets that cut a panel's cloth
	place   int         // in its order's Tickets
	changes int         // counts what has happened to it
	cutAt   int         // a panel's changes when its cloth was all cut
	last    *move       // the start or finish that may be taken back, nil when something has happened since
}

// move is a start or a finish, kept so that it can be taken back.
type move struct {
	action Action
	device string
	at     time.Time
	step   int
	before StepNow
	// revision is the order's: a cutting's start isn't taken back once another file says where its cuts lie.
	revision int
	table    []tableWas        // of what was told at the table: the tickets that it changed, as they were
	lines    []tableWas        // of a cutting's finish: the tickets whose cuts it moved, as they were
	shelf    map[plan.Code]int // bolts of the shelf that it did something to, and how often they had changed then
	ahead    []plan.Code       // of a cutting: panels that had their cloth already, since this was cutting some of it anew
}

// StepNow is a step's present.
type StepNow struct {
	Spec      *plan.Step
	State     State
	Before    State // of a held step: what it was
	Reason    string
	Picture   string     // of a held step: id of the one that shows why, "" for none
	ForOffice bool       // held out of tolerance, by its cloth or for its mate: the office decides
	Cloth     *ClothHold // of a cutting that its cloth holds
	OutOf     []string
	Pair      *PairDiffers // that it differs from its mate; kept when the office accepts it
	SentBack  *SentBack
	Measured  map[string]measure.Quantity // as entered, lengths in the order's unit; kept through undo
	Checks    []string
	Person    string
	Started   time.Time
	Ended     time.Time

	stopped *stop // a person's hold that stands behind that of the cloth
}

// stop is why a person holds a step.
type stop struct {
	reason, picture string
	forOffice       bool
}

// SentBack says from where and why a step is to be done again.
type SentBack struct {
	From   plan.Station `json:"from"`
	Reason string       `json:"reason"`

	uncut bool // a cutting of which nothing had been cut
}

// Station returns where the ticket is or waits: its current step's station; the last one's when finished.
func (t *Ticket) Station() plan.Station { return t.Steps[min(t.At, len(t.Steps)-1)].Spec.Station }

// State returns the ticket's state: that of its current step, finished, or cancelled.
func (t *Ticket) State() State {
	switch {
	case t.Cancelled:
		return Cancelled
	case t.At == len(t.Steps):
		return Finished
	}
	return t.Steps[t.At].State
}

// Current returns the current step, nil when finished or cancelled.
func (t *Ticket) Current() *StepNow {
	if t.Cancelled || t.At == len(t.Steps) {
		return nil
	}
	return &t.Steps[t.At]
}

// step returns the index of a station on the ticket's route, -1 where it isn't on it.
func (t *Ticket) step(s plan.Station) int {
	return slices.IndexFunc(t.Steps, func(n StepNow) bool { return n.Spec.Station == s })
}

// isPanel reports whether the ticket is of something that is made, for which others cut: a panel, or a piece that goes the same way.
func (t *Ticket) isPanel() bool { return t.Spec.Kind != plan.CuttingTicket }

// Begun reports whether somebody has worked on the panel since its cloth was cut; false while it isn't.
func (t *Ticket) Begun() bool {
	own := 0 // its first step that isn't done by others
	if t.Spec.IsCut() {
		own = 1
	}
	if t.At != own {
		return t.At > own
	}
	joining := &t.Steps[own]
	return joining.SentBack != nil || joining.State == AtWork || joining.State == Held && joining.Before != Ready
}

func newTicket(spec *plan.Ticket, o *Order, place int, at time.Time) *Ticket {
	t := &Ticket{Spec: spec, Order: o.ID, Customer: o.Customer, Due: o.Due, place: place, Changed: at}
	t.Steps = make([]StepNow, len(spec.Steps))
	for i := range t.Steps {
		t.Steps[i] = StepNow{Spec: &spec.Steps[i], State: Waiting}
	}
	if !spec.IsCut() {
		t.Steps[0].State = Ready
	}
	return t
}

// copy returns a ticket that may be changed.
func (t *Ticket) copy() *Ticket {
	own := new(Ticket)
	*own = *t
	own.Steps = append([]StepNow(nil), t.Steps...)
	return own
}

// respec puts what a revision says on the ticket. A step that its route still has goes on as it was; another begins as
// it would on a new ticket, held where what it takes the place of was.
func (t *Ticket) respec(r *Renumbered) {
	spec := r.Spec
	was := t.Steps
	t.Spec, t.Kept, t.Wanted, t.ClothStays, t.Removed = &spec, r.Kept, r.Wanted, r.ClothStays, r.Removed
	t.Steps = make([]StepNow, len(spec.Steps))
	for i := range t.Steps {
		if i < len(was) && was[i].Spec.Station == spec.Steps[i].Station {
			t.Steps[i] = was[i]
		} else {
			t.Steps[i] = StepNow{State: Waiting}
			if i == t.At && i < len(was) && was[i].State == Held {
				t.Steps[i].hold(was[i].Reason, was[i].Picture)
			}
		}
		t.Steps[i].Spec = &spec.Steps[i]
	}
}

// mostTold is how many tickets a refusal lists: our own choice.
const mostTold = 20

// LiesAt reports whether a ticket's work is at a station: ready, at work or held there. A panel whose cloth isn't cut is nowhere yet.
func (t *Ticket) LiesAt(s plan.Station) bool {
	switch t.State() {
	case Ready, AtWork, Held:
		return t.Station() == s
	}
	return false
}

// passes reports whether a ticket's way has a station, done or not.
func (t *Ticket) passes(s plan.Station) bool { return t.Spec.At(s) != nil }

// LyingAt are the tickets whose work is at a station, and how many more come there.
func (f *Floor) LyingAt(s plan.Station) (here []*Ticket, coming int) {
	for _, o := range f.Orders() {
		for _, t := range o.Tickets {
			switch {
			case t.LiesAt(s):
				here = append(here, t)
			case t.Current() != nil && slices.ContainsFunc(t.Steps[t.At:], func(n StepNow) bool { return n.Spec.Station == s }):
				coming++
			}
		}
	}
	return here, coming
}

// RefuseLayout refuses what a shop would say of its stations from now on, nil where the floor has nothing against it: station_used
// where any ticket passes one of the shop's own that would be no more, since its name and checks stand there; station_busy where work lies
// at one that would be off and isn't left to be done there, as released.
func (f *Floor) RefuseLayout(was, is plan.Layout, leave bool) *Refusal {
	for _, s := range was {
		if !plan.IsOwn(s.Station) || is.Of(s.Station) != nil {
			continue
		}
		for _, o := range f.Orders() {
			if slices.ContainsFunc(o.Tickets, func(t *Ticket) bool { return t.passes(s.Station) }) {
				r := refuse("station_used", "stations", "Station", s.Station, "Order", o.ID)
				r.Where = &Place{Station: s.Station}
				return r
			}
		}
	}
	if leave {
		return nil
	}
	return f.refuseBusy(was, is)
}

// refuseBusy says how much work lies at stations that would be off, and which.
func (f *Floor) refuseBusy(was, is plan.Layout) (r *Refusal) {
	for i, s := range is {
		if !s.Off || was.Off(s.Station) {
			continue
		}
		here, coming := f.LyingAt(s.Station)
		if len(here) == 0 {
			continue
		}
		where := fmt.Sprintf("stations[%d].off", i)
		if r == nil {
			r = refuse("station_busy", where)
			r.Where = &Place{Station: s.Station}
		}
		var list []string
		for _, t := range here[:min(len(here), mostTold)] {
			r.Where.Tickets = append(r.Where.Tickets, t.Spec.Code)
			list = append(list, string(t.Spec.Code)+" ("+t.Order+")")
		}
		r.Problems = append(r.Problems, engine.Problem{Severity: engine.Error, Code: "station_busy", Where: where,
			Args: map[string]any{"Station": s.Station, "Count": len(here), "Coming": coming, "Tickets": list, "More": max(0, len(here)-mostTold)}})
	}
	return r
}
