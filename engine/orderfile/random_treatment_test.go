package orderfile_test

import (
	"fmt"
	"math/big"
	"slices"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

func (b *build) treatment(o *orderfile.Order) (orderfile.Treatment, []entry) {
	f := &fields{build: b}
	t := orderfile.Treatment{Window: "Bay, left", Face: "f0", Quantity: 1}
	f.put("window", t.Window)
	t.Room, t.Notes = f.text("room"), f.text("notes")
	b.heading(f, &t, o)
	t.Draw = orderfile.Draw(f.word("draw", "pair", "one_way_left", "one_way_right", "stationary_pair", "stationary"))
	if t.Draw == "stationary" || t.Draw == "stationary_pair" || b.yes("the panel's own width") {
		t.FinishedWidth = f.need("finished_width", 5, 200)
	} else {
		t.FaceWidth = f.need("face_width", 5, 400)
	}
	ret, overlap := 7*measure.Inch/2, 6*measure.Inch
	if b.units != measure.In {
		ret, overlap = 90*measure.Millimetre, 150*measure.Millimetre
	}
	pole := slices.Contains([]orderfile.Heading{"rod-pocket", "eyelet", "tab", "ring"}, t.Heading)
	if pole {
		ret, overlap = 0, 0
	}
	if o.Conventions.OverlapBasis == "past_centre" {
		overlap /= 2 // the same lap: each panel passes the centre by half of it
	}
	drop := measure.Inch / 4
	if b.units != measure.In {
		drop = 6 * measure.Millimetre
	}
	switch {
	case t.Heading == "ring" && b.units == measure.In:
		drop = 3 * measure.Inch / 8
	case t.Heading == "ring":
		drop = 10 * measure.Millimetre
	}
	t.HookDrop = f.maybe("hook_drop", 0, 4, drop)
	if b.yes("under a top treatment") {
		t.Under = "Valance of the face"
		f.put("under", t.Under)
	}
	t.Return, t.Overlap = f.maybe("return", 0, 12, ret), f.maybe("overlap", 0, 12, overlap)
	if b.yes("return_other given") {
		t.ReturnOther = new(f.need("return_other", 0, 12))
	}
	if b.yes("has hang") {
		h := &fields{build: b}
		t.Hang = &orderfile.Hang{BearingToFloor: h.need("bearing_to_floor", 50, 200), HeadingAboveBearing: h.need("heading_above_bearing", 0, 4), Clearance: h.need("clearance", 0, 2)}
		t.FinishedLength = t.Hang.BearingToFloor + t.Hang.HeadingAboveBearing - t.Hang.Clearance
		f.keys = append(f.keys, entry{key: "hang", keys: h.keys})
	} else {
		t.FinishedLength = f.need("finished_length", 10, 300)
	}
	t.Puddle, t.GlassWidth = f.maybe("puddle", 0, 12, 0), f.maybe("glass_width", 1, 200, 0)
	f.put("face", t.Face)
	if b.yes("lined") {
		t.Lining = "f1"
		f.put("lining", t.Lining)
	}
	if b.yes("interlined") {
		t.Interlining = "f2"
		f.put("interlining", t.Interlining)
	}
	if b.yes("has quantity") {
		t.Quantity = f.count("quantity", 1, 999)
	}
	t.CordEnd = orderfile.CordEnd(f.word("cord_end", "wound", "tucked", "cut"))
	t.HeadingFold, t.BottomHem, t.SideHem = f.pointer("heading_fold", 0, 8), f.pointer("bottom_hem", 0, 12), f.pointer("side_hem", 0, 6)
	if b.yes("has pleats") {
		n := f.count("pleats", 1, 999)
		t.Pleats = &n
	}
	if b.yes("has widths") {
		h := measure.Halves(rapid.IntRange(1, 120).Draw(b.t, "widths"))
		t.Widths = &h
		f.put("widths", h.String())
	}
	if b.yes("has surplus") {
		t.Surplus = rapid.SampledFrom([]orderfile.Surplus{"trim", "keep"}).Draw(b.t, "surplus")
		f.put("surplus", string(t.Surplus))
	}
	b.placed(f, &t, o)
	return t, rapid.Permutation(f.keys).Draw(b.t, "order of keys")
}

// placed draws where the motifs of the face stand, which way it runs, and its bands.
func (b *build) placed(f *fields, t *orderfile.Treatment, o *orderfile.Order) {
	words := []string{"marching"}
	if o.Fabric(t.Face).HorizontalRepeat > 0 && t.Surplus != "keep" {
		words = append(words, "centred_on", "centred_between")
		if t.Draw.Paired() {
			words = append(words, "mirrored")
		}
	}
	t.Motif = orderfile.Motif(f.word("motif", words...))
	t.MotifLead, t.MotifHeight, t.HemHeight = f.pointer("motif_lead", 0, 40), f.maybe("motif_height", 0, 40, 0), f.maybe("hem_height", 0, 40, 0)
	t.Railroad, t.RailroadLining = f.word("railroad", "false", "true") == "true", f.word("railroad_lining", "false", "true") == "true"
	if !b.yes("has bands") {
		return
	}
	list := []entry{}
	for _, edge := range []orderfile.BandEdge{"bottom", "leading", "return"} {
		if !b.yes("has a " + string(edge) + " band") {
			continue
		}
		g := &fields{build: b}
		g.put("edge", string(edge))
		band := orderfile.Band{Edge: edge, Width: g.need("width", 1, 9), Fabric: rapid.SampledFrom([]string{"f0", "f3"}).Draw(b.t, "band's cloth")}
		g.put("fabric", band.Fabric)
		band.Method = orderfile.BandMethod(g.word("method", "joined", "applied"))
		if band.Method == orderfile.Applied {
			band.Offset = g.maybe("offset", 0, 9, 0)
		}
		t.Bands, list = append(t.Bands, band), append(list, entry{keys: g.keys})
	}
	f.keys = append(f.keys, entry{key: "bands", list: list})
}

// heading draws a heading with what belongs to it: a tape, or the fullness and the lead of one set by hand.
func (b *build) heading(f *fields, t *orderfile.Treatment, o *orderfile.Order) {
	data := rapid.SampledFrom(slices.DeleteFunc(orderfile.Headings(), func(d orderfile.HeadingData) bool {
		wave := d.Heading == orderfile.WaveTape && !slices.ContainsFunc(o.Rods, func(r orderfile.Rod) bool { return r.CarrierPitch > 0 })
		return wave || d.Tape != "" && !slices.ContainsFunc(o.Tapes, func(t orderfile.Tape) bool { return t.Kind == d.Tape })
	})).Draw(b.t, "heading")
	t.Heading = data.Heading
	f.put("heading", string(t.Heading))
	b.hardware(f, t, o)
	if data.Tape != "" {
		fit := slices.DeleteFunc(slices.Clone(o.Tapes), func(t orderfile.Tape) bool { return t.Kind != data.Tape })
		tape := rapid.SampledFrom(fit).Draw(b.t, "tape")
		t.Tape = tape.ID
		if len(o.Tapes) > 1 || b.yes("names its tape") {
			f.put("tape", t.Tape)
		}
		if tape.Ends == orderfile.FlatEnds {
			t.LeadFlat = f.pointer("lead_flat", 0, 12)
		}
		if data.Family == orderfile.SetByTape || t.Heading == orderfile.WaveTape {
			return
		}
	}
	t.LeadFlat = f.pointer("lead_flat", 0, 12)
	if len(data.Fillings) > 0 {
		t.Inserts = data.UsualFilling()
		if b.yes("has inserts") {
			t.Inserts = rapid.SampledFrom(data.Fillings).Draw(b.t, "inserts")
			f.put("inserts", string(t.Inserts))
		}
	}
	if b.yes("has fullness") {
		hundredths := rapid.Int64Range(101, 1000).Draw(b.t, "fullness")
		f.put("fullness", fmt.Sprintf("%d.%02d", hundredths/100, hundredths%100))
		exact := big.NewRat(hundredths, 100)
		t.Fullness = &measure.Ratio{Num: exact.Num().Int64(), Den: exact.Denom().Int64()}
	}
}

// hardware draws what a heading hangs from and by.
func (b *build) hardware(f *fields, t *orderfile.Treatment, o *orderfile.Order) {
	if len(o.Rods) == 1 {
		t.Rod = o.Rods[0].ID
	}
	rods := slices.DeleteFunc(slices.Clone(o.Rods), func(r orderfile.Rod) bool { return t.Heading == orderfile.WaveTape && r.CarrierPitch == 0 })
	if len(rods) > 0 && (t.Heading == orderfile.WaveTape || b.yes("names its rod")) {
		t.Rod = rapid.SampledFrom(rods).Draw(b.t, "rod").ID
		f.put("rod", t.Rod)
	}
	group := func(key string, g *fields) {
		if len(g.keys) > 0 {
			f.keys = append(f.keys, entry{key: key, keys: g.keys})
		}
	}
	points, eyelet, tab, pocket := &fields{build: b}, &fields{build: b}, &fields{build: b}, &fields{build: b}
	if b.yes("has points") {
		t.Points.Count = new(2 * points.count("count", 2, 2))
		t.Points.End = points.pointer("end", 0, 4)
		points.keys = points.keys[1:] // the count is doubled
		points.put("count", fmt.Sprint(*t.Points.Count))
	}
	metric := b.units != measure.In
	usual := func(inch, mm measure.Length) measure.Length {
		if metric {
			return mm
		}
		return inch
	}
	const in, mm = measure.Inch, measure.Millimetre
	switch t.Heading {
	case orderfile.Eyelet:
		e := &t.Eyelet
		e.Inner = eyelet.maybe("inner", 1, 2, usual(25*in/16, 40*mm))
		e.Outer = eyelet.need("outer", 3, 4)
		e.Drop = eyelet.maybe("drop", 1, 4, e.Inner.Div(2)+usual(in, 25*mm))
	case orderfile.Tab:
		t.Tab = orderfile.TabSize{Width: tab.maybe("width", 1, 4, usual(2*in, 50*mm)), Gap: tab.maybe("gap", 0, 4, usual(2*in, 50*mm)), Facing: tab.maybe("facing", 1, 4, usual(3*in, 75*mm))}
		t.Tab.Loop = new(tab.need("loop", 4, 12))
	case orderfile.RodPocket:
		t.Pocket = orderfile.PocketSize{Depth: new(pocket.need("depth", 1, 4)), Stand: pocket.maybe("stand", 0, 4, 0), Turn: pocket.maybe("turn", 0, 2, usual(in/2, 15*mm))}
	}
	group("points", points)
	group("eyelet", eyelet)
	group("tab", tab)
	group("pocket", pocket)
}
