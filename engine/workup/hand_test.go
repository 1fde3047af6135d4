package workup_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// pinched is the worked order with its pair headed by pinch-3 instead of the tape.
func pinched(change func(o *orderfile.Order)) *orderfile.Order {
	o := inchOrder()
	o.Treatments[0].Heading, o.Treatments[0].Tape = orderfile.Pinch3, ""
	if change != nil {
		change(o)
	}
	return o
}

// asBefore gives an order the first release's conventions.
func asBefore(o *orderfile.Order) { o.Conventions = orderfile.FirstReleaseConventions(measure.In) }

// The worked pair pinched, by hand: 48½ at 2½ is 121¼ and 6 of hems, 127¼; 2½ widths of 54 give 133, so 5¾ are over.
// 39 in of spaces make 11 or 12 pleats; 5 in 54 in of the cloth would be 11.78, so 12, which take up 72¾/12 = 6 1/16.
// The seams lie at 23½ − t and 76½ − t; pleats of 6 1/16 begin every 9.6080 in from 3½: at 13.108 and 70.756. The greatest trim
// that leaves both an eighth inside is 5 9/16: 17 15/16, and 70 15/16 is .181 in.
func TestPinchedPair(t *testing.T) {
	w := workup.Compute(pinched(nil))
	if len(w.Treatments[0].Panels) != 2 {
		t.Fatalf("%+v", w.Problems)
	}
	p := &w.Treatments[0].Panels[0]
	checkPanel(t, p, map[string]string{
		"finished_width_asked": "48.5in", "finished_width": "48.5in", "deviation": "0in", "pleats": "12", "edge_to_pleat": "3.5in",
		"lead_flat": "6in", "take_up": "6.0625in", "space": "3.54545453in", "flat_width": "121.25in", "fullness": "2.5", "fullness_asked": "2.5",
		"widths": "2.5", "seams": "17.9375in 70.9375in", "seams_in_pleats": "2", "seams_hidden": "2", "trim_return": "5.5625in", "trim_leading": "0.1875in",
		"plain_length": "111.5in", "cut_length": "121.5in", "repeats_per_cut": "9", "buckram_piece": "121.25in × 4in", "corner_to_pleat": "0in",
		"tape_piece": "", "cords": "", "tight_width": "", "stack_back": "14in",
	})
	if least, most := slices.Min(p.TakeUps), slices.Max(p.TakeUps); most != least {
		t.Errorf("take-ups %v", p.TakeUps)
	}
	if b := w.Totals.Buckram; len(b) != 1 || b[0].Pieces != 2 || b[0].Length != inches("242 1/2") || b[0].Height != inches("4") {
		t.Errorf("buckram %+v", b)
	}
	if len(w.Totals.Tape)+len(w.Totals.Thread) > 0 {
		t.Errorf("totals %+v", w.Totals)
	}
}

// The same by the first release's conventions: all the cloth is kept, so 127 flat. 12½ pleats leave spaces of 39/11 or
// 39/12; 39/11 is nearer 3¾. The seam at 23½ lies before pleat 2, which starts at 23.67 while all take-ups are equal; it
// is in by an eighth when the two before take up 12.784 together.
func TestPinchedPairAsBefore(t *testing.T) {
	w := workup.Compute(pinched(asBefore))
	p := &w.Treatments[0].Panels[0]
	checkPanel(t, p, map[string]string{
		"pleats": "12", "take_up": "6.54166665in", "space": "3.54545453in", "flat_width": "127in", "fullness": "2.619", "widths": "2.5",
		"seams": "23.5in 76.5in", "seams_in_pleats": "2", "trim_return": "0in", "trim_leading": "0in", "buckram_piece": "127in × 4in",
	})
	least, most := slices.Min(p.TakeUps), slices.Max(p.TakeUps)
	if !close(least, 6.39204545) || !close(most, 6.57159091) || p.TakeUps[1]-least > 1 || most-p.TakeUps[2] > 1 {
		t.Errorf("take-ups %v", p.TakeUps)
	}
}

// close compares with a decimal of inches to a hundred-millionth.
func close(l measure.Length, inches float64) bool {
	off := float64(l) - inches*float64(measure.Inch)
	return off < 1 && off > -1
}

// Each rule by itself, all else as in the first release.
func TestPinchedRules(t *testing.T) {
	for name, c := range map[string]struct {
		change func(o *orderfile.Order)
		want   map[string]string
	}{
		"half a space at each end": {func(o *orderfile.Order) { o.Conventions.PleatEnds = "half_space" },
			map[string]string{"pleats": "12", "space": "3.25in", "edge_to_pleat": "5.125in", "corner_to_pleat": "1.625in"}},
		"by ranges": {func(o *orderfile.Order) { o.Conventions.PleatCount = "ranges" }, // 10 or 11 spaces; 11 pleats would take up 7.14
			map[string]string{"pleats": "12"}},
		"four a width":                      {func(o *orderfile.Order) { o.Conventions.PleatsPerWidth = 4 }, map[string]string{"pleats": "10", "space": "4.33333335in"}},
		"three a width, half of one nearer": {func(o *orderfile.Order) { o.Conventions.PleatsPerWidth = 3 }, map[string]string{"pleats": "8"}}, // 7½; 39/7 is nearer 3¾ than 39/6
		"two fingers":                       {func(o *orderfile.Order) { o.Treatments[0].Heading = orderfile.Pinch2 }, map[string]string{"fullness_asked": "2.25", "widths": "2.5"}},
		"asked by hand":                     {func(o *orderfile.Order) { fuller(o, 3, 1) }, map[string]string{"fullness_asked": "3", "widths": "3", "flat_width": "154in"}},
		"a short lead": {func(o *orderfile.Order) { lead := inches("2"); o.Treatments[0].LeadFlat = &lead },
			map[string]string{"lead_flat": "2in", "pleats": "12", "space": "3.90909091in"}},
		"past the centre": {func(o *orderfile.Order) {
			o.Conventions.OverlapBasis, o.Treatments[0].Overlap = "past_centre", inches("3")
		},
			map[string]string{"lead_flat": "6in", "finished_width": "48.5in"}},
		"trimmed": {func(o *orderfile.Order) { o.Conventions.Surplus = "trim" }, map[string]string{"flat_width": "121.25in", "fullness": "2.5"}},
		"trimmed, track": {func(o *orderfile.Order) { o.Conventions.Surplus, o.Conventions.FullnessBasis = "trim", "track" },
			map[string]string{"flat_width": "105in"}},
		"trimmed, flat after": {func(o *orderfile.Order) {
			o.Conventions.Surplus, o.Conventions.FullnessBasis = "trim", "track_then_flat"
		},
			map[string]string{"flat_width": "111.5in"}},
		"whole widths":     {func(o *orderfile.Order) { o.Conventions.WidthsRounding = "up_to_whole" }, map[string]string{"widths": "3"}},
		"nearest width":    {func(o *orderfile.Order) { o.Conventions.WidthsRounding = "nearest_whole" }, map[string]string{"widths": "2", "flat_width": "101in"}},
		"width allowance":  {func(o *orderfile.Order) { o.Conventions.WidthAllowance = inches("6") }, map[string]string{"widths": "3"}},
		"the pair's whole": {func(o *orderfile.Order) { total(o, "up_to_whole") }, map[string]string{"widths": "2.5"}},
		"the pair nearest": {func(o *orderfile.Order) { total(o, "nearest_whole") }, map[string]string{"widths": "2.5"}},
	} {
		t.Run(name, func(t *testing.T) {
			w := workup.Compute(pinched(func(o *orderfile.Order) { asBefore(o); c.change(o) }))
			if len(w.Treatments[0].Panels) == 0 {
				t.Fatalf("%+v", w.Problems)
			}
			checkPanel(t, &w.Treatments[0].Panels[0], c.want)
		})
	}
}

func fuller(o *orderfile.Order, num, den int64) {
	o.Treatments[0].Fullness = &measure.Ratio{Num: num, Den: den}
}

func total(o *orderfile.Order, rounding orderfile.WidthsRounding) {
	o.Conventions.PairSplit, o.Conventions.WidthsRounding = "total", rounding
}

func TestPinchedProblems(t *testing.T) {
	count := func(n int) func(o *orderfile.Order) {
		return func(o *orderfile.Order) { o.Treatments[0].Pleats = &n }
	}
	for name, c := range map[string]struct {
		change      func(o *orderfile.Order)
		code, where string
		key         string
		severity    engine.Severity
	}{
		"no space": {func(o *orderfile.Order) { stationary(o, inches("5")) }, "too_narrow", "treatments[0].finished_width", "problem.too_narrow.hand", engine.Error},
		"no fullness": {func(o *orderfile.Order) {
			fuller(o, 101, 100)
			o.Conventions.WidthsRounding = "nearest_whole"
			o.Conventions.SideHem = inches("2")
		}, "too_narrow", "treatments[0].face", "problem.too_narrow.cloth", engine.Error},
		"too many":       {count(20), "pleat_out_of_range", "treatments[0].pleats", "problem.pleat_out_of_range.count", engine.Warning},
		"one":            {count(1), "bad_value", "treatments[0].pleats", "problem.bad_value.few", engine.Error},
		"four a width":   {func(o *orderfile.Order) { asBefore(o); o.Conventions.PleatsPerWidth = 4 }, "pleat_out_of_range", "treatments[0].face_width", "problem.pleat_out_of_range.count", engine.Warning},
		"too full":       {func(o *orderfile.Order) { fuller(o, 4, 1) }, "pleat_out_of_range", "treatments[0].face_width", "problem.pleat_out_of_range.fullness", engine.Warning},
		"in the hem":     {func(o *orderfile.Order) { o.Treatments[0].Return = inches("1") }, "pleat_in_hem", "treatments[0].return", "", engine.Note},
		"inside the lap": {func(o *orderfile.Order) { lead := inches("2"); o.Treatments[0].LeadFlat = &lead }, "pleat_in_lap", "treatments[0].overlap", "", engine.Note},
	} {
		t.Run(name, func(t *testing.T) {
			w := workup.Compute(pinched(c.change))
			got := problem(t, w, c.code)
			if got.Where != c.where || got.Key != c.key || got.Severity != c.severity || (c.severity == engine.Error) != w.Totals.Incomplete {
				t.Errorf("%+v", got)
			}
		})
	}
}

// What holds of every heading set by hand.
func TestPleatsAddUp(t *testing.T) {
	eachPanel(t, func(t *rapid.T, o *orderfile.Order, line *orderfile.Treatment, p *workup.Panel) {
		if !p.SetByHand() {
			return
		}
		at, halves := p.EdgeToPleat, o.Conventions.PleatEnds == "half_space"
		for k, took := range p.TakeUps {
			if (at+took/2-p.PleatPositions[k]).Abs() > measure.Length(k+2) || took <= 0 {
				t.Fatalf("pleat %d starts at %d and takes %d, but stands at %d", k, at, took, p.PleatPositions[k])
			}
			for side, place := range []measure.Length{at, at + took} {
				mark := p.PleatMarks[2*k+side]
				if off := (mark - place).Abs(); mark%o.Conventions.Step != 0 || 2*off > o.Conventions.Step+2*measure.Length(k+2) {
					t.Fatalf("pleat %d has a mark at %d for %d, in steps of %d", k, mark, place, o.Conventions.Step)
				}
			}
			at += took + p.Space
		}
		if len(p.TakeUps) != p.Pleats {
			t.Fatalf("%d take-ups of %d pleats", len(p.TakeUps), p.Pleats)
		}
		end := p.FlatWidth - p.LeadFlat + p.Space
		if halves {
			end += p.Space / 2
			end -= p.Space
		}
		if (at - end).Abs() > measure.Length(p.Pleats+2) {
			t.Fatalf("pleats end at %d, not %d", at, end)
		}
		if slices.Max(p.TakeUps)-slices.Min(p.TakeUps) > measure.Inch/2+2*measure.Nanometre { // what rounding alone may add
			t.Fatalf("take-ups %v", p.TakeUps)
		}
		if p.FinishedWidth != p.FinishedWidthAsked || p.FlatWidth <= p.FinishedWidth {
			t.Fatalf("%d flat for %d, asked %d", p.FlatWidth, p.FinishedWidth, p.FinishedWidthAsked)
		}
	})
}
