// Package measure has the one type that every measurement of the program is: Length, a whole number of
// nanometres. Inch and metric orders share it: 1/64 in (396,875 nm), 1/1000 in (25,400 nm) and 1 mm are exact,
// and so are sums, differences and whole multiples. Only a division rounds, once, from the whole.
package measure

import (
	"math"
	"math/bits"
)

// Length is a distance in nanometres. The zero value is no length. Sums of lengths that Parse accepts (up to
// 1,000 km each) stay far from overflow.
type Length int64

// The units that people write. There is no Foot constant for parsing alone: to count, divide; to convert, multiply.
const (
	Nanometre  Length = 1
	Micrometre        = 1000 * Nanometre
	Millimetre        = 1000 * Micrometre
	Centimetre        = 10 * Millimetre
	Metre             = 1000 * Millimetre
	Inch              = 25_400_000 * Nanometre
	Foot              = 12 * Inch
	Yard              = 36 * Inch
)

// MulDiv returns l·num/den rounded once to the nanometre, halves away from zero: k·L/n for a position, never k
// times a rounded part. It panics when den is 0 or the result overflows, which no value that Parse accepts does.
func (l Length) MulDiv(num, den int64) Length {
	negative := (l < 0) != (num < 0) != (den < 0)
	hi, lo := bits.Mul64(abs(int64(l)), abs(num))
	d := abs(den)
	lo, carry := bits.Add64(lo, d/2, 0)
	q, _ := bits.Div64(hi+carry, lo, d)
	if q > math.MaxInt64 {
		panic("measure: overflow")
	}
	if negative {
		return -Length(q)
	}
	return Length(q)
}

// Div returns l/n rounded to the nanometre, halves away from zero.
func (l Length) Div(n int64) Length { return l.MulDiv(1, n) }

// Times returns n·l, exactly.
func (l Length) Times(n int) Length { return l * Length(n) }

// π is piE18/oneE18, to the digits that an int64 holds.
const piE18, oneE18 = 3_141_592_653_589_793_238, 1_000_000_000_000_000_000

// OverPi returns l/π rounded to the nanometre: the diameter of a tube whose girth is l.
func (l Length) OverPi() Length { return l.MulDiv(oneE18, piE18) }

// TimesPi returns l·π rounded to the nanometre: the girth of a rod whose diameter is l.
func (l Length) TimesPi() Length { return l.MulDiv(piE18, oneE18) }

// CeilTo returns the least multiple of step that is not less than l: cut lengths and purchases. A step of 0 or
// less leaves l as it is.
func (l Length) CeilTo(step Length) Length {
	if step <= 0 {
		return l
	}
	return step * Length(l.CeilDiv(step))
}

// FloorTo returns the greatest multiple of step that is not more than l.
func (l Length) FloorTo(step Length) Length {
	if step <= 0 {
		return l
	}
	return step * Length(l.FloorDiv(step))
}

// RoundTo returns the multiple of step nearest to l, halves up.
func (l Length) RoundTo(step Length) Length {
	if step <= 0 {
		return l
	}
	down := l.FloorTo(step)
	if 2*(l-down) >= step {
		return down + step
	}
	return down
}

// FloorDiv returns how many whole pieces of by l holds, rounded toward minus infinity; by must be positive.
func (l Length) FloorDiv(by Length) int64 {
	q := int64(l / by)
	if l%by < 0 {
		q--
	}
	return q
}

// CeilDiv returns how many pieces of by cover l, rounded toward plus infinity; by must be positive.
func (l Length) CeilDiv(by Length) int64 {
	q := int64(l / by)
	if l%by > 0 {
		q++
	}
	return q
}

// Abs returns the length without its sign.
func (l Length) Abs() Length {
	if l < 0 {
		return -l
	}
	return l
}

func abs(n int64) uint64 {
	if n < 0 {
		return uint64(-n)
	}
	return uint64(n)
}
