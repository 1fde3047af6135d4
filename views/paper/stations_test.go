package paper

import (
	"slices"
	"testing"

	"tablehand/stations"
)

// TestEveryStationHasItsPlaceOnPaper: each station has its shape on the label, and numbers of its own that its panels have.
func TestEveryStationHasItsPlaceOnPaper(t *testing.T) {
	drawn := []stations.Station{stations.Cutting, stations.Inserts, stations.Tape, stations.Heading, stations.Pleating}
	for _, s := range stations.Stations() {
		if !slices.Contains(drawn, s) && len(corners(s, 0, 0, 1)) == 0 {
			t.Errorf("%s has no shape in views/paper/marks.go", s)
		}
		if len(stationNumbers[s]) == 0 {
			t.Errorf("%s has no numbers on its label: name them in stationNumbers of views/paper/rows.go", s)
		}
	}
}
