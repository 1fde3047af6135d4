package paper

import (
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// manyPleats is a panel whose running marks fill more than a label.
const manyPleats = `order: PIN-2
units: in
fabrics: [{id: reed, use: face, usable_width: 54}]
treatments: [{window: Hall, heading: pinch-3, draw: one_way_left, face_width: 700, finished_length: 95 1/2, face: reed}]
`

// Every pleat's start and end stands on the ticket and in the packet, in order, as one pair.
func TestRunningMarksOnPaper(t *testing.T) {
	for name, source := range map[string]string{"pairs": pinched, "many": manyPleats} {
		w := worked(t, source)
		doc := ticketsDoc(t, w)
		var b bytes.Buffer
		packet, err := writePacket(&b, PacketDoc{TicketsDoc: doc, Revision: 1, Workup: w})
		if err != nil {
			t.Fatal(err)
		}
		_, label := render(t, doc)
		for _, ticket := range doc.Tickets {
			if ticket.Kind != plan.PanelTicket {
				continue
			}
			marks := ticket.Number(chalkMarks).Parts()
			if len(marks) != 2*ticket.Number("pleats").Count() {
				t.Fatalf("%s: %d marks for %s pleats", name, len(marks), ticket.Number("pleats"))
			}
			for k := 0; k < len(marks); k += 2 {
				want := strings.TrimSuffix(doc.Say.Quantity(marks[k]), " in") + " – " + strings.TrimSuffix(doc.Say.Quantity(marks[k+1]), " in")
				if on(label.pen, want) == 0 || on(packet, want) == 0 {
					t.Errorf("%s: pleat %d, %s: %d times on the ticket, %d in the packet", name, k/2+1, want, on(label.pen, want), on(packet, want))
				}
			}
		}
	}
}

// on counts how often a text was printed.
func on(p *pen, text string) int {
	n := 0
	for _, l := range p.log {
		if l.text == text {
			n++
		}
	}
	return n
}

// The drawing has a stroke at each mark, in the order's unit.
func TestRunningMarksAreDrawn(t *testing.T) {
	w := worked(t, pinched)
	p := firstPanel(w)
	var b bytes.Buffer
	if err := drawFlat(&b, p, ticketsDoc(t, w).Say); err != nil {
		t.Fatal(err)
	}
	for _, mark := range p.PleatMarks {
		if !strings.Contains(b.String(), `<line class="mark" x1="`+strings.TrimSuffix(mark.In(measure.In), "in")+`"`) {
			t.Errorf("no stroke at %s", mark.In(measure.In))
		}
	}
}

// A ticket of the first release is printed with what it has: take-ups and spaces, and no marks, tape or hooks.
func TestTheFirstReleasesTicketOnPaper(t *testing.T) {
	for name, source := range map[string]string{"hand": pinched, "tape": readContract(t)} {
		w := worked(t, source)
		doc := ticketsDoc(t, w)
		later := []string{"pleat_marks", "hooks", "hook_drop", "weights", "weight_places", "lining_width", "lining_surplus", "lining_lift", "lining_trim"}
		for _, ticket := range doc.Tickets {
			ticket.Edition, ticket.Tape, ticket.Use = 0, "", ""
			for i := range ticket.Steps {
				ticket.Steps[i].Values = slices.DeleteFunc(ticket.Steps[i].Values, func(v plan.Value) bool { return slices.Contains(later, v.Name) })
			}
		}
		packet, err := writePacket(io.Discard, PacketDoc{TicketsDoc: doc, Revision: 1, Workup: w})
		if err != nil {
			t.Fatal(err)
		}
		_, label := render(t, doc)
		for _, p := range []*pen{label.pen, packet} {
			marks := on(p, doc.Say.T("paper.value."+chalkMarks, "Unit", "in"))
			spaces := on(p, doc.Say.T("paper.value.space")) + on(p, doc.Say.T("value.space"))
			if marks > 0 || name == "hand" && spaces == 0 {
				t.Errorf("%s: %d titles of marks, %d of spaces", name, marks, spaces)
			}
		}
	}
}
