package orderfile_test

import (
	"fmt"
	"math/big"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// build makes an order and the entries of its file side by side: what is left out has its default.
type build struct {
	t     *rapid.T
	units measure.Unit
}

func (b *build) yes(label string) bool { return rapid.Bool().Draw(b.t, label) }

// length draws from lo to hi inches, on an inch or a millimetre mark, in a text that says exactly that.
func (b *build) length(label string, lo, hi int) (measure.Length, string) {
	mark := rapid.SampledFrom([]measure.Length{measure.Inch / 64, measure.Inch / 8, measure.Millimetre}).Draw(b.t, label+" mark")
	from, to := (measure.Length(lo) * measure.Inch).CeilDiv(mark), (measure.Length(hi) * measure.Inch).FloorDiv(mark)
	l := mark * measure.Length(rapid.Int64Range(from, to).Draw(b.t, label))
	u := rapid.SampledFrom([]measure.Unit{b.units, measure.In, measure.Ft, measure.Yd, measure.MM, measure.CM, measure.M}).Draw(b.t, label+" unit")
	if u == b.units && b.yes(label+" bare") {
		return l, l.Number(u, 9)
	}
	return l, l.In(u)
}

// fields collects the keys of one mapping.
type fields struct {
	*build
	keys []entry
}

func (f *fields) put(key, text string) { f.keys = append(f.keys, entry{key: key, text: text}) }

func (f *fields) need(key string, lo, hi int) measure.Length {
	l, text := f.length(key, lo, hi)
	f.put(key, text)
	return l
}

func (f *fields) maybe(key string, lo, hi int, otherwise measure.Length) measure.Length {
	if !f.yes("has " + key) {
		return otherwise
	}
	return f.need(key, lo, hi)
}

func (f *fields) pointer(key string, lo, hi int) *measure.Length {
	if !f.yes("has " + key) {
		return nil
	}
	l := f.need(key, lo, hi)
	return &l
}

// word draws one of the words or leaves the key out for the first.
func (f *fields) word(key string, words ...string) string {
	if !f.yes("has " + key) {
		return words[0]
	}
	w := rapid.SampledFrom(words).Draw(f.t, key)
	f.put(key, w)
	return w
}

func (f *fields) text(key string) string {
	if !f.yes("has " + key) {
		return ""
	}
	s := rapid.StringMatching(`[A-Za-zåéñ½"'][A-Za-z0-9 ,:#'"åéñ½-]{0,20}[a-z]`).Draw(f.t, key)
	f.put(key, s)
	return s
}

func (f *fields) count(key string, lo, hi int) int {
	n := rapid.IntRange(lo, hi).Draw(f.t, key)
	f.put(key, fmt.Sprintf("%0*d", rapid.IntRange(1, 4).Draw(f.t, "digits"), n)) // 010 is ten
	return n
}

func (b *build) order() (*orderfile.Order, entry) {
	b.units = rapid.SampledFrom([]measure.Unit{measure.In, measure.CM, measure.MM}).Draw(b.t, "units")
	f := &fields{build: b}
	o := &orderfile.Order{Units: b.units, Conventions: orderfile.DefaultConventions(b.units)}
	o.ID = rapid.StringMatching(`[A-Za-z0-9][A-Za-z0-9._-]{0,31}`).Draw(b.t, "order")
	f.put("order", o.ID)
	o.Customer, o.Sidemark, o.Notes = f.text("customer"), f.text("sidemark"), f.text("notes")
	o.PrintSidemark = f.word("print_sidemark", "false", "true") == "true"
	if b.yes("has due") {
		o.Due = fmt.Sprintf("20%02d-%02d-%02d", rapid.IntRange(0, 99).Draw(b.t, "y"), rapid.IntRange(1, 12).Draw(b.t, "m"), rapid.IntRange(1, 28).Draw(b.t, "d"))
		f.put("due", o.Due)
	}
	f.put("units", string(b.units))
	if b.yes("has conventions") {
		f.keys = append(f.keys, entry{key: "conventions", keys: b.conventions(&o.Conventions)})
	}
	var fabrics, tapes, treatments []entry
	for i, use := range []orderfile.Use{orderfile.Face, orderfile.Lining, orderfile.Interlining, orderfile.Face} {
		fabric, keys := b.fabric(fmt.Sprintf("f%d", i), use)
		o.Fabrics, fabrics = append(o.Fabrics, fabric), append(fabrics, entry{keys: keys})
	}
	for i := range rapid.IntRange(1, 2).Draw(b.t, "tapes") {
		tape, keys := b.tape(fmt.Sprintf("t%d", i))
		o.Tapes, tapes = append(o.Tapes, tape), append(tapes, entry{keys: keys})
	}
	var rods []entry
	for i := range rapid.IntRange(0, 2).Draw(b.t, "rods") {
		rod, keys := b.rod(fmt.Sprintf("r%d", i))
		o.Rods, rods = append(o.Rods, rod), append(rods, entry{keys: keys})
	}
	for range rapid.IntRange(1, 3).Draw(b.t, "treatments") {
		treatment, keys := b.treatment(o)
		o.Treatments, treatments = append(o.Treatments, treatment), append(treatments, entry{keys: keys})
	}
	f.keys = append(f.keys, entry{key: "fabrics", list: fabrics}, entry{key: "tapes", list: tapes}, entry{key: "treatments", list: treatments})
	if len(rods) > 0 {
		f.keys = append(f.keys, entry{key: "rods", list: rods})
	}
	return o, entry{keys: rapid.Permutation(f.keys).Draw(b.t, "order of keys")}
}

// conventions draws some of the conventions within their bounds. The field of each is the one of its name, whatever the row says.
func (b *build) conventions(c *orderfile.Conventions) []entry {
	f := &fields{build: b, keys: []entry{}}
	all := reflect.ValueOf(c).Elem()
	for _, r := range orderfile.AllConventions() {
		least, most := r.Bounds()
		field := all.FieldByName(fieldName(r.Key))
		switch x := field.Addr().Interface().(type) {
		case *measure.Length:
			*x = f.maybe(r.Key, least, most, *x)
		case **measure.Length:
			*x = f.pointer(r.Key, least, most)
		case *int:
			if f.yes("has " + r.Key) {
				*x = f.count(r.Key, least, most)
			}
		case *orderfile.Percent:
			if f.yes("has " + r.Key) {
				*x = orderfile.Percent(rapid.IntRange(100*least, 100*most).Draw(f.t, r.Key))
				f.put(r.Key, fmt.Sprintf("%d.%02d%s", *x/100, *x%100, rapid.SampledFrom([]string{"", "%", " %"}).Draw(f.t, "sign")))
			}
		case *measure.Ratio:
			if f.yes("has " + r.Key) {
				*x = measure.Ratio{Num: int64(f.count(r.Key, max(1, least), most)), Den: 1}
			}
		default:
			field.SetString(f.word(r.Key, r.Words()...))
		}
	}
	return f.keys
}

// fieldName is the name of a key's field: OrderStep of order_step.
func fieldName(key string) string {
	var name strings.Builder
	for part := range strings.SplitSeq(key, "_") {
		name.WriteString(strings.ToUpper(part[:1]) + part[1:])
	}
	return name.String()
}

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

// TestParseReadsWhatIsWritten holds random orders, written in random YAML, against what Parse makes of them: the
// values, and the line and column of each.
func TestParseReadsWhatIsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := &build{t: t}
		want, tree := b.order()
		w := &writer{t: t, json: rapid.Bool().Draw(t, "json"), at: map[string][2]int{}}
		text := w.file(tree)
		got, problems := orderfile.Parse([]byte(text))
		if len(problems) > 0 || got == nil {
			t.Fatalf("%+v of\n%s", problems, text)
		}
		if diff := cmp.Diff(want, got, cmpopts.IgnoreUnexported(orderfile.Order{}), cmpopts.EquateEmpty()); diff != "" {
			t.Fatalf("(-written +read)\n%s\n%s", diff, text)
		}
		for path, at := range w.at {
			if line, column := got.Position(path); line != at[0] || column != at[1] {
				t.Fatalf("%q stands at %d:%d, not at %d:%d, of\n%s", path, at[0], at[1], line, column, text)
			}
		}
	})
}
