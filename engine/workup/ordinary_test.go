package workup_test

import (
	"fmt"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// ordinary makes an order of every ordinary window headed by hand: both pinches, pairs of 36 to 200 in by 4, in cloth
// of 45, 54, 60 and 118 in, with nothing else said.
func ordinary(t *testing.T, conventions orderfile.Conventions) *orderfile.Order {
	text := "order: O\nunits: in\nfabrics:\n"
	cloths := []int{45, 54, 60, 118}
	for _, usable := range cloths {
		text += fmt.Sprintf("  - {id: c%d, use: face, usable_width: %d}\n", usable, usable)
	}
	text += "treatments:\n"
	for _, heading := range []string{"pinch-2", "pinch-3"} {
		for _, usable := range cloths {
			for face := 36; face <= 200; face += 4 {
				text += fmt.Sprintf("  - {window: %s %d %d, heading: %[1]s, face_width: %[3]d, finished_length: 95 1/2, face: c%[2]d}\n", heading, usable, face)
			}
		}
	}
	o, problems := orderfile.Parse([]byte(text))
	if o == nil {
		t.Fatalf("%+v", problems)
	}
	o.Conventions = conventions
	return o
}

// told counts the windows with a warning, and those that show a seam.
func told(w *workup.Workup) (warned, shows int) {
	warns, seams := map[string]bool{}, map[string]bool{}
	for _, p := range w.Problems {
		if p.Severity != engine.Note {
			warns[p.Where[:len("treatments[")+3]] = true
		}
		if p.Code == "seam_shows" {
			seams[p.Where[:len("treatments[")+3]] = true
		}
	}
	return len(warns), len(seams)
}

// An ordinary window is no problem: of 336 at most one in twenty may be warned of, and at most one in fifty show a seam.
func TestOrdinaryWindows(t *testing.T) {
	now := orderfile.DefaultConventions(measure.In)
	w := workup.Compute(ordinary(t, now))
	warned, shows := told(w)
	was, wasShown := told(workup.Compute(ordinary(t, orderfile.FirstReleaseConventions(measure.In))))
	t.Logf("of %d: %d warned of (%d by the first release's conventions), %d with a seam in view (%d)", len(w.Treatments), warned, was, shows, wasShown)
	if len(w.Treatments) != 336 || warned*20 > 336 || shows*50 > 336 {
		t.Errorf("of %d windows %d are warned of and %d show a seam", len(w.Treatments), warned, shows)
	}
}
