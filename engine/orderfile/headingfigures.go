package orderfile

import (
	"cmp"
	"reflect"
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
)

// HeadingFigures are what a shop may set of one heading that no tape sets: Spacing of pleats set by hand, Pitching of points.
type HeadingFigures struct {
	Fullness    measure.Ratio // over 1, of one that may hang flat 1 at the least
	FullnessMin measure.Ratio // usual, as FullnessMax; 0 none
	FullnessMax measure.Ratio
	Spacing
	Pitching
	PleatsPerWidth int             // of 54 in, of headings that are counted by the width; 0: as the shop has it for all
	HeadingFold    *measure.Length // depth of a turn; nil: as the shop has it for all
}

// Heading returns the heading's row with the figures that the conventions have for it, for an order in that unit; nil where this
// version doesn't work the heading out and it is no own heading of theirs. What isn't as shipped has the shop for its source.
func (c *Conventions) Heading(h Heading, units measure.Unit) *HeadingData {
	made, named := h, OwnHeading{}
	if own := c.own(h); own != nil {
		made, named = own.Like, *own
	}
	shipped := made.Data()
	if shipped == nil {
		return nil
	}
	shipped = shipped.In(units)
	d := *shipped
	d.Heading, d.Like, d.Name, d.PleatsPerWidth = h, named.Like, named.Name, c.PleatsPerWidth
	if c.Headings == nil || d.Family == SetByTape {
		return &d
	}
	own := c.figures(h)
	d.Fullness, d.FullnessMin, d.FullnessMax = own.Fullness, own.FullnessMin, own.FullnessMax
	d.Spacing, d.Pitching = own.Spacing, own.Pitching
	d.PleatsPerWidth, d.HeadingFold = cmp.Or(own.PleatsPerWidth, c.PleatsPerWidth), own.HeadingFold
	s := &d.Sources
	if d.Fullness != shipped.Fullness {
		s.Fullness = FromShop
	}
	if d.Space != shipped.Space || d.PreferredSpace != shipped.PreferredSpace {
		s.Space = FromShop
	}
	if d.TakeUp != shipped.TakeUp {
		s.TakeUp = FromShop
	}
	if d.Spacing != shipped.Spacing || d.Pitching != shipped.Pitching || own.PleatsPerWidth != 0 {
		s.Count = FromShop
	}
	if d.Pitching != shipped.Pitching {
		s.Pitch = FromShop
	}
	return &d
}

// Heading returns the row that a window of the order with that heading goes by, nil where there is none.
func (o *Order) Heading(h Heading) *HeadingData { return o.Conventions.Heading(h, o.Units) }

// HeadingOf returns the heading's row as a treatment of the order goes by it, a sheer's where its face is one; nil where this version
// doesn't work the heading out.
func (o *Order) HeadingOf(t *Treatment) *HeadingData {
	d, face := o.Heading(t.Heading), o.Fabric(t.Face)
	if d != nil && face != nil && face.Sheer {
		return d.OfSheer()
	}
	return d
}

// HeadingConventions lists the rows of what a shop sets for one heading: each figure of each heading that no tape sets, named
// headings.<heading>.<field>, in the order in which a person reads them.
func HeadingConventions() []Convention { return slices.Clone(headingRows) }

// ShopConventions lists all rows that a shop sets: AllConventions, those of its shelf, then HeadingConventions.
func ShopConventions() []Convention { return slices.Concat(conventions, shelfRows, headingRows) }

// headingRows are made from the headings' rows.
var headingRows = func() (rows []Convention) {
	for i := range done {
		if done[i].Family != SetByTape {
			rows = append(rows, figuresOf(&done[i], done[i].Heading, func(c *Conventions) *HeadingFigures { return &c.Headings[i] })...)
		}
	}
	return rows
}()

// widestSpace is more than between any two pleats or points, and than any pleat takes up (from memory).
const widestSpace = 40 * measure.Inch

// figuresOf are the rows of a heading that is made as a shipped one.
func figuresOf(d *HeadingData, h Heading, figures func(*Conventions) *HeadingFigures) (rows []Convention) {
	metric := d.In(measure.MM)
	add := func(field string, sources Sources, k kind) {
		rows = append(rows, Convention{
			Key: headingsKey + "." + string(h) + "." + field, Heading: h, Field: field, Group: InHeadings, Sources: sources, kind: k,
		})
	}
	multiple := func(field, source string, shipped measure.Ratio, of func(*HeadingFigures) *measure.Ratio) {
		add(field, sourced(source, source), fullness{func(c *Conventions) *measure.Ratio { return of(figures(c)) }, shipped, d.Full1()})
	}
	inMetric := func(source string) string {
		if d.Metric != nil {
			return Remembered
		}
		return source
	}
	span := func(field, source string, of func(*Spacing) *measure.Length) {
		add(field, sourced(source, inMetric(source)), length{
			func(c *Conventions) *measure.Length { return of(&figures(c).Spacing) }, *of(&d.Spacing), *of(&metric.Spacing), limits{positive: true, most: widestSpace},
		})
	}
	along := func(field, source string, bounds limits, of func(*Pitching) *measure.Length) {
		add(field, sourced(source, inMetric(source)), length{
			func(c *Conventions) *measure.Length { return of(&figures(c).Pitching) }, *of(&d.Pitching), *of(&metric.Pitching), bounds,
		})
	}
	usual := string(UFGS)
	switch { // the standard speaks of pleats
	case d.Family == Continuous:
		usual = Remembered
	case d.FullnessMax.Num == 0:
		usual = FromPractice
	}
	if d.Fullness.Num > 0 {
		multiple("fullness", d.Sources.Fullness, d.Fullness, func(f *HeadingFigures) *measure.Ratio { return &f.Fullness })
	}
	multiple("fullness_min", usual, d.FullnessMin, func(f *HeadingFigures) *measure.Ratio { return &f.FullnessMin })
	multiple("fullness_max", usual, d.FullnessMax, func(f *HeadingFigures) *measure.Ratio { return &f.FullnessMax })
	if d.Family == SetByHand {
		spans(d, span)
	}
	if d.Holds == OnPoints {
		pitches(d, figures, along, add)
	}
	if d.PerWidth {
		add("pleats_per_width", practice, optionalCount{func(c *Conventions) *int { return &figures(c).PleatsPerWidth }, 1, 99})
	}
	if d.Top.Turns() > 0 {
		add("heading_fold", sourced(foldSource(d), foldSource(d)), optionalLength{
			of: func(c *Conventions) **measure.Length { return &figures(c).HeadingFold }, inch: d.HeadingFold, metric: metric.HeadingFold, limits: limits{most: deepestHem},
		})
	}
	return rows
}

// spans are the rows of a heading's spaces and take-ups.
func spans(d *HeadingData, span func(field, source string, of func(*Spacing) *measure.Length)) {
	span("space_min", d.Sources.Space, func(s *Spacing) *measure.Length { return &s.Space.Min })
	span("space_max", d.Sources.Space, func(s *Spacing) *measure.Length { return &s.Space.Max })
	span("preferred_space", FromPractice, func(s *Spacing) *measure.Length { return &s.PreferredSpace })
	span("take_up_min", d.Sources.TakeUp, func(s *Spacing) *measure.Length { return &s.TakeUp.Min })
	span("take_up_max", d.Sources.TakeUp, func(s *Spacing) *measure.Length { return &s.TakeUp.Max })
}

// pitches are the rows of a heading's points.
func pitches(
	d *HeadingData, figures func(*Conventions) *HeadingFigures,
	along func(field, source string, bounds limits, of func(*Pitching) *measure.Length), add func(field string, sources Sources, k kind),
) {
	open := limits{positive: true, most: widestSpace}
	along("pitch_min", d.Sources.Pitch, open, func(p *Pitching) *measure.Length { return &p.Pitch.Min })
	along("pitch_max", d.Sources.Pitch, open, func(p *Pitching) *measure.Length { return &p.Pitch.Max })
	along("preferred_pitch", d.Sources.Pitch, open, func(p *Pitching) *measure.Length { return &p.PreferredPitch })
	ends := []PointEnds{HalfPitch, FixedEnd, InsetEnd}
	if d.Ends == TabEnd {
		ends = append(ends, TabEnd)
	}
	add("ends", practice, oneOf(func(c *Conventions) *PointEnds { return &figures(c).Ends }, shippedFirst(d.Ends, ends)...))
	along("end", Remembered, limits{most: deepestHem}, func(p *Pitching) *measure.Length { return &p.End })
	along("inset", Remembered, limits{most: deepestHem}, func(p *Pitching) *measure.Length { return &p.Inset })
	add("parity", practice, oneOf(func(c *Conventions) *Parity { return &figures(c).Parity }, shippedFirst(d.Parity, []Parity{EvenCount, AnyCount})...))
}

// shippedFirst puts the word that is shipped before the others.
func shippedFirst[W comparable](shipped W, words []W) []W {
	return append([]W{shipped}, slices.DeleteFunc(words, func(w W) bool { return w == shipped })...)
}

// foldSource is where a heading's own fold comes from.
func foldSource(d *HeadingData) string {
	if d.HeadingFold != nil {
		return Remembered
	}
	return FromPractice
}

// sourced are the sources of a heading's figure, as the conventions' rows name them.
func sourced(inch, metric string) Sources {
	in := func(source string) Source {
		if source == FromPractice {
			return CommonPractice
		}
		return Source(source)
	}
	return Sources{in(inch), in(metric)}
}

// headingsKey is the key of an order file's conventions under which each heading has its own.
const headingsKey = "headings"

// readHeadings reads the figures of each heading that the file names. Where two don't go together, the heading's ranges stay as they were.
func readHeadings(m *mapping, c *Conventions) {
	if m == nil {
		return
	}
	for i := range done {
		key := string(done[i].Heading)
		if done[i].Family == SetByTape && !m.fields[key].says("like") {
			continue // the figures of one that a tape sets are the tape's
		}
		own := m.maybe(key).mapping()
		if own == nil {
			continue
		}
		if own.fields["like"] != nil {
			own.wrong("bad_value", "heading_shipped")
			continue
		}
		was := c.Headings[i]
		for _, r := range headingRows {
			if r.Heading == done[i].Heading {
				r.read(own.maybe(r.Field), c)
			}
		}
		own.closeAmong()
		c.Headings[i].agree(own, was)
	}
	readOwnHeadings(m, c)
	m.closeAmong()
}

// agree reports ranges whose least is over their most, and a preferred space outside of its own, where the file names one of them.
func (f *HeadingFigures) agree(m *mapping, was HeadingFigures) {
	lengths := func(least, most string, r, before *Range) bool {
		if r.Min <= r.Max {
			return true
		}
		m.disagree(offRange, []string{least, most}, "Min", r.Min, "Max", r.Max)
		*r = *before
		return false
	}
	preferred := func(of string, r, before *Range, l, lBefore *measure.Length) {
		switch {
		case !lengths(of+"_min", of+"_max", r, before):
			*l = *lBefore
		case *l < r.Min || *l > r.Max:
			m.disagree(offPreferred, []string{"preferred_" + of, of + "_min", of + "_max"}, "Preferred", *l, "Min", r.Min, "Max", r.Max)
			*r, *l = *before, *lBefore
		}
	}
	preferred("space", &f.Space, &was.Space, &f.PreferredSpace, &was.PreferredSpace)
	preferred("pitch", &f.Pitch, &was.Pitch, &f.PreferredPitch, &was.PreferredPitch)
	lengths("take_up_min", "take_up_max", &f.TakeUp, &was.TakeUp)
	if f.FullnessMax.Num > 0 && f.FullnessMin.Num > 0 && f.FullnessMin.Cmp(f.FullnessMax) > 0 {
		m.disagree(offRange, []string{"fullness_min", "fullness_max"}, "Min", f.FullnessMin, "Max", f.FullnessMax)
		f.FullnessMin, f.FullnessMax = was.FullnessMin, was.FullnessMax
	}
}

// the ends of the keys of the sentences for figures that don't go together.
const (
	offRange     = "heading_range"
	offPreferred = "preferred_space"
)

// Disagrees reports whether a problem is that figures of a heading don't go together, each of which can be read.
func Disagrees(p engine.Problem) bool {
	return p.Code == "bad_value" && (p.Key == sentence(p.Code, offRange) || p.Key == sentence(p.Code, offPreferred))
}

// disagree reports figures that don't go together at the first of the keys that the file has.
func (m *mapping) disagree(kind string, keys []string, args ...any) {
	for _, key := range keys {
		if v := m.maybe(key); v != nil {
			v.wrong("bad_value", kind, args...)
			return
		}
	}
}

// headingsDiffering are the figures of headings that aren't as in others: by heading, by field.
func (c *Conventions) headingsDiffering(from *Conventions, units measure.Unit) map[string]any {
	differing := map[string]any{}
	for _, r := range headingRows {
		value := r.text(c, units)
		if value == "" || value == r.text(from, units) {
			continue
		}
		own, _ := differing[string(r.Heading)].(map[string]any)
		if own == nil {
			own = map[string]any{}
			differing[string(r.Heading)] = own
		}
		own[r.Field] = value
	}
	for i := range c.Own {
		if own := c.Own[i].written(c, units); !reflect.DeepEqual(own, from.own(c.Own[i].Heading).written(from, units)) {
			differing[string(c.Own[i].Heading)] = own
		}
	}
	return differing
}
