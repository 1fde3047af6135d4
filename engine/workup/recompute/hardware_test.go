package recompute

import "testing"

// What a rod has to hold, and how far its panels stack.

// reStack is a window as far as the room goes that its panels take when they are open.
type reStack struct {
	pair, lined bool
	face, glass reNum // glass is absent where nobody measured it
	widths      reNum // of one panel
}

// back is what one panel stacks to under a rule; absent where the rule goes by glass and there is none.
func (s reStack) back(rule string) reNum {
	sides := reInt(1)
	if s.pair {
		sides = reInt(2)
	}
	share := map[string]reNum{"glass_third": reFrac(1, 3), "glass_30": reFrac(3, 10), "build": reFrac(1, 5)}[rule]
	if rule == "build" && s.lined {
		share = reFrac(1, 4)
	}
	switch {
	case (rule == "rod_share" || rule == "") && !s.face.given():
		return reNum{}
	case rule == "rod_share" || rule == "":
		return s.face.div(reInt(3)).div(sides)
	case rule == "per_width":
		return s.widths.mul(reFrac(11, 2))
	case !s.glass.given():
		return reNum{}
	}
	return s.glass.mul(share).div(sides)
}

// reRodFor is the rod on which panels that stack so far clear the glass; a pair of which one is given are alike. One panel that draws
// one way takes half a foot more.
func reRodFor(glass reNum, pair bool, stacks []reNum) reNum {
	switch {
	case !pair:
		return glass.add(stacks[0], reInt(6))
	case len(stacks) == 1:
		return glass.add(stacks[0].times(2))
	}
	return glass.add(stacks...)
}

// stacks adds how far each panel of a drawn treatment stacks, and what that and its supports do to the rod. A cartridge tape's tubes
// stack as the tape says.
func (o reOrder) stacks(tr reTreatment, out *reResult) {
	p, rod := &out.problems, o.rodOf(tr)
	if rod.span.given() && tr.faceWidth.given() {
		p.tell("warning", "rod_span", rod.supports > 0 && rod.supports < reSupports(tr.faceWidth.reNum, rod.span.reNum))
	}
	if tr.draw == "stationary" || tr.draw == "stationary_pair" {
		return
	}
	oneWay := !tr.paired()
	threaded := tr.heading == "eyelet" || tr.heading == "tab" || tr.heading == "rod-pocket"
	p.tell("warning", "support_blocks", oneWay && threaded && rod.supports > 2)
	var all []reNum
	for _, m := range out.made {
		s := reStack{pair: tr.paired(), lined: tr.lining != "", face: tr.faceWidth.reNum, glass: tr.glass.reNum, widths: reFrac(int64(m.joined.halves), 2)}
		if own, ok := m.tree["stack_back"].(reLength); ok { // a cartridge tape's
			all = append(all, own.v)
		} else if back := s.back(o.conv.stackRule); back.given() {
			m.tree["stack_back"] = reUnits(o.unit).length(back)
			all = append(all, back)
		}
	}
	if len(all) == 0 || !tr.glass.given() {
		return
	}
	wanted := reRodFor(tr.glass.reNum, tr.paired(), all)
	for _, m := range out.made {
		m.tree["rod_wanted"] = reUnits(o.unit).length(wanted)
	}
	p.tell("note", "stack_covers_glass", tr.faceWidth.given() && tr.faceWidth.less(wanted))
}

// reSupports is how many supports a rod needs that may span so far.
func reSupports(face, span reNum) int { return face.div(span).ceil() + 1 }

// reLayer is a cloth of a panel as it weighs: grams in a square metre, and its size in inches.
type reLayer struct{ grams, width, length reNum }

// reMass is what they weigh together, in grams.
func reMass(layers ...reLayer) reNum {
	sum := reInt(0)
	for _, l := range layers {
		sum = sum.add(l.grams.mul(l.width).mul(l.length).mul(reFrac(64516, 100_000_000))) // square metres in a square inch
	}
	return sum
}

func TestRecomputeHardware(t *testing.T) {
	pair, oneWay := reStack{pair: true, face: reInt(100)}, reStack{face: reInt(100)}
	reSame(t, "a pair on 100", pair.back("rod_share"), reFrac(100, 6))
	reSame(t, "one panel on 100", oneWay.back("rod_share"), reFrac(100, 3))
	for _, c := range []struct {
		stack reStack
		want  int64
	}{
		{reStack{pair: true, glass: reInt(100)}, 120}, {reStack{pair: true, lined: true, glass: reInt(100)}, 125},
		{reStack{glass: reInt(100)}, 126}, {reStack{lined: true, glass: reInt(100)}, 131},
	} {
		reSame(t, "a rod for glass of 100", reRodFor(c.stack.glass, c.stack.pair, []reNum{c.stack.back("build")}), reInt(c.want))
	}
	reSame(t, "a third of the glass", reStack{pair: true, glass: reInt(90)}.back("glass_third"), reInt(15))
	reSame(t, "30 % of the glass", reStack{glass: reInt(90)}.back("glass_30"), reInt(27))
	reSame(t, "2½ widths", reStack{widths: reFrac(5, 2)}.back("per_width"), reFrac(55, 4))
	if (reStack{}).back("build").given() {
		t.Error("a panel stacks without glass")
	}
	if got := reSupports(reInt(144), reInt(60)); got != 4 {
		t.Errorf("%d supports for 144 at 60, want 4", got)
	}
	mass := reMass(reLayer{reInt(320), reFrac(265, 2), reFrac(223, 2)}, reLayer{reInt(120), reFrac(249, 2), reFrac(199, 2)})
	reSame(t, "face and lining", mass, reDecimal("4009.1081108"))
}
