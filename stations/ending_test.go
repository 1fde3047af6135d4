package stations

import (
	"slices"
	"testing"

	"tablehand/stations/plan"
)

func scrapping(s *shop, code plan.Code, billable bool) Scan {
	return s.scan(code, Scrap, func(c *Scan) { c.Billable, c.Actor = &billable, office })
}

// TestScrap: once its cloth is being cut the office ends a panel for a reason, and says whether it is billed.
func TestScrap(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 2)
	s.do(SetPriceList{Actor: office, Prices: prices("40.00", "18.00")})
	all := panels(o)
	s.refused("nothing_cut", scrapping(s, all[0], true))
	s.refused("not_a_panel", scrapping(s, cuts(o)[0], true))
	s.cutAll(o)
	byBench := scrapping(s, all[0], true)
	byBench.Actor = bench
	s.refused("forbidden", byBench)
	unsaid := scrapping(s, all[0], true)
	unsaid.Billable = nil
	if r := s.refused("missing_key", unsaid); r.Field != "billable" {
		t.Errorf("field %q", r.Field)
	}
	s.refused("reason_missing", s.scan(all[0], Scrap, func(c *Scan) { c.Billable, c.Actor, c.Reason = unsaidAs(true), office, "" }))

	s.workTo(all[0], plan.Fold)
	if e := s.do(scrapping(s, all[0], true)); e.State != Cancelled || !slices.Equal(e.Ended.Scrapped, all[:1]) || !e.Ended.Billable {
		t.Errorf("ended as %+v", e)
	}
	s.refused("cancelled", scrapping(s, all[0], true))
	s.refused("cancelled", s.scan(all[0], Start))
	s.do(scrapping(s, all[1], false))
	if ready := s.floor.Ready(); len(ready) != 1 || ready[0].Spec.Code != all[0] || ready[0].State() != Cancelled {
		t.Errorf("ready are %+v", ready)
	}
	s.refused("cancelled", DraftInvoice{Actor: office, Draft: "D1", Customer: o.Customer, Panels: []plan.Code{all[1]}})
	s.workTo(all[2], "")
	s.do(scrapping(s, all[3], false))
	if got := s.floor.Order("ORDER").State; got != OrderFinished {
		t.Errorf("with a billable one unbilled the order is %s", got)
	}
	e := s.do(DraftInvoice{Actor: office, Draft: "D1", Customer: o.Customer, Panels: []plan.Code{all[0], all[2]}})
	if !e.Invoice.Lines[0].Scrapped || e.Invoice.Lines[1].Scrapped || e.Invoice.Lines[0].Amount.Amount() != "85.00" {
		t.Errorf("billed as %+v", e.Invoice.Lines)
	}
	s.refused("cancelled", scrapping(s, all[0], false))
	s.refused("already_invoiced", scrapping(s, all[2], false))
	s.do(IssueInvoice{Actor: office, Draft: "D1"})
	if got := s.floor.Order("ORDER").State; got != OrderInvoiced {
		t.Errorf("with all billed the order is %s", got)
	}
	inOrder(t, s.floor)
}

func unsaidAs(b bool) *bool { return &b }

// TestScrapSparesTheCloth: what is only an ended panel's and known to be uncut goes off its cutting ticket, where the
// other cuts stay; at a table that doesn't tell each cut nothing is known.
func TestScrapSparesTheCloth(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 1)
	left, right := panels(o)[0], panels(o)[1]
	face, lining := cuts(o)[0], cuts(o)[1]
	s.do(s.scan(face, Start)) // each width is cut, and nobody tells which
	before := s.floor.Ticket(lining).Spec
	s.do(scrapping(s, left, false))
	if got := s.floor.Ticket(face).Spec.Cuts; len(got) != 5 {
		t.Errorf("of the cloth at work %d cuts are left of 5", len(got))
	}
	after := s.floor.Ticket(lining).Spec
	if after.Panels()[left] || len(after.Cuts) != 3 || after.Number("cuts").String() != "3" { // two of its own, and the shared width
		t.Errorf("the lining is cut as %+v", after.Cuts)
	}
	for _, l := range after.Cuts {
		if !slices.ContainsFunc(before.Cuts, func(was plan.Cut) bool { return was.Bolt == l.Bolt && was.From == l.From && was.Length == l.Length }) {
			t.Errorf("%+v lies elsewhere than before", l)
		}
	}
	s.do(s.finishing(face))
	s.do(s.scan(lining, Start))
	s.do(s.finishing(lining))
	s.is(right, plan.Joining, Ready)
	s.workTo(right, "")
	if got := s.floor.Order("ORDER").State; got != OrderFinished {
		t.Errorf("the order is %s", got)
	}

	o = s.release("SECOND", 1)
	s.do(s.scan(cuts(o)[0], Start))
	s.do(scrapping(s, panels(o)[0], false))
	if e := s.do(scrapping(s, panels(o)[1], false)); !slices.Equal(e.Ended.Cancelled, cuts(o)[1:2]) {
		t.Errorf("the lining that is for nobody: %+v", e.Ended)
	}
	if got := s.floor.Order("SECOND").State; got != OrderFinished { // nothing to bill is not billed
		t.Errorf("with all panels scrapped the order is %s", got)
	}
	inOrder(t, s.floor)
}

// TestScrapFreesItsMate: a panel that is held only for what its mate measured is finished when the mate is ended.
func TestScrapFreesItsMate(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 1)
	s.cutAll(o)
	left, right := panels(o)[0], panels(o)[1]
	s.workTo(left, "")
	s.workTo(right, plan.Packing)
	s.do(s.scan(right, Start))
	if e := s.do(s.finishing(right, measuring("finished_length", "95.75in"))); e.State != Held || e.Reason != ReasonPair {
		t.Fatalf("the second is %s for %q", e.State, e.Reason)
	}
	if e := s.do(scrapping(s, left, false)); len(e.Also) != 1 || e.Also[0].Ticket != right {
		t.Errorf("beside it moves %+v", e.Also)
	}
	s.is(right, plan.Packing, Finished)
	if ready := s.floor.Ready(); len(ready) != 1 || ready[0].Spec.Code != right {
		t.Errorf("ready are %+v", ready)
	}
}

// TestReviseAfterScrap: a panel that has ended is made by no later file, wherever that has it, and others keep theirs.
func TestReviseAfterScrap(t *testing.T) {
	for _, cutAll := range []bool{true, false} {
		s := newShop(t)
		o := s.release("ORDER", 2)
		if cutAll {
			s.cutAll(o)
		} else {
			s.do(s.scan(cuts(o)[0], Start))
		}
		all := panels(o)
		s.do(scrapping(s, all[0], false))
		count := len(s.floor.Order("ORDER").Tickets)
		for n, changes := range [][]string{{"due: 2026-12-18", "due: 2026-12-20"}, {"finished_length: 95 1/2", "finished_length: 94"}, {"Bay, left", "Bay, the left"}} {
			w := exampleOrder(t, "ORDER", 2, changes...)
			e := s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: Sheet{Work: w, Digest: string(rune('a' + n)), Codes: s.code}, Override: true, Reason: "so it is"})
			for i := range e.Tickets {
				if e.Tickets[i].Kind == plan.PanelTicket {
					t.Errorf("%v: a new panel %s %d %s", changes, e.Tickets[i].Window, e.Tickets[i].Copy, e.Tickets[i].Panel)
				}
				if e.Tickets[i].Panels()[all[0]] {
					t.Errorf("%v: cloth is cut for it", changes)
				}
			}
		}
		if got := len(s.floor.Order("ORDER").Tickets); cutAll && got != count {
			t.Errorf("%d tickets, %d before", got, count)
		}
		w := exampleOrder(t, "ORDER", 1) // its window goes: the other copy's panels stay themselves
		e := s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: Sheet{Work: w, Digest: "z", Codes: s.code}, Override: true, Reason: "so it is"})
		if slices.ContainsFunc(e.Tickets, func(n plan.Ticket) bool { return n.Kind == plan.PanelTicket }) {
			t.Errorf("one window less makes %d new tickets", len(e.Tickets))
		}
		inOrder(t, s.floor)
	}
}

// TestClose ends an order that is cut into: finished panels are left to bill, and nothing else goes on.
func TestClose(t *testing.T) {
	s := newShop(t)
	closing := func(id string) CloseOrder { return CloseOrder{Actor: office, Order: id, Reason: "the house is sold"} }
	s.refused("not_found", closing("ORDER"))
	s.do(TakeOrder{Actor: office, Order: "TAKEN", Customer: "Reed House"})
	s.refused("not_released", closing("TAKEN"))
	o := s.release("ORDER", 2)
	s.refused("nothing_cut", closing("ORDER"))
	s.cutAll(o)
	all := panels(o)
	s.workTo(all[0], "")
	s.workTo(all[1], plan.Fold)
	s.do(s.scan(all[1], Start))
	s.do(s.scan(all[2], Hold))
	s.refused("reason_missing", CloseOrder{Actor: office, Order: "ORDER"})
	e := s.do(closing("ORDER"))
	if !slices.Equal(e.Ended.Scrapped, all[1:]) || e.Ended.Billable || len(e.Ended.Cancelled) != 0 {
		t.Errorf("ended are %+v", e.Ended)
	}
	s.is(all[0], plan.Packing, Finished)
	if got := s.floor.Order("ORDER").State; got != OrderFinished || len(s.floor.Ready()) != 1 {
		t.Errorf("the order is %s, %d panels are ready", got, len(s.floor.Ready()))
	}
	s.refused("finished", closing("ORDER"))
	s.do(SetPriceList{Actor: office, Prices: prices("40.00", "18.00")})
	s.do(DraftInvoice{Actor: office, Draft: "D1", Customer: o.Customer, Panels: all[:1]})
	s.do(IssueInvoice{Actor: office, Draft: "D1"})
	s.refused("already_invoiced", closing("ORDER"))

	o = s.release("SECOND", 1)
	s.do(s.scan(cuts(o)[0], Start))
	e = s.do(closing("SECOND"))
	if !slices.Equal(e.Ended.Scrapped, panels(o)) {
		t.Errorf("ended are %+v", e.Ended)
	}
	for _, code := range cuts(o) {
		s.is(code, plan.Cutting, Cancelled)
	}
	if got := s.floor.Order("SECOND").State; got != OrderFinished {
		t.Errorf("an order of which nothing is finished is %s", got)
	}
	inOrder(t, s.floor)
	if f := refold(t, s.ledger); !f.Ticket(all[1]).Scrapped || f.Order("SECOND").State != OrderFinished {
		t.Error("the ledger tells it otherwise")
	}
}
