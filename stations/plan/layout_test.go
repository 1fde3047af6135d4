package plan

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawnLayout is some layout that Check takes.
func drawnLayout(t *rapid.T) Layout {
	var l Layout
	for _, s := range append(Stations(), OwnStations()...) {
		f := Fitting{Station: s, Off: s != Cutting && rapid.Bool().Draw(t, "off"), Safety: SafetyNext}
		if IsOwn(s) {
			if rapid.Bool().Draw(t, "not there") {
				continue
			}
			f.Name = string(s)
			for _, way := range RouteNames() {
				f.After = append(f.After, Place{way, rapid.SampledFrom(Layout(nil).Route(way)).Draw(t, "after")})
			}
			f.Checks = []OwnCheck{{ownCheck(s, 1), "a check"}}
			f.Enter = []OwnEntry{{Target: rapid.SampledFrom(Measurable()).Draw(t, "measures").Target}}
		}
		l = append(l, f)
	}
	for _, p := range l.Check() {
		if p.Code != "route_empty" {
			t.Fatalf("%s %s of a layout that only routes can be wrong in", p.Where, p.Code)
		}
		t.SkipNow() // another is drawn: with nearly all switched off a route has nothing left
	}
	return l
}

// TestSafetyStays: whatever a shop switches off and adds, each check of safety that a panel or piece would be asked is asked of it, with
// what is entered in its act, and as an act of safety; no ticket passes a station that is off, or one twice.
func TestSafetyStays(t *testing.T) {
	w := example(t, "SMI-014", 2)
	shipped := Tickets(w, nil, newCodes())
	safety := func(ticket *Ticket) (names []string) {
		for i := range ticket.Steps {
			for _, a := range Acts(ticket.Steps[i].Station, ticket.Steps[i].Checks) {
				if a.Safety {
					names = append(names, a.Checks...)
				}
				if a.With != "" && ticket.Steps[i].Entry(a.With) == nil {
					t.Fatalf("%v has no %s", a.Checks, a.With)
				}
			}
		}
		slices.Sort(names)
		return names
	}
	rapid.Check(t, func(t *rapid.T) {
		l := drawnLayout(t)
		for i, ticket := range Tickets(w, l, newCodes()) {
			if got, want := safety(&ticket), safety(&shipped[i]); !slices.Equal(got, want) {
				t.Fatalf("%s %s is asked %v for safety, want %v", ticket.Kind, ticket.Panel, got, want)
			}
			var passed []Station
			for _, step := range ticket.Steps {
				if l.Off(step.Station) || slices.Contains(passed, step.Station) {
					t.Fatalf("%s passes %s, off %v", ticket.Panel, step.Station, l.Off(step.Station))
				}
				passed = append(passed, step.Station)
			}
		}
	})
}

// TestWay: what an event keeps of a layout plans the same tickets as the layout, and no word of it.
func TestWay(t *testing.T) {
	w := example(t, "SMI-014", 2)
	rapid.Check(t, func(t *rapid.T) {
		l := drawnLayout(t)
		is, again := Tickets(w, l, newCodes()), Tickets(w, l.Way(), newCodes())
		for i := range is {
			if len(is[i].Steps) != len(again[i].Steps) {
				t.Fatalf("%d steps, again %d", len(is[i].Steps), len(again[i].Steps))
			}
			for k := range is[i].Steps {
				if a, b := is[i].Steps[k], again[i].Steps[k]; a.Station != b.Station || !slices.Equal(a.Checks, b.Checks) || len(a.Enter) != len(b.Enter) {
					t.Fatalf("%v, again %v", a, b)
				}
			}
		}
		for _, f := range l.Way() {
			if f.Name != "" || f.Bench != "" || len(f.Checks) > 0 && f.Checks[0].Label != "" {
				t.Fatalf("%v is kept", f)
			}
		}
	})
}

// TestOwnNumbers: a new check takes a number that no ticket can know, and what an own station measures is held against its number.
func TestOwnNumbers(t *testing.T) {
	l := Layout{{Station: "own_b", Checks: []OwnCheck{{"own_b_check_2", "a"}, {"", "b"}, {"", "c"}}}}.NumberChecks([]string{"own_b_check_4", "own_a_check_9"})
	if got := l[0].Checks; got[1].Name != "own_b_check_5" || got[2].Name != "own_b_check_6" || got[0].Name != "own_b_check_2" {
		t.Error(got)
	}
	for _, m := range Measurable() {
		if got := Target(ownEntry("own_c", m.Target)); got != m.Target {
			t.Errorf("%s is held against %s", m.Target, got)
		}
	}
	if Number("own_a") != 21 || MarkOf("own_a") == MarkOf("own_b") || OwnTarget("finished_width") != "" || OwnTarget("own_z_finished_width") != "" {
		t.Error("places of a shop's own stations")
	}
}
