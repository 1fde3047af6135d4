package stations

import (
	"slices"

	"tablehand/stations/plan"
)

// decideRevise replaces an order's file. Before the release that is all. After it the new file's panels are matched
// with the tickets there are, and each ticket follows as far as cloth and work allow; nothing changes under the hands
// of somebody at work:
//
//   - A window is the same when it has its name and room, among those of one name in their order; or under another name
//     when all its numbers are the same. Within it panels go by copy and side.
//   - A panel whose cloth isn't cut, or is cut alike and not begun, takes all its new numbers. One that is begun keeps
//     those of the steps done, and of later steps what hangs together with them (see blend). One whose cloth is cut
//     otherwise than it is wanted now stays as it was released: the office sends it back, if the cloth suffices, or has
//     it remade.
//   - A new panel gets a new ticket. One that the file doesn't have any more is cancelled, or, once its cloth is cut,
//     stays and says so.
//   - A cutting ticket that nobody has begun is laid out anew in place; one begun or done stays, and what is to be cut
//     beyond it is on another ticket of the fabric, from what is left of the bolts, the lot of the same window first.
//     Cloth that is short or mixed there for what is newly wanted is refused unless the office overrides, as at the
//     release. Where only the bolts are others, or were not known before, the file tells what is so: it is taken, and the
//     ticket is held until the office decides.
//   - Codes stay: an old label leads to the same panel.
func (o *Overlay) decideRevise(c ReviseOrder, e *Event) *Refusal {
	order := o.order(c.Order)
	if r := o.notRevisable(order, c); r != nil {
		return r
	}
	file := c.Sheet.Work.Order
	e.Actor, e.Order = c.Actor, c.Order
	e.Revised = &Revised{Revision: order.Revision + 1, Customer: file.Customer, Due: file.Due, Digest: c.Sheet.Digest, Bolts: plan.NamedBolts(c.Sheet.Work)}
	if order.State == OrderTaken {
		return nil
	}
	r := o.revise(order, c.Sheet, e)
	if len(r.short)+len(r.mixed) > 0 || c.Override && r.lacking() {
		if refusal := clothRefused(c.Actor, c.Override, c.Reason, c.Order, r.short, r.mixed); refusal != nil {
			return refusal
		}
		r.goOn(c.Reason)
	}
	shared := o.shared(c.Order, r.boltsAfter())
	if refusal := boltShared(c.Actor, c.Override, c.Reason, c.Order, shared); refusal != nil {
		return refusal
	}
	if len(shared) > 0 {
		e.Override, e.Reason, e.Apart = true, c.Reason, names(shared)
	}
	for _, h := range r.holds {
		o.holdByCloth(e, h)
	}
	r.letStart()
	return o.unknown(e.Tickets)
}

// notRevisable refuses an order that takes no new file.
func (o *Overlay) notRevisable(order *Order, c ReviseOrder) *Refusal {
	switch {
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case c.Sheet.Work.Order.ID != c.Order:
		return refuse("bad_value", "order", "Name", "order", "Value", c.Sheet.Work.Order.ID)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case order.State == OrderInvoiced:
		return refuse("already_invoiced", "order", "Order", c.Order)
	case order.State == OrderFinished:
		return refuse("finished", "order", "Order", c.Order)
	case order.State == OrderReleased && blank(c.Sheet.Work.Order.Customer) && !blank(order.Customer):
		return customerMissing(c.Order)
	case c.From != 0 && c.From != order.Revision:
		return refuse("revised_meanwhile", "", "Order", c.Order, "Revision", order.Revision)
	}
	for _, t := range order.Tickets {
		if t.Invoice != "" && order.Customer != c.Sheet.Work.Order.Customer {
			return t.refuse("already_invoiced", "customer") // it is billed to the customer of before
		}
	}
	return nil
}

// clothRefused refuses cloth that is short or of mixed lots, unless the office passes over that for a reason.
func clothRefused(actor Actor, override bool, reason, order string, short, mixed []string) *Refusal {
	switch {
	case override && !mayDecide(actor):
		return refuse("forbidden", "override")
	case override && blank(reason):
		return refuse("reason_missing", "reason")
	case override:
		return nil
	case len(short) > 0:
		return refuse("fabric_short", "", "Order", order, "Fabrics", short)
	}
	return refuse("lots_mixed", "", "Order", order, "Fabrics", mixed)
}

// unknown refuses codes that were drawn twice: the next draw will do.
func (o *Overlay) unknown(tickets []plan.Ticket) *Refusal {
	for i := range tickets {
		if o.ticket(tickets[i].Code) != nil {
			return refuse("busy", "")
		}
	}
	return nil
}

// revising is a released order being held against a new file.
type revising struct {
	*Overlay
	order  *Order
	sheet  Sheet
	out    *Event
	panels []*pairing             // of the new file, in its order
	by     map[plan.Code]*pairing // likewise
	ended  map[plan.Code]int      // panels that are scrapped, and their treatments in the new file
	gone   map[plan.Code]bool     // panels that the file doesn't have; true where their cloth is cut
	who    map[plan.Seat]plan.Code
	has    pieces                // what is cut for the panels, or to be cut as the order stands
	asks   pieces                // what the new file wants for them
	lines  map[string][]plan.Cut // by fabric: the cuts that it wants

	short, mixed []string    // fabrics that don't do for what is newly wanted
	holds        []ClothHold // what the bolts lack for tickets there are, or no more

	away   map[int]int // what nowhere has given
	lowest int
}

// pairing is a panel of the new file with its ticket, nil for a new one.
type pairing struct {
	want  plan.Ticket
	t     *Ticket
	now   plan.Ticket // what stands on the ticket afterwards
	cloth bool        // its cloth stays as it is cut, or planned with what is
	kept  bool        // something of it isn't as the file wants it
}

// revise fills the event in with all that the new file changes.
func (o *Overlay) revise(order *Order, sheet Sheet, e *Event) *revising {
	r := &revising{Overlay: o, order: order, sheet: sheet, out: e, by: map[plan.Code]*pairing{}, gone: map[plan.Code]bool{}, ended: map[plan.Code]int{},
		who: map[plan.Seat]plan.Code{}, has: pieces{}, asks: pieces{}, lines: map[string][]plan.Cut{}}
	r.pair()
	for i := range sheet.Work.Cloth {
		fabric := sheet.Work.Cloth[i].Fabric.ID
		r.lines[fabric] = plan.ClothOf(sheet.Work, &sheet.Work.Cloth[i]).Lines(sheet.Work, r.who)
		r.asks.add(fabric, r.lines[fabric])
	}
	for _, t := range order.Tickets {
		if !t.isPanel() && !t.Cancelled {
			r.has.add(t.Spec.Fabric, t.Spec.Cuts)
		}
	}
	for _, p := range r.panels {
		r.renumber(p)
	}
	for _, t := range order.Tickets {
		if _, gone := r.gone[t.Spec.Code]; gone {
			r.remove(t)
		}
		r.seatEnded(t)
	}
	r.recut()
	r.move()
	return r
}

// pair finds the tickets of the new file's panels, and those that it has no panel for.
func (r *revising) pair() {
	places := map[plan.Seat]*Ticket{}
	for _, t := range r.order.Tickets {
		switch {
		case t.isPanel() && t.Scrapped:
			places[plan.SeatOf(t.Spec)] = t
		case t.isPanel() && !t.Cancelled:
			places[plan.SeatOf(t.Spec)] = t
			r.gone[t.Spec.Code] = r.cutFor(t)
		}
	}
	planned := plan.Panels(r.sheet.Work)
	old := r.windows(planned, places)
	for i := range planned {
		p := &pairing{want: planned[i]}
		p.want.Revision = r.out.Revised.Revision
		if treatment, known := old[p.want.Treatment]; known {
			p.t = places[plan.Seat{Treatment: treatment, Copy: p.want.Copy, Panel: p.want.Panel}]
		}
		if p.t != nil && p.t.Scrapped { // it has ended: the file may still have it, but nobody makes it
			r.ended[p.t.Spec.Code] = p.want.Treatment
			continue
		}
		if p.t == nil {
			p.want.Code = r.sheet.Codes()
		} else {
			p.want.Code, p.want.RemadeFrom = p.t.Spec.Code, p.t.Spec.RemadeFrom
			delete(r.gone, p.want.Code)
		}
		r.who[plan.SeatOf(&p.want)] = p.want.Code
		r.panels = append(r.panels, p)
		r.by[p.want.Code] = p
	}
}

// windows says which treatment of the order, as it stands, each of the new file's is.
func (r *revising) windows(planned []plan.Ticket, places map[plan.Seat]*Ticket) map[int]int {
	var were, are []*plan.Ticket // one panel of each window, in file order
	seen := map[int]bool{}
	for _, t := range r.order.Tickets {
		if s := t.Spec; t.isPanel() && (!t.Cancelled || t.Scrapped) && !seen[s.Treatment] {
			seen[s.Treatment] = true
			were = append(were, s)
		}
	}
	slices.SortStableFunc(were, func(a, b *plan.Ticket) int {
		if (a.Treatment < 0) != (b.Treatment < 0) { // a window removed before comes back only as the last choice
			return b.Treatment - a.Treatment
		}
		return a.Treatment - b.Treatment
	})
	for i := range planned {
		if i == 0 || planned[i].Treatment != planned[i-1].Treatment {
			are = append(are, &planned[i])
		}
	}
	same := map[int]int{}
	match := func(alike func(was, is *plan.Ticket) bool) {
		for i, is := range are {
			k := slices.IndexFunc(were, func(was *plan.Ticket) bool { return is != nil && was != nil && alike(was, is) })
			if k >= 0 {
				same[is.Treatment], are[i], were[k] = were[k].Treatment, nil, nil
			}
		}
	}
	match(func(was, is *plan.Ticket) bool { return was.Window == is.Window && was.Room == is.Room })
	match(func(was, is *plan.Ticket) bool {
		return is.Panel == was.Panel && onlyRenamed(places[plan.SeatOf(was)].newest(), is)
	})
	return same
}

// newest is a panel's ticket as the order's newest file has it.
func (t *Ticket) newest() *plan.Ticket {
	if t.Wanted != nil {
		return t.Wanted
	}
	return t.Spec
}

// onlyRenamed reports whether two tickets have all numbers in common.
func onlyRenamed(was, is *plan.Ticket) bool {
	return len(slices.DeleteFunc(differing(was, is), isWord)) == 0
}

// isWord reports whether a name of differing is of words on the ticket, which no work depends on.
func isWord(name string) bool {
	return name == "window" || name == "room" || name == "quantity" || name == "notes" || name == "under"
}

// cutFor reports whether any of a panel's cloth is cut, or may be.
func (r *revising) cutFor(t *Ticket) bool {
	return slices.ContainsFunc(r.cutters(t), func(c *Ticket) bool { return len(r.madeFor(t, c.Spec.Fabric)) > 0 })
}

// madeFor are the pieces of one fabric that are cut for a panel, or may be, by their place in it.
func (r *revising) madeFor(t *Ticket, fabric string) map[int]piece {
	made := map[int]piece{}
	for _, c := range r.cutters(t) {
		for i := range c.Spec.Cuts {
			if l := &c.Spec.Cuts[i]; c.Spec.Fabric == fabric && c.made(l) {
				piecesOf(l, t.Spec.Code, made)
			}
		}
	}
	return made
}

// renumber settles what stands on a panel's ticket from now on.
func (r *revising) renumber(p *pairing) {
	t := p.t
	if t == nil {
		p.now = p.want
		r.out.Tickets = append(r.out.Tickets, p.want)
		return
	}
	names := differing(t.newest(), &p.want)
	cloth, suffices := r.clothStays(p)
	p.cloth = cloth
	if len(names) == 0 && cloth && !suffices && !t.ClothStays {
		names = []string{cutsOnly} // its numbers are those of before, its pieces aren't: cloth found to be half-drop
	}
	freed := t.Wanted != nil && t.At == 0 && !cloth
	if freed {
		names = differing(t.Spec, &p.want) // none of its cloth is cut, as it turned out at the table
	}
	n := Renumbered{Spec: *t.Spec, Kept: t.Kept, Wanted: t.Wanted, ClothStays: t.ClothStays}
	cleared := freed || suffices && slices.Equal(t.Kept, []string{cutsOnly})
	if len(names) > 0 || t.Removed || cleared {
		n = t.renumbered(&p.want, cloth, !suffices, plan.Origin{Revision: r.order.Revision, Treatment: t.Spec.Treatment})
		n.ClothStays = cloth && !suffices
	}
	if len(names) > 0 {
		r.out.Revised.Changed = append(r.out.Revised.Changed, Changed{Ticket: p.want.Code, Values: names, Protected: len(n.Kept) > 0})
	}
	moved := n.Spec.Treatment != p.want.Treatment || t.Removed
	n.Spec.Treatment = p.want.Treatment
	if n.Wanted != nil && moved {
		wanted := *n.Wanted
		wanted.Treatment = p.want.Treatment
		n.Wanted = &wanted
	}
	p.now, p.kept = n.Spec, len(n.Kept) > 0
	if len(names) > 0 || moved || cleared {
		r.out.Revised.Specs = append(r.out.Revised.Specs, n)
	}
}

// cutsOnly is what a panel keeps when only the way its pieces are cut is wanted otherwise.
const cutsOnly = "cuts"

// renumbered is what a panel's ticket has when the newest file wants it otherwise. clothStays and clothShort: what is
// cut isn't what is wanted, and doesn't do for it; drawn is where the file of before has the panel.
func (t *Ticket) renumbered(want *plan.Ticket, clothStays, clothShort bool, drawn plan.Origin) Renumbered {
	n := Renumbered{Spec: t.blend(want, clothStays)}
	n.Spec.Drawn = nil
	if n.Kept = differing(&n.Spec, want); len(n.Kept) == 0 && clothShort {
		n.Kept = []string{cutsOnly}
	}
	if len(n.Kept) > 0 {
		n.Wanted = want
		if n.Spec.Drawn = t.Spec.Drawn; n.Spec.Drawn == nil {
			n.Spec.Drawn = &drawn
		}
	}
	if len(differing(t.Spec, &n.Spec)) == 0 {
		n.Spec.Revision = t.Spec.Revision // its paper is still good
	}
	return n
}

// clothStays reports whether the new file wants a panel's cloth otherwise while some of it is cut or the panel begun,
// and whether what is cut would do for it.
func (r *revising) clothStays(p *pairing) (stays, suffices bool) {
	suffices = true
	for _, fabric := range union(p.t.Spec.Fabrics, p.want.Fabrics) {
		has, asks := r.has.of(p.want.Code, fabric), r.asks.of(p.want.Code, fabric)
		if slices.Equal(has, asks) {
			continue
		}
		made := r.madeFor(p.t, fabric)
		switch {
		case len(made) == 0 && !p.t.Begun():
		case len(made) < len(has) && !p.t.Begun() && r.wanted(p, fabric, made): // and what isn't cut is laid anew
		default:
			stays = true
			suffices = suffices && len(made) > 0 && fit(asks, has)
		}
	}
	return stays, suffices || !stays
}

// wanted reports whether the new file wants each of a panel's pieces just as it is cut.
func (r *revising) wanted(p *pairing, fabric string, made map[int]piece) bool {
	asks := map[int]piece{}
	for i := range r.lines[fabric] {
		piecesOf(&r.lines[fabric][i], p.want.Code, asks)
	}
	for place, cut := range made {
		if asks[place] != cut {
			return false
		}
	}
	return true
}

// union returns the texts of both lists, each once.
func union(a, b []string) []string {
	all := slices.Clone(a)
	for _, s := range b {
		if !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return all
}

// remove takes a panel off that the new file doesn't have: it is cancelled, or kept and flagged when its cloth is cut.
func (r *revising) remove(t *Ticket) {
	switch {
	case !r.gone[t.Spec.Code]:
		r.out.Revised.Dropped = append(r.out.Revised.Dropped, t.Spec.Code)
	case t.Removed:
	default:
		names := []string{"quantity"}
		n := Renumbered{Spec: *t.Spec, Kept: names, Removed: true}
		if n.Spec.Drawn == nil {
			n.Spec.Drawn = &plan.Origin{Revision: r.order.Revision, Treatment: t.Spec.Treatment}
		}
		n.Spec.Treatment = r.nowhere(t.Spec.Treatment)
		r.out.Revised.Specs = append(r.out.Revised.Specs, n)
		r.out.Revised.Changed = append(r.out.Revised.Changed, Changed{Ticket: t.Spec.Code, Values: names, Protected: true})
	}
}

// seatEnded keeps a scrapped panel at its place in the new file, so that no later file takes another for it.
func (r *revising) seatEnded(t *Ticket) {
	treatment, there := r.ended[t.Spec.Code]
	if !t.Scrapped || there && treatment == t.Spec.Treatment || !there && t.Spec.Treatment < 0 {
		return
	}
	if !there {
		treatment = r.nowhere(t.Spec.Treatment)
	}
	n := Renumbered{Spec: *t.Spec, Kept: t.Kept, Wanted: t.Wanted, ClothStays: t.ClothStays, Removed: t.Removed}
	if n.Spec.Drawn == nil {
		n.Spec.Drawn = &plan.Origin{Revision: r.order.Revision, Treatment: t.Spec.Treatment}
	}
	n.Spec.Treatment = treatment
	r.out.Revised.Specs = append(r.out.Revised.Specs, n)
}

// nowhere gives the treatments that the file has no more each a number of its own, below 0 and free.
func (r *revising) nowhere(treatment int) int {
	if r.away == nil {
		r.away = map[int]int{}
		for _, t := range r.order.Tickets {
			r.lowest = min(r.lowest, t.Spec.Treatment)
		}
	}
	if _, known := r.away[treatment]; !known {
		r.lowest--
		r.away[treatment] = r.lowest
	}
	return r.away[treatment]
}

func (o *Overlay) applyRevise(e Event) {
	order := o.ownOrder(e.Order)
	rev := e.Revised
	order.Revision, order.Digest, order.Bolts = rev.Revision, rev.Digest, rev.Bolts
	order.Apart = union(order.Apart, e.Apart)
	words := order.Customer != rev.Customer || order.Due != rev.Due
	order.Customer, order.Due = rev.Customer, rev.Due
	changed := map[plan.Code]bool{}
	for _, c := range rev.Changed {
		changed[c.Ticket] = true
	}
	for i := range rev.Specs {
		code := rev.Specs[i].Spec.Code
		t := o.ownTicket(code)
		if changed[code] {
			t = o.touch(code, e.At)
		}
		t.respec(&rev.Specs[i])
	}
	for _, code := range rev.Dropped {
		o.touch(code, e.At).Cancelled = true
	}
	o.add(order, e.Tickets, e)
	for _, m := range e.Also {
		o.applyCloth(m, e)
	}
	o.applyHolds(e)
	for i := 0; words && i < len(order.Tickets); i++ {
		t := o.ownTicket(order.Tickets[i].Spec.Code)
		t.Customer, t.Due = order.Customer, order.Due
	}
	o.settle(e.Order)
}
