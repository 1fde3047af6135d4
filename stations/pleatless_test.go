package stations

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// pleatless is an order with a window of each heading without pleats.
const pleatless = `
order: PLAIN
customer: Saltmarsh Inn
units: in
conventions: {weights: none}
fabrics:
  - {id: linen, use: face, usable_width: 54}
tapes:
  - {id: pencil-3, kind: pencil, height: 3, cords: 3}
  - {id: wave-3, kind: wave, height: 3, pocket_pitch: 3/4, pockets: 8}
rods:
  - {id: pole, diameter: 1 3/8, ring_inner: 2, ring_drop: 1 1/2, carrier_pitch: 3 1/8}
treatments:
  - {window: Pencil, heading: pencil-tape, tape: pencil-3, face_width: 80, finished_length: 95, face: linen}
  - {window: Pocket, heading: rod-pocket, draw: stationary, finished_width: 60, finished_length: 95, face: linen, pocket: {stand: 1 1/2}}
  - {window: Eyelet, heading: eyelet, draw: stationary, finished_width: 60, finished_length: 95, face: linen, eyelet: {inner: 2, outer: 3}}
  - {window: Tab, heading: tab, draw: stationary, finished_width: 36, finished_length: 80, face: linen}
  - {window: Ring, heading: ring, draw: stationary, finished_width: 60, finished_length: 95, face: linen}
  - {window: Wave, heading: wave-tape, tape: wave-3, draw: stationary, finished_width: 60, finished_length: 95, face: linen}
`

// TestHeadingsWithoutPleatsPassTheFloor: a panel of each is taken through its whole way and asked there what is its own and nothing else;
// what is out of tolerance where it hangs is held; the ledger folds alike.
func TestHeadingsWithoutPleatsPassTheFloor(t *testing.T) {
	const folded, packed = "length_return length_middle length_leading fold_depth", "finished_width finished_length"
	ways := map[string][]string{ // station, what is measured, what is checked of its own
		"Pencil": {
			"joining: flat_width", "fold: " + folded, "tape: drop | tape_shrunk raw_edge_covered cords_tied_both_ends no_stitch_through_cord pressed_before_pull_up",
			"pull_up: finished_width cord_end | gathers_even end_made_safe pull_test", "pressing: | below_tape_only", "packing: " + packed + " | hooks_in cord_end_pulled care_label_on",
		},
		"Pocket": {
			"joining: flat_width", "rod_pocket: length_return=95in length_middle=95in length_leading=95in pocket=2.6875in stand=1.5in | ends_open lines_square rod_goes_through",
			"pressing:", "packing: " + packed + " | care_label_on",
		},
		"Eyelet": {
			"joining: flat_width", "heading: " + folded + " | buckram_to_edges",
			"eyelets: eyelets=18 first_eyelet_return=3.33333335in first_eyelet_leading=3.33333335in eyelet_drop=2in | template_used seam_clear edges_to_window none_loose",
			"pressing: | off_the_eyelets", "packing: " + packed,
		},
		"Tab": {
			"joining: flat_width", "tabs: length_return=80in length_middle length_leading tabs=8 tab_loop=7.5625in | tabs_equal end_tabs_flush sewn_twice", "pressing:", "packing: " + packed,
		},
		"Ring": {"joining: flat_width", "heading: " + folded, "pressing:", "packing: " + packed + " rings=20 | rings_at_marks"},
		"Wave": {
			"joining: flat_width", "fold: " + folded, "tape: drop=0.25in first_hook_return=3.5in first_hook_leading=3in hooks=21 | pocket_spacing pockets_up edges_to_window",
			"pressing: | below_tape_only", "packing: " + packed + " | hooks_in",
		},
	}
	never := map[string]string{
		"Pencil": "drawn_from_return tubes_to_face tape_steamed below_heading_only", "Pocket": "hooks_in below_heading_only", "Eyelet": "hooks_in below_heading_only",
		"Tab": "hooks_in", "Ring": "hooks_in edges_to_window", "Wave": "cords_tied_both_ends no_stitch_through_cord pressed_before_pull_up cord_end_pulled tape_steamed",
	}
	order, problems := orderfile.Parse([]byte(pleatless))
	if order == nil {
		t.Fatal(problems)
	}
	w := workup.Compute(order)
	s := newShop(t)
	s.do(TakeOrder{Actor: office, Order: order.ID, Customer: order.Customer, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: order.ID, Tickets: plan.Tickets(w, nil, s.code)})
	o := s.floor.Order(order.ID)
	s.cutAll(o)
	worked := map[string]bool{}
	for _, code := range panels(o) {
		spec := s.floor.Ticket(code).Spec
		if worked[spec.Window] {
			continue // the mate
		}
		worked[spec.Window] = true
		for _, want := range ways[spec.Window] {
			station, asks, _ := strings.Cut(want, ":")
			measures, checks, _ := strings.Cut(asks, "|")
			now := s.floor.Ticket(code).Current().Spec
			var measured []string
			for _, e := range now.Enter {
				measured = append(measured, e.Name+"="+e.Target.String())
			}
			alike := func(want, is string) bool { return is == want || strings.HasPrefix(is, want+"=") } // not every target is told
			if string(now.Station) != station || !slices.EqualFunc(strings.Fields(measures), measured, alike) {
				t.Fatalf("%s measures %q at %s, want %s", spec.Window, measured, now.Station, want)
			}
			for _, name := range strings.Fields(checks) {
				if !slices.Contains(now.Checks, name) {
					t.Errorf("%s is checked for %q at %s, not for %s", spec.Window, now.Checks, station, name)
				}
			}
			for _, name := range strings.Fields(never[spec.Window]) {
				if slices.Contains(now.Checks, name) {
					t.Errorf("%s is checked for %s at %s", spec.Window, name, station)
				}
			}
			s.do(s.scan(code, Start))
			if last := now.Enter; len(last) > 0 && last[len(last)-1].Kind == plan.LengthEntry {
				s.offAndAccepted(code, last[len(last)-1])
				continue
			}
			s.do(s.finishing(code))
		}
		if got := s.floor.Ticket(code).State(); got != Finished {
			t.Errorf("%s is %s", spec.Window, got)
		}
	}
	if len(worked) != len(ways) {
		t.Errorf("only %v are worked", worked)
	}
	if !reflect.DeepEqual(image(refold(t, s.ledger)), image(s.floor)) {
		t.Error("the ledger folds otherwise")
	}
}

// offAndAccepted finishes a step a sixteenth of an inch beyond a tolerance, which holds the panel until the office takes it.
func (s *shop) offAndAccepted(code plan.Code, e plan.Entry) {
	s.t.Helper()
	_, most := e.Between()
	off := measure.OfLength(most+measure.Inch/16, measure.In).String()
	if event := s.do(s.finishing(code, measuring(e.Name, off))); !slices.Equal(event.OutOf, []string{e.Name}) {
		s.t.Fatalf("%s of %s is out of tolerance in %q", e.Name, off, event.OutOf)
	}
	s.do(s.scan(code, Accept, by(office)))
}
