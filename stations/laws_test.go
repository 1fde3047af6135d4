package stations

import (
	"reflect"
	"slices"
	"testing"

	"tablehand/stations/plan"
)

// stage brings a ticket of a new order into one of the states that commands meet.
type stage struct {
	name  string
	bring func(s *shop) plan.Code
}

func panelAt(name string, bring func(s *shop, o *Order, code plan.Code)) stage {
	return stage{name, func(s *shop) plan.Code {
		o := s.release("ORDER", 2)
		code := panels(o)[0]
		bring(s, o, code)
		return code
	}}
}

// atFold takes the panel to the heading fold and goes on from there.
func atFold(then func(s *shop, code plan.Code)) func(*shop, *Order, plan.Code) {
	return func(s *shop, o *Order, code plan.Code) {
		s.cutAll(o)
		s.workTo(code, plan.Fold)
		then(s, code)
	}
}

func outOfTolerance(s *shop, code plan.Code) {
	s.do(s.scan(code, Start))
	s.do(s.finishing(code, measuring("fold_depth", "5in")))
}

var stages = []stage{
	panelAt("uncut", func(s *shop, _ *Order, _ plan.Code) {}),
	panelAt("uncut and held", func(s *shop, _ *Order, code plan.Code) { s.do(s.scan(code, Hold)) }),
	panelAt("ready", atFold(func(s *shop, code plan.Code) {})),
	panelAt("at work", atFold(func(s *shop, code plan.Code) { s.do(s.scan(code, Start)) })),
	panelAt("held", atFold(func(s *shop, code plan.Code) { s.do(s.scan(code, Hold)) })),
	panelAt("out of tolerance", atFold(outOfTolerance)),
	panelAt("finished", func(s *shop, o *Order, code plan.Code) { s.cutAll(o); s.workTo(code, "") }),
	panelAt("on a draft", func(s *shop, o *Order, code plan.Code) {
		s.cutAll(o)
		s.workTo(code, "")
		s.do(DraftInvoice{Actor: office, Draft: "D1", Customer: o.Customer, Panels: []plan.Code{code}})
	}),
	panelAt("cancelled", func(s *shop, o *Order, _ plan.Code) { s.do(CancelOrder{Actor: office, Order: o.ID, Reason: "sold"}) }),
}

// TestActionsInEveryState is the table of actions: each action on a panel in each state, at the station where the
// panel is. "" is accepted.
func TestActionsInEveryState(t *testing.T) {
	table := map[Action][]string{
		// in the order of stages:
		//         uncut            uncut, held      ready          at work      held         tolerance         finished            on a draft          cancelled
		Start:    {"cut_by_fabric", "cut_by_fabric", "", "at_work", "held", "held", "finished", "finished", "cancelled"},
		Finish:   {"cut_by_fabric", "cut_by_fabric", "not_started", "", "held", "held", "finished", "finished", "cancelled"},
		ScanIt:   {"cut_by_fabric", "cut_by_fabric", "", "", "held", "held", "finished", "finished", "cancelled"},
		Undo:     {"undo_overtaken", "undo_overtaken", "", "", "undo_overtaken", "", "", "undo_overtaken", "cancelled"},
		Hold:     {"", "held", "", "", "held", "held", "finished", "finished", "cancelled"},
		Resume:   {"not_held", "", "not_held", "not_held", "", "needs_decision", "not_held", "not_held", "cancelled"},
		SendBack: {"not_ready", "not_ready", "", "", "", "lead_only", "", "already_invoiced", "cancelled"},
		Accept:   {"not_held", "held", "not_held", "not_held", "held", "", "not_held", "not_held", "cancelled"},
	}
	for action, answers := range table {
		for i, want := range answers {
			t.Run(string(action)+" when "+stages[i].name, func(t *testing.T) {
				s := newShop(t)
				code := stages[i].bring(s)
				cmd := s.finishing(code, to(plan.Joining))
				cmd.Action = action
				if action == Accept {
					cmd.Actor = office
				}
				if want == "" {
					s.do(cmd)
					return
				}
				r := s.refused(want, cmd)
				if r.Where == nil || r.Where.Station == "" {
					t.Errorf("%s doesn't say where the ticket is", r.Code)
				}
			})
		}
	}
}

// TestScansElsewhere: a ticket scanned where it isn't, or by no station at all.
func TestScansElsewhere(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 2)
	code, cut := panels(o)[0], cuts(o)[0]

	r := s.refused("cut_by_fabric", s.scan(code, Start, at(plan.Cutting)))
	if !slices.Equal(r.Where.Tickets, cuts(o)) {
		t.Errorf("its cloth is cut by %v, not %v", cuts(o), r.Where.Tickets)
	}
	s.work(cut)
	r = s.refused("not_ready", s.scan(code, Start, at(plan.Joining)))
	if !slices.Equal(r.Where.Tickets, cuts(o)[1:]) || r.Where.Station != plan.Cutting {
		t.Errorf("it waits for %v at cutting, not %+v", cuts(o)[1:], r.Where)
	}
	s.refused("wrong_station", s.scan(cuts(o)[1], Start, at(plan.Joining)))
	s.work(cuts(o)[1])
	for _, station := range []plan.Station{plan.Cutting, plan.Joining, "tacking"} { // a finished cutting has no place to be taken to
		s.refused("finished", s.scan(cut, Start, at(station)))
	}
	s.workTo(code, plan.Fold)
	for station, want := range map[plan.Station]string{
		plan.Cutting: "cut_by_fabric", plan.Joining: "finished", plan.Tape: "not_ready", plan.Packing: "not_ready", "tacking": "wrong_station", "": "missing_key",
	} {
		for _, action := range []Action{Start, Finish, ScanIt} {
			r := s.refused(want, s.scan(code, action, at(station)))
			if station != "" && r.Where.Station != plan.Fold {
				t.Errorf("%s at %q says that the panel is at %s", action, station, r.Where.Station)
			}
		}
	}
	s.refused("bad_value", s.scan(code, "fly"))
	s.refused("unknown_ticket", s.scan(plan.NewCode(999_999), Start))
	s.refused("cut_by_fabric", s.scan(code, SendBack, to(plan.Cutting)))
	s.refused("not_ready", s.scan(code, SendBack, to(plan.Tape)))
	s.refused("wrong_station", s.scan(code, SendBack, to("tacking")))
	s.refused("missing_key", s.scan(code, SendBack))
	for _, action := range []Action{Hold, SendBack} {
		s.refused("reason_missing", s.scan(code, action, to(plan.Joining), noReason))
	}
}

// TestWhatAStationEnters: nothing is finished with anything missing or unreadable; the edge of a tolerance passes
// and a nanometre beyond it holds the panel.
func TestWhatAStationEnters(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 6)
	s.cutAll(o)
	for _, code := range panels(o) {
		s.workTo(code, plan.Fold)
		s.do(s.scan(code, Start))
	}
	code := panels(o)[0]
	spec := s.floor.Ticket(code).Current().Spec

	r := s.refused("entries_missing", s.scan(code, Finish))
	if want := append([]string{"length_return", "length_middle", "length_leading", "fold_depth"}, spec.Checks...); !slices.Equal(r.Missing, want) {
		t.Errorf("missing %q, want %q", r.Missing, want)
	}
	r = s.refused("entries_missing", s.finishing(code, measuring("fold_depth", " "), checking(spec.Checks[1:]...)))
	if want := []string{"fold_depth", spec.Checks[0]}; !slices.Equal(r.Missing, want) {
		t.Errorf("missing %q, want %q", r.Missing, want)
	}
	for value, want := range map[string]string{"four": "bad_length", "-4in": "bad_value", "4 stone": "bad_length"} {
		if r := s.refused(want, s.finishing(code, measuring("fold_depth", value))); r.Field != "measured.fold_depth" || r.Args["Value"] != value {
			t.Errorf("%q: %+v", value, r)
		}
	}
	s.refused("unknown_key", s.finishing(code, measuring("colour", "red")))
	e := s.do(s.finishing(code, measuring("fold_depth", "4 1/8 in"), measuring("length_middle", "95¼"), measuring("length_return", "7' 11 3/4\"")))
	if e.State != Finished || e.Next != plan.Tape || e.Measured["fold_depth"].String() != "4.125in" || e.Measured["length_middle"].String() != "95.25in" ||
		e.Measured["length_return"].String() != "95.75in" {
		t.Errorf("the edge of the tolerance: %+v", e)
	}
	for i, beyond := range []struct{ name, value string }{
		{"fold_depth", "4.12500004in"}, {"fold_depth", "3.87499996in"}, {"length_leading", "95.75000004"}, {"length_middle", "2419.349mm"},
	} {
		e := s.do(s.finishing(panels(o)[1+i], measuring(beyond.name, beyond.value)))
		if e.State != Held || e.Next != "" || !slices.Equal(e.OutOf, []string{beyond.name}) {
			t.Errorf("%s of %s: %+v", beyond.name, beyond.value, e)
		}
	}
}

// TestCountsAndChoices: a count must be its target, a choice one of its options.
func TestCountsAndChoices(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 3)
	s.cutAll(o)
	for _, code := range panels(o)[:3] {
		s.workTo(code, plan.PullUp)
		s.do(s.scan(code, Start))
	}
	code := panels(o)[0]
	for value, want := range map[string]string{"19.5": "bad_value", "nineteen": "bad_value", "-19": "bad_value"} {
		s.refused(want, s.finishing(code, measuring("pleats", value)))
	}
	s.refused("bad_value", s.finishing(code, measuring("cord_end", "knotted")))
	if e := s.do(s.finishing(code, measuring("cord_end", "Tucked"), measuring("pleats", " 19 "), measuring("finished_width", "49"))); e.State != Finished ||
		e.Measured["cord_end"].String() != "tucked" || e.Measured["pleats"].String() != "19" {
		t.Errorf("finished as %+v", e)
	}
	if e := s.do(s.finishing(panels(o)[1], measuring("pleats", "18"))); e.State != Held {
		t.Errorf("18 pleats of 19: %+v", e)
	}
	if e := s.do(s.finishing(panels(o)[2], measuring("finished_width", "48.49in"))); e.State != Held {
		t.Errorf("pulled up too tight: %+v", e)
	}
}

// TestAccept: the office alone takes a value out of tolerance, and says why; the panel goes on.
// byLead is a scan beside which a lead has shown badge and PIN.
func byLead(c *Scan) { c.Lead = true }

// TestLeadDecides: at a bench a lead decides what the office decides, and a hold that a person made is anybody's to lift.
func TestLeadDecides(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 2)
	s.cutAll(o)
	accepted, back := panels(o)[0], panels(o)[1]
	for _, code := range []plan.Code{accepted, back} {
		s.workTo(code, plan.Fold)
		outOfTolerance(s, code)
	}
	if e := s.do(s.scan(accepted, Accept, byLead)); e.State != Finished || e.Person == "" {
		t.Errorf("accepted as %+v", e)
	}
	s.do(s.scan(back, SendBack, to(plan.Joining), byLead))
	s.is(back, plan.Joining, Ready)
	s.do(s.scan(back, Hold))
	s.do(s.scan(back, Resume))
	s.refused("lead_only", Scan{Actor: bench, Ticket: back, Action: Accept, Key: "k", Reason: "x"})
}

func TestAccept(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 2)
	s.cutAll(o)
	code := panels(o)[0]
	s.workTo(code, plan.Fold)
	outOfTolerance(s, code)
	s.is(code, plan.Fold, Held)
	s.refused("needs_decision", s.scan(code, Resume))
	s.refused("lead_only", s.scan(code, Accept))
	s.refused("lead_only", s.scan(code, SendBack, to(plan.Joining)))
	s.refused("forbidden", s.scan(code, Accept, by(Actor{Role: Screen, Device: "wall"})))
	s.refused("forbidden", s.scan(code, Accept, by(Actor{Role: Screen, Device: "wall"}), byLead))
	s.refused("reason_missing", s.scan(code, Accept, by(office), noReason))
	e := s.do(s.scan(code, Accept, by(Actor{Role: Program, Device: "books"})))
	if e.State != Finished || e.Next != plan.Tape {
		t.Errorf("accepted as %+v", e)
	}
	s.is(code, plan.Tape, Ready)
	if step := s.floor.Ticket(code).Steps[2]; step.Measured["fold_depth"].String() != "5in" || step.Reason != "because" || !slices.Equal(step.OutOf, []string{"fold_depth"}) {
		t.Errorf("the ledger's step keeps %+v", step)
	}
}

// TestCuttingMakesPanelsReady: the last cutting ticket among its fabrics does, in its own event. A held panel stays
// held at its next step.
func TestCuttingMakesPanelsReady(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 2)
	held := panels(o)[1]
	s.do(s.scan(held, Hold))
	if e := s.work(cuts(o)[1]); len(e.Also) != 0 || e.Next != "" {
		t.Errorf("the first of two fabrics: %+v", e)
	}
	s.is(panels(o)[0], plan.Cutting, Waiting)
	e := s.work(cuts(o)[0])
	if e.Next != "" || len(e.Also) != 4 {
		t.Fatalf("the last of two fabrics: %+v", e)
	}
	for _, m := range e.Also {
		want := Ready
		if m.Ticket == held {
			want = Held
		}
		if m.Station != plan.Joining || m.State != want {
			t.Errorf("moved %+v, want %s at joining", m, want)
		}
		s.is(m.Ticket, plan.Joining, want)
	}
	s.do(s.scan(held, Resume))
	s.is(held, plan.Joining, Ready)
}

// TestRecutting: cloth sent back takes back the panels that nobody has begun, and no others.
func TestRecutting(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 3)
	s.cutAll(o)
	begun, held, fresh := panels(o)[0], panels(o)[1], panels(o)[2]
	s.do(s.scan(begun, Start))
	s.do(s.scan(held, Hold))
	again, heldAtWork := panels(o)[4], panels(o)[5]
	s.work(again)
	s.do(s.scan(again, SendBack, to(plan.Joining)))
	s.do(s.scan(heldAtWork, Start))
	s.do(s.scan(heldAtWork, Hold))
	e := s.do(s.scan(cuts(o)[0], SendBack, to(plan.Cutting)))
	if len(e.Also) != 3 {
		t.Errorf("taken back: %+v", e.Also)
	}
	s.is(cuts(o)[0], plan.Cutting, Ready)
	s.is(begun, plan.Joining, AtWork)
	s.is(again, plan.Joining, Ready)
	s.is(heldAtWork, plan.Joining, Held)
	s.is(held, plan.Cutting, Held)
	s.is(fresh, plan.Cutting, Waiting)
	s.do(s.scan(held, Resume))
	s.is(held, plan.Cutting, Waiting)
	if e := s.work(cuts(o)[0]); len(e.Also) != 3 {
		t.Errorf("ready again: %+v", e.Also)
	}
	s.is(fresh, plan.Joining, Ready)
	s.is(begun, plan.Joining, AtWork)
	s.do(s.scan(cuts(o)[0], Undo)) // the panel that was ahead is no reason against it
	s.is(fresh, plan.Cutting, Waiting)
	s.is(begun, plan.Joining, AtWork)
}

func TestSendBack(t *testing.T) {
	for _, from := range []string{"ready", "at work", "held", "out of tolerance", "finished"} {
		t.Run(from, func(t *testing.T) {
			s := newShop(t)
			i := slices.IndexFunc(stages, func(st stage) bool { return st.name == from })
			code := stages[i].bring(s)
			where := s.floor.Ticket(code).Station()
			e := s.do(s.scan(code, SendBack, to(plan.Joining), byLead))
			if e.Station != plan.Joining || e.State != Ready || e.Next != plan.Joining {
				t.Errorf("sent back as %+v", e)
			}
			for n, step := range s.floor.Ticket(code).Steps {
				want := StepNow{Spec: step.Spec, State: Waiting}
				if n == 0 {
					want = step
				}
				if n == 1 {
					want.State, want.SentBack = Ready, &SentBack{From: where, Reason: "because"}
				}
				if !reflect.DeepEqual(step, want) {
					t.Errorf("after sending back %s is %+v", step.Spec.Station, step)
				}
			}
			s.refused("undo_overtaken", s.scan(code, Undo))
			s.workTo(code, "")
		})
	}
}
