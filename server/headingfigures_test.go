package server

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/stations"
)

// TestHeadingsOfAShop: the office sets what one heading goes by; figures that don't go together with those that stay are refused; orders taken
// from then on go by it, an order with another heading doesn't, and a file's own go first.
func TestHeadingsOfAShop(t *testing.T) {
	s := openShop(t)
	const path = "/api/conventions"
	at := func(name string) string {
		return fmt.Sprintf("rows.%d.", slices.IndexFunc(orderfile.ShopConventions(), func(r orderfile.Convention) bool { return r.Key == name }))
	}
	hand := func(order, heading string, more ...string) string {
		return orderFile(t, order, append([]string{"heading: cartridge-tape", "heading: " + heading, "    tape: cart-4\n", "", "    cord_end: wound\n", ""}, more...)...)
	}
	const full, least, most, preferred = "headings.box.fullness", "headings.box.space_min", "headings.box.space_max", "headings.box.preferred_space"
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: hand("BEFORE", "box"), status: 201})
	before := string(s.ask(t, scene{as: stations.Office, do: "GET /api/orders/BEFORE/workup", status: 200}).body)
	s.play(t, []scene{
		{name: "as shipped", as: stations.Office, do: "GET " + path, status: 200, has: map[string]string{
			at(full) + "value": "2", at(full) + "default": "2", at(full) + "range.above": "1", at(full) + "range.max": "10", at(full) + "source": "stage", at(full) + "group": "headings",
			at(full) + "heading": "box", at(full) + "label": "Fullness", at(least) + "value": "4in", at(least) + "range.above": "0in", at("headings.box.fullness_min") + "value": "",
			at("headings.pinch-3.fullness_max") + "source": "ufgs", at("seam") + "heading": ""}},
		{name: "tried: no window has boxes", as: stations.Office, do: "PUT " + path + "?try=true", send: fields{full: "1.75", "headings.pinch-3.fullness": 3}, status: 200, has: map[string]string{
			"changes.#": "2", "changes.0.name": "headings.pinch-3.fullness", "changes.0.moves": "true", "changes.0.sampled": "true",
			"changes.1.name": full, "changes.1.from": "2", "changes.1.to": "1.75", "changes.1.moves": "false", "changes.1.sampled": "false"}},
		{name: "all that is wrong", as: stations.Office, do: "PUT " + path, status: 422, has: map[string]string{"problems.#": "6"}, send: fields{
			"headings": fields{}, "headings.box": fields{}, "headings.boxes.fullness": 2, "headings.box.fulness": nil, full: 1, "headings.goblet.take_up_min": 9}},
		{name: "over the preferred", as: stations.Office, do: "PUT " + path, status: 422, send: fields{least: "14"}, has: map[string]string{"problems.0.code": "bad_value", "problems.0.where": least}},
		{name: "together", as: stations.Office, do: "PUT " + path, status: 200, send: fields{least: "14", most: "16", preferred: "15", full: "1.75"}, has: map[string]string{
			at(least) + "value": "14in", at(least) + "changed.from": "4in", at(most) + "value": "16in", at(full) + "value": "1.75", at(full) + "default": "2"}},
		{name: "back alone it would be under the least", as: stations.Office, do: "PUT " + path, status: 422, send: fields{preferred: nil}, has: map[string]string{"problems.0.code": "bad_value"}},
		{name: "within the shop's own", as: stations.Office, do: "PUT " + path, status: 200, send: fields{preferred: "14.5"}, has: map[string]string{at(preferred) + "value": "14.5in"}},
	})
	s.anew(t) // each of them is read from what is kept, beside the others
	s.play(t, []scene{
		{name: "kept", as: stations.Office, do: "GET " + path, status: 200, has: map[string]string{at(least) + "value": "14in", at(preferred) + "value": "14.5in"}},
		{name: "taken", as: stations.Office, do: "POST /api/orders", send: hand("AFTER", "box"), status: 201},
		{name: "another heading", as: stations.Office, do: "POST /api/orders", send: hand("OTHER", "goblet"), status: 201},
		{name: "the file's own", as: stations.Office, do: "POST /api/orders", send: hand("OWN", "box", "conventions: {}", "conventions: {headings: {box: {fullness: 2.25}}}"), status: 201},
		{name: "the practice", as: stations.Office, do: "GET /api/orders/AFTER/workup", status: 200, has: map[string]string{
			"practice.headings.box.fullness": "1.75", "practice.headings.box.space_min": "14in", "treatments.0.panels.0.fullness_asked": "1.75"}},
		{name: "goblets are as they were", as: stations.Office, do: "GET /api/orders/OTHER/workup", status: 200, has: map[string]string{"treatments.0.panels.0.fullness_asked": "2"}},
		{name: "the file's goes first", as: stations.Office, do: "GET /api/orders/OWN/workup", status: 200, has: map[string]string{"treatments.0.panels.0.fullness_asked": "2.25"}},
		{name: "what was taken before is behind", as: stations.Office, do: "GET /api/orders/BEFORE/workup", status: 200, has: map[string]string{"treatments.0.panels.0.fullness_asked": "2"}},
	})
	if after := string(s.ask(t, scene{as: stations.Office, do: "GET /api/orders/BEFORE/workup", status: 200}).body); after != before {
		t.Errorf("an order taken before is now\n%s\nand was\n%s", after, before)
	}
	record := string(s.ask(t, scene{as: stations.Office, do: "GET /api/record", status: 200}).body)
	for _, want := range []string{"conventions: " + full + " 2 → 1.75", "conventions: " + preferred + " 15in → 14.5in"} {
		if strings.Count(record, want) != 1 {
			t.Errorf("the record has %q %d times", want, strings.Count(record, want))
		}
	}
	s.audited(t)
}

// TestHeadingsOfAShopByForm: the page has each heading's figures together, and says which of them its windows can't show.
func TestHeadingsOfAShopByForm(t *testing.T) {
	s := openShop(t)
	const path = "/settings/conventions"
	s.visit(t, stations.Office, path, 200, `id="headings-box"`, "Heading: box pleats", `name="headings.box.fullness" value="2"`, `name="headings.box.space_min" value="4"`)
	form := url.Values{"headings.box.fullness": {"1.75"}, "headings.box.fullness_max": {""}, "headings.box.space_min": {"4 1/2"}, "headings.pinch-3.take_up_min": {"4 1/2"}}
	tried := s.post(t, stations.Office, path, form, false)
	holds(t, "a try", tried, 200, []string{"Heading: box pleats, Space between pleats, from", "none of these windows has this heading", `value="save"`})
	form.Set("do", "save")
	if got := s.post(t, stations.Office, path, form, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if own := s.Desk.Shop().Conventions.Own(); len(own) != 2 || own["headings.box.space_min"] != "4.5in" {
		t.Errorf("%v", own)
	}
	s.visit(t, stations.Office, path, 200, `name="headings.box.space_min" value="4 1/2"`, `name="as_shipped" value="headings.box.space_min"`)
	wrong := s.post(t, stations.Office, path, url.Values{"headings.box.space_min": {"11"}, "do": {"save"}}, false)
	holds(t, "wrong", wrong, 422, []string{`name="headings.box.space_min" value="11"`, `aria-invalid="true"`, "doesn&#39;t lie between"})
}
