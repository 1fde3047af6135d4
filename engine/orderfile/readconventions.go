package orderfile

import (
	"maps"
	"slices"

	"tablehand/engine/measure"
)

// readConventions returns the conventions with what the file overrides.
func readConventions(m *mapping, c Conventions) Conventions {
	c.Tolerances = maps.Clone(c.Tolerances)
	if m == nil {
		return c
	}
	for i := range conventions {
		conventions[i].read(m.maybe(conventions[i].Key), &c)
	}
	readTolerances(m.maybe("tolerances").mapping(), c.Tolerances)
	m.close()
	return c
}

// ratioOr reads a positive number with a default.
func (v *value) ratioOr(otherwise measure.Ratio, most int64) measure.Ratio {
	text, ok := v.scalar()
	if !ok {
		return otherwise
	}
	n, ok := v.decimal(text, most)
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
