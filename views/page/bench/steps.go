package bench

import (
	"slices"
	"strconv"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
)

// Move is one number of a step, with what to do about it and where on the cloth it is.
type Move struct {
	Name  string // as the ticket's value or entry has it
	Do    string // the catalogue's key of what to do, "" where there is nothing to say
	Value measure.Quantity
	Spot  views.Drawing
	Entry bool      // it is measured, not told
	Cut   *plan.Cut // it is one cut of a cutting ticket
}

// Moves returns the step's numbers in the order of the work, a cutting ticket's cuts, and after them what is measured.
func (o OpenTicket) Moves() []Move {
	if o.Step == nil {
		return nil
	}
	var moves []Move
	add := func(m Move, do string) {
		if i18n.Has(do) {
			m.Do = do
		}
		m.Spot = o.Spots[m.Name]
		moves = append(moves, m)
	}
	for _, v := range o.Step.Values {
		if !v.Value.IsZero() {
			add(Move{Name: v.Name, Value: v.Value}, o.does(v.Name))
		}
	}
	for i := range o.Cuts {
		add(Move{Name: "cut-" + strconv.Itoa(i+1), Value: o.Cuts[i].Length, Cut: &o.Cuts[i]}, "do.cut")
	}
	for _, r := range o.Entries() {
		add(Move{Name: r.Entry.Name, Value: r.Entry.Target, Entry: true}, "do.entry."+r.Entry.Name)
	}
	return moves
}

// does is the catalogue's key of what to do with a number: the heading's own where it has one. Where the pleats are marked one after
// another from the return edge, what lies between the marks is only there to check by; a ticket of an older release has no marks.
func (o OpenTicket) does(name string) string {
	key := "do." + string(o.Step.Station) + "." + name
	if own := key + "." + string(o.Makeup.As(orderfile.Heading(o.Makeup.Heading))); i18n.Has(own) {
		return own
	}
	marked := slices.ContainsFunc(o.Step.Values, func(v plan.Value) bool { return v.Name == pleatMarks })
	if marked && i18n.Has(key+".marked") {
		return key + ".marked"
	}
	return key
}

// pleatMarks are the starts and ends of pleats by turns.
const pleatMarks = "pleat_marks"

// PleatMark is where one pleat starts and ends, from the return edge.
type PleatMark struct{ Start, End measure.Quantity }

// Marks returns the pleats to mark, none where the number is another.
func (m Move) Marks() []PleatMark {
	if m.Name != pleatMarks {
		return nil
	}
	var marks []PleatMark
	for pair := range slices.Chunk(m.Value.Parts(), 2) {
		marks = append(marks, PleatMark{pair[0], pair[len(pair)-1]})
	}
	return marks
}

// Told counts the numbers that are told, not measured.
func (o OpenTicket) Told() int {
	n := 0
	for _, m := range o.Moves() {
		if !m.Entry {
			n++
		}
	}
	return n
}

// Long reports whether a value is too much to be set as large as a number: a list of seams, or words.
func (m Move) Long() bool {
	long := len(m.Value.String())
	return long > 14 || m.Name == "cord_end" || m.Name == "interlining" || m.Name == "fabric" && long > 8
}

// Bounds are what a keypad holds an entry against: what passes, and what is so far off that somebody mistyped. A script
// reads them as whole numbers, lengths in nanometres.
type Bounds struct {
	Target, Low, High string
	Least, Most       string // what is less or more can't have been measured, and is refused
}

// Bounds returns the entry's, empty where it is neither a length nor a count.
func (r EntryRow) Bounds() Bounds {
	e := r.Entry
	switch e.Kind {
	case plan.LengthEntry:
		if !e.Target.IsLength() {
			return Bounds{}
		}
		low, high := e.Between()
		least, most := e.Believable()
		nm := func(l measure.Length) string { return strconv.FormatInt(int64(l), 10) }
		return Bounds{nm(e.Target.Length()), nm(low), nm(high), nm(least), nm(most)}
	case plan.CountEntry:
		low, high := e.CountBetween()
		least, most := e.CountBelievable()
		return Bounds{e.Target.String(), strconv.Itoa(low), strconv.Itoa(high), strconv.Itoa(least), strconv.Itoa(most)}
	}
	return Bounds{}
}

// Metric reports whether the entry is typed as a decimal rather than as a fraction.
func (r EntryRow) Metric() bool { return r.Open.Metric() }

// Metric reports whether the open step measures in decimals.
func (o OpenTicket) Metric() bool { return measure.Unit(o.Step.Units).Metric() }

// Drawn reports whether a tolerance can be drawn as a scale: lengths only.
func (r EntryRow) Drawn() bool {
	return r.Entry.Kind == plan.LengthEntry && r.Bounds().Target != ""
}

// HoldReasons are what a panel can be held for by one press, as the command cards name them.
func HoldReasons() []string {
	var names []string
	for _, c := range stations.Cards() {
		if c.Action == stations.Hold {
			names = append(names, c.Reason)
		}
	}
	return names
}
