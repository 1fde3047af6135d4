package orderfile

import (
	"errors"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"tablehand/engine/measure"
)

// limits are what a length may be. The zero value allows 0 to longest.
type limits struct {
	positive bool           // 0 says nothing here
	least    measure.Length // under it is absurd
	most     measure.Length // over it is absurd; 0: longest
}

const (
	longest     = 30 * measure.Metre   // of any length; our own choice
	longestBolt = 1000 * measure.Metre // of a bolt, and of places on it
	mostName    = 200                  // runes of a name
	mostNotes   = 4000                 // runes of notes
)

var (
	above0 = limits{positive: true}
	onBolt = limits{most: longestBolt}
)

// length reads a length; a bare number takes the order's unit. Where the file gives no unit a bare number is passed
// over: the missing unit has been told.
func (v *value) length(l limits) (measure.Length, bool) {
	text, ok := v.scalar()
	if !ok {
		return 0, false
	}
	n, err := measure.Parse(text, v.r.units)
	if err != nil {
		v.badLength(err)
		return 0, false
	}
	if l.most == 0 || v.r.onBooks && l.most < longest {
		l.most = longest
	}
	switch {
	case n < 0:
		v.wrong("negative", "")
	case n == 0 && l.positive:
		v.wrong("bad_value", "zero")
	case n > l.most:
		v.tooLong(l.most)
	case n < l.least:
		v.wrong("absurd", "short", "Least", l.least)
	default:
		return n, true
	}
	return 0, false
}

// lengthOr reads a length that has a default.
func (v *value) lengthOr(otherwise measure.Length, l limits) measure.Length {
	if n, ok := v.length(l); ok {
		return n
	}
	return otherwise
}

// maybeLength reads a length that stands for something else where it is left out.
func (v *value) maybeLength(l limits) *measure.Length {
	if n, ok := v.length(l); ok {
		return &n
	}
	return nil
}

func (v *value) badLength(err error) {
	var e *measure.ParseError
	switch {
	case !errors.As(err, &e):
		v.wrong("bad_length", "")
	case e.Reason == measure.UnitMissing && v.r.units == "":
	case e.Reason == measure.TooLong && strings.HasPrefix(e.Text, "-"):
		v.wrong("negative", "")
	case e.Reason == measure.TooLong:
		v.tooLong(longest)
	default:
		v.wrong("bad_length", string(e.Reason), "Part", e.Part)
	}
}

// tooLong reports a length over most, in the unit that the bound is known by.
func (v *value) tooLong(most measure.Length) {
	switch most {
	case longest:
		v.wrong("absurd", "long")
	case longestBolt:
		v.wrong("absurd", "long_bolt")
	default:
		v.wrong("absurd", "over", "Most", most)
	}
}

// scalar returns the value's own text, without blanks around it.
func (v *value) scalar() (string, bool) {
	if v == nil {
		return "", false
	}
	text, ok := scalar(v.node)
	if !ok {
		v.wrong("bad_value", "scalar")
	}
	return strings.TrimSpace(text), ok
}

// name reads a text of one line: a name, an id.
func (v *value) name() (string, bool) {
	text, ok := v.scalar()
	switch {
	case !ok:
	case text == "":
		v.wrong("bad_value", "blank")
	case strings.ContainsFunc(text, unicode.IsControl):
		v.wrong("bad_value", "control")
	case utf8.RuneCountInString(text) > mostName:
		v.wrong("absurd", "text", "Most", mostName)
	default:
		return text, true
	}
	return "", false
}

// label reads a name that may be left out or empty.
func (v *value) label() string {
	if v == nil || v.blank() {
		return ""
	}
	name, _ := v.name()
	return name
}

func (v *value) blank() bool {
	text, ok := scalar(v.node)
	return ok && strings.TrimSpace(text) == ""
}

// notes reads a text of several lines.
func (v *value) notes() string {
	text, ok := v.scalar()
	switch {
	case !ok:
	case strings.ContainsFunc(text, func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }):
		v.wrong("bad_value", "control")
	case utf8.RuneCountInString(text) > mostNotes:
		v.wrong("absurd", "text", "Most", mostNotes)
	default:
		return text
	}
	return ""
}

var wholeNumber = regexp.MustCompile(`^[-−]?[0-9]+$`)

// count reads a whole number in decimal digits: 010 is ten. Under least is a bad value, over most absurd.
func (v *value) count(least, most int) (int, bool) {
	text, ok := v.scalar()
	if !ok {
		return 0, false
	}
	if !wholeNumber.MatchString(text) {
		v.wrong("bad_value", "count")
		return 0, false
	}
	n, err := strconv.Atoi(strings.Replace(text, "−", "-", 1))
	switch {
	case strings.ContainsAny(text, "-−") && n != 0:
		v.wrong("negative", "")
	case err != nil || n > most: // more digits than an int has
		v.wrong("absurd", "count", "Most", most)
	case n < least:
		v.wrong("bad_value", "few", "Least", least)
	default:
		return n, true
	}
	return 0, false
}

func (v *value) countOr(otherwise, least, most int) int {
	if n, ok := v.count(least, most); ok {
		return n
	}
	return otherwise
}

// flag reads true or false.
func (v *value) flag() bool {
	text, ok := v.scalar()
	if ok && !slices.Contains([]string{"true", "false"}, strings.ToLower(text)) {
		v.wrong("bad_value", "flag")
	}
	return strings.EqualFold(text, "true")
}

// date reads a civil date, YYYY-MM-DD.
func (v *value) date() string {
	text, ok := v.scalar()
	if !ok {
		return ""
	}
	if _, err := time.Parse(time.DateOnly, text); err != nil {
		v.wrong("bad_value", "date")
		return ""
	}
	return text
}

var decimalNumber = regexp.MustCompile(`^([-−]?)([0-9]{1,9}(\.[0-9]{1,9})?)$`)

// decimal reads a number that is no length, from 0 to most.
func (v *value) decimal(text string, most int64) (*big.Rat, bool) {
	parts := decimalNumber.FindStringSubmatch(text)
	if parts == nil {
		v.wrong("bad_value", "number")
		return nil, false
	}
	n, _ := new(big.Rat).SetString(parts[2])
	switch {
	case parts[1] != "" && n.Sign() > 0:
		v.wrong("negative", "")
	case n.Cmp(big.NewRat(most, 1)) > 0:
		v.wrong("absurd", "count", "Most", int(most))
	default:
		return n, true
	}
	return nil, false
}

// percent reads "3 %", "3%" or 3, to hundredths of a percent.
func (v *value) percent(otherwise Percent, most int64) Percent {
	text, ok := v.scalar()
	if !ok {
		return otherwise
	}
	n, ok := v.decimal(strings.TrimSpace(strings.TrimSuffix(text, "%")), most)
	if !ok {
		return otherwise
	}
	n.Mul(n, big.NewRat(100, 1))
	if !n.IsInt() {
		v.wrong("bad_value", "percent")
		return otherwise
	}
	return Percent(n.Num().Int64())
}

// choice reads one of some words.
func choice[T ~string](v *value, words ...T) (T, bool) {
	text, ok := v.scalar()
	if !ok {
		return "", false
	}
	if slices.Contains(words, T(text)) {
		return T(text), true
	}
	known := make([]string, len(words))
	for i, w := range words {
		known[i] = string(w)
	}
	if like := nearest(text, known); like != "" {
		v.wrong("bad_value", "choice_like", "Like", like, "Known", known)
	} else {
		v.wrong("bad_value", "choice", "Known", known)
	}
	return "", false
}

func choiceOr[T ~string](v *value, otherwise T, words ...T) T {
	if w, ok := choice(v, words...); ok {
		return w
	}
	return otherwise
}

// Mass is a weight in grams.
type Mass int64

// A pound is 453.592 37 g (international yard and pound agreement, 1959).
var massUnits = []struct {
	name  string
	grams *big.Rat
	most  int64 // a ton on a rod is a slip
}{{"kg", big.NewRat(1000, 1), 1000}, {"lb", big.NewRat(45_359_237, 100_000), 2200}}

// mass reads a weight: 30 kg, 66 lb, or a bare number of kilograms.
func (v *value) mass() Mass {
	text, ok := v.scalar()
	if !ok {
		return 0
	}
	unit := massUnits[0]
	for _, u := range massUnits {
		if number, of := strings.CutSuffix(text, u.name); of {
			text, unit = strings.TrimSpace(number), u
		}
	}
	if !decimalNumber.MatchString(text) {
		v.wrong("bad_value", "mass")
		return 0
	}
	n, ok := v.decimal(text, unit.most)
	if !ok {
		return 0
	}
	grams, _ := strconv.ParseInt(n.Mul(n, unit.grams).FloatString(0), 10, 64) // a whole number of at most a million
	if grams == 0 {
		v.wrong("bad_value", "zero")
	}
	return Mass(grams)
}

// areaUnits are those of a cloth's weight, in micrograms for a square metre: an ounce is 28.349 523 125 g, a yard 0.9144 m.
var areaUnits = []struct {
	names  []string
	micros int64
}{{[]string{"g/m2", "g/m²"}, 1_000_000}, {[]string{"oz/yd2", "oz/yd²"}, 33_905_747}}

// mostAreaMass is more than any cloth that is sewn weighs, in grams for a square metre; our own choice.
const mostAreaMass = 5000

// areaMass reads what a square metre weighs: 320 g/m2, 9.5 oz/yd2, or a bare number of grams.
func (v *value) areaMass() AreaMass {
	text, ok := v.scalar()
	if !ok {
		return 0
	}
	unit := areaUnits[0].micros
	for _, u := range areaUnits {
		for _, name := range u.names {
			if number, of := strings.CutSuffix(text, name); of {
				text, unit = strings.TrimSpace(number), u.micros
			}
		}
	}
	if !decimalNumber.MatchString(text) {
		v.wrong("bad_value", "area_mass")
		return 0
	}
	n, ok := v.decimal(text, 1_000_000_000)
	if !ok {
		return 0
	}
	n.Mul(n, big.NewRat(unit, 1))
	if n.Cmp(big.NewRat(mostAreaMass*areaUnits[0].micros, 1)) > 0 {
		v.wrong("absurd", "area_mass", "Most", mostAreaMass)
		return 0
	}
	micros, _ := strconv.ParseInt(n.FloatString(0), 10, 64) // a whole number of at most 5,000,000,000
	if micros == 0 {
		v.wrong("bad_value", "zero")
	}
	return AreaMass(micros)
}
