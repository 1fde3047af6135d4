package recompute

import (
	"fmt"
	"math/big"
	"strings"
)

// The files of this package are a second program: they work every number of the work-up out again from the
// definitions, in exact fractions of an inch and by trying everything, and share no code with the engine.

// reNum is an exact number; lengths are in inches. The zero reNum is "absent".
type reNum struct{ r *big.Rat }

func reFrac(num, den int64) reNum { return reNum{big.NewRat(num, den)} }
func reInt(n int64) reNum         { return reFrac(n, 1) }

// reMM is n millimetres; an inch has 25.4 of them.
func reMM(n int64) reNum { return reFrac(n*5, 127) }

func (a reNum) given() bool { return a.r != nil }

// or is a, or the default when a is absent.
func (a reNum) or(def reNum) reNum {
	if a.given() {
		return a
	}
	return def
}

func (a reNum) add(bs ...reNum) reNum {
	sum := new(big.Rat).Set(a.r)
	for _, b := range bs {
		sum.Add(sum, b.r)
	}
	return reNum{sum}
}

func (a reNum) sub(b reNum) reNum       { return reNum{new(big.Rat).Sub(a.r, b.r)} }
func (a reNum) mul(b reNum) reNum       { return reNum{new(big.Rat).Mul(a.r, b.r)} }
func (a reNum) div(b reNum) reNum       { return reNum{new(big.Rat).Quo(a.r, b.r)} }
func (a reNum) times(n int) reNum       { return a.mul(reInt(int64(n))) }
func (a reNum) half() reNum             { return a.div(reInt(2)) }
func (a reNum) abs() reNum              { return reNum{new(big.Rat).Abs(a.r)} }
func (a reNum) sign() int               { return a.r.Sign() }
func (a reNum) less(b reNum) bool       { return a.r.Cmp(b.r) < 0 }
func (a reNum) atMost(b reNum) bool     { return a.r.Cmp(b.r) <= 0 }
func (a reNum) equal(b reNum) bool      { return a.r.Cmp(b.r) == 0 }
func (a reNum) within(b, by reNum) bool { return a.sub(b).abs().atMost(by) }

// floor is the greatest whole number not above a.
func (a reNum) floor() int {
	q := new(big.Int)
	q.Div(a.r.Num(), a.r.Denom()) // Euclidean: rounds down, the denominator being positive
	return int(q.Int64())
}

func (a reNum) ceil() int { return -reInt(0).sub(a).floor() }

func (a reNum) String() string {
	if !a.given() {
		return "absent"
	}
	return strings.TrimRight(strings.TrimRight(a.r.FloatString(9), "0"), ".")
}

// rePi is π to 40 places, far beyond the nanometre.
var rePi = reDecimal("3.1415926535897932384626433832795028841972")

// reDecimal reads a decimal number; it panics on anything else, so it is for constants.
func reDecimal(s string) reNum {
	n, err := reParse(s)
	if err != nil {
		panic(err)
	}
	return n
}

func reParse(s string) (reNum, error) {
	r, ok := new(big.Rat).SetString(s)
	if !ok || strings.ContainsAny(s, "/eEpPxX_") {
		return reNum{}, fmt.Errorf("not a decimal number: %q", s)
	}
	return reNum{r}, nil
}

// reGrid puts numbers on their coarsest common grid, so that a search over thousands of places can count in whole cells.
func reGrid(vs ...reNum) []int64 {
	den := big.NewInt(1)
	for _, v := range vs {
		g := new(big.Int).GCD(nil, nil, den, v.r.Denom())
		den.Mul(den, new(big.Int).Div(v.r.Denom(), g))
	}
	out := make([]int64, len(vs))
	for i, v := range vs {
		cells := new(big.Int).Mul(v.r.Num(), new(big.Int).Div(den, v.r.Denom()))
		if !cells.IsInt64() || cells.BitLen() > 52 {
			panic("recompute: the common grid is too fine for the search")
		}
		out[i] = cells.Int64()
	}
	return out
}
