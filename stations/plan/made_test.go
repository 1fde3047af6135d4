package plan

import (
	"testing"

	"tablehand/engine/measure"
)

// A ticket is of the work-up that it was released with, whatever else either has a number of; of another it is not.
func TestMadeBy(t *testing.T) {
	w := example(t, "SMI-014", 2)
	other := example(t, "SMI-014", 2)
	for i := range other.Treatments[0].Panels {
		other.Treatments[0].Panels[i].FlatWidth += measure.Inch
	}
	for _, ticket := range Tickets(w, nil, newCodes()) {
		if ticket.Kind == CuttingTicket {
			if !ticket.CutBy(w) {
				t.Errorf("the cutting of %s isn't its own work-up's", ticket.Fabric)
			}
			continue
		}
		if !ticket.MadeBy(w, 0) || ticket.MadeBy(other, 0) || ticket.MadeBy(w, 1) || ticket.MadeBy(w, -1) {
			t.Errorf("panel %s: of its work-up %v, of another %v, of a window that isn't there %v, %v", ticket.Panel,
				ticket.MadeBy(w, 0), ticket.MadeBy(other, 0), ticket.MadeBy(w, 1), ticket.MadeBy(w, -1))
		}
		joining := ticket.At(Joining)
		joining.Values = append(joining.Values, Value{"shading", measure.OfWord("left to right")})
		if !ticket.MadeBy(w, 0) {
			t.Errorf("panel %s: a number that only the ticket has makes it another's", ticket.Panel)
		}
		bare := ticket
		bare.Panel = "X"
		if bare.MadeBy(w, 0) {
			t.Error("a panel that isn't there")
		}
	}
}

// A number of a ticket is a step's value, else the target of an entry, else a tolerance; none for what it lacks.
func TestNumberOfATicket(t *testing.T) {
	panel := Tickets(example(t, "SMI-014", 2), nil, newCodes())[2]
	for name, want := range map[string]string{"flat_width": "124.5in", "tape_piece": "126.5in", "length_return": "95.5in", "dots": "20", "nothing": ""} {
		if got := panel.Number(name).String(); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
}
