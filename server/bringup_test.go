package server

import (
	"context"
	"net/url"
	"strings"
	"testing"

	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestBringUp: an order keeps what it was taken with until the office brings it up to the shop's conventions of today: a try shows what
// that changes and keeps nothing; then its work-up and its tickets follow, as by a new file.
func TestBringUp(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-2"), status: 201})
	cut := func(order string) string {
		return s.ask(t, scene{as: stations.Office, do: "GET /api/orders/" + order + "/workup", status: 200}).at("treatments.0.panels.0.plain_length")
	}
	on := func(order string) string {
		return s.Store.Floor().Ticket(plan.Code(s.ticketOf(t, order, "Bay, left", "L"))).Spec.Number("plain_length").String()
	}
	const path = "POST /api/orders/SMI-1/bring_up"
	for _, how := range []string{"", "?key=b0", "?key=b0", "?key=b0&from=1", "?try=true", "?override=true&reason=All+of+it"} {
		s.ask(t, scene{name: "nothing would be otherwise" + how, as: stations.Office, do: path + how, status: 409, code: "up_to_date"})
	}
	if o := s.Store.Floor().Order("SMI-1"); o.Revision != 1 {
		t.Fatalf("an order that is up to date is at revision %d", o.Revision)
	}
	s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: fields{"bottom_hem": "5", "surplus": "keep"}, status: 200})
	s.ask(t, scene{as: stations.Office, do: "PUT /api/tolerances", send: fields{"rows": []fields{{"name": "flat_width", "minus": "1/8", "plus": "1/8"}}}, status: 200})
	if cut("SMI-1") != "111.5in" || on("SMI-1") != "111.5in" || cut("SMI-2") != "111.5in" {
		t.Fatalf("the settings change %s, %s, %s", cut("SMI-1"), on("SMI-1"), cut("SMI-2"))
	}
	s.ask(t, scene{as: stations.Office, do: path + "?try=true", status: 200, has: map[string]string{
		"revision": "2", "conventions.#": "3", "conventions.0.name": "surplus", "conventions.0.from": "trim", "conventions.0.to": "keep", "conventions.1.name": "bottom_hem",
		"conventions.2.name": "tolerances.flat_width", "conventions.2.to": "±0.125in"}})
	if cut("SMI-1") != "111.5in" || on("SMI-1") != "111.5in" {
		t.Fatal("a try keeps something")
	}
	s.ask(t, scene{as: stations.Office, do: path + "?from=7", status: 409, code: "revised_meanwhile"})
	s.ask(t, scene{as: stations.Office, do: path + "?from=1&key=b1", status: 200})
	again := map[string]string{"revision": "2", "conventions.#": "3", "conventions.0.name": "surplus", "conventions.0.to": "keep"}
	s.ask(t, scene{name: "the first answer again", as: stations.Office, do: path + "?from=1&key=b1", status: 200, has: again})
	for _, how := range []string{"", "?key=b2"} {
		s.ask(t, scene{as: stations.Office, do: path + how, status: 409, code: "up_to_date"})
	}
	if cut("SMI-1") != "113.5in" || on("SMI-1") != "113.5in" {
		t.Errorf("brought up: %s on its page, %s on its ticket", cut("SMI-1"), on("SMI-1"))
	}
	step := s.Store.Floor().Ticket(plan.Code(s.ticketOf(t, "SMI-1", "Bay, left", "L"))).Spec.At(plan.Joining)
	if got := step.Entry("flat_width").Tolerance.Plus.String(); got != "0.125in" {
		t.Errorf("the panel is held to %s", got)
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders/SMI-1/workup", status: 200, has: map[string]string{"practice.bottom_hem": "5in", "practice.tolerances.flat_width.minus": "0.125in"}})

	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/SMI-2/bring_up", status: 200, has: map[string]string{"revision": "2"}})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/SMI-2/release", send: fields{}, status: 200})
	if on("SMI-2") != "113.5in" {
		t.Errorf("released by %s", on("SMI-2"))
	}
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-1", send: orderFile(t, "SMI-1", "finished_length: 95 1/2", "finished_length: 96"), status: 200})
	if cut("SMI-1") != "114in" {
		t.Errorf("a revision after it: %s", cut("SMI-1"))
	}
	s.ask(t, scene{name: "the first answer still, though the file is another", as: stations.Office, do: path + "?from=1&key=b1", status: 200, has: again})
	if o := s.Store.Floor().Order("SMI-1"); o.Revision != 3 {
		t.Errorf("the key made revision %d", o.Revision)
	}
	s.anew(t)
	if cut("SMI-1") != "114in" {
		t.Errorf("worked out anew: %s", cut("SMI-1"))
	}
	s.audited(t)
}

// TestBringUpKeepsWhatIsCut: a panel whose cloth is cut keeps its length and its drawing, which is of the file and the conventions that it
// was cut by.
func TestBringUpKeepsWhatIsCut(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: fields{"bottom_hem": "10"}, status: 200})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/SMI-1/bring_up", status: 200})
	o := s.Store.Floor().Order("SMI-1")
	ticket := s.Store.Floor().Ticket(plan.Code(s.ticketOf(t, "SMI-1", "Bay, left", "L")))
	if got := ticket.Spec.Number("bottom_hem").String(); got != "4in" {
		t.Fatalf("its hem is %s", got)
	}
	w, treatment, err := s.Desk.DrawnAs(o, ticket.Spec)
	if err != nil {
		t.Fatal(err)
	}
	if p := desk.PanelOf(w, treatment, ticket.Spec); p == nil || p.BottomHem.In("in") != "4in" {
		t.Errorf("it is drawn as %+v", p)
	}
	if newest, err := s.Desk.Workup(context.Background(), "SMI-1"); err != nil || newest.Order.Conventions.BottomHem.In("in") != "10in" {
		t.Errorf("the order is worked up with %v, %v", newest.Order.Conventions.BottomHem, err)
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders/SMI-1/packet.pdf", status: 200})
	s.audited(t)
}

// TestBringUpPage: the order's page offers it where something would be otherwise, shows what, and does it when it is told to.
func TestBringUpPage(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	const order, path = "/orders/SMI-1", "/orders/SMI-1/bring-up"
	if page := s.visit(t, stations.Office, order, 200); strings.Contains(page, path) {
		t.Error("it is offered though nothing would be otherwise")
	}
	s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: fields{"bottom_hem": "5", "surplus": "keep", "length_allowance": nil}, status: 200})
	s.visit(t, stations.Office, order, 200, `action="`+path+`"`, "2 things differently")
	holds(t, "what it changes", s.post(t, stations.Office, path, url.Values{}, false), 200,
		[]string{"Worked out differently from now on", "trimmed off", "kept in the panel", "Bottom hem", `action="` + path + `"`, `name="revision" value="1"`})
	if o := s.Store.Floor().Order("SMI-1"); o.Revision != 1 {
		t.Fatal("looking changes something")
	}
	if got := s.post(t, stations.Office, path, url.Values{"do": {"confirm"}, "revision": {"1"}}, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if page := s.visit(t, stations.Office, order, 200); strings.Contains(page, path) {
		t.Error("it is offered again")
	}
	if o := s.Store.Floor().Order("SMI-1"); o.Revision != 2 || o.Practice["bottom_hem"] != "5in" {
		t.Errorf("revision %d, practice %v", o.Revision, o.Practice)
	}
}
