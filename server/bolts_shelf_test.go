package server

import (
	"strings"
	"testing"
	"time"

	"tablehand/engine/measure"
	"tablehand/stations"
)

// withCloths opens a shop whose book has a cloth sold by the yard and one by the metre.
func withCloths(t *testing.T) *shop {
	t.Helper()
	s := openShop(t)
	s.play(t, []scene{
		{name: "a cloth", as: stations.Office, do: "PUT /api/cloths/reed-oat", send: fields{"name": "Reed, oat", "sold_by": "yd", "usable_width": "54in"}, status: 201},
		{name: "another", as: stations.Office, do: "PUT /api/cloths/marsh-grey", send: fields{"name": "Marsh, grey", "sold_by": "m"}, status: 201},
	})
	return s
}

// received takes in a bolt and returns its code.
func (s *shop) receiveBolt(t *testing.T, body fields) string {
	t.Helper()
	return s.ask(t, scene{as: stations.Office, do: "POST /api/bolts", send: body, status: 201, has: map[string]string{"bolts.#": "1"}}).at("bolts.0")
}

// TestBoltsOverHTTP takes a bolt in, inspects it, keeps it, holds its lot, scraps it, and reads it at each turn.
func TestBoltsOverHTTP(t *testing.T) {
	s := withCloths(t)
	come := fields{"cloth": "reed-oat", "lot": "L7", "supplier_piece": "P1", "invoiced": "50 yd", "place": "3B", "key": "k1"}
	code := s.receiveBolt(t, come)
	do := func(action string, more ...any) fields {
		f := fields{"bolt": code, "action": action, "key": action + "-1"}
		for i := 0; i+1 < len(more); i += 2 {
			f[more[i].(string)] = more[i+1]
		}
		return f
	}
	at := "/api/bolts/" + code
	s.play(t, []scene{
		{name: "sent again it is the same", as: stations.Office, do: "POST /api/bolts", send: come, status: 201, has: map[string]string{"bolts.0": code}},
		{name: "not for a bench", as: stations.Bench, do: "POST /api/bolts", send: fields{"cloth": "reed-oat", "length": "9yd"}, status: 403, code: "forbidden"},
		{name: "no such cloth", as: stations.Office, do: "POST /api/bolts", send: fields{"cloth": "reed", "length": "9yd"}, status: 404, code: "unknown_cloth"},
		{name: "the supplier's piece again", as: stations.Office, do: "POST /api/bolts", send: fields{"cloth": "reed-oat", "lot": "L7", "supplier_piece": "P1", "length": "50yd"}, status: 409, code: "received_before"},
		{name: "without a length", as: stations.Office, do: "POST /api/bolts", send: fields{"cloth": "reed-oat"}, status: 422, code: "missing_key"},
		{name: "as it came", as: stations.Bench, do: "GET " + at, status: 200, has: map[string]string{"state": "received", "rest": "1800in", "width": "54in", "place": "3B", "kind": "bolt", "history.#": "1"}},
		{name: "inspected", as: stations.Bench, do: "POST /api/shelf", send: do("inspect", "length", "49.5 yd", "widths", []string{"54in", "53.875in"}, "repeat", fields{"over": 5, "length": "67.5in"},
			"first_repeat", "4in", "person", "Ana", "flaws", []fields{{"from": "100in", "to": "104in"}, {"from": "300in", "kind": "hole"}}),
			status: 200, has: map[string]string{"state": "on_shelf", "rest": "1782in", "problems.#": "1", "problems.0.code": "short_delivered"}},
		{name: "what is known of it", as: stations.Office, do: "GET " + at, status: 200, has: map[string]string{"points": "4", "points_100yd2": "5.4", "width": "53.875in", "repeat": "13.5in",
			"repeat_over": "5", "received": "1782in", "invoiced": "1800in", "flaws.1.points": "2", "flaws.1.person": "Ana", "free": "1774in", "longest_free": "1481in"}},
		{name: "a hold without a reason", as: stations.Bench, do: "POST /api/shelf", send: do("hold_bolt"), status: 422, code: "reason_missing"},
		{name: "held with its lot", as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": shopAddress + "/B/" + code, "action": "hold_bolt", "key": "h", "reason": "shade", "lot": true}, status: 200, has: map[string]string{"state": "held"}},
		{name: "a bench doesn't free", as: stations.Bench, do: "POST /api/shelf", send: do("free_bolt", "reason", "matched"), status: 403, code: "forbidden"},
		{name: "what there is of the cloth", as: stations.Bench, do: "GET /api/cloths/reed-oat", status: 200, has: map[string]string{"bolts": "1", "remnants": "0", "free": "0in", "promised": "0in", "held": "1782in"}},
		{name: "freed", as: stations.Office, do: "POST /api/shelf", send: do("free_bolt"), status: 200, has: map[string]string{"state": "on_shelf"}},
		{name: "of each", as: stations.Bench, do: "GET /api/cloths", status: 200, has: map[string]string{"cloths.1.cloth": "reed-oat", "cloths.1.free": "1774in", "cloths.1.held": "0in", "cloths.0.free": "0mm", "cloths.0.bolts": "0"}},
		{name: "which a book that is sent back doesn't say", as: stations.Office, do: "PUT /api/cloths/reed-oat", send: fields{"name": "Reed, oat", "sold_by": "yd", "usable_width": "54in", "bolts": 7, "free": "1in"}, status: 200},
		{name: "nor does a bench", as: stations.Bench, do: "PUT /api/cloths/reed-oat", send: fields{"name": "Reed"}, status: 403, code: "forbidden"},
		{name: "kept", as: stations.Office, do: "POST /api/shelf", send: do("keep", "customer", "Saltmarsh Inn"), status: 200},
		{name: "is not free", as: stations.Office, do: "GET /api/bolts?cloth=reed-oat", status: 200, has: map[string]string{"bolts.0.free": "0in", "bolts.0.kept_for": "Saltmarsh Inn"}},
		{name: "whose it is a bench isn't told", as: stations.Bench, do: "GET /api/bolts", status: 200, has: map[string]string{"bolts.#": "1", "bolts.0.kept_for": ""}},
		{name: "none is free", as: stations.Bench, do: "GET /api/bolts?free=1", status: 200, has: map[string]string{"bolts.#": "0"}},
		{name: "kept by a bench", as: stations.Bench, do: "POST /api/shelf", send: do("keep", "customer", "Reed House"), status: 403, code: "forbidden"},
		{name: "for nobody any more", as: stations.Bench, do: "POST /api/shelf", send: do("unkeep"), status: 200},
		{name: "is free", as: stations.Office, do: "GET /api/bolts?cloth=reed-oat", status: 200, has: map[string]string{"bolts.0.free": "1774in", "bolts.0.kept_for": ""}},
		{name: "a key of another action", as: stations.Office, do: "POST /api/shelf", send: do("unkeep", "place", "4A"), status: 422, code: "bad_value"},
		{name: "no such action", as: stations.Office, do: "POST /api/shelf", send: do("fold"), status: 422, code: "bad_value"},
		{name: "no such bolt", as: stations.Bench, do: "GET /api/bolts/000000024", status: 404, code: "unknown_bolt"},
		{name: "a bolt without its label's check", as: stations.Bench, do: "GET /api/bolts/00000002X", status: 422, code: "bad_code"},
		{name: "scrapped", as: stations.Office, do: "POST /api/shelf", send: do("scrap", "reason", "moth"), status: 200, has: map[string]string{"state": "used_up", "rest": "0in"}},
		{name: "nothing is left", as: stations.Office, do: "POST /api/shelf", send: do("place", "place", "1A"), status: 409, code: "used_up"},
		{name: "it is still known", as: stations.Office, do: "GET " + at, status: 200, has: map[string]string{"off.0.as": "scrapped", "history.#": "7"}},
		{name: "and not listed", as: stations.Office, do: "GET /api/bolts", status: 200, has: map[string]string{"bolts.#": "0"}},
		{name: "unless asked for", as: stations.Office, do: "GET /api/bolts?state=used_up", status: 200, has: map[string]string{"bolts.#": "1"}},
	})
	if got := s.ask(t, scene{as: stations.Bench, do: "GET " + at + "/label.pdf", status: 200}); !strings.HasPrefix(string(got.body), "%PDF") {
		t.Error("the label is no PDF")
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/bolts/labels.pdf?paper=letter&bolts=" + code + "," + code, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "GET " + at + "/label.pdf?paper=tag", status: 422, code: "bad_value"})
	s.audited(t)
}

// TestCustomersCloth stays theirs, is named to those who may read it, and becomes the shop's for a reason.
func TestCustomersCloth(t *testing.T) {
	s := withCloths(t)
	code := s.receiveBolt(t, fields{"cloth": "marsh-grey", "length": "20 m", "owner": "Saltmarsh Inn"})
	at := "/api/bolts/" + code
	s.play(t, []scene{
		{name: "the office", as: stations.Office, do: "GET " + at, status: 200, has: map[string]string{"owner": "Saltmarsh Inn", "customers": "true", "rest": "20000mm"}},
		{name: "a bench", as: stations.Bench, do: "GET " + at, status: 200, has: map[string]string{"owner": "", "customers": "true", "history.0.shelf.came.0.owner": ""}},
		{name: "a bench asks for owners", as: stations.Bench, do: "GET /api/bolts?owner=Saltmarsh+Inn", status: 403, code: "forbidden"},
		{name: "for another", as: stations.Office, do: "POST /api/shelf", send: fields{"bolt": code, "action": "keep", "key": "1", "customer": "Reed House"}, status: 409, code: "other_customers_cloth"},
		{name: "released", as: stations.Office, do: "POST /api/shelf", send: fields{"bolt": code, "action": "release_cloth", "key": "2", "reason": "left with us"}, status: 200},
		{name: "it is the shop's", as: stations.Office, do: "GET " + at, status: 200, has: map[string]string{"customers": "false"}},
	})
	s.audited(t)
}

// TestDelivery takes a table in, all of it or nothing, and says where in it something is wrong.
func TestDelivery(t *testing.T) {
	s := withCloths(t)
	table := func(text string) scene {
		return scene{as: stations.Office, do: "POST /api/bolts.csv", send: text, header: map[string]string{"Content-Type": "text/csv"}}
	}
	at := func(sc scene, name string, status int, has map[string]string) scene {
		sc.name, sc.status, sc.has = name, status, has
		return sc
	}
	const head = "cloth,lot,supplier_piece,invoiced,place,count\n"
	s.play(t, []scene{
		at(table("cloth,colour\nreed-oat,red\n"), "a column that there isn't", 422, map[string]string{"problems.0.code": "unknown_key", "problems.0.line": "1", "problems.0.column": "2"}),
		at(table(head+"reed-oat,L7,P1,50 yd,3B,\nreed,L7,P2,50 yd,3B,\n"), "a cloth that there isn't", 422, map[string]string{"problems.0.code": "unknown_cloth", "problems.0.line": "3", "problems.0.column": "1"}),
		at(table(head+"reed-oat,L7,P1,much,3B,\n"), "no length", 422, map[string]string{"problems.0.code": "bad_length", "problems.0.line": "2", "problems.0.column": "4"}),
		at(table(head+"reed-oat,L7,P1,50 yd,3B,\nreed-oat,L7,P1,50 yd,3B,\n"), "one piece twice", 422, map[string]string{"problems.0.code": "received_before", "problems.0.line": "3"}),
		at(table(head+"reed-oat,L7,P1,50 yd,3B,many\n"), "no count", 422, map[string]string{"problems.0.code": "bad_value", "problems.0.column": "6"}),
		{name: "nothing came in", as: stations.Office, do: "GET /api/bolts", status: 200, has: map[string]string{"bolts.#": "0"}},
		at(table(head+"reed-oat,L7,P1,50 yd,3B,\nmarsh-grey,9,,30 m,,3\n"), "all of it", 201, map[string]string{"bolts.#": "4"}),
		{name: "is there", as: stations.Office, do: "GET /api/bolts?cloth=marsh-grey", status: 200, has: map[string]string{"bolts.#": "3", "bolts.0.rest": "30000mm"}},
	})
	s.audited(t)
}

// TestShelfCount goes through a count over HTTP.
func TestShelfCount(t *testing.T) {
	s := withCloths(t)
	one := s.receiveBolt(t, fields{"cloth": "reed-oat", "length": "40yd", "place": "3B"})
	two := s.receiveBolt(t, fields{"cloth": "reed-oat", "length": "41yd", "place": "3B"})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/counts", status: 403, code: "forbidden"})
	begun := s.ask(t, scene{as: stations.Office, do: "POST /api/counts", send: fields{"key": "c1"}, status: 201})
	count := "/api/counts/" + begun.at("count")
	s.play(t, []scene{
		{name: "begun twice with a key it is one", as: stations.Office, do: "POST /api/counts", send: fields{"key": "c1"}, status: 201, has: map[string]string{"count": begun.at("count")}},
		{name: "another", as: stations.Office, do: "POST /api/counts", send: fields{"key": "c2"}, status: 409, code: "count_open"},
		{name: "seen", as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": one, "action": "count_bolt", "key": "1", "place": "4A", "length": "30yd"}, status: 200},
		{name: "goes on", as: stations.Bench, do: "GET " + count, status: 200, has: map[string]string{"seen": "1", "unseen.#": "0"}},
		{name: "ended", as: stations.Bench, do: "POST " + count + "/end", status: 200, has: map[string]string{"unseen.0.bolt": two, "unseen.0.cloth": "reed-oat", "unseen.0.measured": "true",
			"elsewhere.0.place": "4A", "differs.0.measured": "1080in"}, send: fields{"key": "e1", "at": "2026-11-30T10:00:00Z", "person": "Ana"}},
		{name: "ended with its key", as: stations.Bench, do: "POST " + count + "/end", send: fields{"key": "e1", "at": "2026-11-30T10:00:00Z", "person": "Ana"}, status: 200},
		{name: "ended again", as: stations.Office, do: "POST " + count + "/end", status: 409, code: "no_count"},
		{name: "settled by a bench", as: stations.Bench, do: "POST " + count + "/settle", send: fields{"bolt": two, "as": "missing"}, status: 403, code: "forbidden"},
		{name: "settled", as: stations.Office, do: "POST " + count + "/settle", send: fields{"bolt": two, "as": "missing"}, status: 200, has: map[string]string{"unseen.0.settled": "missing"}},
		{name: "settled wrongly", as: stations.Office, do: "POST " + count + "/settle", send: fields{"bolt": one, "as": "missing"}, status: 422, code: "bad_value"},
		{name: "moved", as: stations.Office, do: "POST " + count + "/settle", send: fields{"bolt": one, "as": "moved"}, status: 200},
		{name: "missing", as: stations.Bench, do: "GET /api/bolts/" + two, status: 200, has: map[string]string{"state": "missing"}},
		{name: "no such count", as: stations.Bench, do: "GET /api/counts/none", status: 404, code: "not_found"},
	})
	s.audited(t)
}

// TestShelfWays: what the shop sets of its shelf holds for what is inspected, counted and free from then on, and moves no order.
func TestShelfWays(t *testing.T) {
	s := withCloths(t)
	set := func(values fields) scene {
		return scene{name: "set", as: stations.Office, do: "PUT /api/conventions", send: values, status: 200}
	}
	bolt := s.receiveBolt(t, fields{"cloth": "reed-oat", "length": "40yd", "place": "3B"})
	other := s.receiveBolt(t, fields{"cloth": "reed-oat", "length": "40yd", "place": "3B"})
	flawed := func(key, bolt string) fields {
		return fields{"bolt": bolt, "action": "inspect", "key": key, "widths": []string{"54in"}, "flaws": []fields{{"from": "100in", "to": "101in", "kind": "hole"}, {"from": "200in", "to": "204in"}}}
	}
	s.play(t, []scene{
		{name: "as shipped", as: stations.Bench, do: "POST /api/shelf", send: flawed("1", bolt), status: 200, has: map[string]string{"state": "on_shelf"}},
		{name: "around both", as: stations.Bench, do: "GET /api/bolts/" + bolt, status: 200, has: map[string]string{"points": "4", "free": "1431in"}},
		set(fields{"hole_points": "4", "accept_points": 9, "cut_around": 3, "flaw_clear": "2", "end_allowance": "5 in", "count_tolerance": "5 %"}),
		{name: "but for its ends", as: stations.Bench, do: "GET /api/bolts/" + other, status: 200, has: map[string]string{"free": "1430in", "longest_free": "1430in"}},
		{name: "over the limit", as: stations.Bench, do: "POST /api/shelf", send: flawed("2", other), status: 200, has: map[string]string{"state": "held", "problems.0.code": "inspection_failed"}},
		{name: "every hole is 4", as: stations.Bench, do: "GET /api/bolts/" + other, status: 200, has: map[string]string{"points": "6"}},
	})
	count := "/api/counts/" + s.ask(t, scene{as: stations.Office, do: "POST /api/counts", status: 201}).at("count")
	s.play(t, []scene{
		{name: "4 % short", as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "count_bolt", "key": "3", "length": "1382.4in"}, status: 200},
		{name: "6 % short", as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": other, "action": "count_bolt", "key": "4", "length": "1353.6in"}, status: 200},
		{name: "only that one differs", as: stations.Office, do: "POST " + count + "/end", status: 200, has: map[string]string{"differs.#": "1", "differs.0.bolt": other}},
		{name: "no order has them", as: stations.Office, do: "POST /api/orders", send: example(t, "SMI-1", "conventions: {", "conventions: {cut_around: 3, "), status: 422, has: map[string]string{"problems.0.code": "unknown_key"}},
		{name: "absurd", as: stations.Office, do: "PUT /api/conventions", send: fields{"cut_around": 5, "min_remnant": "0", "rest_tolerance": "70 %"}, status: 422, has: map[string]string{"problems.#": "3"}},
	})
	s.release(t, "SMI-2")
	s.play(t, []scene{set(fields{"cut_around": 2})})
	if o := s.Desk.Store.Floor().Order("SMI-2"); o.Practice["cut_around"] != nil || o.Practice["count_tolerance"] != nil || len(s.Desk.Behind(o, measure.In)) > 0 {
		t.Errorf("an order goes by %v, and is behind by %v", o.Practice, s.Desk.Behind(o, measure.In))
	}
	s.visit(t, stations.Bench, "/b/"+bolt+"/inspect", 200, "A hole counts 4")
	s.visit(t, stations.Office, "/settings/record", 200, "At a stock-take a length may be off by:</span>", "1 % → 5 %")
	s.visit(t, stations.Office, "/settings/conventions", 200, "Cloth on the shelf", `name="count_tolerance" value="5"`)
	s.audited(t)
}

// TestUnexplainedByMonth: what bolts are measured off the reckoning is summed by month, less and more apart, and the office sees it.
func TestUnexplainedByMonth(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "1000in"})
	measure := func(length string) {
		count := "/api/counts/" + s.ask(t, scene{as: stations.Office, do: "POST /api/counts", status: 201}).at("count")
		s.ask(t, s.told(bolt, "count_bolt", "length", length))
		s.ask(t, scene{as: stations.Office, do: "POST " + count + "/end", status: 200})
		s.ask(t, scene{as: stations.Office, do: "POST " + count + "/settle", send: fields{"bolt": bolt, "as": "measured"}, status: 200})
	}
	if got := s.visit(t, stations.Office, "/shelf", 200); strings.Contains(got, "nobody can explain") {
		t.Error("nothing is off, and something is told")
	}
	first := s.clock.Now()
	measure("960in")
	measure("935in")
	measure("955in")
	s.clock.Add(31 * 24 * time.Hour)
	measure("975in")
	row := func(at time.Time, less, more string) string {
		num := func(l string) string { return `<span class="num">` + l + ` <small>in</small></span>` }
		return at.Format("Jan 2006") + "</th>\n<td data-label=\"Less than reckoned\">" + num(less) + `</td><td data-label="More than reckoned">` + num(more)
	}
	got := s.visit(t, stations.Office, "/shelf", 200)
	newest, before := strings.Index(got, row(s.clock.Now(), "0", "20")), strings.Index(got, row(first, "65", "20"))
	if newest < 0 || before < newest {
		t.Errorf("the months stand at %d and %d of %s", newest, before, got)
	}
	if bench := s.visit(t, stations.Bench, "/shelf", 200); strings.Contains(bench, "nobody can explain") {
		t.Error("a bench is told")
	}
	s.audited(t)
}
