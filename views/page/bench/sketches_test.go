package bench

import (
	"testing"

	"tablehand/stations/plan"
)

// TestEveryActIsDrawn: each act of each station, each end that a cord can have and each reason of a hold has a sketch of its own.
func TestEveryActIsDrawn(t *testing.T) {
	var names []string
	for _, s := range plan.Stations() {
		for _, a := range plan.Acts(s, plan.ChecklistOf(s).Checks) {
			names = append(names, string(s)+" "+a.Name)
		}
	}
	for _, reason := range HoldReasons() {
		names = append(names, "hold "+reason)
	}
	for _, name := range append(names, "wound", "tucked", "cut") {
		if sketches[name] == "" {
			t.Errorf("%q has no sketch (sketches.go)", name)
		}
	}
	if len(names)+3 != len(sketches) {
		t.Errorf("%d sketches for %d acts, reasons and ends", len(sketches), len(names)+3)
	}
}
