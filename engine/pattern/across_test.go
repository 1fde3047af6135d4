package pattern_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/pattern"
)

const (
	in   = measure.Inch
	half = in / 2
)

// worked is a print whose figures are counted by hand here: repeats of 13 on 53 usable, the first motif 4 from the left edge, side hems of twice 1½.
func worked(ret pattern.Edge, split bool) pattern.Panel {
	return pattern.Panel{Cloth: pattern.Cloth{Repeat: 13 * in, Offset: 4 * in, Usable: 53 * in}, Return: ret, Split: split, AtReturn: 3 * in, AtLead: 3 * in}
}

// Worked by hand: right of the last motif of a width lie 49 less three repeats, 10, and 10 − 3 − 6½ is ½; left of the first one 4, and
// 4 − 9½ is 7½ short of a repeat. A half width at the return edge leaves the lead as it is, and so does one that is all of its panel.
func TestLeadTrim(t *testing.T) {
	for _, c := range []struct {
		name string
		of   pattern.Panel
		want measure.Length
	}{
		{"left", worked(pattern.AtLeft, false), half},
		{"left, split", worked(pattern.AtLeft, true), half},
		{"right", worked(pattern.AtRight, false), 7*in + half},
		{"right, split", worked(pattern.AtRight, true), 7*in + half},
	} {
		if got := c.of.LeadTrim(6*in + half); got != c.want {
			t.Errorf("%s: trimmed %s, want %s", c.name, got.In(measure.In), c.want.In(measure.In))
		}
	}
}

// The motifs of both panels stand 6½, 19½ … from their leads on a flat width of 40, whichever edge is trimmed how.
func TestMotifsOfAMirroredPair(t *testing.T) {
	for _, of := range []pattern.Panel{worked(pattern.AtLeft, false), worked(pattern.AtRight, false), worked(pattern.AtLeft, true), worked(pattern.AtRight, true)} {
		joined := 53*in + 39*in // a second width, joined where the pattern meets: 53 less a join of 14
		if of.Split {
			joined -= 53 * in / 2
		}
		lead := of.LeadTrim(6*in + half)
		got := of.Motifs(40*in, joined-40*in-of.AtReturn-of.AtLead-lead)
		want := []measure.Length{40*in - 32*in - half, 40*in - 19*in - half, 40*in - 6*in - half}
		if !slices.Equal(got, want) {
			t.Errorf("return %d, split %t: %v, want %v", of.Return, of.Split, got, want)
		}
	}
}

// Worked by hand: a panel of 40 trimmed 7 at its left edge has motifs at 7, 20 and 33, 20 being its middle; trimmed ½ it has its middle
// between two.
func TestCentred(t *testing.T) {
	p := worked(pattern.AtLeft, false)
	if got := p.CentreTrim(40*in, false); got != 7*in {
		t.Errorf("on a motif: %v", got)
	}
	if got, want := p.Motifs(40*in, 7*in), []measure.Length{7 * in, 20 * in, 33 * in}; !slices.Equal(got, want) {
		t.Errorf("motifs at %v, want %v", got, want)
	}
	if got := p.CentreTrim(40*in, true); got != half {
		t.Errorf("between two: %v", got)
	}
	if got, want := p.Motifs(40*in, half), []measure.Length{half, 13*in + half, 26*in + half, 39*in + half}; !slices.Equal(got, want) {
		t.Errorf("motifs at %v, want %v", got, want)
	}
}

// On cloth that shrinks by 2 % the repeats are 2 % closer.
func TestMotifsOfShrunkCloth(t *testing.T) {
	p := pattern.Panel{Cloth: pattern.Cloth{Repeat: 10 * in, Offset: 5 * in, Usable: 50 * in, Kept: measure.Ratio{Num: 9_800, Den: 10_000}}}
	want := []measure.Length{49 * in / 10, 147 * in / 10, 245 * in / 10}
	if got := p.Motifs(30*in, 0); !slices.Equal(got, want) {
		t.Errorf("motifs at %v, want %v", got, want)
	}
	if got := p.LeadTrim(0); got != 49*in/10 {
		t.Errorf("trimmed %v at the lead", got)
	}
}

const grain = in / 16

// anyPanel is one on a grain of a sixteenth, and so much cloth joined as halves of its widths give.
func anyPanel(t *rapid.T) (p pattern.Panel, joined2 measure.Length) {
	u := rapid.IntRange(16, 400).Draw(t, "repeat")
	match := u * rapid.IntRange(1, 6).Draw(t, "repeats")
	usable := (match + rapid.IntRange(4, 40).Draw(t, "join")) &^ 1
	p = pattern.Panel{
		Cloth:    pattern.Cloth{Repeat: grain.Times(u), Offset: grain.Times(rapid.IntRange(0, u).Draw(t, "offset")), Usable: grain.Times(usable)},
		Return:   pattern.Edge(rapid.IntRange(0, 1).Draw(t, "return")),
		AtReturn: grain.Times(rapid.IntRange(0, 60).Draw(t, "at return")), AtLead: grain.Times(rapid.IntRange(-40, 60).Draw(t, "at lead")),
	}
	halves := rapid.IntRange(1, 8).Draw(t, "halves")
	p.Split = halves%2 == 1
	joined2 = p.Usable.Times(halves) - 2*grain.Times((halves-1)/2*(usable-match))
	return p, joined2
}

// raw are the middles of all motifs from the raw return edge, by laying the widths side by side with their joins. A left panel, whose
// return edge hangs at the left, is laid from its left edge on, a right one the other way.
func raw(p pattern.Panel, joined measure.Length) (list []measure.Length) {
	start := measure.Length(0) // of the width's own left edge
	if p.Split && p.Return == pattern.AtLeft {
		start = -p.Usable / 2
	}
	for at := start + p.Offset - 400*p.Repeat; at <= joined; at += p.Repeat {
		switch {
		case at < 0:
		case p.Return == pattern.AtLeft:
			list = append(list, at)
		default:
			list = append(list, joined-at)
		}
	}
	slices.Sort(list)
	return list
}

// TestNoLessTrimServes: of all trims in sixteenths none under the one found puts a motif where it is wanted, and that one does.
func TestNoLessTrimServes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, joined2 := anyPanel(t)
		joined, lead := joined2/2, grain.Times(rapid.IntRange(0, 300).Draw(t, "lead"))
		flat := joined - p.AtReturn - p.AtLead - p.LeadTrim(lead)
		if flat <= lead || lead < -p.AtLead {
			return // it would lie outside of the cloth
		}
		serves := func(trim measure.Length) bool {
			return slices.Contains(raw(p, joined), joined-trim-p.AtLead-lead)
		}
		for trim := measure.Length(0); trim < p.LeadTrim(lead); trim += grain {
			if serves(trim) {
				t.Fatalf("%v serves, found %v", trim, p.LeadTrim(lead))
			}
		}
		if !serves(p.LeadTrim(lead)) || p.LeadTrim(lead) >= p.Repeat {
			t.Fatalf("%v doesn't serve", p.LeadTrim(lead))
		}
		if motifs := p.Motifs(flat, 0); !slices.Contains(motifs, flat-lead) {
			t.Fatalf("motifs at %v, none %v from the lead of %v", motifs, lead, flat)
		}
	})
}

// TestCentredIsInTheMiddle: trimmed as found a motif, or the middle between two, is the panel's; no less trim does it, and no wider panel
// can be had from the cloth than Widest says.
func TestCentredIsInTheMiddle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, joined2 := anyPanel(t)
		joined, between := joined2/2, rapid.Bool().Draw(t, "between")
		var fromLeft []measure.Length // where the middle may be
		for _, at := range raw(p, joined) {
			if p.Return == pattern.AtRight {
				at = joined - at
			}
			for _, m := range []measure.Length{at - p.Repeat/2, at, at + p.Repeat/2} {
				if between == (m != at) && m >= 0 && m <= joined {
					fromLeft = append(fromLeft, m)
				}
			}
		}
		left, right := p.AtReturn, p.AtLead
		if p.Return == pattern.AtRight {
			left, right = right, left
		}
		widest := measure.Length(-1)
		for _, m := range fromLeft {
			widest = max(widest, 2*min(m-left, joined-m-right))
		}
		inside := max(0, -p.AtLead)
		if widest <= 2*inside {
			return // its middle would lie outside of the cloth
		}
		got := p.Widest(joined2, between)
		if got != widest && widest > 0 {
			t.Fatalf("widest %v, want %v", got, widest)
		}
		if widest < 2*(inside+grain) {
			return
		}
		flat := grain.Times(2 * rapid.IntRange(int(inside/grain)+1, int(widest/(2*grain))).Draw(t, "flat"))
		least := measure.Length(-1)
		for _, m := range fromLeft {
			if trim := m - flat/2 - left; trim >= 0 && (least < 0 || trim < least) {
				least = trim
			}
		}
		trim := p.CentreTrim(flat, between)
		if trim != least {
			t.Fatalf("trimmed %v, want %v", trim, least)
		}
		if p.Return == pattern.AtRight {
			trim = joined - flat - left - right - trim
		}
		motifs, middle := p.Motifs(flat, trim), flat/2
		if between {
			middle -= p.Repeat / 2
		}
		if middle >= 0 && middle <= flat+min(0, p.AtLead) && !slices.Contains(motifs, middle) {
			t.Fatalf("motifs at %v, none at %v", motifs, middle)
		}
	})
}

// TestMotifsAreThoseOfTheWidths: what the panel says of itself is what lies there when its widths are laid side by side.
func TestMotifsAreThoseOfTheWidths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, joined2 := anyPanel(t)
		joined := joined2 / 2
		over := int((joined - p.AtReturn - p.AtLead) / grain)
		if over < 1 {
			return
		}
		trim := grain.Times(rapid.IntRange(0, over-1).Draw(t, "trim"))
		flat := joined - p.AtReturn - p.AtLead - trim
		var want []measure.Length
		for _, at := range raw(p, joined) {
			if x := at - p.AtReturn - trim; x >= 0 && x <= flat+min(0, p.AtLead) {
				want = append(want, x)
			}
		}
		if got := p.Motifs(flat, trim); !slices.Equal(got, want) {
			t.Fatalf("motifs at %v, want %v", got, want)
		}
	})
}
