package measure

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// rounded is num/den to the nearest whole, halves away from zero, in big arithmetic.
func rounded(num, den *big.Int) *big.Int {
	if den.Sign() < 0 {
		num, den = new(big.Int).Neg(num), new(big.Int).Neg(den)
	}
	twice := new(big.Int).Lsh(new(big.Int).Abs(num), 1)
	q := twice.Add(twice, den).Quo(twice, new(big.Int).Lsh(den, 1))
	if num.Sign() < 0 {
		q.Neg(q)
	}
	return q
}

// panics reports whether f does.
func panics(f func()) (did bool) {
	defer func() { did = recover() != nil }()
	f()
	return false
}

// TestMulDivRoundsOnce compares with arithmetic that can't overflow, over all of int64; what doesn't fit panics.
func TestMulDivRoundsOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, num, den := rapid.Int64().Draw(t, "l"), rapid.Int64().Draw(t, "num"), rapid.Int64().Draw(t, "den")
		if den == 0 {
			den = 1
		}
		want := rounded(new(big.Int).Mul(big.NewInt(l), big.NewInt(num)), big.NewInt(den))
		if !want.IsInt64() || want.Int64() == math.MinInt64 {
			if !panics(func() { Length(l).MulDiv(num, den) }) {
				t.Fatalf("%d·%d/%d is %s and should overflow", l, num, den, want)
			}
			return
		}
		if got := Length(l).MulDiv(num, den); int64(got) != want.Int64() {
			t.Fatalf("%d·%d/%d = %d, want %s", l, num, den, got, want)
		}
	})
}

func TestMulDiv(t *testing.T) {
	for _, c := range []struct {
		l        Length
		num, den int64
		want     Length
	}{
		{1, 1, 2, 1}, {-1, 1, 2, -1}, {1, -1, 2, -1}, {1, 1, -2, -1}, {-1, -1, -2, -1}, // halves away from zero
		{1, 1, 3, 0}, {2, 1, 3, 1}, {-2, 1, 3, -1},
		{48*Inch + Inch/2, 1, 19, 64_836_842}, // 64,836,842.105
		{math.MaxInt64, math.MaxInt64, math.MaxInt64, math.MaxInt64}, {math.MaxInt64, 1, 1, math.MaxInt64},
		{math.MinInt64, 1, 2, math.MinInt64 / 2},
		{0, 5, 7, 0},
	} {
		if got := c.l.MulDiv(c.num, c.den); got != c.want {
			t.Errorf("%d·%d/%d = %d, want %d", c.l, c.num, c.den, got, c.want)
		}
	}
	for name, f := range map[string]func(){
		"by nothing":         func() { Inch.MulDiv(1, 0) },
		"twice the greatest": func() { Length(math.MaxInt64).MulDiv(2, 1) },
		"just over":          func() { Length(1<<62).MulDiv(2, 1) },
	} {
		if !panics(f) {
			t.Errorf("%s doesn't panic", name)
		}
	}
}

// TestPositionsDontDrift: k·L/n rounded from the whole stays within half a nanometre, and ends at L.
func TestPositionsDontDrift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, n := lengths().Draw(t, "l"), rapid.Int64Range(1, 1000).Draw(t, "n")
		k := rapid.Int64Range(0, n).Draw(t, "k")
		off := new(big.Rat).Sub(big.NewRat(int64(l.MulDiv(k, n)), 1), new(big.Rat).Mul(big.NewRat(int64(l), n), big.NewRat(k, 1)))
		if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 || l.MulDiv(n, n) != l || l.MulDiv(0, n) != 0 {
			t.Fatalf("%d of %d parts of %d lie at %d", k, n, l, l.MulDiv(k, n))
		}
	})
}

// TestSteps holds the laws of rounding to a step: on a multiple, on the right side, less than a step away.
func TestSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := lengths().Draw(t, "l")
		step := Length(rapid.Int64Range(1, int64(10*Metre)).Draw(t, "step"))
		up, down, near := l.CeilTo(step), l.FloorTo(step), l.RoundTo(step)
		switch {
		case up%step != 0, down%step != 0, near%step != 0:
			t.Fatal("off the step")
		case up < l, up-l >= step:
			t.Fatalf("%d up to %d: %d", l, step, up)
		case down > l, l-down >= step:
			t.Fatalf("%d down to %d: %d", l, step, down)
		case 2*(near-l) > step, 2*(l-near) >= step: // a half goes up
			t.Fatalf("%d to the nearest %d: %d", l, step, near)
		case up.CeilTo(step) != up, up.FloorTo(step) != up, up.RoundTo(step) != up:
			t.Fatal("a multiple moves")
		case (-l).FloorTo(step) != -up:
			t.Fatal("down isn't up seen from the other side")
		case step*Length(l.FloorDiv(step)) != down, step*Length(l.CeilDiv(step)) != up:
			t.Fatal("pieces and steps differ")
		}
	})
	for _, step := range []Length{0, -1} {
		if l := Length(5); l.CeilTo(step) != 5 || l.FloorTo(step) != 5 || l.RoundTo(step) != 5 {
			t.Errorf("a step of %d changes the length", step)
		}
	}
	if got := (Inch / 32).RoundTo(Inch / 16); got != Inch/16 {
		t.Errorf("half a sixteenth rounds to %d, not up", got)
	}
	if got := (-Inch / 32).RoundTo(Inch / 16); got != 0 {
		t.Errorf("minus half a sixteenth rounds to %d, not up", got)
	}
}

// TestOverPi compares with π to 50 decimals (Abramowitz and Stegun, table 1.1).
func TestOverPi(t *testing.T) {
	pi, _ := new(big.Rat).SetString("3.14159265358979323846264338327950288419716939937511")
	rapid.Check(t, func(t *rapid.T) {
		l := lengths().Draw(t, "l")
		off := new(big.Rat).Quo(big.NewRat(int64(l), 1), pi)
		off.Sub(off, big.NewRat(int64(l.OverPi()), 1))
		if off.Abs(off).Cmp(big.NewRat(501, 1000)) > 0 {
			t.Fatalf("%d/π = %d", l, l.OverPi())
		}
	})
	if got := (4 * Inch).OverPi().In(In); got != "1.27323953in" { // the tube of a 4 in take-up
		t.Errorf("4 in / π = %s", got)
	}
}

func TestMixed(t *testing.T) {
	for _, c := range []struct {
		l    Length
		u    Unit
		den  int64
		want Mixed
	}{
		{96*Inch + Inch/2, In, 16, Mixed{Whole: 96, Num: 1, Den: 2, Exact: true}},
		{96*Inch + Inch/16, In, 16, Mixed{Whole: 96, Num: 1, Den: 16, Exact: true}},
		{96*Inch + Inch/32, In, 16, Mixed{Whole: 96, Num: 1, Den: 16}}, // half a mark goes up
		{96*Inch + Inch/64, In, 16, Mixed{Whole: 96, Den: 1}},
		{96*Inch - 1, In, 16, Mixed{Whole: 96, Den: 1}},
		{-Inch / 4, In, 16, Mixed{Negative: true, Num: 1, Den: 4, Exact: true}},
		{-1, In, 16, Mixed{Den: 1}}, // no minus nought
		{0, In, 16, Mixed{Den: 1, Exact: true}},
		{25 * Millimetre, CM, 10, Mixed{Whole: 2, Num: 1, Den: 2, Exact: true}},
		{1234 * Millimetre, M, 1000, Mixed{Whole: 1, Num: 117, Den: 500, Exact: true}},
		{5 * Foot, Yd, 12, Mixed{Whole: 1, Num: 2, Den: 3, Exact: true}},
		{longest, MM, 1 << 20, Mixed{Whole: 1_000_000_000, Den: 1, Exact: true}},
	} {
		if got := c.l.Mixed(c.u, c.den); got != c.want {
			t.Errorf("%d nm in 1/%d %s: %+v, want %+v", c.l, c.den, c.u, got, c.want)
		}
	}
}

// TestMixedIsNearest: never more than half a mark off, in lowest terms, exact when it says so.
func TestMixedIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, u := lengths().Draw(t, "l"), rapid.SampledFrom(units).Draw(t, "u")
		den := rapid.Int64Range(1, 1000).Draw(t, "den")
		m := l.Mixed(u, den)
		value := new(big.Rat).Add(big.NewRat(m.Whole, 1), big.NewRat(m.Num, m.Den))
		value.Mul(value, big.NewRat(int64(u.Length()), 1))
		if m.Negative {
			value.Neg(value)
		}
		off := value.Sub(value, big.NewRat(int64(l), 1))
		exact := off.Sign() == 0
		if off.Abs(off).Cmp(big.NewRat(int64(u.Length()), 2*den)) > 0 || exact != m.Exact || m.Num >= m.Den && m.Den > 1 ||
			new(big.Int).GCD(nil, nil, big.NewInt(max(m.Num, 0)), big.NewInt(m.Den)).Int64() != 1 {
			t.Fatalf("%d nm in 1/%d %s: %+v", l, den, u, m)
		}
	})
}

func TestWriting(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{(96*Inch + Inch/2).In(In), "96.5in"},
		{(96*Inch + Inch/2).In(MM), "2451.1mm"},
		{(607*Inch + Inch/2).In(Yd), "16.875yd"}, // golden_test.go of engine/workup has the orders
		{(Yard / 8).In(In), "4.5in"},
		{Length(0).In(In), "0in"},
		{Length(-1).In(M), "-0.000000001m"},
		{Length(-1).Number(M, 3), "0"}, // no minus nought
		{Length(1).In(In), "0.00000004in"},
		{(100 * Inch).In(In), "100in"},
		{(12 * Inch).Number(Ft, 2), "1"},
		{Over(124*Inch+Inch/2, 48*Inch+Inch/2).String(), "2.567"},
		{Ratio{5, 2}.String(), "2.5"}, {Ratio{6, 2}.String(), "3"}, {Ratio{1, 2000}.String(), "0.001"}, {Ratio{-1, 2000}.String(), "-0.001"}, {Ratio{}.String(), "0"},
		{Halves(5).String(), "2.5"}, {Halves(4).String(), "2"}, {Halves(0).String(), "0"}, {Count(-3), "-3"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if f := (Ratio{1, 4}).Float(); f != 0.25 || (Ratio{}).Float() != 0 {
		t.Errorf("a quarter is %v", f)
	}
}

func TestUnits(t *testing.T) {
	for _, u := range units {
		if metric := u == MM || u == CM || u == M; u.Metric() != metric || u.Purchase() != map[bool]Unit{true: M, false: Yd}[metric] {
			t.Errorf("%s: metric %v, bought in %s", u, u.Metric(), u.Purchase())
		}
		if got, err := Parse("1", u); err != nil || got != u.Length() || got == 0 {
			t.Errorf("1 %s is %d, %v", u, got, err)
		}
	}
	if Unit("ell").Length() != 0 {
		t.Error("an ell has a length")
	}
	if Inch.Times(3) != 3*Inch || Inch.Div(3) != 8_466_667 || (-Inch).Abs() != Inch {
		t.Error("times, div, abs")
	}
}
