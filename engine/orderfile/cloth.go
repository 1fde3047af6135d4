package orderfile

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
)

// leastUsable is the narrowest cloth that isn't absurd; our own choice.
const leastUsable = 10 * measure.Inch

// leastRepeat is the narrowest pattern that anybody places; our own choice.
const leastRepeat = measure.Inch / 8

func readFabric(m *mapping, ids seen) Fabric {
	f := Fabric{ID: m.id(ids), Cloth: m.maybe("cloth").clothKey()}
	f.Use, _ = choice(m.need("use"), Face, Lining, Interlining)
	readLie(m, &f)
	f.Thickness, _ = m.maybe("thickness").length(limits{most: 100 * measure.Millimetre})
	f.UsableWidth, _ = m.need("usable_width").length(limits{least: leastUsable})
	f.MatchWidth = readMatchWidth(m.maybe("match_width"), f.UsableWidth)
	f.VerticalRepeat, _ = m.maybe("vertical_repeat").length(limits{})
	match := m.maybe("match")
	f.Match = choiceOr(match, Straight, Straight, HalfDrop)
	if f.Match == HalfDrop && f.VerticalRepeat == 0 && m.plain() {
		match.wrong("bad_value", "half_drop")
	}
	readMotifs(m, &f)
	readBehaviour(m, &f)
	f.BoltLength = m.maybe("bolt_length").maybeLength(onBolt)
	bolts := seen{}
	for _, b := range m.maybe("bolts").mappings(mostOthers) {
		f.Bolts = append(f.Bolts, readBolt(b, bolts))
	}
	m.close()
	return f
}

// readLie reads which way a cloth lies: a pile is brushed one way.
func readLie(m *mapping, f *Fabric) {
	way := m.maybe("one_way")
	f.OneWay = way.flag()
	f.Pile, _ = choice(m.maybe("pile"), PileUp, PileDown)
	if f.Pile == "" {
		return
	}
	if text, _ := way.scalar(); strings.EqualFold(text, "false") {
		way.wrong("bad_value", "pile")
	}
	f.OneWay = true
}

// readMotifs reads how the pattern repeats across the cloth, 0 none. Joins carry it on, so they stand whole repeats apart.
func readMotifs(m *mapping, f *Fabric) {
	across, offset := m.maybe("horizontal_repeat"), m.maybe("motif_offset")
	repeat, known := across.length(limits{})
	if across == nil {
		known = !m.unreadable("horizontal_repeat")
	}
	first, given := offset.length(limits{})
	if !known {
		return
	}
	switch {
	case repeat == 0 && offset != nil:
		offset.wrong("bad_value", "motif_alone")
	case repeat == 0:
		return
	case repeat < leastRepeat:
		across.wrong("absurd", "short", "Least", leastRepeat)
	case f.UsableWidth > 0 && repeat > f.UsableWidth:
		across.wrong("bad_value", "repeat_wide", "Usable", f.UsableWidth)
	case f.MatchWidth%repeat != 0:
		m.fields["match_width"].wrong("bad_value", "match_repeat", "Repeat", repeat)
	}
	if first > repeat && repeat > 0 {
		offset.wrong("bad_value", "motif_far", "Repeat", repeat)
	}
	f.HorizontalRepeat, f.MotifOffset = repeat, repeat.Div(2)
	if given {
		f.MotifOffset = first
	}
}

// readBehaviour reads how the cloth is made up and what becomes of it when it hangs.
func readBehaviour(m *mapping, f *Fabric) {
	for key, is := range map[string]*bool{"sheer": &f.Sheer, "railroads": &f.Railroads} {
		v := m.maybe(key)
		*is = v.flag()
		if *is && f.Use != Face && f.Use != "" {
			v.wrong("bad_value", "of_face", "Use", string(f.Use))
		}
	}
	if v := m.maybe("shrink"); v != nil {
		shrink := v.percent(0, mostShrink)
		f.Shrink = &shrink
	}
	f.ShrinkWidth = m.maybe("shrink_width").percent(0, mostShrink)
	f.Relax = m.maybe("relax").percent(0, mostShrink)
	f.Mass = m.maybe("mass").areaMass()
}

// readMatchWidth reads the pitch at which a pattern meets itself sideways. It lies inside the usable width, and
// takes no more than half of it away, or a half width would be nothing but join.
func readMatchWidth(v *value, usable measure.Length) measure.Length {
	match, ok := v.length(above0)
	switch {
	case !ok || usable == 0:
	case match > usable:
		v.wrong("bad_value", "match_wide", "Usable", usable)
	case 2*match <= usable:
		v.wrong("absurd", "match_narrow", "Usable", usable)
	}
	return match
}

// plain reports whether the fabric says no repeat, rather than a wrong one.
func (m *mapping) plain() bool {
	v := m.fields["vertical_repeat"]
	if v == nil || empty(v.node) {
		return true
	}
	text, _ := scalar(v.node)
	n, err := measure.Parse(text, measure.In)
	return err == nil && n == 0
}

func readBolt(m *mapping, ids seen) Bolt {
	b := Bolt{ID: m.id(ids)}
	b.Shelf = m.maybe("shelf").label()
	length := m.maybe("length")
	if length == nil && b.Shelf == "" {
		length = m.need("length")
	}
	b.Length, _ = length.length(limits{positive: true, most: longestBolt})
	from := m.maybe("from")
	b.From, _ = from.length(onBolt)
	if b.Length > 0 && b.From >= b.Length {
		from.wrong("bad_value", "past_bolt", "Bolt", b.Length)
		b.From = 0
	}
	b.Lot = m.maybe("lot").label()
	first := m.maybe("first_repeat")
	b.FirstRepeat, _ = first.length(onBolt)
	if b.Length > 0 && b.FirstRepeat > b.Length {
		first.wrong("bad_value", "past_bolt", "Bolt", b.Length)
	}
	for _, flaw := range m.maybe("flaws").mappings(mostOthers) {
		b.Flaws = append(b.Flaws, readFlaw(flaw, b.Length))
	}
	m.close()
	return b
}

// OffShelf is for who has no shelf: each bolt that the file says is one of the shelf's is told, and left out where the file leaves its
// length to that.
func (o *Order) OffShelf() (notes []engine.Problem) {
	for i := range o.Fabrics {
		f := &o.Fabrics[i]
		for k, b := range f.Bolts {
			if b.Shelf == "" {
				continue
			}
			where := fmt.Sprintf("fabrics[%d].bolts[%d].shelf", i, k)
			line, column := o.Position(where)
			notes = append(notes, engine.Problem{Severity: engine.Note, Code: "shelf_not_known", Where: where, Line: line, Column: column,
				Args: map[string]any{"Fabric": f.ID, "Bolt": b.ID, "Code": b.Shelf, "Gone": b.Length == 0}})
		}
		f.Bolts = slices.DeleteFunc(f.Bolts, func(b Bolt) bool { return b.Length == 0 })
	}
	return notes
}

// clothKey matches what a shop may call one of its cloths.
var clothKey = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,31}$`)

// IsClothKey reports whether a shop may call one of its cloths so: 1 to 32 letters a to z, digits and hyphens, no hyphen first.
func IsClothKey(key string) bool { return clothKey.MatchString(key) }

// clothKey reads the name of one of the shop's cloths.
func (v *value) clothKey() string {
	key := v.label()
	if key != "" && !IsClothKey(key) {
		v.wrong("bad_value", "cloth_key")
		return ""
	}
	return key
}

// readFlaw reads a stretch of a bolt; bolt is 0 where its length isn't known.
func readFlaw(m *mapping, bolt measure.Length) Flaw {
	from, fromOK := m.need("from").length(onBolt)
	end := m.need("to")
	to, toOK := end.length(onBolt)
	switch {
	case fromOK && toOK && from >= to:
		end.wrong("bad_value", "flaw_ends", "From", from)
	case toOK && bolt > 0 && to > bolt:
		end.wrong("bad_value", "past_bolt", "Bolt", bolt)
	}
	m.close()
	return Flaw{From: from, To: to}
}

// longestOnTape bounds what is measured on a tape from one pleat to the next (from memory; common ones are 3 to 8 in).
const longestOnTape = 40 * measure.Inch

var onTape = limits{positive: true, most: longestOnTape}

func readTape(m *mapping, ids seen, units measure.Unit) Tape {
	d := tapeDefaults(units)
	t := Tape{ID: m.id(ids)}
	readTapeKind(m, &t)
	t.Height, _ = m.need("height").length(onTape)
	t.TopDrop = m.maybe("top_drop").lengthOr(d.topDrop, limits{most: longestOnTape})
	t.TrimBeyond = m.maybe("trim_beyond").lengthOr(d.trimBeyond, limits{most: longestOnTape})
	t.HeadingFold = m.maybe("heading_fold").maybeLength(limits{})
	if t.Kind != WaveKind {
		t.Cords, _ = m.need("cords").count(1, 12)
	}
	if t.Kind.Pleats() {
		readPleating(m, &t, d)
	} else {
		refuse(m, t.Kind, "period", "space", "end_margin", "insert_length", "pleat_base", "ease_per_pleat")
	}
	m.close()
	return t
}

// refuse tells of keys that no tape of the kind has.
func refuse(m *mapping, kind TapeKind, keys ...string) {
	for _, key := range keys {
		if v := m.maybe(key); v != nil {
			v.wrong("not_supported", "of_kind", "Kind", string(kind))
		}
	}
}

// readPleating reads what a tape has that sets pleats of a size of its own.
func readPleating(m *mapping, t *Tape, d tapeDefault) {
	period := m.need("period")
	t.Period, _ = period.length(onTape)
	t.Space, _ = m.need("space").length(onTape)
	known := t.Period > 0 && t.Space > 0
	if known && t.Period <= t.Space {
		period.wrong("bad_value", "period", "Space", t.Space)
		known = false
	}
	t.EndMargin = readEndMargin(m.maybe("end_margin"), d.endMargin(t.Space))
	t.InsertLength = m.maybe("insert_length").lengthOr(t.TakeUp().Times(3), above0)
	base := m.maybe("pleat_base")
	t.PleatBase, _ = base.length(limits{most: longestOnTape})
	if known && t.PleatBase >= t.TakeUp() {
		base.wrong("bad_value", "pleat_base", "TakeUp", t.TakeUp())
	}
	t.EasePerPleat = m.maybe("ease_per_pleat").maybeLength(limits{most: widestSeam})
}

// usualFingers are those of a pinch tape that doesn't say: a triple pinch (common practice).
const usualFingers = 3

// usualTightest is how far a pencil tape draws up that doesn't say: flat over fully drawn (from memory; a sheer is published at 4).
var usualTightest = measure.Ratio{Num: 4, Den: 1}

// readTapeKind reads what the tape pulls up into, and what only tapes of one kind have.
func readTapeKind(m *mapping, t *Tape) {
	t.Kind = choiceOr(m.maybe("kind"), CartridgeKind, CartridgeKind, PinchKind, PencilKind, WaveKind)
	tightest := m.maybe("tightest")
	switch t.Kind {
	case PencilKind:
		t.Tightest = readTightest(tightest)
	case WaveKind:
		t.PocketPitch, _ = m.need("pocket_pitch").length(onTape)
		t.Pockets, _ = m.need("pockets").count(1, 99)
		refuse(m, t.Kind, "cords")
	}
	if t.Kind != PencilKind {
		refuse(m, t.Kind, "tightest")
	}
	if t.Kind != WaveKind {
		refuse(m, t.Kind, "pocket_pitch", "pockets")
	}
	ends, fingers := m.maybe("ends"), m.maybe("fingers")
	if t.Kind == PinchKind {
		t.Ends = choiceOr(ends, MidSpace, MidSpace, FlatEnds)
		t.Fingers = fingers.countOr(usualFingers, 2, 4)
		return
	}
	for _, v := range []*value{ends, fingers} {
		if v != nil {
			v.wrong("bad_value", "of_pinch_tape")
		}
	}
}

// readTightest reads a ratio from 1 to 10.
func readTightest(v *value) measure.Ratio {
	r := v.ratioOr(usualTightest, MostFullness)
	if r.Num < r.Den {
		v.wrong("bad_value", "tightest")
		return usualTightest
	}
	return r
}

// readEndMargin reads the flat from edge to first dot. What isn't written gives way to what is: a nominal beyond
// the default least or greatest moves that, and stays inside those written.
func readEndMargin(v *value, d EndMargin) EndMargin {
	m := v.mapping()
	if m == nil {
		return d
	}
	nominal, hasNominal := m.maybe("nominal").length(limits{most: longestOnTape})
	least, hasLeast := m.maybe("min").length(limits{most: longestOnTape})
	most, hasMost := m.maybe("max").length(limits{most: longestOnTape})
	m.close()
	e := EndMargin{nominal, least, most}
	if !hasMost {
		e.Max = max(d.Max, nominal, least)
	}
	if !hasLeast {
		e.Min = min(d.Min, e.Max)
		if hasNominal {
			e.Min = min(e.Min, nominal)
		}
	}
	if !hasNominal {
		e.Nominal = min(max(d.Nominal, e.Min), e.Max)
	}
	if e.Min > e.Nominal || e.Nominal > e.Max {
		v.wrong("bad_value", "end_margin", "Min", e.Min, "Nominal", e.Nominal, "Max", e.Max)
	}
	return e
}
