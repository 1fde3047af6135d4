package stations

import (
	"slices"
	"testing"
	"time"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// told is a command at the cutting table with the order's newest file; more is set on it.
func (s *shop) told(w *workup.Workup, code plan.Code, a Action, more func(*Scan)) Scan {
	c := Scan{Actor: bench, Ticket: code, Action: a, Sheet: &Sheet{Work: w, Digest: s.floor.Order("ORDER").Digest, Codes: s.code}}
	more(&c)
	return c
}

// atTable starts reed's cutting of the example order with other bolts.
func atTable(t *testing.T, list string) (*shop, *workup.Workup, plan.Code) {
	t.Helper()
	s := newShop(t)
	s.begin(listed(list)...)
	code := s.cutting("reed", 1).Spec.Code
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	return s, revisedOrder(t, listed(list)...), code
}

func (s *shop) line(code plan.Code, cut string) plan.Cut {
	s.t.Helper()
	l := s.floor.Ticket(code).Spec.Cut(cut)
	if l == nil {
		s.t.Fatalf("no cut %s", cut)
	}
	return *l
}

// soundly holds the uncut lines of an order's fabric against its bolts, by the checker that shares nothing with the
// placing, and its cut ones against each other.
func soundly(t fataler, s *shop, w *workup.Workup, fabric string) {
	t.Helper()
	order := s.floor.Order("ORDER")
	plan := planOf(w, fabric)
	if plan == nil || len(plan.Fabric.Bolts) == 0 {
		return
	}
	known := s.floor.Overlay().boltsOf(order, fabric, nil)
	problem := workup.Placing(withBolts(plan, known.on(plan.Fabric)))
	at := map[string][]cutting.Placement{} // all that is cut, and is to be, by bolt
	var cuts []cutting.Cut
	var left cutting.Plan
	for _, ticket := range order.Tickets {
		if ticket.isPanel() || ticket.Spec.Fabric != fabric {
			continue
		}
		for _, off := range ticket.Off {
			if off.As == OffSpoilt && off.Bolt != "" {
				at[off.Bolt] = append(at[off.Bolt], cutting.Placement{From: off.span().From, To: off.span().To})
			}
		}
		for i := range ticket.Spec.Cuts {
			l := &ticket.Spec.Cuts[i]
			if ticket.Cancelled && !l.Done || l.Bolt == "" {
				continue
			}
			p := cutting.Placement{Cut: string(ticket.Spec.Code) + " " + l.Cut, Bolt: l.Bolt, From: l.Span().From, To: l.Span().To}
			at[l.Bolt] = append(at[l.Bolt], p)
			if !ticket.made(l) {
				start := l.Phase.Length()
				if l.Phase.IsZero() && l.Class == "B" && plan.Fabric.Match == orderfile.HalfDrop && problem.VerticalRepeat == plan.Fabric.VerticalRepeat {
					start = plan.Fabric.VerticalRepeat.Div(2)
				}
				cuts = append(cuts, cutting.Cut{ID: p.Cut, Length: l.Length.Length(), Start: start, Group: p.Cut, Anywhere: l.Trimming != ""})
				left.Placements = append(left.Placements, p)
			}
		}
	}
	for bolt, list := range at {
		slices.SortFunc(list, func(a, b cutting.Placement) int { return int(a.From - b.From) })
		for i := 1; i < len(list); i++ {
			if list[i].From < list[i-1].To {
				t.Fatalf("on %s cut %q from %v meets %q to %v", bolt, list[i].Cut, list[i].From, list[i-1].Cut, list[i-1].To)
			}
		}
	}
	problem.Cuts = cuts
	if faults := cutting.Check(problem, left); len(faults) > 0 {
		t.Fatalf("what is to be cut of %s: %v", fabric, faults)
	}
}

// TestRoomAtTheTable: cuts keep the heights that bring the patterns of a room together, wherever a flaw sends them. The bay's 95½ and 8 of
// heading fold are 4½ short of eight repeats of 13½, the door's 84 and 8 are 2½ short of seven.
func TestRoomAtTheTable(t *testing.T) {
	together := []string{"conventions: {}", "conventions: {room_phase: together}"}
	changes := append(listed("      - {id: R1, length: 40 yd, lot: A, first_repeat: 2}\n"), together...)
	s := newShop(t)
	s.begin(changes...)
	w, code := revisedOrder(t, changes...), s.cutting("reed", 1).Spec.Code
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	heights := func() {
		t.Helper()
		for _, l := range s.cutting("reed", 1).Spec.Cuts {
			want := map[string]string{"Bay, left": "4.5in", "Door": "2.5in"}[l.For[0].Window]
			past := l.From.Length() - 2*measure.Inch - l.Phase.Length()
			if l.Phase.String() != want || l.Bolt == "" || past%(27*measure.Inch/2) != 0 || !l.TrimTop.IsZero() {
				t.Errorf("cut %s of %s: phase %s, from %s", l.Cut, l.For[0].Window, l.Phase, l.From)
			}
		}
	}
	heights()
	s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = "1" }))
	s.do(s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "300", "301" }))
	heights()
	soundly(t, s, w, "reed")
}

// TestFlawAtTheTable: after two cuts a flaw is found where the next would lie. What isn't cut goes behind it on phase, the
// cuts that are made stay, and finish asks for each of the rest.
func TestFlawAtTheTable(t *testing.T) {
	s, w, code := atTable(t, "      - {id: R1, length: 40 yd, lot: A, first_repeat: 0}\n")
	cut := func(n string) Event { return s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = n })) }
	cut("1")
	if e := cut("2"); len(e.Lines) != 0 || e.State != AtWork {
		t.Errorf("cut as planned moves %+v", e.Lines)
	}
	one, two := s.line(code, "1"), s.line(code, "2")
	s.refused("cut_already", s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "10", "12" }))
	s.refused("off_bolt", s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "39 yd", "41 yd" }))
	s.refused("bad_value", s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "300", "290" }))
	s.refused("unknown_bolt", s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R7", "300", "310" }))
	s.refused("bad_length", s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "long", "310" }))
	s.refused("missing_key", s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.To = "R1", "310" }))
	s.refused("not_cut", s.told(w, code, Flaw, func(c *Scan) { c.After, c.From, c.To = "3", "20", "23" }))
	e := s.do(s.told(w, code, Flaw, func(c *Scan) { c.After, c.From, c.To = "2", "20", "23" }))
	if e.Bolt != "R1" || e.Off.From.String() != "263in" || e.Off.To.String() != "266in" || len(e.Lines) != 1 || e.Lines[0].Ticket != code {
		t.Fatalf("a flaw 20 in behind the second cut: %+v", e)
	}
	if s.line(code, "1").From != one.From || s.line(code, "2").From != two.From || !s.line(code, "2").Done {
		t.Error("a flaw moves what is cut")
	}
	if got := s.line(code, "3").From; got.String() != "270in" { // 20 · 13½, the first start on the pattern behind 266
		t.Errorf("the third cut starts at %s", got)
	}
	soundly(t, s, w, "reed")
	all := s.floor.Ticket(code).Steps[0].Spec.Checks
	finish := Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Finish, Checks: all}
	finish.Measured = s.targets(code)
	if r := s.refused("entries_missing", finish); !slices.Equal(r.Missing, []string{"cut.3", "cut.4", "cut.5", "cut.6", "cut.7", "cut.8"}) {
		t.Errorf("missing %v", r.Missing)
	}
	for _, n := range []string{"3", "4", "5", "6", "7", "8"} {
		cut(n)
	}
	s.refused("cut_already", s.told(w, code, Cut, func(c *Scan) { c.Cut = "3" }))
	if e := s.do(finish); e.State != Finished {
		t.Errorf("finished to %s", e.State)
	}
	s.refused("finished", s.told(w, code, Spoil, func(c *Scan) { c.Cut, c.Reason = "3", "torn" }))
}

// targets are the step's entries as they should be.
func (s *shop) targets(code plan.Code) map[string]string {
	measured := map[string]string{}
	for _, e := range s.floor.Ticket(code).Current().Spec.Enter {
		measured[e.Name] = e.Target.String()
	}
	return measured
}

// TestLongerCutOfAnUnlistedBolt: a cut that is told late and longer doesn't reach into the piece behind it that is cut, also
// where the newest file lists no bolts any more.
func TestLongerCutOfAnUnlistedBolt(t *testing.T) {
	s, _, code := atTable(t, "      - {id: R1, length: 40 yd, lot: A, first_repeat: 0}\n")
	none := revisedOrder(t, noBolts...)
	s.revise(noBolts...)
	lines := s.floor.Ticket(code).Spec.Cuts
	late, behind := lines[2], lines[3]
	if behind.Bolt != late.Bolt || behind.From.Length() >= late.End()+10*measure.Inch {
		t.Fatalf("cut %s doesn't lie behind %s", behind.Cut, late.Cut)
	}
	cut := func(l plan.Cut, more measure.Length) Scan {
		return s.told(none, code, Cut, func(c *Scan) { c.Cut, c.Length = l.Cut, (l.Length.Length() + more).In(measure.In) })
	}
	s.do(cut(behind, 0))
	s.refused("too_long", cut(late, 20*measure.Inch))
	s.do(cut(late, 0))
}

// TestCutAtTheTable: a cut is as long as planned or longer; what reaches into others moves them.
func TestCutAtTheTable(t *testing.T) {
	s, w, code := atTable(t, "      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 700, to: 703}]}\n")
	cut := func(n, length string) Scan {
		return s.told(w, code, Cut, func(c *Scan) { c.Cut, c.Length = n, length })
	}
	s.refused("cut_too_short", cut("1", "111 3/8")) // 95½ in, 8 of heading fold and 8 of hem
	s.refused("missing_key", cut("", "130"))
	s.refused("bad_value", cut("99", "130"))
	last := s.floor.Ticket(code).Spec.Cuts[7].Cut
	s.refused("too_long", cut(last, "30 yd"))
	s.refused("on_flaw", cut("1", "701"))
	s.refused("cut_moved", s.told(w, code, Cut, func(c *Scan) { c.Cut, c.From = "2", "200" }))
	s.refused("cut_moved", s.told(w, code, Cut, func(c *Scan) { c.Cut, c.Bolt = "2", "R2" }))
	s.refused("busy", Scan{Actor: bench, Ticket: code, Action: Cut, Cut: "1", Length: "125"})
	e := s.do(cut("1", "125"))
	if e.Length.String() != "125in" || s.line(code, "1").DoneLength.String() != "125in" || s.line(code, "2").From.String() != "135in" || len(e.Lines) != 1 {
		t.Errorf("3½ in too long: %+v, the next from %s", e, s.line(code, "2").From)
	}
	soundly(t, s, w, "reed")
	panel := s.panel("Bay, left", "L").Spec.Code
	s.refused("cut_by_fabric", Scan{Actor: bench, Ticket: panel, Action: Cut, Cut: "1"})
	other := s.cutting("sateen", 1).Spec.Code
	s.refused("not_started", Scan{Actor: bench, Ticket: other, Action: Cut, Cut: "1"})
	s.refused("wrong_station", Scan{Actor: bench, Ticket: code, Station: plan.Fold, Action: Cut, Cut: "1"})
}

// TestCutShorter: on patterned cloth a cut that came out a little short has less to trim, and more again once it is spoilt; plain cloth has
// nothing to trim.
func TestCutShorter(t *testing.T) {
	s, w, code := atTable(t, "      - {id: R1, length: 40 yd, lot: A, first_repeat: 0}\n")
	before := s.line(code, "2")
	s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut, c.Length = "1", "115" }))
	l := s.line(code, "1")
	if l.DoneLength.String() != "115in" || l.Length.Length()-l.DoneLength.Length() != measure.Inch*13/2 || before.TrimBottom.Length()-l.TrimBottom.Length() != measure.Inch*13/2 {
		t.Errorf("cut at 115 of %s in, there is %s to trim at the bottom, planned as %s", l.Length, l.TrimBottom, before.TrimBottom)
	}
	if now := s.line(code, "2"); now.From != before.From {
		t.Errorf("the next has moved from %s to %s", before.From, now.From)
	}
	s.do(s.told(w, code, Spoil, func(c *Scan) { c.Cut, c.Reason = "1", "torn" }))
	if l := s.line(code, "1"); l.TrimTop.Length()+l.TrimBottom.Length() != before.TrimTop.Length()+before.TrimBottom.Length() {
		t.Errorf("to be cut again, there is %s and %s to trim", l.TrimTop, l.TrimBottom)
	}
	lining := s.cutting("sateen", 1).Spec
	s.do(Scan{Actor: bench, Ticket: lining.Code, Station: plan.Cutting, Action: Start})
	s.refused("cut_too_short", s.told(w, lining.Code, Cut, func(c *Scan) {
		c.Cut, c.Length = "1", (lining.Cuts[0].Length.Length() - measure.Inch/8).In(measure.In)
	}))
}

// TestSpoilAtTheTable: a spoilt piece is cut again from what is left; its stretch is off. What no longer has room holds the
// ticket, by how much.
func TestSpoilAtTheTable(t *testing.T) {
	s, w, code := atTable(t, "      - {id: R1, length: 30 yd, lot: A}\n") // 1080 in: 8 cuts take 940½ on phase
	spoil := func(n, length, reason string) Scan {
		return s.told(w, code, Spoil, func(c *Scan) { c.Cut, c.Length, c.Reason = n, length, reason })
	}
	s.refused("not_cut", spoil("1", "", "torn"))
	s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = "1" }))
	s.refused("reason_missing", spoil("1", "", " "))
	e := s.do(spoil("1", "", "torn at the top"))
	if *e.Off != (Off{As: OffSpoilt, Bolt: "R1", From: measure.Read("0in"), To: measure.Read("121.5in"), Cut: "1"}) || s.line(code, "1").Done || s.line(code, "1").From.String() == "0in" {
		t.Errorf("spoilt: %+v, the cut is %+v", e.Off, s.line(code, "1"))
	}
	soundly(t, s, w, "reed")
	first := s.floor.Ticket(code).Spec.Cuts[0]
	e = s.do(spoil(first.Cut, "90", "cut too short")) // 211½ in are off, 868½ are left of 1080
	held := s.floor.Ticket(code)
	if held.State() != Held || e.State != Held || len(e.Holds) != 1 || e.Holds[0].Reason != ClothShort {
		t.Fatalf("the cloth no longer suffices: %+v", e)
	}
	var short measure.Length
	for _, l := range held.Spec.Cuts {
		if l.Bolt == "" {
			short += l.Length.Length()
		}
	}
	if h := held.Current().Cloth; h.Short.Length() != short || short == 0 {
		t.Errorf("told %+v, %v in lack", h, short)
	}
	soundly(t, s, w, "reed")
	s.refused("held", s.told(w, code, Cut, func(c *Scan) { c.Cut = "2" }))
	s.refused("lead_only", Scan{Actor: bench, Ticket: code, Action: Resume})
	s.refused("needs_decision", Scan{Actor: office, Ticket: code, Action: Resume})
	if e := s.do(Scan{Actor: office, Ticket: code, Action: Resume, Override: true, Reason: "more comes"}); e.State != AtWork {
		t.Errorf("resumed to %s", e.State)
	}
	// Cloth that came: the cut without a place is made from it.
	if lost := held.Current().Cloth.Cuts[0]; s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = lost })).State != AtWork || !s.line(code, lost).Done {
		t.Error("a cut without a bolt can't be told")
	}
}

// TestRestAtTheTable: what is left of a bolt counts as measured, shorter or longer than reckoned.
func TestRestAtTheTable(t *testing.T) {
	s, w, code := atTable(t, "      - {id: R1, length: 27 yd, lot: A}\n      - {id: R2, length: 10 yd, lot: A}\n")
	rest := func(bolt, length string) Scan {
		return s.told(w, code, Rest, func(c *Scan) { c.Bolt, c.Length = bolt, length })
	}
	s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = "1" }))
	s.refused("unknown_bolt", rest("R9", "100"))
	s.refused("bad_value", rest("R1", "-3"))
	e := s.do(rest("R1", "600"))
	if e.Off.To.String() != "721.5in" || len(e.Lines) != 1 {
		t.Errorf("600 in behind the first cut: %+v", e)
	}
	soundly(t, s, w, "reed")
	if !slices.ContainsFunc(s.floor.Ticket(code).Spec.Cuts, func(l plan.Cut) bool { return l.Bolt == "R2" }) {
		t.Error("nothing goes on the second bolt")
	}
	if e := s.do(rest("R1", "100")); e.State != Held || e.Holds[0].Reason != ClothShort {
		t.Errorf("it no longer suffices: %+v", e)
	}
	s.do(Scan{Actor: bench, Ticket: code, Action: Undo})
	if now := s.floor.Ticket(code); now.State() != AtWork || now.Current().Cloth != nil || len(now.Off) != 1 {
		t.Errorf("taken back: %s, %+v", now.State(), now.Off)
	}
	if e := s.do(rest("R1", "1000")); len(e.Lines) != 0 {
		t.Errorf("a longer rest moves %+v", e.Lines)
	}
}

// TestUndoAtTheTable: the last word is taken back by the device that said it, within five minutes, once.
func TestUndoAtTheTable(t *testing.T) {
	s, w, code := atTable(t, "      - {id: R1, length: 40 yd, lot: A}\n")
	before := s.floor.Ticket(code).Spec.Cuts
	undo := Scan{Actor: bench, Ticket: code, Action: Undo}
	flaw := s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "20", "22" })
	s.do(flaw)
	s.refused("undo_not_yours", Scan{Actor: office, Ticket: code, Action: Undo})
	e := s.do(undo)
	if now := s.floor.Ticket(code); !slices.EqualFunc(now.Spec.Cuts, before, sameLine) || len(now.Off) != 0 || len(e.Lines) != 1 || e.State != AtWork {
		t.Errorf("taken back: %+v", e)
	}
	s.refused("undo_overtaken", undo)
	s.do(flaw)
	s.wait(6 * time.Minute)
	s.refused("undo_late", undo)
	s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = "1" }))
	if s.do(undo); s.line(code, "1").Done {
		t.Error("a cut that is taken back is still made")
	}
}

// besideARemake is the example order with reed's cutting begun again after all its cuts were made, and beside it the one of a remade
// panel, not begun.
func besideARemake(t *testing.T) (s *shop, w *workup.Workup, code, again plan.Code) {
	t.Helper()
	s, w, code = atTable(t, "      - {id: R1, length: 40 yd, lot: A}\n")
	for _, l := range s.floor.Ticket(code).Spec.Cuts {
		s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = l.Cut }))
	}
	finish := Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Finish, Checks: s.floor.Ticket(code).Steps[0].Spec.Checks, Measured: s.targets(code)}
	s.do(finish)
	sateen := s.cutting("sateen", 1).Spec.Code
	s.work(sateen)
	panel := s.panel("Door", "S").Spec.Code
	s.do(Scan{Actor: bench, Ticket: panel, Action: Hold, Reason: "scorched"})
	s.do(Scan{Actor: office, Ticket: panel, Action: Remake, Reason: "scorched", Sheet: &Sheet{Work: w, Digest: s.floor.Order("ORDER").Digest, Codes: s.code}})
	again = s.cutting("reed", 2).Spec.Code
	s.do(Scan{Actor: bench, Ticket: code, Action: SendBack, To: plan.Cutting, Reason: "look again"})
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	return s, w, code, again
}

// TestBoltsAsTheTableKnowsThem: the flaws of the file and those told, what was spoilt, and the end that was measured; of another fabric
// nothing, though its bolt has the same name.
func TestBoltsAsTheTableKnowsThem(t *testing.T) {
	s, w, code := atTable(t, "      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 30 yd, to: 31 yd}]}\n")
	s.do(s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "35 yd", "36 yd" }))
	s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = "1" }))
	s.do(s.told(w, code, Spoil, func(c *Scan) { c.Cut, c.Reason = "1", "torn" }))
	s.do(s.told(w, code, Rest, func(c *Scan) { c.Bolt, c.Length = "R1", "35 yd" }))
	order := s.floor.Order("ORDER")
	off := s.floor.Ticket(code).Off
	spoilt := off[slices.IndexFunc(off, func(o Off) bool { return o.As == OffSpoilt })]
	for i := range w.Order.Fabrics {
		f := w.Order.Fabrics[i] // with a bolt of that name
		f.Bolts = []orderfile.Bolt{{ID: "R1", Length: 40 * 36 * measure.Inch}}
		got := s.floor.Bolts(order, &f, shelf.Ways{}).Bolts[0]
		var want []orderfile.Flaw
		end := f.Bolts[0].Length
		if f.ID == "reed" {
			want = []orderfile.Flaw{{From: 35 * 36 * measure.Inch, To: 36 * 36 * measure.Inch}, {From: spoilt.From.Length(), To: spoilt.To.Length()}}
			end = off[slices.IndexFunc(off, func(o Off) bool { return o.As == OffRest })].To.Length()
		}
		if !slices.Equal(got.Flaws, want) || got.Length != end {
			t.Errorf("%s: flaws %v to %v, want %v to %v", f.ID, got.Flaws, got.Length, want, end)
		}
	}
}

// TestFlawMovesOtherTickets: a flaw moves what another ticket of the order has on the bolt, and undo waits for nobody.
func TestFlawMovesOtherTickets(t *testing.T) {
	s, w, code, again := besideARemake(t)
	at := s.floor.Ticket(again).Spec.Cuts[0].From.Length()
	e := s.do(s.told(w, code, Flaw, func(c *Scan) {
		c.Bolt, c.From, c.To = "R1", (at + 10*measure.Inch).In("in"), plan.Station((at + 12*measure.Inch).In("in"))
	}))
	if !slices.ContainsFunc(e.Lines, func(l Laid) bool { return l.Ticket == again }) {
		t.Errorf("the remade panel's cuts stay on the flaw: %+v", e.Lines)
	}
	soundly(t, s, w, "reed")
	s.do(Scan{Actor: bench, Ticket: again, Station: plan.Cutting, Action: Start})
	s.refused("undo_overtaken", Scan{Actor: bench, Ticket: code, Action: Undo})
}

// TestFlawHoldsWhatLacks: a flaw that leaves another ticket no cloth holds that one; the ticket at which it is told has all its cuts.
func TestFlawHoldsWhatLacks(t *testing.T) {
	s, w, code, again := besideARemake(t)
	at := s.floor.Ticket(again).Spec.Cuts[0].From.Length()
	e := s.do(s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", at.In("in"), "40 yd" }))
	if len(e.Holds) != 1 || e.Holds[0].Ticket != again || e.Holds[0].Reason != "cloth_short" || e.State == Held {
		t.Errorf("held are %+v, the ticket itself is %s", e.Holds, e.State)
	}
	s.is(code, plan.Cutting, AtWork)
	s.is(again, plan.Cutting, Held)
	if e := s.do(Scan{Actor: bench, Ticket: code, Action: Undo}); len(e.Also) != 1 || e.Also[0].Ticket != again || e.Also[0].State != Ready {
		t.Errorf("taken back with %+v", e.Also)
	}
	s.is(again, plan.Cutting, Ready)
}

// TestRestOfAPart: of a bolt that is parted the rest is measured from where the order's part begins.
func TestRestOfAPart(t *testing.T) {
	s, w, code := atTable(t, "      - {id: R1, length: 40 yd, lot: A, from: 12 yd}\n      - {id: R2, length: 40 yd, lot: A}\n")
	rest := s.told(w, code, Rest, func(c *Scan) { c.Bolt, c.Length = "R1", "27 yd" })
	if e := s.do(rest); e.Off.To.String() != "1404in" { // 39 yd
		t.Errorf("27 yd from 12 yd on: the bolt ends at %s", e.Off.To)
	}
	soundly(t, s, w, "reed")
	s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = "1" }))
	one := s.line(code, "1")
	end := one.End()
	if e := s.do(rest); e.Off.To.Length() != end+27*36*measure.Inch {
		t.Errorf("27 yd behind the first cut, which ends at %v: the bolt ends at %s", end, e.Off.To)
	}
}

// TestRemnantOfASharedBolt: what an order leaves of a bolt ends where another order's part begins, at its release, when its
// file is revised, and when its cuts are laid out anew at the table.
func TestRemnantOfASharedBolt(t *testing.T) {
	const list = "      - {id: R1, length: 60 yd, lot: A}\n"
	s := newShop(t)
	other := revisedOrder(t, append(listed("      - {id: R1, length: 60 yd, lot: A, from: 40 yd}\n"), "order: ORDER", "order: OTHER", "id: S1", "id: S2")...)
	s.do(TakeOrder{Actor: office, Order: "OTHER", Customer: "Saltmarsh Inn", Digest: "o", Bolts: plan.NamedBolts(other)})
	w := revisedOrder(t, listed(list)...)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: "Saltmarsh Inn", Digest: "d", Bolts: plan.NamedBolts(w)})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code), Bolts: plan.NamedBolts(w)})
	code := s.cutting("reed", 1).Spec.Code
	upTo := func(when string) {
		t.Helper()
		left, cuts := s.floor.Ticket(code).Spec.Remnants, s.floor.Ticket(code).Spec.Cuts
		if len(left) != 1 || left[0].From.Length() != cuts[len(cuts)-1].End() || left[0].From.Length()+left[0].Length.Length() != 40*36*measure.Inch {
			t.Errorf("%s: %+v", when, left)
		}
	}
	upTo("released")
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(revisedOrder(t, append(listed(list), longer, longerTo)...))})
	upTo("revised")
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(w)})
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	s.do(s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "20", "22" }))
	upTo("a flaw told")
}

// TestUndoneStartKeepsItsBolt: a start isn't taken back once another ticket has told that the bolt is shorter than these
// cuts, or flawed there: they counted as cut, so that nothing was laid out anew.
func TestUndoneStartKeepsItsBolt(t *testing.T) {
	for name, tell := range map[string]func(*Scan){
		"rest": func(c *Scan) { c.Action, c.Bolt, c.Length = Rest, "R1", "32 yd" },
		"flaw": func(c *Scan) { c.Action, c.Bolt, c.From, c.To = Flaw, "R1", "1000", "1001" },
		"past": func(c *Scan) { c.Action, c.Bolt, c.From, c.To = Flaw, "R1", "2100", "2101" },
	} {
		s, _, one := atTable(t, "      - {id: R1, length: 60 yd, lot: A}\n")
		more := append(listed("      - {id: R1, length: 60 yd, lot: A}\n"), "quantity: 1", "quantity: 2")
		s.revise(more...)
		two := s.cutting("reed", 2).Spec.Code
		s.do(Scan{Actor: bench, Ticket: two, Station: plan.Cutting, Action: Start})
		s.do(s.told(revisedOrder(t, more...), one, Flaw, tell))
		undo := Scan{Actor: bench, Ticket: two, Action: Undo}
		if name == "past" {
			s.do(undo)
		} else {
			s.refused("undo_overtaken", undo)
		}
		soundly(t, s, revisedOrder(t, more...), "reed")
	}
}
