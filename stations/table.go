package stations

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// decideTable is what is told at the cutting table: a cut that is made, one that is spoilt, a flaw, what is left of a
// bolt. What isn't cut yet is laid out anew at once wherever it can't stay as it lies; where the cloth no longer suffices,
// the ticket is held until the office decides. From the first word on the ticket's cuts are made that were told so.
func (o *Overlay) decideTable(t *Ticket, c Scan, e *Event) *Refusal {
	if r := o.notAtTable(t, c); r != nil {
		return r
	}
	e.Station, e.State = plan.Cutting, AtWork
	tell := map[Action]func(*Ticket, Scan, *Event) (bool, *Refusal){Lay: o.tellLay, Cut: o.tellCut, Spoil: o.tellSpoilt, Flaw: o.tellFlaw, Rest: o.tellRest}
	asPlanned, r := tell[c.Action](t, c, e)
	if r == nil {
		r = o.onShelf(t, c, e)
	}
	if r != nil || asPlanned && t.told { // with the first word it shows what isn't cut, and the file may have changed under it
		return r
	}
	if !o.hasSheet(t, c) {
		return refuse("busy", "") // the order was revised while its file was read
	}
	after := t.copy()
	after.tell(*e)
	for i := range e.Lines { // a bolt that comes onto the table
		if laid := &e.Lines[i]; laid.Ticket == t.Spec.Code {
			s := *after.Spec
			s.Cuts, s.Remnants, s.Proof = laid.Cuts, laid.Remnants, laid.Proof
			after.Spec = &s
		}
	}
	// Who is at the table comes first, and others lie behind. Only where one would lack cloth so, and nobody else does, their cuts stay.
	for _, so := range []supposed{{first: true}, {}} {
		may := e.fork()
		if r := o.layAround(so, t, after, c, may); r == nil && !may.holdsMore(e) {
			*e = *may
			return nil
		}
	}
	return o.layAround(supposed{first: true}, t, after, c, e)
}

// layAround lays out anew what isn't cut, once something is told of a ticket at the table: its own, that of those that are cut with it, and what
// others are promised of the bolt.
func (o *Overlay) layAround(so supposed, t, after *Ticket, c Scan, e *Event) *Refusal {
	after = after.copy() // its run may shift it
	told := o.told(after, c, e)
	told.shiftRun(after, c, e)
	if r := told.layAnewIf(so, after, c.Sheet, e); r != nil {
		return r
	}
	told.lay(e)
	for _, code := range e.laidFor() {
		if code != t.Spec.Code {
			if r := told.laidWith(code, c, e); r != nil {
				return r
			}
		}
	}
	return told.layOthers(t, c, e)
}

// laidWith lays out anew what can't stay of a ticket for which a bolt is laid with another's: from then on its cuts are made that are told.
func (o *Overlay) laidWith(code plan.Code, c Scan, e *Event) *Refusal {
	t := o.ticket(code)
	sheet := c.Others[t.Order]
	if t.Order == e.Order {
		sheet = c.Sheet
	}
	if r := o.notJoinedFile(t, sheet); r != nil {
		return r
	}
	with := t.telling()
	s := o.asLaid(t)
	with.Spec = &s
	r := o.layAnew(with, sheet, e)
	o.lay(e)
	return r
}

// notAtTable refuses a ticket that isn't a cutting at work.
func (o *Overlay) notAtTable(t *Ticket, c Scan) *Refusal {
	switch {
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.isPanel():
		return o.cutByFabric(t)
	case c.Station != "" && c.Station != plan.Cutting:
		r := t.refuse("wrong_station", "station")
		r.Args["Asked"] = c.Station
		return r
	case t.State() == Finished:
		r := t.refuse("finished", "ticket")
		r.Args["Asked"] = plan.Cutting
		return r
	case t.State() == Held:
		return t.refuse("held", "ticket")
	case t.State() != AtWork:
		return t.refuse("not_started", "ticket")
	}
	return nil
}

// hasSheet reports whether a command has the order's newest file, worked out as the order is.
func (o *Overlay) hasSheet(t *Ticket, c Scan) bool {
	order := o.order(t.Order)
	return c.Sheet != nil && c.Sheet.Digest == order.Digest && !order.broughtUp(c.Sheet.Revision)
}

// cutAsked returns the cut that a command names.
func (t *Ticket) cutAsked(name string) (*plan.Cut, *Refusal) {
	if blank(name) {
		return nil, refuse("missing_key", "cut", "Name", "cut")
	}
	l := t.Spec.Cut(name)
	if l == nil {
		return nil, refuse("bad_value", "cut", "Name", "cut", "Value", name)
	}
	return l, nil
}

// lengthAsked reads a length of a command.
func (t *Ticket) lengthAsked(field, text string) (measure.Length, *Refusal) {
	if blank(text) {
		return 0, refuse("missing_key", field, "Name", field)
	}
	return readLength(field, field, text, t.Spec.Units)
}

// tellCut is a cut that is made, as long as planned or longer. On patterned cloth there is something to trim, so a shorter one is taken too
// as long as it has its plain length. One that is shorter than that is no good: it is measured again, or told as spoilt.
func (o *Overlay) tellCut(t *Ticket, c Scan, e *Event) (asPlanned bool, _ *Refusal) {
	line, r := t.cutAsked(c.Cut)
	if r != nil {
		return false, r
	}
	planned := line.Length.Length()
	length := planned
	if !blank(c.Length) {
		if length, r = t.lengthAsked("length", c.Length); r != nil {
			return false, r
		}
	}
	b := o.boltNamed(t, line.Bolt)
	elsewhere := c.From != "" && !t.same(c.From, line.From)
	switch {
	case line.Done:
		return false, t.refuseCut("cut_already", "cut", line)
	case c.Bolt != "" && c.Bolt != line.Bolt, elsewhere && b == nil:
		return false, t.refuseCut("cut_moved", "cut", line)
	}
	e.Cut, e.Length, e.Seen = line.Cut, measure.OfLength(length, t.Spec.Units), c.Seen
	made := *line
	if elsewhere {
		if r := o.cutElsewhere(t, c, b, line, e); r != nil {
			return false, r
		}
		made.Make(line.Length, e.From, e.TrimTop)
	}
	if least := planned - made.TrimBottom.Length(); length < least {
		r := t.refuseCut("cut_too_short", "length", line)
		r.Args["Length"], r.Args["Given"] = measure.OfLength(least, t.Spec.Units), e.Length
		return false, r
	}
	if length == planned && !elsewhere || line.Bolt == "" {
		return true, nil
	}
	if !o.hasSheet(t, c) {
		return false, refuse("busy", "")
	}
	if b != nil {
		return false, nil // the shelf knows its bolt
	}
	return false, o.tooLong(t, c, line, length)
}

// cutElsewhere is a cut that was made at another mark of its bolt than planned: off the bolt it can't have been, off the pattern only
// where somebody has seen that it is.
func (o *Overlay) cutElsewhere(t *Ticket, c Scan, b *shelf.Bolt, line *plan.Cut, e *Event) *Refusal {
	from, r := t.lengthAsked("from", c.From)
	switch {
	case r != nil:
		return r
	case from < b.Begin, from+line.Length.Length() > b.End():
		r := t.refuseCut("off_bolt", "from", line)
		r.Args["Gone"], r.Args["Length"] = from < b.Begin, measure.OfLength(b.End(), b.Units)
		return r
	case !o.hasSheet(t, c):
		return refuse("busy", "")
	}
	top, onPhase := o.laidAt(t, c.Sheet, line, from)
	if !onPhase && !c.Seen {
		return t.refuseCut("off_phase", "from", line)
	}
	if top > line.TrimTop.Length()+line.TrimBottom.Length() { // the pattern isn't met: there is nothing to trim to
		top = 0
	}
	e.From, e.TrimTop = measure.OfLength(from, t.Spec.Units), plan.OptionalLength(top, t.Spec.Units)
	return nil
}

// laidAt says of a cut that is made at a mark of its bolt how much of it lies before its pattern's height, and whether it starts where the
// pattern has its cuts start.
func (o *Overlay) laidAt(t *Ticket, sheet *Sheet, line *plan.Cut, from measure.Length) (top measure.Length, onPhase bool) {
	layout := planOf(sheet.Work, t.Spec.Fabric)
	if layout == nil {
		return 0, true
	}
	l := laying{Overlay: o, plan: withBolts(layout, o.withShelf(o.order(t.Order), layout.Fabric, sheet.Ways, plan.Code(line.Bolt))), group: o.treatmentOf,
		tickets: []*plan.Ticket{t.Spec}, made: func(l *plan.Cut) bool { return l.Cut != line.Cut }}
	cuts, _, _ := l.cuts(&sheet.Work.Order.Conventions)
	return l.plan.Lies(cuts[0], line.Bolt, from)
}

// same reports whether a length that somebody typed is the one that a plan wrote.
func (t *Ticket) same(typed string, written measure.Quantity) bool {
	l, r := t.lengthAsked("", typed)
	return r == nil && l == written.Length()
}

// tooLong refuses a cut that reaches over the end of its bolt, over a flaw, or into what is off the bolt already.
func (o *Overlay) tooLong(t *Ticket, c Scan, line *plan.Cut, length measure.Length) *Refusal {
	plan := planOf(c.Sheet.Work, t.Spec.Fabric)
	if plan == nil {
		return t.refuse("not_in_order", "ticket")
	}
	known := o.boltsOf(o.order(t.Order), t.Spec.Fabric, t.telling())
	span := cutting.Span{From: line.From.Length(), To: line.From.Length() + length}
	over := func(s cutting.Span) bool { return s.From < span.To && span.From < s.To }
	if slices.ContainsFunc(known.taken[line.Bolt], over) { // also of a bolt that the newest file doesn't list
		return t.refuseCut("too_long", "length", line)
	}
	for _, b := range known.on(o.withShelf(o.order(t.Order), plan.Fabric, c.Sheet.Ways)).Bolts {
		if b.ID != line.Bolt {
			continue
		}
		for _, f := range b.Flaws {
			if !c.Seen && over(cutting.Span{From: f.From, To: f.To}) {
				return t.refuseCut("on_flaw", "length", line)
			}
		}
		if span.To > b.Length {
			return t.refuseCut("too_long", "length", line)
		}
	}
	return nil
}

// tellSpoilt is a cut that is no good: its stretch is off, and it is made again. Of a cut that wasn't told as made the
// length says how much was cut.
func (o *Overlay) tellSpoilt(t *Ticket, c Scan, e *Event) (bool, *Refusal) {
	line, r := t.cutAsked(c.Cut)
	if r != nil {
		return false, r
	}
	to := line.End()
	switch {
	case !line.Done && blank(c.Length):
		return false, t.refuseCut("not_cut", "cut", line)
	case !line.Done:
		length, r := t.lengthAsked("length", c.Length)
		if r != nil {
			return false, r
		}
		to = line.From.Length() + length
	}
	if blank(c.Reason) {
		return false, refuse("reason_missing", "reason")
	}
	e.Cut, e.Reason = line.Cut, c.Reason
	e.Off = &Off{As: OffSpoilt, Bolt: line.Bolt, Cut: line.Cut}
	if line.Bolt != "" {
		e.Off.From, e.Off.To = line.From, measure.OfLength(to, t.Spec.Units)
	}
	return false, nil
}

// tellFlaw is a flaw found on a bolt, by its marks or as measured from the end of a cut.
func (o *Overlay) tellFlaw(t *Ticket, c Scan, e *Event) (bool, *Refusal) {
	from, r := t.lengthAsked("from", c.From)
	if r != nil {
		return false, r
	}
	to, r := t.lengthAsked("to", string(c.To))
	if r != nil {
		return false, r
	}
	bolt := c.Bolt
	if c.After != "" {
		line, r := t.cutAsked(c.After)
		switch {
		case r != nil:
			return false, r
		case !line.Done || line.Bolt == "":
			return false, t.refuseCut("not_cut", "after", line)
		case bolt != "" && bolt != line.Bolt:
			return false, t.refuseCut("wrong_bolt", "bolt", line)
		}
		bolt, from, to = line.Bolt, from+line.End(), to+line.End()
	}
	if from >= to {
		return false, refuse("bad_value", "to", "Name", "to", "Value", string(c.To))
	}
	length, _, r := o.boltAsked(t, c, bolt)
	switch {
	case r != nil:
		return false, r
	case to > length:
		r := t.refuse("off_bolt", "to")
		r.Args["Bolt"], r.Args["Length"] = bolt, measure.OfLength(length, t.Spec.Units)
		return false, r
	}
	for _, other := range o.order(t.Order).Tickets {
		for i := range other.Spec.Cuts {
			l := &other.Spec.Cuts[i]
			if s := l.Span(); l.Done && other.Spec.Fabric == t.Spec.Fabric && l.Bolt == bolt && s.From < to && from < s.To {
				return false, other.refuseCut("cut_already", "from", l) // it is in a piece that is cut: that is spoilt
			}
		}
	}
	e.Bolt = bolt
	e.Off = &Off{As: OffFlaw, Bolt: bolt, From: measure.OfLength(from, t.Spec.Units), To: measure.OfLength(to, t.Spec.Units)}
	return false, nil
}

// tellRest is what is left of a bolt, measured from the end of what is off it: it is taken as measured.
func (o *Overlay) tellRest(t *Ticket, c Scan, e *Event) (bool, *Refusal) {
	rest, r := t.lengthAsked("length", c.Length)
	if r != nil {
		return false, r
	}
	_, front, r := o.boltAsked(t, c, c.Bolt)
	if r != nil {
		return false, r
	}
	e.Bolt, e.Length = c.Bolt, measure.OfLength(rest, t.Spec.Units)
	e.Off = &Off{As: OffRest, Bolt: c.Bolt, To: measure.OfLength(front+rest, t.Spec.Units)}
	return false, nil
}

// boltAsked returns how long a bolt is, as far as is known, and where the order's part of it begins now.
func (o *Overlay) boltAsked(t *Ticket, c Scan, id string) (length, front measure.Length, _ *Refusal) {
	if blank(id) {
		return 0, 0, refuse("missing_key", "bolt", "Name", "bolt")
	}
	if !o.hasSheet(t, c) {
		return 0, 0, refuse("busy", "")
	}
	if b := o.boltNamed(t, id); b != nil { // all of it, also what is left at its ends
		return b.End(), b.Begin, nil
	}
	if plan := planOf(c.Sheet.Work, t.Spec.Fabric); plan != nil {
		known := o.boltsOf(o.order(t.Order), t.Spec.Fabric, t.telling())
		for _, b := range known.on(o.withShelf(o.order(t.Order), plan.Fabric, c.Sheet.Ways)).Bolts {
			if b.ID == id {
				return b.Length, max(known.front[id], b.From), nil
			}
		}
	}
	return 0, 0, refuse("unknown_bolt", "bolt", "Bolt", id, "Fabric", t.Spec.Fabric)
}

// refuseCut refuses what was told of a cut.
func (t *Ticket) refuseCut(code, field string, l *plan.Cut) *Refusal {
	r := t.refuse(code, field)
	r.Args["Cut"], r.Args["Bolt"], r.Args["From"] = l.Cut, l.Bolt, l.From
	r.Args["Length"] = cmp.Or(l.DoneLength, l.Length)
	return r
}
