package stations

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tablehand/stations/plan"
)

// TestAnyFloor sends commands at random, sensible and senseless. After each, every ticket stands in order, and a
// second floor that has only read the ledger's JSON is the same.
func TestAnyFloor(t *testing.T) {
	w := exampleOrder(t, "ORDER", 1)
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(t)
		follower := NewFloor()
		for _, id := range []string{"A", "B"} {
			s.do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Digest: "d"})
			s.do(ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(w, nil, s.code)})
		}
		for range rapid.IntRange(1, 60).Draw(t, "commands") {
			if rapid.IntRange(0, 9).Draw(t, "forward") < 6 {
				s.forward(t)
			} else {
				s.try(s.anyCommand(t))
			}
			s.wait(time.Duration(rapid.IntRange(0, 200).Draw(t, "seconds")) * time.Second)
			follower = follow(t, follower, s.ledger)
			inOrder(t, s.floor)
		}
		if !reflect.DeepEqual(image(refold(t, s.ledger)), image(s.floor)) {
			t.Fatalf("the ledger folded at once gives another floor")
		}
		if !reflect.DeepEqual(image(follower), image(s.floor)) {
			t.Fatalf("a floor that follows the ledger is another floor")
		}
	})
}

// follow applies what the ledger has that a floor hasn't, event by event through JSON.
func follow(t fataler, f *Floor, ledger []Event) *Floor {
	for _, e := range ledger[f.Seq():] {
		text, err := json.Marshal(e)
		if err != nil {
			t.Fatalf("%v", err)
		}
		var read Event
		if err := json.Unmarshal(text, &read); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		o := f.Overlay()
		o.Apply(read)
		f = o.Floor()
	}
	return f
}

// forward does the next sensible thing with some ticket, and sometimes takes it back at once, which must leave the
// ticket as it was.
func (s *shop) forward(t *rapid.T) {
	var open []plan.Code
	for _, o := range s.floor.Orders() {
		for _, ticket := range o.Tickets {
			if st := ticket.State(); st == Ready || st == AtWork {
				open = append(open, ticket.Spec.Code)
			}
		}
	}
	if len(open) == 0 {
		return
	}
	code := rapid.SampledFrom(open).Draw(t, "ticket")
	cmd := s.finishing(code)
	cmd.Action = ScanIt
	if rapid.IntRange(0, 5).Draw(t, "slip") == 0 && len(cmd.Measured) > 0 {
		name := rapid.SampledFrom(s.floor.Ticket(code).Current().Spec.Enter).Draw(t, "entry").Name
		if name != "cord_end" {
			cmd.Measured[name] = "1"
		}
	}
	before := s.ticketsOf(code)
	e := s.do(cmd)
	if rapid.IntRange(0, 3).Draw(t, "back") != 0 {
		return
	}
	s.do(s.scan(code, Undo))
	for i, after := range s.ticketsOf(code) {
		if e.Action == Finish && after.Spec.Code == code {
			step := &after.Steps[after.At]
			step.Measured, step.Checks = before[i].Steps[after.At].Measured, before[i].Steps[after.At].Checks
		}
		if !sameButCounts(before[i], after) {
			t.Fatalf("after the undo of %s\n%+v\nis\n%+v", e.Action, before[i], after)
		}
	}
}

func (s *shop) ticketsOf(code plan.Code) []Ticket {
	var all []Ticket
	for _, t := range s.floor.Order(s.floor.Ticket(code).Order).Tickets {
		all = append(all, ticketImage(t))
	}
	return all
}

// anyCommand is about any ticket or order, whatever their states.
func (s *shop) anyCommand(t *rapid.T) Command {
	order := s.floor.Order(rapid.SampledFrom([]string{"A", "B"}).Draw(t, "order"))
	code := rapid.SampledFrom(order.Tickets).Draw(t, "ticket").Spec.Code
	draft := rapid.SampledFrom([]string{"D1", "D2", "D3", "1", "2", "C1", "C2", "CN-1"}).Draw(t, "draft")
	switch rapid.IntRange(0, 30).Draw(t, "kind") {
	case 0:
		return CancelOrder{Actor: office, Order: order.ID, Reason: "sold"}
	case 1:
		return SetPriceList{Actor: office, Prices: prices(fmt.Sprint(rapid.IntRange(1, 99).Draw(t, "price")), "18.00")}
	case 2, 3:
		return DropInvoice{Actor: office, Draft: draft}
	case 4, 5:
		return IssueInvoice{Actor: office, Draft: draft}
	case 11:
		return CloseOrder{Actor: office, Order: order.ID, Reason: "sold"}
	case 12, 13:
		return scrapping(s, code, rapid.Bool().Draw(t, "billable"))
	case 9, 10:
		return CreditInvoice{Actor: office, Draft: rapid.SampledFrom([]string{"C1", "C2", "C3"}).Draw(t, "credit"), Invoice: draft,
			Frees: rapid.Bool().Draw(t, "frees"), Reason: "wrong"}
	case 6, 7, 8:
		c := DraftInvoice{Actor: office, Draft: draft, Customer: order.Customer}
		for _, p := range s.floor.Ready() {
			if rapid.Bool().Draw(t, "take") {
				c.Panels = append(c.Panels, p.Spec.Code)
			}
		}
		return c
	}
	cmd := s.finishing(code)
	cmd.Action = rapid.SampledFrom([]Action{Start, Finish, ScanIt, Undo, Hold, Resume, SendBack, Accept}).Draw(t, "action")
	cmd.To = rapid.SampledFrom(plan.Stations()).Draw(t, "to")
	cmd.Actor = rapid.SampledFrom([]Actor{office, bench, other}).Draw(t, "actor")
	if rapid.IntRange(0, 4).Draw(t, "elsewhere") == 0 {
		cmd.Station = rapid.SampledFrom(plan.Stations()).Draw(t, "station")
	}
	return cmd
}

// inOrder holds every ticket, order and invoice of a floor against the laws that no command may break.
func inOrder(t fataler, f *Floor) {
	billed := map[plan.Code]string{}
	creditsInOrder(t, f)
	for _, i := range f.Invoices() {
		if i.IsCredit() || i.Freed {
			continue
		}
		for _, l := range i.Lines {
			if billed[l.Ticket] != "" {
				t.Fatalf("%s is billed on %s and on %s", l.Ticket, billed[l.Ticket], i.Draft)
			}
			billed[l.Ticket] = i.Draft
		}
	}
	for _, o := range f.Orders() {
		for _, ticket := range o.Tickets {
			ticketInOrder(t, o, ticket)
			if ticket.Invoice != billed[ticket.Spec.Code] || ticket.Invoice != "" && !ticket.Billable() {
				t.Fatalf("%s, %s, thinks itself on invoice %q and is on %q", ticket.Spec.Code, ticket.State(), ticket.Invoice, billed[ticket.Spec.Code])
			}
		}
	}
}

func ticketInOrder(t fataler, o *Order, ticket *Ticket) {
	for i, step := range ticket.Steps {
		var may []State
		switch {
		case i < ticket.At:
			may = []State{Finished}
		case i > ticket.At:
			may = []State{Waiting}
		case ticket.isPanel() && i == 0:
			may = []State{Waiting, Held}
		default:
			may = []State{Ready, AtWork, Held}
		}
		if !slices.Contains(may, step.State) {
			t.Fatalf("%s is at step %d, and step %d is %s", ticket.Spec.Code, ticket.At, i, step.State)
		}
		if (step.State == Held) != (step.Before != "") || step.ForOffice && step.State != Held {
			t.Fatalf("%s: a step %s, %s before, for the office: %v", ticket.Spec.Code, step.State, step.Before, step.ForOffice)
		}
	}
	// One that is cancelled stands where it stood, also when cloth it had a piece of is cut anew.
	if ticket.isPanel() && !ticket.Cancelled && (ticket.At == 0 || ticket.At == 1 && !ticket.Begun()) {
		uncut := 0
		for _, c := range o.Tickets {
			if !c.isPanel() && !c.Cancelled && c.Spec.Panels()[ticket.Spec.Code] && c.State() != Finished {
				uncut++
			}
		}
		if (uncut == 0) != (ticket.At == 1) {
			t.Fatalf("%s is at step %d while %d of its fabrics are uncut", ticket.Spec.Code, ticket.At, uncut)
		}
	}
}
