package workup_test

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// ofItsTime are the conventions of hand-set pleats that the sources know: a fixed number of pleats in each width, all the cloth used, and no
// slack.
const ofItsTime = "pleat_count: per_width, fullness_slack: 0"

// plainly are the conventions of sources that add nothing at seams and sides and buy no repeat for position.
const plainly = ofItsTime + ", seam: 0, side_hem: 0, order_repeats: 0, order_rounding: none"

// publishedOrders are published examples as orders under the rule of their own source, {figure} standing for the
// example's. What is wanted of each are our quantities by the example's figures.
var publishedOrders = []struct {
	id          string // with its source:
	units       string
	conventions string
	fabric      string
	treatment   string
	want        map[string]string
}{
	{"W01", "in", // a how-to article: fullness on the bare rod, whole widths
		"fullness_basis: track, widths_rounding: up_to_whole, pair_split: total, length_allowance: {allowance_total}, " + plainly,
		"usable_width: {fabric_width}",
		"heading: pinch-3, face_width: {rod_width}, return: 0, overlap: 0, fullness: {fullness}, finished_length: {finished_length}",
		map[string]string{"flat": "flat_width", "widths": "widths", "cut": "cut_length", "total": "total_length", "yards": "yards"}},
	{"W02m", "cm", // its metric edition, whose total forgets the three widths: only what agrees
		"fullness_basis: track, widths_rounding: up_to_whole, pair_split: total, length_allowance: {allowance_total}, " + plainly,
		"usable_width: {fabric_width}",
		"heading: pinch-3, face_width: {rod_width}, return: 0, overlap: 0, fullness: {fullness}, finished_length: {finished_length}",
		map[string]string{"flat": "flat_width", "widths": "widths", "cut": "cut_length", "metres": "total_metres_corrected"}},
	{"W04", "in", // Linda Erlam: whole widths
		"widths_rounding: up_to_whole, " + plainly, "usable_width: {fabric_width}",
		"heading: pinch-3, draw: stationary, finished_width: {finished_width}, fullness: {fullness}, finished_length: 84",
		map[string]string{"widths": "widths"}},
	{"W05", "in", // a US fabricator: fullness on rod, lap and returns; whole widths; whole repeats
		"widths_rounding: up_to_whole, pair_split: total, length_allowance: {allowance_total}, " + plainly,
		"usable_width: {fabric_width}, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, face_width: {rod_width}, return: {return_each}, overlap: {overlap_total}, fullness: {fullness}, finished_length: {finished_length}",
		map[string]string{"finished": "overall_width", "flat": "flat_width", "widths": "widths", "plain": "cut_length_plain",
			"repeats": "repeats", "cut": "cut_length", "total": "total_length", "yards": "yards"}},
	{"W07", "in", // a US drapery firm: whole widths, whole repeats
		"fullness_basis: track, widths_rounding: up_to_whole, pair_split: total, length_allowance: 0, " + plainly,
		"usable_width: {fabric_width}, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, face_width: {window_outside_width}, return: 0, overlap: 0, fullness: {fullness}, finished_length: {unfinished_length}",
		map[string]string{"widths": "widths", "repeats": "repeats", "cut": "cut_length", "total": "total_length", "yards": "yards"}},
	{"W09", "in", // a fabric seller: yards up to the next half; its five widths hold 108 at 2½
		ofItsTime + ", length_allowance: {allowance_total}, seam: 0, side_hem: 0, order_step: 1/2 yd",
		"usable_width: 54",
		"heading: pinch-3, draw: stationary, finished_width: 108, fullness: 2.5, finished_length: {finished_length}",
		map[string]string{"widths": "widths", "cut": "cut_length", "total": "total_length", "yards": "yards"}},
	{"W10", "in", // a contract manufacturer: lap and returns of 12 in all, halves of a pair's whole widths, lining by allowance
		"widths_rounding: up_to_whole, pair_split: total, length_allowance: {allowance_face}, lining_rule: allowance, lining_allowance: {allowance_lining}, " + plainly,
		"usable_width: {fabric_width}, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, lining: lining, face_width: {rod_width}, return: 3 1/2, overlap: 5, fullness: {fullness}, finished_length: {finished_length}",
		map[string]string{"finished": "gross_width", "flat": "flat_width", "widths": "widths", "panel": "widths_per_panel", "plain": "cut_length_plain",
			"repeats": "repeats", "cut": "cut_length", "lining": "lining_cut_length", "total": "face_total", "yards": "face_yards"}},
	{"W12", "in", // Workroom Threads, August 2011: whole repeats
		"length_allowance: {allowance_total}, " + plainly, "usable_width: 54, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, draw: stationary, finished_width: 30, finished_length: {finished_length}",
		map[string]string{"plain": "cut_length_plain", "repeats": "repeats", "cut": "cut_length", "waste": "waste_per_cut"}},
	{"W14", "in", // a home-decorating magazine: whole repeats, one more in the order for position
		ofItsTime + ", length_allowance: 0, seam: 0, side_hem: 0, order_rounding: none", "usable_width: 108, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, draw: stationary, finished_width: 30, finished_length: {cut_length_plain}",
		map[string]string{"repeats": "repeats", "cut": "cut_length", "waste": "waste_per_cut", "order": "one_width_order_length_with_positioning_repeat"}},
	{"W16", "in", // lace-curtain notes, the easy rule: one repeat more a cut
		"repeat_rule: add_one, length_allowance: 0, " + plainly, "usable_width: 54, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, draw: stationary, finished_width: 40, fullness: 2.5, finished_length: {cut_length_plain}",
		map[string]string{"widths": "widths", "cut": "easy_rule_cut", "yards": "easy_rule_yards"}},
	{"W16", "in", // and the economical one: whole repeats
		"length_allowance: 0, " + plainly, "usable_width: 54, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, draw: stationary, finished_width: 40, fullness: 2.5, finished_length: {cut_length_plain}",
		map[string]string{"widths": "widths", "cut": "economical_cut", "yards": "economical_yards"}},
	{"M01", "cm", // an Australian track maker: an allowance flat after the fullness, the length from the track less clearance
		ofItsTime + ", fullness_basis: track_then_flat, width_allowance: {allowance_width}, widths_rounding: up_to_whole, length_allowance: {hem_allowance}, seam: 0, side_hem: 0, order_repeats: 0",
		"usable_width: {fabric_width}",
		"heading: pinch-3, draw: one_way_left, face_width: {track}, return: 0, overlap: 0, fullness: {fullness}, hang: {bearing_to_floor: {track_to_floor}, heading_above_bearing: 0, clearance: {deduction}}",
		map[string]string{"flat": "flat_width", "widths": "widths", "cut": "cut_drop", "total": "total_cm", "metres": "metres"}},
	{"M06", "cm", // a UK page: the pair's widths to the nearest whole
		"fullness_basis: track, widths_rounding: nearest_whole, pair_split: total, length_allowance: {allowance_total}, " + plainly,
		"usable_width: {fabric_width}",
		"heading: pinch-3, face_width: {track}, return: 0, overlap: 0, fullness: {fullness}, finished_length: {finished_drop}",
		map[string]string{"flat": "flat_width", "widths": "widths", "panel": "widths_per_curtain", "cut": "cut_drop", "total": "total_cm", "metres": "metres"}},
	{"M08", "cm", // a UK measuring guide: one repeat more a cut
		"repeat_rule: add_one, length_allowance: 0, widths_rounding: up_to_whole, " + plainly, "usable_width: 140, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, draw: stationary, finished_width: 200, fullness: 2.5, finished_length: {cut_drop_plain}",
		map[string]string{"widths": "widths", "cut": "cut_drop", "total": "total_cm", "metres": "metres"}},
	{"M08", "cm", // and by whole repeats, of which it has exactly five
		"length_allowance: 0, widths_rounding: up_to_whole, " + plainly, "usable_width: 140, vertical_repeat: {vertical_repeat}",
		"heading: pinch-3, draw: stationary, finished_width: 200, fullness: 2.5, finished_length: {cut_drop_plain}",
		map[string]string{"widths": "widths", "cut": "multiple_rule_cut", "metres": "multiple_rule_metres"}},
	{"M10", "cm", // a UK fabric shop, July 2011: a half-drop takes one repeat an order; three widths of three repeats
		"half_drop: one_repeat_an_order, length_allowance: 0, " + plainly, "usable_width: 140, vertical_repeat: {vertical_repeat}, match: half_drop",
		"heading: pinch-3, draw: stationary, finished_width: 150, fullness: 2.5, finished_length: 190",
		map[string]string{"widths": "widths", "total": "total_cm", "metres": "metres"}},
	{"M13", "cm", // a chain's sheet that counts metres of flat width as widths: only its cut, and what any rule makes of it
		"fullness_basis: track, widths_rounding: up_to_whole, pair_split: total, length_allowance: {allowance_total}, " + plainly,
		"usable_width: {fabric_width}",
		"heading: pinch-3, face_width: {window_width}, return: 0, overlap: 0, fullness: {fullness}, finished_length: {drop}",
		map[string]string{"widths": "corrected_drops", "cut": "cut_drop", "metres": "corrected_total_m"}},
	{"P01", "in", // Singer 102, 1960: each panel passes the centre by 1, so the lap is 2; two widths of 75 give 144 hemmed
		ofItsTime + ", surplus: keep, overlap_basis: past_centre, seam: 0", "usable_width: 75",
		"heading: pinch-3, face_width: 98, return: {return_}, overlap: {overlap}, fullness: 2.7, finished_length: 84, pleats: 13",
		map[string]string{"half": "finished_panel", "hemmed": "flat_panel_after_side_hems", "take_up": "take_up_per_pleat", "take_ups": "fabric_for_pleats",
			"pleats": "pleats", "space": "space_between_pleats", "fullness": "ratio_flat_to_finished"}},
	{"P03", "in", // C. Bryan: seven spaces of 7 between the end pleats, on 85 flat
		"pleats_per_width: 4, surplus: keep, " + plainly, "usable_width: 54",
		"heading: pinch-3, draw: stationary, finished_width: {distance_between_end_pleat_centres}, return: 0, lead_flat: 0, fullness: 1.73, side_hem: 5.75, finished_length: 84",
		map[string]string{"pleats": "pleats", "space": "centre_spacing", "take_up": "take_up_per_pleat", "take_ups": "total_take_up"}},
}

// TestPublishedOrders reproduces each example under its own source's rule.
func TestPublishedOrders(t *testing.T) {
	all := published(t)
	for _, c := range publishedOrders {
		t.Run(c.id, func(t *testing.T) {
			e := all[c.id]
			t.Log(e.Source)
			text := "order: " + c.id + "\nunits: " + c.units + "\nconventions: {" + c.conventions + "}\nfabrics:\n  - {id: face, use: face, " + c.fabric +
				"}\n  - {id: lining, use: lining, usable_width: 54}\ntreatments:\n  - {window: W, face: face, " + c.treatment + "}\n"
			o, problems := orderfile.Parse([]byte(fillIn(t, text, e)))
			if o == nil {
				t.Fatalf("%+v of\n%s", problems, fillIn(t, text, e))
			}
			w := workup.Compute(o)
			if len(w.Treatments[0].Panels) == 0 {
				t.Fatalf("%+v", w.Problems)
			}
			for quantity, key := range c.want {
				want, err := strconv.ParseFloat(e.figure(t, key), 64)
				if err != nil {
					t.Fatal(err)
				}
				if got := quantities[quantity](w, o.Units); math.Abs(got-want) > 0.0006 { // printed to three decimals at most
					t.Errorf("%s is %v, published %v as %s", quantity, got, want, key)
				}
			}
		})
	}
}

var placeholder = regexp.MustCompile(`\{([a-z_]+)\}`)

func fillIn(t *testing.T, text string, e example) string {
	return placeholder.ReplaceAllStringFunc(text, func(key string) string { return e.figure(t, strings.Trim(key, "{}")) })
}

// quantities are what examples print, over the whole order, lengths in its unit.
var quantities = map[string]func(w *workup.Workup, u measure.Unit) float64{
	"flat": func(w *workup.Workup, u measure.Unit) float64 {
		return n(w) * (trail(w, "widths", "flat_asked", u) + allowed(w, u))
	},
	"finished": func(w *workup.Workup, u measure.Unit) float64 { return n(w) * in(first(w).FinishedWidth, u) },
	"half":     func(w *workup.Workup, u measure.Unit) float64 { return in(first(w).FinishedWidth, u) },
	"hemmed":   func(w *workup.Workup, u measure.Unit) float64 { return in(first(w).FlatWidth, u) },
	"fullness": func(w *workup.Workup, _ measure.Unit) float64 { return first(w).Fullness.Float() },
	"widths":   func(w *workup.Workup, _ measure.Unit) float64 { return n(w) * float64(first(w).Widths) / 2 },
	"panel":    func(w *workup.Workup, _ measure.Unit) float64 { return float64(first(w).Widths) / 2 },
	"plain":    func(w *workup.Workup, u measure.Unit) float64 { return in(first(w).PlainLength, u) },
	"cut":      func(w *workup.Workup, u measure.Unit) float64 { return in(first(w).CutLength, u) },
	"waste":    func(w *workup.Workup, u measure.Unit) float64 { return in(first(w).CutLength-first(w).PlainLength, u) },
	"repeats":  func(w *workup.Workup, _ measure.Unit) float64 { return float64(first(w).RepeatsPerCut) },
	"lining":   func(w *workup.Workup, u measure.Unit) float64 { return in(first(w).LiningCutLength, u) },
	"total":    func(w *workup.Workup, u measure.Unit) float64 { return in(w.Totals.Fabrics[0].Length, u) },
	"order":    func(w *workup.Workup, u measure.Unit) float64 { return in(w.Totals.Fabrics[0].ToOrder, u) },
	"yards":    func(w *workup.Workup, _ measure.Unit) float64 { return in(w.Totals.Fabrics[0].ToOrder, measure.Yd) },
	"metres":   func(w *workup.Workup, _ measure.Unit) float64 { return in(w.Totals.Fabrics[0].ToOrder, measure.M) },
	"pleats":   func(w *workup.Workup, _ measure.Unit) float64 { return float64(first(w).Pleats) },
	"space":    func(w *workup.Workup, u measure.Unit) float64 { return in(first(w).Space, u) },
	"take_up":  func(w *workup.Workup, u measure.Unit) float64 { return in(first(w).TakeUp, u) },
	"take_ups": func(w *workup.Workup, u measure.Unit) float64 {
		var sum measure.Length
		for _, t := range first(w).TakeUps {
			sum += t
		}
		return in(sum, u)
	},
}

func first(w *workup.Workup) *workup.Panel        { return &w.Treatments[0].Panels[0] }
func n(w *workup.Workup) float64                  { return float64(len(w.Treatments[0].Panels)) }
func in(l measure.Length, u measure.Unit) float64 { return float64(l) / float64(u.Length()) }
func allowed(w *workup.Workup, u measure.Unit) float64 {
	return in(w.Order.Conventions.WidthAllowance, u)
}

// trail is an input of a number as its trail has it.
func trail(w *workup.Workup, number, input string, u measure.Unit) float64 {
	for _, s := range first(w).Trail {
		for _, i := range s.Inputs {
			if s.Name == number && i.Name == input {
				return in(i.Value.Length(), u)
			}
		}
	}
	return math.NaN()
}

// P05, Susan Woodcock (Capper's Farmer, 2019): pleats by widths at 2½, and the ranges of spaces and take-ups.
func TestPublishedPleatsPerWidth(t *testing.T) {
	e := published(t)["P05"]
	var widths []float64
	var pleats [][]int
	var space, takeUp []float64
	for key, to := range map[string]any{"widths": &widths, "pleats": &pleats, "space_range": &space, "take_up_range": &takeUp} {
		decode(t, e.figure(t, key), to)
	}
	for i, of := range widths {
		o := inchOrder()
		o.Fabrics[0].VerticalRepeat = 0
		o.Conventions.Seam, o.Conventions.SideHem, o.Conventions.PleatCount = 0, 0, "per_width"
		line := stationary(o, measure.Length(of*54/2.5*float64(measure.Inch)))
		line.Draw, line.Heading, line.Fullness = orderfile.StationaryPair, orderfile.Pinch3, &measure.Ratio{Num: 5, Den: 2}
		line.LeadFlat = new(inches("6")) // her leads meet
		p := onePanel(t, o)
		if float64(p.Widths)/2 != of || !slices.Contains(pleats[i], p.Pleats) {
			t.Errorf("%s widths have %d pleats, published %v of %v", p.Widths, p.Pleats, pleats[i], of)
		}
	}
	d := orderfile.Pinch3.Data()
	if in(d.Space.Min, measure.In) != space[0] || in(d.Space.Max, measure.In) != space[1] || in(d.TakeUp.Min, measure.In) != takeUp[0] {
		t.Errorf("ranges %+v, published %v and %v", d, space, takeUp)
	}
	if in(d.TakeUp.Max, measure.In) < takeUp[1] { // up to Singer's 7
		t.Errorf("take-ups to %v, published to %v", d.TakeUp.Max, takeUp[1])
	}
}

func decode(t *testing.T, text string, to any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), to); err != nil {
		t.Fatal(err)
	}
}

// W09's own illustration: 15.376 yd is ordered as 15½, up to the next half yard.
func TestPublishedHalfYards(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].VerticalRepeat = 0
	stationary(o, inches("11")).FinishedLength = length("15.376", measure.Yd)
	o.Conventions.LengthAllowance = new(measure.Length)
	o.Conventions.Step, o.Conventions.OrderStep = inches("0.001"), length("1/2", measure.Yd)
	if got := workup.Compute(o).Totals.Fabrics[0].ToOrder; got != length("15.5", measure.Yd) {
		t.Errorf("to order %s", got.In(measure.Yd))
	}
}
