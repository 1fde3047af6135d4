package stations

import (
	"slices"
	"strings"
	"testing"

	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

func TestReleaseAndCancel(t *testing.T) {
	s := newShop(t)
	w := exampleOrder(t, "A-1", 1)
	tickets := plan.Tickets(w, nil, s.code)
	s.refused("not_found", ReleaseOrder{Actor: office, Order: "A-1", Tickets: tickets})
	s.do(TakeOrder{Actor: office, Order: "A-1", Customer: "Saltmarsh Inn", Due: "2026-12-18", Digest: "d"})
	s.refused("order_exists", TakeOrder{Actor: office, Order: "A-1"})
	short := ReleaseOrder{Actor: office, Order: "A-1", Tickets: tickets, FabricShort: true, LotsMixed: true}
	replaced := short
	replaced.Digest = "of the file before" // whose tickets these are
	s.refused("busy", replaced)
	short.Digest = "d"
	s.refused("fabric_short", short)
	short.FabricShort = false
	s.refused("lots_mixed", short)
	short.Override = true
	s.refused("reason_missing", short)
	short.Reason, short.Actor = "more is coming", bench
	s.refused("forbidden", short)
	short.Actor = Actor{Role: Program, Device: "books"}
	if e := s.do(short); !e.Override || e.Reason != "more is coming" {
		t.Errorf("released as %+v", e)
	}
	s.refused("already_released", short)

	s.do(TakeOrder{Actor: office, Order: "A-2", Customer: "Reed House"})
	s.refused("busy", ReleaseOrder{Actor: office, Order: "A-2", Tickets: tickets}) // codes that are in use
	s.refused("reason_missing", CancelOrder{Actor: office, Order: "A-2"})
	s.refused("not_found", CancelOrder{Actor: office, Order: "A-3", Reason: "sold"})
	s.do(CancelOrder{Actor: office, Order: "A-2", Reason: "sold"})
	s.refused("cancelled", CancelOrder{Actor: office, Order: "A-2", Reason: "sold"})
	s.refused("cancelled", ReleaseOrder{Actor: office, Order: "A-2"})

	o := s.floor.Order("A-1")
	cut := cuts(o)[0]
	called := CancelOrder{Actor: office, Order: "A-1", Reason: "sold"}
	s.do(s.scan(cut, Start))
	s.refused("already_cut", called)
	s.do(s.scan(cut, Hold))
	s.refused("already_cut", called)
	s.do(s.scan(cut, Resume))
	s.do(s.finishing(cut))
	if r := s.refused("already_cut", called); !slices.Equal(r.Where.Tickets, []plan.Code{cut}) {
		t.Errorf("cut at %+v", r.Where)
	}
	s.do(s.scan(cut, SendBack, to(plan.Cutting)))
	s.refused("already_cut", called) // what was cut stays cut

	o = s.release("A-4", 1)
	cut = cuts(o)[0]
	s.do(s.scan(cut, Start))
	s.do(s.scan(cut, Undo))
	s.do(CancelOrder{Actor: office, Order: "A-4", Reason: "sold"})
	s.is(panels(o)[0], plan.Cutting, Cancelled)
	if s.floor.Order("A-4").State != OrderCancelled || s.floor.Order("A-4").Late("2027-01-01") {
		t.Errorf("the order is %s", s.floor.Order("A-4").State)
	}
}

// TestNobodysOrder: an order that names no customer isn't released, whatever the office overrides; it is once it names
// one, and that can't be taken off it again. One that an old ledger has released without goes on as it is.
func TestNobodysOrder(t *testing.T) {
	s := newShop(t)
	named := exampleOrder(t, "A-1", 1)
	nameless := *named.Order
	nameless.Customer = " "
	without := *named
	without.Order = &nameless
	revise := func(w *workup.Workup) ReviseOrder {
		return ReviseOrder{Actor: office, Order: "A-1", Sheet: Sheet{Work: w, Digest: "d", Codes: s.code}}
	}
	s.do(TakeOrder{Actor: office, Order: "A-1", Customer: " ", Digest: "d"})
	release := ReleaseOrder{Actor: office, Order: "A-1", Tickets: plan.Tickets(named, nil, s.code), FabricShort: true, Override: true, Reason: "it comes"}
	if r := s.refused("customer_missing", release); r.Field != "customer" || r.Where.Key != "customer" {
		t.Errorf("where: %q %+v", r.Field, r.Where)
	}
	s.do(revise(&without)) // not on the floor yet: it may still go without
	s.do(revise(named))
	s.do(release)
	s.refused("customer_missing", revise(&without))

	over := NewFloor().Overlay()
	s.ledger, s.again = nil, FoldAgain()
	for seq, e := range []Event{
		{Action: Take, Order: "A-1", Taken: &TakenOrder{Digest: "d"}},
		{Action: Release, Order: "A-1", Tickets: release.Tickets},
	} {
		e.Seq, e.At = int64(seq+1), s.now
		over.Apply(e)
		s.note(e)
	}
	s.floor = over.Floor()
	if got := s.floor.Order("A-1").State; got != OrderReleased {
		t.Fatalf("the old ledger's order is %s", got)
	}
	s.do(revise(&without))
	s.do(s.scan(cuts(s.floor.Order("A-1"))[0], Start))
}

func TestInvoices(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 1)
	s.cutAll(o)
	left, right := panels(o)[0], panels(o)[1]
	draft := func(id string, codes ...plan.Code) DraftInvoice {
		return DraftInvoice{Actor: office, Draft: id, Customer: o.Customer, Panels: codes}
	}
	s.refused("missing_key", draft("D1"))
	s.refused("unknown_ticket", draft("D1", plan.NewCode(999_999)))
	s.refused("not_a_panel", draft("D1", cuts(o)[0]))
	s.refused("not_finished", draft("D1", left))
	s.workTo(left, "")
	s.refused("duplicate", draft("D1", left, left))
	s.refused("other_customer", DraftInvoice{Actor: office, Draft: "D1", Customer: "Reed House", Panels: []plan.Code{left}})
	s.do(draft("D1", left))
	s.refused("already_invoiced", draft("D2", left))
	s.refused("busy", draft("D1", left))
	s.refused("already_invoiced", s.scan(left, SendBack, to(plan.Joining)))
	s.refused("undo_overtaken", s.scan(left, Undo))
	if r := s.refused("price_missing", IssueInvoice{Actor: office, Draft: "D1"}); !slices.Equal(r.Where.Tickets, []plan.Code{left}) {
		t.Errorf("no price for %+v", r.Where)
	}
	s.do(DropInvoice{Actor: office, Draft: "D1"})
	s.refused("not_found", DropInvoice{Actor: office, Draft: "D1"})
	s.refused("not_found", IssueInvoice{Actor: office, Draft: "D1"})
	if s.floor.Invoice("D1") != nil || len(s.floor.Invoices()) != 0 || len(s.floor.Ready()) != 1 {
		t.Error("a dropped draft is still there, or its panel isn't free")
	}

	s.do(draft("D2", left))
	s.do(SetPriceList{Actor: office, Prices: prices("40.00", "18.00")}) // a draft follows the list
	if got := s.floor.Invoice("D2").Lines[0].Amount; got == nil || got.Amount() != "85.00" {
		t.Errorf("40 and 2½ × 18: %v", got)
	}
	e := s.do(IssueInvoice{Actor: office, Draft: "D2"})
	if e.Number != "1" || e.Invoice.Issued != e.At {
		t.Errorf("issued as %+v", e)
	}
	s.do(SetPriceList{Actor: office, Prices: prices("50.00", "20.00")}) // an issued invoice doesn't
	if i := s.floor.Invoice("1"); i != s.floor.Invoice("D2") || i.Number != "1" || i.Lines[0].Amount.Amount() != "85.00" {
		t.Errorf("the issued invoice is %+v", i)
	}
	s.refused("already_issued", IssueInvoice{Actor: office, Draft: "D2"})
	s.refused("already_issued", DropInvoice{Actor: office, Draft: "1"})
	s.refused("already_invoiced", draft("D3", left))
	state := func(want OrderState) {
		t.Helper()
		if got := s.floor.Order("ORDER").State; got != want {
			t.Errorf("the order is %s, want %s", got, want)
		}
	}
	state(OrderReleased)
	s.workTo(right, "")
	state(OrderFinished)
	s.do(draft("D3", right))
	state(OrderFinished)
	if e := s.do(IssueInvoice{Actor: office, Draft: "D3"}); e.Number != "2" {
		t.Errorf("the second is number %s", e.Number)
	}
	state(OrderInvoiced)
}

// TestNothingToMake: an order whose release made no panel isn't finished by that.
func TestNothingToMake(t *testing.T) {
	s := newShop(t)
	s.do(TakeOrder{Actor: office, Order: "EMPTY", Customer: "Reed House"})
	s.do(ReleaseOrder{Actor: office, Order: "EMPTY"})
	if got := s.floor.Order("EMPTY").State; got != OrderReleased {
		t.Errorf("the order is %s", got)
	}
}

// TestOneBatch: commands of one batch are decided on what the earlier ones did.
func TestOneBatch(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 1)
	over := s.floor.Overlay()
	for i, cmd := range []Command{s.scan(cuts(o)[0], Start), s.finishing(cuts(o)[0]), s.scan(cuts(o)[0], Undo)} {
		e, err := over.Decide(cmd, s.now)
		if err != nil {
			t.Fatalf("command %d: %v", i, err)
		}
		over.Apply(e)
	}
	if _, err := over.Decide(s.scan(cuts(o)[0], Start), s.now); err == nil || !strings.Contains(err.Error(), "at_work") {
		t.Errorf("started twice in a batch: %v", err)
	}
	s.is(cuts(o)[0], plan.Cutting, Ready) // the batch was dropped
}
