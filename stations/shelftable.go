package stations

import (
	"cmp"
	"maps"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// boltNamed is the bolt of the shelf that a line of a cutting ticket means: by its code, or as the order's file called one that was put
// on the shelf since. nil for a bolt that is the file's alone.
func (o *Overlay) boltNamed(t *Ticket, name string) *shelf.Bolt {
	if name == "" {
		return nil
	}
	code := cmp.Or(o.shelf.Called(shelf.Origin{Order: t.Order, Fabric: t.Spec.Fabric, Bolt: name}), plan.Code(name))
	return o.shelf.Bolt(code)
}

// onShelf says what was told at the table of a bolt of the shelf, and has that take it into its account; of another bolt it says nothing.
func (o *Overlay) onShelf(t *Ticket, c Scan, e *Event) *Refusal {
	name := e.Bolt
	line := t.Spec.Cut(e.Cut)
	if line != nil {
		name = line.Bolt
	}
	b := o.boltNamed(t, name)
	if b == nil {
		return nil
	}
	cmd := shelf.Command{Action: shelf.Action(c.Action), Bolt: b.Code, Ticket: t.Spec.Code, Tickets: []plan.Code{t.Spec.Code}, Order: t.Order, Cut: e.Cut, Reason: c.Reason,
		Place: c.Place, Again: c.Again, Keep: c.Keep, Seen: c.Seen, Ways: c.Ways}
	switch c.Action {
	case Lay:
		set, r := o.laysFor(t, b, c)
		if r != nil {
			return r
		}
		cmd.Tickets = set
	case Cut:
		made := *line
		made.Make(e.Length, e.From, e.TrimTop)
		if r := o.cutInTurn(t, b, &made); r != nil {
			return r
		}
		cmd.From, cmd.Length, cmd.Beside = made.From.String(), e.Length.String(), t.besideCut(&made, b)
	case Spoil:
		if cmd.From, cmd.Length = line.From.String(), ""; !line.Done {
			cmd.Length = measure.OfLength(e.Off.To.Length()-e.Off.From.Length(), t.Spec.Units).String()
			cmd.Beside = t.besideCut(line, b)
		}
		if c.Keep {
			cmd.New = c.Sheet.Codes()
		}
	case Flaw:
		points := cmp.Or(c.Points, shelf.PointsOf(c.Kind, e.Off.To.Length()-e.Off.From.Length(), b.Units, c.Ways.Holes))
		cmd.Flaws = []shelf.FlawTold{{From: e.Off.From.String(), To: e.Off.To.String(), Kind: c.Kind, Points: max(c.Ways.CutAround, points)}} // who tells it wants it cut around
	case Rest:
		cmd.Length = e.Length.String()
	}
	around := o.around(c.Actor, c.Person, e.At)
	around.Customer, around.Promised = o.order(t.Order).Customer, o.promised(b.Code)
	told, refused := o.shelf.Decide(cmd, around)
	if refused != nil {
		return ofShelf(refused)
	}
	e.Shelf = &told
	return nil
}

// besideCut is the width of a bolt that one of the ticket's cuts leaves: half of it, where a single panel takes the other half; 0 for none.
func (t *Ticket) besideCut(l *plan.Cut, b *shelf.Bolt) measure.Length {
	if !l.LeavesHalf() {
		return 0
	}
	return cmp.Or(b.Width, t.Spec.Number("usable_width").Length()).Div(2)
}

// cutInTurn refuses a cut of a bolt of the shelf that lies behind one that isn't made: what lies before a cut comes off with it.
func (o *Overlay) cutInTurn(t *Ticket, b *shelf.Bolt, line *plan.Cut) *Refusal {
	for _, p := range o.promised(b.Code) {
		if own := p.Ticket == t.Spec.Code && p.Cut == line.Cut; !own && p.Span.From < line.From.Length() {
			r := t.refuseCut("cuts_left", "cut", line)
			r.Args["First"], r.Args["Code"] = p.Cut, string(b.Code)
			if p.Ticket != t.Spec.Code {
				r.Where.Tickets = []plan.Code{p.Ticket}
				r.Args["First"] = ""
			}
			return r
		}
	}
	return nil
}

// tellLay puts a bolt of the shelf onto the table: one that the ticket is to be cut from. Its cuts are laid in front of other tickets' cuts
// there, since cloth comes off the outer end.
func (o *Overlay) tellLay(t *Ticket, c Scan, e *Event) (bool, *Refusal) {
	if blank(c.Bolt) {
		return false, refuse("missing_key", "bolt", "Name", "bolt")
	}
	code, err := plan.ParseCode(c.Bolt)
	b := o.shelf.Bolt(code)
	if err != nil || b == nil {
		return false, refuse("unknown_bolt", "bolt", "Bolt", c.Bolt, "Fabric", "")
	}
	wanted := map[plan.Code]*shelf.Bolt{}
	for i := range t.Spec.Cuts {
		if l := &t.Spec.Cuts[i]; !l.Done {
			if on := o.boltNamed(t, l.Bolt); on != nil {
				wanted[on.Code] = on
			}
		}
	}
	if wanted[code] == nil {
		return false, t.wrongBolt(b, wanted)
	}
	set, r := o.laysFor(t, b, c)
	if r != nil {
		return false, r
	}
	for _, of := range set {
		if r := o.ticket(of).wideEnough(b, c, e); r != nil {
			return false, r
		}
	}
	e.Bolt = string(code)
	if with := o.joinedWith(t); len(with) > 0 {
		e.Joined = []plan.Code{t.Spec.Code}
		for _, other := range with {
			e.Joined = append(e.Joined, other.Spec.Code)
		}
	}
	return false, o.inFront(t, set, b, c, e)
}

// wrongBolt refuses a bolt that no cut of the ticket lies on, and says which one is to be fetched.
func (t *Ticket) wrongBolt(b *shelf.Bolt, wanted map[plan.Code]*shelf.Bolt) *Refusal {
	r := t.refuse("wrong_bolt", "bolt")
	r.Args["Bolt"], r.Args["Place"], r.Args["Wanted"] = string(b.Code), "", ""
	r.Where = &Place{Bolts: slices.Sorted(maps.Keys(wanted))}
	if len(wanted) == 0 {
		return r
	}
	first := wanted[r.Where.Bolts[0]]
	r.Where.Place, r.Args["Wanted"], r.Args["Place"] = first.Place, string(first.Code), first.Place
	if first.Cloth != b.Cloth {
		r.Code = "wrong_cloth"
		r.Args["Ticket"], r.Args["Cloth"], r.Args["Wanted"] = "", b.Cloth, first.Cloth
	}
	return r
}

// inFront lays the cuts of a ticket, and of those laid with it, on a bolt in front of others' that lie there and aren't made, each on its phase. It refuses where they don't
// all fit: then who lies in front is cut first, unless the office has others' cuts planned anew.
func (o *Overlay) inFront(t *Ticket, set []plan.Code, b *shelf.Bolt, c Scan, e *Event) *Refusal {
	promised := o.promised(b.Code)
	own := func(p shelf.Promise) bool { return slices.Contains(set, p.Ticket) }
	last := -1
	for i, p := range promised {
		if own(p) {
			last = i
		}
	}
	before := slices.DeleteFunc(slices.Clone(promised[:last+1]), own)
	if len(before) == 0 {
		return nil
	}
	slices.SortStableFunc(promised, func(a, b shelf.Promise) int {
		first := func(p shelf.Promise) int {
			if own(p) {
				return 0
			}
			return 1
		}
		due := func(p shelf.Promise) string {
			if own(p) {
				return "" // in the turn in which they lie
			}
			return dueOf(o.order(p.Order))
		}
		return cmp.Or(cmp.Compare(first(a), first(b)), cmp.Compare(due(a), due(b)), cmp.Compare(a.Span.From, b.Span.From))
	})
	laid, left := o.again(t, b, promised, c.Ways)
	if len(left) > 0 {
		if r := o.passOver(t, b, before, c, e); r != nil {
			return r
		}
		if slices.ContainsFunc(left, own) { // then where they lie, with nothing before them
			laid, left = nil, before
		}
	}
	o.moveLines(b, laid, left, e)
	return nil
}

// passOver refuses to cut a ticket before others that lie in front of it, unless the office says why.
func (o *Overlay) passOver(t *Ticket, b *shelf.Bolt, before []shelf.Promise, c Scan, e *Event) *Refusal {
	if over, r := c.passesOver(e); over || r != nil {
		return r
	}
	r := t.refuse("bolt_spoken_for", "bolt")
	r.Args["Bolt"], r.Args["Order"] = string(b.Code), before[0].Order
	r.Where = &Place{Bolts: []plan.Code{b.Code}, Place: b.Place}
	for _, p := range before {
		if !slices.Contains(r.Where.Tickets, p.Ticket) {
			r.Where.Tickets = append(r.Where.Tickets, p.Ticket)
		}
	}
	return r
}

// passesOver reports whether the office lays a bolt all the same, and says why.
func (c Scan) passesOver(e *Event) (bool, *Refusal) {
	switch {
	case !c.Override || c.Action != Lay:
		return false, nil
	case !mayDecide(c.Actor):
		return false, refuse("forbidden", "override")
	case blank(c.Reason):
		return false, refuse("reason_missing", "reason")
	}
	e.Override, e.Reason = true, c.Reason
	return true, nil
}

// Narrow is how wide a bolt of the shelf was measured, where that is less than a ticket's cuts count on: of a kept half, half the width.
func (t *Ticket) Narrow(b *shelf.Bolt) (width, usable measure.Length, is bool) {
	if usable = t.Spec.Number("usable_width").Length(); b.IsHalf() {
		usable = usable.Div(2)
	}
	return b.Width, usable, b.Width > 0 && b.Width < usable
}

// wideEnough refuses a bolt that was measured narrower than a ticket's cuts count on, unless the office says why.
func (t *Ticket) wideEnough(b *shelf.Bolt, c Scan, e *Event) *Refusal {
	width, usable, narrow := t.Narrow(b)
	if !narrow {
		return nil
	}
	if over, r := c.passesOver(e); over || r != nil {
		return r
	}
	r := t.refuse("bolt_narrow", "bolt")
	r.Args["Bolt"], r.Args["Width"], r.Args["Usable"] = string(b.Code), measure.OfLength(width, b.Units), measure.OfLength(usable, t.Spec.Units)
	r.Where = &Place{Bolts: []plan.Code{b.Code}, Tickets: []plan.Code{t.Spec.Code}, Place: b.Place}
	return r
}

// dueOf sorts orders without a due date last.
func dueOf(o *Order) string { return cmp.Or(o.Due, "9999") }

// again lays promised cuts of a bolt one after another in the order given, each where its phase allows; left are those without room.
func (o *Overlay) again(t *Ticket, b *shelf.Bolt, promised []shelf.Promise, ways shelf.Ways) (laid, left []shelf.Promise) {
	piece, _ := o.piece(o.order(t.Order), &orderfile.Fabric{ID: t.Spec.Fabric}, b, ways)
	flaws := []cutting.Span{{To: piece.From}}
	for _, f := range piece.Flaws {
		flaws = append(flaws, cutting.Span(f))
	}
	for _, p := range promised {
		t := o.ticket(p.Ticket)
		repeat := cmp.Or(b.Repeat(), t.Spec.Number("vertical_repeat").Length())
		line := t.Spec.Cut(p.Cut)
		one := cutting.Problem{VerticalRepeat: repeat, Bolts: []cutting.Bolt{{ID: "b", Length: piece.Length, FirstRepeat: b.FirstRepeat, Flaws: flaws}}}
		cut := cutting.Cut{ID: "c", Length: p.Length(), Anywhere: repeat == 0 || line.Trimming != "" || line.Railroaded}
		if repeat > 0 {
			cut.Start = ((p.Span.From-b.FirstRepeat)%repeat + repeat) % repeat
		}
		one.Cuts = []cutting.Cut{cut}
		placed := cutting.Place(one)
		if len(placed.Placements) == 0 {
			left = append(left, p)
			continue
		}
		p.Span = cutting.Span{From: placed.Placements[0].From, To: placed.Placements[0].To}
		flaws = append(flaws, cutting.Span(beside(p.Span, ways.Kerf)))
		laid = append(laid, p)
	}
	return laid, left
}

// moveLines has an event say where tickets' cuts on a bolt lie now, and that those that are left lie nowhere. What they leave at its end
// isn't said any more.
func (o *Overlay) moveLines(b *shelf.Bolt, laid, left []shelf.Promise, e *Event) {
	moves := map[plan.Code]map[string]*shelf.Promise{} // by cut, nil where it has no place
	note := func(p shelf.Promise, to *shelf.Promise) {
		if moves[p.Ticket] == nil {
			moves[p.Ticket] = map[string]*shelf.Promise{}
		}
		moves[p.Ticket][p.Cut] = to
	}
	for i := range laid {
		note(laid[i], &laid[i])
	}
	for _, p := range left {
		note(p, nil)
	}
	for _, code := range slices.Sorted(maps.Keys(moves)) {
		t := o.ticket(code)
		s := o.asLaid(t)
		is := laidOf(&s)
		if k := e.laidAt(code); k >= 0 {
			is = e.Lines[k]
		}
		lines, moved := slices.Clone(is.Cuts), false
		for i := range lines {
			l := &lines[i]
			switch to, told := moves[code][l.Cut]; {
			case told && to == nil:
				l.LieNowhere()
				moved = true
			case told && l.From.Length() != to.Span.From:
				l.From, moved = measure.OfLength(to.Span.From, t.Spec.Units), true
			}
		}
		if !moved {
			continue
		}
		sortOnBolts(lines)
		is.Cuts, is.Remnants = lines, slices.DeleteFunc(slices.Clone(is.Remnants), func(r plan.Remnant) bool { return o.boltNamed(t, r.Bolt) == b })
		e.lays(is)
	}
}

// sortOnBolts sorts lines along their bolts, which keep the turns that they have.
func sortOnBolts(lines []plan.Cut) {
	turn := map[string]int{}
	for i := range lines {
		if _, known := turn[lines[i].Bolt]; !known {
			turn[lines[i].Bolt] = i
		}
	}
	slices.SortStableFunc(lines, func(a, b plan.Cut) int {
		return cmp.Or(cmp.Compare(turn[a.Bolt], turn[b.Bolt]), cmp.Compare(a.From.Length(), b.From.Length()))
	})
}

// cutOffShelf takes the cuts of a ticket of which nobody told anything off their bolts, as they were planned; where other tickets' cuts lie
// in front of them, those go behind, since cloth comes off the outer end.
func (o *Overlay) cutOffShelf(t *Ticket, c Scan, e *Event) *Refusal {
	for _, b := range o.tableOf(t) {
		if r := cmp.Or(t.wideEnough(b, c, e), o.inFront(t, []plan.Code{t.Spec.Code}, b, c, e)); r != nil {
			return r
		}
	}
	laid := *o
	laid.laid = map[plan.Code][]plan.Cut{}
	laid.lay(e)
	s := laid.asLaid(t)
	made := o.toMake(t, &s)
	if len(made) == 0 {
		return nil
	}
	told, refused := o.shelf.CutAll(t.Spec.Code, made, c.Ways, o.around(c.Actor, c.Person, e.At))
	if refused != nil {
		return ofShelf(refused)
	}
	e.Shelf = &told
	return nil
}

// toMake are the cuts of a ticket that aren't made, as it has them laid on the shelf's bolts.
func (o *Overlay) toMake(t *Ticket, laid *plan.Ticket) (made []shelf.Made) {
	for i := range laid.Cuts {
		l := &laid.Cuts[i]
		if b := o.boltNamed(t, l.Bolt); b != nil && !l.Done {
			made = append(made, shelf.Made{Bolt: b.Code, Cut: l.Cut, Span: l.Span(), Beside: t.besideCut(l, b)})
		}
	}
	return made
}

// boltsIn are the bolts of the shelf that an event has done something to, each with its count of changes.
func (o *Overlay) boltsIn(e Event) map[plan.Code]int {
	if e.Shelf == nil {
		return nil
	}
	changes := map[plan.Code]int{}
	for _, one := range append([]shelf.Event{*e.Shelf}, e.Shelf.Each...) {
		if b := o.shelf.Bolt(one.Bolt); b != nil {
			changes[b.Code] = b.Changes()
		}
	}
	return changes
}

// toldAt is the cutting ticket at which the last thing done with a bolt was told, where that is the ticket's last too. nil where there is none.
func (o *Overlay) toldAt(b *shelf.Bolt) *Ticket {
	for _, code := range b.Told() {
		if t := o.ticket(code); t != nil && t.last != nil && t.last.table != nil && t.last.shelf[b.Code] == b.Changes() {
			return t
		}
	}
	return nil
}

// takeBackShelf takes back what the ticket's last event did to the shelf, unless something was done with one of its bolts since.
func (o *Overlay) takeBackShelf(t *Ticket, e *Event) *Refusal {
	if len(t.last.shelf) == 0 {
		return nil
	}
	undo := shelf.Event{Action: shelf.Undo}
	for _, code := range slices.Sorted(maps.Keys(t.last.shelf)) {
		_, refused := o.shelf.Decide(shelf.Command{Action: shelf.Undo, Bolt: code}, o.around(e.Actor, e.Person, e.At))
		if refused != nil || o.shelf.Bolt(code).Changes() != t.last.shelf[code] {
			r := t.refuse("undo_overtaken", "ticket")
			r.Where = &Place{Bolts: []plan.Code{code}}
			return r
		}
		undo.Each = append(undo.Each, shelf.Event{Action: shelf.Undo, Bolt: code})
	}
	e.Shelf = &undo
	return nil
}
