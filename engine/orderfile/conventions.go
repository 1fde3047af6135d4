package orderfile

import (
	"slices"
	"strconv"

	"tablehand/engine/measure"
)

// Conventions are a shop's ways of working where sources disagree (words.go names them) or the trade has no standard. The
// names are those of the order file and of the shop's settings; what each is stands in its row.
type Conventions struct {
	OverlapBasis   OverlapBasis
	FullnessBasis  FullnessBasis
	WidthsRounding WidthsRounding
	PairSplit      PairSplit
	Surplus        Surplus
	RepeatRule     RepeatRule
	OrderRepeats   int
	HalfDrop       HalfDropRule
	MotifFrom      MotifFrom
	RoomPhase      RoomPhase
	LotGroup       LotGroup
	OrderStep      measure.Length
	OrderRounding  OrderRounding
	BoltLength     measure.Length // 0 unknown
	PleatCount     PleatCount
	PleatsPerWidth int
	PleatEnds      PleatEnds
	FullnessSlack  Percent
	SingleLead     measure.Length

	PoleEase        measure.Length // added to the width of each panel on a pole
	PocketEase      measure.Length
	PocketRule      PocketRule
	EyeletClearance measure.Length

	Seam            measure.Length // each side of a join
	SideHem         measure.Length // depth of the double turn
	BottomHem       measure.Length // depth of the double turn
	HeadingFold     measure.Length // depth of the double turn
	Squaring        measure.Length
	Shrink          Percent
	LengthAllowance *measure.Length // nil: absent
	WidthAllowance  measure.Length

	LiningRule      LiningRule
	LiningPuddle    LiningPuddle
	LiningLift      measure.Length
	LiningHem       measure.Length // depth of the double turn
	LiningTop       measure.Length
	LiningTrim      measure.Length
	LiningAllowance measure.Length
	LiningInset     measure.Length // each side

	StackRule   StackRule
	Weights     Weights
	HookSpacing measure.Length
	HookInset   measure.Length
	BandTurn    measure.Length // turned under at either edge of a band sewn on top
	ConeLength  measure.Length // 0 where not known

	Step          measure.Length
	EasePerPleat  measure.Length
	EdgeClear     measure.Length
	SeamThickness measure.Length
	StitchDensity measure.Ratio    // stitches an inch whatever the order's unit
	Headings      []HeadingFigures // beside the headings' rows
	Own           []OwnHeading     // what it has made beside the shipped ones, by key
	Tolerances    Tolerances
	Shelf         ShelfWays // of the shop alone: no order file has them
}

// ShelfWays are the shop's ways with the cloth on its shelf.
type ShelfWays struct {
	MinRemnant   measure.Length // the least that is worth keeping of what comes off a bolt
	MinHalf      measure.Length // the least width that is worth keeping of what a cut leaves beside it
	EndAllowance measure.Length // left uncut at each end of a bolt
	Kerf         measure.Length // lost between two cuts that lie one behind the other
	Holes        HolePoints
	Accept       int             // points per 100 yd² over which a bolt is held, 0 for no limit
	CutAround    int             // points from which a flaw is cut around,
	FlawClear    measure.Length  // and how far from it, on both sides
	CountPercent Percent         // by how much a counted length may differ
	RestPercent  Percent         // by how much a rest may differ from what is reckoned,
	RestLength   measure.Length  // and by how much besides
	LeastHem     *measure.Length // depth of the double turn that does for a bottom hem where cloth is short; nil: none but the order's
}

// Percent is a share in ten-thousandths: 300 is 3 %.
type Percent int

// Tolerance is how far a measured value may lie under and over its target.
type Tolerance struct{ Minus, Plus measure.Length }

// Tolerances has the tolerance of each entry by the entry's name ("flat_width"), or by station and name where one
// name is entered at two stations with different tolerances ("pull_up.finished_width").
type Tolerances map[string]Tolerance

// Convention is the row of a convention: what may be said of it, what is shipped, and where that comes from.
type Convention struct {
	Key     string
	Heading Heading // of a row of HeadingConventions, as Field; "" of others
	Field   string
	Group   Group
	Note    string // in server/interface.md and order.schema.json, behind the words that it may be
	kind
	before  func(*Conventions) // sets what it was before there was the convention; nil: of the first release, and as shipped ever since
	Sources Sources
	Bought  bool // a length of cloth or thread that is bought: shown in yards or metres
	Fine    bool // a length under the marks of a rule: shown in decimals
	NoneAt0 bool // a length of 0 is none
	Rules   bool // decides how much cloth is ordered: what each of its words would order can be asked
}

// Group is what of the work a convention is about: a page has those of a group together (catalogue: convention.group.<group>).
type Group string

const (
	InWidths   Group = "widths"
	InHeading  Group = "heading"
	InHeadings Group = "headings" // each heading's own
	InHems     Group = "hems"
	InCloth    Group = "cloth"
	InLining   Group = "lining"
	InFittings Group = "fittings"
	InMarks    Group = "marks" // rounding, and what thread is reckoned by
	InShelf    Group = "shelf" // cloth on the shop's shelf
)

// ConventionGroups lists the groups of AllConventions and of the shelf's in the order in which a person reads them.
func ConventionGroups() []Group {
	return []Group{InWidths, InHeading, InHems, InCloth, InLining, InFittings, InMarks, InShelf}
}

// Source is where a shipped figure comes from: the end of a key of the catalogue.
type Source string

const (
	CommonPractice Source = "practice" // sources disagree, or the trade has no standard
	FromMemory     Source = "memory"   // metric practice
	UFGS           Source = "ufgs"     // UFGS 12 22 00, the finished panel's tolerance
	Lockseam       Source = "lockseam" // textilecalculations.com, sewing-thread problem 2 (T03): the thread of a lockstitch
)

// Sources is where the figures for orders in inches, and for metric ones, come from.
type Sources struct{ Inch, Metric Source }

// In returns the source of the figure for orders in that unit.
func (s Sources) In(units measure.Unit) Source {
	if units.Metric() {
		return s.Metric
	}
	return s.Inch
}

// AllConventions lists the rows but for the tolerances', the shelf's and those of HeadingConventions, in the order in which a person reads them.
func AllConventions() []Convention { return slices.Clone(conventions) }

// Choices lists the rows of the conventions that take one of several words.
func Choices() []Convention {
	return slices.DeleteFunc(AllConventions(), func(r Convention) bool { return r.Words() == nil })
}

// Words lists the words that the convention may be, the default first; nil of one that is no word.
func (r Convention) Words() []string {
	if w, ok := r.kind.(chooser); ok {
		return w.words()
	}
	return nil
}

// Text writes the value in force as an order file takes it, a length in that unit; "" for none, and of a heading that the conventions
// don't have.
func (r Convention) Text(c *Conventions, units measure.Unit) string {
	if r.Heading != "" && c.figures(r.Heading) == nil {
		return ""
	}
	return r.text(c, units)
}

// Shown writes the value in force as a person reads it, what is bought in yards or metres; "" for none.
func (r Convention) Shown(c *Conventions, units measure.Unit) string {
	l, ok := r.kind.(length)
	switch {
	case ok && r.NoneAt0 && *l.of(c) == 0:
		return ""
	case ok && r.Fine:
		return l.of(c).Number(units, 3) + " " + string(units)
	case ok && r.Bought:
		units = units.Purchase()
	}
	return r.text(c, units)
}

// Limits says what a convention that is no word may be from and to, as an order file writes it, lengths in that unit. Open says
// that the least isn't allowed itself: more than nothing.
func (r Convention) Limits(units measure.Unit) (least, most string, open bool) {
	lengths := func(l limits) (string, string, bool) {
		if l.most == 0 {
			l.most = longest
		}
		return l.least.In(units), l.most.In(units), l.positive && l.least == 0
	}
	switch k := r.kind.(type) {
	case length:
		return lengths(k.limits)
	case optionalLength:
		return lengths(k.limits)
	case count:
		return strconv.Itoa(k.least), strconv.Itoa(k.most), false
	case optionalCount:
		return strconv.Itoa(k.least), strconv.Itoa(k.most), false
	case fullness:
		return "1", strconv.Itoa(MostFullness), !k.from1
	case share:
		return Percent(0).String(), Percent(k.most * 100).String(), false
	case number:
		return "0", strconv.FormatInt(k.most, 10), true
	}
	return "", "", false
}

// Unit is the unit in which a person writes the convention, where orders are in units: yards or metres of what is bought; "" of one that
// is no length.
func (r Convention) Unit(units measure.Unit) measure.Unit {
	switch r.kind.(type) {
	case length, optionalLength:
		if r.Bought {
			return units.Purchase()
		}
		return units
	}
	return ""
}

// Optional reports whether the convention may be left without a value: it takes the place of others, or none is shipped.
func (r Convention) Optional() bool {
	switch k := r.kind.(type) {
	case optionalLength:
		return k.inch == nil
	case optionalCount:
		return true
	case fullness:
		return k.shipped.Num == 0
	}
	return false
}

// Makes reports whether the row makes an own heading: it says what that is like, or what it is called.
func (r Convention) Makes() bool {
	_, makes := r.kind.(ownText)
	return makes
}

// WordKind is what the catalogue has the convention's words under: of what an own heading is like, the names of headings.
func (r Convention) WordKind() string {
	if r.Makes() {
		return "heading"
	}
	return "convention." + r.Name()
}

// Name is the end of the catalogue's key of what the convention is called, under "convention". That of a heading's own doesn't say of
// which heading it is.
func (r Convention) Name() string {
	if r.Heading != "" {
		return headingsKey + "." + r.Field
	}
	return r.Key
}

// Under returns the conventions with this one, which takes words, changed to another of them.
func (r Convention) Under(c Conventions, value string) Conventions {
	r.kind.(chooser).choose(&c, value)
	return c
}

// DefaultConventions returns the conventions of a shop that has set none, for orders in that unit.
func DefaultConventions(units measure.Unit) Conventions {
	c := Conventions{Headings: make([]HeadingFigures, len(done)), Tolerances: make(Tolerances, len(tolerances))}
	for _, rows := range [][]Convention{conventions, shelfRows, headingRows} {
		for i := range rows {
			rows[i].ship(&c, units)
		}
	}
	for _, t := range tolerances {
		c.Tolerances[t.Key] = t.shipped(units)
	}
	return c
}

// FirstReleaseConventions returns the conventions of a shop that had set none in the first release: what an order
// was worked up with whose record carries no conventions of its own.
func FirstReleaseConventions(units measure.Unit) Conventions {
	c := DefaultConventions(units)
	for i := range conventions {
		if before := conventions[i].before; before != nil {
			before(&c)
		}
	}
	return c
}
