package stock

import (
	"maps"
	"slices"
	"strings"
	"time"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/shelf"
)

// Sum is what there is of a cloth, in the unit of its bolts.
type Sum struct {
	Cloth                string
	Units                measure.Unit
	Bolts, Remnants      int
	Rest, Free, Promised measure.Length
	Held                 measure.Length // on bolts that nobody may cut
	HeldBolts, Missing   int
}

// Sums are those of the cloths of which there is something, by their keys.
func (s Stock) Sums() map[string]*Sum {
	floor, sums := s.Store.Floor(), map[string]*Sum{}
	for _, b := range s.Find(Asked{}) {
		of := sums[b.Cloth]
		if of == nil {
			of = &Sum{Cloth: b.Cloth, Units: b.Units}
			sums[b.Cloth] = of
		}
		if !b.IsHalf() { // no panel of the whole width is cut from it
			free, _ := s.Free(floor, b)
			of.Rest, of.Free = of.Rest+b.Rest, of.Free+free
		}
		for _, p := range floor.Promised(b.Code) {
			of.Promised += p.Length()
		}
		if b.IsRemnant() {
			of.Remnants++
		} else {
			of.Bolts++
		}
		switch b.State() {
		case shelf.Held:
			if of.HeldBolts++; !b.IsHalf() {
				of.Held += b.Rest
			}
		case shelf.Missing:
			of.Missing++
		}
	}
	return sums
}

// Month is what was measured otherwise than reckoned in a month of the shop's zone.
type Month struct {
	Begin      time.Time
	Less, More measure.Length
}

// mostMonths is how many months are told.
const mostMonths = 12

// Unexplained are the months in which bolts were measured otherwise than reckoned, newest first.
func (s Stock) Unexplained() []Month {
	sums := map[time.Time]*Month{}
	for _, b := range s.Store.Floor().Shelf().Bolts() {
		for _, stray := range b.Strays {
			at := stray.At.In(s.Shop().Zone)
			begin := time.Date(at.Year(), at.Month(), 1, 0, 0, 0, 0, at.Location())
			if sums[begin] == nil {
				sums[begin] = &Month{Begin: begin}
			}
			of := sums[begin]
			if l := stray.Length.Length(); l > 0 {
				of.Less += l
			} else {
				of.More -= l
			}
		}
	}
	var list []Month
	for _, begin := range slices.SortedFunc(maps.Keys(sums), func(a, b time.Time) int { return b.Compare(a) }) {
		list = append(list, *sums[begin])
	}
	return list[:min(len(list), mostMonths)]
}

// idleAfter is how long a remnant may lie before the office is asked what is to become of it: common practice, without a source.
const idleAfter = 90 * 24 * time.Hour

// Idle are the shop's remnants that nobody is to cut from and that nothing was cut from for so long, those first that have lain longest.
func (s Stock) Idle() (list []*shelf.Bolt) {
	floor, now := s.Store.Floor(), s.Clock()
	used := func(b *shelf.Bolt) time.Time {
		if n := len(b.Off); n > 0 {
			return b.Off[n-1].At
		}
		return b.Since
	}
	for _, b := range floor.Shelf().Bolts() {
		if b.IsRemnant() && b.Owner == "" && b.Kept == nil && b.OnHand() && b.Lies != shelf.OnTable && now.Sub(used(b)) >= idleAfter && len(floor.Promised(b.Code)) == 0 {
			list = append(list, b)
		}
	}
	slices.SortStableFunc(list, func(a, b *shelf.Bolt) int { return used(a).Compare(used(b)) })
	return list
}

// Left are the bolts of customers of whose orders, of which there are some, none is open, by customer: somebody has to ask them what is to become
// of their cloth. What is kept for the customer was answered.
func (s Stock) Left() (list []*shelf.Bolt) {
	floor := s.Store.Floor()
	open := map[string]bool{} // by customer that has orders
	for _, o := range floor.Orders() {
		open[o.Customer] = open[o.Customer] || o.State == stations.OrderTaken || o.State == stations.OrderReleased
	}
	for _, b := range floor.Shelf().Bolts() {
		if still, has := open[b.Owner]; b.Owner != "" && has && !still && b.Kept == nil && b.OnHand() && b.Lies != shelf.OnTable {
			list = append(list, b)
		}
	}
	slices.SortStableFunc(list, func(a, b *shelf.Bolt) int { return strings.Compare(a.Owner, b.Owner) })
	return list
}
