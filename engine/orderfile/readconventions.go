package orderfile

import (
	"maps"
	"slices"

	"tablehand/engine/measure"
)

// readConventions returns the default conventions with what the file overrides.
func readConventions(m *mapping, units measure.Unit) Conventions {
	c := DefaultConventions(units)
	if m == nil {
		return c
	}
	for _, w := range choices {
		*w.of(&c) = choiceOr(m.maybe(w.Name), *w.of(&c), w.Values...)
	}
	for _, l := range []struct {
		key string
		to  *measure.Length
		limits
	}{
		{"seam", &c.Seam, limits{most: 2 * measure.Inch}}, // two of them must leave a half width of the narrowest cloth
		{"side_hem", &c.SideHem, limits{}},
		{"bottom_hem", &c.BottomHem, limits{}},
		{"heading_fold", &c.HeadingFold, limits{}},
		{"squaring", &c.Squaring, limits{}},
		{"width_allowance", &c.WidthAllowance, limits{}},
		{"lining_lift", &c.LiningLift, limits{}},
		{"lining_hem", &c.LiningHem, limits{}},
		{"lining_top", &c.LiningTop, limits{}},
		{"lining_trim", &c.LiningTrim, limits{}},
		{"lining_allowance", &c.LiningAllowance, limits{}},
		{"step", &c.Step, limits{positive: true, least: measure.Millimetre / 10}}, // no rule has finer marks
		{"order_step", &c.OrderStep, limits{positive: true}},
		{"ease_per_pleat", &c.EasePerPleat, limits{}},
		{"edge_clear", &c.EdgeClear, limits{}},
		{"seam_thickness", &c.SeamThickness, limits{most: 100 * measure.Millimetre}},
	} {
		*l.to = m.maybe(l.key).lengthOr(*l.to, l.limits)
	}
	c.LengthAllowance = m.maybe("length_allowance").maybeLength(limits{})
	c.OrderRepeats = m.maybe("order_repeats").countOr(c.OrderRepeats, 0, 99)
	c.Shrink = m.maybe("shrink").percent(c.Shrink, 50)
	c.StitchDensity = readDensity(m.maybe("stitch_density"), c.StitchDensity)
	c.PleatsPerWidth = m.maybe("pleats_per_width").countOr(c.PleatsPerWidth, 1, 99)
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
