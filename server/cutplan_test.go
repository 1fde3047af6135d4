package server

import (
	"strings"
	"testing"

	"tablehand/stations"
)

// ofReed is the example order without bolts of its own: its face is the shop's reed.
func ofReed(order string, more ...string) []string {
	return withoutBolts(order, append([]string{"  - id: reed\n", "  - id: reed\n    cloth: reed\n"}, more...)...)
}

// TestCutPlan: an order's cuts as they lie on the shelf, with what is proven, what is short, and what helps. The example's face is five cuts of
// 121½ in, 607½ together; 27 steps of ⅛ yd are one cut.
func TestCutPlan(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	first := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "607.5in", "place": "3B"})
	s.take(t, "SOON", ofReed("SOON", "due: 2026-12-18", "due: 2026-12-11")...)
	s.take(t, "SECOND", ofReed("SECOND")...)
	s.take(t, "LAST", ofReed("LAST", "due: 2026-12-18", "due: 2027-01-08")...)
	fits := map[string]string{"fabrics.#": "2", "fabrics.0.fabric": "reed", "fabrics.0.cloth": "reed", "fabrics.0.bolts.0.bolt": first, "fabrics.0.bolts.0.place": "3B",
		"fabrics.0.bolts.0.lot": "A", "fabrics.0.bolts.0.length": "607.5in", "fabrics.0.plan.placements.#": "5", "fabrics.0.plan.placements.4.to": "607.5in",
		"fabrics.0.plan.placements.0.bolt": first, "fabrics.0.plan.value": "1", "fabrics.0.plan.bound": "1", "fabrics.0.plan.optimal": "true", "fabrics.0.plan.proof": "weights",
		"fabrics.0.plan.lots.0.group": "Bay, left", "fabrics.0.ways.#": "0", "fabrics.1.fabric": "sateen", "fabrics.1.bolts.0.bolt": "S-SECOND", "fabrics.1.plan.optimal": "true"}
	s.play(t, []scene{
		{name: "it fits", as: stations.Office, do: "GET /api/orders/SECOND/cutplan", status: 200, has: fits},
		{name: "a bench may see it", as: stations.Bench, do: "GET /api/orders/SECOND/cutplan", status: 200, has: fits},
		{name: "a wall may not", as: stations.Screen, do: "GET /api/orders/SECOND/cutplan", status: 403, code: "forbidden"},
		{name: "no such order", as: stations.Office, do: "GET /api/orders/NONE/cutplan", status: 404, code: "not_found"},
		{name: "released", as: stations.Office, do: "POST /api/orders/LAST/release", status: 200},
		{name: "as its tickets have it", as: stations.Office, do: "GET /api/orders/LAST/cutplan", status: 200,
			has: map[string]string{"fabrics.0.plan.placements.#": "5", "fabrics.0.plan.placements.0.bolt": first, "fabrics.0.plan.optimal": "true", "fabrics.0.ways.#": "0"}},
		{name: "what was free is promised", as: stations.Office, do: "GET /api/orders/SECOND/cutplan", status: 200, has: map[string]string{
			"fabrics.0.plan.placements.#": "0", "fabrics.0.plan.unplaced.#": "5", "fabrics.0.plan.short": "607.5in", "fabrics.0.plan.short_bound": "607.5in",
			"fabrics.0.free": "0in", "fabrics.0.held": "0in", "fabrics.0.least": "607.5in", "fabrics.0.promised.0.order": "LAST", "fabrics.0.promised.0.due": "2027-01-08",
			"fabrics.0.promised.0.length": "607.5in", "fabrics.0.ways.#": "2", "fabrics.0.ways.0.way": "promised", "fabrics.0.ways.0.order": "LAST",
			"fabrics.0.ways.0.length": "607.5in", "fabrics.0.ways.0.short": "0in", "fabrics.0.ways.1.way": "buy", "fabrics.0.ways.1.length": "621in"}},
	})
	held := s.receiveBolt(t, fields{"cloth": "reed", "lot": "B", "length": "700in"})
	rest := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "550in"})
	s.play(t, []scene{
		{name: "a lot is in doubt", as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": held, "action": "hold_bolt", "reason": "shade", "lot": true, "key": "h"}, status: 200},
		{name: "nearly", as: stations.Office, do: "GET /api/orders/SECOND/cutplan", status: 200, has: map[string]string{
			"fabrics.0.plan.placements.#": "4", "fabrics.0.plan.short": "121.5in", "fabrics.0.free": "550in", "fabrics.0.held": "700in", "fabrics.0.least": "121.5in",
			"fabrics.0.ways.#": "4", "fabrics.0.ways.0.way": "held_lot", "fabrics.0.ways.0.lot": "B", "fabrics.0.ways.0.length": "700in", "fabrics.0.ways.0.short": "0in",
			"fabrics.0.ways.1.way": "promised", "fabrics.0.ways.2.way": "buy", "fabrics.0.ways.2.lot": "A", "fabrics.0.ways.2.length": "135in", // one cut, and a repeat
			"fabrics.0.ways.3.way": "buy", "fabrics.0.ways.3.length": "621in", "fabrics.0.ways.3.lot": ""}},
		{name: "told when it is taken", as: stations.Office, do: "POST /api/orders", send: example(t, "NEW", ofReed("NEW")...), status: 201, has: map[string]string{
			"problems.3.code": "fabric_short", "problems.3.free": "550in", "problems.3.held": "700in", "problems.3.least": "121.5in", "problems.3.promised.0.order": "LAST"}},
		{name: "and refused at the release", as: stations.Office, do: "POST /api/orders/SECOND/release", status: 409, code: "fabric_short",
			has: map[string]string{"where.bolts.#": "2", "where.least": "121.5in"}},
		{name: "the shop does with a smaller hem", as: stations.Office, do: "PUT /api/conventions", send: fields{"least_hem": "2in"}, status: 200},
		{name: "which is offered", as: stations.Office, do: "GET /api/orders/SECOND/cutplan", status: 200, has: map[string]string{
			"fabrics.0.ways.#": "5", "fabrics.0.ways.0.way": "hem", "fabrics.0.ways.0.value": "2.25in", "fabrics.0.ways.0.length": "2.25in", "fabrics.0.ways.0.short": "0in"}},
	})
	doubted := s.receiveBolt(t, fields{"cloth": "reed", "lot": "C", "length": "200in"})
	s.play(t, []scene{
		{name: "another lot is in doubt", as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": doubted, "action": "hold_bolt", "reason": "shade", "key": "h2"}, status: 200},
		{name: "each helps by itself, or not", as: stations.Office, do: "GET /api/orders/SECOND/cutplan", status: 200, has: map[string]string{
			"fabrics.0.held": "900in", "fabrics.0.ways.#": "5", "fabrics.0.ways.1.way": "held_lot", "fabrics.0.ways.1.lot": "B", "fabrics.0.ways.1.length": "700in"}},
		{name: "without the rest", as: stations.Office, do: "POST /api/orders/SECOND/cutplan", send: fields{"dry_run": true, "leave": []string{rest}}, status: 200,
			has: map[string]string{"fabrics.0.plan.unplaced.#": "5", "fabrics.0.ways.#": "0", "fabrics.1.plan.unplaced.#": "0"}},
		{name: "on the rest alone", as: stations.Bench, do: "POST /api/orders/SECOND/cutplan", send: fields{"dry_run": true, "keep": []string{rest}}, status: 200,
			has: map[string]string{"fabrics.0.plan.placements.#": "4", "fabrics.0.bolts.#": "1", "fabrics.1.plan.unplaced.#": "0"}},
		{name: "all that is wrong", as: stations.Office, do: "POST /api/orders/SECOND/cutplan",
			send: fields{"dry_run": false, "keep": []string{rest, "NONE"}, "leave": []string{held, rest}}, status: 422, has: map[string]string{"problems.#": "4",
				"problems.0.where": "keep[1]", "problems.0.code": "unknown_bolt", "problems.1.where": "leave[0]", "problems.1.code": "unknown_bolt",
				"problems.2.where": "leave[1]", "problems.2.code": "bad_value", "problems.3.where": "dry_run", "problems.3.code": "bad_value"}},
		{name: "a key that there isn't", as: stations.Office, do: "POST /api/orders/SECOND/cutplan", send: fields{"dry_run": true, "with": "x"}, status: 422, code: "bad_value"},
	})
	drawn := s.ask(t, scene{as: stations.Bench, do: "GET /api/orders/SECOND/cutplan.svg?fabric=reed", status: 200})
	for _, part := range []string{`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 550 `, `<g class="bolt" data-bolt="` + rest + `"`, `<rect class="cut" data-cut="4" x="364.5" `,
		`width="121.5"`, `<line class="repeat" x1="13.5"`} {
		if strings.Count(string(drawn.body), part) == 0 {
			t.Errorf("there is no %s in %s", part, drawn.body)
		}
	}
	s.ask(t, scene{name: "of no fabric", as: stations.Office, do: "GET /api/orders/SECOND/cutplan.svg?fabric=oat", status: 422, code: "bad_value"})
	s.promisedOnce(t)
	s.audited(t)
}

// TestCutPlanOfOwnBolts: an order that is cut from bolts of its own is planned on those, and told what helps; what is cut of it is no more to
// cut. Three cuts of 121½ in lie on either of two bolts of 12 yd.
func TestCutPlanOfOwnBolts(t *testing.T) {
	s := openShop(t)
	two := "      - {id: R1, length: 12 yd, lot: A}\n      - {id: R2, length: 12 yd, lot: B}\n"
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: example(t, "MIXED", r1, "    bolts:\n"+two), status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: example(t, "OWN", "{id: R1,", "{id: R9,", "{id: S1,", "{id: S9,"), status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: example(t, "BARE", r1, ""), status: 201})
	s.ask(t, scene{name: "of no bolts nothing is known", as: stations.Office, do: "GET /api/orders/BARE/cutplan", status: 200,
		has: map[string]string{"fabrics.0.fabric": "reed", "fabrics.0.plan": "", "fabrics.0.bolts.#": "0", "fabrics.0.ways.#": "0", "fabrics.1.plan.optimal": "true"}})
	s.play(t, []scene{
		{name: "two lots", as: stations.Office, do: "GET /api/orders/MIXED/cutplan", status: 200, has: map[string]string{
			"fabrics.0.cloth": "", "fabrics.0.plan.placements.#": "3", "fabrics.0.plan.short": "243in", "fabrics.0.ways.0.way": "mixed_lots",
			"fabrics.0.ways.0.windows.0": "Bay, left", "fabrics.0.ways.0.short": "0in", "fabrics.0.ways.1.way": "buy", "fabrics.0.ways.1.length": "256.5in",
			"fabrics.0.ways.2.length": "621in", "fabrics.0.free": "864in"}},
		{name: "told at its release", as: stations.Office, do: "POST /api/orders/MIXED/release", status: 409, code: "lots_mixed", has: map[string]string{"where.bolts.#": ""}},
		{name: "with one of them", as: stations.Office, do: "POST /api/orders/MIXED/cutplan", send: fields{"dry_run": true, "keep": []string{"R2"}}, status: 200,
			has: map[string]string{"fabrics.0.plan.placements.0.bolt": "R2", "fabrics.0.plan.placements.#": "3", "fabrics.0.bolts.#": "1"}},
		{name: "around its flaw", as: stations.Office, do: "GET /api/orders/OWN/cutplan", status: 200, has: map[string]string{
			"fabrics.0.plan.placements.#": "5", "fabrics.0.plan.optimal": "true", "fabrics.0.ways.#": "0", "fabrics.0.bolts.0.bolt": "R9"}},
		{name: "released", as: stations.Office, do: "POST /api/orders/OWN/release", status: 200},
	})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: twoWindows(t, "WHOLE", "conventions: {}", "conventions: {lot_group: order}"), status: 201})
	s.ask(t, scene{name: "an order of one lot", as: stations.Office, do: "GET /api/orders/WHOLE/cutplan", status: 200,
		has: map[string]string{"fabrics.0.plan.lots.#": "1", "fabrics.0.plan.lots.0.group": "WHOLE", "fabrics.0.plan.placements.#": "8"}})
	cutting := s.ticketOf(t, "OWN", "", "reed")
	s.play(t, []scene{
		{name: "begun", as: stations.Bench, do: "POST /api/scans", send: scanOf(cutting, "start", "cutting"), status: 200},
		{name: "a cut is made", as: stations.Bench, do: "POST /api/scans", send: fields{"ticket": cutting, "action": "cut", "cut": "1", "length": "121.5in", "key": "c1"}, status: 200},
		{name: "four are left", as: stations.Office, do: "GET /api/orders/OWN/cutplan", status: 200, has: map[string]string{
			"fabrics.0.plan.placements.#": "4", "fabrics.0.plan.placements.0.cut": "2", "fabrics.0.plan.unplaced.#": "0", "fabrics.0.ways.#": "0"}},
	})
	drawn := s.ask(t, scene{as: stations.Office, do: "GET /api/orders/OWN/cutplan.svg", status: 200})
	if flaws := strings.Count(string(drawn.body), `class="flaw"`); flaws != 1 { // what is cut is none
		t.Errorf("%d flaws are drawn: %s", flaws, drawn.body)
	}
}

// TestCutPlanOfABegunOrder: a window that is cut into goes on with its lot, so only cloth of that is to be bought: three cuts of 121½ in, and a
// repeat to place them.
func TestCutPlanOfABegunOrder(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "700in"})
	ticket := s.linked(t, "SOON")
	s.play(t, []scene{
		{name: "begun", as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200},
		s.told(bolt, "lay", "ticket", ticket),
		s.told(bolt, "cut", "cut", "1"),
		s.told(bolt, "flaw", "after", "1", "from", "0in", "to", "400in"),
	})
	s.receiveBolt(t, fields{"cloth": "reed", "lot": "B", "length": "600in"})
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders/SOON/cutplan", status: 200, has: map[string]string{"fabrics.0.plan.placements.#": "1",
		"fabrics.0.plan.short": "364.5in", "fabrics.0.ways.#": "1", "fabrics.0.ways.0.way": "buy", "fabrics.0.ways.0.lot": "A", "fabrics.0.ways.0.length": "378in"}})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/SOON/cutplan", send: fields{"dry_run": true}, status: 200, has: map[string]string{"fabrics.0.plan.placements.#": "1"}})
}

// TestPromisedCloth: what helps is cloth promised to an order that is due later, while nothing of it is begun; what an earlier one was promised
// is told, and stays its own.
func TestPromisedCloth(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	for range 2 {
		s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "607.5in"})
	}
	s.take(t, "SOON", ofReed("SOON", "due: 2026-12-18", "due: 2026-12-11")...)
	s.take(t, "LATE", ofReed("LATE", "due: 2026-12-18", "due: 2026-12-19")...)
	s.take(t, "MINE", ofReed("MINE")...)
	s.take(t, "NODATE", ofReed("NODATE", "due: 2026-12-18\n", "")...)
	both := map[string]string{"fabrics.0.promised.#": "2", "fabrics.0.promised.0.order": "SOON", "fabrics.0.promised.1.order": "LATE",
		"fabrics.0.ways.#": "2", "fabrics.0.ways.0.way": "promised", "fabrics.0.ways.0.order": "LATE", "fabrics.0.ways.0.due": "2026-12-19", "fabrics.0.ways.1.way": "buy"}
	bought := map[string]string{"fabrics.0.promised.#": "2", "fabrics.0.ways.#": "1", "fabrics.0.ways.0.way": "buy"}
	s.play(t, []scene{
		{as: stations.Office, do: "POST /api/orders/SOON/release", status: 200},
		{as: stations.Office, do: "POST /api/orders/LATE/release", status: 200},
		{name: "the later one's", as: stations.Office, do: "GET /api/orders/MINE/cutplan", status: 200, has: both},
		{name: "to none that has no date", as: stations.Office, do: "GET /api/orders/NODATE/cutplan", status: 200, has: bought},
	})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(s.ticketOf(t, "LATE", "", "reed"), "start", "cutting"), status: 200})
	s.ask(t, scene{name: "begun, it is its own", as: stations.Office, do: "GET /api/orders/MINE/cutplan", status: 200, has: bought})
}

// TestTodayOfTheShopsCloth: of the shop's cloth Today says how much is short, and leaves to the page of the order's cloth, which plans it, what to buy.
func TestTodayOfTheShopsCloth(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "550in"})
	s.take(t, "SOON", ofReed("SOON")...)
	today := s.visit(t, stations.Office, "/", 200, "4 of 5 cuts fit", " short", "/orders/SOON/cloth")
	if strings.Contains(today, "order one more cut") {
		t.Errorf("Today says what to buy: %s", today)
	}
}
