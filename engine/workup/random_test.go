package workup_test

import (
	"fmt"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// between draws a length in whole marks (1/16 in, or half millimetres), now and then a nanometre off, so that halves
// of a nanometre arise.
func between(t *rapid.T, name string, units measure.Unit, least, most measure.Length) measure.Length {
	mark := measure.Inch / 16
	if units.Metric() {
		mark = measure.Millimetre / 2
	}
	l := mark * measure.Length(rapid.Int64Range(least.CeilDiv(mark), most.FloorDiv(mark)).Draw(t, name))
	if rapid.IntRange(0, 9).Draw(t, name+" off the mark") == 0 {
		l++
	}
	return l
}

// randomOrder draws an order of any draw, cloth, tape and conventions that the program accepts; most of its panels
// can be made.
func randomOrder(t *rapid.T) *orderfile.Order {
	units := rapid.SampledFrom([]measure.Unit{measure.In, measure.CM, measure.MM}).Draw(t, "units")
	o := &orderfile.Order{ID: "R", Units: units, Conventions: orderfile.DefaultConventions(units)}
	const in = measure.Inch
	draw := func(name string, least, most measure.Length) measure.Length {
		return between(t, name, units, least, most)
	}
	randomRules(t, &o.Conventions)
	o.Conventions.WidthAllowance = rapid.SampledFrom([]measure.Length{0, 0, 2 * in}).Draw(t, "width_allowance")
	o.Conventions.Seam = draw("seam", in/4, in)
	o.Conventions.Shrink = orderfile.Percent(rapid.IntRange(0, 500).Draw(t, "shrink"))
	for i := range 2 {
		f := orderfile.Fabric{
			ID: fmt.Sprintf("face-%d", i), Use: orderfile.Face, UsableWidth: draw("usable", 30*in, 120*in),
			OneWay: rapid.Bool().Draw(t, "one_way"), Match: rapid.SampledFrom([]orderfile.Match{orderfile.Straight, orderfile.HalfDrop}).Draw(t, "match"),
		}
		if rapid.Bool().Draw(t, "patterned") {
			f.VerticalRepeat = draw("repeat", 3*in, 40*in)
		}
		if rapid.Bool().Draw(t, "match width given") {
			f.MatchWidth = f.UsableWidth - draw("unmatched", in/8, 2*in) // now and then too narrow to sew
		}
		if rapid.Bool().Draw(t, "thick") {
			f.Thickness = draw("thickness", 0, in/8)
		}
		o.Fabrics = append(o.Fabrics, f)
	}
	o.Fabrics = append(o.Fabrics,
		orderfile.Fabric{ID: "lining", Use: orderfile.Lining, UsableWidth: draw("lining", 30*in, 120*in), OneWay: rapid.Bool().Draw(t, "lining one_way")},
		orderfile.Fabric{ID: "bump", Use: orderfile.Interlining, UsableWidth: draw("bump", 30*in, 120*in)})
	for i := range 2 {
		o.Tapes = append(o.Tapes, randomTape(t, i, draw))
	}
	o.Tapes = append(o.Tapes,
		orderfile.Tape{ID: "pencil", Kind: orderfile.PencilKind, Height: draw("height", in, 4*in), Cords: 3, TopDrop: in / 8, TrimBeyond: draw("trim_beyond", 0, 2*in), Tightest: measure.Ratio{Num: 4, Den: 1}},
		orderfile.Tape{ID: "wave", Kind: orderfile.WaveKind, Height: draw("height", in, 4*in), TopDrop: in / 8, TrimBeyond: draw("trim_beyond", 0, 2*in), PocketPitch: draw("pocket", in/2, in), Pockets: rapid.IntRange(4, 9).Draw(t, "pockets")})
	o.Rods = []orderfile.Rod{{ID: "rod", Diameter: draw("diameter", in/2, 2*in), CarrierPitch: draw("carrier", 2*in, 4*in), Projection: draw("projection", 2*in, 6*in), RingDrop: draw("ring_drop", in, 2*in)}}
	for i := range rapid.IntRange(1, 4).Draw(t, "treatments") {
		o.Treatments = append(o.Treatments, randomTreatment(t, i, draw))
	}
	return o
}

// randomRules draws every convention that is a word; the default more often than others.
func randomRules(t *rapid.T, c *orderfile.Conventions) {
	for _, r := range orderfile.Choices() {
		if rapid.Bool().Draw(t, r.Key+" given") {
			*c = r.Under(*c, rapid.SampledFrom(r.Words()).Draw(t, r.Key))
		}
	}
	c.FullnessSlack = rapid.SampledFrom([]orderfile.Percent{0, 700, 2000}).Draw(t, "fullness_slack")
	c.PleatsPerWidth = rapid.SampledFrom([]int{5, 5, 4, 6}).Draw(t, "pleats_per_width")
}

func randomTape(t *rapid.T, i int, draw func(string, measure.Length, measure.Length) measure.Length) orderfile.Tape {
	const in = measure.Inch
	tape := orderfile.Tape{
		ID: fmt.Sprintf("tape-%d", i), Space: draw("space", in, 4*in), Height: draw("height", 2*in, 6*in),
		Cords: rapid.IntRange(1, 6).Draw(t, "cords"), TopDrop: draw("top_drop", 0, in), TrimBeyond: draw("trim_beyond", 0, 2*in),
		PleatBase: rapid.SampledFrom([]measure.Length{0, 0, in / 16}).Draw(t, "pleat_base"),
	}
	takeUp := draw("take_up", 2*in, 6*in)
	tape.Period = tape.Space + takeUp
	tape.InsertLength = takeUp * 3
	tape.EndMargin.Min = draw("margin_min", 0, in)
	tape.EndMargin.Nominal = tape.EndMargin.Min + draw("nominal", 0, in/2)
	tape.EndMargin.Max = tape.EndMargin.Nominal + draw("max", 0, in)
	return tape
}

func randomTreatment(t *rapid.T, i int, draw func(string, measure.Length, measure.Length) measure.Length) orderfile.Treatment {
	const in = measure.Inch
	line := orderfile.Treatment{
		Window: fmt.Sprintf("W%d", i), Heading: orderfile.CartridgeTape, Tape: fmt.Sprintf("tape-%d", rapid.IntRange(0, 1).Draw(t, "tape")),
		Draw: rapid.SampledFrom([]orderfile.Draw{
			orderfile.Pair, orderfile.Pair, orderfile.OneWayLeft, orderfile.OneWayRight, orderfile.Stationary, orderfile.StationaryPair,
		}).Draw(t, "draw"),
		Return: draw("return", 0, 6*in), Overlap: draw("overlap", 0, 8*in),
		FinishedLength: draw("finished_length", 20*in, 140*in), Puddle: draw("puddle", 0, 6*in),
		Face: fmt.Sprintf("face-%d", rapid.IntRange(0, 1).Draw(t, "face")), Quantity: rapid.IntRange(1, 5).Draw(t, "quantity"),
		CordEnd: rapid.SampledFrom([]orderfile.CordEnd{orderfile.Wound, orderfile.Tucked, orderfile.Cut}).Draw(t, "cord_end"),
	}
	if rapid.Bool().Draw(t, "return_other given") {
		line.ReturnOther = new(draw("return_other", 0, 8*in))
	}
	width := draw("width", 6*in, 160*in)
	if line.Draw == orderfile.Stationary || line.Draw == orderfile.StationaryPair {
		line.FinishedWidth = width
	} else {
		line.FaceWidth = width
	}
	if rapid.Bool().Draw(t, "lined") {
		line.Lining = "lining"
	}
	if rapid.Bool().Draw(t, "interlined") {
		line.Interlining = "bump"
	}
	if heading := rapid.SampledFrom(orderfile.Headings()).Draw(t, "heading"); heading.Family == orderfile.SetByHand {
		line.Heading, line.Tape = heading.Heading, ""
		if rapid.Bool().Draw(t, "fullness given") {
			line.Fullness = &measure.Ratio{Num: rapid.Int64Range(150, 350).Draw(t, "fullness"), Den: 100}
		}
		if rapid.Bool().Draw(t, "lead flat given") {
			lead := draw("lead_flat", 0, 8*in)
			line.LeadFlat = &lead
		}
	} else if heading.Family == orderfile.Continuous {
		randomHardware(t, &line, heading, draw)
	}
	return line
}

// randomHardware gives a window of a heading without pleats what it hangs from and by.
func randomHardware(t *rapid.T, line *orderfile.Treatment, d orderfile.HeadingData, draw func(string, measure.Length, measure.Length) measure.Length) {
	const in = measure.Inch
	line.Heading, line.Tape, line.Rod = d.Heading, map[orderfile.TapeKind]string{orderfile.PencilKind: "pencil", orderfile.WaveKind: "wave"}[d.Tape], "rod"
	if d.Pole != "" && rapid.Bool().Draw(t, "straight pole") {
		line.Return, line.Overlap = 0, 0
	}
	if d.Holds != orderfile.OnCarriers && rapid.Bool().Draw(t, "fullness given") {
		line.Fullness = &measure.Ratio{Num: rapid.Int64Range(110, 350).Draw(t, "fullness"), Den: 100}
	}
	if d.Holds == orderfile.OnPoints && rapid.Bool().Draw(t, "points given") {
		line.Points.Count = new(2 * rapid.IntRange(1, 20).Draw(t, "points"))
	}
	switch d.Heading {
	case orderfile.Eyelet:
		line.Eyelet.Inner = draw("inner", in, 2*in)
		line.Eyelet.Outer, line.Eyelet.Drop = line.Eyelet.Inner+draw("rim", in/4, in), line.Eyelet.Inner/2+draw("above", in/2, 2*in)
	case orderfile.Tab:
		line.Tab = orderfile.TabSize{Width: draw("tab", in, 4*in), Gap: draw("gap", 0, 3*in), Facing: draw("facing", 2*in, 5*in)}
	case orderfile.RodPocket:
		line.Pocket = orderfile.PocketSize{Stand: draw("stand", 0, 6*in), Turn: draw("turn", 0, 2*in)}
	}
}
