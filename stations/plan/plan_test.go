package plan

import (
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// TestPlan holds the tickets of the example order against its figures (golden_test.go of engine/workup) and its fixed names.
func TestPlan(t *testing.T) {
	tickets := Tickets(example(t, "SMI-014", 2), nil, newCodes())
	var list []string
	for _, spec := range tickets {
		list = append(list, string(spec.Kind)+" "+spec.Fabric+spec.Panel+strings.Repeat("'", spec.Copy))
	}
	if want := []string{"cutting reed", "cutting sateen", "panel L'", "panel R'", "panel L''", "panel R''"}; !slices.Equal(list, want) {
		t.Fatalf("tickets %q, want %q", list, want)
	}
	left := tickets[2]
	for _, want := range []struct {
		station Station
		enter   string
		checks  int
		caution string
	}{
		{Cutting, "", 0, ""},
		{Joining, "flat_width=124.5in -0.25in+0.25in", 4, "needle iron"},
		{Fold, "length_return=95.5in -0.25in+0.25in, length_middle=95.5in -0.25in+0.25in, length_leading=95.5in -0.25in+0.25in, fold_depth=4in -0.125in+0.125in", 3, ""},
		{Tape, "drop=0.25in -0.0625in+0.0625in, first_dot_return=0.5in -0.125in+0.125in, first_dot_leading=0.5in -0.125in+0.125in, dots=20", 7, "iron"},
		{PullUp, "pleats=19, finished_width=48.5in -0in+0.5in, cord_end=wound", 5, "cord"},
		{Inserts, "inserts=19", 5, "needle"},
		{Pressing, "", 2, "iron steam"},
		{Packing, "finished_width=48.5in -0.25in+0.25in, finished_length=95.5in -0.25in+0.25in", 7, "lifting"},
	} {
		step := left.At(want.station)
		if step == nil || entriesOf(step) != want.enter || len(step.Checks) != want.checks || strings.Join(step.Cautions, " ") != want.caution {
			t.Errorf("%s is %+v; want %+v", want.station, step, want)
		}
	}
	for station, value := range map[Station]Value{
		Cutting: {"cut_length", measure.Read("121.5in")}, Joining: {"seams", measure.Read("21.375in 74.375in")}, Fold: {"finished_length", measure.Read("95.5in")},
		Tape: {"tape_piece", measure.Read("126.5in")}, PullUp: {"cord_total", measure.Read("231in")}, Inserts: {"insert_turns", measure.Read("3")}, Packing: {"cord_end", measure.Read("wound")},
	} {
		i := slices.IndexFunc(left.Steps, func(s Step) bool { return s.Station == station })
		if !slices.Contains(left.Steps[i].Values, value) {
			t.Errorf("%s shows %+v, without %+v", station, left.Steps[i].Values, value)
		}
	}
	if left.Widths.String() != "2.5" || !slices.Equal(left.Fabrics, []string{"reed", "sateen"}) || !slices.Equal(left.Notes, []string{"Rod is up, measured twice"}) {
		t.Errorf("panel ticket %+v", left)
	}
}

// An interlined panel under a valance says so wherever it is handled, and what it is made of.
func TestPlanNamesWhatAPanelIsMadeOf(t *testing.T) {
	o, problems := orderfile.Parse([]byte(`order: FULL
units: in
conventions: {weights: cord}
fabrics:
  - {id: reed, use: face, usable_width: 54}
  - {id: sateen, use: lining, usable_width: 54}
  - {id: bump, use: interlining, usable_width: 48}
treatments:
  - {window: Bay, heading: pinch-3, draw: stationary, finished_width: 30, finished_length: 95, face: reed, lining: sateen, interlining: bump, under: "valance, 14 in deep", hook_drop: 1}
`))
	if o == nil {
		t.Fatal(problems)
	}
	tickets := Tickets(workup.Compute(o), nil, newCodes())
	for i, use := range []orderfile.Use{orderfile.Face, orderfile.Lining, orderfile.Interlining} {
		if tickets[i].Use != use {
			t.Errorf("%s is cut as %q", tickets[i].Fabric, tickets[i].Use)
		}
	}
	panel := tickets[3]
	if panel.Face() != "reed" || panel.Lining != "sateen" || panel.Interlining != "bump" || panel.Under != "valance, 14 in deep" || panel.Tape != "" {
		t.Errorf("%+v", panel)
	}
	for _, s := range []Station{Cutting, Joining, Packing} {
		if got := panel.At(s).Value("interlining"); got.String() != "bump" {
			t.Errorf("%s: interlined with %q", s, got)
		}
	}
	joining := panel.At(Joining)
	for _, check := range []string{"interlining_locked_in", "weight_cord_in"} {
		if !slices.Contains(joining.Checks, check) {
			t.Errorf("joining checks %q, not %s", joining.Checks, check)
		}
	}
	if slices.Contains(joining.Checks, "weights_in") || joining.Value("weights").String() != "" || joining.Value("weight_cord") != joining.Value("flat_width") {
		t.Errorf("a hem with a cord has weights: %+v", joining)
	}
	packing := panel.At(Packing)
	if packing.Value("hook_drop").String() != "1in" || packing.Value("hooks").String() == "" {
		t.Errorf("packing shows %+v", packing.Values)
	}
}

// TestNumbersAreTheWorkups: a value under a name of the work-up has the work-up's figure.
func TestNumbersAreTheWorkups(t *testing.T) {
	w := example(t, "SMI-014", 1)
	compared := 0
	for _, step := range Tickets(w, nil, newCodes())[2].Steps {
		for _, v := range step.Values {
			for _, n := range w.Treatments[0].Panels[0].Values() {
				if n.Name != v.Name {
					continue
				}
				compared++
				if n.Value.String() != v.Value.String() {
					t.Errorf("%s shows %s of %s, the work-up has %s", step.Station, v.Name, v.Value, n.Value)
				}
			}
		}
	}
	if compared < 25 {
		t.Errorf("only %d values have a name of the work-up's", compared)
	}
}

// Every number that a panel's ticket may have lies along an axis: one that doesn't would keep all numbers of the steps
// after it as they were.
func TestEveryNumberHasAnAxis(t *testing.T) {
	for _, list := range shipped().Stations {
		names := names(list.Values)
		for _, entry := range list.Enter {
			names = append(names, entry.Name)
		}
		for _, limit := range list.Pair {
			names = append(names, limit.Name)
		}
		for _, name := range names {
			if n := workup.NumberOf(Target(name)); n == nil || n.Axes == 0 {
				t.Errorf("%s at %s: the row of %s (engine/workup/numbers.go) says no axis: Axes", name, list.Station, Target(name))
			}
		}
	}
}

// TestChecksOfThePanel: what there is none of isn't checked, and a puddle is part of the length that is measured.
func TestChecksOfThePanel(t *testing.T) {
	w := example(t, "PLAIN", 1, "    lining: sateen\n", "", "draw: pair", "draw: one_way_left", "face_width: 84", "face_width: 10",
		"finished_length: 95 1/2", "finished_length: 95 1/2\n    puddle: 2")
	tickets := Tickets(w, nil, newCodes())
	if len(tickets) != 2 || tickets[1].Panel != "S" {
		t.Fatalf("tickets %+v", tickets)
	}
	for _, step := range tickets[1].Steps {
		for _, absent := range []string{"pattern_met", "lining_laid_in", "mate_beside", "pair_equal"} {
			if slices.Contains(step.Checks, absent) {
				t.Errorf("%s asks %s of an unlined single panel of one width", step.Station, absent)
			}
		}
		for _, v := range step.Values {
			if strings.HasPrefix(v.Name, "lining") || v.Name == "seams" {
				t.Errorf("%s shows %+v", step.Station, v)
			}
		}
	}
	if got := tickets[1].Steps[2].Enter[0].Target; got.String() != "97.5in" {
		t.Errorf("the length to measure is %s, want 95.5 and 2 of puddle", got)
	}
}

// TestPairWithoutTolerances: where the shop sets none, mates may differ as they like, and nothing is out of any.
func TestPairWithoutTolerances(t *testing.T) {
	w := example(t, "ORDER", 1)
	w.Order.Conventions.Tolerances = nil
	for _, ticket := range Tickets(w, nil, newCodes()) {
		for _, step := range ticket.Steps {
			if len(step.Pair) != 0 {
				t.Errorf("%s at %s: %+v", ticket.Panel, step.Station, step.Pair)
			}
			for _, e := range step.Enter {
				if e.Tolerance != nil {
					t.Errorf("%s at %s: %s within %+v", ticket.Panel, step.Station, e.Name, e.Tolerance)
				}
			}
		}
	}
}

// TestPairLimits: an eighth of an inch or three millimetres, unless the shop says otherwise.
func TestPairLimits(t *testing.T) {
	for units, want := range map[measure.Unit]string{measure.In: "0.125in", measure.CM: "0.3cm", measure.MM: "3mm"} {
		limits := shipped().row(Packing).limits(units, orderfile.DefaultConventions(units).Tolerances)
		if len(limits) != 2 || limits[0].Limit.String() != want || limits[1].Limit.String() != want {
			t.Errorf("%s: %+v, want %s", units, limits, want)
		}
	}
}

// TestCutLines: the cuts in their order on the bolt, past the flaw, for whom each is, and what is left.
func TestCutLines(t *testing.T) {
	cut := Tickets(example(t, "SMI-014", 1), nil, newCodes())[0]
	if len(cut.Cuts) != 5 {
		t.Fatalf("%d cuts, want 5", len(cut.Cuts))
	}
	var from []string
	parts := map[string]int{}
	for _, c := range cut.Cuts {
		if c.Length.String() != "121.5in" || c.Bolt != "R1" || c.Lot != "A" || c.TrimBottom.String() != "10in" || c.Class != "" {
			t.Errorf("cut %+v", c)
		}
		from = append(from, c.From.String())
		for _, p := range c.For {
			parts[p.String()+" "+string(p.Half)]++
		}
	}
	// Phases of 13.5 in; the flaw from 252 to 255 in pushes the third cut to the next phase.
	if want := []string{"0in", "121.5in", "256.5in", "378in", "499.5in"}; !slices.Equal(from, want) {
		t.Errorf("cut at %q, want %q", from, want)
	}
	for _, want := range []string{"Bay, left 1 L/1 right", "Bay, left 1 L/2 ", "Bay, left 1 L/3 ", "Bay, left 1 R/1 left", "Bay, left 1 R/2 ", "Bay, left 1 R/3 "} {
		if parts[want] != 1 {
			t.Errorf("%q is cut %d times: %v", want, parts[want], parts)
		}
	}
	if want := []Remnant{{Bolt: "R1", From: measure.Read("621in"), Length: measure.Read("31779in")}}; !slices.Equal(cut.Remnants, want) {
		t.Errorf("left over: %+v, want %+v", cut.Remnants, want)
	}
	for _, c := range Tickets(example(t, "HALF", 1, "match: straight", "match: half_drop"), nil, newCodes())[0].Cuts {
		if c.Class != "A" && c.Class != "B" {
			t.Errorf("a cut of half-drop cloth has class %q", c.Class)
		}
	}
}

// TestBesides: the end of a bolt goes from behind others' parts that it meets to where the next begins.
func TestBesides(t *testing.T) {
	in := func(from, to int) cutting.Span {
		return cutting.Span{From: measure.Inch.Times(from), To: measure.Inch.Times(to)}
	}
	for _, tt := range []struct {
		spoken []cutting.Span
		want   cutting.Span
	}{
		{nil, in(100, 400)},
		{[]cutting.Span{in(0, 50)}, in(100, 400)},
		{[]cutting.Span{in(200, 300), in(0, 50)}, in(100, 200)},
		{[]cutting.Span{in(300, 350), in(200, 250)}, in(100, 200)},
		{[]cutting.Span{in(50, 150), in(250, 300)}, in(150, 250)},
		{[]cutting.Span{in(100, 400)}, in(100, 100)},
	} {
		if got := besides(in(100, 400), tt.spoken); got != tt.want {
			t.Errorf("%v: %v, want %v", tt.spoken, got, tt.want)
		}
	}
}

// TestEveryHeadingIsChecked: at each station that a heading's panels pass once they are cut, something is checked.
func TestEveryHeadingIsChecked(t *testing.T) {
	for _, d := range orderfile.Headings() {
		for _, s := range shipped().of(d.Heading).Stations {
			if s != Cutting && len(shipped().row(s).Checks) == 0 {
				t.Errorf("nothing is checked of %s at %s: its row in stations/plan/routes.yaml wants checks", d.Heading, s)
			}
		}
	}
}

func TestRoutesFile(t *testing.T) {
	if _, err := readRoutes(routesFile); err != nil {
		t.Fatal(err)
	}
	// Each way is passed in its order, and what two ways share stands once.
	all := Stations()
	for _, way := range shipped().Routes {
		for i, s := range way.Stations[1:] {
			if before := way.Stations[i]; slices.Index(all, before) >= slices.Index(all, s) {
				t.Errorf("%s doesn't stand before %s in %q", before, s, all)
			}
		}
	}
	if len(slices.Compact(slices.Sorted(slices.Values(all)))) != len(all) {
		t.Errorf("a station stands twice in %q", all)
	}
	for _, bad := range []struct{ old, new, says string }{
		{"stations: [cutting, joining,", "stations: [joining, cutting,", "must begin with cutting"},
		{"stations: [cutting, joining,", "stations: [cutting, roof,", `station "roof" has no checklist`},
		{"stations: [cutting, joining,", "stations: [cutting, joining, joining,", "twice"},
		{"values: [fabric, cuts,", "values: [fabric, cutz,", `"cutz"`},
		{"target: top_drop", "target: drop", `"drop"`},
		{"values: [inserts,", "values: [insert,", `"insert"`},
		{"kind: choice", "kind: colour", `"colour"`},
		{", options: [wound, tucked, cut]", "", "options"},
		{"lining_laid_in, when: lined", "lining_laid_in, when: lucky", `"lucky"`},
		{"    cautions: [lifting]", "    cautions: [lifting]\n    minutes: -3", "-3 minutes"},
		{"    cautions: [lifting]", "    caution: [lifting]", "caution"},
		{"  - station: cutting", "  - station: cutting\n    checks: [{name: tag_on_every_piece}]", "nothing at cutting"},
		{"shape: tube, ", "", "lacks its mark"},
		{"shape: tube, colour: vermilion", "shape: circle, colour: orange", `"inserts" of routes.yaml have one mark`},
		{"      - {name: iron_below, of: [heading_fold]}", "      - {name: iron_below}", `"iron_below"`},
		{"    label:\n      - {name: iron_below, of: [heading_fold]}\n      - {name: iron_below_tape, of: [stitch_line]}\n", "", "numbers of its label"},
		{"{name: needle, headings: [ring]}", "{name: needle, headings: [rings]}", `"needle": no heading is called "rings"`},
		{"{name: heading_fold, headings: [cartridge-tape,", "{name: heading_fold, headings: [cartridge,", `"heading_fold": no heading is called "cartridge"`},
		{"pleating, inserts", "inserts, pleating", "in both directions"},
		{"sewing, outside, packing", "sewing, packing", `"outside" of routes.yaml stands on no route`},
		{"  - name: pinch\n", "  - name: pinched\n", `heading "pinch-2" goes by no route "pinch"`},
	} {
		file := strings.Replace(string(routesFile), bad.old, bad.new, 1)
		if file == string(routesFile) {
			t.Errorf("no %q in the routes", bad.old)
		}
		if _, err := readRoutes([]byte(file)); err == nil || !strings.Contains(err.Error(), bad.says) {
			t.Errorf("%q for %q: %v, want %q in it", bad.new, bad.old, err, bad.says)
		}
	}
}

// entriesOf writes a step's entries as server/interface.md lists them: name, target, and how far off it may be.
func entriesOf(s *Step) string {
	var list []string
	for _, e := range s.Enter {
		text := e.Name + "=" + e.Target.String()
		if e.Tolerance != nil {
			text += " -" + e.Tolerance.Minus.String() + "+" + e.Tolerance.Plus.String()
		}
		list = append(list, text)
	}
	return strings.Join(list, ", ")
}

// newCodes gives one code after the other.
func newCodes() func() Code {
	n := uint64(0)
	return func() Code { n++; return NewCode(n) }
}

// example is the order of testdata/contract, with n windows and cloth for them, and changes by pairs of old and new text.
func example(t *testing.T, id string, n int, changes ...string) *workup.Workup {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/contract/order.yaml")
	if err != nil {
		t.Fatal(err)
	}
	file := string(raw)
	changes = append([]string{"order: SMI-014", "order: " + id, "quantity: 1", "quantity: " + strconv.Itoa(n),
		"length: 40 yd", "length: 900 yd", "length: 20 yd", "length: 900 yd"}, changes...)
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(file, changes[i]) {
			t.Fatalf("no %q in the example order", changes[i])
		}
		file = strings.Replace(file, changes[i], changes[i+1], 1)
	}
	o, problems := orderfile.Parse([]byte(file))
	if engine.AnyError(problems) {
		t.Fatal(problems)
	}
	return workup.Compute(o)
}

// What a sheer, a pile and a railroaded panel ask of a hand, and what isn't asked where there is none of it.
func TestPlanHeedsTheCloth(t *testing.T) {
	o, problems := orderfile.Parse([]byte(`order: CLOTH
units: in
fabrics:
  - {id: voile, use: face, usable_width: 118, sheer: true}
  - {id: velvet, use: face, usable_width: 54, pile: down}
  - {id: linen, use: face, usable_width: 54}
treatments:
  - {window: Bay, heading: pinch-3, draw: stationary, finished_width: 30, finished_length: 90, face: voile, railroad: true}
  - {window: Snug, heading: pinch-3, draw: stationary, finished_width: 30, finished_length: 90, face: velvet}
  - {window: Hall, heading: pinch-3, draw: stationary, finished_width: 30, finished_length: 90, face: linen, bands: [{edge: bottom, width: 3, fabric: velvet}]}
`))
	if o == nil {
		t.Fatal(problems)
	}
	w := workup.Compute(o)
	asked := func(check string) string {
		var of []string
		for _, ticket := range Tickets(w, nil, newCodes()) {
			for _, step := range ticket.Steps {
				if slices.Contains(step.Checks, check) {
					of = append(of, string(step.Station)+" "+ticket.Fabric+ticket.Window)
				}
			}
		}
		return strings.Join(of, ", ")
	}
	for check, want := range map[string]string{
		"pile_one_way": "cutting velvet, joining Snug", "turned_top_marked": "cutting voile", "hem_edges_in_fold": "joining Bay", "weight_cord_in": "joining Bay", "weights_in": "joining Snug, joining Hall",
	} {
		if got := asked(check); got != want {
			t.Errorf("%s is asked at %q, want %q", check, got, want)
		}
	}
	for i := range o.Treatments {
		m := subject{panel: &w.Treatments[i].Panels[0], line: &o.Treatments[i], units: o.Units}
		for c, of := range map[condition]int{sheer: 0, railroaded: 0, piled: 1, banded: 2} {
			if c.holds(m) != (i == of) {
				t.Errorf("%s of %s is %v", c, m.line.Window, c.holds(m))
			}
		}
	}
	tickets := Tickets(w, nil, newCodes())
	turned := tickets[slices.IndexFunc(tickets, func(s Ticket) bool { return s.Window == "Bay" })]
	step := turned.At(Cutting)
	// 30 in at 3 and four side hems of 1 in; neither widths nor a cut length, which would be taken for its height
	if step.Value("run").String() != "94in" || !step.Value("cut_length").IsZero() || !step.Value("widths").IsZero() || step.Value("plain_length").String() != "108in" {
		t.Errorf("%+v", step.Values)
	}
	cut := tickets[slices.IndexFunc(tickets, func(s Ticket) bool { return s.Fabric == "voile" })].Cuts[0]
	if !cut.Railroaded || cut.Across.String() != "108in" || cut.Length.String() != "94in" {
		t.Errorf("%+v", cut)
	}
}
