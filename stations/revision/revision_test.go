package revision

import (
	"maps"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// A name of old counts for all axes, a limit and an entry for those of what they are held against.
func TestAxesOf(t *testing.T) {
	if axesOf("a_name_of_old") != workup.AllAxes || axesOf("cord_end") != workup.CordEnd || axesOf("pair_width", "fold_depth") != workup.Across|workup.Down {
		t.Errorf("%v %v %v", axesOf("a_name_of_old"), axesOf("cord_end"), axesOf("pair_width", "fold_depth"))
	}
}

// ticket is a panel of a treatment, with its finished length.
func ticket(treatment int, window, panel, length string) *plan.Ticket {
	return &plan.Ticket{Kind: plan.PanelTicket, Treatment: treatment, Window: window, Panel: panel, Copy: 1, Copies: 1, Edition: 2,
		Steps: []plan.Step{{Station: plan.Cutting}, {Station: plan.Joining, Values: []plan.Value{{Name: "flat_width", Value: measure.Read("124.5in")}}},
			{Station: plan.Fold, Values: []plan.Value{{Name: "finished_length", Value: measure.Read(length)}}}}}
}

// TestSameWindows: a window is the one of its name, then one that is the same under another name; what was removed before comes back
// only as the last choice.
func TestSameWindows(t *testing.T) {
	as := func(s *plan.Ticket) Panel { return Panel{s, s} }
	changed := as(ticket(3, "Hall", "L", "80in"))
	changed.Newest = ticket(3, "Hall", "L", "60in") // as a revision wanted it that came too late
	order := []Panel{as(ticket(0, "Bay", "L", "95.5in")), as(ticket(0, "Bay", "R", "95.5in")), as(ticket(1, "Door", "S", "84in")), changed,
		as(ticket(-1, "Attic", "S", "30in")), as(ticket(4, "Attic", "S", "40in"))}
	for _, c := range []struct {
		name string
		file []plan.Ticket
		want map[int]int
	}{
		{"as it is", []plan.Ticket{*ticket(0, "Bay", "L", "95.5in"), *ticket(0, "Bay", "R", "95.5in"), *ticket(1, "Door", "S", "84in")}, map[int]int{0: 0, 1: 1}},
		{"in another order", []plan.Ticket{*ticket(0, "Door", "S", "84in"), *ticket(1, "Bay", "L", "95.5in")}, map[int]int{0: 1, 1: 0}},
		{"another length", []plan.Ticket{*ticket(0, "Bay", "L", "90in")}, map[int]int{0: 0}},
		{"another name", []plan.Ticket{*ticket(0, "Bow", "L", "95.5in")}, map[int]int{0: 0}},
		{"another name, of what the newest file wanted", []plan.Ticket{*ticket(0, "Stair", "L", "60in")}, map[int]int{0: 3}},
		{"another name and length", []plan.Ticket{*ticket(0, "Bow", "L", "90in")}, map[int]int{}},
		{"one and its copy", []plan.Ticket{*ticket(0, "Door", "S", "84in"), *ticket(1, "Door", "S", "84in")}, map[int]int{0: 1}},
		{"removed before", []plan.Ticket{*ticket(0, "Attic", "S", "40in"), *ticket(1, "Attic", "S", "30in")}, map[int]int{0: 4, 1: -1}},
	} {
		if got := SameWindows(order, c.file); !maps.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// TestBlend: what is done keeps its numbers, and later steps those along the axes on which they changed.
func TestBlend(t *testing.T) {
	was, want := ticket(0, "Bay", "L", "95.5in"), ticket(0, "Bow", "L", "90in")
	want.Steps[1].Values[0].Value = measure.Read("130in")
	joined := func(step int) bool { return step < 2 }
	length := func(s plan.Ticket) string { return s.At(plan.Fold).Value("finished_length").String() }
	for _, c := range []struct {
		name          string
		begun, stays  bool
		width, length string
	}{
		{"nothing begun", false, false, "130in", "90in"},
		{"joined", true, false, "124.5in", "90in"},
		{"its cloth is cut otherwise", true, true, "124.5in", "95.5in"},
	} {
		got := Blend(was, want, c.begun, c.stays, joined)
		if w := got.At(plan.Joining).Value("flat_width").String(); w != c.width || length(got) != c.length || got.Window != "Bow" {
			t.Errorf("%s: %s wide, %s long, %s; want %+v", c.name, w, length(got), got.Window, c)
		}
		if names := Differences(&got, want); len(names) > 0 != (c.width != "130in") {
			t.Errorf("%s: %q differ", c.name, names)
		}
	}
}

// TestFit: a piece can be had from one as long or longer of its class, a half from a half.
func TestFit(t *testing.T) {
	cut := func(length, class string, half workup.Half) plan.Cut {
		return plan.Cut{Length: measure.Read(length), Class: class, For: []plan.CutPart{{Ticket: "P", Place: 1, Half: half}}}
	}
	of := func(cuts ...plan.Cut) []Piece {
		p := Pieces{}
		p.Add("reed", cuts)
		return p.Of("P", "reed")
	}
	tabs := func(length string, count int) plan.Cut {
		return plan.Cut{Length: measure.Read(length), Trimming: workup.ForTabs, For: []plan.CutPart{{Ticket: "Q", Place: 1, Count: 4}, {Ticket: "P", Place: 1, Count: count}}}
	}
	strip := plan.Cut{Length: measure.Read("9in"), Trimming: workup.ForFacing, For: []plan.CutPart{{Ticket: "P", Place: 1, Count: 1}}}
	behind := func(phase string) plan.Cut {
		c := cut("100in", "", "")
		c.Phase = measure.Read(phase)
		return c
	}
	whole, long, half := cut("100in", "A", ""), cut("120in", "A", ""), cut("100in", "A", "left")
	for _, c := range []struct {
		name       string
		asked, cut []Piece
		want       bool
	}{
		{"alike", of(whole, half), of(half, whole), true},
		{"longer ones", of(whole, whole), of(whole, long), true},
		{"a shorter one", of(long), of(whole), false},
		{"too few", of(whole, whole), of(long), false},
		{"one over", of(whole), of(whole, whole), true},
		{"of the other drop", of(cut("100in", "B", "")), of(whole), false},
		{"of another height", of(behind("4in")), of(behind("5in")), false},
		{"of one height", of(behind("4in"), behind("5in")), of(behind("5in"), behind("4in")), true},
		{"a whole width from a half", of(whole), of(half), false},
		{"a half from a whole width", of(half), of(whole), false},
		{"nothing", of(), of(), true},
		{"tabs in other rows", of(tabs("9in", 2), whole, tabs("9in", 6)), of(whole, tabs("9in", 8)), true},
		{"more tabs than cut", of(tabs("9in", 9)), of(tabs("9in", 6), tabs("9in", 2)), false},
		{"fewer tabs", of(tabs("9in", 3)), of(tabs("9in", 6)), true},
		{"longer tabs", of(tabs("10in", 6)), of(tabs("9in", 6)), false},
		{"tabs from a width", of(tabs("9in", 6)), of(whole), false},
		{"a width from tabs", of(whole), of(tabs("100in", 6)), false},
		{"facing from tabs", of(strip), of(tabs("9in", 6)), false},
		{"two strips from one", of(strip, strip), of(strip), false},
	} {
		if got := Fit(c.asked, c.cut); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	by := Places{}
	if by.Add("reed", &half, func(panel plan.Code) bool { return panel == "Q" }); len(by.Of("P", "reed")) > 0 {
		t.Errorf("not asked for: %v", by)
	}
	by.Add("reed", &half, func(panel plan.Code) bool { return panel == "P" })
	if by.Of("P", "reed")[Spot{place: 1}] != of(half)[0] || len(by.Of("P", "sateen"))+len(by.Of("Q", "reed")) > 0 {
		t.Errorf("%v", by)
	}
}

// TestWanted: what is cut stands for what the new file wants where each width is the one of its place; of tabs it is enough that there
// are no more than wanted, in whatever rows.
func TestWanted(t *testing.T) {
	all := func(plan.Code) bool { return true }
	of := func(cuts ...plan.Cut) map[Spot]Piece {
		p := Places{}
		for i := range cuts {
			p.Add("reed", &cuts[i], all)
		}
		return p.Of("P", "reed")
	}
	width := func(length string, place int) plan.Cut {
		return plan.Cut{Length: measure.Read(length), For: []plan.CutPart{{Ticket: "P", Place: place}}}
	}
	tabs := func(length string, place, count int) plan.Cut {
		return plan.Cut{Length: measure.Read(length), Trimming: workup.ForTabs, For: []plan.CutPart{{Ticket: "P", Place: place, Count: count}}}
	}
	asked := of(width("90in", 1), width("90in", 2), tabs("9in", 1, 2), tabs("9in", 2, 6))
	for _, c := range []struct {
		name string
		cut  map[Spot]Piece
		want bool
		many int
	}{
		{"nothing", of(), true, 0},
		{"one of two widths", of(width("90in", 2)), true, 1},
		{"a longer width", of(width("91in", 2)), false, 1},
		{"one width more", of(width("90in", 3)), false, 1},
		{"tabs of one row", of(tabs("9in", 1, 4)), true, 4},
		{"all tabs", of(tabs("9in", 1, 4), tabs("9in", 2, 4)), true, 8},
		{"a tab more", of(tabs("9in", 1, 4), tabs("9in", 2, 5)), false, 9},
		{"longer tabs", of(tabs("10in", 1, 2)), false, 2},
	} {
		if got := Wanted(c.cut, asked); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
		if got := Many(maps.Values(c.cut)); got != c.many {
			t.Errorf("%s: %d pieces, want %d", c.name, got, c.many)
		}
	}
}
