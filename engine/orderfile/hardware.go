package orderfile

import "tablehand/engine/measure"

// RodKind is what a panel hangs from.
type RodKind string

const (
	Pole    RodKind = "pole"  // round and seen
	Track   RodKind = "track" // with carriers
	FlatRod RodKind = "flat"
)

// Rod is a pole or a track of the order. What the order doesn't say is 0.
type Rod struct {
	ID            string
	Kind          RodKind
	Diameter      measure.Length // of a flat rod 0
	Circumference measure.Length
	CarrierPitch  measure.Length // of a track's carriers, open
	Projection    measure.Length // from the wall to the rod's middle
	RingInner     measure.Length
	RingDrop      measure.Length // from the top of the rod down to where a ring holds the panel
	Span          measure.Length // longest between two supports, by its maker
	Supports      int
	Limit         Mass // most that it carries, by its maker
}

// Around is the rod's circumference, 0 where the order doesn't say.
func (r *Rod) Around() measure.Length {
	if r.Circumference > 0 {
		return r.Circumference
	}
	return r.Diameter.TimesPi()
}

// Through is the rod's diameter, of a pole measured around worked out from that; 0 where it isn't known, as of a flat rod.
func (r *Rod) Through() measure.Length {
	if r.Diameter > 0 || r.Kind == FlatRod {
		return r.Diameter
	}
	return r.Circumference.OverPi()
}

// Rod returns the rod that a treatment names, nil where it names none.
func (o *Order) Rod(id string) *Rod {
	for i := range o.Rods {
		if o.Rods[i].ID == id {
			return &o.Rods[i]
		}
	}
	return nil
}

// The least and the greatest diameter that isn't absurd (from memory).
var (
	diameterInch   = limits{positive: true, least: in / 8, most: 6 * in}
	diameterMetric = limits{positive: true, least: 3 * mm, most: 150 * mm}
)

// sameAround is by how much a circumference may differ from that of the diameter beside it.
const sameAround = in / 8

func readRod(m *mapping, ids seen, units measure.Unit) Rod {
	r := Rod{ID: m.id(ids)}
	r.Kind = choiceOr(m.maybe("kind"), Pole, Pole, Track, FlatRod)
	bounds := diameterInch
	if units.Metric() {
		bounds = diameterMetric
	}
	r.Diameter, _ = m.maybe("diameter").length(bounds)
	around := m.maybe("circumference")
	r.Circumference, _ = around.length(above0)
	if r.Diameter > 0 && r.Circumference > 0 && (r.Circumference-r.Diameter.TimesPi()).Abs() > sameAround {
		around.wrong("bad_value", "circumference", "Diameter", r.Diameter, "Round", r.Diameter.TimesPi())
	}
	for key, of := range map[string]*measure.Length{
		"carrier_pitch": &r.CarrierPitch, "projection": &r.Projection, "ring_inner": &r.RingInner, "ring_drop": &r.RingDrop, "span": &r.Span,
	} {
		*of, _ = m.maybe(key).length(above0)
	}
	r.Supports, _ = m.maybe("supports").count(2, 99)
	r.Limit = m.maybe("limit").mass()
	m.close()
	return r
}

// Points are what a treatment says of its heading's points; what is nil is the heading's.
type Points struct {
	Count          *int
	Min, Max       *measure.Length // pitch
	PreferredPitch *measure.Length
	End            *measure.Length // flat outside the first and the last point
}

// Over is a heading's row of points with the treatment's before it. An end that is given is the same at both edges.
func (p Points) Over(row Pitching) Pitching {
	row.Pitch = Range{first(row.Pitch.Min, p.Min), first(row.Pitch.Max, p.Max)}
	row.PreferredPitch = first(min(max(row.PreferredPitch, row.Pitch.Min), row.Pitch.Max), p.PreferredPitch)
	if p.End != nil {
		row.Ends, row.End = FixedEnd, *p.End
	}
	return row
}

func first(otherwise measure.Length, given *measure.Length) measure.Length {
	if given != nil {
		return *given
	}
	return otherwise
}

// EyeletSize is the metal ring in a band: its hole, its rim, and its middle below the top edge.
type EyeletSize struct{ Inner, Outer, Drop measure.Length }

// TabSize is a loop of cloth: its width, from the underside of the rod to the panel's top edge, its length where the order gives it, and
// how deep its facing is.
type TabSize struct {
	Width, Gap measure.Length
	Loop       *measure.Length // finished, seam to seam; nil: as the rod asks
	Facing     measure.Length
}

// PocketSize is the rod's tunnel: its depth where the order gives it, what stands above it, and what is turned under.
type PocketSize struct {
	Depth       *measure.Length // nil: as the rod asks
	Stand, Turn measure.Length
}

// hardwareDefault are sizes that a treatment doesn't give. An eyelet's least cloth above its hole, a tab's width, gap and facing and the
// turn of a pocket are common practice, an eyelet's rim is from memory, as are all metric ones. Hooks a quarter inch below the top are asked
// by a contract of the University of Minnesota (Territorial Hall draperies); a ring's pins 3/8 in below it are common practice.
type hardwareDefault struct {
	eyelet             EyeletSize // Drop: above the hole
	tab                TabSize
	turn               measure.Length
	hookDrop, ringDrop measure.Length
}

var (
	hardwareInch = hardwareDefault{
		eyelet: EyeletSize{25 * in / 16, 5 * in / 2, in}, tab: TabSize{Width: 2 * in, Gap: 2 * in, Facing: 3 * in}, turn: in / 2, hookDrop: in / 4, ringDrop: 3 * in / 8,
	}
	hardwareMetric = hardwareDefault{
		eyelet: EyeletSize{40 * mm, 66 * mm, 25 * mm}, tab: TabSize{Width: 50 * mm, Gap: 50 * mm, Facing: 75 * mm}, turn: 15 * mm, hookDrop: 6 * mm, ringDrop: 10 * mm,
	}
)

func hardwareDefaults(units measure.Unit) hardwareDefault {
	if units.Metric() {
		return hardwareMetric
	}
	return hardwareInch
}

// readHardware reads what a treatment hangs from and by. What is another heading's does no harm.
func readHardware(m *mapping, t *Treatment, data *HeadingData, o *Order) {
	d := hardwareDefaults(o.Units)
	t.Rod = readRodName(m.maybe("rod"), o)
	t.Points = readPoints(m.maybe("points"), data)
	eyelet, tab, pocket := readEyelet(m.maybe("eyelet").mapping(), d), readTab(m.maybe("tab").mapping(), d), readPocket(m.maybe("pocket").mapping(), d)
	if data == nil {
		return
	}
	switch data.Pole {
	case InEyelets:
		t.Eyelet = eyelet
	case ByTabs:
		t.Tab = tab
	case InPocket:
		t.Pocket = pocket
	}
	rod := o.Rod(t.Rod)
	lacks := func(key string, of func(*Rod) measure.Length) {
		if m.unreadable("rod") || rod != nil && of(rod) > 0 {
			return
		}
		kind := "rod_measure"
		if rod == nil {
			kind = "rod"
		}
		m.missing("rod", kind, "Rod", t.Rod, "Needs", key, "Heading", data.Called())
	}
	switch {
	case data.Pole == InPocket && t.Pocket.Depth == nil:
		lacks("diameter", (*Rod).Around)
	case data.Pole == ByTabs && t.Tab.Loop == nil:
		lacks("diameter", (*Rod).Through)
	case data.Holds == OnCarriers:
		lacks("carrier_pitch", func(r *Rod) measure.Length { return r.CarrierPitch })
	}
}

// readRodName returns the id of the rod named, or of the only one there is.
func readRodName(v *value, o *Order) string {
	if v == nil {
		if len(o.Rods) == 1 {
			return o.Rods[0].ID
		}
		return ""
	}
	id, ok := v.name()
	if ok && o.Rod(id) == nil {
		ids := make([]string, len(o.Rods))
		for i, r := range o.Rods {
			ids[i] = r.ID
		}
		v.unknown(ids)
	}
	return id
}

// MostPoints of a panel: more is a slip in a width or a pitch.
const MostPoints = 9_999

func readPoints(v *value, data *HeadingData) (p Points) {
	m := v.mapping()
	if m == nil {
		return p
	}
	count := m.maybe("count")
	if n, ok := count.count(2, MostPoints); ok {
		p.Count = &n
		if data != nil && data.Holds == OnPoints && data.Parity == EvenCount && n%2 == 1 {
			count.wrong("bad_value", "odd_points", "Heading", data.Called())
		}
	}
	p.End = m.maybe("end").maybeLength(limits{})
	if pitch := m.maybe("pitch").mapping(); pitch != nil {
		bounds := limits{positive: true, most: widestSpace}
		p.Min, p.Max, p.PreferredPitch = pitch.maybe("min").maybeLength(bounds), pitch.maybe("max").maybeLength(bounds), pitch.maybe("preferred").maybeLength(bounds)
		pitch.close()
		if data != nil && data.Holds == OnPoints {
			p.agree(pitch, p.Over(data.Pitching))
		}
	}
	m.close()
	return p
}

// agree reports a pitch whose least is over its most, or whose preferred one isn't between them.
func (p Points) agree(m *mapping, all Pitching) {
	switch {
	case all.Pitch.Min > all.Pitch.Max:
		m.wrong("bad_value", "pitch_range", "Min", all.Pitch.Min, "Max", all.Pitch.Max)
	case all.PreferredPitch < all.Pitch.Min || all.PreferredPitch > all.Pitch.Max:
		m.wrong("bad_value", "preferred_pitch", "Preferred", all.PreferredPitch, "Min", all.Pitch.Min, "Max", all.Pitch.Max)
	}
}

func readEyelet(m *mapping, d hardwareDefault) EyeletSize {
	e := d.eyelet
	if m == nil {
		e.Drop += e.Inner.Div(2)
		return e
	}
	outer := m.maybe("outer")
	e.Inner = m.maybe("inner").lengthOr(e.Inner, limits{positive: true, most: deepestHem})
	e.Outer = outer.lengthOr(max(e.Outer, e.Inner+d.eyelet.Outer-d.eyelet.Inner), limits{positive: true, most: deepestHem})
	if e.Outer <= e.Inner {
		outer.wrong("bad_value", "eyelet_outer", "Inner", e.Inner)
	}
	e.Drop = m.maybe("drop").lengthOr(e.Inner.Div(2)+d.eyelet.Drop, limits{positive: true, most: deepestHem})
	m.close()
	return e
}

func readTab(m *mapping, d hardwareDefault) TabSize {
	t := d.tab
	if m == nil {
		return t
	}
	t.Width = m.maybe("width").lengthOr(t.Width, limits{positive: true, most: deepestHem})
	t.Gap = m.maybe("gap").lengthOr(t.Gap, limits{most: deepestHem})
	t.Loop = m.maybe("loop").maybeLength(limits{positive: true, most: mostAllowance})
	t.Facing = m.maybe("facing").lengthOr(t.Facing, limits{positive: true, most: deepestHem})
	m.close()
	return t
}

func readPocket(m *mapping, d hardwareDefault) PocketSize {
	p := PocketSize{Turn: d.turn}
	if m == nil {
		return p
	}
	p.Depth = m.maybe("depth").maybeLength(limits{positive: true, most: deepestHem})
	p.Stand = m.maybe("stand").lengthOr(0, limits{most: deepestHem})
	p.Turn = m.maybe("turn").lengthOr(p.Turn, limits{most: deepestHem})
	m.close()
	return p
}

// Under returns a treatment of the order under another heading, without what was set for its own. It is false where the order has no one
// tape or no rod for that heading, or where one of the two hangs from a pole and the other doesn't.
func (o *Order) Under(t Treatment, h Heading) (Treatment, bool) {
	own, other := o.Heading(t.Heading), o.Heading(h)
	if own == nil || other == nil || (own.Pole == "") != (other.Pole == "") {
		return t, false
	}
	t.Heading, t.Pleats, t.Widths, t.Fullness, t.LeadFlat, t.Tape, t.Inserts, t.Points = h, nil, nil, nil, nil, "", other.UsualFilling(), Points{}
	d := hardwareDefaults(o.Units)
	t.Eyelet, t.Tab, t.Pocket = EyeletSize{}, TabSize{}, PocketSize{}
	switch other.Pole {
	case InEyelets:
		t.Eyelet = readEyelet(nil, d)
	case ByTabs:
		t.Tab = d.tab
	case InPocket:
		t.Pocket = PocketSize{Turn: d.turn}
	}
	if other.Tape != "" {
		if len(o.Tapes) != 1 || o.Tapes[0].Kind != other.Tape {
			return t, false
		}
		t.Tape = o.Tapes[0].ID
	}
	rod := o.Rod(t.Rod)
	switch {
	case other.Pole == ByTabs:
		return t, rod != nil && rod.Through() > 0
	case other.Pole == InPocket:
		return t, rod != nil && rod.Around() > 0
	case other.Holds == OnCarriers:
		return t, rod != nil && rod.CarrierPitch > 0
	}
	return t, true
}

// AboveBearing is how far above its bearing, the rod's top, the heading puts the panel's top edge, below 0 under it; false where the
// heading doesn't settle that, or the order doesn't say what it takes.
func (o *Order) AboveBearing(t *Treatment) (measure.Length, bool) {
	rod := o.Rod(t.Rod)
	if rod == nil {
		rod = &Rod{}
	}
	data := o.Heading(t.Heading)
	if data == nil {
		return 0, false
	}
	switch data.Pole {
	case InPocket:
		return t.Pocket.Stand, true
	case InEyelets:
		return t.Eyelet.Drop - t.Eyelet.Inner.Div(2), true
	case ByTabs:
		return -(rod.Through() + t.Tab.Gap), rod.Through() > 0
	case OnRings:
		return -rod.RingDrop, rod.RingDrop > 0
	}
	return 0, false
}
