package workup_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// parlour is published example W12 (Workroom Threads, August 2011; {figures} are the example's), 16 of allowance being a heading fold and a hem
// of 8 each, and beside it in its room a window of 84 whose hem hangs 12 higher: worked by hand. Two widths of it, four of the other.
const parlour = `order: T-1
units: in
conventions: {room_phase: together, heading_fold: 4, bottom_hem: 4, squaring: 0, order_repeats: 1, order_rounding: none, fullness_slack: 0, surplus: trim, half_drop: phases, MORE}
fabrics:
  - {id: toile, use: face, usable_width: 54, vertical_repeat: {vertical_repeat}, FABRIC}
treatments:
  - {window: Bay, room: Parlour, heading: pinch-3, draw: stationary_pair, finished_width: 40, return: 0, lead_flat: 0, widths: 2, finished_length: {finished_length}, face: toile}
  - {window: Door, room: Parlour, heading: pinch-3, draw: stationary_pair, finished_width: 20, return: 0, lead_flat: 0, widths: 1, finished_length: 84, hem_height: 12, face: toile}
`

func parlourOf(t *testing.T, conventions, fabric string) *workup.Workup {
	t.Helper()
	text := strings.NewReplacer("MORE", conventions, "FABRIC", fabric).Replace(parlour)
	return ofText(t, strings.ReplaceAll(fillIn(t, text, published(t)["W12"]), ", }", "}"))
}

// W12's window is cut to 116, five repeats, of which 9 are waste; the other to 100, four. They start 17 and 21 behind the pattern, so the
// cloth that they take together loses 4.
func TestRoomAtOneHeight(t *testing.T) {
	w := parlourOf(t, "", "")
	for i, want := range []map[string]string{
		{"plain_length": "116in", "cut_length": "125in", "repeats_per_cut": "5", "phase": "17in"},
		{"plain_length": "100in", "cut_length": "100in", "repeats_per_cut": "4", "phase": "21in"},
	} {
		checkPanel(t, &w.Treatments[i].Panels[0], want)
	}
	if got := w.Totals.Fabrics[0]; got.Length != inches("704") || got.ToOrder != inches("729") {
		t.Errorf("%s, %s to order", got.Length.In(measure.In), got.ToOrder.In(measure.In))
	}
	if got := cutLengths(w); got != "125 125 125 125 100 100" {
		t.Errorf("cut %s", got)
	}
	// Of a half-drop the bay's second widths, which start at 4½, come last: from them to 17 is the widest way.
	if got := cutLengths(parlourOf(t, "", "match: half_drop")); got != "125 125 100 100 125 125" {
		t.Errorf("half-drop cut %s", got)
	}
}

func cutLengths(w *workup.Workup) string {
	var list []string
	for _, c := range w.Cloth[0].Cuts {
		list = append(list, strings.TrimSuffix(c.Length.In(measure.In), "in"))
	}
	return strings.Join(list, " ")
}

// TestRoomByRules: what the order takes under each rule, worked by hand. At the top edges both start 17 behind, 8 back from 25, and nothing
// is lost. Each for itself, nothing is either. Half-dropped, the second widths of the bay start at 4½: of 4½, 17 and 21 the widest way is
// 12½, and as much is lost; where half a repeat more is cut, 17 and 21 are 4½ and 8½ of every 12½ and lose 4; where one repeat an order is
// allowed, that and 4. On phase 116 is followed by its like after 125 and by the other after 129, that by its like after 100: with the
// longer ones first 3 × 125 + 129 + 100 + 100.
func TestRoomByRules(t *testing.T) {
	for _, c := range []struct{ conventions, fabric, length, phases string }{
		{"", "", "704in", "17in 21in"},
		{"motif_from: top", "", "700in", "17in 17in"},
		{"room_phase: each", "", "700in", "- -"},
		{"", "match: half_drop", "712.5in", "17in 21in"},
		{"half_drop: half_repeat_a_cut", "match: half_drop", "779in", "17in 21in"}, // 4 × 137½ + 2 × 112½ and 4
		{"half_drop: one_repeat_an_order", "match: half_drop", "729in", "17in 21in"},
		{"repeat_rule: add_one", "", "814in", "17in 21in"}, // 4 × 141 + 2 × 125, wherever they start
		{"repeat_rule: on_phase", "", "704in", "17in 21in"},
		{"shrink: 4", "", "", "12.5in 16.66666665in"}, // 108 is 112½ on the bolt, 104 is 108⅓
		{"length_allowance: 20", "", "", "17in 21in"}, // 8 stay the heading's
	} {
		conventions := c.conventions
		text := strings.NewReplacer("MORE", conventions, "FABRIC", c.fabric).Replace(parlour)
		for _, key := range []string{"room_phase: each", "half_drop: "} {
			if strings.Contains(conventions, key) { // said twice in a mapping
				text = strings.Replace(text, map[string]string{"room_phase: each": "room_phase: together, ", "half_drop: ": "half_drop: phases, "}[key], "", 1)
			}
		}
		w := ofText(t, strings.ReplaceAll(fillIn(t, text, published(t)["W12"]), ", }", "}"))
		var phases []string
		for i := range w.Treatments {
			if p := &w.Treatments[i].Panels[0]; p.Phased {
				phases = append(phases, p.Phase.In(measure.In))
			} else {
				phases = append(phases, "-")
			}
		}
		if got := strings.Join(phases, " "); got != c.phases {
			t.Errorf("%s %s: phases %s, want %s", c.conventions, c.fabric, got, c.phases)
		}
		if got := w.Totals.Fabrics[0].Length.In(measure.In); c.length != "" && got != c.length {
			t.Errorf("%s %s: %s, want %s", c.conventions, c.fabric, got, c.length)
		}
	}
}

// The bolt's pattern begins 3 from its end: cuts start at 20 and 24 over whole repeats of 25 each, and the order lies on just what it takes
// behind the first start. A flaw sends a cut to the next such start.
func TestRoomOnABolt(t *testing.T) {
	for _, c := range []struct{ bolt, from string }{
		{"{id: R1, length: 724, first_repeat: 3}", "20 145 270 395 524 624"},
		{"{id: R1, length: 800, first_repeat: 3, flaws: [{from: 160, to: 161}]}", "20 170 295 420 549 649"},
	} {
		w := parlourOf(t, "", "bolts: ["+c.bolt+"]")
		var from []string
		for _, p := range w.Cloth[0].Plan.Placements {
			from = append(from, strings.TrimSuffix(p.From.In(measure.In), "in"))
		}
		if got := strings.Join(from, " "); got != c.from || has(w, "fabric_short") {
			t.Errorf("%s: cut from %s, want %s", c.bolt, got, c.from)
		}
		for _, cut := range w.Cloth[0].Cuts {
			if cut.TrimTop != 0 {
				t.Errorf("%s: cut %s is trimmed %s at the top", c.bolt, cut.ID, cut.TrimTop.In(measure.In))
			}
		}
	}
}

// TestHeightsMeet: whatever the rules, of every cut that lies on a bolt a full pattern begins at the height asked, once its trim is off: as
// far above the room's lowest hem in each window, or below its top edge. Counted on the cloth itself, hem by hem.
func TestHeightsMeet(t *testing.T) {
	const grain = measure.Inch / 16
	rapid.Check(t, func(t *rapid.T) {
		in16ths := func(name string, least, most int) float64 { return in16(rapid.IntRange(least, most).Draw(t, name)) }
		v := 2 * rapid.IntRange(16, 240).Draw(t, "repeat")
		var text strings.Builder
		fmt.Fprintf(&text, `order: T-1
units: in
conventions: {room_phase: together, motif_from: %s, repeat_rule: %s, half_drop: %s, surplus: trim}
fabrics:
  - {id: toile, use: face, usable_width: 54, vertical_repeat: %v, match: %s, bolts: [{id: R1, length: 20000, first_repeat: %v}, {id: R2, length: 900, first_repeat: %v}]}
treatments:
`,
			rapid.SampledFrom([]string{"hem", "top"}).Draw(t, "from"), rapid.SampledFrom([]string{"whole_repeats", "on_phase", "add_one"}).Draw(t, "rule"),
			rapid.SampledFrom([]string{"phases", "one_repeat_an_order", "half_repeat_a_cut", "within_spare"}).Draw(t, "drop"),
			in16(v), rapid.SampledFrom([]string{"straight", "half_drop"}).Draw(t, "match"), in16ths("first", 0, 2*v), in16ths("first of R2", 0, 2*v))
		for i := range rapid.IntRange(1, 4).Draw(t, "windows") {
			fmt.Fprintf(&text, "  - {window: W%d, room: Parlour, heading: pinch-3, draw: stationary_pair, finished_width: %v, finished_length: %v, puddle: %v, heading_fold: %v, hem_height: %v, motif_height: %v, quantity: %d, face: toile}\n",
				i, in16ths("width", 200, 1000), in16ths("length", 320, 1600), in16ths("puddle", 0, 40), in16ths("fold", 8, 80), in16ths("hem", 0, 300), in16ths("motif", 0, 300), rapid.IntRange(1, 2).Draw(t, "quantity"))
		}
		o, problems := orderfile.Parse([]byte(text.String()))
		if o == nil {
			t.Fatalf("%+v of\n%s", problems, text.String())
		}
		w := workup.Compute(o)
		repeat, cloth := grain.Times(v), w.Cloth[0]
		for _, p := range cloth.Plan.Placements {
			cut := cloth.Cuts[slices.IndexFunc(cloth.Cuts, func(c workup.Cut) bool { return c.ID == p.Cut })]
			line, panel := &o.Treatments[cut.Treatment], &w.Treatments[cut.Treatment].Panels[0]
			bolt := o.Fabrics[0].Bolts[slices.IndexFunc(o.Fabrics[0].Bolts, func(b orderfile.Bolt) bool { return b.ID == p.Bolt })]
			top := p.From + cut.TrimTop + 2*panel.HeadingFold // the finished top edge on the bolt
			at := top + line.MotifHeight                      // where a full pattern begins
			if o.Conventions.MotifFrom == orderfile.MotifFromHem {
				at = top + line.FinishedLength + line.HemHeight - line.MotifHeight
			}
			past := at - bolt.FirstRepeat - repeat/2*measure.Length(cut.Class)
			if past%repeat != 0 {
				t.Fatalf("cut %s of %s from %s has its pattern %s off\n%s", cut.ID, line.Window, p.From.In(measure.In), (past % repeat).In(measure.In), text.String())
			}
			if cut.TrimTop < 0 || cut.TrimBottom < 0 || cut.Length-cut.TrimTop-cut.TrimBottom != panel.PlainLength {
				t.Fatalf("cut %s of %s is trimmed %s and %s", cut.ID, line.Window, cut.TrimTop.In(measure.In), cut.TrimBottom.In(measure.In))
			}
		}
		var sum measure.Length
		for _, cut := range cloth.Cuts {
			sum += cut.Length
		}
		lost := w.Totals.Fabrics[0].Length - sum
		if o.Conventions.RepeatRule != orderfile.OnPhase && (lost < 0 || lost >= 2*repeat) {
			t.Fatalf("%s is lost between the heights of %s", lost.In(measure.In), text.String())
		}
	})
}
