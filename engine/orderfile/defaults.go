package orderfile

import "tablehand/engine/measure"

// The defaults of windows and tapes in the system of the order's unit. Inch figures are those of the program's own worked
// tape and of common practice in workrooms; metric ones are from memory, metric practice. No standard sets them.

// treatmentDefault is what a window has that doesn't say: common practice.
type treatmentDefault struct{ ret, overlap measure.Length }

func treatmentDefaults(units measure.Unit) treatmentDefault {
	if units.Metric() {
		return treatmentDefault{ret: 90 * measure.Millimetre, overlap: 150 * measure.Millimetre}
	}
	return treatmentDefault{ret: 7 * measure.Inch / 2, overlap: 6 * measure.Inch}
}

// defaultOverlap is the same lap under either reading: what a panel passes the centre by is half of it.
func (d treatmentDefault) defaultOverlap(basis OverlapBasis) measure.Length {
	if basis == PastCentre {
		return d.overlap / 2
	}
	return d.overlap
}

// SheerFigures are what a sheer has that its window doesn't say, before the shop's conventions and the heading's row, which are of other cloth.
type SheerFigures struct {
	// BottomHem and SideHem are depths of double turns. 5 in at the bottom is P. Damour's handout on panels, which has 5 to 6 in elsewhere;
	// at the sides, and in metric orders, from memory.
	BottomHem, SideHem measure.Length
	// Fullness is of very sheer cloth, pleated: Singer Sewing Library No. 102, 1960. P. Damour has 3 to 4, which FullnessMax is from.
	Fullness, FullnessMax measure.Ratio
}

// Sheers returns what sheers have in an order in that unit.
func Sheers(units measure.Unit) SheerFigures {
	f := SheerFigures{BottomHem: 5 * in, SideHem: in, Fullness: times(300), FullnessMax: times(400)}
	if units.Metric() {
		f.BottomHem, f.SideHem = 125*mm, 25*mm
	}
	return f
}

// FromSheer is the source of the fullness of sheers.
const FromSheer = "sheer_fullness"

// OfSheer returns the row as a sheer goes by it: fuller where pleats are set by hand or the top is gathered. The shop's figures for the
// heading are of other cloth; where it has them fuller still, its range stands.
func (d *HeadingData) OfSheer() *HeadingData {
	if d.Family != SetByHand && d.Holds != Gathered {
		return d
	}
	row, sheer := *d, Sheers("")
	row.Fullness, row.Sources.Fullness = sheer.Fullness, FromSheer
	if row.FullnessMax.Num > 0 && row.FullnessMax.Cmp(sheer.FullnessMax) < 0 {
		row.FullnessMax = sheer.FullnessMax
	}
	return &row
}

// tapeDefault is what a tape has that doesn't say: common practice. nominal and least are of the end margin.
type tapeDefault struct{ topDrop, nominal, least, trimBeyond measure.Length }

func tapeDefaults(units measure.Unit) tapeDefault {
	if units.Metric() {
		return tapeDefault{topDrop: 6 * mm, nominal: 20 * mm, least: 12 * mm, trimBeyond: 25 * mm}
	}
	return tapeDefault{topDrop: in / 4, nominal: 3 * in / 4, least: in / 2, trimBeyond: in}
}

// endMargin is the default for a tape of that space: at most half a space more than the least, so that the flat
// at an edge looks like a space and no wider. A space so small that the nominal is over it lowers the nominal.
func (d tapeDefault) endMargin(space measure.Length) EndMargin {
	most := d.least + space.Div(2)
	return EndMargin{Nominal: min(d.nominal, most), Min: d.least, Max: most}
}
