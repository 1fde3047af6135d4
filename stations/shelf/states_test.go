package shelf

import (
	"testing"

	"tablehand/stations/plan"
)

// TestWhatStatesRefuse tries every act on a bolt in every state, and on none. What isn't named here is done.
func TestWhatStatesRefuse(t *testing.T) {
	const heldOnTable = State("held on the table")
	into := map[State]func(*shop, plan.Code){
		Received: func(*shop, plan.Code) {},
		OnShelf:  func(s *shop, c plan.Code) { s.do(Command{Action: Inspect, Bolt: c}) },
		OnTable: func(s *shop, c plan.Code) {
			s.do(Command{Action: Lay, Bolt: c, Tickets: []plan.Code{ticket}, Order: "A-1"})
			s.do(Command{Action: Cut, Bolt: c, Ticket: ticket, Cut: "1", Length: "9in"})
		},
		Held:     func(s *shop, c plan.Code) { s.do(Command{Action: HoldBolt, Bolt: c, Reason: "shade"}) },
		UsedUp:   func(s *shop, c plan.Code) { s.do(Command{Action: Scrap, Bolt: c, Reason: "moth"}) },
		GoneBack: func(s *shop, c plan.Code) { s.do(Command{Action: GiveBack, Bolt: c, Reason: "wrong lot"}) },
		Missing:  func(s *shop, c plan.Code) { s.do(Command{Action: Lose, Bolt: c}) },
		heldOnTable: func(s *shop, c plan.Code) {
			s.do(Command{Action: Lay, Bolt: c, Tickets: []plan.Code{ticket}, Order: "A-1"})
			s.do(Command{Action: HoldBolt, Bolt: c, Reason: "shade"})
		},
	}
	done := map[State]string{UsedUp: "used_up", GoneBack: "gone_back"}
	with := func(more map[State]string) map[State]string {
		all := map[State]string{UsedUp: "used_up", GoneBack: "gone_back"}
		for state, code := range more {
			all[state] = code
		}
		return all
	}
	notOnTable := with(map[State]string{Received: "not_on_table", OnShelf: "not_on_table", Held: "not_on_table", Missing: "bolt_missing"})
	cutting := with(map[State]string{Received: "not_on_table", OnShelf: "not_on_table", Held: "not_on_table", Missing: "bolt_missing", heldOnTable: "bolt_held"})
	shelvedOnly := with(map[State]string{OnTable: "on_table", heldOnTable: "on_table", Missing: "bolt_missing"})
	finding := with(map[State]string{OnTable: "on_table", heldOnTable: "on_table"})
	notMissing := with(map[State]string{Received: "bolt_not_missing", OnShelf: "bolt_not_missing", Held: "bolt_not_missing", OnTable: "bolt_not_missing", heldOnTable: "bolt_not_missing"})
	notCut := map[State]string{Received: "not_cut", OnShelf: "not_cut", Held: "not_cut", UsedUp: "not_cut", GoneBack: "not_cut", Missing: "not_cut", heldOnTable: "not_cut"}
	overtaken := map[State]string{Received: "undo_overtaken", OnShelf: "undo_overtaken", Held: "undo_overtaken", UsedUp: "undo_overtaken", GoneBack: "undo_overtaken", Missing: "undo_overtaken", heldOnTable: "undo_overtaken"}
	cases := []struct {
		cmd    Command
		refuse map[State]string
	}{
		{Command{Action: Inspect}, finding},
		{Command{Action: PlaceIt, Place: "1A"}, finding},
		{Command{Action: Keep, Customer: "Saltmarsh Inn"}, shelvedOnly},
		{Command{Action: Unkeep}, with(map[State]string{Received: "not_kept", OnShelf: "not_kept", Held: "not_kept", OnTable: "not_kept", heldOnTable: "not_kept", Missing: "not_kept"})},
		{Command{Action: HoldBolt, Reason: "shade"}, with(map[State]string{Held: "bolt_held", heldOnTable: "bolt_held"})},
		{Command{Action: FreeBolt, Reason: "matched"}, with(map[State]string{Received: "bolt_not_held", OnShelf: "bolt_not_held", OnTable: "bolt_not_held", Missing: "bolt_not_held"})},
		{Command{Action: Lay, Tickets: []plan.Code{ticket}}, with(map[State]string{OnTable: "on_table", heldOnTable: "on_table", Held: "bolt_held"})},
		{Command{Action: Cut, Ticket: ticket, Cut: "2", Length: "9in"}, cutting},
		{Command{Action: TellFlaw, Flaws: []FlawTold{{From: "20in"}}}, notOnTable},
		{Command{Action: Spoil, Ticket: ticket, Cut: "1", Reason: "askew"}, notCut},
		{Command{Action: Part, To: "40in"}, cutting},
		{Command{Action: Rest, Length: "10in", Again: true}, notOnTable},
		{Command{Action: Scrap, To: "20in"}, with(map[State]string{Missing: "bolt_missing"})},
		{Command{Action: Scrap, Reason: "moth"}, shelvedOnly},
		{Command{Action: GiveBack, Reason: "wrong"}, shelvedOnly},
		{Command{Action: Lose}, shelvedOnly},
		{Command{Action: Find}, notMissing},
		{Command{Action: ReleaseCloth, Reason: "left with us"}, done},
		{Command{Action: CountBolt}, done},
		{Command{Action: Undo}, overtaken},
	}
	tried := map[Action]bool{}
	for _, c := range cases {
		tried[c.cmd.Action] = true
		for state, get := range into {
			s := newShop(t)
			s.customer[""] = "Saltmarsh Inn" // whose the tickets of a lay are
			s.do(Command{Action: BeginCount})
			code := s.bolt("50yd", "Saltmarsh Inn")
			get(s, code)
			cmd := c.cmd
			cmd.Bolt = code
			before := image(s.shelf.Bolts())
			switch _, got := s.try(cmd); {
			case got != c.refuse[state]:
				t.Errorf("%s of a bolt that is %s: %q, want %q", c.cmd.Action, state, got, c.refuse[state])
			case got != "" && image(s.shelf.Bolts()) != before:
				t.Errorf("%s of a bolt that is %s is refused, and does something", c.cmd.Action, state)
			case got == "" && state == Missing && c.refuse[GoneBack] == "gone_back" && s.shelf.Bolt(code).Lies == Missing != stays[c.cmd.Action]:
				t.Errorf("%s of a missing bolt leaves it %s", c.cmd.Action, s.shelf.Bolt(code).Lies)
			}
			cmd.Bolt = plan.NewCode(77777)
			s.refused("unknown_bolt", cmd)
		}
	}
	for action := range acts {
		if !tried[action] {
			t.Errorf("%s isn't tried", action)
		}
	}
	newShop(t).refused("bad_value", Command{Action: "embroider"})
}

// stays are the acts after which a missing bolt is still missing.
var stays = map[Action]bool{HoldBolt: true, FreeBolt: true, ReleaseCloth: true}

// TestWhatIsRefused has the refusals that depend on more than the state.
func TestWhatIsRefused(t *testing.T) {
	s := newShop(t)
	ours, theirs := s.bolt("200in", ""), s.bolt("200in", "Saltmarsh Inn")
	lay := Command{Action: Lay, Bolt: ours, Tickets: []plan.Code{ticket}, Cloth: "reed-oat", Order: "A-1"}
	for want, cmd := range map[string]Command{
		"wrong_cloth":           {Action: Lay, Bolt: ours, Tickets: []plan.Code{ticket}, Cloth: "marsh-grey"},
		"missing_key":           {Action: Lay, Bolt: ours},
		"other_customers_cloth": {Action: Lay, Bolt: theirs, Tickets: []plan.Code{ticket}, Order: "A-2"},
		"not_customers_cloth":   {Action: ReleaseCloth, Bolt: ours, Reason: "r"},
		"reason_missing":        {Action: ReleaseCloth, Bolt: theirs},
		"off_bolt":              {Action: Inspect, Bolt: ours, Flaws: []FlawTold{{From: "199in", To: "201in"}}},
		"bad_value":             {Action: Inspect, Bolt: ours, Flaws: []FlawTold{{From: "19in", To: "18in"}}},
		"bad_length":            {Action: Inspect, Bolt: ours, Length: "long"},
	} {
		s.refused(want, cmd)
	}
	s.refused("other_customers_cloth", Command{Action: Keep, Bolt: theirs, Order: "A-2", Customer: "Saltmarsh Inn"})
	s.refused("reason_missing", Command{Action: Scrap, Bolt: ours})
	s.do(lay)
	for want, cmd := range map[string]Command{
		"too_long":   {Action: Cut, Ticket: ticket, Cut: "1", From: "150in", Length: "51in"},
		"wrong_bolt": {Action: Cut, Ticket: plan.NewCode(5), Cut: "1", Length: "51in"},
		"bad_value":  {Action: Cut, Ticket: ticket, Cut: "1", Length: "0"},
		"off_bolt":   {Action: Part, From: "10in", To: "20in"},
	} {
		cmd.Bolt = ours
		s.refused(want, cmd)
	}
	s.refused("too_long", Command{Action: Part, Bolt: ours})
	s.do(Command{Action: Cut, Bolt: ours, Ticket: ticket, Cut: "1", Length: "50in"})
	s.refused("off_bolt", Command{Action: Cut, Bolt: ours, Ticket: ticket, Cut: "2", From: "49in", Length: "20in"})
	s.refused("off_bolt", Command{Action: TellFlaw, Bolt: ours, Flaws: []FlawTold{{From: "49in", To: "60in"}}})
	s.refused("bad_value", Command{Action: TellFlaw, Bolt: ours, After: "9", Flaws: []FlawTold{{From: "1in"}}})
	s.refused("reason_missing", Command{Action: Spoil, Bolt: ours, Ticket: ticket, Cut: "1"})
	remnant := s.do(Command{Action: Spoil, Bolt: ours, Ticket: ticket, Cut: "1", Reason: "askew", Keep: true, Place: "R2"}).New
	if b := s.shelf.Bolt(remnant); b.Rest.In("in") != "50in" || b.Place != "R2" {
		t.Errorf("a spoilt cut that is kept: %s", image(b))
	}
	s.do(Command{Action: ReleaseCloth, Bolt: theirs, Reason: "left with us"})
	s.do(Command{Action: Lay, Bolt: theirs, Tickets: []plan.Code{ticket}, Order: "A-2"})
}
