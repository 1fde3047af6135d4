package contract

import (
	"encoding/json"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// cartridgeRoute is the route of a cartridge-tape panel after its cutting, with the entries of each station.
var cartridgeRoute = []struct{ station, entries string }{
	{"joining", "flat_width"},
	{"fold", "length_return length_middle length_leading fold_depth"},
	{"tape", "drop first_dot_return first_dot_leading dots"},
	{"pull_up", "pleats finished_width cord_end"},
	{"inserts", "inserts"},
	{"pressing", ""},
	{"packing", "finished_width finished_length"},
}

// exampleWorkup are the figures of the example order, worked out by hand.
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

// TestContractWalk takes the example order from its file to an issued invoice, by HTTP alone.
func TestContractWalk(t *testing.T) {
	s := shoptest.Open(t)
	s.Play(t, []shoptest.Request{
		{Name: "the order comes in", As: s.Office, Do: "POST /api/orders", Send: shoptest.OrderFile(t, "SMI-014"), Status: 201,
			Has: map[string]string{"order": "SMI-014"}, Check: noErrors},
		{Name: "twice is refused", As: s.Office, Do: "POST /api/orders", Send: shoptest.OrderFile(t, "SMI-014"), Status: 409, Code: "order_exists"},
		{Name: "it is listed as taken", As: s.Office, Do: "GET /api/orders", Status: 200, Has: map[string]string{
			"orders.#": "1", "orders.0.order": "SMI-014", "orders.0.customer": "Saltmarsh Inn", "orders.0.due": "2026-12-18", "orders.0.state": "taken"}},
		{Name: "it has no tickets", As: s.Office, Do: "GET /api/orders/SMI-014", Status: 200, Has: map[string]string{
			"order": "SMI-014", "state": "taken", "due": "2026-12-18", "tickets.#": "0"}},
		{Name: "its work-up", As: s.Office, Do: "GET /api/orders/SMI-014/workup", Status: 200, Check: sameAsCommand},
		{Name: "no such order", As: s.Office, Do: "GET /api/orders/SMI-015", Status: 404, Code: "not_found"},
		{Name: "released to the floor", As: s.Office, Do: "POST /api/orders/SMI-014/release", Send: shoptest.Fields{}, Status: 200,
			Has: map[string]string{"order": "SMI-014", "state": "released", "tickets.#": "4"}},
		{Name: "a second release", As: s.Office, Do: "POST /api/orders/SMI-014/release", Send: shoptest.Fields{}, Status: 409, Code: "already_released"},
		{Name: "tickets on labels", As: s.Office, Do: "GET /api/orders/SMI-014/tickets.pdf?paper=label", Status: 200, Check: isPDF},
		{Name: "tickets on letter", As: s.Office, Do: "GET /api/orders/SMI-014/tickets.pdf?paper=letter", Status: 200, Check: isPDF},
		{Name: "tickets on A4", As: s.Office, Do: "GET /api/orders/SMI-014/tickets.pdf?paper=a4", Status: 200, Check: isPDF},
	})

	f := &shoptest.Floor{Shop: s, Order: "SMI-014"}
	readTickets(t, f)
	walkCutting(t, f)
	for _, p := range f.Panels {
		if got := f.State(t); got != "released" {
			t.Errorf("order with unfinished panels is %s", got)
		}
		walkPanel(t, f, p.Ticket)
	}
	if got := f.State(t); got != "finished" {
		t.Errorf("order with all panels finished is %s", got)
	}
	number := walkInvoice(t, f)

	s.Audit(t)
	again := shoptest.Serve(t, s.Dir)
	again.Office = s.Office
	again.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/SMI-014", Status: 200, Has: map[string]string{"state": "invoiced", "tickets.#": "4"}})
	again.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/invoices/" + number, Status: 200, Has: map[string]string{"total.amount": "170.00"}})
	if _, made := again.Line("passphrase"); made {
		t.Error("a shop opened again printed a passphrase: it has one")
	}
	again.Audit(t)
}

func noErrors(t *testing.T, got shoptest.Answer) {
	for _, p := range got.Problems(t) {
		if p.Severity != "warning" && p.Severity != "note" {
			t.Errorf("accepted with a problem of severity %q: %+v", p.Severity, p)
		}
	}
}

func isPDF(t *testing.T, got shoptest.Answer) {
	if !strings.HasPrefix(string(got.Body), "%PDF") {
		t.Errorf("starts with %q", got.Body[:min(8, len(got.Body))])
	}
	if kind := got.Header.Get("Content-Type"); kind != "application/pdf" {
		t.Errorf("Content-Type %q", kind)
	}
}

// sameAsCommand holds the work-up of the API against the example's figures and the command's output.
func sameAsCommand(t *testing.T, got shoptest.Answer) {
	for path, value := range exampleWorkup {
		if !sameFigure(got.At(path), value) {
			t.Errorf("%s is %q, the example order has %q", path, got.At(path), value)
		}
	}
	out, said, code := shoptest.Command(t, "workup", shoptest.ExampleFile, "--format", "json")
	if code != 0 {
		t.Fatalf("workup: exit %d\n%s", code, said)
	}
	var ofCommand, ofAPI any
	if err := json.Unmarshal([]byte(out), &ofCommand); err != nil {
		t.Fatal(err)
	}
	got.Into(t, &ofAPI)
	if !reflect.DeepEqual(ofAPI, ofCommand) {
		t.Errorf("the API's work-up is not the command's\nAPI: %s\ncommand: %s", got.Body, out)
	}
}

// sameFigure compares lengths within 0.00001, everything else to the letter.
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
func readTickets(t *testing.T, f *shoptest.Floor) {
	t.Helper()
	var got struct{ Tickets []shoptest.Row }
	f.Ask(t, shoptest.Request{As: f.Office, Do: "GET /api/orders/" + f.Order, Status: 200}).Into(t, &got)
	seen := map[string]bool{}
	for _, r := range got.Tickets {
		seen[r.Kind+" "+r.Fabric+r.Panel] = true
		switch {
		case r.Kind == "cutting" && r.Station == "cutting" && r.State == "ready":
			f.Cutting = append(f.Cutting, r)
		case r.Kind == "panel" && r.Station == "cutting" && r.State == "waiting" && r.Window == "Bay, left" && r.Copy == 1:
			f.Panels = append(f.Panels, r)
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
func walkCutting(t *testing.T, f *shoptest.Floor) {
	t.Helper()
	waiting := f.Expect(t, f.Panels[0].Ticket, "cutting", "waiting")
	if waiting.Step == nil || waiting.Step.Station != "cutting" || len(waiting.Step.Enter) != 0 {
		t.Errorf("an uncut panel's step %+v: want cutting with nothing to enter", waiting.Step)
	}
	for i, c := range f.Cutting {
		st := f.Start(t, f.Station, c.Ticket)
		if want := []string{"usable_width repeat_over_five", "usable_width"}[i]; st.EntryNames() != want || len(st.Checks) == 0 {
			t.Errorf("cutting enters %q and has %d checks: want %s and some", st.EntryNames(), len(st.Checks), want)
		}
		got := f.Finish(t, f.Station, c.Ticket, st)
		if got.At("state") != "finished" || got.At("next") != "" {
			t.Errorf("the answer to a finished cutting ticket: %s", got.Body)
		}
		if i == 0 {
			f.Expect(t, f.Panels[0].Ticket, "cutting", "waiting")
			continue
		}
		var ready struct{ Also []shoptest.Row }
		got.Into(t, &ready)
		if len(ready.Also) != len(f.Panels) {
			t.Errorf("the last cutting ticket made %d panels ready, want %d: %s", len(ready.Also), len(f.Panels), got.Body)
		}
		for _, p := range ready.Also {
			if p.Station != "joining" || p.State != "ready" {
				t.Errorf("made ready: %+v, want joining", p)
			}
			f.Expect(t, p.Ticket, "joining", "ready")
		}
	}
	f.Expect(t, f.Cutting[0].Ticket, "cutting", "finished")
}

// walkPanel takes a panel through its stations, sending back every target and naming every check.
func walkPanel(t *testing.T, f *shoptest.Floor, code string) {
	t.Helper()
	for i, at := range cartridgeRoute {
		st := f.Expect(t, code, at.station, "ready").Step
		if st == nil || st.Station != at.station || st.State != "ready" || st.EntryNames() != at.entries || len(st.Checks) == 0 {
			t.Fatalf("the step at %s: %+v, want entries %q and checks", at.station, st, at.entries)
		}
		f.Start(t, f.Station, code)
		f.Expect(t, code, at.station, "at_work")
		next := ""
		if i+1 < len(cartridgeRoute) {
			next = cartridgeRoute[i+1].station
		}
		got := f.Finish(t, f.Station, code, st)
		if got.At("state") != "finished" || got.At("next") != next {
			t.Errorf("finishing %s answered %s, want next %q", at.station, got.Body, next)
		}
	}
	ended := f.Look(t, code)
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
func walkInvoice(t *testing.T, f *shoptest.Floor) string {
	t.Helper()
	f.Ask(t, shoptest.Request{As: f.Office, Do: "PUT /api/prices", Send: priceList("40.00", "18.00"), Status: 200})
	f.Ask(t, shoptest.Request{As: f.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{
		"customers.#": "1", "customers.0.customer": "Saltmarsh Inn", "customers.0.panels.#": "2",
		"customers.0.panels.0.order": "SMI-014", "customers.0.panels.0.window": "Bay, left", "customers.0.panels.0.price.amount": "85.00"}})
	draft := f.Ask(t, shoptest.Request{As: f.Office, Do: "POST /api/invoices", Send: shoptest.Fields{"customer": "Saltmarsh Inn",
		"panels": []string{f.Panels[0].Ticket, f.Panels[1].Ticket}}, Status: 201, Has: map[string]string{
		"lines.#": "2", "lines.0.ticket": f.Panels[0].Ticket, "lines.0.amount.amount": "85.00", "lines.0.amount.currency": "USD",
		"total.amount": "170.00", "total.currency": "USD", "problems.#": "0"}}).At("draft")
	f.Ask(t, shoptest.Request{As: f.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{"customers.#": "0"}})
	issued := f.Ask(t, shoptest.Request{As: f.Office, Do: "POST /api/invoices/" + draft + "/issue", Send: shoptest.Fields{}, Status: 200,
		Has: map[string]string{"state": "issued", "total.amount": "170.00"}})
	number := issued.At("number")
	if number == "" {
		t.Fatalf("issued without a number: %s", issued.Body)
	}
	f.Ask(t, shoptest.Request{As: f.Office, Do: "GET /api/invoices/" + number + ".pdf", Status: 200, Check: isPDF})
	if got := f.State(t); got != "invoiced" {
		t.Errorf("order with all panels on an issued invoice is %s", got)
	}
	return number
}

// priceList is a price list of one row.
func priceList(panel, width string) shoptest.Fields {
	return shoptest.Fields{"currency": "USD", "rows": []shoptest.Fields{{"heading": "cartridge-tape", "panel": panel, "width": width}}}
}
