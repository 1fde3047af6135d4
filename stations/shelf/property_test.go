package shelf

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// TestAnyShelf sends commands at random, sensible and senseless. After each, every bolt's account balances, what came off it lies
// without a gap or an overlap, a customer's cloth is cut for nobody else, and a second shelf that reads the events is the same.
func TestAnyShelf(t *testing.T) {
	outer := t
	done, refused := map[Action]int{}, map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(outer)
		s.t = t
		s.ways.Accept = rapid.SampledFrom([]int{0, 40}).Draw(t, "limit")
		s.ways.Kerf = rapid.SampledFrom([]measure.Length{0, measure.Inch}).Draw(t, "kerf")
		for i := range rapid.IntRange(1, 3).Draw(t, "bolts") {
			s.bolt(fmt.Sprint(rapid.IntRange(60, 900).Draw(t, "length"), "in"), []string{"", "Saltmarsh Inn", "Reed House"}[i])
		}
		for range rapid.IntRange(1, 50).Draw(t, "commands") {
			cmd := anyCommand(t, s)
			before := s.shelf.Bolts()
			e, code := s.try(cmd)
			if code != "" {
				refused[code]++
				continue
			}
			done[e.Action]++
			s.holds(t, cmd, e, before)
		}
	})
	all := 0
	for _, n := range done {
		all += n
	}
	for action := range acts {
		if done[action] == 0 && all > 1000 { // fewer are a short run, which may leave something out
			t.Errorf("%s is never done", action)
		}
	}
	if refused["on_flaw"]+refused["other_customers_cloth"]+refused["already_kept"] == 0 && all > 1000 {
		t.Errorf("refused were %v", refused)
	}
}

// anyCommand is likelier to go on with what is on the table than chance would have it.
func anyCommand(t *rapid.T, s *shop) Command {
	all := s.shelf.Bolts()
	b := rapid.SampledFrom(all).Draw(t, "bolt")
	if i := slices.IndexFunc(all, func(b *Bolt) bool { return b.Lies == OnTable }); i >= 0 && rapid.Bool().Draw(t, "on the table") {
		b = all[i]
	}
	inches := func(name string, most int) string {
		return fmt.Sprint(rapid.IntRange(0, most).Draw(t, name), "in")
	}
	at := int(b.Begin / measure.Inch)
	mark := func(name string) string { return fmt.Sprint(at+rapid.IntRange(-3, 60).Draw(t, name), "in") }
	actions := []Action{Inspect, PlaceIt, Keep, Unkeep, HoldBolt, FreeBolt, Lay, Lay, Lay, Scrap, GiveBack, Lose, Find, ReleaseCloth, CountBolt, Undo, BeginCount, EndCount, Settle}
	if b.Lies == OnTable {
		actions = append(actions, Cut, Cut, Cut, Cut, Cut, TellFlaw, Spoil, Part, Rest, Cut, Undo, Spoil, Part, TellFlaw, TellFlaw)
	}
	tickets := []plan.Code{ticket, plan.NewCode(901)}
	cmd := Command{
		Action: rapid.SampledFrom(actions).Draw(t, "action"), Bolt: b.Code, Place: rapid.SampledFrom([]string{"1A", "2B"}).Draw(t, "place"),
		Reason: "r", Lot: rapid.Bool().Draw(t, "lot"), Ticket: rapid.SampledFrom(tickets).Draw(t, "ticket"),
		Cut: rapid.SampledFrom([]string{"1", "2", "3"}).Draw(t, "cut"), Keep: rapid.Bool().Draw(t, "keep"), Again: rapid.Bool().Draw(t, "again"),
		Order: rapid.SampledFrom([]string{"A-1", "A-2"}).Draw(t, "order"), Tickets: tickets[:1+rapid.IntRange(0, 1).Draw(t, "tickets")],
		As: rapid.SampledFrom([]Settlement{AsMoved, AsMeasured, AsMissing, AsFound}).Draw(t, "as"),
	}
	switch cmd.Action {
	case Cut:
		cmd.From, cmd.Length = mark("from"), inches("cut length", 90)
		cmd.Beside = rapid.SampledFrom([]measure.Length{0, 5 * measure.Inch, 27 * measure.Inch}).Draw(t, "beside")
	case Inspect:
		cmd.Length = inches("measured", 900)
		cmd.Flaws = []FlawTold{{From: mark("flaw"), To: mark("flaw to")}}
	case TellFlaw:
		cmd.Flaws = []FlawTold{{From: mark("flaw"), Kind: Hole}}
		if rapid.Bool().Draw(t, "long") {
			cmd.Flaws[0].To = mark("flaw to")
		}
	case Part, Scrap:
		cmd.To = mark("to")
		if off := b.Unlabelled(); len(off) > 0 && rapid.Bool().Draw(t, "what came off") {
			cmd.From, cmd.To = off[0].From.String(), (off[0].To).String()
		}
	case Spoil:
		if cuts := slices.DeleteFunc(slices.Clone(b.Off), func(f Off) bool { return f.As != AsCut }); len(cuts) > 0 {
			cmd.Ticket, cmd.Cut = cuts[0].Ticket, cuts[0].Cut
		}
	case Rest, CountBolt:
		cmd.Length = fmt.Sprint(max(0, int(b.Rest/measure.Inch)+rapid.IntRange(-20, 5).Draw(t, "off the reckoning")), "in")
	case EndCount, Settle:
		if counts := s.shelf.Counts(); len(counts) > 0 {
			cmd.Count = counts[0].ID
			if lines := counts[0].Lines; len(lines) > 0 {
				cmd.Bolt = lines[0].Bolt
			}
		}
	}
	return cmd
}

// holds checks what is always so.
func (s *shop) holds(t *rapid.T, cmd Command, e Event, before []*Bolt) {
	for _, b := range s.shelf.Bolts() {
		if a := b.Account(); !a.Balances() {
			t.Fatalf("%s: the account of %s doesn't balance: %+v", e.Action, b.Code, a)
		}
		at := b.Began
		for _, f := range b.Off {
			if f.Span().From != at || f.Span().To <= at {
				t.Fatalf("%s: what came off %s has a gap or an overlap at %s: %s", e.Action, b.Code, at.In(measure.In), image(b.Off))
			}
			at = f.Span().To
		}
		if at != b.Begin || b.Rest < 0 {
			t.Fatalf("%s: %s begins at %s, and %s is off; %s is left", e.Action, b.Code, b.Begin.In(measure.In), at.In(measure.In), b.Rest.In(measure.In))
		}
		halves := map[measure.Length]bool{}
		for _, h := range b.Halves {
			if of := s.shelf.Bolt(h.Bolt); halves[h.From.Length()] || h.Width.IsZero() || h.Bolt != "" && (!of.IsHalf() || of.Width != h.Width.Length() || of.Length() != h.length()) {
				t.Fatalf("%s: a half of %s is %s", e.Action, b.Code, image(h))
			}
			halves[h.From.Length()] = true
		}
		if b.Lies == UsedUp && b.Rest != 0 || (len(b.For) > 0) != (b.Lies == OnTable) {
			t.Fatalf("%s leaves %s", e.Action, image(b))
		}
	}
	for _, b := range before {
		now := s.shelf.Bolt(b.Code)
		if now == nil {
			t.Fatalf("%s takes %s out of the book", e.Action, b.Code)
		}
		if now.Owner != b.Owner && (e.Action != ReleaseCloth || now.Owner != "") {
			t.Fatalf("%s changes whose %s is", e.Action, b.Code)
		}
	}
	b := s.shelf.Bolt(e.Bolt)
	if whose := s.customer[cmd.Order]; e.Action == Lay && b.Owner != "" && b.Owner != whose {
		t.Fatalf("%s of %s is laid for %s", b.Code, b.Owner, whose)
	}
	if e.New != "" && s.shelf.Bolt(e.New).Owner != b.Owner {
		t.Fatalf("a remnant of %s's is %q's", b.Owner, s.shelf.Bolt(e.New).Owner)
	}
}
