package main

import (
	"encoding/json"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

// cartridgeRoute is the contract's route of a cartridge-tape panel after its cutting, with the entries of each station.
var cartridgeRoute = []struct{ station, entries string }{
	{"joining", "flat_width"},
	{"fold", "length_return length_middle length_leading fold_depth"},
	{"tape", "drop first_dot_return first_dot_leading dots"},
	{"pull_up", "pleats finished_width cord_end"},
	{"inserts", "inserts"},
	{"pressing", ""},
	{"packing", "finished_width finished_length"},
}

// exampleWorkup are the figures that the contract prints for its example order.
var exampleWorkup = map[string]string{
	"order": "SMI-014", "units": "in",
	"treatments.0.window": "Bay, left", "treatments.0.heading": "cartridge-tape", "treatments.0.quantity": "1",
	"treatments.0.panels.#":                      "2",
	"treatments.0.panels.0.panel":                "L",
	"treatments.0.panels.1.panel":                "R",
	"treatments.0.panels.0.finished_width_asked": "48.5in",
	"treatments.0.panels.0.finished_width":       "48.5in",
	"treatments.0.panels.0.tight_width":          "48.5in",
	"treatments.0.panels.0.deviation":            "0in",
	"treatments.0.panels.0.pleats":               "19",
	"treatments.0.panels.0.end_margin":           "0.5in",
	"treatments.0.panels.0.edge_to_pleat":        "1.75in",
	"treatments.0.panels.0.take_up":              "4in",
	"treatments.0.panels.0.space":                "2.5in",
	"treatments.0.panels.0.flat_width":           "124.5in",
	"treatments.0.panels.0.fullness":             "2.567",
	"treatments.0.panels.0.widths":               "2.5",
	"treatments.0.panels.0.seams.0":              "21.375in",
	"treatments.0.panels.0.seams.1":              "74.375in",
	"treatments.0.panels.0.seams_in_pleats":      "2",
	"treatments.0.panels.0.seams_hidden":         "1",
	"treatments.0.panels.0.trim_return":          "2.125in",
	"treatments.0.panels.0.trim_leading":         "0.375in",
	"treatments.0.panels.0.pleat_positions.#":    "19",
	"treatments.0.panels.0.pleat_positions.0":    "3.75in",
	"treatments.0.panels.0.pleat_positions.1":    "10.25in",
	"treatments.0.panels.1.pleat_positions.18":   "120.75in",
	"treatments.0.panels.0.plain_length":         "111.5in",
	"treatments.0.panels.0.cut_length":           "121.5in",
	"treatments.0.panels.0.repeats_per_cut":      "9",
	"treatments.0.panels.0.tape_piece":           "126.5in",
	"treatments.0.panels.0.tape_start":           "1.5in",
	"treatments.0.panels.0.tape_pitch":           "130in",
	"treatments.0.panels.0.stitching":            "249in",
	"treatments.0.panels.0.stitch_line":          "4.125in",
	"treatments.0.panels.0.cord_pull_out":        "76in",
	"treatments.0.panels.0.cord_in_hand":         "77in",
	"treatments.0.panels.0.cords":                "3",
	"treatments.0.panels.0.cord_total":           "231in",
	"treatments.0.panels.0.cord_end":             "wound",
	"treatments.0.panels.0.inserts":              "19",
	"treatments.0.panels.0.insert_piece.length":  "12in",
	"treatments.0.panels.0.insert_piece.height":  "4in",
	"treatments.0.panels.0.insert_turns":         "3",
	"treatments.0.panels.0.tube_diameter":        "1.27323953in",
	"treatments.0.fabrics.0.fabric":              "reed",
	"treatments.0.fabrics.0.cuts":                "5",
	"treatments.0.fabrics.0.length":              "607.5in",
	"treatments.0.fabrics.1.use":                 "lining",
	"treatments.0.fabrics.1.cut_length":          "99.5in",
	"totals.fabrics.0.to_order":                  "17.25yd",
	"totals.fabrics.0.on_bolts":                  "1440in",
	"totals.fabrics.1.length":                    "497.5in",
	"totals.fabrics.1.to_order":                  "13.875yd",
	"totals.tape.0.tape":                         "cart-4",
	"totals.tape.0.used":                         "256.5in",
	"totals.tape.0.to_order":                     "263in",
	"totals.buckram.0.pieces":                    "38",
	"totals.buckram.0.length":                    "456in",
	"totals.thread.0.length":                     "1095.6in",
}

// TestContractWalk takes the contract's example from its file to an issued invoice, by HTTP alone.
func TestContractWalk(t *testing.T) {
	s := openShop(t)
	s.play(t, []request{
		{name: "the order comes in", as: s.office, do: "POST /api/orders", send: orderFile(t, "SMI-014"), status: 201,
			has: map[string]string{"order": "SMI-014"}, check: noErrors},
		{name: "twice is refused", as: s.office, do: "POST /api/orders", send: orderFile(t, "SMI-014"), status: 409, code: "order_exists"},
		{name: "it is listed as taken", as: s.office, do: "GET /api/orders", status: 200, has: map[string]string{
			"orders.#": "1", "orders.0.order": "SMI-014", "orders.0.customer": "Saltmarsh Inn", "orders.0.due": "2026-12-18", "orders.0.state": "taken"}},
		{name: "it has no tickets", as: s.office, do: "GET /api/orders/SMI-014", status: 200, has: map[string]string{
			"order": "SMI-014", "state": "taken", "due": "2026-12-18", "tickets.#": "0"}},
		{name: "its work-up", as: s.office, do: "GET /api/orders/SMI-014/workup", status: 200, check: sameAsCommand},
		{name: "no such order", as: s.office, do: "GET /api/orders/SMI-015", status: 404, code: "not_found"},
		{name: "released to the floor", as: s.office, do: "POST /api/orders/SMI-014/release", send: fields{}, status: 200,
			has: map[string]string{"order": "SMI-014", "state": "released", "tickets.#": "4"}},
		{name: "a second release", as: s.office, do: "POST /api/orders/SMI-014/release", send: fields{}, status: 409, code: "already_released"},
		{name: "tickets on labels", as: s.office, do: "GET /api/orders/SMI-014/tickets.pdf?paper=label", status: 200, check: isPDF},
		{name: "tickets on letter", as: s.office, do: "GET /api/orders/SMI-014/tickets.pdf?paper=letter", status: 200, check: isPDF},
		{name: "tickets on A4", as: s.office, do: "GET /api/orders/SMI-014/tickets.pdf?paper=a4", status: 200, check: isPDF},
	})

	f := &floor{shop: s, order: "SMI-014"}
	readTickets(t, f)
	walkCutting(t, f)
	for _, p := range f.panels {
		if got := f.state(t); got != "released" {
			t.Errorf("order with unfinished panels is %s", got)
		}
		walkPanel(t, f, p.Ticket)
	}
	if got := f.state(t); got != "finished" {
		t.Errorf("order with all panels finished is %s", got)
	}
	number := walkInvoice(t, f)

	s.audit(t)
	again := serveShop(t, s.dir)
	again.office = s.office
	again.ask(t, request{as: s.office, do: "GET /api/orders/SMI-014", status: 200, has: map[string]string{"state": "invoiced", "tickets.#": "4"}})
	again.ask(t, request{as: s.office, do: "GET /api/invoices/" + number, status: 200, has: map[string]string{"total.amount": "170.00"}})
	if _, made := again.line("passphrase"); made {
		t.Error("a shop opened again printed a passphrase: it has one")
	}
	again.audit(t)
}

func noErrors(t *testing.T, got answer) {
	for _, p := range got.problems(t) {
		if p.Severity != "warning" && p.Severity != "note" {
			t.Errorf("accepted with a problem of severity %q: %+v", p.Severity, p)
		}
	}
}

func isPDF(t *testing.T, got answer) {
	if !strings.HasPrefix(string(got.body), "%PDF") {
		t.Errorf("starts with %q", got.body[:min(8, len(got.body))])
	}
	if kind := got.header.Get("Content-Type"); kind != "application/pdf" {
		t.Errorf("Content-Type %q", kind)
	}
}

// sameAsCommand holds the work-up of the API against the contract's figures and the command's output.
func sameAsCommand(t *testing.T, got answer) {
	for path, value := range exampleWorkup {
		if !sameFigure(got.at(path), value) {
			t.Errorf("%s is %q, the contract's example has %q", path, got.at(path), value)
		}
	}
	out, said, code := command(t, "workup", exampleFile, "--format", "json")
	if code != 0 {
		t.Fatalf("workup: exit %d\n%s", code, said)
	}
	var ofCommand, ofAPI any
	if err := json.Unmarshal([]byte(out), &ofCommand); err != nil {
		t.Fatal(err)
	}
	got.into(t, &ofAPI)
	if !reflect.DeepEqual(ofAPI, ofCommand) {
		t.Errorf("the API's work-up is not the command's\nAPI: %s\ncommand: %s", got.body, out)
	}
}

// sameFigure compares as the contract says: lengths within 0.00001, everything else to the letter.
func sameFigure(got, want string) bool {
	a, okA := strings.CutSuffix(got, "in")
	b, okB := strings.CutSuffix(want, "in")
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if okA && okB && errX == nil && errY == nil {
		return math.Abs(x-y) <= 0.00001
	}
	return got == want
}

// readTickets finds the tickets of the example: one for each fabric, one for each panel, nothing ready but cutting.
func readTickets(t *testing.T, f *floor) {
	t.Helper()
	var got struct{ Tickets []row }
	f.ask(t, request{as: f.office, do: "GET /api/orders/" + f.order, status: 200}).into(t, &got)
	seen := map[string]bool{}
	for _, r := range got.Tickets {
		seen[r.Kind+" "+r.Fabric+r.Panel] = true
		switch {
		case r.Kind == "cutting" && r.Station == "cutting" && r.State == "ready":
			f.cutting = append(f.cutting, r)
		case r.Kind == "panel" && r.Station == "cutting" && r.State == "waiting" && r.Window == "Bay, left" && r.Copy == 1:
			f.panels = append(f.panels, r)
		default:
			t.Errorf("a new ticket %+v", r)
		}
	}
	for _, want := range []string{"cutting reed", "cutting sateen", "panel L", "panel R"} {
		if !seen[want] {
			t.Errorf("no ticket for %s among %+v", want, got.Tickets)
		}
	}
	if t.Failed() {
		t.FailNow()
	}
}

// walkCutting cuts both fabrics. The panels are ready for joining with the last, not before.
func walkCutting(t *testing.T, f *floor) {
	t.Helper()
	waiting := f.expect(t, f.panels[0].Ticket, "cutting", "waiting")
	if waiting.Step == nil || waiting.Step.Station != "cutting" || len(waiting.Step.Enter) != 0 {
		t.Errorf("an uncut panel's step %+v: want cutting with nothing to enter", waiting.Step)
	}
	for i, c := range f.cutting {
		st := f.start(t, f.station, c.Ticket)
		if len(st.Enter) != 0 || len(st.Checks) == 0 {
			t.Errorf("cutting enters %q and has %d checks: want none and some", st.entryNames(), len(st.Checks))
		}
		got := f.finish(t, f.station, c.Ticket, st)
		if got.at("state") != "finished" || got.at("next") != "" {
			t.Errorf("the answer to a finished cutting ticket: %s", got.body)
		}
		if i == 0 {
			f.expect(t, f.panels[0].Ticket, "cutting", "waiting")
			continue
		}
		var ready struct{ Also []row }
		got.into(t, &ready)
		if len(ready.Also) != len(f.panels) {
			t.Errorf("the last cutting ticket made %d panels ready, want %d: %s", len(ready.Also), len(f.panels), got.body)
		}
		for _, p := range ready.Also {
			if p.Station != "joining" || p.State != "ready" {
				t.Errorf("made ready: %+v, want joining", p)
			}
			f.expect(t, p.Ticket, "joining", "ready")
		}
	}
	f.expect(t, f.cutting[0].Ticket, "cutting", "finished")
}

// walkPanel takes a panel through its stations, sending back every target and naming every check.
func walkPanel(t *testing.T, f *floor, code string) {
	t.Helper()
	for i, at := range cartridgeRoute {
		st := f.expect(t, code, at.station, "ready").Step
		if st == nil || st.Station != at.station || st.State != "ready" || st.entryNames() != at.entries || len(st.Checks) == 0 {
			t.Fatalf("the step at %s: %+v, want entries %q and checks", at.station, st, at.entries)
		}
		f.start(t, f.station, code)
		f.expect(t, code, at.station, "at_work")
		next := ""
		if i+1 < len(cartridgeRoute) {
			next = cartridgeRoute[i+1].station
		}
		got := f.finish(t, f.station, code, st)
		if got.at("state") != "finished" || got.at("next") != next {
			t.Errorf("finishing %s answered %s, want next %q", at.station, got.body, next)
		}
	}
	ended := f.look(t, code)
	if ended.State != "finished" || ended.Step != nil || len(ended.Route) != 1+len(cartridgeRoute) {
		t.Errorf("after the last station: %+v", ended)
	}
	for i, r := range ended.Route {
		want := "cutting"
		if i > 0 {
			want = cartridgeRoute[i-1].station
		}
		if r.Station != want || r.State != "finished" {
			t.Errorf("route %d: %+v, want %s finished", i, r, want)
		}
	}
}

// walkInvoice bills both panels and returns the number: 40 a panel and 18 a width, 2½ widths each.
func walkInvoice(t *testing.T, f *floor) string {
	t.Helper()
	f.ask(t, request{as: f.office, do: "PUT /api/prices", send: priceList("40.00", "18.00"), status: 200})
	f.ask(t, request{as: f.office, do: "GET /api/ready", status: 200, has: map[string]string{
		"customers.#": "1", "customers.0.customer": "Saltmarsh Inn", "customers.0.panels.#": "2",
		"customers.0.panels.0.order": "SMI-014", "customers.0.panels.0.window": "Bay, left", "customers.0.panels.0.price.amount": "85.00"}})
	draft := f.ask(t, request{as: f.office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn",
		"panels": []string{f.panels[0].Ticket, f.panels[1].Ticket}}, status: 201, has: map[string]string{
		"lines.#": "2", "lines.0.ticket": f.panels[0].Ticket, "lines.0.amount.amount": "85.00", "lines.0.amount.currency": "USD",
		"total.amount": "170.00", "total.currency": "USD", "problems.#": "0"}}).at("draft")
	f.ask(t, request{as: f.office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "0"}})
	issued := f.ask(t, request{as: f.office, do: "POST /api/invoices/" + draft + "/issue", send: fields{}, status: 200,
		has: map[string]string{"state": "issued", "total.amount": "170.00"}})
	number := issued.at("number")
	if number == "" {
		t.Fatalf("issued without a number: %s", issued.body)
	}
	f.ask(t, request{as: f.office, do: "GET /api/invoices/" + number + ".pdf", status: 200, check: isPDF})
	if got := f.state(t); got != "invoiced" {
		t.Errorf("order with all panels on an issued invoice is %s", got)
	}
	return number
}

// priceList is a price list of one row.
func priceList(panel, width string) fields {
	return fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": panel, "width": width}}}
}
