package shelf

import (
	"slices"

	"tablehand/engine/measure"
)

// inspect takes what was measured and found while a bolt was unrolled. Of one that nothing came off since it is the inspection,
// in place of an earlier one; later it adds.
func (d *deciding) inspect() *Refusal {
	b, m := d.b, &Measured{Anew: len(d.b.Off) == 0}
	d.e.Measured = m
	end := b.End()
	if !blank(d.Length) {
		l, r := lengthOf("length", d.Length, b.Units)
		switch {
		case r != nil:
			return r
		case l == 0:
			return badValue("length", d.Length)
		}
		end = b.Begin + l
		d.e.First = m.Anew
		d.measured(l)
	}
	for _, text := range d.Widths {
		w, r := widthOf("widths", text, b.Units)
		if r != nil {
			return r
		}
		m.Widths = append(m.Widths, b.quantity(w))
	}
	if r := d.repeat(m); r != nil {
		return r
	}
	for i := range d.Flaws {
		f, r := d.told(&d.Flaws[i], 0, AtInspection, end)
		if r != nil {
			return r
		}
		d.e.Flaws = append(d.e.Flaws, f)
	}
	d.judge()
	return nil
}

// measured notes what is on the bolt now, and what of it nobody can explain.
func (d *deciding) measured(rest measure.Length) {
	d.e.Rest = d.b.quantity(rest)
	if !d.e.First {
		d.e.Unexplained = d.b.quantity(d.b.Rest - rest)
	}
}

// repeat reads the repeats that were measured together.
func (d *deciding) repeat(m *Measured) *Refusal {
	first, r := maybeLength("first_repeat", d.Command.First, d.b.Units)
	if r != nil {
		return r
	}
	if !blank(d.Command.First) {
		m.First = d.b.quantity(first)
	}
	if d.Repeats == 0 && blank(d.Over) {
		return nil
	}
	over, r := lengthOf("repeat.length", d.Over, d.b.Units)
	switch {
	case r != nil:
		return r
	case d.Repeats < 1 || d.Repeats > 100:
		return badValue("repeat.over", measure.Count(d.Repeats))
	case over == 0:
		return badValue("repeat.length", d.Over)
	}
	m.Repeats, m.Over = d.Repeats, d.b.quantity(over)
	return nil
}

// told reads a flaw, its marks measured from one; it lies on what there is of the bolt.
func (d *deciding) told(t *FlawTold, from measure.Length, found Found, end measure.Length) (f Flaw, _ *Refusal) {
	start, r := lengthOf("from", t.From, d.b.Units)
	if r != nil {
		return f, r
	}
	stop := start
	if !blank(t.To) {
		if stop, r = lengthOf("to", t.To, d.b.Units); r != nil {
			return f, r
		}
	}
	switch {
	case stop < start:
		return f, badValue("to", t.To)
	case t.Points < 0 || t.Points > mostPoints:
		return f, badValue("points", measure.Count(t.Points))
	case t.Kind != "" && !slices.Contains(FlawKinds, t.Kind):
		return f, badValue("kind", string(t.Kind))
	case from+stop > end:
		return f, d.b.refuse("off_bolt", "to", "Length", d.b.quantity(end))
	case from+start < d.b.Begin:
		return f, d.b.refuse("off_bolt", "from", "Gone", true, "Length", d.b.quantity(end))
	}
	f = Flaw{From: d.b.quantity(from + start), To: d.b.quantity(from + stop), Points: t.Points, Kind: t.Kind, Edge: t.Edge, Found: found, Person: d.around.Person}
	switch {
	case t.Edge:
		f.Points = 0
	case t.Points == 0:
		f.Points = PointsOf(t.Kind, stop-start, d.b.Units, d.Ways.Holes)
	}
	return f, nil
}

// judge holds a bolt that scores more than the shop accepts.
func (d *deciding) judge() {
	if d.Ways.Accept == 0 || d.b.Hold != "" {
		return
	}
	after := d.b.copy()
	after.inspected(d.e, d.around)
	limit := measure.Ratio{Num: int64(d.Ways.Accept), Den: 1}
	d.e.Held = after.Score().Per100.Cmp(limit) > 0
}
