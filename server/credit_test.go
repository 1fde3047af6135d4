package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestCreditNote: an issued invoice is taken back whole, once, by a document with a number of its own. What it frees is
// billed again, what it doesn't never is.
func TestCreditNote(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	panels := s.workThrough(t, s.release(t, "SMI-1"))
	s.ask(t, scene{as: office, do: "PUT /api/prices", send: pricesOfTape("40.00", "18.00"), status: 200})
	bill := func(code string) (number string) {
		draft := s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{code}}, status: 201,
			has: map[string]string{"kind": "invoice"}}).at("draft")
		return s.ask(t, scene{as: office, do: "POST /api/invoices/" + draft + "/issue", status: 200}).at("number")
	}
	first, second := bill(panels[0]), bill(panels[1])
	credit := func(frees bool) fields { return fields{"whole": true, "frees": frees, "reason": "the wrong customer"} }
	s.play(t, []scene{
		{name: "not by a bench", as: stations.Bench, do: "POST /api/invoices/1/credit", send: credit(true), status: 403, code: "forbidden"},
		{name: "no such invoice", as: office, do: "POST /api/invoices/7/credit", send: credit(true), status: 404, code: "not_found"},
		{name: "not in part", as: office, do: "POST /api/invoices/1/credit", send: fields{"lines": []string{}, "frees": true, "reason": "x"}, status: 422, code: "bad_value"},
		{name: "nor nothing", as: office, do: "POST /api/invoices/1/credit", send: fields{"frees": true, "reason": "x"}, status: 422, code: "bad_value",
			has: map[string]string{"field": "whole"}},
		{name: "without saying what becomes of the panels", as: office, do: "POST /api/invoices/1/credit", send: fields{"whole": true, "reason": "x"},
			status: 422, code: "missing_key", has: map[string]string{"field": "frees"}},
		{name: "without a reason", as: office, do: "POST /api/invoices/1/credit", send: fields{"whole": true, "frees": true}, status: 422, code: "missing_key"},
		{name: "prices go up", as: office, do: "PUT /api/prices", send: pricesOfTape("90.00", "18.00"), status: 200},
	})
	draft := s.ask(t, scene{as: office, do: "POST /api/invoices/" + first + "/credit", send: credit(true), status: 201, has: map[string]string{
		"kind": "credit_note", "state": "draft", "refers_to": first, "frees": "true", "reason": "the wrong customer", "total.amount": "85.00", "lines.#": "1"}}).at("draft")
	s.play(t, []scene{
		{name: "a second one", as: office, do: "POST /api/invoices/" + first + "/credit", send: credit(true), status: 409, code: "already_credited"},
		{name: "a draft", as: office, do: "POST /api/invoices/" + draft + "/credit", send: credit(true), status: 409, code: "not_an_invoice"},
		{name: "known on the invoice", as: office, do: "GET /api/invoices/" + first, status: 200, has: map[string]string{"credits.0": draft, "credited": "", "total.amount": "85.00"}},
		{name: "still billed", as: office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "0"}},
		{name: "on paper", as: office, do: "GET /api/invoices/" + draft + ".pdf", status: 200},
		{name: "issued", as: office, do: "POST /api/invoices/" + draft + "/issue", status: 200, has: map[string]string{"number": "CN-1", "total.amount": "85.00"}},
		{name: "credited", as: office, do: "GET /api/invoices/" + first, status: 200, has: map[string]string{"credits.0": "CN-1", "credited.amount": "85.00", "state": "issued"}},
		{name: "free", as: office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.0.panels.#": "1", "customers.0.panels.0.ticket": panels[0]}},
		{name: "the order", as: office, do: "GET /api/orders/SMI-1", status: 200, has: map[string]string{"state": "finished"}},
		{name: "sent back", as: stations.Bench, do: "POST /api/scans", send: fields{"ticket": panels[0], "action": "send_back", "key": "b", "to": "packing", "reason": "x"}, status: 200},
		{name: "found by its number", as: office, do: "GET /search?q=CN-1", header: map[string]string{"Accept": "text/html"}, status: 200},
	})

	// What stays billed, through the pages.
	s.visit(t, office, "/invoices/"+second, 200, "Credit this invoice", `name="frees" value="no"`)
	form := url.Values{"reason": {"a gift"}}
	if got := s.post(t, office, "/invoices/"+second+"/credit", form, false); got.status != 422 || !strings.Contains(string(got.body), `value="a gift"`) {
		t.Errorf("without a choice: %d, or the reason is lost", got.status)
	}
	form.Set("frees", "no")
	got := s.post(t, office, "/invoices/"+second+"/credit", form, false)
	at := got.header.Get("Location")
	s.visit(t, office, at, 200, "Draft credit note", "a gift", "never billed again", `href="/invoices/`+second+`"`)
	if got := s.post(t, office, at+"/drop", nil, false); got.header.Get("Location") != "/invoices/"+second {
		t.Errorf("dropped: %d to %q", got.status, got.header.Get("Location"))
	}
	at = s.post(t, office, "/invoices/"+second+"/credit", form, false).header.Get("Location")
	if got := s.post(t, office, at+"/issue", nil, false); got.header.Get("Location") != "/invoices/CN-2" {
		t.Errorf("issued: %d to %q", got.status, got.header.Get("Location"))
	}
	s.visit(t, office, "/invoices/CN-2", 200, "Credit note CN-2", "never billed again", "Total credited")
	s.visit(t, office, "/invoices/"+second, 200, "It is credited by", `href="/invoices/CN-2"`)
	s.visit(t, office, "/ready", 200, "credit note of "+second, "−85.00")
	s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{panels[1]}}, status: 409, code: "already_invoiced"})
	noDifference(t, s)
}

func pricesOfTape(panel, width string) fields {
	return fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": panel, "width": width}}}
}
