package views

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// HangSum is a finished length as the sum that it was asked as.
type HangSum struct{ BearingToFloor, HeadingAboveBearing, Clearance, Length measure.Quantity }

// HangSumOf writes the sum of a hang.
func HangSumOf(h orderfile.Hang, units measure.Unit) *HangSum {
	of := func(l measure.Length) measure.Quantity { return measure.OfLength(l, units) }
	return &HangSum{of(h.BearingToFloor), of(h.HeadingAboveBearing), of(h.Clearance),
		of(h.BearingToFloor + h.HeadingAboveBearing - h.Clearance)}
}
