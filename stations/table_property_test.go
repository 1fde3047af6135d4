package stations

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// tableFiles are files with cloth to spare, with little of it, of several lots, with flaws and without bolts.
func tableFiles(t fataler) []*workup.Workup {
	two := listed("      - {id: R1, length: 28 yd, lot: A}\n      - {id: R2, length: 20 yd, lot: B, first_repeat: 5}\n")
	files := []*workup.Workup{
		revisedOrder(t),
		revisedOrder(t, two...),
		revisedOrder(t, append(two, wider, widerTo)...),
		revisedOrder(t, append(two, longer, longerTo)...),
		revisedOrder(t, append(two, bayLonger, bayLongerT)...),
		revisedOrder(t, append(two, "quantity: 1", "quantity: 2")...),
		revisedOrder(t, append(two, "match: straight", "match: half_drop")...),
		revisedOrder(t, append(two, "length: 40 yd, lot: K", "length: 40 yd, lot: K, flaws: [{from: 100, to: 101}, {from: 300, to: 310}]")...),
		revisedOrder(t, noBolts...),
	}
	return append(files, revisedOrder(t, listed("      - {id: R1, length: 20 yd, lot: A, flaws: [{from: 30, to: 31}]}\n      - {id: R2, length: 28 yd, lot: B}\n")...))
}

// TestAnyTable cuts, finds flaws, spoils, measures, takes back and revises at random. After each command no two cuts meet
// on a bolt, nothing that is to be cut lies on a flaw, off its bolt or off the pattern, a window has one lot unless the
// office was asked, every panel has its pieces once, what is cut stays as it is, and the ledger folds to the same floor.
func TestAnyTable(t *testing.T) {
	files := tableFiles(t)
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(t)
		now := rapid.SampledFrom(files).Draw(t, "released")
		s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: "Saltmarsh Inn", Digest: "d"})
		s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(now, nil, s.code), FabricShort: lacksCloth(now), Override: true, Reason: "because"})
		told := map[Action]int{}
		for range rapid.IntRange(1, 60).Draw(t, "commands") {
			before := s.floor
			if rapid.IntRange(0, 9).Draw(t, "kind") == 0 {
				file := rapid.SampledFrom(files).Draw(t, "file")
				_, r := s.try(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(file), Override: rapid.Bool().Draw(t, "override"), Reason: "because"})
				if r == nil {
					now = file
				}
			} else if e, r := s.try(s.anyTold(t, now)); r == nil {
				told[e.Action]++
			}
			s.wait(time.Duration(rapid.IntRange(0, 100).Draw(t, "seconds")) * time.Second)
			inOrder(t, s.floor)
			for _, fabric := range []string{"reed", "sateen"} {
				soundly(t, s, now, fabric)
			}
			staysCut(t, before, s.floor, s.ledger[len(s.ledger)-1])
			oneLot(t, s)
			everyPanelHasATicket(t, s.floor.Order("ORDER"), now)
		}
		if again := refold(t, s.ledger); !reflect.DeepEqual(image(again), image(s.floor)) {
			t.Fatal("the ledger folded at once is another floor")
		}
	})
}

// lacksCloth reports whether a file's bolts don't do for it.
func lacksCloth(w *workup.Workup) bool { return slices.ContainsFunc(w.Problems, workup.OfBolts) }

// anyTold is a command about some cutting ticket, mostly one that makes sense.
func (s *shop) anyTold(t *rapid.T, w *workup.Workup) Scan {
	var cuttings []*Ticket
	for _, ticket := range s.floor.Order("ORDER").Tickets {
		if !ticket.isPanel() && ticket.Current() != nil {
			cuttings = append(cuttings, ticket)
		}
	}
	if len(cuttings) == 0 {
		return Scan{Actor: bench, Ticket: s.floor.Order("ORDER").Tickets[0].Spec.Code, Action: Undo}
	}
	ticket := rapid.SampledFrom(cuttings).Draw(t, "ticket")
	c := s.told(w, ticket.Spec.Code, Cut, func(*Scan) {})
	switch ticket.State() {
	case Ready:
		c.Action, c.Station = Start, plan.Cutting
		return c
	case Held:
		c.Action, c.Actor, c.Override, c.Reason = Resume, office, true, "because"
		return c
	}
	c.Reason = "because"
	line := rapid.SampledFrom(ticket.Spec.Cuts).Draw(t, "cut")
	c.Cut = line.Cut
	c.Bolt = rapid.SampledFrom([]string{"R1", "R2", "S1"}).Draw(t, "bolt")
	mark := measure.Length(rapid.IntRange(0, 1200).Draw(t, "mark")) * measure.Inch
	switch rapid.IntRange(0, 11).Draw(t, "told") {
	case 0, 1, 2, 3, 4:
		c.Bolt = ""
		if next := ticket.NextCut(); next != nil && rapid.IntRange(0, 3).Draw(t, "in turn") > 0 {
			c.Cut, line = next.Cut, *next
		}
		if rapid.IntRange(0, 3).Draw(t, "long") == 0 {
			c.Length = (line.Length.Length() + measure.Inch.Times(rapid.IntRange(-12, 20).Draw(t, "longer"))).In(measure.In)
			c.Seen = rapid.Bool().Draw(t, "seen")
		}
	case 5, 6:
		c.Action, c.Cut, c.From, c.To = Flaw, "", mark.In(measure.In), plan.Station((mark + 3*measure.Inch).In(measure.In))
	case 7:
		c.Action, c.Bolt = Spoil, ""
	case 8:
		c.Action, c.Bolt, c.Length = Spoil, "", "50in"
	case 9:
		c.Action, c.Cut, c.Length = Rest, "", mark.In(measure.In)
	case 10:
		c = Scan{Actor: bench, Ticket: ticket.Spec.Code, Action: Undo}
	default:
		c = s.finishing(ticket.Spec.Code)
	}
	return c
}

// staysCut: a piece that is cut stays where it was cut, for whom it was cut, with its number, until somebody says that it
// is spoilt or takes it back.
func staysCut(t fataler, before, after *Floor, e Event) {
	for _, was := range before.Order("ORDER").Tickets {
		for _, l := range was.Spec.Cuts {
			is := after.Ticket(was.Spec.Code).Spec.Cut(l.Cut)
			untold := e.Ticket == was.Spec.Code && (e.Action == Undo || e.Action == Spoil && e.Cut == l.Cut)
			if l.Done && !untold && (is == nil || !reflect.DeepEqual(*is, l)) {
				t.Fatalf("cut %s of %s is made, and %s makes of it %+v", l.Cut, was.Spec.Code, e.Action, is)
			}
		}
	}
}

// oneLot: a window's cloth comes from one lot, unless the office went on with more.
func oneLot(t fataler, s *shop) {
	asked := slices.ContainsFunc(s.ledger, func(e Event) bool {
		return e.Override || slices.ContainsFunc(e.Holds, func(h ClothHold) bool { return len(h.Windows) > 0 })
	})
	type window struct {
		fabric    string
		treatment int
		gone      string // the name of one that is off the order
	}
	lots := map[window]string{}
	for _, ticket := range s.floor.Order("ORDER").Tickets {
		for _, l := range ticket.Spec.Cuts {
			for _, part := range l.For {
				panel := s.floor.Ticket(part.Ticket)
				key := window{fabric: ticket.Spec.Fabric, treatment: panel.Spec.Treatment}
				if key.treatment < 0 {
					key.gone = panel.Spec.Room + "/" + panel.Spec.Window
				}
				if ticket.Cancelled || panel.Cancelled || l.Bolt == "" {
					continue
				}
				if lot, known := lots[key]; known && lot != l.Lot && !asked {
					t.Fatalf("%v comes from lots %s and %s, and nobody was asked", key, lot, l.Lot)
				}
				lots[key] = l.Lot
			}
		}
	}
}
