package stations

import (
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// TestKerfBetweenPromises: cuts that lie within a kerf of each other on a bolt of the shelf don't stand, nor do they within one of what is
// off it; those of a bolt of the file do.
func TestKerfBetweenPromises(t *testing.T) {
	s := newShop(t)
	code := s.bolt("200yd", "")
	order := s.onBolts("A", code) // one right behind the other
	ways := shelf.ShippedWays(measure.In)
	var tickets []plan.Ticket
	for _, ticket := range cuts(order) {
		tickets = append(tickets, *s.floor.Ticket(ticket).Spec)
	}
	o := s.floor.Overlay()
	alone := tickets[0] // of its fabric, far from what other fabrics have of the bolt
	alone.Cuts = append([]plan.Cut{}, alone.Cuts[:2]...)
	alone.Cuts[0].From = measure.OfLength(150*measure.Yard, measure.In)
	alone.Cuts[1].From = measure.OfLength(alone.Cuts[0].End(), measure.In)
	for name, lines := range map[string]plan.Ticket{"of one ticket": alone, "of several": tickets[len(tickets)-1]} {
		ways.Kerf = 0
		if !o.standing(order, []plan.Ticket{lines}, ways) {
			t.Fatalf("%s: without a kerf they don't stand", name)
		}
		ways.Kerf = measure.Inch
		if o.standing(order, []plan.Ticket{lines}, ways) {
			t.Errorf("%s: cuts that touch stand, though a kerf is lost between them", name)
		}
	}
	ticket := s.floor.Ticket(tickets[0].Code).copy()
	last := ticket.Spec.Cuts[len(ticket.Spec.Cuts)-1]
	from := measure.OfLength(last.End(), measure.In)
	ticket.Off = []Off{{As: OffSpoilt, Bolt: string(code), From: from, To: measure.OfLength(last.End()+measure.Inch, measure.In)}}
	if !o.hasRoom(ticket, shelf.ShippedWays(measure.In)) || o.hasRoom(ticket, ways) {
		t.Error("a cut right in front of one that was spoilt has room by the kerf, or hasn't without one")
	}
	spec := *ticket.Spec
	ticket.Spec = &spec
	ticket.Off[0].Bolt = "R1"
	spec.Cuts = []plan.Cut{last}
	spec.Cuts[0].Bolt = "R1"
	if !o.hasRoom(ticket, ways) {
		t.Error("a kerf is lost on a bolt of the file")
	}
}
