package cutting

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

const in = measure.Inch

// cuts makes n cuts of one length in one group, named group-1 and so on.
func cuts(group string, n int, length measure.Length) []Cut {
	var out []Cut
	for i := range n {
		out = append(out, Cut{ID: fmt.Sprintf("%s-%d", group, i+1), Length: length, Group: group})
	}
	return out
}

// anywheres are cuts that start anywhere.
func anywheres(group string, lengths ...measure.Length) []Cut {
	var out []Cut
	for i, l := range lengths {
		out = append(out, Cut{ID: fmt.Sprintf("%s-t%d", group, i+1), Length: l, Group: group, Anywhere: true})
	}
	return out
}

func bolt(id, lot string, length measure.Length, flaws ...Span) Bolt {
	return Bolt{ID: id, Lot: lot, Length: length, Flaws: flaws}
}

func TestPlace(t *testing.T) {
	tests := []struct {
		name    string
		problem Problem
		starts  []measure.Length // of the placements, in order; nil: not asked
		short   measure.Length
		mixed   []string
	}{
		{
			name:    "plain cuts follow each other",
			problem: Problem{Bolts: []Bolt{bolt("R1", "A", 400*in)}, Cuts: cuts("bay", 3, 100*in)},
			starts:  []measure.Length{0, 100 * in, 200 * in},
		},
		{
			name: "whole repeats start on the bolt's own phase",
			problem: Problem{VerticalRepeat: 27 * in / 2, Bolts: []Bolt{{ID: "R1", Length: 400 * in, FirstRepeat: 2 * in}},
				Cuts: cuts("bay", 2, 243*in/2)},
			starts: []measure.Length{2 * in, 2*in + 243*in/2},
		},
		{
			// G6 of engine/workup/golden_test.go: whole repeats of half-drop take 614 1/4 in, the B class half a repeat later, once.
			name: "half-drop skips half a repeat once",
			problem: Problem{VerticalRepeat: 27 * in / 2, Bolts: []Bolt{bolt("R1", "A", 614*in+in/4)},
				Cuts: []Cut{
					{ID: "a1", Length: 243 * in / 2}, {ID: "b1", Length: 243 * in / 2, Start: 27 * in / 4},
					{ID: "a2", Length: 243 * in / 2}, {ID: "b2", Length: 243 * in / 2, Start: 27 * in / 4},
					{ID: "a3", Length: 243 * in / 2},
				}},
			starts: []measure.Length{0, 243 * in / 2, 243 * in, 729*in/2 + 27*in/4, 486*in + 27*in/4},
		},
		{
			name: "a flaw is cut around, and a shorter cut uses what lies before it",
			problem: Problem{Bolts: []Bolt{bolt("R1", "A", 300*in, Span{150 * in, 152 * in})},
				Cuts: []Cut{{ID: "long", Length: 100 * in}, {ID: "next", Length: 100 * in}, {ID: "short", Length: 40 * in}}},
			starts: []measure.Length{0, 100 * in, 152 * in},
		},
		{
			name: "after a flaw the next start is on phase",
			problem: Problem{VerticalRepeat: 27 * in / 2, Bolts: []Bolt{bolt("R1", "A", 800*in, Span{252 * in, 255 * in})},
				Cuts: cuts("bay", 3, 243*in/2)},
			starts: []measure.Length{0, 243 * in / 2, 513 * in / 2},
		},
		{
			name: "longest first where file order fails",
			problem: Problem{Bolts: []Bolt{bolt("R1", "A", 100*in), bolt("R2", "A", 60*in)},
				Cuts: []Cut{{ID: "s", Length: 60 * in, Group: "1"}, {ID: "l", Length: 100 * in, Group: "2"}}},
		},
		{
			// File order lays z where x must lie; by lot x takes the tight lot B, which y needs.
			name: "longest first where neither file order nor by lot will do",
			problem: Problem{
				Bolts: []Bolt{bolt("A1", "A", 100*in), bolt("A2", "A", 50*in), bolt("B1", "B", 110*in), bolt("C1", "C", 60*in)},
				Cuts:  slices.Concat(cuts("z", 1, 40*in), cuts("x", 1, 100*in), cuts("y", 2, 55*in))},
		},
		{
			// Both file order and longest first put x on lot A, where y needs all; by lot x takes the tight lot B.
			name: "by lot where the others fail",
			problem: Problem{
				Bolts: []Bolt{bolt("A1", "A", 100*in), bolt("A2", "A", 100*in), bolt("B1", "B", 100*in)},
				Cuts:  append(cuts("x", 1, 100*in), cuts("y", 2, 90*in)...)},
		},
		{
			name: "one lot a group: mixed only when nothing else places all",
			problem: Problem{Bolts: []Bolt{bolt("R1", "A", 100*in), bolt("R2", "B", 100*in)},
				Cuts: cuts("bay", 2, 90*in)},
			mixed: []string{"bay"},
		},
		{
			name:    "short by what no way of placing puts on",
			problem: Problem{Bolts: []Bolt{bolt("R1", "A", 250*in)}, Cuts: cuts("bay", 3, 100*in)},
			short:   100 * in,
		},
		{
			name:    "no bolts at all",
			problem: Problem{Cuts: cuts("bay", 2, 100*in)},
			short:   200 * in,
		},
		{
			name: "what starts anywhere lies before the first repeat, in gaps, and behind",
			problem: Problem{VerticalRepeat: 20 * in, Bolts: []Bolt{{ID: "R1", Length: 300 * in, FirstRepeat: 9 * in}},
				Cuts: slices.Concat(cuts("bay", 2, 110*in), anywheres("bay", 9*in, 10*in, 8*in))},
			starts: []measure.Length{0, 9 * in, 119 * in, 129 * in, 239 * in},
		},
		{
			name: "classes stand together though what starts anywhere is listed between them",
			problem: Problem{VerticalRepeat: 20 * in, Bolts: []Bolt{bolt("R1", "A", 255*in)},
				Cuts: []Cut{{ID: "t", Length: 5 * in, Anywhere: true}, {ID: "b", Length: 60 * in, Start: 10 * in}, {ID: "a", Length: 60 * in}, {ID: "b2", Length: 60 * in, Start: 10 * in}, {ID: "a2", Length: 60 * in}}},
			starts: []measure.Length{0, 60 * in, 120 * in, 130 * in, 190 * in},
		},
		{
			name: "overlapping flaws are one",
			problem: Problem{Bolts: []Bolt{bolt("R1", "A", 200*in, Span{10 * in, 90 * in}, Span{20 * in, 30 * in})},
				Cuts: cuts("bay", 1, 100*in)},
			starts: []measure.Length{90 * in},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			plan := Place(tt.problem)
			if faults := Check(tt.problem, plan); len(faults) > 0 {
				t.Errorf("faults: %v", faults)
			}
			if plan.Short != tt.short {
				t.Errorf("short %s, want %s", plan.Short.In(measure.In), tt.short.In(measure.In))
			}
			if !slices.Equal(plan.Mixed, tt.mixed) {
				t.Errorf("mixed %v, want %v", plan.Mixed, tt.mixed)
			}
			var starts []measure.Length
			for _, p := range plan.Placements {
				starts = append(starts, p.From)
			}
			if tt.starts != nil && !slices.Equal(starts, tt.starts) {
				t.Errorf("starts %v, want %v", starts, tt.starts)
			}
		})
	}
}

// The checker must see each fault, or the tests above prove nothing.
func TestCheckSeesEveryFault(t *testing.T) {
	p := Problem{VerticalRepeat: 10 * in, Bolts: []Bolt{
		bolt("R1", "A", 200*in, Span{80 * in, 85 * in}), bolt("R2", "B", 200*in), {ID: "H", Lot: "A", Length: 200 * in, Half: true}}, Cuts: cuts("bay", 2, 30*in)}
	at := func(cut, bolt string, from, to measure.Length) Placement { return Placement{cut, bolt, from, to} }
	tests := []struct {
		fault Fault
		plan  Plan
	}{
		{Missing, Plan{Placements: []Placement{at("bay-1", "R1", 0, 30*in)}}},
		{Twice, Plan{Placements: []Placement{at("bay-1", "R1", 0, 30*in), at("bay-1", "R1", 30*in, 60*in), at("bay-2", "R1", 90*in, 120*in)}}},
		{Unknown, Plan{Placements: []Placement{at("bay-9", "R1", 0, 30*in)}}},
		{Unknown, Plan{Placements: []Placement{at("bay-1", "R9", 0, 30*in)}}},
		{WrongLength, Plan{Placements: []Placement{at("bay-1", "R1", 0, 31*in), at("bay-2", "R1", 40*in, 70*in)}}},
		{OffBolt, Plan{Placements: []Placement{at("bay-1", "R1", 180*in, 210*in), at("bay-2", "R1", 40*in, 70*in)}}},
		{OffBolt, Plan{Placements: []Placement{at("bay-1", "R1", -10*in, 20*in), at("bay-2", "R1", 40*in, 70*in)}}},
		{OnFlaw, Plan{Placements: []Placement{at("bay-1", "R1", 60*in, 90*in), at("bay-2", "R1", 0, 30*in)}}},
		{Overlap, Plan{Placements: []Placement{at("bay-1", "R1", 0, 30*in), at("bay-2", "R1", 20*in, 50*in)}}},
		{OffPhase, Plan{Placements: []Placement{at("bay-1", "R1", 5*in, 35*in), at("bay-2", "R1", 40*in, 70*in)}}},
		{TooNarrow, Plan{Placements: []Placement{at("bay-1", "H", 0, 30*in), at("bay-2", "R1", 0, 30*in)}}},
		{LotsMixed, Plan{Placements: []Placement{at("bay-1", "R1", 0, 30*in), at("bay-2", "R2", 0, 30*in)}}},
		{WrongShort, Plan{Placements: []Placement{at("bay-1", "R1", 0, 30*in)}, Unplaced: []string{"bay-2"}, Short: in}},
	}
	for _, tt := range tests {
		if !slices.ContainsFunc(Check(p, tt.plan), func(f Finding) bool { return f.Fault == tt.fault }) {
			t.Errorf("%s not seen", tt.fault)
		}
	}
	off := Plan{Placements: []Placement{at("bay-1", "R1", 5*in, 35*in), at("bay-2", "R1", 40*in, 70*in)}}
	p.Cuts[0].Anywhere = true
	if faults := Check(p, off); len(faults) > 0 {
		t.Errorf("one that starts anywhere: %v", faults)
	}
}

func TestPlaceRandomCloth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomProblem(t)
		plan := Place(p)
		if faults := Check(p, plan); len(faults) > 0 {
			t.Fatalf("faults: %v", faults)
		}
		// Cloth is never called short while one empty, flawless bolt of one lot could take every cut in file order.
		var need measure.Length
		for _, c := range p.Cuts {
			need += c.Length.CeilTo(max(p.VerticalRepeat, 1)) + p.VerticalRepeat
		}
		p.Bolts = append(p.Bolts, Bolt{ID: "enough", Lot: "enough", Length: need})
		if again := Place(p); again.Short != 0 || len(again.Mixed) != 0 {
			t.Fatalf("short by %d, mixed %v although bolt %q holds all", again.Short, again.Mixed, "enough")
		}
	})
}

func randomProblem(t *rapid.T) Problem {
	length := func(name string, from, to int) measure.Length {
		return in * measure.Length(rapid.IntRange(from, to).Draw(t, name)) / 4
	}
	var p Problem
	if rapid.Bool().Draw(t, "patterned") {
		p.VerticalRepeat = length("repeat", 10, 120)
	}
	starts := randomStarts(t, p.VerticalRepeat)
	for i := range rapid.IntRange(0, 4).Draw(t, "bolts") {
		b := Bolt{ID: fmt.Sprint("R", i), Lot: rapid.SampledFrom([]string{"A", "B"}).Draw(t, "lot"), Length: length("bolt", 100, 4000)}
		if p.VerticalRepeat > 0 {
			b.FirstRepeat = length("first repeat", 0, 100)
		}
		for range rapid.IntRange(0, 3).Draw(t, "flaws") {
			from := length("flaw", 0, 3900)
			b.Flaws = append(b.Flaws, Span{from, from + length("flaw length", 1, 40)})
		}
		p.Bolts = append(p.Bolts, b)
	}
	for g := range rapid.IntRange(1, 5).Draw(t, "groups") {
		for i := range rapid.IntRange(1, 6).Draw(t, "cuts") {
			p.Cuts = append(p.Cuts, Cut{ID: fmt.Sprintf("%d-%d", g, i), Group: fmt.Sprint(g),
				Length: length("cut", 40, 700), Start: rapid.SampledFrom(starts).Draw(t, "start"), Anywhere: rapid.IntRange(0, 3).Draw(t, "anywhere") == 0})
		}
	}
	return p
}

func BenchmarkPlace(b *testing.B) {
	p := Problem{VerticalRepeat: 27 * in / 2}
	for i := range 40 {
		p.Bolts = append(p.Bolts, bolt(fmt.Sprint("R", i), fmt.Sprint("lot", i/4), 60*36*in, Span{500 * in, 503 * in}))
	}
	for i := range 120 {
		p.Cuts = append(p.Cuts, cuts(fmt.Sprint("w", i), 5, 243*in/2)...)
	}
	for b.Loop() {
		Place(p)
	}
}

// BenchmarkPlaceShort is a year's file on cloth that doesn't suffice: every way of placing is tried.
func BenchmarkPlaceShort(b *testing.B) {
	p := Problem{VerticalRepeat: 27 * in / 2}
	for i := range 40 {
		p.Bolts = append(p.Bolts, bolt(fmt.Sprint("R", i), fmt.Sprint("lot", i/4), 60*36*in, Span{500 * in, 503 * in}))
	}
	for i := range 200 {
		for j := range 5 {
			p.Cuts = append(p.Cuts, Cut{ID: fmt.Sprint(i, "-", j), Group: fmt.Sprint(i), Length: 90*in + in.Times(i*7%40), Start: p.VerticalRepeat / 2 * measure.Length(j%2)})
		}
	}
	for b.Loop() {
		Place(p)
	}
}
