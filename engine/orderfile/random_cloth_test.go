package orderfile_test

import (
	"fmt"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

func (b *build) fabric(id string, use orderfile.Use) (orderfile.Fabric, []entry) {
	f := &fields{build: b}
	c := orderfile.Fabric{ID: id, Use: use}
	f.put("id", id)
	f.put("use", string(use))
	if b.yes("has pile") {
		c.Pile = rapid.SampledFrom([]orderfile.Pile{"up", "down"}).Draw(b.t, "pile")
		f.put("pile", string(c.Pile))
		c.OneWay = true
		if b.yes("says one_way") {
			f.put("one_way", "true")
		}
	} else {
		c.OneWay = f.word("one_way", "false", "true") == "true"
	}
	c.Thickness = f.maybe("thickness", 0, 1, 0)
	c.UsableWidth = f.need("usable_width", 40, 118)
	if c.UsableWidth >= 60*measure.Inch {
		c.MatchWidth = f.maybe("match_width", 60, 60, 0)
	}
	b.motifs(f, &c)
	b.behaviour(f, &c)
	c.VerticalRepeat = f.maybe("vertical_repeat", 1, 40, 0)
	c.Match = orderfile.Straight
	if c.VerticalRepeat > 0 {
		c.Match = orderfile.Match(f.word("match", "straight", "half_drop"))
	}
	c.BoltLength = f.pointer("bolt_length", 0, 900)
	if b.yes("has bolts") {
		bolt, keys := b.bolt("B1")
		c.Bolts = append(c.Bolts, bolt)
		f.keys = append(f.keys, entry{key: "bolts", list: []entry{{keys: keys}}})
	}
	return c, f.keys
}

// motifs draws how the pattern repeats across the cloth: joins stand whole repeats apart.
func (b *build) motifs(f *fields, c *orderfile.Fabric) {
	if !b.yes("has motifs") {
		return
	}
	if c.MatchWidth > 0 {
		c.HorizontalRepeat = measure.Length(rapid.SampledFrom([]int{5, 12, 15, 60}).Draw(b.t, "repeat")) * measure.Inch
		f.put("horizontal_repeat", c.HorizontalRepeat.In(measure.In))
	} else {
		c.HorizontalRepeat = f.need("horizontal_repeat", 4, 40)
	}
	c.MotifOffset = f.maybe("motif_offset", 0, 4, c.HorizontalRepeat.Div(2))
}

// behaviour draws how the cloth is made up and what becomes of it when it hangs.
func (b *build) behaviour(f *fields, c *orderfile.Fabric) {
	if c.Use == orderfile.Face {
		c.Sheer, c.Railroads = f.word("sheer", "false", "true") == "true", f.word("railroads", "false", "true") == "true"
	}
	share := func(key string) (p orderfile.Percent) {
		p = orderfile.Percent(rapid.IntRange(0, 5000).Draw(b.t, key))
		f.put(key, fmt.Sprintf("%d.%02d%s", p/100, p%100, rapid.SampledFrom([]string{"", "%", " %"}).Draw(b.t, "sign")))
		return p
	}
	if b.yes("has shrink") {
		c.Shrink = new(share("shrink"))
	}
	if b.yes("has shrink_width") {
		c.ShrinkWidth = share("shrink_width")
	}
	if b.yes("has relax") {
		c.Relax = share("relax")
	}
	if b.yes("has mass") {
		tenths := rapid.Int64Range(1, 1474).Draw(b.t, "mass")
		unit := rapid.SampledFrom([]struct {
			name  string
			micro int64 // grams of a tenth
		}{{"", 100_000}, {" g/m2", 100_000}, {"g/m²", 100_000}, {"oz/yd2", 3_390_575}, {" oz/yd²", 3_390_575}}).Draw(b.t, "unit of mass")
		c.Mass = orderfile.AreaMass(tenths * unit.micro)
		if unit.micro != 100_000 {
			c.Mass = orderfile.AreaMass((tenths*33_905_747 + 5) / 10)
		}
		f.put("mass", fmt.Sprintf("%d.%d%s", tenths/10, tenths%10, unit.name))
	}
}

func (b *build) bolt(id string) (orderfile.Bolt, []entry) {
	f := &fields{build: b}
	c := orderfile.Bolt{ID: id}
	f.put("id", id)
	c.Length = f.need("length", 100, 39_000)
	c.From = f.maybe("from", 0, 60, 0)
	c.Lot = f.text("lot")
	c.FirstRepeat = f.maybe("first_repeat", 0, 30, 0)
	if b.yes("has flaws") {
		flaw := &fields{build: b}
		c.Flaws = []orderfile.Flaw{{From: flaw.need("from", 0, 50), To: flaw.need("to", 51, 100)}}
		f.keys = append(f.keys, entry{key: "flaws", list: []entry{{keys: flaw.keys}}})
	}
	return c, f.keys
}

func (b *build) tape(id string) (orderfile.Tape, []entry) {
	f := &fields{build: b}
	t := orderfile.Tape{ID: id}
	f.put("id", id)
	t.Kind = orderfile.CartridgeKind
	if b.yes("has kind") {
		t.Kind = rapid.SampledFrom([]orderfile.TapeKind{orderfile.CartridgeKind, orderfile.PinchKind, orderfile.PencilKind, orderfile.WaveKind}).Draw(b.t, "kind")
		f.put("kind", string(t.Kind))
	}
	if t.Kind == orderfile.PinchKind {
		t.Ends, t.Fingers = orderfile.MidSpace, 3
		if b.yes("has ends") {
			t.Ends = rapid.SampledFrom([]orderfile.TapeEnds{orderfile.MidSpace, orderfile.FlatEnds}).Draw(b.t, "ends")
			f.put("ends", string(t.Ends))
		}
		if b.yes("has fingers") {
			t.Fingers = f.count("fingers", 2, 4)
		}
	}
	t.Height = f.need("height", 1, 8)
	switch t.Kind {
	case orderfile.WaveKind:
		t.PocketPitch, t.Pockets = f.need("pocket_pitch", 1, 2), f.count("pockets", 1, 99)
	case orderfile.PencilKind:
		t.Tightest = measure.Ratio{Num: 4, Den: 1}
		if b.yes("has tightest") {
			t.Tightest = measure.Ratio{Num: int64(f.count("tightest", 1, 10)), Den: 1}
		}
	}
	if t.Kind != orderfile.WaveKind {
		t.Cords = f.count("cords", 1, 12)
	}
	// The defaults, first in inches, then metric.
	drop, nominal, least, beyond := measure.Inch/4, 3*measure.Inch/4, measure.Inch/2, measure.Inch
	if b.units != measure.In {
		const mm = measure.Millimetre
		drop, nominal, least, beyond = 6*mm, 20*mm, 12*mm, 25*mm
	}
	t.TopDrop = f.maybe("top_drop", 0, 1, drop)
	t.TrimBeyond = f.maybe("trim_beyond", 0, 2, beyond)
	t.HeadingFold = f.pointer("heading_fold", 0, 6)
	if !t.Kind.Pleats() {
		return t, f.keys
	}
	t.Period, t.Space = f.need("period", 5, 10), f.need("space", 1, 4)
	t.EndMargin = orderfile.EndMargin{Nominal: nominal, Min: least, Max: least + t.Space.Div(2)}
	if b.yes("has end_margin") {
		m := &fields{build: b}
		t.EndMargin = orderfile.EndMargin{Nominal: m.need("nominal", 1, 2), Min: m.need("min", 0, 1), Max: m.need("max", 2, 3)}
		f.keys = append(f.keys, entry{key: "end_margin", keys: m.keys})
	}
	t.InsertLength = f.maybe("insert_length", 1, 20, 3*(t.Period-t.Space))
	if b.yes("has pleat_base") {
		t.PleatBase = f.need("pleat_base", 0, 0)
	}
	t.EasePerPleat = f.pointer("ease_per_pleat", 0, 1)
	return t, f.keys
}

func (b *build) rod(id string) (orderfile.Rod, []entry) {
	f := &fields{build: b}
	r := orderfile.Rod{ID: id, Kind: orderfile.RodKind(f.word("kind", "pole", "track", "flat"))}
	f.put("id", id)
	r.Diameter, r.CarrierPitch, r.Projection = f.maybe("diameter", 1, 4, 0), f.maybe("carrier_pitch", 1, 6, 0), f.maybe("projection", 1, 12, 0)
	if r.Diameter == 0 {
		r.Circumference = f.maybe("circumference", 2, 12, 0)
	}
	r.RingInner, r.RingDrop, r.Span = f.maybe("ring_inner", 1, 4, 0), f.maybe("ring_drop", 1, 4, 0), f.maybe("span", 20, 90, 0)
	if b.yes("has supports") {
		r.Supports = f.count("supports", 2, 99)
	}
	if b.yes("has limit") {
		kilos := rapid.IntRange(1, 1000).Draw(b.t, "limit")
		r.Limit = orderfile.Mass(1000 * kilos)
		f.put("limit", fmt.Sprintf("%d%s", kilos, rapid.SampledFrom([]string{"", "kg", " kg"}).Draw(b.t, "unit of limit")))
	}
	return r, f.keys
}
