package paper

import (
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// clothPanel is a panel of the order of cloth that is turned, banded, piled and printed.
func clothPanel(t *testing.T, window string, panel workup.PanelID) *Panel {
	t.Helper()
	w := worked(t, readFile(t, "../../testdata/orderfile/cloth.yaml"))
	for i := range w.Treatments {
		if w.Treatments[i].Window == window {
			return PanelOf(w, w.Treatments[i].Index, string(panel))
		}
	}
	t.Fatalf("no window %q", window)
	return nil
}

// TestBandsAreDrawnWhereTheyAre: each strip as wide as it is seen and as far from its edge, the corners mitred, the seam of one joined on
// up to where it meets another.
func TestBandsAreDrawnWhereTheyAre(t *testing.T) {
	in := measure.Inch
	p := clothPanel(t, "Study", workup.Single)
	_, s := flatOf(p, 12, "en")
	h, l := p.FlatWidth, p.FinishedLength
	want := []drawnThing{{class: "band", x: h - 3*in, width: 3 * in, height: l}, {class: "band", y: l - 5*in, width: h, height: 5 * in}}
	if got := s.all("band"); !slices.Equal(got, want) {
		t.Errorf("bands %+v, want %+v", got, want)
	}
	for _, seam := range []drawnThing{{class: "seam", x: h - 3*in, height: l - 5*in}, {class: "seam", y: l - 5*in, width: h - 3*in}} {
		if !slices.Contains(s.all("seam"), seam) {
			t.Errorf("no seam %+v in %+v", seam, s.all("seam"))
		}
	}
	if got, corner := s.all("mitre"), (drawnThing{class: "mitre", x: h, y: l, width: -3 * in, height: -5 * in}); !slices.Equal(got, []drawnThing{corner}) {
		t.Errorf("corners %+v, want %+v", got, corner)
	}
	p = clothPanel(t, "Door", workup.Single)
	_, s = flatOf(p, 12, "en")
	if got := s.all("band"); len(got) != 3 || got[0].x != p.FlatWidth-in.MulDiv(7, 2) || got[2].x != in.MulDiv(3, 2) || got[1].y != p.FinishedLength-in.MulDiv(15, 2) {
		t.Errorf("sewn on %+v", got)
	}
	if len(s.all("sewn")) != 6 || len(s.all("mitre")) != 2 {
		t.Errorf("%d lines of bands on top, %d corners", len(s.all("sewn")), len(s.all("mitre")))
	}
}

// TestMotifsAreDrawnWhereTheyAre: a ring at the middle of each, and under those that have room their figures; what was trimmed for them is
// said at its edge.
func TestMotifsAreDrawnWhereTheyAre(t *testing.T) {
	for id, trim := range map[workup.PanelID]string{workup.Left: "6 in off at the leading edge", workup.Right: ""} {
		p := clothPanel(t, "Bay", id)
		f, s := flatOf(p, 100, "en")
		var at []measure.Length
		for _, ring := range s.all("motif") {
			if ring.height == 0 {
				at = append(at, ring.x)
			}
		}
		if len(at) < 8 || !slices.Equal(at, p.MotifPositions) {
			t.Errorf("%s: rings at %v, want %v", id, at, p.MotifPositions)
		}
		if figures := s.all("motif-text"); len(figures) != len(at) || figures[0].text != "○ "+f.words(at[0]) {
			t.Errorf("%s: figures %+v", id, figures)
		}
		said := strings.Join(f.said, "\n")
		if !strings.Contains(said, trim) || strings.Contains(said, " off at ") != (p.MotifTrim > 0) {
			t.Errorf("%s: trim of %v is said as %q", id, p.MotifTrim, said)
		}
	}
}

// TestCordAndPileAreDrawn: the cord from edge to edge in the hem, the arrow down or up as the pile lies.
func TestCordAndPileAreDrawn(t *testing.T) {
	p := clothPanel(t, "Bay, sheers", workup.Left)
	f, s := flatOf(p, 12, "en")
	if cord := s.all("cord"); len(cord) != 1 || cord[0].width != p.FlatWidth || cord[0].y <= p.FinishedLength-p.BottomHem || cord[0].y >= p.FinishedLength || !slices.Contains(f.said, "turned: its width ran along the bolt") {
		t.Errorf("cord %+v, said %v", cord, f.said)
	}
	p = clothPanel(t, "Door", workup.Single)
	for _, pile := range []string{"down", "up"} {
		on := *p.Panel
		on.Pile = "down"
		if pile == "up" {
			on.Pile = "up"
		}
		f, s = flatOf(&Panel{&on, p.Hardware}, 12, "en")
		arrow := s.all("pile")
		if down := arrow[1].y+arrow[1].height == arrow[0].y+arrow[0].height; len(arrow) != 3 || down != (pile == "down") || !slices.Contains(f.said, "arrow: pile "+pile) {
			t.Errorf("pile %s: %+v, said %v", pile, arrow, f.said)
		}
	}
}

// TestRunsAreNotCalledLengths: what a ticket's cuts have along the bolt is named by whether they are turned.
func TestRunsAreNotCalledLengths(t *testing.T) {
	for want, cuts := range map[string][]plan.Cut{"length": {{}, {}}, "run": {{Railroaded: true}}, "length_or_run": {{}, {Railroaded: true}}} {
		if got := plan.Along(cuts); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
