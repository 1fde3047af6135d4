// Package purchase adds up what several orders take of what a workroom buys: cloth, tape, buckram, thread, eyelets, rings, hooks, weights. Sums
// are exact; what is sold in steps or packs is rounded once, over all orders.
package purchase

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// What is a kind of thing to buy.
type What string

const (
	Cloth      What = "cloth"
	Tape       What = "tape"
	Buckram    What = "buckram"     // by its height
	Thread     What = "thread"      // by what it sews
	Eyelets    What = "eyelets"     // by their size
	Rings      What = "rings"       // pieces, each with a pin
	Hooks      What = "hooks"       // by their drop
	Weights    What = "weights"     // pieces
	WeightCord What = "weight_cord" // along the hem
)

// Need is what orders take of one thing. It has a length or a count.
type Need struct {
	What   What
	ID     string         // of a cloth or tape, what a thread is for; "" else
	Size   measure.Length // the height of buckram, the drop of hooks, of eyelets what they are across inside
	Outer  measure.Length // of eyelets: across outside
	Length measure.Length
	Count  int
	Orders []string
}

// Counted reports whether it is bought by pieces.
func (n Need) Counted() bool { return slices.Contains(counted, n.What) }

var counted = []What{Eyelets, Rings, Hooks, Weights}

// Nothing reports whether there is nothing to buy.
func (n Need) Nothing() bool { return n.Length <= 0 && n.Count <= 0 }

// Of adds up what orders take, by kind, in the order in which they first name it. Of an order's cloth its own bolts are taken off:
// what they hold it has already, and more of it than it takes is no other order's. A patterned face is counted with the repeats for
// positioning that its order allows, a tape with the period that is lost at the head of its roll.
func Of(orders []*workup.Workup) []Need {
	var s sum
	for _, w := range orders {
		s.order = w.Order.ID
		t := &w.Totals
		for _, f := range t.Fabrics {
			s.add(Need{What: Cloth, ID: f.Fabric, Length: lacking(w.Order, f)})
		}
		for _, tape := range t.Tape {
			s.add(Need{What: Tape, ID: tape.Tape, Length: tape.ToOrder})
		}
		for _, b := range t.Buckram {
			s.add(Need{What: Buckram, Size: b.Height, Length: b.Length})
		}
		for _, thread := range t.Thread {
			s.add(Need{What: Thread, ID: "heading", Length: thread.Length}) // a pocket is a heading too: it comes off the same cones
		}
		for _, e := range t.Eyelets {
			s.add(Need{What: Eyelets, Size: e.Inner, Outer: e.Outer, Count: e.Count})
		}
		s.add(Need{What: Rings, Count: t.Rings})
		for _, h := range t.Hooks {
			s.add(Need{What: Hooks, Size: h.Drop, Count: h.Count})
		}
		s.add(Need{What: Weights, Count: t.Weights})
		s.add(Need{What: WeightCord, Length: t.WeightCord})
	}
	slices.SortStableFunc(s.needs, func(a, b Need) int { return slices.Index(kinds, a.What) - slices.Index(kinds, b.What) })
	return s.needs
}

var kinds = []What{Cloth, Tape, Buckram, Thread, Eyelets, Rings, Hooks, Weights, WeightCord}

// lacking is what an order's own bolts don't have of a fabric, not rounded.
func lacking(o *orderfile.Order, f workup.FabricTotal) measure.Length {
	length := f.Length
	if fabric := o.Fabric(f.Fabric); fabric.Use == orderfile.Face {
		length += fabric.VerticalRepeat.Times(o.Conventions.OrderRepeats)
	}
	if f.OnBolts != nil {
		length -= *f.OnBolts
	}
	return max(0, length)
}

type sum struct {
	order string
	needs []Need
}

func (s *sum) add(n Need) {
	if n.Nothing() {
		return
	}
	i := slices.IndexFunc(s.needs, func(o Need) bool { return o.What == n.What && o.ID == n.ID && o.Size == n.Size && o.Outer == n.Outer })
	if i < 0 {
		i = len(s.needs)
		s.needs = append(s.needs, Need{What: n.What, ID: n.ID, Size: n.Size, Outer: n.Outer})
	}
	all := &s.needs[i]
	all.Length += n.Length
	all.Count += n.Count
	if !slices.Contains(all.Orders, s.order) {
		all.Orders = append(all.Orders, s.order)
	}
}

// ToBuy is what has to be bought of a need: less what is on hand, up to the step in which it is sold, then to whole packs. A step
// or pack of 0 is none. The packs are 0 where there are none.
func ToBuy(need, onHand, step, pack measure.Length) (toOrder measure.Length, packs int) {
	toOrder = max(0, need-onHand)
	if step > 0 {
		toOrder = toOrder.CeilTo(step)
	}
	if pack > 0 {
		packs = int(toOrder.CeilDiv(pack))
	}
	return toOrder, packs
}
