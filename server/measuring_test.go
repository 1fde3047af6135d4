package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestMeasuring: a program reads when each measure and check is asked and sets it; what keeps somebody from harm it can't; the
// record says what was changed.
func TestMeasuring(t *testing.T) {
	s := openShop(t)
	row := func(route, station, name, when string) fields {
		return fields{"route": route, "station": station, "name": name, "when": when}
	}
	list := s.ask(t, scene{as: stations.Office, do: "GET /api/measuring", status: 200, has: map[string]string{
		"rows.0.route": "cutting", "rows.0.station": "cutting", "rows.0.name": "usable_width", "rows.0.when": "always", "rows.0.kind": "entry",
		"rows.0.label": "Width inside the selvages", "rows.0.default": "always", "rows.0.values.#": "2"}})
	whole := string(list.body)
	for _, want := range []string{
		`{"route":"cartridge-tape","station":"fold","name":"fold_depth","when":"first_of_pair","kind":"entry","label":"Fold depth","default":"first_of_pair","values":["always","first_of_pair","first_of_order","never"]}`,
		`"name":"needles_out","when":"always","kind":"check","label":"Needles and pins out, counted","default":"always","values":["always"]}`,
	} {
		if !strings.Contains(whole, want) {
			t.Errorf("%s\nis not in\n%s", want, whole)
		}
	}
	s.play(t, []scene{
		{name: "as it was read", as: stations.Office, do: "PUT /api/measuring", send: whole, header: map[string]string{"Content-Type": "application/json"}, status: 200},
		{name: "safety, a word that is none, a row that is none, and one twice", as: stations.Office, do: "PUT /api/measuring", status: 422,
			send: fields{"rows": []fields{row("cartridge-tape", "pull_up", "cord_end", "never"), row("pinch", "packing", "needles_out", "first_of_pair"), row("pinch", "joining", "flat_width", "mondays"),
				row("pinch", "tape", "drop", "never"), row("cartridge-tape", "tape", "drop", "never"), row("cartridge-tape", "tape", "drop", "always")}},
			has: map[string]string{"problems.#": "5", "problems.0.code": "always_asked", "problems.0.where": "rows[0].when", "problems.1.code": "always_asked", "problems.2.code": "bad_value",
				"problems.3.code": "bad_value", "problems.3.where": "rows[3].name", "problems.4.code": "duplicate"}},
		{name: "nothing", as: stations.Office, do: "PUT /api/measuring", send: fields{}, status: 422, code: "missing_key"},
		{name: "unchanged", as: stations.Office, do: "GET /api/measuring", status: 200, has: map[string]string{"rows.0.when": "always"}},
		{name: "set", as: stations.Office, do: "PUT /api/measuring", status: 200,
			send: fields{"rows": []fields{row("cartridge-tape", "fold", "fold_depth", "always"), row("cartridge-tape", "packing", "hooks_in", "first_of_order")}}},
		{name: "the whole is set: back as shipped", as: stations.Office, do: "PUT /api/measuring", status: 200, send: fields{"rows": []fields{row("cartridge-tape", "packing", "hooks_in", "first_of_order")}}},
	})
	got := s.ask(t, scene{as: stations.Office, do: "GET /api/record", status: 200})
	for _, want := range []string{
		`"what":"setting_changed","about":"measuring: cartridge-tape/fold/fold_depth always, cartridge-tape/packing/hooks_in first_of_order"`,
		`"what":"setting_changed","about":"measuring: cartridge-tape/fold/fold_depth first_of_pair"`,
	} {
		if !strings.Contains(string(got.body), want) {
			t.Errorf("%s\nis not in\n%s", want, got.body)
		}
	}
	if n := strings.Count(string(got.body), "measuring:"); n != 2 {
		t.Errorf("%d entries, want 2: what changes nothing is none", n)
	}
}

// TestMeasuringIsOfLaterOrders: an order on the floor keeps what it was released with, through a revision too.
func TestMeasuringIsOfLaterOrders(t *testing.T) {
	s := openShop(t)
	asked := func(code string, name string) bool {
		t.Helper()
		f := s.Store.Floor()
		ticket := f.Ticket(plan.Code(code))
		return f.Asked(ticket, ticket.At).Has(name)
	}
	before := s.release(t, "SMI-1")
	s.ask(t, scene{as: stations.Office, do: "PUT /api/measuring", status: 200, send: fields{"rows": []fields{
		{"route": "cartridge-tape", "station": "fold", "name": "fold_depth", "when": "never"},
		{"route": "cartridge-tape", "station": "fold", "name": "top_square", "when": "first_of_pair"}}}})
	after := s.release(t, "SMI-2", "id: R1,", "id: R7,", "id: S1,", "id: S7,")
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-1", send: orderFile(t, "SMI-1", "finished_length: 95 1/2", "finished_length: 95"), status: 200})
	for _, order := range []string{"SMI-1", "SMI-2"} {
		s.cutAll(t, order)
	}
	for _, codes := range [][]string{before, after} {
		for _, code := range codes[2:4] {
			s.workOn(t, code, "fold")
		}
	}
	if !asked(before[2], "fold_depth") || !asked(before[2], "top_square") {
		t.Error("the order that was released before is asked otherwise")
	}
	if asked(after[2], "fold_depth") || !asked(after[2], "top_square") || !asked(after[3], "top_square") {
		t.Error("the order that was released after isn't asked as it is set")
	}
	s.workOn(t, before[2], "tape")
	s.workOn(t, after[2], "tape")
	if asked(before[3], "fold_depth") || !asked(before[3], "top_square") || asked(after[3], "top_square") {
		t.Error("the second of a pair is asked otherwise than it was released")
	}
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + after[3], status: 200, has: map[string]string{"step.enter.#": "4", "step.enter.3.name": "fold_depth", "step.enter.3.when": "never",
		"step.enter.3.not_asked": "true", "step.enter.0.not_asked": "", "step.checks.0.when": "first_of_pair", "step.checks.0.not_asked": "true", "step.acts.0.checks.#": "2"}})
	page := s.visit(t, stations.Bench, "/station/fold?ticket="+after[3], 200)
	if strings.Contains(page, "measured.fold_depth") || strings.Contains(page, `value="top_square"`) {
		t.Error("the bench asks what isn't asked")
	}
	s.audited(t)
}

// TestMeasuringPage: the office sets it by a form, without script.
func TestMeasuringPage(t *testing.T) {
	s := openShop(t)
	const path = "/settings/measuring"
	s.visit(t, stations.Office, "/settings", 200, `href="/settings/measuring"`)
	s.visit(t, stations.Office, path, 200, `name="cartridge-tape/fold/fold_depth"`, `<option value="first_of_pair" selected>First of a pair</option>`, "Always, so that nobody gets hurt")
	if page := s.visit(t, stations.Office, path, 200); strings.Contains(page, `name="pinch/packing/needles_out"`) {
		t.Error("a safety check can be set")
	}
	if got := s.post(t, stations.Office, path, url.Values{"cartridge-tape/fold/fold_depth": {"always"}}, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	s.visit(t, stations.Office, path+"?did=settings", 200, `<option value="always" selected>Always</option>`, "As shipped: First of a pair", "The settings are saved.")
	if got := s.post(t, stations.Office, path, url.Values{"pinch/packing/needles_out": {"never"}}, false); got.status != 422 {
		t.Errorf("safety by a form: %d", got.status)
	}
	if got := s.post(t, stations.Office, path, url.Values{"as_shipped": {"yes"}}, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if page := s.visit(t, stations.Office, path, 200); strings.Contains(page, "As shipped:") {
		t.Error("not as shipped again")
	}
}
