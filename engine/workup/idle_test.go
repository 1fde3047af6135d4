package workup_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// everyWay is an order with something of all that conventions decide: a tape and pleats set by hand, pairs and a panel that
// meets no other, cloth plain, patterned and dropped by half, a lining, an interlining and a puddle.
const everyWay = `order: T-1
units: in
conventions: {CONVENTIONS}
fabrics:
  - {id: plain, use: face, usable_width: 54}
  - {id: toile, use: face, usable_width: 54, vertical_repeat: 13 1/2}
  - {id: leaf, use: face, usable_width: 54, vertical_repeat: 25 1/4, match: half_drop}
  - {id: sateen, use: lining, usable_width: 54}
  - {id: domette, use: interlining, usable_width: 48}
tapes: [{id: cart, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, end_margin: {nominal: 3/4, min: 3/4, max: 7/8}}]
treatments:
  - {window: Bay, heading: cartridge-tape, face_width: 84, overlap: 4, finished_length: 95, puddle: 2, face: toile, lining: sateen, interlining: domette}
  - {window: Stair, heading: pinch-3, face_width: 70, finished_length: 84, face: leaf}
  - {window: Hall, heading: pinch-2, draw: one_way_left, face_width: 57, finished_length: 90, face: leaf, lining: sateen}
  - {window: Attic, heading: pinch-2, face_width: 121, finished_length: 71, face: plain}
`

// otherwise has another value for each convention than the default, with what else has to be said for it to count.
var otherwise = map[string]string{
	"overlap_basis": "past_centre", "fullness_basis": "track", "widths_rounding": "up_to_whole", "pair_split": "total, widths_rounding: up_to_whole", "surplus": "keep",
	"repeat_rule": "add_one", "order_repeats": "2", "half_drop": "half_repeat_a_cut", "order_step": "1 yd", "order_rounding": "none",
	"bolt_length": "60 yd", "pleat_count": "ranges", "pleats_per_width": "4", "pleat_ends": "half_space", "fullness_slack": "0",
	"single_lead": "3", "seam": "1", "side_hem": "2", "bottom_hem": "5", "heading_fold": "3", "squaring": "2", "shrink": "5 %",
	"length_allowance": "18", "width_allowance": "9", "lining_rule": "allowance", "lining_puddle": "stop", "lining_lift": "2",
	"lining_hem": "3", "lining_top": "1", "lining_trim": "2", "lining_inset": "2", "weights": "none", "hook_spacing": "4", "hook_inset": "1",
	"cone_length": "500 yd", "step": "1/4", "ease_per_pleat": "0", "edge_clear": "16", "seam_thickness": "0.5", "stitch_density": "14",
	"lining_allowance": "12, lining_rule: allowance",
}

// TestEveryConventionCounts: no convention is taken and does nothing. What the stations alone go by are the tolerances.
func TestEveryConventionCounts(t *testing.T) {
	raw, err := os.ReadFile("../orderfile/order.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var schema struct {
		Defs map[string]struct{ Properties map[string]any } `json:"$defs"`
	}
	if err := json.Unmarshal(raw, &schema); err != nil {
		t.Fatal(err)
	}
	worked := func(conventions string) string {
		o, problems := orderfile.Parse([]byte(strings.Replace(everyWay, "CONVENTIONS", conventions, 1)))
		if o == nil {
			t.Fatalf("%s: %+v", conventions, problems)
		}
		code := func(p engine.Problem) string { return p.Code }
		doc, err := json.Marshal(workup.Compute(o).Document(false, code, strings.ToUpper))
		if err != nil {
			t.Fatal(err)
		}
		return string(doc)
	}
	for name := range schema.Defs["conventions"].Properties {
		value, ok := otherwise[name]
		if !ok && name != "tolerances" {
			t.Errorf("say another value for %s", name)
		}
		if _, rest, _ := strings.Cut(value, ", "); ok && worked(name+": "+value) == worked(rest) {
			t.Errorf("%s: %s changes nothing", name, value)
		}
	}
}
