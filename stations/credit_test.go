package stations

import (
	"reflect"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

// creditShop has a pair that is finished, each panel on an issued invoice of its own, at 85.00.
func creditShop(t *testing.T) (s *shop, left, right plan.Code) {
	s = newShop(t)
	o := s.release("ORDER", 1)
	s.cutAll(o)
	s.do(SetPriceList{Actor: office, Prices: prices("40.00", "18.00")})
	left, right = panels(o)[0], panels(o)[1]
	for _, code := range panels(o) {
		s.workTo(code, "")
	}
	s.do(DraftInvoice{Actor: office, Draft: "D1", Customer: o.Customer, Panels: []plan.Code{left}})
	s.do(DraftInvoice{Actor: office, Draft: "D2", Customer: o.Customer, Panels: []plan.Code{right}})
	s.do(IssueInvoice{Actor: office, Draft: "D1"})
	s.do(IssueInvoice{Actor: office, Draft: "D2"})
	return s, left, right
}

func crediting(draft, invoice string, frees bool) CreditInvoice {
	return CreditInvoice{Actor: office, Draft: draft, Invoice: invoice, Frees: frees, Reason: "the wrong customer"}
}

// TestCreditFrees: a freeing credit note takes an invoice back line by line at its own prices, once; its panels are
// billed anew only after it is issued, and may be sent back before.
func TestCreditFrees(t *testing.T) {
	s, left, right := creditShop(t)
	noReason := crediting("C1", "1", true)
	noReason.Reason = " "
	s.refused("reason_missing", noReason)
	s.refused("not_found", crediting("C1", "9", true))
	s.refused("busy", crediting("D2", "1", true))
	e := s.do(crediting("C1", "1", true))
	if e.Action != Credit || e.Invoice.RefersTo != "1" || e.Invoice.Kind != invoice.CreditNote || e.Reason != "the wrong customer" {
		t.Errorf("drafted as %+v", e)
	}
	s.refused("already_credited", crediting("C2", "1", true)) // a draft counts
	s.refused("not_an_invoice", crediting("C2", "C1", true))
	s.refused("already_invoiced", DraftInvoice{Actor: office, Draft: "D3", Customer: "Saltmarsh Inn", Panels: []plan.Code{left}})
	s.do(DropInvoice{Actor: office, Draft: "C1"})
	s.do(crediting("C3", "1", true))
	s.do(SetPriceList{Actor: office, Prices: prices("50.00", "20.00")}) // a credit note follows no list
	if got := s.floor.Invoice("C3").Total(); got.Amount() != "85.00" {
		t.Errorf("85.00 is credited as %s", got.Amount())
	}
	if len(s.floor.Ready()) != 0 || s.floor.Order("ORDER").State != OrderInvoiced {
		t.Error("a draft of a credit note frees a panel")
	}
	if e := s.do(IssueInvoice{Actor: office, Draft: "C3"}); e.Number != "CN-1" {
		t.Errorf("the first credit note is %s", e.Number)
	}
	s.refused("already_issued", IssueInvoice{Actor: office, Draft: "C3"})
	s.refused("already_issued", DropInvoice{Actor: office, Draft: "CN-1"})
	s.refused("not_an_invoice", crediting("C4", "CN-1", true))
	s.refused("already_credited", crediting("C4", "1", true))
	if ready := s.floor.Ready(); len(ready) != 1 || ready[0].Spec.Code != left || s.floor.Order("ORDER").State != OrderFinished {
		t.Errorf("freed are %d panels, the order is %s", len(ready), s.floor.Order("ORDER").State)
	}
	if i := s.floor.Invoice("1"); i.Total().Amount() != "85.00" || !i.Freed || i.CreditedBy != "C3" {
		t.Errorf("the invoice itself is changed: %+v", i)
	}

	s.do(s.scan(left, SendBack, to(plan.Packing))) // it is nobody's any more
	s.workTo(left, "")
	s.do(DraftInvoice{Actor: office, Draft: "D4", Customer: "Saltmarsh Inn", Panels: []plan.Code{left}})
	s.refused("not_issued", crediting("C4", "D4", true))
	if e := s.do(IssueInvoice{Actor: office, Draft: "D4"}); e.Number != "3" || e.Invoice.Total().Amount() != "100.00" {
		t.Errorf("billed anew as %s for %s", e.Number, e.Invoice.Total().Amount())
	}
	s.do(crediting("C5", "3", true)) // and that may be credited in its turn
	if e := s.do(IssueInvoice{Actor: office, Draft: "C5"}); e.Number != "CN-2" {
		t.Errorf("the second credit note is %s", e.Number)
	}
	inOrder(t, s.floor)
	if f := refold(t, s.ledger); len(f.Ready()) != 1 || f.Ticket(right).Invoice != "D2" {
		t.Error("the ledger tells it otherwise")
	}
}

// TestCreditKeeps: panels that a credit note doesn't free stay billed for good.
func TestCreditKeeps(t *testing.T) {
	s, left, _ := creditShop(t)
	s.do(crediting("C1", "1", false))
	s.do(IssueInvoice{Actor: office, Draft: "C1"})
	if len(s.floor.Ready()) != 0 || s.floor.Order("ORDER").State != OrderInvoiced {
		t.Errorf("%d panels are free, the order is %s", len(s.floor.Ready()), s.floor.Order("ORDER").State)
	}
	s.refused("already_invoiced", DraftInvoice{Actor: office, Draft: "D3", Customer: "Saltmarsh Inn", Panels: []plan.Code{left}})
	s.refused("already_invoiced", s.scan(left, SendBack, to(plan.Packing)))
	inOrder(t, s.floor)
}

// TestCustomerOfABilledPanel: while a panel stands on a draft or an invoice, its order can't go to another customer, and
// a credit note changes that only where it frees the panel.
func TestCustomerOfABilledPanel(t *testing.T) {
	for _, frees := range []bool{true, false} {
		s := newShop(t)
		o := s.release("ORDER", 2)
		s.cutAll(o)
		s.do(SetPriceList{Actor: office, Prices: prices("40.00", "18.00")})
		code := panels(o)[0]
		s.workTo(code, "")
		w := exampleOrder(t, "ORDER", 2, "customer: Saltmarsh Inn", "customer: Reed House")
		rename := ReviseOrder{Actor: office, Order: "ORDER", Sheet: Sheet{Work: w, Digest: "other", Codes: s.code}}
		refused := func(when string) {
			t.Helper()
			if r := s.refused("already_invoiced", rename); r.Field != "customer" || !slices.Equal(r.Where.Tickets, []plan.Code(nil)) {
				t.Errorf("%s: %+v", when, r)
			}
		}
		s.do(DraftInvoice{Actor: office, Draft: "D1", Customer: o.Customer, Panels: []plan.Code{code}})
		refused("drafted")
		s.do(IssueInvoice{Actor: office, Draft: "D1"})
		refused("issued")
		s.do(crediting("C1", "1", frees))
		refused("a credit note is drafted")
		s.do(IssueInvoice{Actor: office, Draft: "C1"})
		if !frees {
			refused("credited, but billed for good")
			continue
		}
		s.do(rename)
		if ready := s.floor.Ready(); len(ready) != 1 || ready[0].Customer != "Reed House" {
			t.Errorf("ready are %+v", ready)
		}
		if i := s.floor.Invoice("1"); i.Customer != "Saltmarsh Inn" {
			t.Errorf("the issued invoice went to %s", i.Customer)
		}
	}
}

// TestAnyBilling bills finished panels at random, credits, and bills again what is freed: the laws hold after each
// command, for a floor that has only read the ledger too.
func TestAnyBilling(t *testing.T) {
	done := newShop(t)
	o := done.release("A", 2)
	done.cutAll(o)
	for _, code := range panels(o) {
		done.workTo(code, "")
	}
	done.do(SetPriceList{Actor: office, Prices: prices("40.00", "18.00")})
	credited := 0
	rapid.Check(t, func(t *rapid.T) {
		s := *done
		s.t, s.ledger, s.again = t, nil, FoldAgain()
		for _, e := range done.ledger {
			s.note(e)
		}
		any := func(label string, sensible func(*invoice.Document) bool) string {
			names, senseless := []string{"none"}, rapid.IntRange(0, 4).Draw(t, "senseless") == 0
			for _, i := range s.floor.Invoices() {
				if senseless || sensible(i) {
					names = append(names, i.Name())
				}
			}
			return rapid.SampledFrom(names).Draw(t, label)
		}
		isDraft := func(i *invoice.Document) bool { return i.Number == "" }
		for n := range rapid.IntRange(25, 60).Draw(t, "commands") {
			id := "D" + strconv.Itoa(n)
			var cmd Command
			switch rapid.SampledFrom([]string{"draft", "draft", "issue", "issue", "credit", "credit", "drop", "prices", "back"}).Draw(t, "do") {
			case "draft":
				c := DraftInvoice{Actor: office, Draft: id, Customer: o.Customer}
				for _, code := range panels(o) {
					free := s.floor.Ticket(code).Invoice == ""
					if rapid.IntRange(0, 9).Draw(t, "take") == 0 || free && rapid.Bool().Draw(t, "ready") {
						c.Panels = append(c.Panels, code)
					}
				}
				cmd = c
			case "issue":
				cmd = IssueInvoice{Actor: office, Draft: any("issued", isDraft)}
			case "credit":
				of := any("credited", func(i *invoice.Document) bool { return !isDraft(i) && i.CreditedBy == "" })
				cmd = CreditInvoice{Actor: office, Draft: id, Invoice: of, Frees: rapid.Bool().Draw(t, "frees"), Reason: "wrong"}
			case "drop":
				cmd = DropInvoice{Actor: office, Draft: any("dropped", isDraft)}
			case "prices":
				cmd = SetPriceList{Actor: office, Prices: prices(strconv.Itoa(rapid.IntRange(1, 99).Draw(t, "price")), "18.00")}
			case "back":
				cmd = s.scan(rapid.SampledFrom(panels(o)).Draw(t, "panel"), SendBack, to(plan.Packing))
			}
			e, _ := s.try(cmd)
			inOrder(t, s.floor)
			if e.Action == SendBack {
				s.workTo(e.Ticket, "")
			}
		}
		credited += s.floor.credited
		if !reflect.DeepEqual(image(refold(t, s.ledger)), image(s.floor)) {
			t.Fatalf("the ledger folded at once gives another floor")
		}
	})
	least := 30
	if testing.Short() { // with a fifth of the tries
		least = 3
	}
	if credited < least {
		t.Errorf("only %d credit notes were issued", credited)
	}
}

// creditsInOrder holds the credit notes of a floor against what they credit.
func creditsInOrder(t fataler, f *Floor) {
	credited, issued := map[string]string{}, 0
	for _, c := range f.Invoices() {
		if !c.IsCredit() {
			continue
		}
		of := f.Invoice(c.RefersTo)
		if of == nil || of.IsCredit() || of.Number != c.RefersTo || credited[of.Draft] != "" || of.CreditedBy != c.Draft {
			t.Fatalf("%s credits %q, which %q credits", c.Name(), c.RefersTo, credited[c.RefersTo])
		}
		credited[of.Draft] = c.Draft
		if c.Total() != of.Total() || len(c.Lines) != len(of.Lines) {
			t.Fatalf("%s takes %s off an invoice of %s", c.Name(), c.Total().Amount(), of.Total().Amount())
		}
		if free := c.Frees && c.Number != ""; of.Freed != free {
			t.Fatalf("%s, which frees: %v, has freed the panels: %v", c.Name(), c.Frees, of.Freed)
		}
		if c.Number != "" {
			issued++
		}
	}
	for _, i := range f.Invoices() {
		if !i.IsCredit() && i.CreditedBy != credited[i.Draft] {
			t.Fatalf("%s thinks itself credited by %q, and is by %q", i.Draft, i.CreditedBy, credited[i.Draft])
		}
	}
	if issued != f.credited {
		t.Fatalf("%d credit notes are issued, and %d counted", issued, f.credited)
	}
}
