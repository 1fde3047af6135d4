package stations

import (
	"maps"
	"slices"
	"strings"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
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
