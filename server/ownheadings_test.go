package server

import (
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/plan"
)

const (
	conventionsPath = "/api/conventions"
	tulipLike       = "headings.tulip.like"
	tulipName       = "headings.tulip.name"
	tulipFull       = "headings.tulip.fullness"
)

// ofHeading turns the example's window into one with another heading that no tape sets.
func ofHeading(heading string, more ...string) []string {
	return append([]string{"heading: cartridge-tape", "heading: " + heading, "    tape: cart-4\n", "", "    cord_end: wound\n", ""}, more...)
}

// TestOwnHeadingFromFormToTicket: a shop makes a heading like goblets. The form offers it, an order with it is worked out by its figures,
// released, and made at the stations of goblets with their checks; page, ticket, paper, price and invoice call it by its name, and go on so
// when the shop calls it otherwise, changes its figures, or takes it off.
func TestOwnHeadingFromFormToTicket(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "PUT " + conventionsPath, status: 200, send: fields{tulipLike: "goblet", tulipName: "Tulip pleat", tulipFull: "2.3"}})
	s.anew(t)
	rows := s.ask(t, scene{as: office, do: "GET " + conventionsPath, status: 200})
	for name, want := range map[string]string{tulipLike: "goblet", tulipName: "Tulip pleat", tulipFull: "2.3", "headings.tulip.space_min": "4.5in"} {
		if i := rowNamed(rows, name); rows.at(fmt.Sprintf("rows.%d.value", i)) != want || rows.at(fmt.Sprintf("rows.%d.heading", i)) != "tulip" {
			t.Errorf("%s is %q", name, rows.at(fmt.Sprintf("rows.%d.value", i)))
		}
	}
	if i := rowNamed(rows, tulipFull); rows.at(fmt.Sprintf("rows.%d.default", i)) != "2" {
		t.Errorf("by default it is as full as goblets, not %q", rows.at(fmt.Sprintf("rows.%d.default", i)))
	}
	s.visit(t, office, "/taking", 200, `<option value="tulip"`, ">Tulip pleat</option>")

	codes := s.release(t, "SMI-1", ofHeading("tulip")...)
	goblets := s.release(t, "SMI-2", ofHeading("goblet")...)
	worked := s.ask(t, scene{as: office, do: "GET /api/orders/SMI-1/workup", status: 200, has: map[string]string{
		"treatments.0.heading": "tulip", "treatments.0.heading_like": "goblet", "treatments.0.heading_name": "Tulip pleat", "treatments.0.panels.0.fullness_asked": "2.3"}})
	panel := codes[len(codes)-1]
	ticket := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + panel, status: 200, has: map[string]string{
		"heading": "tulip", "heading_like": "goblet", "heading_name": "Tulip pleat"}})
	floor := s.Store.Floor()
	made, like := floor.Ticket(plan.Code(panel)).Spec, floor.Ticket(plan.Code(goblets[len(goblets)-1])).Spec
	if len(made.Steps) != len(like.Steps) || made.Route() != like.Route() || made.Route() != "goblet" {
		t.Fatalf("it goes by %q, goblets by %q", made.Route(), like.Route())
	}
	for i := range made.Steps {
		if a, b := made.Steps[i], like.Steps[i]; a.Station != b.Station || !slices.Equal(a.Checks, b.Checks) || !slices.Equal(a.Cautions, b.Cautions) || len(a.Enter) != len(b.Enter) {
			t.Errorf("at %s it has %v, goblets %v", a.Station, a.Checks, b.Checks)
		}
	}
	s.visit(t, office, "/orders/SMI-1", 200, "Tulip pleat")
	s.visit(t, office, "/orders/SMI-1?lang=es", 200, "Tulip pleat")

	s.ask(t, scene{as: office, do: "PUT /api/prices", status: 200, send: fields{"currency": "USD", "rows": []fields{{"heading": "goblet", "panel": "40.00", "width": "10.00"}}}})
	if price := s.priceOf(t, panel); price != "60.00" {
		t.Errorf("as goblets it costs %s", price)
	}
	s.visit(t, office, "/prices", 200, "Tulip pleat", `name="heading" value="tulip"`)
	s.ask(t, scene{as: office, do: "PUT /api/prices", status: 422, send: fields{"currency": "USD", "rows": []fields{{"heading": "lily", "panel": "40.00", "width": "10.00"}}}})
	s.ask(t, scene{as: office, do: "PUT /api/prices", status: 200, send: fields{"currency": "USD", "rows": []fields{
		{"heading": "goblet", "panel": "40.00", "width": "10.00"}, {"heading": "tulip", "panel": "50.00", "width": "10.00"}}}})
	if price := s.priceOf(t, panel); price != "70.00" {
		t.Errorf("with a row of its own it costs %s", price)
	}
	s.workThrough(t, codes)
	invoice := s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{panel}}, status: 201})
	if !strings.Contains(invoice.at("lines.0.text"), "Tulip pleat, 2½ widths") || invoice.at("lines.0.rate.panel.amount") != "50.00" {
		t.Errorf("the line is %s", invoice.body)
	}
	s.visit(t, office, "/invoices/"+invoice.at("draft"), 200, "Tulip pleat")

	s.ask(t, scene{as: office, do: "PUT " + conventionsPath, status: 200, send: fields{tulipName: "Lily pleat", tulipFull: nil}})
	s.visit(t, office, "/orders/SMI-1", 200, "Tulip pleat")
	s.visit(t, office, "/taking", 200, ">Lily pleat</option>")
	s.ask(t, scene{as: office, do: "PUT " + conventionsPath, status: 200, send: fields{tulipLike: nil}})
	s.anew(t)
	rows = s.ask(t, scene{as: office, do: "GET " + conventionsPath, status: 200})
	if strings.Contains(string(rows.body), "tulip") {
		t.Error("what is taken off has rows")
	}
	if page := s.visit(t, office, "/taking", 200); strings.Contains(page, "tulip") {
		t.Error("what is taken off is offered")
	}
	s.ask(t, scene{as: office, do: "POST /api/orders", status: 422, send: orderFile(t, "SMI-3", ofHeading("tulip")...)})
	if again := s.ask(t, scene{as: office, do: "GET /api/orders/SMI-1/workup", status: 200}); string(again.body) != string(worked.body) {
		t.Errorf("a released order is now\n%s\nand was\n%s", again.body, worked.body)
	}
	if again := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + panel, status: 200}); again.at("heading_name") != ticket.at("heading_name") {
		t.Errorf("its ticket is %s", again.body)
	}
	s.visit(t, office, "/orders/SMI-1", 200, "Tulip pleat")
	s.audited(t)
}

func rowNamed(rows answer, name string) int {
	for i := 0; rows.at(fmt.Sprintf("rows.%d.name", i)) != ""; i++ {
		if rows.at(fmt.Sprintf("rows.%d.name", i)) == name {
			return i
		}
	}
	return -1
}

// TestOwnHeadingOfAFile: an order's file makes a heading for itself; the form of that order offers it, and no other's does.
func TestOwnHeadingOfAFile(t *testing.T) {
	s := openShop(t)
	own := ofHeading("lily", "conventions: {}", `conventions: {headings: {lily: {like: box, name: "Lily <pleat>", space_min: 5}}}`)
	codes := s.release(t, "SMI-1", own...)
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + codes[len(codes)-1], status: 200, has: map[string]string{"heading": "lily", "heading_like": "box", "heading_name": "Lily <pleat>"}})
	s.visit(t, stations.Office, "/orders/SMI-1", 200, "Lily &lt;pleat&gt;")
	s.visit(t, stations.Office, "/orders/SMI-1/edit", 200, `<option value="lily"`, "Lily &lt;pleat&gt;</option>")
	if page := s.visit(t, stations.Office, "/taking", 200); strings.Contains(page, "lily") {
		t.Error("another order is offered it")
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", status: 422, send: orderFile(t, "SMI-2", ofHeading("lily")...), has: map[string]string{"problems.0.code": "bad_value"}})
}

// TestOwnHeadingByForm: the page of conventions makes a heading, changes its figures, and takes it off again.
func TestOwnHeadingByForm(t *testing.T) {
	s := openShop(t)
	const path = "/settings/conventions"
	own := func() map[string]any { return s.Desk.Shop().Conventions.Own() }
	save := func(form url.Values) {
		t.Helper()
		form.Set("do", "save")
		if got := s.post(t, stations.Office, path, form, false); got.status != 303 {
			t.Fatalf("%d %s", got.status, got.body)
		}
	}
	s.visit(t, stations.Office, path, 200, "Add a heading of your own", `name="own_key"`)
	made := url.Values{"own_key": {"tulip"}, "own_name": {"Tulip pleat"}, "own_like": {"goblet"}}
	holds(t, "a try", s.post(t, stations.Office, path, made, false), 200, []string{`<b translate="no">Tulip pleat</b>: Made like goblet pleats`, "Nothing changes in the sample windows", `value="save"`})
	for _, c := range []struct{ key, name, like, says, at string }{
		{"Tulip!", "Tulip pleat", "goblet", "small letters", "own_key"}, {"tulip", "", "goblet", "blank", "own_name"}, {"tulip", "Tulip", "gobelt", "did you mean goblet", "own_like"}, {"box", "Box", "goblet", "is there already", "own_key"}, {"tulip", "Tulip", "", "Choose the heading that it is made like", "own_like"},
		{"", "Tulip", "goblet", "small letters", "own_key"},
	} {
		wrong := s.post(t, stations.Office, path, url.Values{"own_key": {c.key}, "own_name": {c.name}, "own_like": {c.like}, "do": {"save"}}, false)
		holds(t, c.key+c.name, wrong, 422, []string{c.says, `<a href="#own-heading">`})
		if marked := regexp.MustCompile(`name="(own_\w+)"[^>]* aria-invalid="true"`).FindAllStringSubmatch(string(wrong.body), -1); len(marked) != 1 || marked[0][1] != c.at {
			t.Errorf("%s, %q, like %q: %q is marked, want %s", c.key, c.name, c.like, marked, c.at)
		}
	}
	save(made)
	if got := own(); len(got) != 2 || got[tulipLike] != "goblet" || got[tulipName] != "Tulip pleat" {
		t.Fatalf("saved as %v", got)
	}
	holds(t, "the same key again", s.post(t, stations.Office, path, made, false), 422, []string{"is there already"})
	s.visit(t, stations.Office, path, 200, `id="headings-tulip"`, "Heading: Tulip pleat", "Made like goblet pleats", `name="headings.tulip.fullness" value="2"`, "As for goblet pleats")
	save(url.Values{tulipName: {"Lily pleat"}, tulipFull: {"2.5"}, "headings.tulip.space_min": {"4 1/2"}})
	if got := own(); len(got) != 3 || got[tulipName] != "Lily pleat" || got[tulipFull] != "2.5" {
		t.Fatalf("saved as %v", got)
	}
	save(url.Values{tulipName: {"Lily pleat"}, tulipFull: {"2.5"}, "as_shipped": {tulipLike}})
	if got := own(); len(got) != 0 {
		t.Fatalf("taken off, it is %v", got)
	}
	s.anew(t)
	save(made) // and made anew
	if practice := s.Desk.Shop().Practice("in"); practice.Heading("tulip", "in").Fullness != orderfile.Goblet.Data().Fullness {
		t.Error("made anew it has what it had before")
	}
}

// TestOwnHeadingIsMadeLikeAnother: what it had of the first goes, and what doesn't go together is refused.
func TestOwnHeadingIsMadeLikeAnother(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	put := func(status int, send fields) answer {
		t.Helper()
		return s.ask(t, scene{as: office, do: "PUT " + conventionsPath, status: status, send: send})
	}
	put(422, fields{tulipFull: 2})
	put(422, fields{tulipLike: "goblet"})
	put(422, fields{tulipLike: "lily", tulipName: "Tulip"})
	put(422, fields{tulipLike: "goblet", tulipName: "Tulip", "headings.tulip.pitch_min": 5})
	put(200, fields{tulipLike: "goblet", tulipName: "Tulip", "headings.tulip.space_min": "4 in"})
	put(200, fields{tulipLike: "eyelet", "headings.tulip.pitch_min": "5 in"})
	if own := s.Desk.Shop().Conventions.Own(); own["headings.tulip.space_min"] != nil || own["headings.tulip.pitch_min"] != "5in" || own[tulipName] != "Tulip" {
		t.Errorf("it is %v", own)
	}
	s.anew(t)
	if practice := s.Desk.Shop().Practice("mm"); practice.Heading("tulip", "mm").Route != "eyelet" {
		t.Errorf("read as %+v", practice.Own)
	}
	put(200, fields{"headings.eyelet.fullness": "1.8"}) // which it follows
	if practice := s.Desk.Shop().Practice("in"); practice.Heading("tulip", "in").Fullness.String() != "1.8" {
		t.Error("it doesn't follow what it is like")
	}
}

// priceOf is what a panel costs as its work-up's price list has it.
func (s *shop) priceOf(t *testing.T, code string) string {
	t.Helper()
	spec := s.Store.Floor().Ticket(plan.Code(code)).Spec
	m, ok := s.Store.Floor().Prices().Price(string(spec.Heading), string(spec.HeadingLike), 4)
	if !ok {
		return ""
	}
	return m.Amount()
}
