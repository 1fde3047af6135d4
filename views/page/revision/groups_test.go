package revision

import (
	"testing"

	"tablehand/engine/measure"
	"tablehand/views"
)

// TestGroups: tickets that change alike stand together, in their order, and each is in one group alone.
func TestGroups(t *testing.T) {
	change := func(window, was string) views.TicketChange {
		return views.TicketChange{Piece: views.Piece{Window: window}, Numbers: []views.NumberChange{{Name: "cut_length", Was: measure.Read(was), Wants: measure.Read("108in")}}}
	}
	kept := change("C", "121.5in")
	kept.Protected = true
	got := Page{Changes: []views.TicketChange{change("A", "121.5in"), change("B", "110in"), kept, change("D", "121.5in")}}.Groups()
	names := ""
	for _, g := range got {
		for _, p := range g.Pieces {
			names += p.Window
		}
		names += " "
	}
	if names != "AD B C " {
		t.Errorf("the groups are %q", names)
	}
}
