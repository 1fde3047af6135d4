package views

import (
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestRodOf: pieces hang at their stations in the order of the work, then what is finished and what left the floor; the panels
// of a window hang together, a fabric that is cut hangs no more, and a rod that only counts has the same counts.
func TestRodOf(t *testing.T) {
	panel := func(window, side string, station plan.Station, state stations.State) Piece {
		return Piece{Kind: plan.PanelTicket, Window: window, Panel: side, Station: station, State: state}
	}
	pieces := []Piece{
		panel("Door", "L", "packing", stations.Cancelled), panel("Bay", "L", "fold", stations.AtWork), panel("Bay", "R", "fold", stations.Ready),
		panel("Stair", "S", "packing", stations.Finished), panel("Hall", "S", "joining", stations.Ready), panel("Old", "S", "beading", stations.Ready),
		{Kind: plan.CuttingTicket, Fabric: "reed", Station: "cutting", State: stations.Finished}, {Kind: plan.CuttingTicket, Fabric: "sateen", Station: "cutting", State: stations.Ready},
		panel("sateen", "S", "cutting", stations.Waiting),
	}
	want := []struct {
		station plan.Station
		word    string
		count   int
		windows int
	}{{"cutting", "", 2, 2}, {"joining", "", 1, 1}, {"fold", "", 2, 1}, {"beading", "", 1, 1}, {"", "state.finished", 1, 1}, {"", "rod.ended", 1, 1}}
	for _, counts := range []bool{false, true} {
		rod := RodOf(pieces, plan.Stations(), counts)
		if len(rod) != len(want) {
			t.Fatalf("%+v", rod)
		}
		for i, w := range want {
			if counts {
				w.windows = 0
			}
			if r := rod[i]; r.Station != w.station || r.Word != w.word || r.Count != w.count || len(r.Windows) != w.windows {
				t.Errorf("place %d: %+v, want %+v", i, r, w)
			}
		}
		if rod[2].AtWork != 1 {
			t.Errorf("%d at work at the fold", rod[2].AtWork)
		}
	}
}
