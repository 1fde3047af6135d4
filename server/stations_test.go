package server

import (
	"context"
	"net/url"
	"slices"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// steaming is a station that a shop adds behind pressing, with a check and a measure.
func steaming() fields {
	return fields{"station": "own", "name": "Steaming", "bench": "Iron", "after": []fields{{"route": "cartridge-tape", "station": "pressing"}},
		"checks": []fields{{"label": "Hung straight"}}, "enter": []fields{{"target": "finished_width", "minus": "1/8", "plus": "1/4 in"}}}
}

func wayOf(s *shop, order, window string) (way []string) {
	for _, ticket := range s.Store.Floor().Order(order).Tickets {
		if ticket.Spec.Kind == plan.PanelTicket && (window == "" || ticket.Spec.Window == window) {
			for i := range ticket.Spec.Steps {
				way = append(way, string(ticket.Spec.Steps[i].Station))
			}
			return way
		}
	}
	return nil
}

// TestStations: a program reads them and sets them as a whole; what is wrong is all told at once, each at its row.
func TestStations(t *testing.T) {
	s := openShop(t)
	const path = "/api/stations"
	send := func(rows ...fields) fields { return fields{"stations": rows} }
	list := s.ask(t, scene{as: stations.Office, do: "GET " + path, status: 200, has: map[string]string{
		"stations.#": "16", "stations.0.station": "cutting", "stations.0.off": "false", "stations.0.label": "Cutting", "routes.0.route": "cartridge-tape", "routes.0.stations.#": "8"}})
	s.play(t, []scene{
		{name: "as it was read", as: stations.Office, do: "PUT " + path, send: string(list.body), header: map[string]string{"Content-Type": "application/json"}, status: 200, has: map[string]string{"stations.#": "16"}},
		{name: "all that is wrong", as: stations.Office, do: "PUT " + path, status: 422, has: map[string]string{"problems.#": "7",
			"problems.0.where": "stations[0].station", "problems.1.where": "stations[1].off", "problems.2.code": "safety_lost", "problems.2.where": "stations[2].off",
			"problems.3.where": "stations[3].name", "problems.4.where": "stations[3].after", "problems.5.where": "stations[3].checks[0]", "problems.6.where": "stations[3].enter[0]"},
			send: send(fields{"station": "weaving"}, fields{"station": "cutting", "off": true}, fields{"station": "pull_up", "off": true},
				fields{"station": "own", "checks": []fields{{"label": ""}}, "enter": []fields{{"target": "pleats", "minus": "1"}}})},
		{name: "a name that another has", as: stations.Office, do: "PUT " + path, status: 422, send: send(fields{"station": "fold", "name": "pressing"}),
			has: map[string]string{"problems.0.code": "duplicate", "problems.0.where": "stations[0].name"}},
		{name: "a route without work", as: stations.Office, do: "PUT " + path, status: 422, send: send(fields{"station": "sewing", "off": true}, fields{"station": "packing", "off": true, "safety": "next"}),
			has: map[string]string{"problems.#": "1", "problems.0.code": "route_empty"}},
		{name: "no rows", as: stations.Office, do: "PUT " + path, send: fields{}, status: 422, code: "missing_key"},
		{name: "set", as: stations.Office, do: "PUT " + path, status: 200, send: send(fields{"station": "inserts", "off": true}, fields{"station": "fold", "name": "Folding table"}, steaming()),
			has: map[string]string{"stations.#": "17", "routes.0.stations.#": "8", "routes.0.stations.6": "own_a"}},
		{name: "a program reads", as: stations.Program, do: "GET " + path, status: 200},
		{name: "and doesn't set", as: stations.Program, do: "PUT " + path, send: send(), status: 403, code: "forbidden"},
	})
	record := string(s.ask(t, scene{as: stations.Office, do: "GET /api/record", status: 200}).body)
	for _, want := range []string{"stations: inserts – → off", "stations: fold – → “Folding table”", "stations: own_a – → “Steaming”"} {
		if strings.Count(record, want) != 1 {
			t.Errorf("the record hasn't %q once\n%s", want, record)
		}
	}
	if body := string(s.ask(t, scene{as: stations.Office, do: "GET /api/export.json", status: 200}).body); !strings.Contains(body, "Hung straight") {
		t.Error("the export lacks a check of the shop's own station")
	}
}

// TestStationsAreOfLaterReleases: what the shop says of its stations is for orders released afterwards; those on the floor keep their way,
// also for what a revision adds.
func TestStationsAreOfLaterReleases(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	was := wayOf(s, "SMI-1", "")
	s.ask(t, scene{as: stations.Office, do: "PUT /api/stations", status: 200, send: fields{"stations": []fields{{"station": "pull_up", "off": true, "safety": "next"}, steaming()}}})
	s.release(t, "SMI-2")
	if got := wayOf(s, "SMI-1", ""); !slices.Equal(got, was) {
		t.Errorf("a released order goes %v, it went %v", got, was)
	}
	if got, want := wayOf(s, "SMI-2", ""), []string{"cutting", "joining", "fold", "tape", "inserts", "pressing", "own_a", "packing"}; !slices.Equal(got, want) {
		t.Errorf("an order released since goes %v, want %v", got, want)
	}
	for _, ticket := range s.Store.Floor().Order("SMI-2").Tickets {
		if ticket.Spec.Kind != plan.PanelTicket {
			continue
		}
		next := ticket.Spec.At(plan.Inserts)
		if !slices.Contains(next.Checks, "end_made_safe") || next.Entry("cord_end") == nil {
			t.Errorf("%s: the cord end is not made safe at the next station: %v", ticket.Spec.Panel, next.Checks)
		}
	}
	s.ask(t, scene{as: stations.Office, do: "PUT /api/stations", status: 409, code: "station_used", send: fields{"stations": []fields{}}})
	for _, order := range []string{"SMI-1", "SMI-2"} {
		way := wayOf(s, order, "")
		s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/" + order, send: orderFile(t, order, "quantity: 1", "quantity: 2", "40 yd", "90 yd", "20 yd", "60 yd"), status: 200})
		for _, ticket := range s.Store.Floor().Order(order).Tickets {
			var added []string
			for i := range ticket.Spec.Steps {
				added = append(added, string(ticket.Spec.Steps[i].Station))
			}
			if ticket.Spec.Kind == plan.PanelTicket && !slices.Equal(added, way) {
				t.Errorf("%s: %s %d goes %v, its order %v", order, ticket.Spec.Panel, ticket.Spec.Copy, added, way)
			}
		}
	}
	panels := s.workThrough(t, codesOf(s, "SMI-2"))
	if done := s.Store.Floor().Ticket(plan.Code(panels[0])); done.State() != stations.Finished {
		t.Errorf("a panel that was taken through the shop's own station is %s", done.State())
	}
	if faults, err := s.Store.Audit(context.Background()); err != nil || len(faults) > 0 {
		t.Errorf("audit: %v %v", faults, err)
	}
}

// TestStationWithWork: a station at which work lies is not switched off by the way: it is said what lies there, and it is done there.
func TestStationWithWork(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	off := fields{"station": "joining", "off": true}
	s.cutAll(t, "SMI-1")
	refused := s.ask(t, scene{as: stations.Office, do: "PUT /api/stations", status: 409, code: "station_busy", send: fields{"stations": []fields{off}},
		has: map[string]string{"problems.0.where": "stations[0].off", "where.station": "joining"}})
	if n := len(s.Store.Floor().Order("SMI-1").Tickets); !strings.Contains(string(refused.body), "SMI-1") || n == 0 {
		t.Errorf("it isn't said what lies there: %s", refused.body)
	}
	s.ask(t, scene{as: stations.Office, do: "PUT /api/stations", status: 200, send: fields{"stations": []fields{off}, "leave": true}})
	s.visit(t, stations.Bench, "/", 200, "/station/joining")
	s.visit(t, stations.Bench, "/station/joining", 200)
	if n := len(s.Desk.Shop().Fittings.Layout.Open()); n != 15 {
		t.Errorf("%d stations are open", n)
	}
}

func codesOf(s *shop, order string) (codes []string) {
	for _, ticket := range s.Store.Floor().Order(order).Tickets {
		codes = append(codes, string(ticket.Spec.Code))
	}
	return codes
}

// TestStationsPage: the office sets them by a form, without script: it sees the routes first, and what is wrong at its station.
func TestStationsPage(t *testing.T) {
	s := openShop(t)
	const path = "/settings/stations"
	s.visit(t, stations.Office, "/settings", 200, `href="`+path+`"`)
	s.visit(t, stations.Office, path, 200, "Stations and routes", `name="own-name"`)
	form := url.Values{"do": {"try"}, "pull_up-off": {"yes"}, "pull_up-next": {"yes"}, "fold-name": {"Folding table"}, "fold-bench": {"Long table"}, "tape-bench": {"Long table"},
		"own-name": {"<Steaming>"}, "own-after-cartridge-tape": {"pressing"}, "own-check-1": {"Hung <straight>"}, "own-enter": {"finished_width"}, "own-finished_width-minus": {"1/8"}}
	holds(t, "try", s.post(t, stations.Office, path, form, false), 200, []string{"The routes with this", "Asked at the next station:", `value="1/8"`, "&lt;Steaming&gt;"})
	if s.Desk.Shop().Fittings.Layout != nil {
		t.Fatal("a try has kept something")
	}
	form.Set("do", "save")
	if got := s.post(t, stations.Office, path, form, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	s.visit(t, stations.Office, path+"?did=settings", 200, "The settings are saved.", `value="Hung &lt;straight&gt;"`, "own_a_check_1")
	s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	for _, at := range []string{"/", "/board", "/help", "/station/fold", "/settings/devices", "/settings/measuring", "/screen"} {
		s.visit(t, stations.Office, at, 200, "Folding table")
	}
	s.visit(t, stations.Office, "/help/own_a", 200, "&lt;Steaming&gt;", "Hung &lt;straight&gt;", "Finished width")
	s.visit(t, stations.Office, "/help/own_b", 404)
	s.visit(t, stations.Office, "/station/own_a", 200, "&lt;Steaming&gt;")
	s.visit(t, stations.Office, "/station/own_b", 404)
	s.visit(t, stations.Office, "/settings/devices", 200, `name="together" value="Long table"`)
	_, _, cookie := s.letIn(t, fields{"name": "Long table", "kind": "bench"})
	b := benchOf{s, cookie}
	if got := b.page(t, "/station/tape"); got.status != 303 || got.header.Get("Location") != "/station/fold" {
		t.Errorf("a bench that isn't bound opens the shop's bench at %d %s", got.status, got.header.Get("Location"))
	}
	wrong := s.post(t, stations.Office, path, url.Values{"do": {"save"}, "pull_up-off": {"yes"}, "own_a-name": {"Steaming"}, "own_a-check-1": {"New"}}, false)
	holds(t, "wrong", wrong, 422, []string{"Safety checks are made at", "Choose at least one route", `value="New"`})
	busy := s.post(t, stations.Office, path, url.Values{"do": {"save"}, "joining-off": {"yes"}, "own_a-name": {"Steaming"}, "own_a-after-pinch": {"packing"}}, false)
	holds(t, "busy", busy, 409, []string{`name="leave"`, "SMI-1"})
	if got := s.post(t, stations.Office, path, url.Values{"do": {"save"}, "leave": {"yes"}, "joining-off": {"yes"}, "own_a-name": {"Steaming"}, "own_a-after-pinch": {"packing"}}, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	panel := s.Store.Floor().Order("SMI-1").Tickets[2].Spec.Code
	s.passSteps(t, panel, 5)
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(string(panel), "start", "own_a"), status: 200})
	s.visit(t, stations.Office, "/t/"+string(panel), 200, "Hung &lt;straight&gt;") // it asks what it was released with
}

// TestOwnStationsAreMeasuredLessOften: what a station of the shop's own measures and checks is asked when the shop says so, as of later
// releases; pieces are not measured; a station that takes its place doesn't inherit that.
func TestOwnStationsAreMeasuredLessOften(t *testing.T) {
	s := openShop(t)
	office, both := stations.Office, steaming()
	both["after"] = []fields{{"route": "cartridge-tape", "station": "pressing"}, {"route": "piece", "station": "sewing"}}
	s.ask(t, scene{as: office, do: "PUT /api/stations", status: 200, send: fields{"stations": []fields{both}}})
	list := string(s.ask(t, scene{as: office, do: "GET /api/measuring", status: 200}).body)
	entry := `{"route":"cartridge-tape","station":"own_a","name":"own_a_finished_width","when":"always","kind":"entry","label":"Finished width","default":"always","values":["always","first_of_pair","first_of_order","never"]}`
	for _, want := range []string{entry, `"name":"own_a_check_1","when":"always","kind":"check","label":"Hung straight"`} {
		if !strings.Contains(list, want) {
			t.Errorf("%s\nis not in\n%.300s", want, list[max(0, strings.Index(list, "own_a")-40):])
		}
	}
	if strings.Contains(list, `"route":"piece","station":"own_a","name":"own_a_finished_width"`) || !strings.Contains(list, `"route":"piece","station":"own_a","name":"own_a_check_1"`) {
		t.Error("pieces are measured")
	}
	row := func(name, when string) fields {
		return fields{"route": "cartridge-tape", "station": "own_a", "name": name, "when": when}
	}
	rows := []fields{row("own_a_finished_width", "first_of_pair"), row("own_a_check_1", "never")}
	s.ask(t, scene{as: office, do: "PUT /api/measuring", status: 422, send: fields{"rows": []fields{row("own_a_check_2", "never")}}, has: map[string]string{"problems.0.code": "bad_value"}})
	s.ask(t, scene{as: office, do: "PUT /api/measuring", status: 200, send: fields{"rows": rows}})
	s.visit(t, office, "/settings/measuring", 200, `name="cartridge-tape/own_a/own_a_finished_width"`, "Hung straight")
	s.release(t, "SMI-1", "window: Bay, left", "window: Bay")
	for _, ticket := range s.Store.Floor().Order("SMI-1").Tickets {
		if step := ticket.Spec.At("own_a"); step != nil && (step.When("own_a_finished_width") != plan.FirstOfPair || step.When("own_a_check_1") != plan.Never) {
			t.Errorf("%s asks %v", ticket.Spec.Panel, step.Asked)
		}
	}
	s.workThrough(t, codesOf(s, "SMI-1"))
	s.audited(t)

	other := openShop(t)
	other.ask(t, scene{as: office, do: "PUT /api/stations", status: 200, send: fields{"stations": []fields{steaming()}}})
	other.ask(t, scene{as: office, do: "PUT /api/measuring", status: 200, send: fields{"rows": rows}})
	named := steaming()
	named["station"], named["name"] = "own_a", "Steam"
	other.ask(t, scene{as: office, do: "PUT /api/stations", status: 200, send: fields{"stations": []fields{named}}})
	if list := string(other.ask(t, scene{as: office, do: "GET /api/measuring", status: 200}).body); strings.Contains(list, entry) {
		t.Error("a new name has a station forget what it asks when")
	}
	other.ask(t, scene{as: office, do: "PUT /api/stations", status: 200, send: fields{"stations": []fields{steaming()}}})
	if list := string(other.ask(t, scene{as: office, do: "GET /api/measuring", status: 200}).body); !strings.Contains(list, entry) {
		t.Error("a new station is asked as seldom as the one before it")
	}
}
