package paper

import (
	"io"
	"os"
	"strings"
	"testing"
)

// tabbed are two windows on tabs of patterned cloth, twelve tabs in a row.
const tabbed = `order: SMI-020
customer: Saltmarsh Inn
due: 2026-12-18
units: in
conventions: {surplus: keep, fullness_slack: 0}
rods: [{id: pole, diameter: 1 3/8}]
fabrics: [{id: reed, use: face, usable_width: 60, vertical_repeat: 25, bolts: [{id: R1, length: 20 yd, lot: A, first_repeat: 4}]}]
treatments: [{window: "Bay, left", heading: tab, draw: stationary, quantity: 2, finished_width: 36, fullness: 1.5, finished_length: 80, face: reed}]
`

// A cutting ticket says of rows what they are cut into, and for whom; a tag's bundle counts the panel's own tabs, and its widths without them.
func TestTabsOnPaper(t *testing.T) {
	doc := ticketsDoc(t, worked(t, tabbed))
	text := readText(t, func(out io.Writer) error { return Tickets(out, doc) })
	for _, want := range []string{"8 tabs, each 5 in wide · single panel · window 1 of 2 · Bay, left", "4 tabs, each 5 in wide · single panel · window 2 of 2", "facing for the tabs · single panel"} {
		if !strings.Contains(strings.ToLower(text), strings.ToLower(want)) {
			t.Errorf("no ticket says %q", want)
		}
	}
	tags := readText(t, func(out io.Writer) error { return Tags(out, doc) })
	for _, want := range []string{"8 tabs", "4 tabs", "each cut 5 in wide", "Facing", "of 1"} {
		if !strings.Contains(tags, want) {
			t.Errorf("no tag says %q", want)
		}
	}
	for _, tag := range tagsOf(doc.Tickets) {
		if tag.cut.Trimming == "" && tag.of != 1 {
			t.Errorf("a tag of %d pieces, the panel has one width", tag.of)
		}
	}
	if at := os.Getenv("TABS_PDF"); at != "" {
		f, _ := os.Create(at + "/tickets.pdf")
		g, _ := os.Create(at + "/tags.pdf")
		_, _ = Tickets(f, doc), Tags(g, doc)
	}
}
