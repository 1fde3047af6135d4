package paper

import (
	"bytes"
	"io"
	"os"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// turned is a sheer pair whose width runs along the bolt, and velvet beside it.
const turnedSheers = `order: SMI-021
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - {id: voile, use: face, usable_width: 118, sheer: true, bolts: [{id: V1, length: 40 yd, lot: A}]}
  - {id: velvet, use: face, usable_width: 54, pile: up, bolts: [{id: N1, length: 20 yd, lot: B}]}
treatments:
  - {window: Bay, heading: pinch-3, face_width: 84, finished_length: 95, face: voile, railroad: true}
  - {window: Snug, heading: pinch-3, face_width: 40, finished_length: 84, face: velvet}
`

// A cutting ticket says of a railroaded cut how much of the bolt's width it needs, and the panel's that it is cut along the bolt; a drawing
// shows it as wide as it runs. Which way a pile runs stands where it is cut and joined.
func TestRailroadedOnPaper(t *testing.T) {
	w := worked(t, turnedSheers)
	doc := ticketsDoc(t, w)
	text := squeeze(readText(t, func(out io.Writer) error { return Tickets(out, doc) }))
	for _, want := range []string{"turned, run", "across 113 in", "149 1/2 in 1 along bolt", "Turned pieces"} {
		if !strings.Contains(text, want) {
			t.Errorf("no ticket says %q", want)
		}
	}
	if tags := readText(t, func(out io.Writer) error { return Tags(out, doc) }); strings.Count(tags, "turned") != 2 {
		t.Errorf("tags say %q", tags)
	}
	for _, s := range doc.Tickets {
		for _, station := range []plan.Station{plan.Cutting, plan.Joining} {
			step := s.At(station)
			if step == nil {
				continue
			}
			if of := s.Fabric + s.Face(); strings.Contains(of, "velvet") != (step.Value("pile").String() == "up") {
				t.Errorf("%s of %s: pile %q", station, of, step.Value("pile"))
			}
		}
	}
	say := i18n.For("en")
	if got := say.Quantity(measure.OfWord("up")); got != "up" {
		t.Errorf("a pile %q", got)
	}
	var drawn bytes.Buffer
	p := PanelOf(w, 0, "L")
	if ok, err := SpotSVG(&drawn, p, "run", measure.In, say); !ok || err != nil || !strings.Contains(drawn.String(), "149") {
		t.Errorf("%v %v %s", ok, err, drawn.String())
	}
	if at := os.Getenv("TURNED_PDF"); at != "" {
		for name, write := range map[string]func(io.Writer, TicketsDoc) error{"tickets": Tickets, "tags": Tags} {
			f, _ := os.Create(at + "/" + name + ".pdf")
			if err := write(f, doc); err != nil {
				t.Error(err)
			}
		}
		_ = os.WriteFile(at+"/spot.svg", drawn.Bytes(), 0o644)
	}
}
