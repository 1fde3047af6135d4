package paper

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// unpleated are windows of the headings without pleats, by name: what stands beside the order's treatments, and the window. Each
// drawing that shows one must bear its widest and its fullest.
var unpleated = map[string][2]string{
	"pencil":         {"tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3}]", "heading: pencil-tape, face_width: 84, finished_length: 95 1/2"},
	"pencil, turned": {"tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3, top_drop: 1/4}]", "heading: pencil-tape, draw: one_way_right, face_width: 65, return: 3, finished_length: 80"},
	"pocket":         {"rods: [{id: r, diameter: 1}]", "heading: rod-pocket, draw: stationary, finished_width: 40, finished_length: 87 5/8, pocket: {stand: 1 1/2}"},
	"pocket, bare":   {"rods: [{id: r, kind: flat, circumference: 5 1/2}]", "heading: rod-pocket, draw: stationary, finished_width: 40, finished_length: 30"},
	"eyelet":         {"rods: [{id: r, diameter: 1}]", "heading: eyelet, face_width: 96, finished_length: 94"},
	"eyelet, turned": {"rods: [{id: r, diameter: 1, projection: 4}]", "heading: eyelet, draw: one_way_left, face_width: 45, return: 3, finished_length: 84"},
	"eyelet, small":  {"rods: [{id: r, kind: track}]", "heading: eyelet, draw: stationary, finished_width: 9, finished_length: 108"},
	"tab":            {"rods: [{id: r, diameter: 1 3/8}]", "heading: tab, draw: stationary, quantity: 2, finished_width: 36, fullness: 1.5, finished_length: 80"},
	"tab, looped":    {"rods: [{id: r, kind: flat}]", "heading: tab, face_width: 60, finished_length: 60, tab: {loop: 8, width: 1 1/2}"},
	"ring":           {"rods: [{id: r, diameter: 1, ring_inner: 1 1/2, ring_drop: 2}]", "heading: ring, face_width: 125, overlap: 4, return: 6, fullness: 2.5, finished_length: 106"},
	"ring, unknown":  {"rods: []", "heading: ring, draw: stationary, finished_width: 20, finished_length: 108"},
	"wave":           {"rods: [{id: r, kind: track, carrier_pitch: 3 1/8}]\ntapes: [{id: s-8, kind: wave, height: 3, pocket_pitch: 3/4, pockets: 8}]", "heading: wave-tape, face_width: 150, return: 3 1/2, finished_length: 95"},
}

// unpleatedOrder is an order of one of them.
func unpleatedOrder(t testing.TB, name string) *workup.Workup {
	t.Helper()
	of, known := unpleated[name]
	if !known {
		t.Fatalf("no window %q", name)
	}
	w := worked(t, fmt.Sprintf("order: SMI-031\nunits: in\nfabrics: [{id: reed, use: face, usable_width: 54}]\n%s\ntreatments: [{window: Bay, face: reed, %s}]\n", of[0], of[1]))
	if len(w.Treatments[0].Panels) == 0 {
		t.Fatalf("%s: %+v", name, w.Problems)
	}
	return w
}

// firstPanel is the first of an order.
func firstPanel(w *workup.Workup) *Panel { return hungOf(w, &w.Treatments[0], 0) }

func TestShots(t *testing.T) {
	dir := os.Getenv("SHOTS")
	if dir == "" {
		t.Skip()
	}
	for name := range unpleated {
		w := unpleatedOrder(t, name)
		f, _ := os.Create(filepath.Join(dir, name+".svg"))
		_ = WorkupSVG(f, w, i18n.For(os.Getenv("LANGUAGE_")))
		f.Close()
		var b bytes.Buffer
		b.WriteString("<div class='drawing'>")
		for k := range w.Treatments[0].Panels {
			p := hungOf(w, &w.Treatments[0], k)
			_ = PlanHTML(&b, Plan{Panel: p, Letters: string(p.ID), Units: "in"}, i18n.For("en"))
		}
		b.WriteString("<div style='width:80px'>")
		_ = ClothHTML(&b, Plan{Panel: firstPanel(w), Units: "in"})
		b.WriteString("</div></div>")
		for _, n := range workup.Numbers() {
			var s bytes.Buffer
			if ok, _ := SpotSVG(&s, firstPanel(w), n.Key, "in", i18n.For("en")); ok {
				fmt.Fprintf(&b, "<figure style='width:320px;margin:4px;display:inline-block;vertical-align:top' class='drawing spot-drawing'><figcaption>%s</figcaption>%s</figure>", n.Key, s.String())
			}
		}
		_ = os.WriteFile(filepath.Join(dir, name+".html"), append([]byte("<link rel=stylesheet href=/work/w-drawings/views/assets/tablehand.css><body style='max-width:none;display:block'>"), b.Bytes()...), 0o600)
	}
}
