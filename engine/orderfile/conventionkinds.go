package orderfile

import (
	"maps"
	"slices"
	"strconv"

	"tablehand/engine/measure"
)

// kind is what a convention may be: one of some words, a length, a count, a share, a number.
type kind interface {
	ship(c *Conventions, units measure.Unit) // sets it as in a shop that has set none
	read(v *value, c *Conventions)
	text(c *Conventions, units measure.Unit) string // as an order file takes it, "" for none
}

// word is one of several words, the default first.
type word[W ~string] struct {
	of     func(*Conventions) *W
	values []W
}

func oneOf[W ~string](of func(*Conventions) *W, values ...W) word[W] {
	return word[W]{of, values}
}

func (k word[W]) ship(c *Conventions, _ measure.Unit)        { *k.of(c) = k.values[0] }
func (k word[W]) read(v *value, c *Conventions)              { *k.of(c) = choiceOr(v, *k.of(c), k.values...) }
func (k word[W]) text(c *Conventions, _ measure.Unit) string { return string(*k.of(c)) }
func (k word[W]) choose(c *Conventions, value string)        { *k.of(c) = W(value) }

func (k word[W]) words() []string {
	list := make([]string, len(k.values))
	for i, value := range k.values {
		list[i] = string(value)
	}
	return list
}

// chooser is a word of whichever type.
type chooser interface {
	words() []string
	choose(c *Conventions, value string)
}

// length is a length within limits, shipped with one value for orders in inches and one for metric ones.
type length struct {
	of           func(*Conventions) *measure.Length
	inch, metric measure.Length
	limits
}

func (k length) ship(c *Conventions, units measure.Unit) {
	*k.of(c) = k.inch
	if units.Metric() {
		*k.of(c) = k.metric
	}
}

func (k length) read(v *value, c *Conventions)                  { *k.of(c) = v.lengthOr(*k.of(c), k.limits) }
func (k length) text(c *Conventions, units measure.Unit) string { return k.of(c).In(units) }

// optionalLength is a length that takes the place of others; mostly none is shipped.
type optionalLength struct {
	of           func(*Conventions) **measure.Length
	inch, metric *measure.Length // nil: none
	limits
}

func (k optionalLength) ship(c *Conventions, units measure.Unit) {
	*k.of(c) = k.inch
	if units.Metric() {
		*k.of(c) = k.metric
	}
}

func (k optionalLength) read(v *value, c *Conventions) {
	if l := v.maybeLength(k.limits); l != nil {
		*k.of(c) = l
	}
}

func (k optionalLength) text(c *Conventions, units measure.Unit) string {
	if l := *k.of(c); l != nil {
		return l.In(units)
	}
	return ""
}

// count is a whole number from least to most.
type count struct {
	of          func(*Conventions) *int
	shipped     int
	least, most int
}

func (k count) ship(c *Conventions, _ measure.Unit)        { *k.of(c) = k.shipped }
func (k count) read(v *value, c *Conventions)              { *k.of(c) = v.countOr(*k.of(c), k.least, k.most) }
func (k count) text(c *Conventions, _ measure.Unit) string { return strconv.Itoa(*k.of(c)) }

// optionalCount is a whole number from least to most that takes the place of another; none is shipped.
type optionalCount struct {
	of          func(*Conventions) *int // 0 none
	least, most int
}

func (k optionalCount) ship(c *Conventions, _ measure.Unit) { *k.of(c) = 0 }
func (k optionalCount) read(v *value, c *Conventions) {
	*k.of(c) = v.countOr(*k.of(c), k.least, k.most)
}

func (k optionalCount) text(c *Conventions, _ measure.Unit) string {
	if n := *k.of(c); n > 0 {
		return strconv.Itoa(n)
	}
	return ""
}

// share is a percentage from 0 to most.
type share struct {
	of      func(*Conventions) *Percent
	shipped Percent
	most    int64 // percent
}

func (k share) ship(c *Conventions, _ measure.Unit)        { *k.of(c) = k.shipped }
func (k share) read(v *value, c *Conventions)              { *k.of(c) = v.percent(*k.of(c), k.most) }
func (k share) text(c *Conventions, _ measure.Unit) string { return k.of(c).String() }

// number is a positive number that is no length, up to most.
type number struct {
	of      func(*Conventions) *measure.Ratio
	shipped measure.Ratio
	most    int64
}

func (k number) ship(c *Conventions, _ measure.Unit)        { *k.of(c) = k.shipped }
func (k number) read(v *value, c *Conventions)              { *k.of(c) = v.ratioOr(*k.of(c), k.most) }
func (k number) text(c *Conventions, _ measure.Unit) string { return decimals(*k.of(c)) }

// fullness is a flat width as a multiple of the finished one, over 1 and up to MostFullness; 0 where none is shipped.
type fullness struct {
	of      func(*Conventions) *measure.Ratio
	shipped measure.Ratio
	from1   bool // 1 is allowed: the heading may hang flat
}

func (k fullness) ship(c *Conventions, _ measure.Unit) { *k.of(c) = k.shipped }

func (k fullness) read(v *value, c *Conventions) {
	read := readFullness
	if k.from1 {
		read = readFlatOr
	}
	if f := read(v); f != nil {
		*k.of(c) = *f
	}
}

func (k fullness) text(c *Conventions, _ measure.Unit) string {
	if f := *k.of(c); f.Num > 0 {
		return decimals(f)
	}
	return ""
}

// readConventions returns the conventions with what the file, or the shop, overrides of some rows.
func readConventions(m *mapping, c Conventions, rows []Convention) Conventions {
	c.Tolerances, c.Headings, c.Own = maps.Clone(c.Tolerances), slices.Clone(c.Headings), slices.Clone(c.Own)
	if m == nil {
		return c
	}
	for i := range rows {
		rows[i].read(m.maybe(rows[i].Key), &c)
	}
	readHeadings(m.maybe(headingsKey).mapping(), &c)
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
