package stations

import (
	"cmp"
	"maps"
	"slices"
	"strconv"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Laid is a cutting ticket's cuts as they lie from an event on.
type Laid struct {
	Ticket   plan.Code      `json:"ticket"`
	Cuts     []plan.Cut     `json:"cuts"`
	Remnants []plan.Remnant `json:"remnants,omitempty"`
	Proof    plan.Proof     `json:"proof,omitempty"`
}

// laidOf is how a ticket's cuts lie.
func laidOf(s *plan.Ticket) Laid { return Laid{s.Code, s.Cuts, s.Remnants, s.Proof} }

// fork is an event that goes on as this one does so far.
func (e *Event) fork() *Event {
	on := *e
	on.Lines, on.Holds, on.Also, on.Told = slices.Clone(e.Lines), slices.Clone(e.Holds), slices.Clone(e.Also), slices.Clone(e.Told)
	return &on
}

// holdsMore reports whether an event holds tickets by their cloth beside those that it held before.
func (e *Event) holdsMore(before *Event) bool { return len(e.Holds) > len(before.Holds) }

// laidAt is where an event lays a ticket's cuts, -1 where it doesn't.
func (e *Event) laidAt(ticket plan.Code) int {
	return slices.IndexFunc(e.Lines, func(l Laid) bool { return l.Ticket == ticket })
}

// lays has an event lay a ticket's cuts.
func (e *Event) lays(l Laid) {
	if k := e.laidAt(l.Ticket); k >= 0 {
		e.Lines[k] = l
	} else {
		e.Lines = append(e.Lines, l)
	}
}

// laying is the cuts of an order's fabric that aren't made, being laid out on its bolts.
type laying struct {
	*Overlay
	plan    *workup.ClothPlan         // on its bolts as they are known now
	taken   map[string][]cutting.Span // by this order
	spoken  map[string][]cutting.Span // by others
	tickets []*plan.Ticket            // with cuts to lay: their own copies
	made    func(*plan.Cut) bool
	lots    map[int][]string    // of which lots a lot group has pieces
	were    map[int][]string    // and had them, or was to have them
	group   func(plan.Code) int // with what a panel is cut from one lot
}

// planOf is a fabric's plan in the newest file, nil where that doesn't have it.
func planOf(w *workup.Workup, fabric string) *workup.ClothPlan {
	i := slices.IndexFunc(w.Cloth, func(p workup.ClothPlan) bool { return p.Fabric.ID == fabric })
	if i < 0 {
		return nil
	}
	return &w.Cloth[i]
}

// withBolts is a plan on the bolts of a fabric as they are known now.
func withBolts(plan *workup.ClothPlan, f *orderfile.Fabric) *workup.ClothPlan {
	on := *plan
	on.Fabric = f
	return &on
}

// cuts are those to be laid, each with where it lies now and whose it is.
func (l *laying) cuts(c *orderfile.Conventions) (cuts []workup.Cut, at []cutting.Placement, of map[string]*plan.Cut) {
	of = map[string]*plan.Cut{}
	for _, s := range l.tickets {
		for i := range s.Cuts {
			line := &s.Cuts[i]
			if l.made(line) {
				continue
			}
			id := string(s.Code) + "/" + line.Cut
			of[id] = line
			length := line.Length.Length()
			cuts = append(cuts, workup.Cut{
				ID: id, Treatment: l.group(line.For[0].Ticket), Length: length, Class: classOf(line), Phase: line.Behind(l.plan.Fabric.VerticalRepeat), Trimming: line.Trimming, Railroaded: line.Railroaded,
				TrimTop: line.TrimTop.Length(), TrimBottom: line.TrimBottom.Length(), For: halvesOf(line),
			})
			if line.Bolt != "" {
				from := line.From.Length()
				at = append(at, cutting.Placement{Cut: id, Bolt: line.Bolt, From: from, To: from + length})
			}
		}
	}
	return l.plan.Starting(c, cuts), at, of
}

// halvesOf is whether a cut's parts are whole widths or halves.
func halvesOf(l *plan.Cut) (parts []workup.Part) {
	for _, p := range l.For {
		parts = append(parts, workup.Part{Half: p.Half})
	}
	return parts
}

func classOf(l *plan.Cut) int {
	if l.Class == "B" {
		return 1
	}
	return 0
}

// anew lays the cuts out anew, unless all can stay where they lie, and reports whether it did. mixed are the lot groups
// that take several lots and didn't.
func (l *laying) anew(c *orderfile.Conventions) (mixed []int, moved bool) {
	if len(l.plan.Fabric.Bolts) == 0 {
		return nil, l.unplace()
	}
	cuts, at, of := l.cuts(c)
	var several []string
	for _, group := range slices.Sorted(maps.Keys(l.were)) {
		if len(l.were[group]) > 1 {
			several = append(several, strconv.Itoa(group))
		}
	}
	taken := together(l.taken, l.spoken)
	if l.plan.Keeps(cuts, at, taken, several) {
		return nil, false
	}
	laid := l.plan.Relay(cuts, taken, l.lots)
	for _, s := range l.tickets {
		s.Proof = plan.ProofOf(laid)
	}
	bolts := l.plan.Fabric.ByName()
	places := map[string]cutting.Placement{}
	for _, p := range laid.Plan.Placements {
		places[p.Cut] = p
	}
	for i := range laid.Cuts {
		cut := &laid.Cuts[i]
		line, units := of[cut.ID], l.tickets[0].Units
		if p, placed := places[cut.ID]; placed {
			line.Lie(p.Bolt, bolts[p.Bolt].Lot, bolts[p.Bolt].Half, measure.OfLength(p.From, units))
		} else {
			line.LieNowhere()
		}
		line.TrimTop, line.TrimBottom = plan.OptionalLength(cut.TrimTop, units), plan.OptionalLength(cut.TrimBottom, units)
	}
	for _, group := range laid.MixedGroups() {
		if len(l.were[group]) < 2 {
			mixed = append(mixed, group)
		}
	}
	plan.SortCuts(l.plan, l.tickets, l.taken, l.spoken)
	return mixed, true
}

// unplace takes cuts off bolts that the file lists no more where what is cut, or spoilt, is in their way, and off those of the shelf that
// aren't the fabric's any more. It reports whether there were any.
func (l *laying) unplace() (moved bool) {
	for _, s := range l.tickets {
		for i := range s.Cuts {
			line := &s.Cuts[i]
			span := line.Span()
			met := func(t cutting.Span) bool { return t.From < span.To && span.From < t.To }
			onShelf := l.shelf.Bolt(plan.Code(line.Bolt)) != nil
			if !l.made(line) && line.Bolt != "" && (onShelf || slices.ContainsFunc(l.taken[line.Bolt], met)) {
				line.LieNowhere()
				moved = true
			}
		}
	}
	if moved {
		plan.SortCuts(l.plan, l.tickets, l.taken, l.spoken)
	}
	return moved
}

// layAnew lays out anew what isn't cut of a fabric, now that a ticket of it will be as it is in with, and fills the event
// in: the new lines, and the tickets that it holds where the cloth no longer suffices.
func (o *Overlay) layAnew(with *Ticket, sheet *Sheet, e *Event) *Refusal {
	return o.layAnewIf(supposed{}, with, sheet, e)
}

// layAnewIf is layAnew for cloth as if it were otherwise.
func (o *Overlay) layAnewIf(so supposed, with *Ticket, sheet *Sheet, e *Event) *Refusal {
	so.table = with.Spec.Code
	order, layout := o.order(with.Order), planOf(sheet.Work, with.Spec.Fabric)
	switch {
	case layout == nil && (e.Action == Cut || e.Action == Lay):
		return nil
	case layout == nil:
		return with.refuse("not_in_order", "ticket")
	}
	known := o.boltsOf(order, with.Spec.Fabric, with)
	l := laying{Overlay: o, plan: withBolts(layout, known.on(o.asIf(so, order, layout.Fabric, sheet.Ways))), taken: known.taken, spoken: o.spoken(order, layout), lots: map[int][]string{}, were: map[int][]string{},
		made: func(c *plan.Cut) bool { return c.Done }, group: func(panel plan.Code) int { return sheet.Work.LotGroup(o.treatmentOf(panel)) }}
	tickets := []*Ticket{with}
	var before measure.Length
	for _, t := range order.Tickets {
		if t.Spec.Code == with.Spec.Code {
			t = with
		}
		if t.isPanel() || t.Cancelled || t.Spec.Fabric != with.Spec.Fabric {
			continue
		}
		for i := range t.Spec.Cuts {
			line := &t.Spec.Cuts[i]
			l.addLot(l.were, line)
			if t.made(line) {
				l.addLot(l.lots, line)
			}
		}
		if t.layable() && t != with {
			tickets = append(tickets, t)
		}
	}
	for _, t := range tickets {
		s := *t.Spec
		if t != with {
			s = o.asLaid(t)
		}
		s.Cuts = slices.Clone(s.Cuts)
		l.tickets = append(l.tickets, &s)
		_, short := o.ticket(s.Code).Spec.Unplaced()
		before += short
	}
	mixed, moved := l.anew(&sheet.Work.Order.Conventions)
	if moved {
		l.fill(tickets, before, mixed, e)
	}
	return nil
}

// fill puts what was laid out into an event, for the tickets whose cuts it moved.
func (l *laying) fill(tickets []*Ticket, before measure.Length, mixed []int, e *Event) {
	var after measure.Length
	for i, s := range l.tickets {
		_, short := s.Unplaced()
		after += short
		if i == 0 || !slices.EqualFunc(s.Cuts, tickets[i].Spec.Cuts, sameLine) {
			e.lays(laidOf(s))
		}
	}
	if after <= before && len(mixed) == 0 || len(l.plan.Fabric.Bolts) == 0 {
		return
	}
	mixes := func(panel plan.Code) bool { return slices.Contains(mixed, l.group(panel)) }
	for i, s := range l.tickets {
		if h := lackOf(s, mixes); h != nil && (i == 0 || !tickets[i].heldByCloth()) {
			l.holdByCloth(e, *h)
			if s.Code == e.Ticket {
				e.State = Held
			}
		}
	}
}

// treatmentOf is a panel's in the newest file.
func (o *Overlay) treatmentOf(panel plan.Code) int {
	if t := o.ticket(panel); t != nil {
		return t.Spec.Treatment
	}
	return 0
}

// addLot notes of which lot the windows of a cut have cloth.
func (l *laying) addLot(lots map[int][]string, line *plan.Cut) {
	for _, part := range line.For {
		if g := l.group(part.Ticket); line.Bolt != "" {
			lots[g] = union(lots[g], []string{line.Lot})
		}
	}
}

// relaid puts the lines of an event on their tickets.
func (o *Overlay) relaid(e Event) {
	for i := range e.Lines {
		laid := &e.Lines[i]
		t := o.ownTicket(laid.Ticket)
		if laid.Ticket != e.Ticket {
			t = o.touch(laid.Ticket, e.At)
		}
		s := *t.Spec
		s.Cuts, s.Remnants, s.Proof = laid.Cuts, laid.Remnants, laid.Proof
		t.respec(&Renumbered{Spec: s, Kept: t.Kept})
	}
}

// told is the floor as an event of the table leaves the shelf and the ticket, so that what isn't cut is laid on what is there then.
func (o *Overlay) told(after *Ticket, c Scan, e *Event) *Overlay {
	told := *o
	told.laid = map[plan.Code][]plan.Cut{after.Spec.Code: after.Spec.Cuts}
	told.lay(e)
	if e.Shelf != nil {
		told.shelf = o.shelf.Fork()
		told.shelf.Apply(*e.Shelf, o.around(c.Actor, c.Person, e.At))
	}
	return &told
}

// lay has tickets' cuts lie as an event lays them, while that is being decided.
func (o *Overlay) lay(e *Event) {
	for i := range e.Lines {
		o.laid[e.Lines[i].Ticket] = e.Lines[i].Cuts
	}
}

// layOthers lays out anew what other orders are to have from a bolt of the shelf, where what was told of it leaves them no room, or the office
// has passed them over. Where the cloth no longer does for them, their tickets are held, at once and not at their own cutting.
func (o *Overlay) layOthers(t *Ticket, c Scan, e *Event) *Refusal {
	var displaced []*Ticket
	on := map[plan.Code]bool{}
	if e.Shelf != nil {
		on[e.Shelf.Bolt] = true
	}
	for _, b := range o.tableOf(t) {
		on[b.Code] = slices.Contains(b.For, t.Spec.Code) || on[b.Code]
	}
	for code, is := range on {
		for _, p := range o.promised(code) {
			other := o.ticket(p.Ticket)
			if is && p.Order != t.Order && !slices.Contains(displaced, other) && !o.standing(o.order(p.Order), []plan.Ticket{o.asLaid(other)}, c.Ways) {
				displaced = append(displaced, other)
			}
		}
	}
	for i := range e.Lines {
		other := o.ticket(e.Lines[i].Ticket)
		s := o.asLaid(other)
		if cuts, _ := s.Unplaced(); other.Order != t.Order && len(cuts) > 0 && !slices.Contains(displaced, other) {
			displaced = append(displaced, other)
		}
	}
	slices.SortFunc(displaced, func(a, b *Ticket) int {
		return cmp.Or(cmp.Compare(dueOf(o.order(a.Order)), dueOf(o.order(b.Order))), cmp.Compare(a.Spec.Code, b.Spec.Code))
	})
	for _, other := range displaced {
		sheet := c.Others[other.Order]
		if order := o.order(other.Order); sheet == nil || sheet.Digest != order.Digest || order.broughtUp(sheet.Revision) {
			return refuse("busy", "") // it was promised meanwhile, or revised
		}
		with := other.copy()
		s := o.asLaid(other)
		with.Spec = &s
		if r := o.layAnew(with, sheet, e); r != nil {
			return r
		}
		o.lay(e)
		o.holdShort(other, e)
	}
	return nil
}

// holdShort holds a ticket that an event leaves with less cloth than it had, also where there is no bolt left that it may be cut from.
func (o *Overlay) holdShort(t *Ticket, e *Event) {
	s := o.asLaid(t)
	_, is := s.Unplaced()
	_, was := t.Spec.Unplaced()
	held := slices.ContainsFunc(e.Holds, func(h ClothHold) bool { return h.Ticket == s.Code })
	if is > was && !held && !t.heldByCloth() {
		o.holdByCloth(e, *lackOf(&s, func(plan.Code) bool { return false }))
	}
}

// asLaid is a ticket with its cuts as an event that is being decided lays them.
func (o *Overlay) asLaid(t *Ticket) plan.Ticket {
	s := *t.Spec
	if lines, moved := o.laid[s.Code]; moved {
		s.Cuts = lines
	}
	return s
}

// laysFor are the tickets for which a bolt is put on the table with one: itself, and those that are cut with it in one run, are at work and have
// cuts to make from it. Who names them has to name such.
func (o *Overlay) laysFor(t *Ticket, b *shelf.Bolt, c Scan) (codes []plan.Code, _ *Refusal) {
	codes = []plan.Code{t.Spec.Code}
	with := o.joinedWith(t)
	for _, other := range with {
		promised := func(p shelf.Promise) bool { return p.Ticket == other.Spec.Code }
		if other.State() == AtWork && slices.ContainsFunc(o.promised(b.Code), promised) {
			codes = append(codes, other.Spec.Code)
		}
	}
	for _, code := range c.Tickets {
		other := o.ticket(code)
		switch {
		case slices.Contains(codes, code):
		case other == nil:
			return nil, refuse("unknown_ticket", "tickets", "Ticket", string(code))
		case slices.Contains(with, other) && other.State() != AtWork:
			return nil, cmp.Or(o.notAtTable(other, Scan{}), other.refuse("not_started", "tickets"))
		case slices.Contains(with, other):
			r := other.refuse("wrong_bolt", "tickets")
			r.Args["Bolt"], r.Args["Place"], r.Args["Wanted"] = string(b.Code), "", ""
			return nil, r
		default:
			return nil, other.refuse("not_joined", "tickets")
		}
	}
	for _, code := range codes {
		if other := o.ticket(code); b.Owner != "" && o.order(other.Order).Customer != b.Owner {
			r := other.refuse("other_customers_cloth", "tickets")
			r.Args["Bolt"] = string(b.Code)
			return nil, r
		}
	}
	return codes, nil
}

// shiftRun has the cuts of tickets that are cut in one run go behind what was told of their bolt, in the turn in which they lie, with all that
// lies behind them. Where that leaves one no room they are planned together again; where that can't be they are laid out each for itself.
func (o *Overlay) shiftRun(after *Ticket, c Scan, e *Event) {
	with := o.joinedWith(after)
	if e.Shelf == nil || c.Action == Lay || len(with) == 0 {
		return
	}
	b := o.shelf.Bolt(e.Shelf.Bolt)
	promised := o.promised(b.Code)
	ours := func(p shelf.Promise) bool {
		return slices.ContainsFunc(with, func(t *Ticket) bool { return t.Spec.Code == p.Ticket })
	}
	if !slices.ContainsFunc(promised, ours) {
		return
	}
	if laid, left := o.again(after, b, promised, c.Ways); len(left) == 0 {
		o.moveLines(b, laid, nil, e)
	} else if !o.runAgain(append([]*Ticket{after}, with...), c, e) {
		return
	}
	o.lay(e)
	s := o.asLaid(after)
	after.Spec = &s
}

// runAgain plans what tickets of one run are still to be cut together again, and reports whether that could be done.
func (o *Overlay) runAgain(list []*Ticket, c Scan, e *Event) bool {
	sheets := maps.Clone(c.Others)
	if sheets == nil {
		sheets = map[string]*Sheet{}
	}
	sheets[list[0].Order] = c.Sheet
	for i, t := range list {
		if o.notJoinedFile(t, sheets[t.Order]) != nil || !t.layable() {
			return false
		}
		if i > 0 {
			s := o.asLaid(t)
			list[i] = t.copy()
			list[i].Spec = &s
		}
	}
	return o.layTogether(list, planOf(c.Sheet.Work, list[0].Spec.Fabric), sheets, e) == nil
}
