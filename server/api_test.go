package server

import (
	"fmt"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestOrders: taking orders in, what is wrong with them, and releasing them.
func TestOrders(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.play(t, []scene{
		{name: "empty shop", as: office, do: "GET /api/orders", status: 200, has: map[string]string{"orders.#": "0"}},
		{name: "taken", as: office, do: "POST /api/orders", send: orderFile(t, "SMI-1"), status: 201, has: map[string]string{"order": "SMI-1"}},
		{name: "twice", as: office, do: "POST /api/orders", send: orderFile(t, "SMI-1"), status: 409, code: "order_exists"},
		{name: "malformed", as: office, do: "POST /api/orders", send: "order: [", status: 422,
			has: map[string]string{"problems.#": "1", "problems.0.code": "syntax", "problems.0.severity": "error", "problems.0.line": "1"}},
		{name: "nothing", as: office, do: "POST /api/orders", send: "", status: 422},
		{name: "wrong in two places", as: office, do: "POST /api/orders", status: 422,
			send: orderFile(t, "SMI-2", "face_width: 84", "face_width: -84", "face: reed", "face: weed"),
			has:  map[string]string{"problems.#": "2"}},
		{name: "nothing of it stored", as: office, do: "GET /api/orders/SMI-2", status: 404, code: "not_found"},
		{name: "nor its work-up", as: office, do: "GET /api/orders/SMI-2/workup", status: 404, code: "not_found"},
		{name: "work-up", as: office, do: "GET /api/orders/SMI-1/workup", status: 200, has: map[string]string{"order": "SMI-1"}},
		{name: "work-up explained how", as: office, do: "GET /api/orders/SMI-1/workup?explain=perhaps", status: 422, code: "bad_value"},
		{name: "revised", as: office, do: "PUT /api/orders/SMI-1", send: orderFile(t, "SMI-1"), status: 200,
			has: map[string]string{"order": "SMI-1", "revision": "2", "changed.#": "0"}},
		{name: "released with an unknown key", as: office, do: "POST /api/orders/SMI-1/release", send: fields{"overide": true},
			status: 422, code: "bad_value", has: map[string]string{"field": "overide"}},
		{name: "overridden without a reason", as: office, do: "POST /api/orders/SMI-1/release", send: fields{"override": true},
			status: 422, code: "missing_key", has: map[string]string{"field": "reason"}},
		{name: "released", as: office, do: "POST /api/orders/SMI-1/release", send: fields{}, status: 200,
			has: map[string]string{"state": "released", "revision": "2", "tickets.#": "4"}},
		{name: "released again", as: office, do: "POST /api/orders/SMI-1/release", send: fields{}, status: 409, code: "already_released"},
		{name: "on the board", as: stations.Screen, do: "GET /api/board", status: 200, has: map[string]string{"seq": "3"}},
		{name: "cancelled for no reason", as: office, do: "POST /api/orders/SMI-1/cancel", send: fields{"reason": " "}, status: 422, code: "missing_key"},
		{name: "cancelled", as: office, do: "POST /api/orders/SMI-1/cancel", send: fields{"reason": "house sold"}, status: 200,
			has: map[string]string{"state": "cancelled"}},
	})
}

// TestNobodysOrder: an order without a customer is taken with a warning at the key, isn't released, and its pages lead
// to the field that mends it.
func TestNobodysOrder(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	left, empty := orderFile(t, "SMI-1", "customer: Saltmarsh Inn\n", ""), orderFile(t, "SMI-1", "customer: Saltmarsh Inn", `customer: " "`)
	s.play(t, []scene{
		{name: "left out", as: office, do: "POST /api/orders", send: left, status: 201, has: map[string]string{
			"problems.0.severity": "warning", "problems.0.code": "customer_missing", "problems.0.where": "customer", "problems.0.line": "1"}},
		{name: "empty", as: office, do: "PUT /api/orders/SMI-1", send: empty, status: 200, has: map[string]string{
			"problems.0.code": "customer_missing", "problems.0.line": "2", "problems.0.column": "11"}},
		{name: "not released", as: office, do: "POST /api/orders/SMI-1/release", send: fields{}, status: 409, code: "customer_missing",
			has: map[string]string{"field": "customer", "where.key": "customer"}},
		{name: "nor with a reason", as: office, do: "POST /api/orders/SMI-1/release", send: fields{"override": true, "reason": "a friend"},
			status: 409, code: "customer_missing"},
	})
	lead := `href="/orders/SMI-1/edit#f-customer"`
	s.visit(t, office, "/orders/SMI-1", 200, lead, "The order names no customer")
	s.visit(t, office, "/", 200, lead)
	s.visit(t, office, "/orders/SMI-1/edit", 200, `id="f-customer-told"`)
	s.play(t, []scene{
		{name: "named", as: office, do: "PUT /api/orders/SMI-1", send: orderFile(t, "SMI-1"), status: 200, has: map[string]string{"problems.0.severity": "note"}},
		{name: "released", as: office, do: "POST /api/orders/SMI-1/release", send: fields{}, status: 200},
		{name: "the name taken off", as: office, do: "PUT /api/orders/SMI-1", send: left, status: 409, code: "customer_missing"},
	})
}

// TestCloth: short cloth and mixed lots are taken with a warning and hold the release back until the office overrides;
// a window that can't be made isn't taken.
func TestCloth(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	short := orderFile(t, "SHORT", "length: 40 yd", "length: 12 yd")
	mixed := orderFile(t, "MIXED", "{id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}",
		"{id: R1, length: 8 yd, lot: A}\n      - {id: R2, length: 12 yd, lot: B}")
	override := fields{"override": true, "reason": "the rest comes on Tuesday"}
	s.play(t, []scene{
		{name: "tubes that collide", as: office, do: "POST /api/orders", send: orderFile(t, "TIGHT", "space: 2 1/2", "space: 1"), status: 422},
		{name: "nothing of it stored", as: office, do: "GET /api/orders", status: 200, has: map[string]string{"orders.#": "0"}},
		{name: "short", as: office, do: "POST /api/orders", send: short, status: 201},
		{name: "short held back", as: office, do: "POST /api/orders/SHORT/release", status: 409, code: "fabric_short"},
		{name: "short overridden", as: office, do: "POST /api/orders/SHORT/release", send: override, status: 200,
			has: map[string]string{"state": "released"}},
		{name: "mixed", as: office, do: "POST /api/orders", send: mixed, status: 201},
		{name: "mixed held back", as: office, do: "POST /api/orders/MIXED/release", send: fields{}, status: 409, code: "lots_mixed"},
		{name: "mixed overridden", as: stations.Program, do: "POST /api/orders/MIXED/release", send: override, status: 200},
	})
}

// workThrough takes a released order's tickets through every station and returns its panels' codes.
func (s *shop) workThrough(t testing.TB, codes []string) (panels []string) {
	t.Helper()
	for _, code := range codes {
		if s.Store.Floor().Ticket(plan.Code(code)).Spec.Kind == plan.PanelTicket {
			panels = append(panels, code)
		}
		for {
			step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + code, status: 200})
			station := step.at("step.station")
			if station == "" {
				break
			}
			s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "scan", station), status: 200})
			s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(step, code), status: 200})
		}
	}
	return panels
}

// finishOf returns the finish of a ticket's step with every target sent back, changed by pairs of name and value.
func finishOf(step answer, code string, changed ...string) fields {
	measured, checks := map[string]string{}, []string{}
	for i := 0; step.at(fmt.Sprintf("step.enter.%d.name", i)) != ""; i++ {
		at := fmt.Sprintf("step.enter.%d.", i)
		measured[step.at(at+"name")] = step.at(at + "target")
	}
	for i := 0; step.at(fmt.Sprintf("step.checks.%d.name", i)) != ""; i++ {
		checks = append(checks, step.at(fmt.Sprintf("step.checks.%d.name", i)))
	}
	for i := 0; i+1 < len(changed); i += 2 {
		measured[changed[i]] = changed[i+1]
	}
	return scanOf(code, "finish", step.at("step.station"), "measured", measured, "checks", checks)
}

// TestScans: answers, repeats, and what of a body is refused before the floor is asked.
func TestScans(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	reed, sateen, panel := codes[0], codes[1], codes[2]
	post := func(body any, status int, code string, has map[string]string) answer {
		t.Helper()
		return s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: body, status: status, code: code, has: has})
	}
	for _, odd := range []struct {
		name   string
		body   any
		status int
		code   string
		field  string
	}{
		{"no ticket", scanOf("", "start", "cutting"), 422, "missing_key", "ticket"},
		{"no action", scanOf(reed, "", "cutting"), 422, "missing_key", "action"},
		{"no key", scanOf(reed, "start", "cutting", "key", ""), 422, "missing_key", "key"},
		{"a key of 65", scanOf(reed, "start", "cutting", "key", strings.Repeat("é", 65)), 422, "bad_value", "key"},
		{"no station", scanOf(reed, "start", ""), 422, "missing_key", "station"},
		{"an unknown key", scanOf(reed, "start", "cutting", "colour", "red"), 422, "bad_value", "colour"},
		{"a number for a ticket", scanOf(reed, "start", "cutting", "ticket", 7), 422, "bad_value", "ticket"},
		{"an unknown action", scanOf(reed, "fly", "cutting"), 422, "bad_value", "action"},
		{"an action of the office's", scanOf(reed, "issue", "cutting"), 422, "bad_value", "action"},
		{"a remake of a cutting", scanOf(reed, "remake", "cutting", "reason", "torn"), 403, "forbidden", ""},
		{"an override of a start", scanOf(reed, "start", "cutting", "override", true), 422, "bad_value", "override"},
		{"one wrong symbol", scanOf(wrongSymbol(reed), "start", "cutting"), 422, "bad_code", "ticket"},
		{"a code of nobody's", scanOf(string(plan.NewCode(7)), "start", "cutting"), 404, "unknown_ticket", "ticket"},
		{"half a text", `{"ticket":`, 422, "bad_value", "body"},
		{"two texts", `{} {}`, 422, "bad_value", "body"},
		{"nothing", "", 422, "bad_value", "body"},
		{"wrong station", scanOf(reed, "start", "joining"), 409, "wrong_station", "station"},
	} {
		t.Run(odd.name, func(t *testing.T) { post(odd.body, odd.status, odd.code, map[string]string{"field": odd.field}) })
	}

	start := scanOf("http://shop.test:8080/t/"+strings.ToLower(reed), "start", "cutting")
	first := post(start, 200, "", map[string]string{"ticket": reed, "station": "cutting", "state": "at_work", "next": ""})
	post(scanOf(reed, "hold", "", "reason", "lunch"), 200, "", map[string]string{"state": "held"})
	if again := post(start, 200, "", nil); string(again.body) != string(first.body) {
		t.Errorf("sent again: %s, first %s", again.body, first.body)
	}
	start["person"] = "Ana"
	post(start, 409, "key_reused", nil)
	post(scanOf(reed, "resume", ""), 200, "", map[string]string{"state": "at_work"})

	s.workThrough(t, []string{sateen})
	post(scanOf(panel, "start", "cutting"), 409, "cut_by_fabric", map[string]string{"where.tickets.#": "2", "where.tickets.0": reed})
	missing := post(scanOf(reed, "finish", "cutting"), 422, "entries_missing", nil)
	if missing.at("missing.0") == "" {
		t.Errorf("entries_missing names none: %s", missing.body)
	}
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + reed, status: 200})
	post(finishOf(step, reed), 200, "", map[string]string{"also.#": "2", "also.0.station": "joining", "also.0.state": "ready"})

	post(scanOf(panel, "scan", "joining"), 200, "", map[string]string{"state": "at_work"})
	step = s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + panel, status: 200})
	off := finishOf(step, panel, "flat_width", "130in")
	held := post(off, 200, "", map[string]string{"state": "held", "next": "", "problems.#": "1", "problems.0.code": "out_of_tolerance",
		"problems.0.where": "measured.flat_width"})
	s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(panel, "accept", "", "reason", "window out of square"),
		status: 200, has: map[string]string{"state": "finished", "next": "fold"}})
	if again := post(off, 200, "", nil); string(again.body) != string(held.body) {
		t.Errorf("sent again: %s, first %s", again.body, held.body)
	}
}

// wrongSymbol changes the third symbol of a code.
func wrongSymbol(code string) string {
	if code[2] == '7' {
		return code[:2] + "8" + code[3:]
	}
	return code[:2] + "7" + code[3:]
}

// TestMoney: prices, finished panels, drafts and an issued invoice.
func TestMoney(t *testing.T) {
	s := openShop(t)
	panels := s.workThrough(t, s.release(t, "SMI-1"))
	office := stations.Office
	prices := fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}
	draft := scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": panels}, status: 201}
	s.play(t, []scene{
		{name: "no prices yet", as: office, do: "GET /api/prices", status: 200, has: map[string]string{"currency": "", "rows.#": "0"}},
		{name: "ready without a price", as: office, do: "GET /api/ready", status: 200,
			has: map[string]string{"customers.#": "1", "customers.0.panels.#": "2", "customers.0.panels.0.price": ""}},
		{name: "every fault of a list at once", as: office, do: "PUT /api/prices", status: 422,
			send: fields{"currency": "dollars", "rows": []fields{{"heading": "", "panel": "x", "width": "-1"}}},
			has:  map[string]string{"problems.#": "4"}},
		{name: "more decimals than yen have", as: office, do: "PUT /api/prices", status: 422,
			send: fields{"currency": "JPY", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.50", "width": "18"}}},
			has:  map[string]string{"problems.#": "1", "problems.0.where": "rows[0].panel"}},
		{name: "amounts as numbers", as: office, do: "PUT /api/prices", status: 422, code: "bad_value",
			send: fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": 40, "width": "18.00"}}}},
		{name: "still none", as: office, do: "GET /api/prices", status: 200, has: map[string]string{"rows.#": "0"}},
		{name: "an invoice of nothing", as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{}},
			status: 422, code: "missing_key", has: map[string]string{"field": "panels"}},
		{name: "an invoice of what isn't there", as: office, do: "POST /api/invoices",
			send: fields{"customer": "Saltmarsh Inn", "panels": []string{string(plan.NewCode(9))}}, status: 404, code: "unknown_ticket"},
	})

	unpriced := s.ask(t, draft)
	if unpriced.at("problems.#") != "2" || unpriced.at("problems.0.code") != "price_missing" || unpriced.at("lines.0.amount") != "" {
		t.Errorf("a draft without prices: %s", unpriced.body)
	}
	at := "/api/invoices/" + unpriced.at("draft")
	s.play(t, []scene{
		{name: "not ready any more", as: office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "0"}},
		{name: "twice", as: office, do: draft.do, send: draft.send, status: 409, code: "already_invoiced"},
		{name: "not issued", as: office, do: "POST " + at + "/issue", send: fields{}, status: 409, code: "price_missing"},
		{name: "dropped", as: office, do: "DELETE " + at, status: 204},
		{name: "gone", as: office, do: "GET " + at, status: 404, code: "not_found"},
		{name: "prices", as: office, do: "PUT /api/prices", send: prices, status: 200, has: map[string]string{"rows.0.panel": "40.00"}},
		{name: "ready again", as: office, do: "GET /api/ready", status: 200,
			has: map[string]string{"customers.0.customer": "Saltmarsh Inn", "customers.0.panels.0.price.amount": "85.00"}},
	})

	priced := s.ask(t, draft)
	at = "/api/invoices/" + priced.at("draft")
	s.play(t, []scene{
		{name: "draft", as: office, do: "GET " + at, status: 200,
			has: map[string]string{"state": "draft", "number": "", "lines.#": "2", "lines.1.amount.amount": "85.00", "total.amount": "170.00", "problems.#": "0"}},
		{name: "draft on paper", as: office, do: "GET " + at + ".pdf", status: 200},
	})
	issued := s.ask(t, scene{as: office, do: "POST " + at + "/issue", send: fields{}, status: 200,
		has: map[string]string{"state": "issued", "total.amount": "170.00", "total.currency": "USD"}})
	number := "/api/invoices/" + issued.at("number")
	s.play(t, []scene{
		{name: "by number", as: office, do: "GET " + number, status: 200, has: map[string]string{"state": "issued", "number": issued.at("number")}},
		{name: "on paper", as: office, do: "GET " + number + ".pdf", status: 200},
		{name: "issued twice", as: office, do: "POST " + at + "/issue", send: fields{}, status: 409, code: "already_issued"},
		{name: "dropped too late", as: office, do: "DELETE " + number, status: 409, code: "already_issued"},
		{name: "the order is invoiced", as: office, do: "GET /api/orders/SMI-1", status: 200, has: map[string]string{"state": "invoiced"}},
	})
}
