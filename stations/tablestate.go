package stations

import (
	"cmp"
	"slices"
	"strconv"

	"tablehand/engine/measure"
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

// InTurn is the cut that is next on the table, and its ticket: of several that are cut in one run the one that lies in front on their bolt. The
// cut is the ticket's last where all are made, "" where it has none.
func (f *Floor) InTurn(t *Ticket) (of *Ticket, cut string) {
	o := f.Overlay()
	run := map[plan.Code]bool{t.Spec.Code: true}
	for _, other := range o.joinedWith(t) {
		run[other.Spec.Code] = other.State() == AtWork
	}
	for _, b := range o.tableOf(t) {
		for _, p := range f.Promised(b.Code) {
			if run[p.Ticket] && p.Ticket != t.Spec.Code && slices.Contains(b.For, p.Ticket) {
				return o.ticket(p.Ticket), p.Cut
			}
			if p.Ticket == t.Spec.Code {
				break
			}
		}
	}
	return t, t.CutInTurn()
}

// Owed are the names of what a ticket's table owes, where it is known what was done there: cuts that aren't made, rests of the shelf's
// bolts, and stretches that came off them of which nobody said whether they are kept.
func (f *Floor) Owed(t *Ticket) []string { return f.Overlay().toCut(t) }

func (o *Overlay) toCut(t *Ticket) (names []string) {
	if !t.told {
		return nil
	}
	for i := range t.Spec.Cuts {
		if l := &t.Spec.Cuts[i]; !l.Done {
			names = append(names, plan.CutEntry+l.Cut)
		}
	}
	came := o.cameOff(t)
	for _, b := range o.tableOf(t) {
		if o.owesRest(t, b) {
			names = append(names, plan.RestEntry+string(b.Code))
		}
	}
	for i := range came {
		names = append(names, plan.RemnantEntry+strconv.Itoa(i+1))
	}
	return names
}

// owesRest reports whether a ticket is to say what is left of a bolt: it lies on the table for it, and for no other that is still to be cut
// from it in the same run.
func (o *Overlay) owesRest(t *Ticket, b *shelf.Bolt) bool {
	if !slices.Contains(b.For, t.Spec.Code) {
		return false
	}
	return !slices.ContainsFunc(o.promised(b.Code), func(p shelf.Promise) bool { return p.Ticket != t.Spec.Code && slices.Contains(b.For, p.Ticket) })
}

// CameOff is a stretch that came off a bolt, in its whole width or half of it.
type CameOff struct {
	On *shelf.Bolt
	shelf.Off
}

// CameOff are what a ticket's table asks about, in the order of its entries: the stretches that came off at its cutting of which nobody said whether
// they are kept, by bolt and mark.
func (f *Floor) CameOff(t *Ticket) []CameOff { return f.Overlay().cameOff(t) }

// cameOff are the stretches that came off the shelf's bolts at a ticket's cutting of which nobody said whether they are kept, by bolt and mark.
func (o *Overlay) cameOff(t *Ticket) (list []CameOff) {
	for _, b := range o.tableOf(t) {
		for _, off := range b.Unlabelled() {
			if !off.At.Before(t.Steps[0].Started) { // else another cutting's
				list = append(list, CameOff{b, off})
			}
		}
	}
	return list
}

// tableAsks is what a cutting ticket whose bolts are the shelf's asks beside what stands on it; once something was told at its table each
// cut, each rest and each stretch that came off.
func (o *Overlay) tableAsks(t *Ticket) (enter []plan.Entry, checks []string) {
	on := o.tableOf(t)
	if t.isPanel() || t.Current() == nil || len(on) == 0 {
		return nil, nil
	}
	checks = []string{"label_matches_bolt"}
	if !t.told {
		return nil, checks
	}
	units, last := t.Spec.Units, map[*shelf.Bolt]measure.Length{}
	for i := range t.Spec.Cuts {
		l := &t.Spec.Cuts[i]
		if l.Done {
			continue
		}
		more := measure.Length(0)
		if b := o.boltNamed(t, l.Bolt); b != nil {
			more, last[b] = max(0, b.End()-l.End()), max(last[b], l.End())
		}
		enter = append(enter, plan.Entry{Name: plan.CutEntry + l.Cut, Kind: plan.LengthEntry, Target: l.Length,
			Tolerance: &plan.Tolerance{Minus: measure.OfLength(0, units), Plus: measure.OfLength(more, units)}})
	}
	for _, b := range on {
		if o.owesRest(t, b) {
			enter = append(enter, plan.Entry{Name: plan.RestEntry + string(b.Code), Kind: plan.LengthEntry, Target: measure.OfLength(b.End()-max(b.Begin, last[b]), units)})
		}
	}
	for i := range o.cameOff(t) {
		enter = append(enter, RemnantAsked(i+1))
	}
	return enter, append(checks, "remnants_labelled")
}

// RemnantAsked is what is asked of the nth stretch that came off.
func RemnantAsked(n int) plan.Entry {
	return plan.Entry{Name: plan.RemnantEntry + strconv.Itoa(n), Kind: plan.ChoiceEntry, Target: measure.OfWord(keepIt), Options: []string{keepIt, scrapIt}}
}

// What becomes of a stretch that came off.
const (
	keepIt  = "keep"
	scrapIt = "scrap"
)

// tellEntries tells at the table what a finish has entered of it, as if each had been told by itself: the cuts in their order, then what becomes
// of what came off before and with them, then the rests. It returns the floor with that, nil where nothing of it was entered or where something
// lacks, and what lacks.
func (o *Overlay) tellEntries(t *Ticket, c Scan, e *Event) (told *Overlay, lacks []string, r *Refusal) {
	enter, _ := o.tableAsks(t)
	given, most := map[string]string{}, 0
	for name, text := range c.Measured {
		kind, which, is := plan.AtTable(name)
		if !is {
			continue
		}
		if l := t.Spec.Cut(which); kind == plan.CutEntry && t.told && l != nil && l.Done {
			return nil, nil, t.refuseCut("cut_already", "measured."+name, l)
		}
		if n, err := strconv.Atoi(which); kind == plan.RemnantEntry && err == nil && n > 0 && t.told {
			most = max(most, n) // it may come off with the cuts
		} else if !slices.ContainsFunc(enter, func(e plan.Entry) bool { return e.Name == name }) {
			return nil, nil, refuse("unknown_key", "measured."+name, "Name", name)
		}
		if !blank(text) {
			given[name] = text
		}
	}
	for _, name := range o.toCut(t) {
		if given[name] == "" {
			lacks = append(lacks, name)
		}
	}
	if len(given) == 0 || len(lacks) > 0 {
		return nil, lacks, nil
	}
	now := o.fork()
	came := o.cameOff(t)
	tell := func(kind, which string) *Refusal {
		sub := Event{At: e.At}
		if r := now.tellEntry(t.Spec.Code, c, kind, which, given[kind+which], came, &sub); r != nil {
			r.Field = "measured." + kind + which
			return r
		}
		now.Apply(sub)
		e.Told = append(e.Told, sub)
		return nil
	}
	tellAll := func(kind string) *Refusal {
		for i := range enter {
			if of, which, _ := plan.AtTable(enter[i].Name); of == kind {
				if r := tell(kind, which); r != nil {
					return r
				}
			}
		}
		return nil
	}
	if r := tellAll(plan.CutEntry); r != nil {
		return nil, nil, r
	}
	came = append(came, now.cameSince(t, came)...)
	if most > len(came) {
		name := plan.RemnantEntry + strconv.Itoa(most)
		return nil, nil, refuse("unknown_key", "measured."+name, "Name", name)
	}
	for i := range came {
		which := strconv.Itoa(i + 1)
		if given[plan.RemnantEntry+which] == "" {
			lacks = append(lacks, plan.RemnantEntry+which)
		} else if r := tell(plan.RemnantEntry, which); r != nil {
			return nil, nil, r
		}
	}
	return now, lacks, tellAll(plan.RestEntry)
}

// cameSince are the stretches that came off at a ticket's cutting beside those that had before.
func (o *Overlay) cameSince(t *Ticket, before []CameOff) []CameOff {
	return slices.DeleteFunc(o.cameOff(t), func(s CameOff) bool {
		return slices.ContainsFunc(before, func(b CameOff) bool {
			return b.On.Code == s.On.Code && b.From == s.From && b.Width == s.Width
		})
	})
}

// Coming is how many stretches will have come off, of which nobody said what becomes of them, once a ticket's cuts are made as they lie: those that
// did first. Of one in a run of several, where others' cuts lie between, it is what came off so far.
func (f *Floor) Coming(t *Ticket, ways shelf.Ways) int {
	o := f.Overlay()
	n := len(o.cameOff(t))
	if !t.told || len(o.joinedWith(t)) > 0 {
		return n
	}
	told, refused := o.shelf.CutAll(t.Spec.Code, o.toMake(t, t.Spec), ways, shelf.Around{})
	if refused != nil {
		return n
	}
	for _, e := range told.Each {
		for _, off := range slices.Concat(e.Off, e.Halves) {
			if off.As == shelf.AsRemnant {
				n++
			}
		}
	}
	return n
}

// tellEntry tells one entry as its action at the table.
func (o *Overlay) tellEntry(code plan.Code, c Scan, kind, which, text string, came []CameOff, e *Event) *Refusal {
	tell := Scan{Actor: c.Actor, Ticket: code, Station: plan.Cutting, At: c.At, Person: c.Person, Sheet: c.Sheet, Others: c.Others, Ways: c.Ways, Length: text}
	switch kind {
	case plan.CutEntry:
		tell.Action, tell.Cut = Cut, which
	case plan.RestEntry:
		tell.Action, tell.Bolt, tell.Again = Rest, which, c.Again
		if b := o.shelf.Bolt(plan.Code(which)); b != nil {
			tell.Bolt = o.calls(o.ticket(code), b)
		}
	default:
		n, _ := strconv.Atoi(which)
		return o.tellRemnant(c, came[n-1], text, e)
	}
	return o.decideScan(tell, e)
}

// tellRemnant says of a stretch that came off whether it is kept, with a label of its own, or is scrap.
func (o *Overlay) tellRemnant(c Scan, s CameOff, as string, e *Event) *Refusal {
	cmd := shelf.Command{Bolt: s.On.Code, From: s.From.String(), To: s.To.String(), Reason: c.Reason, Ways: c.Ways}
	switch {
	case as == scrapIt:
		cmd.Action = shelf.Scrap
	case as != keepIt:
		return refuse("bad_value", "", "Name", "remnant", "Value", as)
	case c.Sheet == nil:
		return refuse("busy", "")
	default:
		cmd.Action, cmd.New = shelf.Part, c.Sheet.Codes()
	}
	e.Action = Action(cmd.Action)
	return o.decideHandle(Handle{Actor: c.Actor, At: c.At, Person: c.Person, Command: cmd}, e)
}

// TableOf are the bolts of the shelf that a cutting ticket has on the table or cuts from, by code.
func (f *Floor) TableOf(t *Ticket) []*shelf.Bolt { return f.Overlay().tableOf(t) }

// Names is what a cutting ticket's lines call a bolt of the shelf.
func (f *Floor) Names(t *Ticket, b *shelf.Bolt) string { return f.Overlay().calls(t, b) }

func (o *Overlay) calls(t *Ticket, b *shelf.Bolt) string {
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
	codes := append([]plan.Code{e.Ticket}, e.laidFor()...)
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

// laidFor are the tickets for which an event lays a bolt on the table.
func (e *Event) laidFor() []plan.Code {
	if e.Action != Lay || e.Shelf == nil {
		return nil
	}
	return e.Shelf.Tickets
}

// applyTable does what was told at the table.
func (o *Overlay) applyTable(t *Ticket, e Event) {
	was := o.tableNow(e)
	t.tell(e)
	for _, code := range e.laidFor() {
		if code != e.Ticket {
			o.touch(code, e.At).told = true
		}
	}
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
			e.Lines = append(e.Lines, laidOf(was.spec))
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
