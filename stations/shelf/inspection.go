package shelf

import (
	"math/big"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Flaw is a fault of the cloth between two marks. Points are what it counts at inspection, 1 to 4; 0 for one that isn't counted,
// at an edge.
type Flaw struct {
	From   measure.Quantity `json:"from"`
	To     measure.Quantity `json:"to"`
	Points int              `json:"points,omitempty"`
	Kind   FlawKind         `json:"kind,omitempty"`
	Edge   bool             `json:"edge,omitempty"` // within 1 in of an edge: noted, and not counted
	Found  Found            `json:"at"`
	Person string           `json:"person,omitempty"`
}

// Found says when a flaw was found.
type Found string

const (
	AtInspection Found = "inspection"
	AtTable      Found = "table"
)

// FlawKind says what a flaw is.
type FlawKind string

const (
	Hole   FlawKind = "hole"
	Weave  FlawKind = "weave" // slubs, missing or doubled threads
	Stain  FlawKind = "stain"
	Print  FlawKind = "print"
	Shade  FlawKind = "shade"
	Crease FlawKind = "crease"
	Other  FlawKind = "other"
)

// FlawKinds are all there are.
var FlawKinds = []FlawKind{Hole, Weave, Stain, Print, Shade, Crease, Other}

// Span is the stretch.
func (f *Flaw) Span() cutting.Span {
	return cutting.Span{From: f.From.Length(), To: f.To.Length()}
}

// CutAround reports whether a flaw is cut around where one of so many points and more is.
func (f *Flaw) CutAround(from int) bool { return f.Points >= from }

// mostPoints is what one flaw counts at most, and a linear yard: ASTM D5430's four-point system, as inspection firms print it.
const mostPoints = 4

// bands are the lengths up to which a flaw counts 1, 2 and 3 points; a longer one counts 4. ASTM D5430 in inches; its metric form
// has 75, 150 and 230 mm.
var (
	inchBands   = []measure.Length{3 * measure.Inch, 6 * measure.Inch, 9 * measure.Inch}
	metricBands = []measure.Length{75 * measure.Millimetre, 150 * measure.Millimetre, 230 * measure.Millimetre}
)

// PointsOf is what a flaw counts by its kind and its length, 1 to 4: along the cloth or across it, whichever is longer.
func PointsOf(kind FlawKind, length measure.Length, units measure.Unit, holes orderfile.HolePoints) int {
	if kind == Hole {
		if holes == orderfile.HolesAll4 || length > measure.Inch {
			return mostPoints
		}
		return 2
	}
	bands := inchBands
	if units.Metric() {
		bands = metricBands
	}
	for i, most := range bands {
		if length <= most {
			return i + 1
		}
	}
	return mostPoints
}

// Score is what an inspection found.
type Score struct {
	Points int
	Per100 measure.Ratio // points for 100 yd², of a metric bolt's cloth too; 0/0 where length or width isn't known
	Metric measure.Ratio // points for 100 m²
}

// ScoreOf counts the flaws: each linear yard at most 4 points, a flaw in the yard where it begins. One longer than a yard counts in
// each yard that it goes on for (from memory).
func ScoreOf(flaws []Flaw, length, width measure.Length) Score {
	byYard := map[int64]int{}
	for i := range flaws {
		span := flaws[i].Span()
		if flaws[i].Points == 0 {
			continue
		}
		yard := span.From.FloorDiv(measure.Yard)
		for n := range max(1, (span.To - span.From).CeilDiv(measure.Yard)) {
			byYard[yard+n] = min(mostPoints, byYard[yard+n]+flaws[i].Points)
		}
	}
	s := Score{}
	for _, points := range byYard {
		s.Points += points
	}
	s.Per100 = perArea(s.Points, 3600, length, measure.Yard, width, measure.Inch)
	s.Metric = perArea(s.Points, 100_000, length, measure.Metre, width, measure.Millimetre)
	return s
}

// Score is what is known of the bolt's flaws, over its whole length as it came.
func (b *Bolt) Score() Score { return ScoreOf(b.Flaws, b.Length(), b.Width) }

// perArea is points·factor/(length·width), each in its unit, to a tenth, halves up: points·3600/(yd·in) is that for 100 yd²,
// points·100 000/(m·mm) for 100 m².
func perArea(points, factor int, length, long, width, wide measure.Length) measure.Ratio {
	if length <= 0 || width <= 0 {
		return measure.Ratio{}
	}
	num := big.NewInt(int64(points) * int64(factor) * 10)
	num.Mul(num, big.NewInt(int64(long))).Mul(num, big.NewInt(int64(wide)))
	den := new(big.Int).Mul(big.NewInt(int64(length)), big.NewInt(int64(width)))
	num.Lsh(num, 1).Add(num, den)
	return measure.Ratio{Num: num.Div(num, den.Lsh(den, 1)).Int64(), Den: 10}
}
