package stations

import (
	"maps"
	"slices"
	"strings"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/workup"
)

// NamedBolt is a bolt that an order's file lists. Two unfinished orders that name a bolt alike, by fabric, bolt and lot,
// mean one bolt, unless the office has said that they are two.
type NamedBolt struct {
	Fabric string           `json:"fabric"`
	Bolt   string           `json:"bolt"`
	Lot    string           `json:"lot,omitempty"`
	From   measure.Quantity `json:"from,omitzero"` // where the order's part begins, Nothing where the file doesn't part the bolt
	To     measure.Quantity `json:"to,omitzero"`   // where the last cut on it ends, Nothing for none
}

// NamedBolts are the bolts that an order's file lists, with where its cuts end on each.
func NamedBolts(w *workup.Workup) []NamedBolt {
	ends := map[string]map[string]measure.Length{}
	for i := range w.Cloth {
		ends[w.Cloth[i].Fabric.ID] = lastCuts(w.Cloth[i].Plan.Placements)
	}
	var named []NamedBolt
	for i := range w.Order.Fabrics {
		f := &w.Order.Fabrics[i]
		for _, b := range f.Bolts {
			named = append(named, NamedBolt{
				Fabric: f.ID, Bolt: b.ID, Lot: b.Lot, From: present(b.From, w.Order.Units), To: present(ends[f.ID][b.ID], w.Order.Units),
			})
		}
	}
	return named
}

func (b NamedBolt) alike(other NamedBolt) bool {
	return b.Fabric == other.Fabric && b.Bolt == other.Bolt && b.Lot == other.Lot
}

// part is the stretch that the order is cut from: nothing where it has no cut there.
func (b NamedBolt) part() cutting.Span {
	from := b.From.Length()
	return cutting.Span{From: from, To: max(from, b.To.Length())}
}

// clashes reports whether two orders that name a bolt alike can't both be cut from it: neither says which part is its
// own, or the parts overlap.
func (b NamedBolt) clashes(other NamedBolt) bool {
	if b.From.IsZero() && other.From.IsZero() {
		return true
	}
	p, q := b.part(), other.part()
	return p.From < q.To && q.From < p.To
}

// bolts are those that an order names, and those that it is cut from: as its file was laid out before the release, as its
// tickets have it afterwards.
func (o *Order) bolts() []NamedBolt {
	if o.State == OrderTaken {
		return o.Bolts
	}
	var cuts []*TicketSpec
	for _, t := range o.Tickets {
		if !t.isPanel() && !t.Cancelled {
			cuts = append(cuts, t.Spec)
		}
	}
	return cutFrom(o.Bolts, cuts)
}

// cutFrom are bolts of an order on the floor, with where the last cut of its cutting tickets ends on each.
func cutFrom(named []NamedBolt, cuts []*TicketSpec) []NamedBolt {
	named = slices.Clone(named)
	for i := range named {
		named[i].To = measure.Quantity{}
	}
	for _, spec := range cuts {
		for i := range spec.Cuts {
			l := &spec.Cuts[i]
			if l.Bolt == "" {
				continue
			}
			cut := NamedBolt{Fabric: spec.Fabric, Bolt: l.Bolt, Lot: l.Lot, To: measure.OfLength(l.end(), spec.Units)}
			k := slices.IndexFunc(named, cut.alike)
			switch {
			case k < 0:
				named = append(named, cut)
			case cut.To.Length() > named[k].To.Length():
				named[k].To = cut.To
			}
		}
	}
	return named
}

// boltsAfter are the order's bolts once it is revised.
func (r *revising) boltsAfter() []NamedBolt {
	after := map[Code]*TicketSpec{}
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
		if s := &r.out.Tickets[i]; s.Kind == CuttingTicket {
			after[s.Code] = s
		}
	}
	return cutFrom(r.out.Revised.Bolts, slices.Collect(maps.Values(after)))
}

// unfinished reports whether an order still needs its cloth: one that is finished or cancelled gives its bolts free.
func (o *Order) unfinished() bool { return o.State == OrderTaken || o.State == OrderReleased }

// apart reports whether the office has said that bolts which two orders name alike are two.
func (o *Order) apart(other *Order) bool {
	return slices.Contains(o.Apart, other.ID) || slices.Contains(other.Apart, o.ID)
}

// SharedBolt is a bolt that other orders name too.
type SharedBolt struct {
	NamedBolt
	Orders []string // the others, in order
	// Taken is where the last cut of the others ends; from there on the bolt is nobody's. Nothing where they have none on it.
	Taken measure.Quantity
}

// SharedBolts returns those of an order's bolts that other unfinished orders are to be cut from too. The order itself
// may be new.
func (f *Floor) SharedBolts(order string, bolts []NamedBolt) []SharedBolt {
	return f.Overlay().shared(order, bolts)
}

func (o *Overlay) shared(order string, bolts []NamedBolt) []SharedBolt {
	if len(bolts) == 0 {
		return nil
	}
	list := make([]SharedBolt, len(bolts))
	for i, b := range bolts {
		list[i].NamedBolt = b
	}
	for _, other := range o.others(order) {
		for _, theirs := range other.bolts() {
			i := slices.IndexFunc(bolts, theirs.alike)
			if i < 0 || !theirs.clashes(bolts[i]) {
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
	all := o.base.orders.merged()
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
func (o *Overlay) spoken(order *Order, plan *workup.ClothPlan) map[string][]cutting.Span {
	var ours []NamedBolt
	for _, b := range plan.Fabric.Bolts {
		ours = append(ours, NamedBolt{Fabric: plan.Fabric.ID, Bolt: b.ID, Lot: b.Lot, From: present(b.From, measure.MM)})
	}
	return o.spokenOf(order.ID, plan.Fabric.ID, ours, nil)
}

// spokenOf is spoken for the bolts that an order names; apart are orders whose bolts the office now says to be others.
func (o *Overlay) spokenOf(order, fabric string, ours []NamedBolt, apart []string) map[string][]cutting.Span {
	taken := map[string][]cutting.Span{}
	if len(ours) == 0 {
		return taken
	}
	for _, other := range o.others(order) {
		if slices.Contains(apart, other.ID) {
			continue
		}
		for _, theirs := range other.bolts() {
			for _, b := range ours {
				part := theirs.part()
				if b.Fabric == fabric && theirs.alike(b) && (!b.From.IsZero() || !theirs.From.IsZero()) && part.To > part.From {
					taken[b.Bolt] = append(taken[b.Bolt], part)
				}
			}
		}
	}
	return taken
}

// yield takes off a ticket's remnants what other orders are cut from.
func (s *TicketSpec) yield(spoken map[string][]cutting.Span) {
	var left []Remnant
	for _, r := range s.Remnants {
		from := r.From.Length()
		if end := besides(cutting.Span{From: from, To: from + r.Length.Length()}, spoken[r.Bolt]); end.From < end.To {
			left = append(left, Remnant{Bolt: r.Bolt, From: measure.OfLength(end.From, s.Units), Length: measure.OfLength(end.To-end.From, s.Units)})
		}
	}
	s.Remnants = left
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
