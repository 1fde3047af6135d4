package stations

import (
	"slices"
	"testing"
)

// Every number that a panel's ticket may have lies along an axis: one that doesn't would keep all numbers of the steps
// after it as they were.
func TestEveryNumberHasAnAxis(t *testing.T) {
	for name := range numbers {
		if axes[name] == 0 {
			t.Errorf("%s has no axis", name)
		}
	}
	for _, station := range shipped().Stations {
		for _, entry := range station.Enter {
			if axes[entry.Name] == 0 {
				t.Errorf("%s, entered at %s, has no axis", entry.Name, station.Station)
			}
		}
	}
}

// A pinch pleated panel whose heading is sewn keeps its length. Its pleats aren't marked yet, so they all are where the
// newest file has them.
func TestPleatsNotMarkedYetFollow(t *testing.T) {
	byHand := []string{"heading: cartridge-tape, draw: one_way_left", "heading: pinch-2, draw: one_way_left",
		"finished_length: 84, face: reed, lining: sateen", "finished_length: 84, face: reed, surplus: keep"}
	s := newShop(t)
	o := s.begin(byHand...)
	s.cutAll(o)
	door := s.panel("Door", "S").Spec.Code
	s.workTo(door, Pleating)
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
	was, wanted := now.Spec.at(Pleating), now.Wanted.at(Pleating)
	for _, name := range valueNames(wanted) {
		if was.value(name) != wanted.value(name) {
			t.Errorf("%s is %s, wanted %s", name, was.value(name), wanted.value(name))
		}
	}
	for i, entry := range wanted.Enter {
		if was.Enter[i].Target != entry.Target {
			t.Errorf("%s is held against %s, wanted %s", entry.Name, was.Enter[i].Target, entry.Target)
		}
	}
	if got := now.Spec.at(Packing).entry("finished_length").Target; got.String() != "84in" {
		t.Errorf("packed at %s, sewn to 84 in", got)
	}
}
