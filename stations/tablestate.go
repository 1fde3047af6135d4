package stations

import (
	"cmp"
	"slices"
	"strconv"

	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Told reports whether anything was told of the ticket at the cutting table: then each of its cuts is.
func (t *Ticket) Told() bool { return t.told }

// NextCut is the first of a cutting ticket's cuts that isn't told as made, nil where all are.
func (t *Ticket) NextCut() *plan.Cut {
	i := slices.IndexFunc(t.Spec.Cuts, func(l plan.Cut) bool { return !l.Done })
	if i < 0 {
		return nil
	}
	return &t.Spec.Cuts[i]
}

// CutInTurn names the ticket's next cut, or its last where all are made; "" where it has none.
func (t *Ticket) CutInTurn() string {
	if next := t.NextCut(); next != nil {
		return next.Cut
	}
	if n := len(t.Spec.Cuts); n > 0 {
		return t.Spec.Cuts[n-1].Cut
	}
	return ""
}

// toCut are the names of what a ticket's table owes, where it is known what was done there: cuts that aren't made, rests of the shelf's
// bolts, and stretches that came off them of which nobody said whether they are kept.
func (o *Overlay) toCut(t *Ticket) (names []string) {
	if !t.told {
		return nil
	}
	for i := range t.Spec.Cuts {
		if l := &t.Spec.Cuts[i]; !l.Done {
			names = append(names, "cut."+l.Cut)
		}
	}
	remnants := 0
	for _, b := range o.tableOf(t) {
		if slices.Contains(b.For, t.Spec.Code) {
			names = append(names, "rest."+string(b.Code))
		}
		for _, off := range b.Unlabelled() {
			if off.At.Before(t.Steps[0].Started) { // another cutting's
				continue
			}
			remnants++
			names = append(names, "remnant."+strconv.Itoa(remnants))
		}
	}
	return names
}

// TableOf are the bolts of the shelf that a cutting ticket has on the table or cuts from, by code.
func (f *Floor) TableOf(t *Ticket) []*shelf.Bolt { return f.Overlay().tableOf(t) }

// Names is what a cutting ticket's lines call a bolt of the shelf.
func (f *Floor) Names(t *Ticket, b *shelf.Bolt) string {
	if b.From != nil && b.From.Order == t.Order && b.From.Fabric == t.Spec.Fabric && b.From.Bolt != "" {
		return b.From.Bolt
	}
	return string(b.Code)
}

// tableOf are the bolts of the shelf that a cutting ticket has on the table or cuts from, by code.
func (o *Overlay) tableOf(t *Ticket) (list []*shelf.Bolt) {
	for i := range t.Spec.Cuts {
		if b := o.boltNamed(t, t.Spec.Cuts[i].Bolt); b != nil && !slices.Contains(list, b) {
			list = append(list, b)
		}
	}
	for _, b := range o.shelf.Those(func(b *shelf.Bolt) bool { return slices.Contains(b.For, t.Spec.Code) }) {
		if !slices.Contains(list, b) {
			list = append(list, b)
		}
	}
	slices.SortFunc(list, func(a, b *shelf.Bolt) int { return cmp.Compare(a.Code, b.Code) })
	return list
}

// telling is the ticket as the first word at the table finds it: nothing counts as cut that wasn't told.
func (t *Ticket) telling() *Ticket {
	now := t.copy()
	now.told = true
	return now
}

// tell puts what was told at the table on the ticket.
func (t *Ticket) tell(e Event) {
	t.told = true
	if e.Off != nil {
		t.Off = append(slices.Clone(t.Off), *e.Off)
	}
	if e.Cut == "" {
		return
	}
	s := *t.Spec
	s.Cuts = slices.Clone(s.Cuts)
	if l := s.Cut(e.Cut); e.Action == Cut {
		l.Make(e.Length, e.From, e.TrimTop)
	} else {
		l.Unmake()
	}
	t.respec(&Renumbered{Spec: s, Kept: t.Kept})
}

// tableWas is a ticket as it was before something was told at the table.
type tableWas struct {
	code    plan.Code
	spec    *plan.Ticket
	told    bool
	off     []Off
	step    StepNow
	changes int // of the ticket, afterwards
}

// tableNow keeps the tickets that an event of the table changes, as they are before it.
func (o *Overlay) tableNow(e Event) []tableWas {
	codes := []plan.Code{e.Ticket}
	for i := range e.Lines {
		codes = append(codes, e.Lines[i].Ticket)
	}
	for i := range e.Holds {
		codes = append(codes, e.Holds[i].Ticket)
	}
	slices.Sort(codes)
	var list []tableWas
	for _, code := range slices.Compact(codes) {
		t := o.ticket(code)
		list = append(list, tableWas{code: code, spec: t.Spec, told: t.told, off: t.Off, step: t.Steps[0]})
	}
	return list
}

// applyTable does what was told at the table.
func (o *Overlay) applyTable(t *Ticket, e Event) {
	was := o.tableNow(e)
	t.tell(e)
	o.relaid(e)
	o.applyHolds(e)
	for i := range was {
		was[i].changes = o.ticket(was[i].code).changes
	}
	t.last = t.moveOf(e)
	t.last.table, t.last.revision, t.last.shelf = was, o.order(t.Order).Revision, o.boltsIn(e)
}

// decideUntell takes back what was told at the table, unless something has happened since to a ticket that it changed.
func (o *Overlay) decideUntell(t *Ticket, e *Event) *Refusal {
	if r := o.linesBack(t, t.last.table, e); r != nil {
		return r
	}
	for _, was := range t.last.table {
		if was.code == t.Spec.Code {
			e.State = was.step.State
		} else if was.step.State != o.ticket(was.code).State() {
			e.Also = append(e.Also, Moved{Ticket: was.code, Station: plan.Cutting, State: was.step.State})
		}
	}
	return o.takeBackShelf(t, e)
}

// linesBack has an undo put tickets' cuts back where they lay, unless something has happened to one of them since.
func (o *Overlay) linesBack(t *Ticket, were []tableWas, e *Event) *Refusal {
	for _, was := range were {
		now := o.ticket(was.code)
		if now.changes != was.changes {
			r := t.refuse("undo_overtaken", "ticket")
			r.Where = &Place{Station: now.Station(), Tickets: []plan.Code{was.code}}
			return r
		}
		if !slices.EqualFunc(was.spec.Cuts, now.Spec.Cuts, sameLine) {
			e.Lines = append(e.Lines, Laid{was.code, was.spec.Cuts, was.spec.Remnants})
		}
	}
	return nil
}

// untell puts tickets back as they were before something was told at the table.
func (o *Overlay) untell(m *move, e Event) {
	for _, was := range m.table {
		t := o.ownTicket(was.code)
		if was.code != e.Ticket {
			t = o.touch(was.code, e.At)
		}
		t.Spec, t.told, t.Off, t.Steps[0] = was.spec, was.told, was.off, was.step
	}
}
