package shelf

import (
	"slices"
	"time"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
)

// Count is a look at what is on the shelf: label after label is scanned, measured where wanted, and at its end the office settles what
// isn't as the shelf has it. Cutting goes on meanwhile. Read only.
type Count struct {
	ID    string
	Place string // "" for the whole shelf
	Begun time.Time
	Ended time.Time // zero while it goes on
	Seen  []Seen    // in their order; a bolt that is scanned twice counts as it was last
	Lines []Line    // what isn't as it should be, from its end on
}

// Seen is a bolt that was scanned.
type Seen struct {
	Bolt     plan.Code
	Place    string           // where it lay, "" where nobody said
	Measured measure.Quantity // Nothing where nobody measured
	Reckoned measure.Quantity // what there was of it by the shelf, then
	At       time.Time
}

// Line is a bolt that isn't as the shelf has it.
type Line struct {
	Bolt     plan.Code        `json:"bolt"`
	What     Differs          `json:"what"`
	Place    string           `json:"place,omitempty"` // where it was seen; of one unseen: where it should lie
	Reckoned measure.Quantity `json:"reckoned,omitzero"`
	Measured measure.Quantity `json:"measured,omitzero"`
	At       time.Time        `json:"at,omitzero"` // when it was scanned
	Settled  Settlement       `json:"settled,omitempty"`
}

// Since reports whether something has happened to the line's bolt since it was scanned.
func (l *Line) Since(b *Bolt) bool { return !l.At.IsZero() && b.Seen.After(l.At) }

// Differs says what a count found.
type Differs string

const (
	Unseen    Differs = "unseen"
	Elsewhere Differs = "elsewhere"
	Otherwise Differs = "differs" // in length
)

// Settlement is what the office makes of a line.
type Settlement string

const (
	AsMoved    Settlement = "moved"    // it lies where it was seen
	AsMeasured Settlement = "measured" // it is as long as was measured
	AsMissing  Settlement = "missing"
	AsFound    Settlement = "found" // it is as the shelf has it
)

var settlements = map[Differs]Settlement{Unseen: AsMissing, Elsewhere: AsMoved, Otherwise: AsMeasured}

// Settles is what the office makes of such a line where it isn't found to be as the shelf has it.
func (w Differs) Settles() Settlement { return settlements[w] }

func (c *Count) copy() *Count {
	own := *c
	own.Seen, own.Lines = slices.Clone(c.Seen), slices.Clone(c.Lines)
	return &own
}

// Open reports whether the count goes on.
func (c *Count) Open() bool { return c.Ended.IsZero() }

// Unsettled is how many of its lines the office hasn't settled.
func (c *Count) Unsettled() int {
	n := 0
	for i := range c.Lines {
		if c.Lines[i].Settled == "" {
			n++
		}
	}
	return n
}

func (d *deciding) beginCount() *Refusal {
	switch {
	case d.open != "":
		return refuse("count_open", "", "Count", d.open)
	case d.Count == "" || d.count(d.Count) != nil:
		return refuse("busy", "")
	}
	d.e.Count, d.e.Place = d.Count, d.Place
	return short(mostWord, "place", d.Place)
}

// countBolt notes that a bolt was seen.
func (d *deciding) countBolt() *Refusal {
	if d.open == "" {
		return refuse("no_count", "")
	}
	d.e.Count, d.e.Place = d.open, d.Place
	if !blank(d.Length) {
		l, r := lengthOf("length", d.Length, d.b.Units)
		if r != nil {
			return r
		}
		d.e.Rest = d.b.quantity(l)
	}
	return short(mostWord, "place", d.Place)
}

// endCount lists what isn't as it should be.
func (d *deciding) endCount() *Refusal {
	c := d.count(d.Count)
	if c == nil || !c.Open() {
		return refuse("no_count", "count")
	}
	d.e.Count = c.ID
	for i := range c.Seen {
		s := &c.Seen[i]
		d.e.Lines = append(d.e.Lines, s.Lines(d.Overlay.Bolt(s.Bolt), d.Ways.CountPercent)...)
	}
	for _, b := range c.Misses(d.Overlay.Bolts()) {
		d.e.Lines = append(d.e.Lines, Line{Bolt: b.Code, What: Unseen, Place: b.Place, Reckoned: b.quantity(b.Rest)})
	}
	return nil
}

// Misses are those of some bolts that should lie where is counted and that nobody has scanned, or had in hand, since it was begun.
func (c *Count) Misses(bolts []*Bolt) (list []*Bolt) {
	seen := map[plan.Code]bool{}
	for i := range c.Seen {
		seen[c.Seen[i].Bolt] = true
	}
	for _, b := range bolts {
		handled := b.Seen.After(c.Begun)
		if !seen[b.Code] && !handled && (b.Lies == Received || b.Lies == OnShelf) && (c.Place == "" || b.Place == c.Place) {
			list = append(list, b)
		}
	}
	return list
}

// Lines are what differs of a bolt that was seen: its place, unless it lies on a table or was put elsewhere since; its length, by more than a
// share.
func (s *Seen) Lines(b *Bolt, percent orderfile.Percent) (list []Line) {
	line := Line{Bolt: s.Bolt, Place: s.Place, Reckoned: s.Reckoned, Measured: s.Measured, At: s.At}
	if (b.Lies == Received || b.Lies == OnShelf) && s.Place != "" && s.Place != b.Place && !b.Seen.After(s.At) {
		line.What = Elsewhere
		list = append(list, line)
	}
	reckoned := s.Reckoned.Length()
	if off := (s.Measured.Length() - reckoned).Abs(); !s.Measured.IsZero() && off > percent.Of(reckoned) {
		line.What = Otherwise
		list = append(list, line)
	}
	return list
}

// settle takes a line as what the office makes of it.
func (d *deciding) settle() *Refusal {
	c := d.count(d.Count)
	if c == nil || c.Open() {
		return refuse("no_count", "count")
	}
	i := slices.IndexFunc(c.Lines, func(l Line) bool {
		return l.Bolt == d.Command.Bolt && l.Settled == "" && (d.As == AsFound || d.As == settlements[l.What])
	})
	if i < 0 {
		return badValue("as", string(d.As))
	}
	b, l := d.Overlay.Bolt(d.Command.Bolt), &c.Lines[i]
	d.b = b
	d.e.Bolt, d.e.Count, d.e.As, d.e.Lines = b.Code, c.ID, d.As, []Line{*l}
	switch {
	case d.As == AsFound:
		return nil
	case !b.OnHand():
		return b.refuse(map[State]string{UsedUp: "used_up", GoneBack: "gone_back", Missing: "bolt_missing"}[b.Lies], "bolt")
	case b.Lies == OnTable && d.As != AsMeasured:
		return b.refuse("on_table", "bolt")
	case d.As == AsMoved:
		d.e.Place = l.Place
	case d.As == AsMeasured && !b.measuredAt.After(l.At): // else it was measured anew since
		off := l.Reckoned.Length() - l.Measured.Length()
		if off > b.Rest {
			return badValue("as", string(d.As))
		}
		d.measured(b.Rest - off)
	}
	return nil
}
