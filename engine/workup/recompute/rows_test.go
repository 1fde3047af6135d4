package recompute

// reRow is what a heading whose pleats are set by hand has of its own.
type reRow struct {
	fullness                       reNum
	fingers                        int // of a pinched pleat
	spaceLow, spaceHigh, spaceBest reNum
	takeLow, takeHigh              reNum
	fullLow, fullHigh              reNum  // usual; absent where no source has a range
	perWidth                       int    // pleats in 54 in
	body                           string // what a pleat stands as: tube, box, inverted (a box at the back); "" is pinched
}

// pinched reports whether pleats are pinched: they hide a seam anywhere inside them, and the rule counts them. A body that stands
// open hides it in its outer quarters alone, and is counted by its ranges under every rule.
func (r reRow) pinched() bool { return r.body == "" }

// reRanges are the ranges of a row, in one unit.
type reRanges [5]reNum

func (r reRow) in(ranges reRanges) reRow {
	r.spaceLow, r.spaceHigh, r.spaceBest, r.takeLow, r.takeHigh = ranges[0], ranges[1], ranges[2], ranges[3], ranges[4]
	return r
}

func reMMs(low, high, best, takeLow, takeHigh int64) reRanges {
	return reRanges{reMM(low), reMM(high), reMM(best), reMM(takeLow), reMM(takeHigh)}
}

// rePinchRanges are those of pinch pleats in inches; a metric order converts them exactly.
var rePinchRanges = reRanges{reFrac(7, 2), reInt(4), reFrac(15, 4), reFrac(9, 2), reInt(7)}

// reRowOf is a heading's row in an order of one unit; ok is false for a heading that a tape sets.
func reRowOf(heading, unit string) (row reRow, ok bool) {
	inches, metric := rePinchRanges, rePinchRanges
	switch heading {
	case "pinch-2":
		row.fullness, row.fingers, row.fullLow, row.fullHigh = reFrac(9, 4), 2, reInt(2), reInt(3)
	case "pinch-3":
		row.fullness, row.fingers, row.fullLow, row.fullHigh = reFrac(5, 2), 3, reInt(2), reInt(3)
	case "cartridge-hand":
		row.fullness, row.body = reFrac(9, 4), "tube"
		inches, metric = reRanges{reFrac(5, 2), reInt(4), reInt(3), reInt(3), reInt(5)}, reMMs(65, 100, 75, 75, 125)
	case "goblet":
		row.fullness, row.body = reInt(2), "tube"
		inches, metric = reRanges{reFrac(9, 2), reInt(6), reFrac(21, 4), reInt(4), reInt(6)}, reMMs(115, 150, 130, 100, 150)
	case "box":
		row.fullness, row.body = reInt(2), "box"
		inches, metric = reRanges{reInt(4), reInt(12), reInt(6), reInt(4), reInt(12)}, reMMs(100, 300, 150, 100, 300)
	case "inverted-box":
		row.fullness, row.body = reInt(2), "inverted"
		inches, metric = reRanges{reInt(4), reInt(8), reInt(6), reInt(4), reInt(8)}, reMMs(100, 200, 150, 100, 200)
	default:
		return reRow{}, false
	}
	if unit == "in" {
		return row.in(inches), true
	}
	return row.in(metric), true
}

func (tr reTreatment) byHand() bool {
	_, ok := reRowOf(tr.heading, "in")
	return ok
}
