package stations

import (
	"slices"
	"testing"

	"tablehand/stations/plan"
)

// A pinch pleated panel whose heading is sewn keeps its length. Its pleats aren't marked yet, so they all are where the
// newest file has them.
func TestPleatsNotMarkedYetFollow(t *testing.T) {
	byHand := []string{"heading: cartridge-tape, draw: one_way_left", "heading: pinch-2, draw: one_way_left",
		"finished_length: 84, face: reed, lining: sateen", "finished_length: 84, face: reed, surplus: keep"}
	s := newShop(t)
	o := s.begin(byHand...)
	s.cutAll(o)
	door := s.panel("Door", "S").Spec.Code
	s.workTo(door, plan.Pleating)
	// Every cut takes eight repeats of 13½ either way.
	s.revise(append(byHand, "finished_length: 84", "finished_length: 83 1/2, lead_flat: 4")...)
	now := s.floor.Ticket(door)
	if now.Wanted == nil {
		t.Fatal("nothing is kept")
	}
	for _, name := range []string{"finished_length", "plain_length"} {
		if !slices.Contains(now.Kept, name) {
			t.Errorf("%s isn't kept: %q", name, now.Kept)
		}
	}
	was, wanted := now.Spec.At(plan.Pleating), now.Wanted.At(plan.Pleating)
	for _, v := range wanted.Values {
		if was.Value(v.Name) != v.Value {
			t.Errorf("%s is %s, wanted %s", v.Name, was.Value(v.Name), v.Value)
		}
	}
	for i, entry := range wanted.Enter {
		if was.Enter[i].Target != entry.Target {
			t.Errorf("%s is held against %s, wanted %s", entry.Name, was.Enter[i].Target, entry.Target)
		}
	}
	if got := now.Spec.At(plan.Packing).Entry("finished_length").Target; got.String() != "84in" {
		t.Errorf("packed at %s, sewn to 84 in", got)
	}
}
