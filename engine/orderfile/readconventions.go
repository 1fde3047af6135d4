package orderfile

import (
	"maps"
	"slices"

	"tablehand/engine/measure"
)

// What a convention can sensibly be (from memory). Over it a unit has slipped: 25 in an order in centimetres.
const (
	widestSeam    = 2 * measure.Inch // two of them must leave a half width of the narrowest cloth
	deepestHem    = 12 * measure.Inch
	highestLift   = 12 * measure.Inch
	mostTrim      = 6 * measure.Inch
	mostAllowance = 40 * measure.Inch
	mostShrink    = 50 // percent
	mostSlack     = 20 // percent: more is another fullness, not the slack of one
)

// The conventions that are no words, by kind, in the order of their table in interface.md.
var (
	lengthsOfConventions = []struct {
		name string
		of   func(*Conventions) *measure.Length
		limits
	}{
		{"seam", func(c *Conventions) *measure.Length { return &c.Seam }, limits{most: widestSeam}},
		{"side_hem", func(c *Conventions) *measure.Length { return &c.SideHem }, limits{most: deepestHem}},
		{"bottom_hem", func(c *Conventions) *measure.Length { return &c.BottomHem }, limits{most: deepestHem}},
		{"heading_fold", func(c *Conventions) *measure.Length { return &c.HeadingFold }, limits{most: deepestHem}},
		{"squaring", func(c *Conventions) *measure.Length { return &c.Squaring }, limits{most: deepestHem}},
		{"width_allowance", func(c *Conventions) *measure.Length { return &c.WidthAllowance }, limits{most: mostAllowance}},
		{"lining_lift", func(c *Conventions) *measure.Length { return &c.LiningLift }, limits{most: highestLift}},
		{"lining_hem", func(c *Conventions) *measure.Length { return &c.LiningHem }, limits{most: deepestHem}},
		{"lining_top", func(c *Conventions) *measure.Length { return &c.LiningTop }, limits{most: deepestHem}},
		{"lining_trim", func(c *Conventions) *measure.Length { return &c.LiningTrim }, limits{most: mostTrim}},
		{"lining_allowance", func(c *Conventions) *measure.Length { return &c.LiningAllowance }, limits{most: mostAllowance}},
		{"lining_inset", func(c *Conventions) *measure.Length { return &c.LiningInset }, limits{most: mostTrim}},
		{"hook_spacing", func(c *Conventions) *measure.Length { return &c.HookSpacing }, limits{positive: true, most: deepestHem}},
		{"hook_inset", func(c *Conventions) *measure.Length { return &c.HookInset }, limits{most: mostTrim}},
		{"cone_length", func(c *Conventions) *measure.Length { return &c.ConeLength }, limits{most: mostCone}},
		{"step", func(c *Conventions) *measure.Length { return &c.Step }, limits{positive: true, least: measure.Millimetre / 10, most: deepestHem}}, // no rule has finer marks
		{"order_step", func(c *Conventions) *measure.Length { return &c.OrderStep }, limits{positive: true}},
		{"bolt_length", func(c *Conventions) *measure.Length { return &c.BoltLength }, onBolt},
		{"ease_per_pleat", func(c *Conventions) *measure.Length { return &c.EasePerPleat }, limits{most: widestSeam}},
		{"edge_clear", func(c *Conventions) *measure.Length { return &c.EdgeClear }, limits{most: mostAllowance}},
		{"single_lead", func(c *Conventions) *measure.Length { return &c.SingleLead }, limits{most: deepestHem}},
		{"seam_thickness", func(c *Conventions) *measure.Length { return &c.SeamThickness }, limits{most: 100 * measure.Millimetre}},
	}
	countsOfConventions = []struct {
		name        string
		of          func(*Conventions) *int
		least, most int
	}{
		{"order_repeats", func(c *Conventions) *int { return &c.OrderRepeats }, 0, 99},
		{"pleats_per_width", func(c *Conventions) *int { return &c.PleatsPerWidth }, 1, 99},
	}
	sharesOfConventions = []struct {
		name string
		of   func(*Conventions) *Percent
		most int64
	}{
		{"shrink", func(c *Conventions) *Percent { return &c.Shrink }, mostShrink},
		{"fullness_slack", func(c *Conventions) *Percent { return &c.FullnessSlack }, mostSlack},
	}
)

// mostCone is more thread than any cone holds.
const mostCone = 50_000 * measure.Yard

// readConventions returns the conventions with what the file overrides.
func readConventions(m *mapping, c Conventions) Conventions {
	c.Tolerances = maps.Clone(c.Tolerances)
	if m == nil {
		return c
	}
	for _, w := range choices {
		*w.of(&c) = choiceOr(m.maybe(w.Name), *w.of(&c), w.Values...)
	}
	for _, l := range lengthsOfConventions {
		*l.of(&c) = m.maybe(l.name).lengthOr(*l.of(&c), l.limits)
	}
	for _, n := range countsOfConventions {
		*n.of(&c) = m.maybe(n.name).countOr(*n.of(&c), n.least, n.most)
	}
	for _, s := range sharesOfConventions {
		*s.of(&c) = m.maybe(s.name).percent(*s.of(&c), s.most)
	}
	if all := m.maybe("length_allowance").maybeLength(limits{most: mostAllowance}); all != nil {
		c.LengthAllowance = all
	}
	c.StitchDensity = readDensity(m.maybe("stitch_density"), c.StitchDensity)
	readTolerances(m.maybe("tolerances").mapping(), c.Tolerances)
	m.close()
	return c
}

// readDensity reads stitches an inch.
func readDensity(v *value, otherwise measure.Ratio) measure.Ratio {
	text, ok := v.scalar()
	if !ok {
		return otherwise
	}
	n, ok := v.decimal(text, 60)
	if !ok {
		return otherwise
	}
	if n.Sign() == 0 {
		v.wrong("bad_value", "zero")
		return otherwise
	}
	return measure.Ratio{Num: n.Num().Int64(), Den: n.Denom().Int64()}
}

// readTolerances reads a length for both sides, or minus and plus, of which one left out keeps its default.
func readTolerances(m *mapping, t Tolerances) {
	if m == nil {
		return
	}
	for _, name := range slices.Sorted(maps.Keys(t)) {
		v := m.maybe(name)
		if v == nil {
			continue
		}
		if _, ok := scalar(v.node); ok {
			if both, ok := v.length(limits{}); ok {
				t[name] = Tolerance{both, both}
			}
		} else if sides := v.mapping(); sides != nil {
			t[name] = Tolerance{sides.maybe("minus").lengthOr(t[name].Minus, limits{}), sides.maybe("plus").lengthOr(t[name].Plus, limits{})}
			sides.close()
		}
	}
	m.close()
}
