package measure

import (
	"math/big"
	"math/bits"
	"strconv"
)

// In writes l in unit u as programs read it: "96.5in", "2451.1mm". It has at most 8 decimals in inches, 6 in mm,
// 7 in cm, 9 in feet, yards and metres, rounded half up (away from zero) from the nanometres, trailing zeros
// trimmed; Parse reads it back as the same Length.
func (l Length) In(u Unit) string {
	return l.decimal(u, u.decimals()) + string(u)
}

// Number writes l in unit u without the unit, with at most the given decimals, trailing zeros trimmed.
func (l Length) Number(u Unit, decimals int) string { return l.decimal(u, decimals) }

func (l Length) decimal(u Unit, decimals int) string {
	per := u.Length()
	if per == 0 {
		u, per = In, Inch
	}
	return decimalString(int64(l), int64(per), decimals)
}

// Mixed is a length as a rule shows it: whole units and a fraction in lowest terms. Exact says whether the
// length lies on that mark.
type Mixed struct {
	Negative        bool
	Whole, Num, Den int64
	Exact           bool
}

// Mixed returns l in unit u to the nearest 1/den of it, halves up: the mark on a rule. A length nearer to 0 than to
// the first mark is 0, and not negative. u must be a unit, den positive.
func (l Length) Mixed(u Unit, den int64) Mixed {
	per := int64(u.Length())
	marks := int64(l.Abs().MulDiv(den, per))
	m := Mixed{Negative: l < 0 && marks > 0, Whole: marks / den, Num: marks % den, Den: den}
	if common := gcd(m.Num, m.Den); common > 1 {
		m.Num, m.Den = m.Num/common, m.Den/common
	}
	hi, lo := bits.Mul64(abs(int64(l)), uint64(den))
	m.Exact = bits.Rem64(hi, lo, uint64(per)) == 0
	return m
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Ratio is a quotient kept as it is: widths, fullness, turns. The zero value is 0.
type Ratio struct{ Num, Den int64 }

// Over returns the ratio of two lengths.
func Over(num, den Length) Ratio { return Ratio{int64(num), int64(den)} }

// String writes the ratio with at most 3 decimals, rounded half up, trailing zeros trimmed: "2.567", "2.5", "3".
func (r Ratio) String() string {
	if r.Den == 0 {
		return "0"
	}
	return decimalString(r.Num, r.Den, 3)
}

// Cmp compares two ratios exactly.
func (r Ratio) Cmp(other Ratio) int {
	return big.NewRat(r.Num, max(1, r.Den)).Cmp(big.NewRat(other.Num, max(1, other.Den)))
}

// Float returns the ratio for a picture.
func (r Ratio) Float() float64 {
	if r.Den == 0 {
		return 0
	}
	return float64(r.Num) / float64(r.Den)
}

// Halves is a number of fabric widths counted in half widths: 5 is 2½ widths.
type Halves int

// Ratio returns the widths as a number.
func (h Halves) Ratio() Ratio { return Ratio{int64(h), 2} }

// String writes the widths as a number: "2.5".
func (h Halves) String() string { return h.Ratio().String() }

// mostDecimals is how many a quotient can have without passing 64 bits.
const mostDecimals = 18

// decimalString writes num/den with at most so many decimals, rounded half away from zero, trailing zeros trimmed. A
// work-up writes hundreds of numbers a panel, so it is done in machine words. den must not be 0.
func decimalString(num, den int64, decimals int) string {
	negative := num < 0 != (den < 0)
	n, d := abs(num), abs(den)
	scale := uint64(1)
	for range min(max(0, decimals), mostDecimals) {
		scale *= 10
	}
	whole, rest := n/d, n%d
	hi, lo := bits.Mul64(rest, scale)
	part, rest := bits.Div64(hi, lo, d)
	if rest >= d-rest {
		part++
	}
	if part == scale {
		whole, part = whole+1, 0
	}
	var buffer [2*mostDecimals + 4]byte
	text := buffer[:0]
	if negative && whole+part > 0 {
		text = append(text, '-')
	}
	text = strconv.AppendUint(text, whole, 10)
	if part == 0 {
		return string(text)
	}
	point := len(text)
	text = strconv.AppendUint(text, scale+part, 10) // the leading 1 keeps the zeros behind the point
	text[point] = '.'
	for text[len(text)-1] == '0' {
		text = text[:len(text)-1]
	}
	return string(text)
}

// Count writes a whole number as programs read it.
func Count(n int) string { return strconv.Itoa(n) }
