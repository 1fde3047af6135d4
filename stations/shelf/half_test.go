package shelf

import (
	"slices"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// halfCut lays a bolt and cuts 90 in of which a panel takes half the width.
func (s *shop) halfCut(beside measure.Length) plan.Code {
	code := s.bolt("400in", "")
	s.do(Command{Action: Lay, Bolt: code, Tickets: []plan.Code{ticket}})
	s.do(Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "1", Length: "90in", Beside: beside})
	return code
}

// TestHalfIsOwed: the half that a cut leaves is owed an answer from the shop's least width and length on, whether the cut is told or the
// ticket is finished without.
func TestHalfIsOwed(t *testing.T) {
	for name, row := range map[string]struct {
		beside, minHalf, minRemnant measure.Length
		owed                        int
	}{
		"a whole width":     {0, 10, 20, 0},
		"wide enough":       {27, 10, 20, 1},
		"just wide enough":  {10, 10, 20, 1},
		"too narrow":        {10, 11, 20, 0},
		"just long enough":  {27, 10, 90, 1},
		"too short to keep": {27, 10, 91, 0},
	} {
		s := newShop(t)
		s.ways.MinHalf, s.ways.MinRemnant = row.minHalf*measure.Inch, row.minRemnant*measure.Inch
		b := s.shelf.Bolt(s.halfCut(row.beside * measure.Inch))
		if got := b.Unlabelled(); len(got) != row.owed || row.owed > 0 && (got[0].Width.Length() != row.beside*measure.Inch || got[0].Cut != "1" || got[0].Span() != b.Off[0].Span()) {
			t.Errorf("%s: owed is %s", name, image(got))
		}
		code := s.bolt("400in", "")
		m := Made{Bolt: code, Cut: "1", Beside: row.beside * measure.Inch}
		m.Span.To = 90 * measure.Inch
		e, r := s.shelf.Overlay().CutAll(ticket, []Made{m}, s.ways, s.around(Command{}))
		if r != nil {
			t.Fatal(r)
		}
		s.apply(e, s.around(Command{}))
		if got := s.shelf.Bolt(code).Unlabelled(); len(got) != row.owed {
			t.Errorf("%s: of a finished ticket owed is %s", name, image(got))
		}
	}
}

// TestHalfIsKept: a half gets a label of its own, with its width and its phase, and the cut keeps its length in the account.
func TestHalfIsKept(t *testing.T) {
	s := newShop(t)
	code := s.bolt("400in", "Saltmarsh Inn")
	s.do(Command{Action: Inspect, Bolt: code, Repeats: 5, Over: "100in", First: "15in"})
	s.do(Command{Action: Lay, Bolt: code, Tickets: []plan.Code{ticket}, Order: "A-1"})
	s.do(Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "1", From: "15in", Length: "90in", Beside: 27 * measure.Inch})
	if _, r := s.try(Command{Action: Part, Bolt: code, From: "20in", To: "90in"}); r != "off_bolt" {
		t.Errorf("part of a half is kept: %s", r)
	}
	e := s.do(Command{Action: Part, Bolt: code, From: "15in", To: "105in", Place: "3B"})
	b, half := s.shelf.Bolt(code), s.shelf.Bolt(e.New)
	if !half.IsHalf() || !half.IsRemnant() || half.Width != 27*measure.Inch || half.Rest != 90*measure.Inch || half.FirstRepeat != 0 || half.Owner != "Saltmarsh Inn" || half.Place != "3B" || half.From.Parent != code {
		t.Errorf("the half is %s", image(half))
	}
	if a := b.Account(); a.Cut != 90*measure.Inch || a.Remnants != 0 || !a.Balances() || len(b.Unlabelled()) != 0 || b.Halves[0].Bolt != e.New {
		t.Errorf("its bolt is %s", image(b))
	}
	if _, r := s.try(Command{Action: Part, Bolt: code, From: "15in", To: "105in"}); r != "off_bolt" {
		t.Errorf("a second label: %s", r)
	}
}

// TestHalfIsScrapped: as what came off it is scrapped in one press, for a reason where it is long.
func TestHalfIsScrapped(t *testing.T) {
	s := newShop(t)
	code := s.halfCut(27 * measure.Inch)
	if _, r := s.try(Command{Action: Scrap, Bolt: code, From: "0in", To: "90in"}); r != "reason_missing" {
		t.Errorf("refused with %q", r)
	}
	s.do(Command{Action: Scrap, Bolt: code, From: "0in", To: "90in", Reason: "too narrow for anything"})
	if b := s.shelf.Bolt(code); len(b.Unlabelled()) != 0 || b.Halves[0].As != AsScrapped || b.Account().Scrapped != 0 || !b.Account().Balances() {
		t.Errorf("the bolt is %s", image(b))
	}
}

// TestHalfOfASpoiltCut: a spoilt cut that is kept takes the half along of which nobody has spoken; else it is as wide as it is.
func TestHalfOfASpoiltCut(t *testing.T) {
	spoil := Command{Action: Spoil, Ticket: ticket, Cut: "1", Reason: "a snag"}
	for name, row := range map[string]struct {
		first Action // what becomes of the half before
		keep  bool
		owed  int
		width measure.Length // of the spoilt piece
	}{
		"kept with its half":        {"", true, 0, 54 * measure.Inch},
		"kept, the half has gone":   {Part, true, 0, 27 * measure.Inch},
		"kept, the half is scrap":   {Scrap, true, 0, 27 * measure.Inch},
		"no good, the half may be":  {"", false, 1, 0},
		"no good, the half is kept": {Part, false, 0, 0},
	} {
		s := newShop(t)
		code := s.halfCut(27 * measure.Inch)
		if row.first != "" {
			s.do(Command{Action: row.first, Bolt: code, From: "0in", To: "90in", Reason: "r"})
		}
		c := spoil
		c.Bolt, c.Keep = code, row.keep
		e := s.do(c)
		b := s.shelf.Bolt(code)
		if got := len(b.Unlabelled()); got != row.owed {
			t.Errorf("%s: %d owed, not %d", name, got, row.owed)
		}
		if piece := s.shelf.Bolt(e.New); row.keep && (piece.Width != row.width || piece.IsHalf() != (row.width < 54*measure.Inch)) {
			t.Errorf("%s: the piece is %s", name, image(piece))
		}
	}
}

// TestHalfGoesBack: what takes a cut back takes its half with it, and not once the half has a label.
func TestHalfGoesBack(t *testing.T) {
	s := newShop(t)
	code := s.halfCut(27 * measure.Inch)
	s.do(Command{Action: Undo, Bolt: code})
	if b := s.shelf.Bolt(code); len(b.Halves) != 0 || len(b.Unlabelled()) != 0 {
		t.Errorf("left is %s", image(b))
	}
	s.do(Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "1", Length: "90in", Beside: 27 * measure.Inch})
	before := slices.Clone(s.shelf.Bolt(code).Halves)
	s.do(Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "2", Length: "90in", Beside: 27 * measure.Inch})
	s.do(Command{Action: Undo, Bolt: code})
	if now := s.shelf.Bolt(code).Halves; len(now) != 1 || now[0] != before[0] {
		t.Errorf("left is %s", image(now))
	}
	s.do(Command{Action: Part, Bolt: code, From: "0in", To: "90in"})
	if _, r := s.try(Command{Action: Undo, Bolt: code}); r != "undo_overtaken" {
		t.Errorf("taken back under a label: %q", r)
	}
}
