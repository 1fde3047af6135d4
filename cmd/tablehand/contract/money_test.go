package contract

import (
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// TestMoney: a finished panel is billed once and only once, at the price of the day it is billed.
func TestMoney(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "BILL-1")
	f.CutAll(t)
	left, right := f.Panels[0].Ticket, f.Panels[1].Ticket
	bill := func(codes ...string) shoptest.Fields {
		return shoptest.Fields{"customer": "Saltmarsh Inn", "panels": codes}
	}

	s.Play(t, []shoptest.Request{
		{Name: "nothing is ready", As: s.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{"customers.#": "0"}},
		{Name: "a list without prices", As: s.Office, Do: "PUT /api/prices", Send: shoptest.Fields{"currency": "USD", "rows": []shoptest.Fields{}}, Status: 200},
		{Name: "an unfinished panel", As: s.Office, Do: "POST /api/invoices", Send: bill(left), Status: 409, Code: "not_finished"},
		{Name: "a panel that isn't there", As: s.Office, Do: "POST /api/invoices", Send: bill("hello")},
		{Name: "no panels", As: s.Office, Do: "POST /api/invoices", Send: bill()},
	})
	s.WorkTo(t, left, "")

	unpriced := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices", Send: bill(left), Status: 201}).At("draft")
	s.Play(t, []shoptest.Request{
		{Name: "without a price there is no invoice", As: s.Office, Do: "POST /api/invoices/" + unpriced + "/issue", Send: shoptest.Fields{}, Status: 409, Code: "price_missing"},
		{Name: "it is on a draft", As: s.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{"customers.#": "0"}},
		{Name: "and on no second one", As: s.Office, Do: "POST /api/invoices", Send: bill(left), Status: 409, Code: "already_invoiced"},
	})
	discard(t, s, unpriced)
	s.Play(t, []shoptest.Request{
		{Name: "the draft is gone", As: s.Office, Do: "GET /api/invoices/" + unpriced, Status: 404, Code: "not_found"},
		{Name: "its panel is free", As: s.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{
			"customers.#": "1", "customers.0.panels.#": "1", "customers.0.panels.0.ticket": left, "customers.0.panels.0.panel": f.Panels[0].Panel}},
		{Name: "prices are set", As: s.Office, Do: "PUT /api/prices", Send: priceList("40.00", "18.01"), Status: 200},
		{Name: "and kept", As: s.Office, Do: "GET /api/prices", Status: 200, Has: map[string]string{
			"currency": "USD", "rows.#": "1", "rows.0.heading": "cartridge-tape", "rows.0.panel": "40.00", "rows.0.width": "18.01"}},
		{Name: "not a price", As: s.Office, Do: "PUT /api/prices", Send: priceList("forty", "18.00")},
		{Name: "a negative price", As: s.Office, Do: "PUT /api/prices", Send: priceList("-40.00", "18.00")},
		{Name: "the old ones stand", As: s.Office, Do: "GET /api/prices", Status: 200, Has: map[string]string{"rows.0.panel": "40.00"}},
	})

	// 40.00 + 2½ × 18.01 = 85.025, rounded to 85.03 (half up) or 85.02 (half to even): nothing says which.
	draft := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices", Send: bill(left), Status: 201, Check: func(t *testing.T, got shoptest.Answer) {
		if !shoptest.OneOf(got.At("total.amount"), "85.03|85.02") || got.At("lines.0.amount.amount") != got.At("total.amount") || got.At("lines.0.text") == "" {
			t.Errorf("2½ widths at 18.01 and 40.00: %s", got.Body)
		}
	}})
	id, total := draft.At("draft"), draft.At("total.amount")
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/invoices/" + id, Status: 200, Has: map[string]string{"total.amount": total, "lines.#": "1"}})
	issued := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices/" + id + "/issue", Send: shoptest.Fields{}, Status: 200,
		Has: map[string]string{"state": "issued", "total.amount": total}}).At("number")
	s.Play(t, []shoptest.Request{
		{Name: "issued once", As: s.Office, Do: "POST /api/invoices/" + id + "/issue", Send: shoptest.Fields{}, Status: 409, Code: "already_issued"},
		{Name: "and for good", As: s.Office, Do: "DELETE /api/invoices/" + id, Status: 409},
		{Name: "its panel isn't billed again", As: s.Office, Do: "POST /api/invoices", Send: bill(left), Status: 409, Code: "already_invoiced"},
		{Name: "nor worked again", As: s.Office, Do: "POST /api/scans", Send: shoptest.Scan(left, "send_back", "packing", "to", "pressing", "reason", "creased"), Status: 409, Code: "already_invoiced"},
		{Name: "prices go up", As: s.Office, Do: "PUT /api/prices", Send: priceList("50.00", "20.00"), Status: 200},
		{Name: "the issued invoice stays", As: s.Office, Do: "GET /api/invoices/" + issued, Status: 200, Has: map[string]string{"total.amount": total, "state": "issued"}},
		{Name: "on paper too", As: s.Office, Do: "GET /api/invoices/" + issued + ".pdf", Status: 200, Check: isPDF},
		{Name: "no such invoice", As: s.Office, Do: "GET /api/invoices/no-such", Status: 404, Code: "not_found"},
	})
	if got := f.State(t); got != "released" {
		t.Errorf("with one panel of two billed the order is %s", got)
	}

	s.WorkTo(t, right, "")
	if got := f.State(t); got != "finished" {
		t.Errorf("with both panels finished and one billed the order is %s", got)
	}
	second := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices", Send: bill(right), Status: 201, Has: map[string]string{"total.amount": "100.00"}}).At("draft")
	if got := f.State(t); got != "finished" {
		t.Errorf("with a panel on a draft the order is %s", got)
	}
	number := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices/" + second + "/issue", Send: shoptest.Fields{}, Status: 200}).At("number")
	if number == issued || number == "" {
		t.Errorf("numbers %q and %q", issued, number)
	}
	if got := f.State(t); got != "invoiced" {
		t.Errorf("with both panels billed the order is %s", got)
	}
	s.Audit(t)
}

// discard deletes a draft.
func discard(t *testing.T, s *shoptest.Shop, draft string) {
	t.Helper()
	if got := s.Send(t, shoptest.Request{As: s.Office, Do: "DELETE /api/invoices/" + draft}); got.Status != 200 && got.Status != 204 {
		t.Fatalf("deleting a draft: %d %s", got.Status, got.Body)
	}
}

// TestDraftsAreAllOrNothing: one panel that can't be billed leaves the others free.
func TestDraftsAreAllOrNothing(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "BILL-2")
	f.CutAll(t)
	s.WorkTo(t, f.Panels[0].Ticket, "")
	both := []string{f.Panels[0].Ticket, f.Panels[1].Ticket}
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices", Status: 409, Code: "not_finished", Send: shoptest.Fields{"customer": "Saltmarsh Inn", "panels": both}})
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices", Send: shoptest.Fields{"customer": "Saltmarsh Inn",
		"panels": []string{both[0], both[0]}}}) // the same panel twice
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{"customers.0.panels.#": "1"}})
	s.Audit(t)
}
