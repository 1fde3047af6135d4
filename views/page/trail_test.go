package page

import (
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/order"
)

// demoDue is the due date of a demo's order, counted from its first day.
var demoDue = regexp.MustCompile(`(?m)^due: .*$`)

// workedOrders are the example order, the order that uses every key, the demo's orders, and windows
// under conventions that none of them goes by.
func workedOrders(t *testing.T) map[string]*workup.Workup {
	t.Helper()
	var files []string
	for _, pattern := range []string{"../../testdata/contract/order.yaml", "../../testdata/orderfile/full.yaml", "../../cmd/tablehand/cli/demo/*.yaml"} {
		found, err := filepath.Glob(pattern)
		if err != nil || len(found) == 0 {
			t.Fatal(pattern, err)
		}
		files = append(files, found...)
	}
	orders := map[string]*workup.Workup{}
	for _, f := range files {
		source, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		orders[filepath.Base(f)] = worked(t, demoDue.ReplaceAllString(string(source), "due: 2026-12-18"))
	}
	for name, conventions := range map[string]string{
		"past the centre": "overlap_basis: past_centre, repeat_rule: add_one, half_drop: half_repeat_a_cut, widths_rounding: up_to_whole, shrink: 2, squaring: 1",
		"by the track":    "fullness_basis: track, surplus: trim, repeat_rule: on_phase, pair_split: total, width_allowance: 2, pleat_count: ranges",
		"flat after":      "fullness_basis: track_then_flat, surplus: trim, pleat_ends: half_space, widths_rounding: nearest_whole, length_allowance: 20",
		"trimmed":         "fullness_basis: finished, surplus: trim, pleat_ends: half_space, widths_rounding: nearest_whole, pair_split: total",
		"kept":            "surplus: keep",
		"half a repeat":   "half_drop: half_repeat_a_cut, lining_rule: computed, lining_puddle: stop, surplus: trim",
		"half on phase":   "half_drop: half_repeat_a_cut, repeat_rule: on_phase, surplus: trim",
		"one repeat":      "repeat_rule: add_one",
	} {
		orders[name] = worked(t, strings.Replace(everyHeading, "CONVENTIONS", strings.ReplaceAll(conventions, ", ", "\n  "), 1))
	}
	for name, conventions := range map[string]string{
		"without pleats": "", "without pleats, trimmed": "conventions: {surplus: trim, pocket_rule: diameter}",
		"without pleats, by an allowance": "conventions: {length_allowance: 20, pole_ease: 2, headings: {eyelet: {ends: inset, parity: any}}}",
	} {
		orders[name] = worked(t, strings.Replace(continuousHeadings, "CONVENTIONS", conventions, 1))
	}
	for name, conventions := range map[string]string{
		"banded": "", "banded, kept": "conventions: {surplus: keep, shrink: 2}", "banded, by an allowance": "conventions: {length_allowance: 20}",
	} {
		orders[name] = worked(t, strings.Replace(bandedPanels, "CONVENTIONS", conventions, 1))
	}
	return orders
}

const everyHeading = `
order: X-1
units: in
conventions:
  CONVENTIONS
fabrics:
  - {id: reed, use: face, usable_width: 54, vertical_repeat: 13 1/2, match: half_drop, thickness: 1/32}
  - {id: plain, use: face, usable_width: 54}
  - {id: stripe, use: face, usable_width: 54, vertical_repeat: 9}
  - {id: sateen, use: lining, usable_width: 54}
tapes:
  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, pleat_base: 1/16}
treatments:
  - {window: A, heading: cartridge-tape, face_width: 84, finished_length: 95 1/2, face: reed}
  - {window: B, heading: cartridge-tape, face_width: 84, face: plain, hang: {bearing_to_floor: 96, heading_above_bearing: 1, clearance: 1/2}, puddle: 2}
  - {window: C, heading: cartridge-tape, draw: one_way_left, face_width: 40, return_other: 2, finished_length: 60, face: plain}
  - {window: D, heading: cartridge-tape, draw: stationary, finished_width: 30, finished_length: 60, face: plain}
  - {window: E, heading: cartridge-tape, draw: stationary, finished_width: 31 3/8, finished_length: 60, face: plain}
  - {window: F, heading: cartridge-tape, draw: stationary, finished_width: 32 3/4, finished_length: 60, face: plain}
  - {window: G, heading: cartridge-tape, draw: stationary, finished_width: 48 1/2, pleats: 18, finished_length: 60, face: plain}
  - {window: H, heading: pinch-3, face_width: 84, finished_length: 95 1/2, face: reed}
  - {window: I, heading: pinch-2, draw: stationary, finished_width: 40, finished_length: 95 1/2, face: plain, pleats: 9, fullness: 2.2}
  - {window: J, heading: pinch-3, face_width: 84, finished_length: 95 1/2, face: stripe, lining: sateen, puddle: 2, fullness: 1.4}
  - {window: K, heading: pinch-3, face_width: 84, finished_length: 95 1/2, face: plain, fullness: 3.4}
`

// bandedPanels have strips of another cloth at their edges, cloth that grows as it hangs and shrinks across, and weights that are known.
const bandedPanels = `
order: X-3
units: in
CONVENTIONS
fabrics:
  - {id: open, use: face, usable_width: 54, relax: 4, shrink: 3, shrink_width: 2, mass: 200 g/m2}
  - {id: plain, use: face, usable_width: 54, mass: 320 g/m2}
  - {id: sateen, use: lining, usable_width: 54, mass: 120 g/m2}
  - {id: fleece, use: interlining, usable_width: 54, mass: 200 g/m2}
rods:
  - {id: pole, diameter: 1 3/8, ring_drop: 1, limit: 66 lb}
treatments:
  - {window: A, heading: ring, face_width: 84, finished_length: 95, face: open}
  - {window: B, heading: ring, face_width: 84, finished_length: 95, face: open, puddle: 2, bands: [{edge: bottom, width: 8, fabric: plain}]}
  - {window: C, heading: pinch-3, face_width: 84, finished_length: 95, face: plain, lining: sateen, interlining: fleece, bands: [{edge: bottom, width: 8, fabric: open}, {edge: leading, width: 3, fabric: plain}]}
  - {window: D, heading: pinch-3, face_width: 84, face: plain, hang: {bearing_to_floor: 96, heading_above_bearing: 1, clearance: 1/2}, bands: [{edge: bottom, width: 8, fabric: plain, method: applied}, {edge: return, width: 3, fabric: plain}]}
  - {window: E, heading: pinch-3, face_width: 84, face: plain, hang: {bearing_to_floor: 96, heading_above_bearing: 1, clearance: 1/2}, bands: [{edge: bottom, width: 8, fabric: plain}, {edge: return, width: 3, fabric: plain, method: applied}]}
`

// continuousHeadings are the headings without pleats, each with and without what it may have.
const continuousHeadings = `
order: X-2
units: in
CONVENTIONS
fabrics:
  - {id: plain, use: face, usable_width: 54}
tapes:
  - {id: pencil-3, kind: pencil, height: 3, cords: 3}
  - {id: wave-3, kind: wave, height: 3, pocket_pitch: 3/4, pockets: 8}
rods:
  - {id: pole, diameter: 1 3/8, projection: 4, ring_inner: 2, ring_drop: 1 1/2, carrier_pitch: 3 1/8}
treatments:
  - {window: A, heading: pencil-tape, tape: pencil-3, face_width: 84, finished_length: 95, face: plain}
  - {window: B, heading: pencil-tape, tape: pencil-3, draw: stationary, finished_width: 30, return: 0, hang: {bearing_to_floor: 96, heading_above_bearing: 1, clearance: 1/2}, face: plain}
  - {window: C, heading: rod-pocket, face_width: 84, finished_length: 95, face: plain, pocket: {stand: 1 1/2}}
  - {window: D, heading: rod-pocket, face_width: 84, finished_length: 95, face: plain, pocket: {depth: 4, turn: 1}}
  - {window: E, heading: eyelet, face_width: 84, finished_length: 95, face: plain, return: 3 1/2}
  - {window: F, heading: eyelet, draw: one_way_left, face_width: 84, hang: {bearing_to_floor: 96, clearance: 1/2}, face: plain, puddle: 2}
  - {window: G, heading: eyelet, face_width: 84, finished_length: 95, face: plain, points: {count: 12, end: 3}, eyelet: {drop: 2}}
  - {window: H, heading: tab, draw: stationary, finished_width: 36, finished_length: 80, face: plain}
  - {window: I, heading: tab, draw: stationary, finished_width: 36, hang: {bearing_to_floor: 96, clearance: 1/2}, face: plain, tab: {loop: 8}, return: 4}
  - {window: J, heading: ring, face_width: 84, finished_length: 95, face: plain}
  - {window: K, heading: ring, face_width: 84, hang: {bearing_to_floor: 96, heading_below_bearing: 1 1/2, clearance: 1/2}, face: plain, return: 3}
  - {window: L, heading: wave-tape, tape: wave-3, face_width: 84, finished_length: 95, face: plain}
  - {window: M, heading: wave-tape, tape: wave-3, draw: stationary, finished_width: 30, return: 0, finished_length: 95, face: plain}
`

func worked(t *testing.T, source string) *workup.Workup {
	t.Helper()
	o, problems := orderfile.Parse([]byte(source))
	if o == nil {
		t.Fatal(problems)
	}
	return workup.Compute(o)
}

var tags = regexp.MustCompile(`<[^>]*>`)

// plain is what a page says, without its marks.
func plain(page string) string { return html.UnescapeString(tags.ReplaceAllString(page, "")) }

// TestEveryNumberIsTold: in every language each number says what it is; its sum has every figure that went in and the
// result; each figure that no other number is has where it comes from; no key, no placeholder is left.
func TestEveryNumberIsTold(t *testing.T) {
	told := map[string]bool{}
	for _, tag := range i18n.Languages() {
		v, err := views.New(i18n.For(tag))
		if err != nil {
			t.Fatal(err)
		}
		for name, w := range workedOrders(t) {
			for _, treatment := range w.Treatments {
				window := order.WindowOf(treatment, measure.In)
				for _, g := range window.Groups {
					for _, row := range g.Rows {
						for _, p := range row.Values {
							if p.Trail == nil {
								t.Errorf("%s: %s has no trail", name, row.Name)
								continue
							}
							told[p.Trail.Formula] = true
							checkTrail(t, v, i18n.For(tag), name, window, p)
						}
					}
				}
			}
		}
	}
	if len(told) < 70 {
		t.Errorf("only %d formulas are told: %v", len(told), told)
	}
}

func checkTrail(t *testing.T, v *views.Views, say *i18n.Printer, name string, w order.Window, p views.PanelValue) {
	t.Helper()
	trail := order.TrailOf(v, w, p)
	where := say.Language() + " " + name + " " + w.Name + " " + p.Trail.Name
	if trail.What == "" || strings.Contains(trail.What, "⟨") {
		t.Errorf("%s: nothing says what it is", where)
	}
	text := plain(string(trail.Sum))
	if strings.ContainsAny(text, "⟨⟩{}[]") || regexp.MustCompile(`[a-z]_[a-z]|ceil|floor\(`).MatchString(text) {
		t.Errorf("%s: %s", where, text)
	}
	for _, in := range trail.From {
		if key := "value." + in.Name; !i18n.Has(key) || strings.Contains(say.T(in.Origin), "⟨") {
			t.Errorf("%s: %s from %s", where, in.Name, in.Origin)
		}
	}
	text = strings.ReplaceAll(text, " · ", " ") // lists of places
	for _, in := range p.Trail.Inputs {
		if value := plain(string(v.Number(in.Value))); !in.Value.Nought() && !unsaid[p.Trail.Formula+" "+in.Name] && !strings.Contains(text, value) {
			t.Errorf("%s: %s = %s is not in %q", where, in.Name, value, text)
		}
	}
	if value := plain(string(v.Number(p.Value))); !strings.Contains(text, value) {
		t.Errorf("%s: the number itself, %s, is not in %q", where, value, text)
	}
}

// unsaid are the inputs that a formula has and its sum leaves to the list below it, being part of another.
var unsaid = func() map[string]bool {
	all := map[string]bool{}
	for _, formula := range []string{"kept", "trimmed.finished", "trimmed.track", "trimmed.track_then_flat"} {
		for _, input := range []string{"face_width", "return", "overlap"} { // the finished width is made of them
			all["formula.flat_width."+formula+" "+input] = true
		}
	}
	return all
}()

// TestTrailsWhole: a few trails of the worked case as they are read.
func TestTrailsWhole(t *testing.T) {
	source, err := os.ReadFile("../../testdata/contract/order.yaml")
	if err != nil {
		t.Fatal(err)
	}
	window := order.WindowOf(worked(t, string(source)).Treatments[0], measure.In)
	for tag, want := range map[string]map[string]string{
		"en": {
			"finished_width_asked": "84 in face width ÷ 2 + 6 in overlap ÷ 2 + 3 1⁄2 in return = 48 1⁄2 in",
			"flat_width":           "19 pleats × 6 1⁄2 in from dot to dot + 2 × 1⁄2 in end margin = 124 1⁄2 in",
			"tight_width":          "19 pleats × 2 1⁄2 in space + 2 × 1⁄2 in end margin = 48 1⁄2 in",
			"plain_length":         "95 1⁄2 in finished length + 2 × 4 in heading fold + 2 × 4 in bottom hem = 111 1⁄2 in, rounded up to the next 1⁄16 in so that a ruler can show it",
			"cut_length":           "111 1⁄2 in plain length, rounded up to whole repeats of 13 1⁄2 in so that every cut starts alike on the pattern: 121 1⁄2 in",
			"tube_diameter":        "4 in of cloth bent into a circle; divided by 3.1416 that is ≈ 1 1⁄4 in across",
			"stack_back":           "19 pleats × ≈ 1 1⁄4 in tube + 2 × 1 3⁄4 in flat at the edges ≈ 27 11⁄16 in",
			"seams_hidden":         "Joins lie at 21 3⁄8 in · 74 3⁄8 in. A pleat takes in 4 in; this many of the joins fall in the back half of one: 1",
		},
		"es": {
			"finished_width_asked": "84 in de ancho del frente ÷ 2 + 6 in de traslape ÷ 2 + 3 1⁄2 in de retorno = 48 1⁄2 in",
			"flat_width":           "19 pliegues × 6 1⁄2 in de punto a punto + 2 × 1⁄2 in de margen = 124 1⁄2 in",
			"cord_total":           "3 cordones × 77 in en la mano = 231 in",
		},
	} {
		v, err := views.New(i18n.For(tag))
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range window.Groups {
			for _, row := range g.Rows {
				if wanted, ok := want[row.Name]; ok {
					if got := plain(string(order.TrailOf(v, window, row.Values[0]).Sum)); got != wanted {
						t.Errorf("%s %s:\n%s\nwant\n%s", tag, row.Name, got, wanted)
					}
					delete(want, row.Name)
				}
			}
		}
		if len(want) > 0 {
			t.Errorf("%s: never met %v", tag, want)
		}
	}
}

// TestTrailLinks: a figure that the page works out leads to a trail that is there.
func TestTrailLinks(t *testing.T) {
	v := newViews(t)
	link := regexp.MustCompile(`href="#([^"]+)"`)
	for name, w := range workedOrders(t) {
		ids, links := map[string]bool{}, 0
		var sums []string
		for _, treatment := range w.Treatments {
			window := order.WindowOf(treatment, measure.In)
			for _, g := range window.Groups {
				for _, row := range g.Rows {
					ids[window.Anchor(row.Name)] = true
					sums = append(sums, string(order.TrailOf(v, window, row.Values[0]).Sum))
				}
			}
		}
		for _, sum := range sums {
			for _, m := range link.FindAllStringSubmatch(sum, -1) {
				links++
				if !ids[m[1]] {
					t.Errorf("%s: nothing is at %s", name, m[1])
				}
			}
		}
		if len(ids) > 0 && links == 0 {
			t.Errorf("%s: no figure leads on", name)
		}
	}
}

// TestSumsAddUp: the parts of a number's sum, as they are drawn, add up to what they share out, and each sum is drawn to scale
// somewhere.
func TestSumsAddUp(t *testing.T) {
	drawn := map[string]bool{}
	for name, w := range workedOrders(t) {
		for i := range w.Treatments {
			for j := range w.Treatments[i].Panels {
				for k := range w.Treatments[i].Panels[j].Trail {
					step := &w.Treatments[i].Panels[j].Trail[k]
					if bar, ok := order.BarOf(step); ok {
						drawn[step.Formula] = true
						addsUp(t, name+": "+step.Name, step, bar)
					}
				}
			}
		}
	}
	for _, formula := range order.Sums() {
		if !drawn[formula] {
			t.Errorf("%s is drawn nowhere", formula)
		}
	}
}

func addsUp(t *testing.T, name string, step *workup.Step, bar order.Bar) {
	t.Helper()
	const crumb = 1000 // nanometres, for what a mean leaves over
	var sum measure.Length
	shares := false
	for _, s := range bar.Segments {
		sum += s.Length
		shares = shares || s.Itself
	}
	whole := step.Value.Length()
	if shares {
		whole = bar.Whole
	}
	if (sum - whole).Abs() > crumb {
		t.Errorf("%s comes to %v, its parts to %v", name, step.Value, sum)
	}
	var wide float64
	for _, m := range regexp.MustCompile(`class="(?:a|b|itself|added)" x="[\d.]+%" width="([\d.]+)%"`).FindAllStringSubmatch(string(bar.HTML()), -1) {
		one, _ := strconv.ParseFloat(m[1], 64)
		wide += one
	}
	if wide < 99.9 || wide > 100.1 {
		t.Errorf("the parts of %s are %v %% wide", name, wide)
	}
}
