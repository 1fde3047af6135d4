package cutplan

import (
	"context"
	"maps"
	"slices"
	"testing"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// sample has a remnant with a flaw narrower than the kerf, a half-drop and two rooms.
func sample() cutting.Problem {
	p := cutting.Problem{VerticalRepeat: 640 * mm, Kerf: 30 * mm, EndAllowance: 20 * mm, MinRemnant: 500 * mm, Bolts: []cutting.Bolt{
		{ID: "R", Length: 6100 * mm, Lot: "A", Remnant: true, Flaws: []cutting.Span{{From: 3000 * mm, To: 3010 * mm}}},
		{ID: "B1", Length: 13_000 * mm, Lot: "A"}, {ID: "B2", Length: 14_000 * mm, Lot: "A"}, {ID: "B3", Length: 13_000 * mm, Lot: "B"},
	}}
	for i, id := range []string{"a", "b", "c", "d", "e"} {
		p.Cuts = append(p.Cuts, cutting.Cut{ID: id, Length: 2400 * mm, Group: "14", Start: 320 * mm * measure.Length(i%2)})
	}
	return p
}

// TestVerifySeesEveryFault: each thing that a plan can say wrongly is found, and nothing is found in the plan itself.
func TestVerifySeesEveryFault(t *testing.T) {
	p := sample()
	plan := Best(context.Background(), p, Budget{})
	if faults := Verify(p, plan); len(faults) > 0 || !plan.Optimal || plan.Value != 1 {
		t.Fatalf("%v in %+v", faults, plan)
	}
	for _, c := range []struct {
		name  string
		fault cutting.Fault
		spoil func(p *cutting.Problem, plan *Plan)
	}{
		{"a cut moved", cutting.OffPhase, func(_ *cutting.Problem, plan *Plan) { plan.Placements[0].From++; plan.Placements[0].To++ }},
		{"a kerf more", cutting.Overlap, func(p *cutting.Problem, _ *Plan) { p.Kerf = 900 * mm }},
		{"longer ends", cutting.OffBolt, func(p *cutting.Problem, _ *Plan) { p.EndAllowance = 2000 * mm }},
		{"a room bound to another lot", cutting.LotsMixed, func(p *cutting.Problem, _ *Plan) { p.Bound = map[string][]string{"14": {"C"}} }},
		{"a remnant too short to keep", WrongRemnant, func(p *cutting.Problem, _ *Plan) { p.MinRemnant = 0 }},
		{"a remnant left out", WrongRemnant, func(_ *cutting.Problem, plan *Plan) { plan.Remnants = plan.Remnants[1:] }},
		{"waste", WrongWaste, func(_ *cutting.Problem, plan *Plan) { plan.Waste++ }},
		{"value", WrongValue, func(_ *cutting.Problem, plan *Plan) { plan.Value--; plan.Bound-- }},
		{"the remnant counted as opened", WrongValue, func(_ *cutting.Problem, plan *Plan) { plan.Opened++ }},
		{"a remnant that isn't cut from", WrongValue, func(_ *cutting.Problem, plan *Plan) { plan.Kept++ }},
		{"length opened", WrongValue, func(_ *cutting.Problem, plan *Plan) { plan.Length++ }},
		{"bound over the value", BoundTooHigh, func(_ *cutting.Problem, plan *Plan) { plan.Bound++ }},
		{"optimal without its bound", BoundTooHigh, func(_ *cutting.Problem, plan *Plan) { plan.Bound-- }},
		{"bound over what weights prove", BoundTooHigh, func(_ *cutting.Problem, plan *Plan) { plan.Proof, plan.Certificate.Weights = ByWeights, nil }},
		{"a filling heavier than it may be", CertificateFails, func(_ *cutting.Problem, plan *Plan) {
			plan.Certificate.Bolts["B1"] = Weighed{1, plan.Certificate.Bolts["B1"].Most / 2}
		}},
		{"a bonus left out", CertificateFails, func(_ *cutting.Problem, plan *Plan) {
			plan.Certificate.Bonus = maps.Clone(plan.Certificate.Bonus)
			delete(plan.Certificate.Bonus, "R")
		}},
		{"a bonus that the bound forgets", BoundTooHigh, func(_ *cutting.Problem, plan *Plan) {
			plan.Proof, plan.Certificate.Bonus = ByWeights, maps.Clone(plan.Certificate.Bonus)
			plan.Certificate.Bonus["B1"] += plan.Certificate.Scale
		}},
		{"a cost of its own", CertificateFails, func(_ *cutting.Problem, plan *Plan) { plan.Certificate.Bolts["R"] = Weighed{1, 0} }},
		{"nothing to divide by", CertificateFails, func(_ *cutting.Problem, plan *Plan) { plan.Certificate.Scale = 0 }},
	} {
		q, spoilt := p, plan
		spoilt.Placements, spoilt.Remnants = slices.Clone(plan.Placements), slices.Clone(plan.Remnants)
		spoilt.Certificate.Bolts = maps.Clone(plan.Certificate.Bolts)
		c.spoil(&q, &spoilt)
		if faults := Verify(q, spoilt); !slices.ContainsFunc(faults, func(f cutting.Finding) bool { return f.Fault == c.fault }) {
			t.Errorf("%s: found %v, want %s", c.name, faults, c.fault)
		}
	}
}

// TestVerifyWeighsPlainBolts: of plain cloth a filling that just fits, its kerfs between its cuts alone, is held against what the certificate says.
func TestVerifyWeighsPlainBolts(t *testing.T) {
	p := cutting.Problem{Kerf: 30 * mm, Bolts: []cutting.Bolt{{ID: "B", Length: 7260 * mm}}}
	for _, id := range []string{"a", "b", "c"} {
		p.Cuts = append(p.Cuts, cutting.Cut{ID: id, Length: 2400 * mm})
	}
	plan := Best(context.Background(), p, Budget{})
	if faults := Verify(p, plan); len(faults) > 0 || len(plan.Placements) != 3 {
		t.Fatalf("%v in %+v", faults, plan)
	}
	plan.Certificate.Bolts["B"] = Weighed{1, plan.Certificate.Bolts["B"].Most - 1}
	if faults := Verify(p, plan); !slices.ContainsFunc(faults, func(f cutting.Finding) bool { return f.Fault == CertificateFails && f.Cut == "B" }) {
		t.Errorf("a filling heavier than it may be isn't found: %v", faults)
	}
}

// TestAPointIsAFlaw: a flaw without length isn't cut through either, and the kerf beside a cut that begins at it is lost all the same.
func TestAPointIsAFlaw(t *testing.T) {
	for _, c := range []struct {
		lengths []measure.Length
		repeat  measure.Length
		placed  int
		longest measure.Length
	}{
		{[]measure.Length{1000, 900}, 0, 2, 80},
		{[]measure.Length{1001}, 0, 0, 0},
		{[]measure.Length{800}, 300, 1, 1000}, // from 0 or from 1200
	} {
		p := cutting.Problem{Kerf: 10 * mm, VerticalRepeat: c.repeat * mm,
			Bolts: []cutting.Bolt{{ID: "B", Length: 2000 * mm, Flaws: []cutting.Span{{From: 1000 * mm, To: 1000 * mm}}}}}
		for i, l := range c.lengths {
			p.Cuts = append(p.Cuts, cutting.Cut{ID: string(rune('a' + i)), Length: l * mm})
		}
		plan := Best(context.Background(), p, Budget{})
		if faults := Verify(p, plan); len(faults) > 0 || len(plan.Placements) != c.placed || plan.Longest != c.longest*mm {
			t.Errorf("%v: %v in %+v", c.lengths, faults, plan)
		}
	}
}
