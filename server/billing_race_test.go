package server

import (
	"encoding/json"
	"fmt"
	"sync"
	"testing"

	"tablehand/engine/billing"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

// TestEachPanelIsBilledOnce: several people draft invoices of overlapping panels, issue, drop and credit them and change
// the prices at once, while others go on working. Whatever the order in which it all comes, each panel stands on at most
// one invoice that isn't credited, an invoice is credited once and whole, neither series of numbers has a gap, an
// invoice is the sum of its lines, and what is issued stays as it was issued.
func TestEachPanelIsBilledOnce(t *testing.T) {
	s := openShop(t)
	const office = 5
	for i := range 3 {
		s.workThrough(t, s.release(t, fmt.Sprint("DONE-", i), "quantity: 1", "quantity: 3", "length: 40 yd", "length: 90 yd", "length: 20 yd", "length: 60 yd"))
		s.release(t, fmt.Sprint("OPEN-", i))
	}
	url, example := s.listen(t), orderFile(t, "SMI-014")
	for round := range 3 {
		var all sync.WaitGroup
		crews := make([]*crew, office+1)
		for i := range crews {
			c := newCrew(s, url, example, fmt.Sprint("R", round, "-", i), uint64(100*round+i))
			crews[i] = c
			all.Go(func() {
				for range 40 {
					if i < office {
						c.bill()
					} else {
						c.work()
					}
				}
			})
		}
		all.Wait()
		for _, c := range crews {
			if c.busy > 1 { // a remake may be
				t.Errorf("%d requests found the shop busy", c.busy)
			}
			for _, fault := range c.faults {
				t.Error(fault)
			}
		}
		before := s.issued(t)
		s.renameShop(t, round)
		newCrew(s, url, example, fmt.Sprint("prices", round), uint64(round)).setPrices()
		for number, was := range before {
			if now := s.issuedAs(t, number); now != was {
				t.Errorf("invoice %s was changed after its issue:\n%s\n%s", number, was.doc, now.doc)
			}
		}
		billedOnce(t, s.Store.Floor())
		noDifference(t, s)
	}
	did := happened(t, s)
	t.Log(did)
	if did[stations.Draft] < 10 || did[stations.Issue] < 4 || did[stations.DropDraft] == 0 || did[stations.SetPrices] < 3 ||
		did[stations.Credit] < 4 || s.Store.Floor().Invoice("CN-2") == nil {
		t.Errorf("too little happened: %v", did)
	}
}

// printed is an issued invoice as a program and a customer have it.
type printed struct{ doc, pdf string }

// issued returns all issued invoices, by number.
func (s *shop) issued(t *testing.T) map[string]printed {
	t.Helper()
	all := map[string]printed{}
	for _, i := range s.Store.Floor().Invoices() {
		if i.Number != "" {
			all[i.Number] = s.issuedAs(t, i.Number)
		}
	}
	return all
}

func (s *shop) issuedAs(t *testing.T, number string) printed {
	t.Helper()
	get := func(path string) string {
		return string(s.ask(t, scene{as: stations.Office, do: "GET /api/invoices/" + path, status: 200}).body)
	}
	doc := map[string]any{}
	if err := json.Unmarshal([]byte(get(number)), &doc); err != nil {
		t.Fatal(err)
	}
	delete(doc, "credits") // which may come later
	delete(doc, "credited")
	left, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	return printed{string(left), get(number + ".pdf")}
}

// renameShop has the shop say other things of itself from now on.
func (s *shop) renameShop(t *testing.T, round int) {
	t.Helper()
	form := goodForm("shop_name", fmt.Sprint("Reed Workroom ", round), "payment_terms", fmt.Sprint("Payable in ", round, " days"),
		"postal_address", fmt.Sprint("Marsh Lane ", round))
	if got := s.post(t, stations.Office, "/settings", form, false); got.status != 303 {
		t.Fatalf("settings: %d %s", got.status, got.body)
	}
}

// billedOnce holds a floor's invoices against the laws of billing.
func billedOnce(t *testing.T, f *stations.Floor) {
	t.Helper()
	on, numbers, credited := map[plan.Code]string{}, map[string]bool{}, map[string]*invoice.Document{}
	for _, i := range f.Invoices() {
		if !i.IsCredit() {
			continue
		}
		if credited[i.RefersTo] != nil {
			t.Errorf("%s is credited by %s and by %s", i.RefersTo, credited[i.RefersTo].Name(), i.Name())
		}
		credited[i.RefersTo] = i
		if of := f.Invoice(i.RefersTo); of.Number != i.RefersTo || of.Total() != i.Total() || of.Customer != i.Customer {
			t.Errorf("%s credits %s of %s, which bills %s", i.Name(), i.Total().Amount(), i.RefersTo, of.Total().Amount())
		}
	}
	series := map[string]int{"": 0, "CN-": 0}
	for _, i := range f.Invoices() {
		var amounts []billing.Money
		credit := credited[i.Number]
		free := i.IsCredit() || credit != nil && credit.Frees && credit.Number != ""
		for _, l := range i.Lines {
			if !free && on[l.Ticket] != "" {
				t.Errorf("%s is billed on %s and on %s", l.Ticket, on[l.Ticket], i.Draft)
			}
			if !free {
				on[l.Ticket] = i.Draft
			}
			if l.Amount != nil {
				amounts = append(amounts, *l.Amount)
				if l.Rate == nil || *l.Amount != l.Rate.Of(l.Widths) {
					t.Errorf("%s on %s: %s is not what its rate gives", l.Ticket, i.Draft, l.Amount.Amount())
				}
			} else if i.Number != "" {
				t.Errorf("invoice %s bills %s for nothing", i.Number, l.Ticket)
			}
		}
		var sum int64
		for _, m := range amounts {
			sum += m.Minor
		}
		if i.Total().Minor != sum {
			t.Errorf("%s comes to %s, its lines to %d", i.Draft, i.Total().Amount(), sum)
		}
		if i.Number != "" && numbers[i.Number] {
			t.Errorf("two invoices have the number %s", i.Number)
		}
		numbers[i.Number] = true
		switch {
		case i.Number == "":
		case i.IsCredit():
			series["CN-"]++
		default:
			series[""]++
		}
	}
	for begins, count := range series {
		for n := 1; n <= count; n++ {
			if !numbers[begins+fmt.Sprint(n)] {
				t.Errorf("of %d documents none has the number %s%d", count, begins, n)
			}
		}
	}
	for _, o := range f.Orders() {
		for _, ticket := range o.Tickets {
			if ticket.Invoice != on[ticket.Spec.Code] {
				t.Errorf("%s thinks itself on %q, and is on %q", ticket.Spec.Code, ticket.Invoice, on[ticket.Spec.Code])
			}
		}
	}
}
