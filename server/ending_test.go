package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestEndings: the office ends a panel or a whole order after cutting began; rows, pages, the invoice and the history say
// so, and the tables are what the ledger says.
func TestEndings(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	codes := s.release(t, "SMI-1", "quantity: 1", "quantity: 2", "length: 40 yd", "length: 90 yd", "length: 20 yd", "length: 60 yd")
	s.ask(t, scene{as: office, do: "PUT /api/prices", send: pricesOfTape("40.00", "18.00"), status: 200})
	panel := codes[2:]
	scrap := func(code, key string, more ...any) fields {
		f := fields{"ticket": code, "action": "scrap", "key": key, "reason": "scorched"}
		for i := 0; i+1 < len(more); i += 2 {
			f[more[i].(string)] = more[i+1]
		}
		return f
	}
	if page := s.visit(t, office, "/t/"+panel[0], 200); strings.Contains(page, "End this panel") {
		t.Error("a panel can be ended by its page before anything is cut")
	}
	s.play(t, []scene{
		{name: "not cut yet", as: office, do: "POST /api/scans", send: scrap(panel[0], "a", "billable", true), status: 409, code: "nothing_cut"},
		{name: "nor the order", as: office, do: "POST /api/orders/SMI-1/close", send: fields{"reason": "sold"}, status: 409, code: "nothing_cut"},
		{name: "cutting begins", as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "scan", "cutting"), status: 200},
		{name: "not by a bench", as: stations.Bench, do: "POST /api/scans", send: scrap(panel[0], "b", "billable", true), status: 403, code: "forbidden"},
		{name: "unsaid whether it is billed", as: office, do: "POST /api/scans", send: scrap(panel[0], "c"), status: 422, code: "missing_key", has: map[string]string{"field": "billable"}},
		{name: "no other action is billable", as: office, do: "POST /api/scans", send: fields{"ticket": panel[0], "action": "hold", "key": "d", "reason": "x", "billable": true}, status: 422, code: "bad_value"},
		{name: "ended and billed", as: office, do: "POST /api/scans", send: scrap(panel[0], "e", "billable", true), status: 200, has: map[string]string{"state": "cancelled"}},
		{name: "the same again", as: office, do: "POST /api/scans", send: scrap(panel[0], "e", "billable", true), status: 200, has: map[string]string{"state": "cancelled"}},
		{name: "its row", as: office, do: "GET /api/tickets/" + panel[0], status: 200, has: map[string]string{"state": "cancelled", "scrapped": "true", "billable": "true"}},
		{name: "ready", as: office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.0.panels.#": "1", "customers.0.panels.0.price.amount": "85.00"}},
	})
	s.visit(t, office, "/ready", 200, panel[0])
	draft := s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": panel[:1]}, status: 201})
	if !strings.Contains(draft.at("lines.0.text"), "ended unfinished") {
		t.Errorf("billed as %q", draft.at("lines.0.text"))
	}

	// By the pages: one panel, then the order.
	s.visit(t, office, "/t/"+panel[1], 200, "End this panel", "counts as cut") // from the first cut on, whatever is told of it
	cutting := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + codes[0], status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", status: 200, send: finishOf(cutting, codes[0])})
	s.workThrough(t, codes[1:2])
	page := s.visit(t, office, "/t/"+panel[1], 200, "End this panel", `name="billable" value="no"`)
	if strings.Contains(s.visit(t, stations.Bench, "/t/"+panel[1], 200), "End this panel") || !strings.Contains(page, `value="scrap"`) {
		t.Error("a bench is offered to end a panel")
	}
	if strings.Contains(page, "counts as cut") {
		t.Error("the cutting is done, and yet what is cut there isn't known")
	}
	form := url.Values{"code": {panel[1]}, "action": {"scrap"}, "key": {"page"}, "reason": {"spoilt"}, "billable": {"no"}, "back": {"ticket"}}
	if got := s.post(t, office, "/station/joining/scan", form, false); got.status != 303 && got.status != 200 {
		t.Errorf("by its page: %d %s", got.status, got.body)
	}
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + panel[1], status: 200, has: map[string]string{"state": "cancelled", "scrapped": "true", "billable": ""}})
	s.visit(t, office, "/orders/SMI-1", 200, "Close this order", "ended", "spoilt")
	if got := s.post(t, office, "/orders/SMI-1/close", url.Values{"reason": {" "}}, false); got.status != 422 {
		t.Errorf("closed for no reason: %d", got.status)
	}
	if got := s.post(t, office, "/orders/SMI-1/close", url.Values{"reason": {"the inn is sold"}}, false); got.status != 303 {
		t.Errorf("closed: %d %s", got.status, got.body)
	}
	s.visit(t, office, "/orders/SMI-1?did=closed", 200, "The order is closed", "the inn is sold")
	s.play(t, []scene{
		{name: "not twice", as: office, do: "POST /api/orders/SMI-1/close", send: fields{"reason": "sold"}, status: 409, code: "finished"},
		{name: "nor by a bench", as: stations.Bench, do: "POST /api/orders/SMI-1/close", send: fields{"reason": "sold"}, status: 403, code: "forbidden"},
		{name: "its state", as: office, do: "GET /api/orders/SMI-1", status: 200, has: map[string]string{"state": "finished", "tickets.4.scrapped": "true"}},
		{name: "issued", as: office, do: "POST /api/invoices/" + draft.at("draft") + "/issue", status: 200},
		{name: "all billed", as: office, do: "GET /api/orders/SMI-1", status: 200, has: map[string]string{"state": "invoiced"}},
	})
	s.visit(t, office, "/", 200)
	s.visit(t, office, "/board", 200)
	noDifference(t, s)
}
