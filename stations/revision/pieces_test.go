package revision

import (
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// Strips of bands that are as long do for one another only where they are as wide: unlike ones are told apart, and none is cut from a wider one.
// Tabs are known by their length alone, as they always were.
func TestStripsAreKnownByTheirWidth(t *testing.T) {
	strip := func(use workup.TrimmingUse, across int) plan.Cut {
		return plan.Cut{
			Length: measure.OfLength(116*measure.Inch, measure.In), Trimming: use, Across: measure.OfLength(measure.Inch.Times(across), measure.In),
			For: []plan.CutPart{{Ticket: "P", Count: 1}},
		}
	}
	of := func(cuts ...plan.Cut) []Piece {
		p := Pieces{}
		p.Add("sedge", cuts)
		return p.Of("P", "sedge")
	}
	if got := of(strip(workup.ForBand, 6), strip(workup.ForBand, 7)); len(got) != 2 {
		t.Errorf("unlike strips are %d kinds", len(got))
	}
	if got := of(strip(workup.ForBand, 6), strip(workup.ForBand, 6)); len(got) != 1 || got[0].Count() != 2 {
		t.Errorf("%+v", got)
	}
	if Fit(of(strip(workup.ForBand, 7)), of(strip(workup.ForBand, 6))) || !Fit(of(strip(workup.ForBand, 6)), of(strip(workup.ForBand, 6))) {
		t.Error("a strip of 7 is had from one of 6, or one of 6 isn't from its like")
	}
	if !Fit(of(strip(workup.ForTabs, 7)), of(strip(workup.ForTabs, 6))) {
		t.Error("tabs are known by their width")
	}
	places := Places{}
	for _, across := range []int{6, 7} {
		cut := strip(workup.ForBand, across)
		places.Add("sedge", &cut, func(plan.Code) bool { return true })
	}
	if n := len(places.Of("P", "sedge")); n != 2 {
		t.Errorf("unlike strips go to %d places", n)
	}
}
