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

// printed is an order for one window of a print that repeats every 13 across 53, its first motif 4 from the left edge. Its panels lie flat
// twice as wide as they hang.
const printed = `order: T-1
units: in
conventions: {order_repeats: 0, fullness_slack: 0}
fabrics:
  - {id: print, use: face, usable_width: 53, match_width: 52, horizontal_repeat: 13, motif_offset: 4}
tapes: [{id: pencil, kind: pencil, height: 3, cords: 3}]
treatments:
  - {window: Snug, heading: pencil-tape, finished_length: 80, fullness: 2, face: print, WINDOW}
`

func ofText(t *testing.T, text string) *workup.Workup {
	t.Helper()
	o, problems := orderfile.Parse([]byte(text))
	if o == nil {
		t.Fatalf("%+v of\n%s", problems, text)
	}
	return workup.Compute(o)
}

// inInches writes lengths for a test to compare.
func inInches(list []measure.Length) string {
	var words []string
	for _, l := range list {
		words = append(words, l.In(measure.In))
	}
	return strings.Join(words, " ")
}

// TestMotifs are worked by hand, as in engine/pattern: side hems of twice 1½ at each edge, joins that take 1.
func TestMotifs(t *testing.T) {
	for _, c := range []struct {
		window string
		panels []string // widths; trims at the return and at the leading edge; the motif's; where motifs are
	}{
		// 40 and 6 of hems are 46; 7 more make 53, a whole width.
		{"draw: stationary, finished_width: 20, motif: centred_on", []string{"1: 7in 0in, 7in: 7in 20in 33in"}},
		{"draw: stationary, finished_width: 20, motif: centred_between", []string{"1: 0.5in 6.5in, 0.5in: 0.5in 13.5in 26.5in 39.5in"}},
		// The right panel wants 7½, more than a width has: 1½ give 79½ less a join of 1, 32½ over. Motifs 6½, 19½ and 32½ from both leads.
		{"draw: stationary_pair, finished_width: 20, motif: mirrored", []string{"1.5: 32in 0.5in, 0.5in: 7.5in 20.5in 33.5in", "1.5: 25in 7.5in, 7.5in: 7.5in 20.5in 33.5in"}},
		{"draw: stationary_pair, finished_width: 20, motif: mirrored, motif_lead: 0", []string{"1: 0in 7in, 7in: 1in 14in 27in 40in", "1: 6in 1in, 1in: 1in 14in 27in 40in"}},
		// Half a width each: 26½ for 12, 6 of hems and 7½. The half's own edge is the lead.
		{"draw: stationary_pair, finished_width: 6, motif: mirrored", []string{"0.5: 8in 0.5in, 0.5in: 5.5in", "0.5: 1in 7.5in, 7.5in: 5.5in"}},
		// Of a pair each panel by itself. The left one has the right half of a width at its left edge, where a motif would be 22½ to its left:
		// 48¾ less than 3 and 23¼, which is 3¼ short of four repeats.
		{"draw: stationary_pair, finished_width: 23 1/4, motif: centred_on", []string{"1.5: 3.25in 22.75in, 3.25in: 10.25in 23.25in 36.25in", "1.5: 22.25in 3.75in, 3.75in: 10.25in 23.25in 36.25in"}},
		// A panel that stacks at the right has its return edge there.
		{"draw: one_way_right, face_width: 20, return: 0, motif: centred_on", []string{"1: 0in 7in, 7in: 7in 20in 33in"}},
		{"draw: one_way_left, face_width: 20, return: 0, motif: centred_on", []string{"1: 7in 0in, 7in: 7in 20in 33in"}},
		// Wherever they come: a panel without joins is trimmed at its return.
		{"draw: stationary, finished_width: 20", []string{"1: 7in 0in: 7in 20in 33in"}},
		{"draw: stationary, finished_width: 20, surplus: keep", []string{"1: 0in 0in: 1in 14in 27in 40in"}},
	} {
		w := ofText(t, strings.Replace(printed, "WINDOW", c.window, 1))
		var got []string
		for i := range w.Treatments[0].Panels {
			p := &w.Treatments[0].Panels[i]
			text := fmt.Sprintf("%s: %s %s", p.Widths, p.TrimReturn.In(measure.In), p.TrimLeading.In(measure.In))
			if p.MotifPlaced {
				text += ", " + p.MotifTrim.In(measure.In)
				placed, rest := "trim_return", "trim_leading"
				if p.MotifTrim != p.TrimReturn {
					placed, rest = rest, placed
				}
				for _, s := range p.Trail {
					if want := map[string]string{placed: "formula.trim.motif", rest: "formula.trim.rest"}[s.Name]; want != "" && s.Formula != want {
						t.Errorf("%s: %s is by %s, want %s", c.window, s.Name, s.Formula, want)
					}
				}
			}
			got = append(got, text+": "+inInches(p.MotifPositions))
		}
		if !slices.Equal(got, c.panels) {
			t.Errorf("%s: %q, want %q; %+v", c.window, got, c.panels, w.Problems)
		}
	}
}

// TestWidthsMeetByWholeMotifs: a cloth that says how often its motifs repeat, and not where it is joined, is joined as many whole repeats
// on as leave the shop's seams: 53 less two of ½ hold four times 13, so that a join takes 1, and less two of ¾ three times, 14. The other
// way round one that says it takes that.
// TestRoomForMotifs: what is to be over in width is over beside what motifs take, and a band that stands for a hem is no hem; halves of
// a split print begin at other motifs, so nobody else has use for one. By hand.
func TestRoomForMotifs(t *testing.T) {
	for _, c := range []struct{ conventions, window, want string }{
		// 30 flat, 6 of hems, 12 for the motif and 10 over are 58; 53 would leave 5 over.
		{"width_allowance: 10", "heading: pencil-tape, fullness: 2, draw: stationary, finished_width: 15, motif: centred_on", "2"},
		// 124½ flat, 3 of a hem, and a band of 3 less its seam; the left panel's motif wants 6. 2½ widths have 130½, which is ½ short.
		{"", "heading: cartridge-tape, tape: cart, draw: stationary_pair, finished_width: 48 1/2, motif: mirrored, bands: [{edge: leading, width: 3, fabric: print}]", "3"},
		// 1½ widths would do.
		{"", "heading: pencil-tape, fullness: 2, draw: stationary, finished_width: 30, quantity: 2", "2"},
	} {
		text := strings.Replace(printed, "heading: pencil-tape, finished_length: 80, fullness: 2, face: print, WINDOW", "finished_length: 80, face: print, "+c.window, 1)
		text = strings.Replace(text, "tapes: [", "tapes: [{id: cart, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, end_margin: {nominal: 3/4, min: 1/2, max: 1}}, ", 1)
		text = strings.Replace(text, "fullness_slack: 0", "fullness_slack: 0, "+c.conventions, 1)
		text = strings.Replace(text, "heading: pencil-tape,", "heading: pencil-tape, tape: pencil,", 1)
		for _, p := range ofText(t, text).Treatments[0].Panels {
			if p.Widths.String() != c.want {
				t.Errorf("%s: panel %s of %s widths, want %s", c.window, p.ID, p.Widths, c.want)
			}
		}
	}
}

func TestWidthsMeetByWholeMotifs(t *testing.T) {
	for conventions, loss := range map[string]string{"": "1in", ", seam: 3/4": "14in"} {
		text := strings.Replace(printed, "match_width: 52, ", "", 1)
		text = strings.Replace(text, "fullness_slack: 0", "fullness_slack: 0"+conventions, 1)
		w := ofText(t, strings.Replace(text, "WINDOW", "draw: stationary, finished_width: 40", 1))
		p := &w.Treatments[0].Panels[0]
		for _, step := range p.Trail {
			for _, input := range step.Inputs {
				if step.Name == "seams" && input.Name == "join_loss" && input.Value.String() != loss {
					t.Errorf("%q: a join takes %s, want %s", conventions, input.Value, loss)
				}
			}
		}
		if has(w, "seam_narrow") {
			t.Errorf("%q: %+v", conventions, w.Problems)
		}
	}
	// A repeat as wide as the cloth leaves nothing to sew.
	text := strings.Replace(printed, "match_width: 52, horizontal_repeat: 13", "horizontal_repeat: 53", 1)
	p := problem(t, ofText(t, strings.Replace(text, "WINDOW", "draw: stationary, finished_width: 40", 1)), "seam_narrow")
	if p.Severity != "error" || p.Where != "fabrics[0].horizontal_repeat" {
		t.Errorf("%+v", p)
	}
}

// TestMotifsTrimWhateverTheShopKeeps: placing motifs wants trimming, even where the order counts the widths and the shop keeps what is over.
func TestMotifsTrimWhateverTheShopKeeps(t *testing.T) {
	text := strings.Replace(printed, "fullness_slack: 0", "fullness_slack: 0, surplus: keep", 1)
	p := &ofText(t, strings.Replace(text, "WINDOW", "draw: stationary, finished_width: 20, widths: 2, motif: centred_on", 1)).Treatments[0].Panels[0]
	if p.FlatWidth != inches("40") || p.TrimReturn != inches("7") || p.Turned {
		t.Errorf("%s flat, %s off at the return", p.FlatWidth.In(measure.In), p.TrimReturn.In(measure.In))
	}
}

// printedPanel is a panel laid out by hand: its widths side by side with the joins that a match width makes, all in sixteenths.
type printedPanel struct{ repeat, offset, usable, match, hem int }

// raw are the middles of motifs from the left raw edge of so many half widths, the cut edge of an odd half at the return edge, and how much
// cloth they are.
func (p printedPanel) raw(halves int, returnLeft bool) (motifs []int, all int) {
	list := (halves + 1) / 2
	at := 0 // the left edge of the next width, as if it were whole
	if halves%2 == 1 && returnLeft {
		at = -p.usable / 2
	}
	for i := range list {
		from, to := at, at+p.usable
		if i == 0 {
			from = max(from, 0)
		}
		if i == list-1 && halves%2 == 1 && !returnLeft {
			to -= p.usable / 2
		}
		for m := at + p.offset; m <= to; m += p.repeat {
			if m >= from && !slices.Contains(motifs, m) {
				motifs = append(motifs, m)
			}
		}
		for m := at + p.offset - p.repeat; m >= from; m -= p.repeat {
			if !slices.Contains(motifs, m) {
				motifs = append(motifs, m)
			}
		}
		all, at = to, at+p.match
	}
	return motifs, all
}

// least is the least trim, in sixteenths, that places the motifs of a panel so wide, tried one by one; −1 where none does.
func (p printedPanel) least(halves int, returnLeft bool, motif orderfile.Motif, flat, lead int) int {
	motifs, all := p.raw(halves, returnLeft)
	for trim := 0; flat+4*p.hem+trim <= all; trim++ {
		left := trim + 2*p.hem // of the hemmed panel's left edge
		if motif == orderfile.Mirrored && returnLeft {
			left = all - trim - 2*p.hem - flat
		}
		switch motif {
		case orderfile.Mirrored:
			at := left + lead
			if returnLeft {
				at = left + flat - lead
			}
			if slices.Contains(motifs, at) {
				return trim
			}
		case orderfile.CentredOn:
			if slices.Contains(motifs, left+flat/2) {
				return trim
			}
		case orderfile.CentredBetween:
			if slices.Contains(motifs, left+flat/2-p.repeat/2) || slices.Contains(motifs, left+flat/2+p.repeat/2) {
				return trim
			}
		}
	}
	return -1
}

func in16(n int) float64 { return float64(n) / 16 }

// TestNoLessWidthServes: no fewer widths hold the panels with their motifs in their places, and with those taken no less trim puts them
// there. Of a gathered heading, a tape that sets pleats, and pleats set by hand.
func TestNoLessWidthServes(t *testing.T) {
	const sixteenth = measure.Inch / 16
	rapid.Check(t, func(t *rapid.T) {
		c := printedPanel{repeat: 2 * rapid.IntRange(16, 200).Draw(t, "repeat"), hem: rapid.SampledFrom([]int{8, 24}).Draw(t, "hem")}
		c.offset = rapid.IntRange(0, c.repeat).Draw(t, "offset")
		c.match = c.repeat * max(1, 800/c.repeat)
		c.usable = c.match + 2*rapid.IntRange(8, 20).Draw(t, "join")
		motif := rapid.SampledFrom([]orderfile.Motif{orderfile.Mirrored, orderfile.CentredOn, orderfile.CentredBetween}).Draw(t, "motif")
		draw := rapid.SampledFrom([]string{"stationary_pair", "stationary"}).Draw(t, "draw")
		if motif == orderfile.Mirrored {
			draw = "stationary_pair"
		}
		heading := rapid.SampledFrom([]string{"pencil-tape", "pinch-tape", "pinch-3"}).Draw(t, "heading")
		lead := rapid.IntRange(0, 300).Draw(t, "lead")
		text := fmt.Sprintf(`order: T-1
units: in
conventions: {fullness_slack: 0, side_hem: %v, pleat_count: ranges}
fabrics: [{id: print, use: face, usable_width: %v, match_width: %v, horizontal_repeat: %v, motif_offset: %v}]
tapes:
  - {id: pencil, kind: pencil, height: 3, cords: 3, tightest: 10}
  - {id: pinch, kind: pinch, period: 6, space: 3, height: 3, cords: 2, end_margin: {nominal: 1/2, min: 1/2, max: 2}}
treatments:
  - {window: Snug, heading: %s, TAPE draw: %s, finished_width: %v, finished_length: 80, face: print, return: 0, motif: %s, motif_lead: %v}
`, in16(c.hem), in16(c.usable), in16(c.match), in16(c.repeat), in16(c.offset), heading, draw, in16(rapid.IntRange(160, 1600).Draw(t, "width")), motif, in16(lead))
		tape := map[string]string{"pencil-tape": "tape: pencil, fullness: 2,", "pinch-tape": "tape: pinch,", "pinch-3": "fullness: 2,"}[heading]
		o, problems := orderfile.Parse([]byte(strings.Replace(text, "TAPE", tape, 1)))
		if o == nil {
			t.Fatalf("%+v of\n%s", problems, text)
		}
		w := workup.Compute(o)
		panels := w.Treatments[0].Panels
		if len(panels) == 0 {
			t.Fatalf("%+v", w.Problems)
		}
		flat := int(panels[0].FlatWidth / sixteenth)
		if panels[0].FlatWidth%(2*sixteenth) != 0 || lead > flat {
			return // off the grain, or a motif outside of the panel
		}
		halves, by := int(panels[0].Widths), 2
		if draw == "stationary_pair" {
			by = 1
		}
		fewer := true
		for i := range panels {
			p, returnLeft := &panels[i], panels[i].ID != workup.Right
			if int(p.Widths) != halves || p.FlatWidth != panels[0].FlatWidth {
				t.Fatalf("panels differ: %s widths, %v flat", p.Widths, p.FlatWidth)
			}
			want := c.least(halves, returnLeft, motif, flat, lead)
			if want < 0 || p.MotifTrim != sixteenth.Times(want) {
				t.Fatalf("%s trims %s, want %d/16\n%s", p.ID, p.MotifTrim.In(measure.In), want, text)
			}
			_, all := c.raw(halves, returnLeft)
			if p.TrimReturn+p.TrimLeading != sixteenth.Times(all-flat-4*c.hem) {
				t.Fatalf("%s trims %s and %s of %d/16", p.ID, p.TrimReturn.In(measure.In), p.TrimLeading.In(measure.In), all)
			}
			fewer = fewer && halves > by && c.least(halves-by, returnLeft, motif, flat, lead) >= 0
			at := p.FlatWidth - sixteenth.Times(lead)
			switch motif {
			case orderfile.CentredOn:
				at = p.FlatWidth / 2
			case orderfile.CentredBetween:
				at = p.FlatWidth/2 - sixteenth.Times(c.repeat)/2
			}
			if at >= 0 && !slices.Contains(p.MotifPositions, at) {
				t.Fatalf("%s has motifs at %s, none at %s\n%s", p.ID, inInches(p.MotifPositions), at.In(measure.In), text)
			}
		}
		if fewer {
			t.Fatalf("%d half widths would do with fewer\n%s", halves, text)
		}
	})
}
