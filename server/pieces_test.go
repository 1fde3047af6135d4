package server

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
)

// cushionOrder has three kinds of pieces and no window. Two cushions of 22 × 20 × 3 with a welt of 1 1/2 are cut from plain canvas of 54 with
// seams of 1/2: four faces of 23 × 21, two boxings of 85 × 4, four welt strips of 84 × 1 1/2. The first row has both boxings, the welts and a face
// (8 + 6 + 21 = 35 across) and is 85 long; the next has two faces, the last one, both 23. A valance of 60 × 14 at a fullness of 2 takes
// 120 + 6 for the side hems: three widths, each 14 + 8 + 8 = 30. That is 1 × 85 + 2 × 23 + 3 × 30 = 221 in: 50 eighths of a yard, 6.25 yd.
const cushionOrder = `
order: CUSH-1
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - {id: canvas, usable_width: 54, use: face, bolts: [{id: C1, length: 12 yd, lot: A}]}
pieces:
  - {piece: cushion, text: Bench seat, quantity: 2, sizes: {width: 22, depth: 20, thickness: 3, welt: 1 1/2}, notes: Zip at the back}
  - {piece: valance, text: Kitchen valance, sizes: {width: 60, drop: 14, fullness: 2}, fabrics: [{fabric: canvas}]}
  - {piece: repair, text: Torn hem, route: [outside, sewing, packing], outside: {who: Marsh Upholstery, back: 2026-12-10}, sizes: {tear: 9}}
`

// pieceCodes are the tickets of an order by what they are: "Bench seat 2", "canvas".
func (s *shop) pieceCodes(t *testing.T, order string) map[string]string {
	t.Helper()
	got := s.ask(t, scene{as: stations.Office, do: "GET /api/orders/" + order, status: 200})
	codes := map[string]string{}
	for i := 0; got.at(fmt.Sprintf("tickets.%d.ticket", i)) != ""; i++ {
		at := func(key string) string { return got.at(fmt.Sprintf("tickets.%d.%s", i, key)) }
		if at("state") == "cancelled" {
			continue
		}
		codes[strings.TrimSpace(at("fabric")+at("window")+at("panel")+at("text")+" "+at("copy"))] = at("ticket")
	}
	return codes
}

// pass starts and finishes the present step of a ticket.
func (s *shop) pass(t *testing.T, code string) {
	t.Helper()
	got := s.ask(t, scene{as: stations.Office, do: "GET /api/tickets/" + code, status: 200})
	at := got.at("station")
	var checks []string
	for i := 0; got.at(fmt.Sprintf("step.checks.%d.name", i)) != ""; i++ {
		checks = append(checks, got.at(fmt.Sprintf("step.checks.%d.name", i)))
	}
	measured := fields{}
	for i := 0; got.at(fmt.Sprintf("step.enter.%d.name", i)) != ""; i++ {
		measured[got.at(fmt.Sprintf("step.enter.%d.name", i))] = got.at(fmt.Sprintf("step.enter.%d.target", i))
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(code, "start", at), status: 200})
	s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(code, "finish", at, "checks", checks, "measured", measured), status: 200})
}

// TestPieces takes cushions, a valance and a repair from the order file to the invoice and its credit note.
func TestPieces(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "POST /api/orders", send: cushionOrder, status: 201, has: map[string]string{"problems.#": "0"}})
	s.ask(t, scene{as: office, do: "GET /api/orders/CUSH-1/workup", status: 200, has: map[string]string{
		"pieces.#": "3", "treatments.#": "0", "pieces.0.piece": "cushion", "pieces.0.text": "Bench seat", "pieces.0.quantity": "2",
		"pieces.0.fabrics.0.cuts": "1", "pieces.0.fabrics.0.cut_length": "85in", "pieces.0.fabrics.1.cuts": "2", "pieces.0.fabrics.1.cut_length": "23in",
		"pieces.1.fabrics.0.cuts": "3", "pieces.1.fabrics.0.cut_length": "30in", "pieces.2.fabrics.#": "0",
		"totals.fabrics.0.cuts": "6", "totals.fabrics.0.length": "221in", "totals.fabrics.0.to_order": "6.25yd", "totals.fabrics.0.on_bolts": "432in"}})
	s.visit(t, office, "/orders/CUSH-1", 200, "Bench seat", "Cushion", "Kitchen valance", "Torn hem", "Marsh Upholstery", "tear", "Zip at the back")
	s.ask(t, scene{as: office, do: "POST /api/orders/CUSH-1/release", send: fields{}, status: 200, has: map[string]string{"tickets.#": "5",
		"tickets.0.kind": "cutting", "tickets.1.kind": "piece", "tickets.1.piece": "cushion", "tickets.1.text": "Bench seat", "tickets.1.copy": "1", "tickets.1.window": "",
		"tickets.1.station": "cutting", "tickets.1.state": "waiting", "tickets.2.copy": "2", "tickets.4.station": "outside", "tickets.4.state": "ready"}})
	codes := s.pieceCodes(t, "CUSH-1")
	canvas, one, two, valance, repair := codes["canvas"], codes["Bench seat 1"], codes["Bench seat 2"], codes["Kitchen valance 1"], codes["Torn hem 1"]
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + canvas, status: 200, has: map[string]string{"cuts.#": "6", "cuts.0.bolt": "C1", "cuts.0.for.0.window": "Bench seat"}})
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + repair, status: 200, has: map[string]string{"route.#": "3", "outside.who": "Marsh Upholstery", "outside.back": "2026-12-10",
		"step.values.0.name": "size_tear", "step.values.0.label": "tear", "step.values.0.value": "9in"}})
	for _, path := range []string{"/board", "/orders/CUSH-1", "/t/" + one, "/t/" + repair, "/t/" + canvas, "/station/cutting", "/station/outside", "/search?q=Bench", "/screen"} {
		page := s.visit(t, office, path, 200)
		if strings.Contains(page, "⟨") {
			t.Errorf("%s says a key that no catalogue has: %s", path, page[strings.Index(page, "⟨"):][:80])
		}
	}
	s.visit(t, office, "/t/"+repair, 200, "Torn hem", "Repair", "Marsh Upholstery")
	s.visit(t, office, "/search?q=Bench", 200, "/t/"+one)
	for _, file := range []string{"tickets.pdf", "tags.pdf", "packet.pdf", "tickets.pdf?paper=a4"} {
		s.ask(t, scene{as: office, do: "GET /api/orders/CUSH-1/" + file, status: 200})
	}

	s.play(t, []scene{
		{name: "cut by its fabric", as: office, do: "POST /api/scans", send: scanOf(one, "start", "cutting"), status: 409, code: "cut_by_fabric"},
		{name: "not cut at all", as: office, do: "POST /api/scans", send: scanOf(repair, "start", "cutting"), status: 409, code: "wrong_station"},
		{name: "not its turn", as: office, do: "POST /api/scans", send: scanOf(repair, "start", "sewing"), status: 409, code: "not_ready"},
		{name: "goes out", as: office, do: "POST /api/scans", send: scanOf(repair, "start", "outside"), status: 200},
		{name: "taken back", as: office, do: "POST /api/scans", send: fields{"ticket": repair, "action": "undo", "key": "u"}, status: 200, has: map[string]string{"state": "ready"}},
		{name: "held", as: office, do: "POST /api/scans", send: fields{"ticket": repair, "action": "hold", "key": "h", "reason": "asked the client"}, status: 200},
		{name: "goes on", as: office, do: "POST /api/scans", send: fields{"ticket": repair, "action": "resume", "key": "r"}, status: 200, has: map[string]string{"state": "ready"}},
	})
	s.pass(t, canvas)
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + two, status: 200, has: map[string]string{"station": "sewing", "state": "ready"}})
	for _, code := range []string{one, two, valance} {
		s.pass(t, code) // sewn
		s.pass(t, code) // packed
	}
	for range 3 {
		s.pass(t, repair)
	}
	s.ask(t, scene{as: office, do: "GET /api/orders/CUSH-1", status: 200, has: map[string]string{"state": "finished"}})

	prices := fields{"currency": "USD", "rows": []fields{{"piece": "cushion", "each": "48.00"}, {"piece": "valance", "each": "30.00"}}}
	s.ask(t, scene{as: office, do: "PUT /api/prices", send: prices, status: 200, has: map[string]string{"rows.0.piece": "cushion", "rows.0.each": "48.00", "rows.0.heading": ""}})
	s.ask(t, scene{as: office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.0.panels.#": "4", "customers.0.panels.0.text": "Bench seat",
		"customers.0.panels.0.price.amount": "48.00", "customers.0.panels.3.piece": "repair", "customers.0.panels.3.price": ""}})
	s.visit(t, office, "/ready", 200, "Bench seat", "Torn hem")
	draft := s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{one, two, valance, repair}}, status: 201,
		has: map[string]string{"lines.#": "4", "lines.0.amount.amount": "48.00", "lines.3.amount": "", "problems.0.code": "price_missing", "total.amount": "126.00"}}).at("draft")
	s.ask(t, scene{as: office, do: "POST /api/invoices/" + draft + "/issue", status: 409, code: "price_missing"})
	s.play(t, []scene{
		{name: "not by a bench", as: stations.Bench, do: "POST /api/invoices/" + draft + "/amounts", send: fields{"amounts": fields{repair: "15.50"}}, status: 403, code: "forbidden"},
		{name: "no amount", as: office, do: "POST /api/invoices/" + draft + "/amounts", send: fields{"amounts": fields{repair: "much"}}, status: 422, code: "bad_value"},
		{name: "typed", as: office, do: "POST /api/invoices/" + draft + "/amounts", send: fields{"amounts": fields{repair: "15.50"}}, status: 200,
			has: map[string]string{"lines.3.amount.amount": "15.50", "lines.3.typed": "true", "total.amount": "141.50", "problems.#": "0"}},
		{name: "the list changes", as: office, do: "PUT /api/prices", send: prices, status: 200},
		{name: "stays", as: office, do: "GET /api/invoices/" + draft, status: 200, has: map[string]string{"total.amount": "141.50"}},
	})
	s.visit(t, office, "/invoices/"+draft, 200, "Bench seat", "2 pieces", "Torn hem", `value="15.50"`)
	if got := s.post(t, office, "/invoices/"+draft+"/amounts", url.Values{"ticket": {repair}, "amount": {"16.00"}}, false); got.status != 303 {
		t.Errorf("typed on the page: %d", got.status)
	}
	number := s.ask(t, scene{as: office, do: "POST /api/invoices/" + draft + "/issue", status: 200, has: map[string]string{"total.amount": "142.00"}}).at("number")
	s.ask(t, scene{as: office, do: "GET /api/invoices/" + number + ".pdf", status: 200})
	s.ask(t, scene{as: office, do: "GET /api/orders/CUSH-1", status: 200, has: map[string]string{"state": "invoiced"}})
	credit := s.ask(t, scene{as: office, do: "POST /api/invoices/" + number + "/credit", send: fields{"whole": true, "frees": true, "reason": "wrong cloth"}, status: 201,
		has: map[string]string{"total.amount": "142.00"}}).at("draft")
	s.ask(t, scene{as: office, do: "POST /api/invoices/" + credit + "/issue", status: 200})
	s.ask(t, scene{as: office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.0.panels.#": "4"}})
	s.audited(t)
}

// TestRevisePieces: a newer file adds a piece, changes one, sends one another way and drops one, as far as work allows; a piece keeps
// its code.
func TestRevisePieces(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "POST /api/orders", send: cushionOrder, status: 201})
	s.ask(t, scene{as: office, do: "POST /api/orders/CUSH-1/release", send: fields{}, status: 200})
	was := s.pieceCodes(t, "CUSH-1")
	revise := func(changes ...string) answer {
		t.Helper()
		return s.ask(t, scene{as: office, do: "PUT /api/orders/CUSH-1", send: strings.NewReplacer(changes...).Replace(cushionOrder), status: 200})
	}
	at := func(code, station, state string) {
		t.Helper()
		s.ask(t, scene{as: office, do: "GET /api/tickets/" + code, status: 200, has: map[string]string{"station": station, "state": state}})
	}

	// Nothing is begun: a deeper cushion, a repair that stays in the house, held meanwhile, and a tieback more.
	s.ask(t, scene{as: office, do: "POST /api/scans", send: fields{"ticket": was["Torn hem 1"], "action": "hold", "key": "h", "reason": "asked the client"}, status: 200})
	deeper := []string{"depth: 20", "depth: 22", "route: [outside, sewing, packing]", "route: [sewing, packing]",
		"sizes: {tear: 9}}", "sizes: {tear: 9}}\n  - {piece: tieback, text: Rope, fabrics: [{fabric: canvas, cuts: 1, cut_length: 9}]}"}
	got := revise(deeper...)
	if told, values, kept := toldOf(got, was["Bench seat 1"]); !told || kept || !strings.Contains(values, "size_depth") {
		t.Errorf("the cushion: %v %s %v", told, values, kept)
	}
	is := s.pieceCodes(t, "CUSH-1")
	for name, code := range was {
		if is[name] != code {
			t.Errorf("%s was %s and is %s", name, code, is[name])
		}
	}
	at(is["Torn hem 1"], "sewing", "held")
	s.ask(t, scene{as: office, do: "POST /api/scans", send: fields{"ticket": is["Torn hem 1"], "action": "resume", "key": "r"}, status: 200, has: map[string]string{"state": "ready"}})
	at(is["Rope 1"], "cutting", "waiting")
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + is["Bench seat 1"], status: 200, has: map[string]string{"step.values.1.name": "size_depth", "step.values.1.value": "22in"}})
	s.audited(t)

	// The cloth is cut. A cushion less is kept and flagged; a repair that is begun keeps its way; a valance that isn't begun
	// takes its notes.
	s.pass(t, is["canvas"])
	s.ask(t, scene{as: office, do: "POST /api/scans", send: scanOf(is["Torn hem 1"], "start", "sewing"), status: 200})
	got = revise(append([]string{"quantity: 2", "quantity: 1", "fabrics: [{fabric: canvas}]}", "fabrics: [{fabric: canvas}], notes: Lined by hand}"}, "depth: 20", "depth: 22")...)
	if told, values, kept := toldOf(got, is["Bench seat 2"]); !told || !kept || values != "[quantity]" {
		t.Errorf("one cushion less: %v %s %v", told, values, kept)
	}
	if told, _, kept := toldOf(got, is["Torn hem 1"]); told && !kept {
		t.Errorf("the repair: %v %v", told, kept)
	}
	at(is["Torn hem 1"], "sewing", "at_work")
	at(is["Kitchen valance 1"], "sewing", "ready")
	s.audited(t)

	// A repair that is begun and no longer wanted stays, and the order can be closed; it can't be cancelled any more.
	s.ask(t, scene{as: office, do: "POST /api/orders/CUSH-1/cancel", send: fields{"reason": "sold"}, status: 409, code: "already_cut"})
	s.visit(t, office, "/orders/CUSH-1", 200, "Lined by hand")
	s.ask(t, scene{as: office, do: "POST /api/scans", send: fields{"ticket": is["Torn hem 1"], "action": "scrap", "key": "s", "reason": "torn further", "billable": false}, status: 200})
	s.ask(t, scene{as: office, do: "POST /api/orders/CUSH-1/close", send: fields{"reason": "sold"}, status: 200})
	s.audited(t)
}

// TestPiecesAnotherWay: cloth that a piece gets before its release, and after it, sends it by the cutting table; a station that its way has
// instead of another is where it is ready.
func TestPiecesAnotherWay(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "POST /api/orders", send: cushionOrder, status: 201})
	s.ask(t, scene{as: office, do: "POST /api/orders/CUSH-1/release", send: fields{}, status: 200})
	codes := s.pieceCodes(t, "CUSH-1")
	repair := codes["Torn hem 1"]
	const way, cut = "route: [outside, sewing, packing]", "route: [cutting, outside, packing], fabrics: [{fabric: canvas, cuts: 1, cut_length: 12}]"
	for i, c := range []struct{ way, station, state string }{
		{"route: [sewing, packing]", "sewing", "ready"}, {cut, "cutting", "waiting"}, {way, "outside", "ready"}, {cut, "cutting", "waiting"},
	} {
		s.ask(t, scene{as: office, do: "PUT /api/orders/CUSH-1", send: strings.Replace(cushionOrder, way, c.way, 1), status: 200})
		s.ask(t, scene{as: office, do: "GET /api/tickets/" + repair, status: 200, has: map[string]string{"station": c.station, "state": c.state}})
		if s.audited(t); t.Failed() {
			t.Fatal("at change ", i)
		}
	}
	s.pass(t, codes["canvas"])
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + repair, status: 200, has: map[string]string{"station": "outside", "state": "ready"}})
	s.ask(t, scene{as: office, do: "PUT /api/orders/CUSH-1", send: strings.Replace(cushionOrder, way, strings.Replace(cut, "outside", "sewing", 1), 1), status: 200})
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + repair, status: 200, has: map[string]string{"station": "sewing", "state": "ready"}})
	s.audited(t)
}

// TestPiecesBesideWindows: an order with both cuts them from one cloth, on one ticket.
func TestPiecesBesideWindows(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	file := orderFile(t, "SMI-1") + "pieces:\n  - {piece: cushion, text: Seat, sizes: {width: 22, depth: 20}, fabrics: [{fabric: reed}]}\n"
	s.ask(t, scene{as: office, do: "POST /api/orders", send: file, status: 201})
	s.ask(t, scene{as: office, do: "POST /api/orders/SMI-1/release", send: fields{}, status: 200, has: map[string]string{"tickets.#": "5"}})
	codes := s.pieceCodes(t, "SMI-1")
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + codes["reed"], status: 200, has: map[string]string{"cuts.#": "6"}})
	s.pass(t, codes["reed"])
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + codes["Seat 1"], status: 200, has: map[string]string{"station": "sewing", "state": "ready"}})
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + codes["Bay, leftL 1"], status: 200, has: map[string]string{"station": "cutting", "state": "waiting"}})
	s.audited(t)
}

// TestNoPiecesNoStation: a shop without pieces sees nothing of their stations on its board and its wall.
func TestNoPiecesNoStation(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	for _, path := range []string{"/board", "/screen", "/orders/SMI-1"} {
		if page := s.visit(t, stations.Office, path, 200); strings.Contains(page, "mark-sewing") || strings.Contains(page, "mark-outside") {
			t.Errorf("%s has a station of pieces", path)
		}
	}
}
