package measure

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

// TestExactUnits holds the units against their definitions: 1 in = 25.4 mm, 1 yd = 0.9144 m, exactly since 1959
// (NIST SP 811 (2008), appendix B.6, "the international foot ... 0.3048 m exactly"); 3 ft to the yard, 12 in to
// the foot (NIST Handbook 44, appendix C).
func TestExactUnits(t *testing.T) {
	for _, c := range []struct {
		name string
		got  Length
		nm   int64
	}{
		{"in", Inch, 25_400_000},
		{"ft", Foot, 304_800_000},
		{"yd", Yard, 914_400_000},
		{"mm", Millimetre, 1_000_000},
		{"cm", Centimetre, 10_000_000},
		{"m", Metre, 1_000_000_000},
		{"1/64 in", Inch / 64, 396_875},
		{"1/1000 in", Inch / 1000, 25_400},
	} {
		if c.got != Length(c.nm) {
			t.Errorf("%s is %d nm, not %d", c.name, c.nm, c.got)
		}
	}
	if 64*(Inch/64) != Inch || 1000*(Inch/1000) != Inch || 3*Foot != Yard || 5000*Foot != 1524*Metre {
		t.Error("parts don't add up to the whole")
	}
}

func TestParseGood(t *testing.T) {
	const half = Inch / 2
	for _, c := range []struct {
		text string
		bare Unit
		want Length
	}{
		// what people write
		{"96", In, 96 * Inch},
		{`96"`, In, 96 * Inch},
		{"96 1/2", In, 96*Inch + half},
		{`96-1/2"`, In, 96*Inch + half},
		{"96½", In, 96*Inch + half},
		{`8' 3 1/4"`, In, 8*Foot + 3*Inch + Inch/4},
		{"7 yd 3 in", In, 7*Yard + 3*Inch},
		{"2.4m", In, 2400 * Millimetre},
		{"2438mm", In, 2438 * Millimetre},
		{"243.8 cm", In, 2438 * Millimetre},
		{"1 1/2 yd", In, 54 * Inch},
		// bare numbers take the unit given
		{"96", MM, 96 * Millimetre},
		{"96 1/2", CM, 965 * Millimetre},
		{"010", In, 10 * Inch},
		{"0", In, 0},
		{"0.0", In, 0},
		{".5", In, half},
		{"96.0625", In, 96*Inch + Inch/16},
		// fractions
		{"1/2", In, half},
		{"3/4", In, 3 * Inch / 4},
		{"3⁄4 in", "", 3 * Inch / 4},
		{"½", In, half},
		{"96 ½ in", "", 96*Inch + half},
		{"96-½", In, 96*Inch + half},
		{"96\u00a01/2", In, 96*Inch + half},
		{"7/8 yd", "", 63 * half},
		{"010/16", In, 5 * Inch / 8}, {"08/016", In, half}, {"96 01/02", In, 96*Inch + half}, // no octal numbers
		{"⅓ yd", "", Foot},
		{"⅔ yd", "", 2 * Foot},
		{"⅕ m", "", 200 * Millimetre}, {"⅖ m", "", 400 * Millimetre}, {"⅗ m", "", 600 * Millimetre}, {"⅘ m", "", 800 * Millimetre},
		{"⅙ ft", "", 2 * Inch}, {"⅚ ft", "", 10 * Inch},
		{"⅛", In, Inch / 8}, {"⅜", In, 3 * Inch / 8}, {"⅝", In, 5 * Inch / 8}, {"⅞", In, 7 * Inch / 8}, {"¼", In, Inch / 4}, {"¾", In, 3 * Inch / 4},
		// rounded once, half up
		{"1/3", In, 8_466_667},
		{"1/7 mm", "", 142_857},
		{"0.0000005 mm", "", 1},
		{"0.00000049 mm", "", 0},
		// units and marks
		{"8′ 3″", "", 99 * Inch}, {"8’ 3”", "", 99 * Inch}, {"8' 3''", "", 99 * Inch}, {"8' 3", "", 99 * Inch}, {"8'", MM, 8 * Foot},
		{"8 ft, 3 in", "", 99 * Inch}, {"8 FT 3 IN", "", 99 * Inch}, {"8 feet 3 inches", "", 99 * Inch}, {"1 foot 1 inch", "", 13 * Inch},
		{"8ft3in", "", 99 * Inch}, {"8 ft. 3 in.", "", 99 * Inch}, {"1 yard", "", Yard}, {"2 yards 1 ft 6 in", "", 2*Yard + 18*Inch}, {"2 yds", "", 2 * Yard}, {"2 yd.", "", 2 * Yard},
		{"1 m 20 cm 5 mm", "", 1205 * Millimetre}, {"1 metre", "", Metre}, {"2 meters", "", 2 * Metre}, {"3 millimetres", "", 3 * Millimetre}, {"3 centimeters", "", 30 * Millimetre},
		// signs, blanks and bounds
		{"-1/2", In, -half}, {"− 96", In, -96 * Inch}, {"-7 yd 3 in", In, -7*Yard - 3*Inch}, {"  96  ", In, 96 * Inch}, {"96\t1/2", In, 96*Inch + half},
		{"1000000 m", "", longest}, {"-1000000 m", "", -longest}, {"1093613.298337708 yd", "", longest},
	} {
		got, err := Parse(c.text, c.bare)
		if err != nil || got != c.want {
			t.Errorf("Parse(%q, %q) = %d, %v; want %d", c.text, c.bare, got, err, c.want)
		}
	}
}

func TestParseBad(t *testing.T) {
	for _, c := range []struct {
		text   string
		bare   Unit
		reason Reason
		part   string
	}{
		{"", In, Empty, ""}, {" \t ", In, Empty, ""},
		{"six", In, NotANumber, "six"}, {"-", In, NotANumber, ""}, {"--1", In, NotANumber, "-1"}, {"+1", In, NotANumber, "+1"}, {"in", In, NotANumber, "in"},
		{".", In, NotANumber, "."}, {"1.", In, NotANumber, "1."}, {"1.in", In, NotANumber, "1.in"}, {".inf", In, NotANumber, ".inf"}, {"true", In, NotANumber, "true"},
		{"٣", In, NotANumber, "٣"}, {"'", In, NotANumber, "'"}, {"1 ft x", In, NotANumber, "x"},
		{"1/0", In, BadFraction, "1/0"}, {"1/", In, BadFraction, "1/"}, {"96 1/0", In, BadFraction, " 1/0"}, {"1/x", In, BadFraction, "1/x"}, {"1//2", In, BadFraction, "1//2"},
		{"84 17/16", In, Improper, "17/16"}, {"84-17/16", In, Improper, "17/16"}, {"17/16", In, Improper, "17/16"}, {"5/2", In, Improper, "5/2"}, {"16/16 in", In, Improper, "16/16"}, {"7 yd 3 4/3 in", In, Improper, "4/3"},
		{"84 stone", In, UnknownUnit, "stone"}, {"84,5", In, UnknownUnit, ","}, {"84in,", In, NotANumber, ","}, {"8e1", In, UnknownUnit, "e"}, {"1 1/2/3", In, UnknownUnit, "/"},
		{"1.5.5", In, UnknownUnit, "."}, {"96 - 1/2", In, UnknownUnit, "-"}, {"1.5½", In, UnknownUnit, "½"}, {"1_000", In, UnknownUnit, "_"}, {"0x10", In, UnknownUnit, "x"}, {"1 km", In, UnknownUnit, "km"}, {"3 %", In, UnknownUnit, "%"},
		{"3 in 7 ft", In, UnitOrder, "ft"}, {"1 ft 2 ft", In, UnitOrder, "ft"}, {"3 in 1/2 in", In, UnitOrder, "in"}, {"1 yd 1 m", In, UnitOrder, "m"},
		{"96", "", UnitMissing, ""}, {"12 34", In, UnitMissing, ""}, {"2 m 40", In, UnitMissing, ""}, {"1/2 1/2", In, UnitMissing, ""},
		{"1000001 m", In, TooLong, "1000001 m"}, {"-1000001 m", In, TooLong, "-1000001 m"}, {strings.Repeat("9", 31), In, TooLong, strings.Repeat("9", 31)}, {strings.Repeat("9", 30), MM, TooLong, strings.Repeat("9", 30)},
	} {
		got, err := Parse(c.text, c.bare)
		var e *ParseError
		if !errors.As(err, &e) || got != 0 || e.Reason != c.reason || e.Part != c.part || e.Text != c.text {
			t.Errorf("Parse(%q, %q) = %d, %v; want %s at %q", c.text, c.bare, got, err, c.reason, c.part)
		} else if !strings.Contains(err.Error(), string(c.reason)) {
			t.Errorf("the error %q doesn't say %s", err, c.reason)
		}
	}
}

// TestEveryNameOfAUnit: each reads as its unit, in any case, with or without a blank, and names of letters alone
// stay apart from their plurals in nothing.
func TestEveryNameOfAUnit(t *testing.T) {
	for name, u := range names {
		for _, text := range []string{"3" + name, "3 " + name, "3 " + strings.ToUpper(name)} {
			if got, err := Parse(text, ""); err != nil || got != 3*u.Length() {
				t.Errorf("Parse(%q) = %d, %v; want 3 %s", text, got, err, u)
			}
		}
	}
}

// lengths draws lengths over all that Parse reads.
func lengths() *rapid.Generator[Length] {
	return rapid.Custom(func(t *rapid.T) Length {
		scale := rapid.SampledFrom([]Length{1, Micrometre, Inch / 64, Millimetre, Inch, Metre}).Draw(t, "scale")
		n := rapid.Int64Range(-int64(longest/scale), int64(longest/scale)).Draw(t, "n")
		return Length(n) * scale
	})
}

var units = []Unit{In, Ft, Yd, MM, CM, M}

// TestInReadsBack: what In writes is read as the same length, to the nanometre, in every unit.
func TestInReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, u := lengths().Draw(t, "l"), rapid.SampledFrom(units).Draw(t, "u")
		text := l.In(u)
		if got, err := Parse(text, ""); err != nil || got != l {
			t.Fatalf("%d nm is %q, read as %d, %v", l, text, got, err)
		}
		decimals := ""
		if _, d, ok := strings.Cut(strings.TrimRightFunc(text, unicode.IsLetter), "."); ok {
			decimals = d
		}
		most := map[Unit]int{In: 8, MM: 6, CM: 7, M: 9, Ft: 9, Yd: 9}[u] // what shows a nanometre, and no more
		if len(decimals) > most || strings.HasSuffix(decimals, "0") {
			t.Fatalf("%q has more decimals than %d, or noughts at its end", text, most)
		}
	})
}

// TestDecimalsAreTheQuotient: what is written is the exact quotient to so many decimals, half away from zero, as a
// library of rationals has it.
func TestDecimalsAreTheQuotient(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, num, den int64, decimals int) {
		want := big.NewRat(num, den).FloatString(decimals)
		if strings.Contains(want, ".") {
			want = strings.TrimRight(strings.TrimRight(want, "0"), ".")
		}
		if want == "-0" {
			want = "0"
		}
		if got := decimalString(num, den, decimals); got != want {
			t.Fatalf("%d/%d to %d decimals is %q, want %q", num, den, decimals, got, want)
		}
	}
	for _, n := range []int64{0, 1, -1, 4, 5, 9_995, -9_995, 99_949, 99_950, math.MaxInt64, -math.MaxInt64, math.MinInt64} {
		for _, d := range []int64{1, 2, 3, -3, 1_000, 10_000, 25_400_000, math.MaxInt64} {
			for decimals := range 10 {
				check(t, n, d, decimals)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		den := rapid.Int64().Filter(func(d int64) bool { return d != 0 }).Draw(t, "den")
		check(t, rapid.Int64().Draw(t, "num"), den, rapid.IntRange(0, 9).Draw(t, "decimals"))
	})
}

// TestMarksReadBack: a length on a mark of a rule, written as whole and fraction, is read as the same length.
func TestMarksReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(units).Draw(t, "u")
		den := rapid.SampledFrom([]int64{1, 2, 4, 8, 16, 32, 64}).Draw(t, "den")
		n := rapid.Int64Range(0, 10_000*den).Draw(t, "n")
		l := u.Length().MulDiv(n, den)
		m := l.Mixed(u, den)
		text := Count(int(m.Whole)) + " " + Count(int(m.Num)) + "/" + Count(int(m.Den)) + " " + string(u)
		if got, err := Parse(text, ""); err != nil || got != l || !m.Exact {
			t.Fatalf("%d nm is %+v, read as %d, %v", l, m, got, err)
		}
	})
}

// FuzzParse: what can be read can be written and read back as itself, and what can't has a reason that quotes it.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"96 1/2", `8' 3 1/4"`, "7 yd 3 in", "2.4m", "-1/3", "96½", "1000001 m", "−", "1 ft,", "3⁄4″"} {
		f.Add(s, "in")
	}
	f.Add("96", "")
	f.Fuzz(func(t *testing.T, text, bare string) {
		if Unit(bare).Length() == 0 {
			bare = ""
		}
		l, err := Parse(text, Unit(bare))
		if err != nil {
			var e *ParseError
			if l != 0 || !errors.As(err, &e) || e.Reason == "" || !strings.Contains(text, e.Text) || !strings.Contains(e.Text, e.Part) {
				t.Fatalf("Parse(%q) = %d, %v", text, l, err)
			}
			return
		}
		if l.Abs() > longest {
			t.Fatalf("Parse(%q) = %d, over the bound", text, l)
		}
		for _, u := range units {
			if again, err := Parse(l.In(u), ""); err != nil || again != l {
				t.Fatalf("%q is %q, read as %d, %v", text, l.In(u), again, err)
			}
		}
	})
}
