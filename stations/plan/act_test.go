package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// touches counts what a hand does at a step of a right panel: the start, a touch for each measure, one for each act; the last
// of them finishes it. A choice that is made in an act costs none of its own. The mate of one that is measured is asked less.
func touches(s *Step, mate bool) int {
	n := 1
	checks := slices.DeleteFunc(slices.Clone(s.Checks), func(c string) bool { return mate && s.When(c) != Always })
	acts := Acts(s.Station, checks)
	for _, e := range s.Enter {
		if s.When(e.Name) == Never || mate && s.When(e.Name) != Always {
			continue
		}
		if !slices.ContainsFunc(acts, func(a Act) bool { return a.With == e.Name }) {
			n++
		}
	}
	return n + len(acts)
}

// TestTouches: a right panel, with everything that a panel can have, takes no more touches than a hand has patience for: 32 by
// tape and 26 by hand over its whole way, 28 of a goblet that passes a station more, 6 at any station, 7 where its length is measured beside
// what it hangs by; its mate, as shipped, 28 by tape.
func TestTouches(t *testing.T) {
	for heading, limit := range map[string]struct{ whole, mate, station int }{
		"cartridge-tape": {32, 28, 6}, "pinch-tape": {30, 26, 6}, "pinch-2": {26, 22, 6}, "pinch-3": {26, 22, 6}, "cartridge-hand": {26, 22, 6},
		"goblet": {28, 24, 6}, "box": {26, 23, 6}, "inverted-box": {26, 23, 6},
		"pencil-tape": {25, 23, 6}, "rod-pocket": {17, 16, 7}, "eyelet": {22, 19, 6}, "tab": {17, 15, 7}, "ring": {17, 15, 6}, "wave-tape": {22, 19, 6},
	} {
		for _, draw := range []string{"pair", "one_way_left", "mate"} {
			mate, most := draw == "mate", limit.whole
			if mate {
				most = limit.mate
			}
			panel := oneOf(t, heading, strings.Replace(draw, "mate", "pair", 1))
			all := 0
			var each []string
			for i := range panel.Steps {
				s := &panel.Steps[i]
				if s.Station == Cutting {
					continue
				}
				n := touches(s, mate)
				each = append(each, fmt.Sprintf("%s %d", s.Station, n))
				if all += n; n > limit.station {
					t.Errorf("%s, %s: %s takes %d touches", heading, draw, s.Station, n)
				}
			}
			t.Logf("%s, %s: %d touches (%s)", heading, draw, all, strings.Join(each, ", "))
			if all > most {
				t.Errorf("%s, %s: %d touches, want at most %d", heading, draw, all, most)
			}
		}
	}
}

// oneOf is the first panel of a lined and interlined window with weights, of patterned cloth in several widths.
func oneOf(t *testing.T, heading, draw string) Ticket {
	t.Helper()
	tape := map[orderfile.TapeKind]string{
		orderfile.CartridgeKind: "kind: cartridge, period: 6 1/2, space: 2 1/2, cords: 3, top_drop: 1/4, insert_length: 12",
		orderfile.PinchKind:     "kind: pinch, period: 6 1/2, space: 2 1/2, cords: 3, top_drop: 1/4",
		orderfile.PencilKind:    "kind: pencil, cords: 3, top_drop: 1/4", orderfile.WaveKind: "kind: wave, pocket_pitch: 3/4, pockets: 8",
	}[cmp.Or(orderfile.Heading(heading).Data().Tape, orderfile.CartridgeKind)]
	o, problems := orderfile.Parse([]byte(`order: FULL
units: in
conventions: {weights: corners_and_seams}
fabrics:
  - {id: reed, use: face, usable_width: 54, vertical_repeat: 13 1/2}
  - {id: sateen, use: lining, usable_width: 54}
  - {id: bump, use: interlining, usable_width: 48}
tapes: [{id: top, height: 4, ` + tape + `}]
rods: [{id: pole, diameter: 1, ring_drop: 1 1/2, carrier_pitch: 3}]
treatments:
  - {window: Bay, heading: ` + heading + `, draw: ` + draw + `, face_width: 84, finished_length: 95 1/2, face: reed, lining: sateen, interlining: bump, pocket: {stand: 1 1/2}, return: 3 1/2}
`))
	if o == nil {
		t.Fatal(problems)
	}
	tickets := Tickets(workup.Compute(o), nil, newCodes())
	Layout(nil).With(nil).Set(tickets)
	return tickets[slices.IndexFunc(tickets, func(s Ticket) bool { return s.Kind == PanelTicket })]
}

// TestEveryCheckIsOfOneAct: the acts of a step have each of its checks once, and none that it doesn't ask.
func TestEveryCheckIsOfOneAct(t *testing.T) {
	for _, s := range Stations() {
		asked := ChecklistOf(s).Checks
		for _, some := range [][]string{asked, asked[:len(asked)/2], asked[len(asked)/2:]} {
			var checks []string
			for _, a := range Acts(s, some) {
				checks = append(checks, a.Checks...)
			}
			if slices.Sort(checks); !slices.Equal(checks, slices.Sorted(slices.Values(some))) {
				t.Errorf("%s: the acts of %q check %q", s, some, checks)
			}
		}
	}
}

// TestActsOfOlderTickets: a check that no row has is an act by itself and stands last, at a station that there is no more too.
func TestActsOfOlderTickets(t *testing.T) {
	got := Acts(Packing, []string{"pinned_twice", "hooks_in", "sealed", "needles_out"})
	if len(got) != 4 || got[0].Name != "packed" || got[1].Name != "needles_out" ||
		got[2].Name != "" || !slices.Equal(got[2].Checks, []string{"pinned_twice"}) || !slices.Equal(got[3].Checks, []string{"sealed"}) {
		t.Errorf("%+v", got)
	}
	if got := Acts("beading", []string{"beads_on"}); len(got) != 1 || got[0].Checks[0] != "beads_on" {
		t.Errorf("%+v", got)
	}
}

// TestSafetyIsAnActByItself: the cord's end, made safe by a choice, the same pulled once more, and the needles.
func TestSafetyIsAnActByItself(t *testing.T) {
	var safety []string
	for _, s := range Stations() {
		for _, a := range Acts(s, ChecklistOf(s).Checks) {
			if a.Safety {
				safety = append(safety, string(s)+" "+strings.Join(append(a.Checks, a.With), " "))
			}
		}
	}
	want := []string{"pull_up end_made_safe cord_end", "packing needles_out ", "packing cord_end_pulled "}
	if slices.Sort(safety); !slices.Equal(safety, slices.Sorted(slices.Values(want))) {
		t.Errorf("%q, want %q", safety, want)
	}
}

// TestActsThatCannotBe: routes with such a row are refused.
func TestActsThatCannotBe(t *testing.T) {
	whole := string(routesFile)
	for name, c := range map[string]struct{ old, new, want string }{
		"without an act": {"{name: hooks_in, when: hooked, act: packed}", "{name: hooks_in, when: hooked}", `check "hooks_in" lacks its act`},
		"needles among others": {"{name: needles_out, act: needles_out, safety: true, piece: true}", "{name: needles_out, act: packed, safety: true}",
			`checks "pair_equal" and "needles_out" are one act`},
		"with a length": {"with: cord_end", "with: finished_width", `no choice of the station is called "finished_width"`},
		"of the cloth":  {"{name: first_cut_measured_twice, act: first_cut}", "{name: first_cut_measured_twice}", "lacks its act"},
	} {
		if !strings.Contains(whole, c.old) {
			t.Fatalf("%s: the routes have no %s", name, c.old)
		}
		_, err := readRoutes([]byte(strings.Replace(whole, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}
