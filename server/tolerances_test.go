package server

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestTolerances: a program reads them and sets them as a whole; what is wrong is all told at once, each at its row.
func TestTolerances(t *testing.T) {
	s := openShop(t)
	const path = "/api/tolerances"
	row := func(name string) string {
		for i, r := range orderfile.AllTolerances() {
			if r.Key == name {
				return fmt.Sprintf("rows.%d.", i)
			}
		}
		t.Fatal("no tolerance " + name)
		return ""
	}
	list := s.ask(t, scene{as: stations.Office, do: "GET " + path, status: 200, has: map[string]string{
		row("drop") + "minus": "0.0625in", row("drop") + "stations.0": "tape", row("drop") + "source": "practice", row("drop") + "changed": "",
		row("finished_width") + "source": "ufgs", row("finished_width") + "stations.#": "2", row("finished_width") + "stations.0": "pleating",
		row("pull_up.finished_width") + "minus": "0in", row("pull_up.finished_width") + "stations.#": "1", row("packing.pair_width") + "stations.0": "packing",
		row("usable_width") + "stations.0": "cutting", row("usable_width") + "plus": "1in", row("length_middle") + "stations.1": "heading"}})
	send := func(rows ...fields) fields { return fields{"rows": rows} }
	s.play(t, []scene{
		{name: "as it was read", as: stations.Office, do: "PUT " + path, send: string(list.body), header: map[string]string{"Content-Type": "application/json"}, status: 200, has: map[string]string{row("drop") + "changed": ""}},
		{name: "all that is wrong", as: stations.Office, do: "PUT " + path, status: 422,
			send: send(fields{"name": "drop", "minus": "x", "plus": "-1"}, fields{"name": "dropp", "minus": "1"}, fields{"name": "pull_up.finished_width", "plus": "31 m"}, fields{"name": "drop"}, fields{"name": "flat_width", "minus": "1/2"}),
			has:  map[string]string{"problems.#": "3", "problems.0.code": "duplicate", "problems.0.where": "rows[3].name"}},
		{name: "wrong at their places", as: stations.Office, do: "PUT " + path, status: 422, send: send(fields{"name": "pull_up.finished_width", "plus": "31 m"}, fields{"name": "dropp"}),
			has: map[string]string{"problems.#": "2", "problems.0.where": "rows[0].plus", "problems.1.where": "rows[1].name", "problems.1.code": "unknown_key"}},
		{name: "no rows", as: stations.Office, do: "PUT " + path, send: fields{}, status: 422, code: "missing_key"},
		{name: "set", as: stations.Office, do: "PUT " + path, send: send(fields{"name": "flat_width", "minus": "1/8", "plus": "1/2 in"}, fields{"name": "drop", "minus": "1/8"}), status: 200, has: map[string]string{
			row("flat_width") + "minus": "0.125in", row("flat_width") + "plus": "0.5in", row("flat_width") + "default.plus": "0.25in", row("flat_width") + "changed.to": "−0.125in +0.5in",
			row("drop") + "minus": "0.125in", row("drop") + "plus": "0.0625in"}},
		{name: "the whole is set", as: stations.Office, do: "PUT " + path, send: send(fields{"name": "flat_width", "minus": "1/8", "plus": "1/2 in"}), status: 200, has: map[string]string{
			row("drop") + "minus": "0.0625in", row("drop") + "changed.from": "−0.125in +0.0625in"}},
		{name: "a program reads", as: stations.Program, do: "GET " + path, status: 200},
		{name: "and doesn't set", as: stations.Program, do: "PUT " + path, send: send(), status: 403, code: "forbidden"},
	})
	record := string(s.ask(t, scene{as: stations.Office, do: "GET /api/record", status: 200}).body)
	for _, want := range []string{"tolerances: flat_width ±0.25in → −0.125in +0.5in", "tolerances: drop −0.125in +0.0625in → ±0.0625in"} {
		if strings.Count(record, want) != 1 {
			t.Errorf("the record hasn't %q once\n%s", want, record)
		}
	}
}

// TestEveryToleranceIsOfLaterOrders: with each set otherwise, an order that is taken then is held to it at its stations and to no other, and
// what was taken and released before keeps its own.
func TestEveryToleranceIsOfLaterOrders(t *testing.T) {
	s := openShop(t)
	old := s.release(t, "SMI-1")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-2"), status: 201})
	allowed := func(order string) map[string]string {
		all := map[string]string{}
		for _, ticket := range s.Store.Floor().Order(order).Tickets {
			for i := range ticket.Spec.Steps {
				step := &ticket.Spec.Steps[i]
				for _, e := range step.Enter {
					if e.Tolerance != nil {
						all[string(step.Station)+" "+e.Name] = e.Tolerance.Minus.String() + " " + e.Tolerance.Plus.String()
					}
				}
				for _, p := range step.Pair {
					all[string(step.Station)+" "+p.Name] = p.Limit.String()
				}
			}
		}
		return all
	}
	before := allowed("SMI-1")
	hand := []string{"heading: cartridge-tape", "heading: pinch-3", "    tape: cart-4\n", "", "    cord_end: wound\n", ""}
	s.release(t, "T-0")
	s.release(t, "H-0", hand...)
	boxes := append([]string{"heading: cartridge-tape", "heading: box"}, hand[2:]...)
	s.release(t, "B-0", boxes...)
	const noTape = "    tape: cart-4\n"
	pole := []string{"treatments:\n", "rods: [{id: pole, diameter: 1, carrier_pitch: 3}]\ntreatments:\n", "    cord_end: wound\n", ""}
	eyelets := append([]string{"heading: cartridge-tape", "heading: eyelet", noTape, ""}, pole...)
	tabs := append([]string{"heading: cartridge-tape", "heading: tab", noTape, ""}, pole...)
	pocket := append([]string{"heading: cartridge-tape", "heading: rod-pocket\n    pocket: {stand: 1}", noTape, ""}, pole...)
	wave := append([]string{"heading: cartridge-tape", "heading: wave-tape", "tape: cart-4", "tape: wave", "tapes:\n", "tapes:\n  - {id: wave, kind: wave, height: 3, pocket_pitch: 3/4, pockets: 8}\n"}, pole...)
	ways := map[string][]string{"T-": nil, "H-": hand, "B-": boxes, "E-": eyelets, "L-": tabs, "P-": pocket, "W-": wave}
	for _, name := range []string{"E-", "L-", "P-", "W-"} {
		s.release(t, name+"0", ways[name]...)
	}
	for i, r := range orderfile.AllTolerances() {
		s.ask(t, scene{as: stations.Office, do: "PUT /api/tolerances", status: 200, send: fields{"rows": []fields{{"name": r.Key, "minus": "3/64 in", "plus": "5/64 in"}}}})
		moved := map[plan.Station]bool{}
		for shipped, changes := range ways {
			name := fmt.Sprintf("%s%d", shipped, i+1)
			s.release(t, name, changes...)
			was, is := allowed(shipped+"0"), allowed(name)
			for at, text := range is {
				station, entry, _ := strings.Cut(at, " ")
				if text == was[at] {
					continue
				}
				moved[plan.Station(station)] = true
				if entry != r.Entry() || text != "0.046875in 0.078125in" && text != "0.078125in" {
					t.Errorf("%s moves %s to %s", r.Key, at, text)
				}
			}
		}
		for _, station := range plan.HeldTo(r.Key) {
			if !moved[station] {
				t.Errorf("%s moves nothing at %s", r.Key, station)
			}
			delete(moved, station)
		}
		if len(moved) > 0 {
			t.Errorf("%s moves something at %v", r.Key, moved)
		}
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/SMI-2/release", send: fields{}, status: 200})
	for _, order := range []string{"SMI-1", "SMI-2"} {
		if got := allowed(order); fmt.Sprint(got) != fmt.Sprint(before) {
			t.Errorf("%s is held to %v, it was taken with %v", order, got, before)
		}
	}
	if len(old) == 0 || len(before) < 8 {
		t.Error("nothing was looked at")
	}
}

// TestTolerancesPage: the office sets them by a form, without script.
func TestTolerancesPage(t *testing.T) {
	s := openShop(t)
	const path = "/settings/tolerances"
	s.visit(t, stations.Office, "/settings", 200, `href="`+path+`"`)
	page := s.visit(t, stations.Office, path, 200, "UFGS 12 22 00", "common practice")
	for _, want := range []string{"name=\"drop-minus\"\nvalue=\"1/16\"", "name=\"pull_up.finished_width-minus\"\nvalue=\"0\"", "name=\"packing.pair_width-both\"\nvalue=\"1/8\""} {
		if !strings.Contains(page, want) {
			t.Errorf("%s is not there", want)
		}
	}
	form := url.Values{"drop-minus": {"1/8"}, "drop-plus": {""}, "packing.pair_width-both": {"1/4"}}
	if got := s.post(t, stations.Office, path, form, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	c := s.Desk.Shop().Practice("in").Tolerances
	if got := fmt.Sprint(c["drop"].Minus.In("in"), c["drop"].Plus.In("in"), c["packing.pair_width"].Minus.In("in"), c["packing.pair_width"].Plus.In("in")); got != "0.125in0.0625in0.25in0.25in" && got != "0.125in 0.0625in 0.25in 0.25in" {
		t.Error(got)
	}
	s.visit(t, stations.Office, path+"?did=settings", 200, "The settings are saved.", `name="as_shipped" value="drop"`, "→")
	wrong := s.post(t, stations.Office, path, url.Values{"drop-minus": {"x"}, "flat_width-plus": {"-1"}, "drop-plus": {"1/4"}}, false)
	holds(t, "wrong", wrong, 422, []string{`value="x"`, `value="-1"`, `value="1/4"`})
	if n := strings.Count(string(wrong.body), `aria-invalid="true"`); n != 2 {
		t.Errorf("%d fields are marked", n)
	}
	form.Set("as_shipped", "drop")
	if got := s.post(t, stations.Office, path, form, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if own := s.Desk.Shop().Tolerances.Own(); len(own) != 1 || own["packing.pair_width"] == nil {
		t.Errorf("%v", own)
	}
}
