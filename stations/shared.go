package stations

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// bolts are those that an order names, and those that it is cut from: as its file was laid out before the release, as its
// tickets have it afterwards.
//
// Those of the shelf aren't among them: whose they are is a matter of promises.
func (o *Order) bolts(on bolted) []plan.NamedBolt {
	if o.State == OrderTaken {
		return o.Bolts
	}
	var cuts []*plan.Ticket
	for _, t := range o.Tickets {
		if !t.isPanel() && !t.Cancelled {
			cuts = append(cuts, t.Spec)
		}
	}
	return cutFrom(o.Bolts, cuts, on)
}

// cutFrom are bolts of an order on the floor, with where the last cut of its cutting tickets ends on each.
func cutFrom(named []plan.NamedBolt, cuts []*plan.Ticket, on bolted) []plan.NamedBolt {
	named = slices.Clone(named)
	place := make(map[plan.NamedBolt]int, len(named))
	for i := range slices.Backward(named) {
		named[i].To = measure.Quantity{}
		place[named[i].Name()] = i
	}
	for _, spec := range cuts {
		for i := range spec.Cuts {
			l := &spec.Cuts[i]
			if l.Bolt == "" || on.Bolt(plan.Code(l.Bolt)) != nil {
				continue
			}
			cut := plan.NamedBolt{Fabric: spec.Fabric, Bolt: l.Bolt, Lot: l.Lot, To: measure.OfLength(l.End(), spec.Units)}
			k, known := place[cut.Name()]
			switch {
			case !known:
				place[cut.Name()] = len(named)
				named = append(named, cut)
			case cut.To.Length() > named[k].To.Length():
				named[k].To = cut.To
			}
		}
	}
	return named
}

// boltsAfter are the order's bolts once it is revised.
func (r *revising) boltsAfter() []plan.NamedBolt {
	after := map[plan.Code]*plan.Ticket{}
	for _, t := range r.order.Tickets {
		if !t.isPanel() && !t.Cancelled && !slices.Contains(r.out.Revised.Dropped, t.Spec.Code) {
			after[t.Spec.Code] = t.Spec
		}
	}
	for i := range r.out.Revised.Specs {
		if s := &r.out.Revised.Specs[i].Spec; after[s.Code] != nil {
			after[s.Code] = s
		}
	}
	for i := range r.out.Tickets {
		if s := &r.out.Tickets[i]; s.Kind == plan.CuttingTicket {
			after[s.Code] = s
		}
	}
	return cutFrom(r.out.Revised.Bolts, slices.Collect(maps.Values(after)), r.shelf)
}

// unfinished reports whether an order still needs its cloth: one that is finished or cancelled gives its bolts free.
func (o *Order) unfinished() bool { return o.State == OrderTaken || o.State == OrderReleased }

// apart reports whether the office has said that bolts which two orders name alike are two.
func (o *Order) apart(other *Order) bool {
	return slices.Contains(o.Apart, other.ID) || slices.Contains(other.Apart, o.ID)
}

// SharedBolt is a bolt that other orders name too.
type SharedBolt struct {
	plan.NamedBolt
	Orders []string // the others, in order
	// Taken is where the last cut of the others ends; from there on the bolt is nobody's. Nothing where they have none on it.
	Taken measure.Quantity
}

// SharedBolts returns those of an order's bolts that other unfinished orders are to be cut from too. The order itself
// may be new.
func (f *Floor) SharedBolts(order string, bolts []plan.NamedBolt) []SharedBolt {
	return f.Overlay().shared(order, bolts)
}

func (o *Overlay) shared(order string, bolts []plan.NamedBolt) []SharedBolt {
	if len(bolts) == 0 {
		return nil
	}
	list := make([]SharedBolt, len(bolts))
	place := make(map[plan.NamedBolt]int, len(bolts))
	for i, b := range slices.Backward(bolts) {
		list[i].NamedBolt = b
		place[b.Name()] = i
	}
	for _, other := range o.others(order) {
		for _, theirs := range other.bolts(o.shelf) {
			i, both := place[theirs.Name()]
			if !both || !theirs.Clashes(bolts[i]) {
				continue
			}
			list[i].Orders = append(list[i].Orders, other.ID)
			if theirs.To.Length() > list[i].Taken.Length() {
				list[i].Taken = theirs.To
			}
		}
	}
	return slices.DeleteFunc(list, func(s SharedBolt) bool { return len(s.Orders) == 0 })
}

// others are the unfinished orders that may be cut from the same bolts as one, by id.
func (o *Overlay) others(order string) []*Order {
	self := o.order(order)
	if self == nil {
		self = &Order{ID: order}
	}
	var list []*Order
	all := o.base.orders.Merged()
	maps.Copy(all, o.orders)
	for _, other := range all {
		if other.ID != order && other.unfinished() && !self.apart(other) {
			list = append(list, other)
		}
	}
	slices.SortFunc(list, func(a, b *Order) int { return strings.Compare(a.ID, b.ID) })
	return list
}

// spoken are the stretches of a fabric's bolts that other orders are cut from, where the orders have parted the bolt:
// cloth that is laid out anew keeps clear of them.
func (o *Overlay) spoken(order *Order, layout *workup.ClothPlan) map[string][]cutting.Span {
	var ours []plan.NamedBolt
	for _, b := range layout.Fabric.Bolts {
		if b.Shelf != "" {
			continue
		}
		ours = append(ours, plan.NamedBolt{Fabric: layout.Fabric.ID, Bolt: b.ID, Lot: b.Lot, From: plan.OptionalLength(b.From, measure.MM)})
	}
	return o.spokenOf(order.ID, layout.Fabric.ID, ours, nil)
}

// spokenOf is spoken for the bolts that an order names; apart are orders whose bolts the office now says to be others.
func (o *Overlay) spokenOf(order, fabric string, ours []plan.NamedBolt, apart []string) map[string][]cutting.Span {
	taken := map[string][]cutting.Span{}
	if len(ours) == 0 {
		return taken
	}
	for _, other := range o.others(order) {
		if slices.Contains(apart, other.ID) {
			continue
		}
		for _, theirs := range other.bolts(o.shelf) {
			for _, b := range ours {
				part := theirs.Part()
				if b.Fabric == fabric && theirs.Alike(b) && (!b.From.IsZero() || !theirs.From.IsZero()) && part.To > part.From {
					taken[b.Bolt] = append(taken[b.Bolt], part)
				}
			}
		}
	}
	return taken
}

// together are the stretches of both, by bolt.
func together(a, b map[string][]cutting.Span) map[string][]cutting.Span {
	all := maps.Clone(a)
	for bolt, spans := range b {
		all[bolt] = slices.Concat(all[bolt], spans)
	}
	return all
}

// names are the orders that share bolts, each once, in order.
func names(shared []SharedBolt) []string {
	var ids []string
	for i := range shared {
		ids = union(ids, shared[i].Orders)
	}
	slices.Sort(ids)
	return ids
}

// boltShared refuses to have one bolt cut for two orders, unless the office says for a reason that it is two.
func boltShared(actor Actor, override bool, reason, order string, shared []SharedBolt) *Refusal {
	switch {
	case len(shared) == 0:
		return nil
	case override && !mayDecide(actor):
		return refuse("forbidden", "override")
	case override && blank(reason):
		return refuse("reason_missing", "reason")
	case override:
		return nil
	}
	s := &shared[0]
	r := refuse("bolt_shared", "", "Order", order, "Bolt", s.Bolt, "Lot", s.Lot, "Fabric", s.Fabric, "Orders", s.Orders)
	r.Where = &Place{Orders: names(shared)}
	return r
}

// JoinCuts has the office plan the cuts of several cutting tickets of one cloth together, to be cut in one run. A single one that was joined is
// planned by itself again.
type JoinCuts struct {
	Actor   Actor
	Key     string // as of a scan; "" for none
	Person  string
	Tickets []plan.Code
	Sheets  map[string]*Sheet // the newest file of each of their orders, and of those that a single one is parted from
}

func (JoinCuts) action() Action { return Join }
func (c JoinCuts) actor() Actor { return c.Actor }

// decideJoin plans the tickets' cuts as one problem on the bolts that each of their orders may be cut from.
func (o *Overlay) decideJoin(c JoinCuts, e *Event) *Refusal {
	if !mayDecide(c.Actor) {
		return refuse("forbidden", "")
	}
	var list []*Ticket
	var cloth string
	var first *workup.ClothPlan
	for _, code := range c.Tickets {
		t := o.ticket(code)
		if t == nil {
			return refuse("unknown_ticket", "tickets", "Ticket", string(code))
		}
		if slices.Contains(list, t) {
			continue
		}
		if r := cmp.Or(o.notJoined(t), o.notJoinedFile(t, c.Sheets[t.Order])); r != nil {
			return r
		}
		layout := planOf(c.Sheets[t.Order].Work, t.Spec.Fabric)
		is := o.shelf.Joined(o.order(t.Order).ClothOf(layout.Fabric))
		switch {
		case is == "", cloth != "" && is != cloth:
			return t.refuse("wrong_cloth", "tickets")
		case first != nil && !first.Alike(layout):
			r := t.refuse("cloth_differs", "tickets")
			r.Args["Join"] = true
			return r
		}
		first, cloth = cmp.Or(first, layout), is
		list = append(list, t)
	}
	single := len(list) == 1 && len(o.joinedWith(list[0])) > 0
	if len(list) < 2 && !single {
		return refuse("missing_key", "tickets", "Name", "tickets")
	}
	e.Actor, e.Person, e.Cloth = c.Actor, c.Person, cloth
	for _, t := range list {
		e.Joined = append(e.Joined, t.Spec.Code)
	}
	if r := o.layTogether(list, first, c.Sheets, e); r != nil || !single {
		return r
	}
	o.layWithout(list[0], c.Sheets, e)
	return nil
}

// layWithout plans the tickets anew that one was to be cut with and isn't any more; where that can't be they stay where they lie.
func (o *Overlay) layWithout(parted *Ticket, sheets map[string]*Sheet, e *Event) {
	rest := o.joinedWith(parted)
	stays := func(t *Ticket) bool { return o.notJoined(t) != nil || o.notJoinedFile(t, sheets[t.Order]) != nil }
	if slices.ContainsFunc(rest, stays) {
		return
	}
	without := *o
	without.laid = map[plan.Code][]plan.Cut{}
	without.lay(e)
	_ = without.layTogether(rest, planOf(sheets[rest[0].Order].Work, rest[0].Spec.Fabric), sheets, e) // refused, it lays none
}

// notJoined refuses a ticket whose cuts can't be laid otherwise now.
func (o *Overlay) notJoined(t *Ticket) *Refusal {
	switch {
	case t.isPanel():
		return o.cutByFabric(t)
	case t.Cancelled:
		return t.refuse("cancelled", "tickets")
	case t.State() == Finished:
		return t.refuse("finished", "tickets")
	case t.State() == Held:
		return t.refuse("held", "tickets")
	case !t.layable(): // nobody knows which of its cuts are made
		return t.refuse("at_work", "tickets")
	}
	for _, b := range o.tableOf(t) {
		if len(b.For) > 0 {
			r := t.refuse("on_table", "tickets")
			r.Args["Bolt"] = string(b.Code)
			r.Where = &Place{Bolts: []plan.Code{b.Code}, Tickets: b.For, Place: b.Place}
			return r
		}
	}
	return nil
}

// notJoinedFile refuses a ticket whose order was revised meanwhile, or doesn't have its fabric any more.
func (o *Overlay) notJoinedFile(t *Ticket, sheet *Sheet) *Refusal {
	switch order := o.order(t.Order); {
	case sheet == nil, sheet.Digest != order.Digest, order.broughtUp(sheet.Revision):
		return refuse("busy", "")
	case planOf(sheet.Work, t.Spec.Fabric) == nil:
		return t.refuse("not_in_order", "tickets")
	}
	return nil
}

// jointFabric is a fabric with the bolts that each of several tickets may be cut from. What others are promised of them is spoken for. It
// refuses tickets of which one is to be cut from cloth of its own customer that another one may not have.
func (o *Overlay) jointFabric(list []*Ticket, f *orderfile.Fabric, sheets map[string]*Sheet) (*orderfile.Fabric, *Refusal) {
	for _, t := range list {
		for _, b := range o.tableOf(t) {
			theirs := func(other *Ticket) bool { return b.Owner != "" && o.order(other.Order).Customer != b.Owner }
			if i := slices.IndexFunc(list, theirs); i >= 0 {
				r := list[i].refuse("other_customers_cloth", "tickets")
				r.Args["Bolt"] = string(b.Code)
				r.Where = &Place{Bolts: []plan.Code{b.Code}, Place: b.Place, Tickets: []plan.Code{list[i].Spec.Code}}
				return nil, r
			}
		}
	}
	now := *f
	now.Bolts = nil
	cloth, ways := o.shelf.Joined(o.order(list[0].Order).ClothOf(f)), sheets[list[0].Order].Ways
	for _, b := range o.shelf.Those(func(b *shelf.Bolt) bool { return b.Cloth == cloth }) {
		barred := func(t *Ticket) bool {
			return !o.mayCut(supposed{}, o.order(t.Order), planOf(sheets[t.Order].Work, t.Spec.Fabric).Fabric, b)
		}
		piece, may := o.piece(o.order(list[0].Order), f, b, ways)
		if slices.ContainsFunc(list, barred) || !may {
			continue
		}
		piece.Spoken = nil
		joint := func(code plan.Code) bool {
			return slices.ContainsFunc(list, func(t *Ticket) bool { return t.Spec.Code == code })
		}
		ours := slices.ContainsFunc(b.For, joint)
		for _, p := range o.promised(b.Code) {
			if !joint(p.Ticket) {
				piece.Spoken = append(piece.Spoken, spokenFor(b, p, ours, ways.Kerf))
			}
		}
		piece.Linked = true
		now.Bolts = append(now.Bolts, piece)
	}
	o.inTurn(o.order(list[0].Order), now.Bolts)
	return &now, nil
}

// layTogether lays the cuts of tickets as one plan: a window's come from one lot, and those of all open as few bolts as can be. Refused, it
// leaves the event as it is.
func (o *Overlay) layTogether(list []*Ticket, layout *workup.ClothPlan, sheets map[string]*Sheet, e *Event) *Refusal {
	fabric, r := o.jointFabric(list, layout.Fabric, sheets)
	if r != nil {
		return r
	}
	var cuts []workup.Cut
	var specs []*plan.Ticket
	of, groups, lots := map[string]*plan.Cut{}, map[string]int{}, map[int][]string{}
	for _, t := range list {
		s := *t.Spec
		s.Cuts = slices.Clone(s.Cuts)
		own := laying{Overlay: o, plan: planOf(sheets[t.Order].Work, s.Fabric), tickets: []*plan.Ticket{&s}, made: func(l *plan.Cut) bool { return l.Done },
			group: func(panel plan.Code) int {
				key := t.Order + "/" + strconv.Itoa(sheets[t.Order].Work.LotGroup(o.treatmentOf(panel)))
				if _, known := groups[key]; !known {
					groups[key] = -1 - len(groups) // no line of the first order is meant
				}
				return groups[key]
			}}
		some, _, lines := own.cuts(&sheets[t.Order].Work.Order.Conventions)
		cuts, specs = append(cuts, some...), append(specs, &s)
		maps.Copy(of, lines)
		for _, other := range append(slices.Clone(o.order(t.Order).Tickets), t) { // what is made of its windows before
			for i := range other.Spec.Cuts {
				if line := &other.Spec.Cuts[i]; other.Spec.Fabric == s.Fabric && !other.isPanel() && other.made(line) {
					own.addLot(lots, line)
				}
			}
		}
	}
	laid := withBolts(layout, fabric).Relay(cuts, nil, lots)
	switch {
	case len(laid.Plan.Unplaced) > 0, len(fabric.Bolts) == 0 && len(cuts) > 0: // without bolts nothing is planned
		return refuse("fabric_short", "tickets", "Order", list[0].Order, "Join", true, "Apart", len(list) == 1)
	case len(laid.Plan.Mixed) > 0:
		return refuse("lots_mixed", "tickets", "Order", list[0].Order, "Join", true, "Apart", len(list) == 1)
	}
	o.placeJoint(list, specs, laid, of)
	for _, s := range specs {
		e.lays(laidOf(s))
	}
	return nil
}

// placeJoint puts what was planned together on the lines of its tickets, which call their bolts as their orders do.
func (o *Overlay) placeJoint(list []*Ticket, specs []*plan.Ticket, laid *workup.ClothPlan, of map[string]*plan.Cut) {
	at := map[string]cutting.Placement{}
	for _, p := range laid.Plan.Placements {
		at[p.Cut] = p
	}
	turn := map[string]int{}
	for i, b := range laid.Fabric.Bolts {
		turn[b.ID] = i
	}
	for i := range laid.Cuts {
		cut, p := &laid.Cuts[i], at[laid.Cuts[i].ID]
		b, line := o.shelf.Bolt(plan.Code(p.Bolt)), of[cut.ID]
		t := list[slices.IndexFunc(specs, func(s *plan.Ticket) bool { return strings.HasPrefix(cut.ID, string(s.Code)+"/") })]
		line.Lie(o.calls(t, b), b.Lot, b.IsHalf(), measure.OfLength(p.From, t.Spec.Units))
		line.TrimTop, line.TrimBottom = plan.OptionalLength(cut.TrimTop, t.Spec.Units), plan.OptionalLength(cut.TrimBottom, t.Spec.Units)
	}
	for i, s := range specs {
		s.Proof, s.Remnants = plan.ProofOf(laid), nil
		slices.SortStableFunc(s.Cuts, func(a, b plan.Cut) int {
			code := func(l plan.Cut) int {
				if b := o.boltNamed(list[i], l.Bolt); b != nil && !l.Done {
					return turn[string(b.Code)]
				}
				return -1 // what is made stands first
			}
			return cmp.Or(cmp.Compare(code(a), code(b)), cmp.Compare(a.From.Length(), b.From.Length()))
		})
	}
}

// Joinable are the cutting tickets of one of the shop's cloths that can be planned together, those due first in front.
func (f *Floor) Joinable(cloth string) (list []*Ticket) {
	o := f.Overlay()
	for _, order := range f.Orders() {
		for _, t := range order.Tickets {
			on := o.tableOf(t)
			if len(on) > 0 && t.NextCut() != nil && on[0].Cloth == o.shelf.Joined(cloth) && o.notJoined(t) == nil {
				list = append(list, t)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b *Ticket) int { return cmp.Compare(cmp.Or(a.Due, "9999"), cmp.Or(b.Due, "9999")) })
	return list
}

// JoinedWith are the other tickets that a cutting ticket is cut with in one run, as the office has joined them: those that aren't cut yet.
func (f *Floor) JoinedWith(t *Ticket) []*Ticket { return f.Overlay().joinedWith(t) }

func (o *Overlay) joinedWith(t *Ticket) (list []*Ticket) {
	for _, code := range t.joined {
		other := o.ticket(code)
		if code != t.Spec.Code && !other.Cancelled && other.At == 0 && slices.Contains(other.joined, t.Spec.Code) {
			list = append(list, other)
		}
	}
	return list
}

// applyJoin does what an event says of tickets that are cut together.
func (o *Overlay) applyJoin(e Event) {
	o.relaid(e)
	for _, code := range e.Joined {
		o.ownTicket(code).joined = e.Joined
	}
}
