package main

import "testing"

// TestMoney: a finished panel is billed once and only once, at the price of the day it is billed.
func TestMoney(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "BILL-1")
	f.cutAll(t)
	left, right := f.panels[0].Ticket, f.panels[1].Ticket
	bill := func(codes ...string) fields { return fields{"customer": "Saltmarsh Inn", "panels": codes} }

	s.play(t, []request{
		{name: "nothing is ready", as: s.office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "0"}},
		{name: "a list without prices", as: s.office, do: "PUT /api/prices", send: fields{"currency": "USD", "rows": []fields{}}, status: 200},
		{name: "an unfinished panel", as: s.office, do: "POST /api/invoices", send: bill(left), status: 409, code: "not_finished"},
		{name: "a panel that isn't there", as: s.office, do: "POST /api/invoices", send: bill("hello")},
		{name: "no panels", as: s.office, do: "POST /api/invoices", send: bill()},
	})
	s.workTo(t, left, "")

	unpriced := s.ask(t, request{as: s.office, do: "POST /api/invoices", send: bill(left), status: 201}).at("draft")
	s.play(t, []request{
		{name: "without a price there is no invoice", as: s.office, do: "POST /api/invoices/" + unpriced + "/issue", send: fields{}, status: 409, code: "price_missing"},
		{name: "it is on a draft", as: s.office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "0"}},
		{name: "and on no second one", as: s.office, do: "POST /api/invoices", send: bill(left), status: 409, code: "already_invoiced"},
	})
	s.discard(t, unpriced)
	s.play(t, []request{
		{name: "the draft is gone", as: s.office, do: "GET /api/invoices/" + unpriced, status: 404, code: "not_found"},
		{name: "its panel is free", as: s.office, do: "GET /api/ready", status: 200, has: map[string]string{
			"customers.#": "1", "customers.0.panels.#": "1", "customers.0.panels.0.ticket": left, "customers.0.panels.0.panel": f.panels[0].Panel}},
		{name: "prices are set", as: s.office, do: "PUT /api/prices", send: priceList("40.00", "18.01"), status: 200},
		{name: "and kept", as: s.office, do: "GET /api/prices", status: 200, has: map[string]string{
			"currency": "USD", "rows.#": "1", "rows.0.heading": "cartridge-tape", "rows.0.panel": "40.00", "rows.0.width": "18.01"}},
		{name: "not a price", as: s.office, do: "PUT /api/prices", send: priceList("forty", "18.00")},
		{name: "a negative price", as: s.office, do: "PUT /api/prices", send: priceList("-40.00", "18.00")},
		{name: "the old ones stand", as: s.office, do: "GET /api/prices", status: 200, has: map[string]string{"rows.0.panel": "40.00"}},
	})

	// 40.00 + 2½ × 18.01 = 85.025, rounded to 85.03 (half up) or 85.02 (half to even): the contract doesn't say.
	draft := s.ask(t, request{as: s.office, do: "POST /api/invoices", send: bill(left), status: 201, check: func(t *testing.T, got answer) {
		if !oneOf(got.at("total.amount"), "85.03|85.02") || got.at("lines.0.amount.amount") != got.at("total.amount") || got.at("lines.0.text") == "" {
			t.Errorf("2½ widths at 18.01 and 40.00: %s", got.body)
		}
	}})
	id, total := draft.at("draft"), draft.at("total.amount")
	s.ask(t, request{as: s.office, do: "GET /api/invoices/" + id, status: 200, has: map[string]string{"total.amount": total, "lines.#": "1"}})
	issued := s.ask(t, request{as: s.office, do: "POST /api/invoices/" + id + "/issue", send: fields{}, status: 200,
		has: map[string]string{"state": "issued", "total.amount": total}}).at("number")
	s.play(t, []request{
		{name: "issued once", as: s.office, do: "POST /api/invoices/" + id + "/issue", send: fields{}, status: 409, code: "already_issued"},
		{name: "and for good", as: s.office, do: "DELETE /api/invoices/" + id, status: 409},
		{name: "its panel isn't billed again", as: s.office, do: "POST /api/invoices", send: bill(left), status: 409, code: "already_invoiced"},
		{name: "nor worked again", as: s.office, do: "POST /api/scans", send: scan(left, "send_back", "packing", "to", "pressing", "reason", "creased"), status: 409, code: "already_invoiced"},
		{name: "prices go up", as: s.office, do: "PUT /api/prices", send: priceList("50.00", "20.00"), status: 200},
		{name: "the issued invoice stays", as: s.office, do: "GET /api/invoices/" + issued, status: 200, has: map[string]string{"total.amount": total, "state": "issued"}},
		{name: "on paper too", as: s.office, do: "GET /api/invoices/" + issued + ".pdf", status: 200, check: isPDF},
		{name: "no such invoice", as: s.office, do: "GET /api/invoices/no-such", status: 404, code: "not_found"},
	})
	if got := f.state(t); got != "released" {
		t.Errorf("with one panel of two billed the order is %s", got)
	}

	s.workTo(t, right, "")
	if got := f.state(t); got != "finished" {
		t.Errorf("with both panels finished and one billed the order is %s", got)
	}
	second := s.ask(t, request{as: s.office, do: "POST /api/invoices", send: bill(right), status: 201, has: map[string]string{"total.amount": "100.00"}}).at("draft")
	if got := f.state(t); got != "finished" {
		t.Errorf("with a panel on a draft the order is %s", got)
	}
	number := s.ask(t, request{as: s.office, do: "POST /api/invoices/" + second + "/issue", send: fields{}, status: 200}).at("number")
	if number == issued || number == "" {
		t.Errorf("numbers %q and %q", issued, number)
	}
	if got := f.state(t); got != "invoiced" {
		t.Errorf("with both panels billed the order is %s", got)
	}
	s.audit(t)
}

// discard deletes a draft.
func (s *shop) discard(t *testing.T, draft string) {
	t.Helper()
	if got := s.send(t, request{as: s.office, do: "DELETE /api/invoices/" + draft}); got.status != 200 && got.status != 204 {
		t.Fatalf("deleting a draft: %d %s", got.status, got.body)
	}
}

// TestDraftsAreAllOrNothing: one panel that can't be billed leaves the others free.
func TestDraftsAreAllOrNothing(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "BILL-2")
	f.cutAll(t)
	s.workTo(t, f.panels[0].Ticket, "")
	both := []string{f.panels[0].Ticket, f.panels[1].Ticket}
	s.ask(t, request{as: s.office, do: "POST /api/invoices", status: 409, code: "not_finished", send: fields{"customer": "Saltmarsh Inn", "panels": both}})
	s.ask(t, request{as: s.office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn",
		"panels": []string{both[0], both[0]}}}) // the same panel twice
	s.ask(t, request{as: s.office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.0.panels.#": "1"}})
	s.audit(t)
}
