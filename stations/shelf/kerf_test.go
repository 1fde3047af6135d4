package shelf

import (
	"fmt"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// TestKerfIsScrapped: what is lost between cuts is scrapped by the event of the cut behind it, and is no part of a remnant.
func TestKerfIsScrapped(t *testing.T) {
	for name, row := range map[string]struct {
		flaw string // of the bolt, 2 in long
		cuts []string
		want string
	}{
		"one behind the other":          {"", []string{"0 60", "61 60"}, "cut 0–60, scrapped 60–61, cut 61–121"},
		"none at the beginning":         {"", []string{"30 60"}, "remnant 0–29, scrapped 29–30, cut 30–90"},
		"a remnant between two":         {"", []string{"0 60", "90 60"}, "cut 0–60, scrapped 60–61, remnant 61–89, scrapped 89–90, cut 90–150"},
		"too short for one by the kerf": {"", []string{"0 60", "81 60"}, "cut 0–60, scrapped 60–81, cut 81–141"},
		"long enough with it":           {"", []string{"0 60", "82 60"}, "cut 0–60, scrapped 60–61, remnant 61–81, scrapped 81–82, cut 82–142"},
		"none at a flaw":                {"80", []string{"0 59", "102 60"}, "cut 0–59, scrapped 59–60, remnant 60–80, flaw 80–82, scrapped 82–102, cut 102–162"},
	} {
		for _, at := range []string{"the table", "the end of the ticket"} {
			s := newShop(t)
			s.ways.Kerf = measure.Inch
			code := s.bolt("400in", "")
			if row.flaw != "" {
				s.do(Command{Action: Inspect, Bolt: code, Flaws: []FlawTold{{From: row.flaw + "in", To: "82in", Points: 4}}})
			}
			var made []Made
			if at == "the table" {
				s.do(Command{Action: Lay, Bolt: code, Tickets: []plan.Code{ticket}})
			}
			for i, cut := range row.cuts {
				from, length, _ := strings.Cut(cut, " ")
				if at == "the table" {
					s.do(Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: fmt.Sprint(i), From: from + "in", Length: length + "in"})
					continue
				}
				begin, _ := measure.Parse(from, measure.In)
				long, _ := measure.Parse(length, measure.In)
				m := Made{Bolt: code, Cut: fmt.Sprint(i)}
				m.Span.From, m.Span.To = begin, begin+long
				made = append(made, m)
			}
			if len(made) > 0 {
				e, r := s.shelf.Overlay().CutAll(ticket, made, s.ways, s.around(Command{}))
				if r != nil {
					t.Fatal(r)
				}
				s.apply(e, s.around(Command{}))
			}
			var off []string
			for _, f := range s.shelf.Bolt(code).Off {
				off = append(off, fmt.Sprintf("%s %s–%s", f.As, f.From.Length().Number(measure.In, 0), f.To.Length().Number(measure.In, 0)))
			}
			if got := strings.Join(off, ", "); got != row.want {
				t.Errorf("%s, told at %s:\n%s, not\n%s", name, at, got, row.want)
			}
		}
	}
}

// TestKerfBehindTheLastCut: the next cut keeps a kerf from the last one that was made, until what is left is measured.
func TestKerfBehindTheLastCut(t *testing.T) {
	s := newShop(t)
	s.ways.Kerf = 2 * measure.Inch
	code := s.bolt("400in", "")
	begins := func(want measure.Length) {
		t.Helper()
		if whole, _ := s.shelf.Bolt(code).Sound(s.ways); whole.From != want*measure.Inch {
			t.Errorf("it can be cut from %s on, not %d", whole.From.In(measure.In), want)
		}
	}
	begins(0)
	s.do(Command{Action: Lay, Bolt: code, Tickets: []plan.Code{ticket}})
	s.do(Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "1", Length: "60in"})
	begins(62)
	s.ways.EndAllowance = 3 * measure.Inch
	begins(63)
	s.ways.EndAllowance = 0
	s.do(Command{Action: Rest, Bolt: code, Length: "339in"})
	begins(60)
}
