package plan

import (
	"slices"
	"testing"
)

// TestCautionsOfAStation: at cutting what can hurt stands with the cloth's list, elsewhere with the panel's; each is told once.
func TestCautionsOfAStation(t *testing.T) {
	for station, want := range map[Station]string{Cutting: "blade", Pressing: "steam", "beading": ""} {
		got := Cautions(station)
		if (want == "") != (len(got) == 0) || want != "" && !slices.Contains(got, want) || len(slices.Compact(slices.Sorted(slices.Values(got)))) != len(got) {
			t.Errorf("at %s: %v, want %s among them", station, got, want)
		}
	}
}
