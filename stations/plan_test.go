package stations

import (
	"slices"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
)

// A ticket of the first release has none of the numbers that came later. Nothing counts as changed by that, and the work
// after what is done is not held to the old for it.
func TestTicketsOfTheFirstRelease(t *testing.T) {
	s := newShop(t)
	now := plan.Tickets(exampleOrder(t, "SMI-014", 1), nil, s.code)[2]
	was := firstRelease(now)
	if names := revision.Differences(&was, &now); len(names) > 0 {
		t.Errorf("%q differ", names)
	}
	ticket := newTicket(&was, &Order{}, 0, s.now)
	ticket.At = 2 // joined
	b := revision.Blend(ticket.Spec, &now, ticket.Begun(), false, ticket.done)
	if got := b.At(plan.Packing).Value("hooks"); got != now.At(plan.Packing).Value("hooks") || len(revision.Differences(&b, &now)) > 0 {
		t.Errorf("packing shows %q hooks; %q differ", got, revision.Differences(&b, &now))
	}
	if b.At(plan.Joining).Value("weights").String() != "" {
		t.Error("what is joined takes a new number")
	}
	wider := now
	wider.Steps = slices.Clone(now.Steps)
	for i := range wider.Steps {
		wider.Steps[i].Values = slices.Clone(wider.Steps[i].Values)
		for k := range wider.Steps[i].Values {
			if v := &wider.Steps[i].Values[k]; v.Name == "flat_width" || v.Name == "hooks" {
				v.Value = measure.Read("7in")
			}
		}
	}
	b = revision.Blend(ticket.Spec, &wider, ticket.Begun(), false, ticket.done)
	if got := b.At(plan.Packing).Value("hooks"); got.String() != "" {
		t.Errorf("a panel that keeps its width takes %q hooks of another", got)
	}
}

// firstRelease is a ticket as the first release made it.
func firstRelease(t plan.Ticket) plan.Ticket {
	t.Edition, t.Tape, t.Under = 0, "", ""
	t.Steps = slices.Clone(t.Steps)
	for i := range t.Steps {
		t.Steps[i].Values = slices.DeleteFunc(slices.Clone(t.Steps[i].Values), func(v plan.Value) bool { return len(plan.Known([]string{v.Name}, &t, &t)) == 0 })
	}
	return t
}
