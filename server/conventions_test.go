package server

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/views/i18n"
)

// TestConventions: a program reads the shop's conventions and sets them; what is wrong is all told at once and nothing is kept; the record
// says who changed what.
func TestConventions(t *testing.T) {
	s := openShop(t)
	const path = "/api/conventions"
	row := func(name string) string {
		for i, r := range orderfile.AllConventions() {
			if r.Key == name {
				return fmt.Sprintf("rows.%d.", i)
			}
		}
		t.Fatal("no convention " + name)
		return ""
	}
	s.play(t, []scene{
		{name: "as shipped", as: stations.Office, do: "GET " + path, status: 200, has: map[string]string{
			"rows.#": fmt.Sprint(len(orderfile.ShopConventions())), row("seam") + "value": "0.5in", row("seam") + "default": "0.5in", row("seam") + "source": "practice",
			row("seam") + "range.min": "0in", row("seam") + "range.max": "2in", row("seam") + "values.#": "0", row("seam") + "group": "hems", row("seam") + "changed": "",
			row("surplus") + "values.0": "trim", row("surplus") + "words.keep": "kept in the panel", row("order_step") + "range.above": "0in", row("shrink") + "range.max": "50 %",
			row("stitch_density") + "source": "lockseam", row("length_allowance") + "value": ""}},
		{name: "tried, nothing kept", as: stations.Office, do: "PUT " + path + "?try=true", send: fields{"seam": "5/8", "eyelet_clearance": "1"}, status: 200, has: map[string]string{
			"changes.#": "2", "changes.1.name": "seam", "changes.1.from": "0.5in", "changes.1.to": "0.625in", "changes.1.moves": "true", "changes.0.name": "eyelet_clearance", "changes.0.moves": "false",
			"sample.#": "6", "sample.0.before.totals.fabrics.0.fabric": "face"}},
		{name: "not kept", as: stations.Office, do: "GET " + path, status: 200, has: map[string]string{row("seam") + "value": "0.5in"}},
		{name: "a try of nothing", as: stations.Office, do: "PUT " + path + "?try=true", send: fields{}, status: 200, has: map[string]string{"changes.#": "0", "sample.#": "6", "sample.1.changes.#": "0"}},
		{name: "all that is wrong", as: stations.Office, do: "PUT " + path, status: 422, send: fields{"seam": "3", "surplus": "trimm", "sea": "1", "tolerances": fields{}, "side_hem": "x", "step": "-1", "bottom_hem": "5"},
			has: map[string]string{"problems.#": "6"}},
		{name: "an unknown name without a value", as: stations.Office, do: "PUT " + path, status: 422, send: fields{"sea": nil}, has: map[string]string{"problems.0.code": "unknown_key", "problems.0.where": "sea"}},
		{name: "not a value", as: stations.Office, do: "PUT " + path, status: 422, send: fields{"seam": fields{"a": 1}}, has: map[string]string{"problems.0.code": "bad_value", "problems.0.where": "seam"}},
		{name: "nothing kept of it", as: stations.Office, do: "GET " + path, status: 200, has: map[string]string{row("bottom_hem") + "value": "4in"}},
		{name: "set", as: stations.Office, do: "PUT " + path, send: fields{"seam": "5/8", "pleats_per_width": 6, "surplus": "keep", "length_allowance": "18"}, status: 200, has: map[string]string{
			row("seam") + "value": "0.625in", row("seam") + "default": "0.5in", row("seam") + "changed.from": "0.5in", row("seam") + "changed.at": "2026-12-01T08:00:00Z",
			row("pleats_per_width") + "value": "6", row("length_allowance") + "value": "18in"}},
		{name: "the others stay", as: stations.Office, do: "PUT " + path, send: fields{"side_hem": "2 in", "length_allowance": nil, "seam": "5/8 in"}, status: 200, has: map[string]string{
			row("seam") + "value": "0.625in", row("side_hem") + "value": "2in", row("length_allowance") + "value": "", row("length_allowance") + "changed.from": "18in"}},
		{name: "a program reads", as: stations.Program, do: "GET " + path, status: 200},
		{name: "and doesn't set", as: stations.Program, do: "PUT " + path, send: fields{"seam": "1"}, status: 403, code: "forbidden"},
		{name: "try is a yes or no", as: stations.Office, do: "PUT " + path + "?try=perhaps", send: fields{}, status: 422, code: "bad_value"},
	})
	record := string(s.ask(t, scene{as: stations.Office, do: "GET /api/record", status: 200}).body)
	for _, want := range []string{"conventions: seam 0.5in → 0.625in", "conventions: length_allowance – → 18in", "conventions: length_allowance 18in → –", "conventions: side_hem 1.5in → 2in"} {
		if strings.Count(record, want) != 1 {
			t.Errorf("the record has %q %d times\n%s", want, strings.Count(record, want), record)
		}
	}
	if n := strings.Count(record, "conventions:"); n != 6 {
		t.Errorf("%d entries, want 6: what changes nothing is none", n)
	}
}

// anew is the shop's server started again, which has worked nothing out yet.
func (s *shop) anew(t *testing.T) {
	t.Helper()
	server, err := New(Config{Store: s.Store, Auth: s.edge.Auth, Clock: s.clock.Now, Address: "http://shop.test:8080", Zone: time.UTC, ShopName: "Saltmarsh Workroom"})
	if err != nil {
		t.Fatal(err)
	}
	s.Server, s.Desk = server, server.desk
}

// TestEveryConventionIsOfLaterOrders walks through all: with each set otherwise, an order that is taken then is worked out as one whose file
// says so, and what was taken and released before is byte for byte as it was: its work-up, its tickets, its paper.
func TestEveryConventionIsOfLaterOrders(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	hand := s.release(t, "SMI-2", "heading: cartridge-tape", "heading: pinch-3", "    tape: cart-4\n", "", "    cord_end: wound\n", "")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-3"), status: 201})
	looks := func() string {
		s.anew(t)
		var all strings.Builder
		for _, order := range []string{"SMI-1", "SMI-2", "SMI-3"} {
			all.Write(s.ask(t, scene{as: stations.Office, do: "GET /api/orders/" + order + "/workup?explain=true", status: 200}).body)
			all.Write(s.ask(t, scene{as: stations.Office, do: "GET /api/orders/" + order, status: 200}).body)
		}
		for _, code := range append(codes, hand...) {
			all.Write(s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + code, status: 200}).body)
		}
		return all.String()
	}
	paper := func() string {
		return string(s.ask(t, scene{as: stations.Office, do: "GET /api/orders/SMI-1/packet.pdf", status: 200}).body) +
			string(s.ask(t, scene{as: stations.Office, do: "GET /api/orders/SMI-2/tickets.pdf", status: 200}).body)
	}
	before, printed := looks(), paper()
	all := fields{}
	for i, r := range orderfile.AllConventions() {
		for _, value := range otherValues(r) {
			all[r.Key] = value
			s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: fields{r.Key: value}, status: 200, has: map[string]string{fmt.Sprintf("rows.%d.name", i): r.Key}})
			own := s.Desk.Shop().Conventions.Own()
			if len(own) != 1 || own[r.Key] == nil {
				t.Errorf("%s: %s sets %v", r.Key, value, own)
			}
			s.takenAs(t, fmt.Sprintf("W-%d-%s", i, strings.Trim(strings.ReplaceAll(value, " ", ""), "%")), r.Key, value)
			if looks() != before {
				t.Errorf("%s: %s changes an order that was taken before", r.Key, value)
			}
			s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: fields{r.Key: nil}, status: 200})
		}
	}
	s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: all, status: 200})
	if looks() != before || paper() != printed {
		t.Error("all of them together change an order that was taken before")
	}
	s.audited(t)
}

// otherValues are values that aren't the shipped one: of a word all others.
func otherValues(r orderfile.Convention) []string {
	if words := r.Words(); words != nil {
		return words[1:]
	}
	shipped := orderfile.DefaultConventions("in")
	for _, value := range []string{"1", "2"} {
		if now := r.Text(&shipped, "in"); now != value && now != value+"in" && now != value+" %" {
			return []string{value}
		}
	}
	return nil
}

// takenAs takes an order and holds its work-up to that of the same file which says the convention itself.
func (s *shop) takenAs(t *testing.T, name, convention, value string) {
	t.Helper()
	file := orderFile(t, name)
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 201})
	got := s.ask(t, scene{as: stations.Office, do: "GET /api/orders/" + name + "/workup", status: 200})
	o, problems := orderfile.Parse([]byte(strings.Replace(file, "conventions: {}", fmt.Sprintf("conventions: {%s: %s}", convention, value), 1)))
	if o == nil {
		t.Fatalf("%s: %s: %+v", convention, value, problems)
	}
	say := i18n.For("en")
	doc := workup.Compute(o).Document(false, say.Problem, func(key string) string { return say.T(key) })
	doc.Problems = slices.DeleteFunc(doc.Problems, func(p workup.ProblemDocument) bool { return p.Code == "not_used" }) // a file says what is of no use to it
	doc.Practice = (&o.Conventions).Differing(orderfile.DefaultConventions("in"), "in")
	if len(doc.Practice) != 1 {
		t.Errorf("%s: %s is %v", convention, value, doc.Practice)
	}
	want, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != string(got.body) {
		t.Errorf("%s: %s in the settings gives\n%s\nand in the file\n%s", convention, value, got.body, want)
	}
}

// TestConventionsOfAFileGoFirst: what a file says of its own stands before the shop's, and in an order of other units a shop's length is as
// long.
func TestConventionsOfAFileGoFirst(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: fields{"seam": "5/8", "side_hem": "2", "surplus": "keep"}, status: 200})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-1", "conventions: {}", "conventions: {seam: 1/2}"), status: 201})
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders/SMI-1/workup", status: 200, has: map[string]string{"practice.seam": "0.625in", "practice.side_hem": "2in", "practice.surplus": "keep"}})
	w, err := s.Desk.Workup(context.Background(), "SMI-1")
	if err != nil {
		t.Fatal(err)
	}
	if c := w.Order.Conventions; c.Seam.In("in") != "0.5in" || c.SideHem.In("in") != "2in" {
		t.Errorf("a seam of %s, a side hem of %s", c.Seam.In("in"), c.SideHem.In("in"))
	}
	if c := s.Desk.Shop().Practice("cm"); c.Seam.In("in") != "0.625in" || c.BottomHem.In("mm") != "100mm" {
		t.Errorf("in centimetres a seam of %s, a bottom hem of %s", c.Seam.In("in"), c.BottomHem.In("mm"))
	}
}

// TestConventionsOfAnotherVersion: what this version can't read of what is kept is as shipped, and the rest stands.
func TestConventionsOfAnotherVersion(t *testing.T) {
	s := openShop(t)
	if err := s.Store.Set(context.Background(), store.Conventions, `{"seam":{"value":"0.625in","by":"office"},"later":{"value":"1in"},"surplus":{"value":"burnt"}}`); err != nil {
		t.Fatal(err)
	}
	s.anew(t)
	if own := s.Desk.Shop().Conventions.Own(); len(own) != 1 || own["seam"] != "0.625in" {
		t.Errorf("%v", own)
	}
}

// TestConventionsPage: the office tries and sets conventions by a form, without script; each field says what it may be and where its
// shipped value comes from.
func TestConventionsPage(t *testing.T) {
	s := openShop(t)
	const path = "/settings/conventions"
	s.visit(t, stations.Office, "/settings", 200, `href="`+path+`"`)
	page := s.visit(t, stations.Office, path, 200, `name="seam" value="1/2"`, `name="surplus" value="trim" checked`, "common practice")
	shipped := orderfile.DefaultConventions("in")
	for _, r := range orderfile.ShopConventions() {
		_, at, found := strings.Cut(page, `id="`+r.Key+`-help"`)
		help, _, _ := strings.Cut(at, "</li>")
		if !found || !strings.Contains(help, i18n.For("en").T("setup.source."+string(r.Sources.Inch))) {
			t.Errorf("the field of %s doesn't say where %q comes from", r.Key, r.Text(&shipped, "in"))
		}
	}
	form := url.Values{"seam": {"5/8"}, "order_step": {"1/4"}, "shrink": {"2,5"}, "surplus": {"keep"}, "length_allowance": {""}, "eyelet_clearance": {"1"}}
	tried := s.post(t, stations.Office, path, form, false)
	holds(t, "a try", tried, 200, []string{"What it changes", `name="seam" value="5/8"`, `name="surplus" value="keep" checked`, "by itself it changes nothing", `value="save"`})
	s.visit(t, stations.Office, path, 200, `name="seam" value="1/2"`)
	form.Set("do", "save")
	if got := s.post(t, stations.Office, path, form, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if p := s.Desk.Shop().Conventions.Own(); p["order_step"] != "9in" || p["shrink"] != "2.5 %" || len(p) != 5 {
		t.Errorf("saved as %v", p)
	}
	s.visit(t, stations.Office, path+"?did=settings", 200, "The settings are saved.", `name="seam" value="5/8"`, `name="order_step" value="1/4"`, `name="as_shipped" value="seam"`)
	wrong := s.post(t, stations.Office, path, url.Values{"seam": {"9"}, "step": {"x"}, "do": {"save"}}, false)
	holds(t, "wrong", wrong, 422, []string{`name="seam" value="9"`, `name="step" value="x"`, `aria-invalid="true"`})
	if n := strings.Count(string(wrong.body), `aria-invalid="true"`); n != 2 {
		t.Errorf("%d fields are marked", n)
	}
	form.Set("as_shipped", "seam")
	if got := s.post(t, stations.Office, path, form, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if own := s.Desk.Shop().Conventions.Own(); own["seam"] != nil || len(own) != 4 {
		t.Errorf("back to shipped: %v", own)
	}
}
