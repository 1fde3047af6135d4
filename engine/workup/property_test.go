package workup_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// law is what must hold of a panel and what ruled it.
type law func(t *rapid.T, o *orderfile.Order, line *orderfile.Treatment, p *workup.Panel)

// eachPanel holds every panel of a random order to the law.
func eachPanel(t *testing.T, f law) { eachPanelOf(t, randomOrder, f) }

// eachTapePanel holds the panels whose tape sets their pleats to the law.
func eachTapePanel(t *testing.T, f law) {
	eachPanel(t, func(t *rapid.T, o *orderfile.Order, line *orderfile.Treatment, p *workup.Panel) {
		if p.Family == orderfile.SetByTape {
			f(t, o, line, p)
		}
	})
}

// eachUsualTapePanel is the same under the conventions that a shop starts with.
func eachUsualTapePanel(t *testing.T, f law) {
	usual := func(t *rapid.T) *orderfile.Order {
		o := randomOrder(t)
		c, d := &o.Conventions, orderfile.DefaultConventions(o.Units)
		c.WidthsRounding, c.PairSplit, c.Surplus, c.WidthAllowance = d.WidthsRounding, d.PairSplit, d.Surplus, d.WidthAllowance
		return o
	}
	eachPanelOf(t, usual, func(t *rapid.T, o *orderfile.Order, line *orderfile.Treatment, p *workup.Panel) {
		if p.Family == orderfile.SetByTape {
			f(t, o, line, p)
		}
	})
}

func eachPanelOf(t *testing.T, draw func(t *rapid.T) *orderfile.Order, f law) {
	rapid.Check(t, func(t *rapid.T) {
		o := draw(t)
		w := workup.Compute(o)
		for i := range w.Treatments {
			for j := range w.Treatments[i].Panels {
				f(t, o, &o.Treatments[i], &w.Treatments[i].Panels[j])
			}
		}
	})
}

// near allows for one rounding of a half nanometre.
func near(a, b measure.Length) bool { return (a - b).Abs() <= 1 }

func TestHeadingHolds(t *testing.T) {
	eachTapePanel(t, func(t *rapid.T, o *orderfile.Order, line *orderfile.Treatment, p *workup.Panel) {
		tape := o.Tape(line.Tape)
		q := tape.Space + tape.PleatBase
		if !near(p.FlatWidth, tape.Period.Times(p.Pleats)+2*p.EndMargin) {
			t.Fatalf("H %d is not n·p + 2e", p.FlatWidth)
		}
		if !near(p.TightWidth, q.Times(p.Pleats)+2*p.EndMargin) {
			t.Fatalf("tight %d is not n·(s + b) + 2e", p.TightWidth)
		}
		if p.EndMargin < tape.EndMargin.Min || p.EndMargin > tape.EndMargin.Max+1 {
			t.Fatalf("end margin %d outside %+v", p.EndMargin, tape.EndMargin)
		}
		opened := p.FinishedWidth - p.TightWidth
		if opened < 0 || opened > o.Conventions.EasePerPleat.Times(p.Pleats) {
			t.Fatalf("opened by %d", opened)
		}
		if p.Deviation != p.FinishedWidth-p.FinishedWidthAsked || p.Deviation < 0 || (p.Deviation > 0) != (p.Alternative != nil) {
			t.Fatalf("deviation %d, alternative %v", p.Deviation, p.Alternative)
		}
		if p.Alternative != nil && (opened != 0 || p.Alternative.FinishedWidth >= p.FinishedWidthAsked || p.Alternative.Pleats != p.Pleats-1) {
			t.Fatalf("alternative %+v", p.Alternative)
		}
		if want := p.CordPullOut + tape.TrimBeyond; p.CordInHand != want || p.CordPullOut != p.FlatWidth-p.FinishedWidth {
			t.Fatalf("cord in the hand %d, pulled out %d", p.CordInHand, p.CordPullOut)
		}
	})
}

// No other count of pleats within the tape's range comes nearer its nominal margin.
func TestMarginIsNearestNominal(t *testing.T) {
	eachTapePanel(t, func(t *rapid.T, o *orderfile.Order, line *orderfile.Treatment, p *workup.Panel) {
		tape := o.Tape(line.Tape)
		asked, m := p.FinishedWidthAsked, tape.EndMargin
		best, bestOff := 0, measure.Length(0)
		for n := 1; ; n++ {
			left := asked - measure.Length(n)*(tape.Space+tape.PleatBase)
			if left < 2*m.Min {
				break
			}
			if left <= 2*m.Max {
				if off := (left - 2*m.Nominal).Abs(); best == 0 || off < bestOff {
					best, bestOff = n, off
				}
			}
		}
		if fits := p.FinishedWidth == asked && p.TightWidth == asked; (best > 0) != fits || fits && best != p.Pleats {
			t.Fatalf("%d pleats, the nearest is %d", p.Pleats, best)
		}
	})
}

func TestWidthsSufficeAndNoFewerDo(t *testing.T) {
	eachUsualTapePanel(t, func(t *rapid.T, o *orderfile.Order, line *orderfile.Treatment, p *workup.Panel) {
		face := o.Fabric(line.Face)
		halves := line.Draw.Paired() || face.Plain() && !face.OneWay && line.Quantity > 1
		loss := 2 * o.Conventions.Seam
		if face.MatchWidth > 0 {
			loss = face.UsableWidth - face.MatchWidth
		}
		suffices(t, p.Widths, face.UsableWidth, loss, p.FlatWidth+4*p.SideHem, halves)
		if lining := o.Fabric(line.Lining); lining != nil {
			suffices(t, p.LiningWidths, lining.UsableWidth, 2*o.Conventions.Seam, p.FlatWidth, line.Draw.Paired() || !lining.OneWay && line.Quantity > 1)
		}
		if p.TrimReturn < 0 || p.TrimLeading < 0 || p.TrimReturn%o.Conventions.Step != 0 {
			t.Fatalf("trims %d and %d", p.TrimReturn, p.TrimLeading)
		}
		surplus2 := give2(p.Widths, face.UsableWidth, loss) - 2*(p.FlatWidth+4*p.SideHem)
		if (2*(p.TrimReturn+p.TrimLeading) - surplus2).Abs() > 1 {
			t.Fatalf("trims %d and %d don't sum to half of %d", p.TrimReturn, p.TrimLeading, surplus2)
		}
		if len(p.Seams) != len(p.Pieces)-1 || !slices.IsSorted(p.Seams) || p.SeamsHidden > p.SeamsInPleats || p.SeamsInPleats > len(p.Seams) {
			t.Fatalf("seams %v, %d in pleats, %d hidden", p.Seams, p.SeamsInPleats, p.SeamsHidden)
		}
		for _, x := range p.Seams {
			if x < -2*p.SideHem || x > p.FlatWidth+2*p.SideHem {
				t.Fatalf("a seam at %d is off the cloth", x)
			}
		}
	})
}

// give2 is twice the joined cloth, strip by strip.
func give2(h measure.Halves, usable, loss measure.Length) measure.Length {
	var sum measure.Length
	for left := h; left > 0; left -= 2 {
		if sum > 0 {
			sum -= 2 * loss
		}
		sum += usable * measure.Length(min(left, 2))
	}
	return sum
}

func suffices(t *rapid.T, h measure.Halves, usable, loss, wanted measure.Length, halves bool) {
	if give2(h, usable, loss) < 2*wanted {
		t.Fatalf("%s widths give too little", h)
	}
	less := h - 2
	if halves {
		less = h - 1
	} else if h%2 == 1 {
		t.Fatalf("%s widths where halves serve nobody", h)
	}
	if less > 0 && give2(less, usable, loss) >= 2*wanted {
		t.Fatalf("%s widths, though %s do", h, less)
	}
}

// The trim kept is as good as the best of every trim, judged pleat by pleat, and no equal one trims less at the lead.
// Everything is doubled, since half a width, the middle of a join and the margin are halves.
func TestSeamSearchIsExhaustive(t *testing.T) {
	eachUsualTapePanel(t, func(t *rapid.T, o *orderfile.Order, line *orderfile.Treatment, p *workup.Panel) {
		face, tape, flat2 := o.Fabric(line.Face), o.Tape(line.Tape), 2*p.FlatWidth
		loss := 2 * o.Conventions.Seam
		if face.MatchWidth > 0 {
			loss = face.UsableWidth - face.MatchWidth
		}
		var seams2 []measure.Length // with nothing trimmed at the return edge, walking strip by strip
		edge2 := -4 * p.SideHem
		for i, piece := range p.Pieces {
			if i > 0 {
				seams2 = append(seams2, edge2-loss)
				edge2 -= 2 * loss
			}
			edge2 += face.UsableWidth
			if piece.Half == workup.Whole {
				edge2 += face.UsableWidth
			}
		}
		surplus2 := edge2 - flat2 - 4*p.SideHem
		judge := func(trim measure.Length) []measure.Length {
			var nearEdge, inSpace, worst, sum measure.Length
			for _, x2 := range seams2 {
				x2 -= 2 * trim
				if x2 < 2*o.Conventions.EdgeClear || x2 > flat2-2*o.Conventions.EdgeClear {
					nearEdge++
				}
				seen := 2 * p.TakeUp
				for k := range p.Pleats {
					centre2 := flat2/2 - tape.Period*measure.Length(p.Pleats-1-2*k) // pleats lie about the middle
					if off2 := (x2 - centre2).Abs(); off2 <= p.TakeUp-measure.Inch/4 {
						seen = p.TakeUp - off2
					}
				}
				if seen == 2*p.TakeUp {
					inSpace++
				}
				worst, sum = max(worst, seen), sum+seen
			}
			return []measure.Length{nearEdge, inSpace, worst, sum}
		}
		kept := judge(p.TrimReturn)
		for at := measure.Length(0); 2*at <= surplus2; at += o.Conventions.Step {
			c := slices.Compare(judge(at), kept)
			if c < 0 || c == 0 && at > p.TrimReturn {
				t.Fatalf("trim %d is better than %d: %v, %v", at, p.TrimReturn, judge(at), kept)
			}
		}
		if int(kept[1]) != len(p.Seams)-p.SeamsInPleats {
			t.Fatalf("%d seams in spaces, %d of %d in pleats", kept[1], p.SeamsInPleats, len(p.Seams))
		}
	})
}

// Every cut goes to its panels: each piece of each panel is cut exactly once, halves from one width, classes and
// lengths as the treatment says.
func TestClothServesEveryPiece(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := workup.Compute(randomOrder(t))
		uses := map[string]int{}
		for i := range w.Treatments {
			for _, u := range w.Treatments[i].Fabrics {
				uses[u.Fabric] += u.AllCuts()
			}
		}
		for _, plan := range w.Cloth {
			if len(plan.Cuts) != uses[plan.Fabric.ID] {
				t.Fatalf("%s: %d cuts listed, %d counted", plan.Fabric.ID, len(plan.Cuts), uses[plan.Fabric.ID])
			}
			served := map[string]measure.Halves{}
			for _, cut := range plan.Cuts {
				if cut.Trimming != "" { // no width
					continue
				}
				for _, part := range cut.For {
					h := measure.Halves(2)
					if part.Half != workup.Whole {
						h = 1
						if part.Place != 1 {
							t.Fatalf("a half lies at place %d from the return edge", part.Place)
						}
					}
					if part.Half == workup.Whole && len(cut.For) != 1 || len(cut.For) == 2 && cut.For[0].Half == cut.For[1].Half {
						t.Fatalf("cut %+v", cut)
					}
					served[fmt.Sprint(cut.Treatment, part.Panel, part.Copy)] += h
				}
			}
			for i := range w.Treatments {
				tr := &w.Treatments[i]
				for _, u := range tr.Fabrics {
					for k, p := range tr.Panels {
						for nth := 1; u.Fabric == plan.Fabric.ID && nth <= tr.Quantity; nth++ {
							if got := served[fmt.Sprint(i, p.ID, nth)]; got != u.Widths[k] {
								t.Fatalf("%s %d gets %s widths of %s, wants %s", p.ID, nth, got, u.Fabric, u.Widths[k])
							}
						}
					}
				}
			}
		}
	})
}

// Every length that the document writes reads back as itself, and every number has its step.
func TestDocumentReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := workup.Compute(randomOrder(t))
		for i := range w.Treatments {
			for _, p := range w.Treatments[i].Panels {
				for _, l := range append(slices.Concat(p.Seams, p.PleatPositions), p.FlatWidth, p.TubeGap, p.StackBack, p.TapeStart) {
					back, err := measure.Parse(l.In(w.Order.Units), "")
					if err != nil || back != l {
						t.Fatalf("%d is written %s, read %d (%v)", l, l.In(w.Order.Units), back, err)
					}
				}
			}
		}
		raw, err := json.Marshal(w.Document(true, sayCode, func(key string) string { return key }))
		if err != nil {
			t.Fatal(err)
		}
		var doc struct {
			Treatments []struct {
				Panels []map[string]json.RawMessage
			}
		}
		if err := json.Unmarshal(raw, &doc); err != nil {
			t.Fatal(err)
		}
		for _, tr := range doc.Treatments {
			for _, panel := range tr.Panels {
				var trail map[string]any
				if err := json.Unmarshal(panel["trail"], &trail); err != nil {
					t.Fatal(err)
				}
				for key := range panel {
					if _, explained := trail[key]; !explained && key != "panel" && key != "trail" {
						t.Fatalf("%s has no trail", key)
					}
				}
				if len(trail) != len(panel)-2 {
					t.Fatalf("%d numbers, %d explained", len(panel)-2, len(trail))
				}
			}
		}
	})
}

func sayCode(p engine.Problem) string { return strings.ReplaceAll(p.Code, "_", " ") }

// An input of a step that has a step of its own shows the same value.
func TestTrailAgreesWithItself(t *testing.T) {
	eachPanel(t, func(t *rapid.T, _ *orderfile.Order, _ *orderfile.Treatment, p *workup.Panel) {
		values := map[string]measure.Quantity{}
		for _, s := range p.Trail {
			values[s.Name] = s.Value
		}
		for _, s := range p.Trail {
			for _, in := range s.Inputs {
				if v, ok := values[in.Name]; in.Value.IsZero() && in.Name != "seams" || ok && v != in.Value {
					t.Fatalf("%s is worked out from %s %q, which is %q", s.Name, in.Name, in.Value, v)
				}
			}
		}
	})
}
