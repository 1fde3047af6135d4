package stations

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// releaseAsking takes an order, releases it as a shop does that has set some of what it measures, and cuts it.
func (s *shop) releaseAsking(w *workup.Workup, set ...plan.Asking) *Order {
	s.t.Helper()
	id := w.Order.ID
	s.do(TakeOrder{Actor: office, Order: id, Customer: w.Order.Customer, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(w, nil, s.code), Measuring: plan.Layout(nil).With(set)})
	s.cutAll(s.floor.Order(id))
	return s.floor.Order(id)
}

// asks are the names of what a panel's present step asks.
func (s *shop) asks(code plan.Code) (names []string) {
	t := s.floor.Ticket(code)
	asked := s.floor.Asked(t, t.At)
	for _, e := range asked.Enter {
		names = append(names, e.Name)
	}
	return append(names, asked.Checks...)
}

// asked finishes a step with what it asks and no more, changed by the functions.
func (s *shop) asked(code plan.Code, change ...func(*Scan)) Scan {
	t := s.floor.Ticket(code)
	asked := s.floor.Asked(t, t.At)
	return s.finishing(code, append([]func(*Scan){func(c *Scan) {
		c.Measured, c.Checks = map[string]string{}, asked.Checks
		for _, e := range asked.Enter {
			c.Measured[e.Name] = e.Target.String()
		}
	}}, change...)...)
}

// TestTheSecondOfAPairIsAskedLess: as shipped, what the first panel of a pair was measured for isn't asked of the second, and
// each of its steps is done with what is asked.
func TestTheSecondOfAPairIsAskedLess(t *testing.T) {
	s := newShop(t)
	o := s.releaseAsking(exampleOrder(t, "ORDER", 1))
	left, right := panels(o)[0], panels(o)[1]
	var fewer []string
	for _, code := range []plan.Code{left, right} {
		for s.floor.Ticket(code).State() != Finished {
			spec := s.floor.Ticket(code).Current().Spec
			if names := s.asks(code); code == left && len(names) != len(spec.Enter)+len(spec.Checks) {
				t.Errorf("the first is asked %q at %s", names, spec.Station)
			} else if code == right {
				for _, e := range spec.Enter {
					if !slices.Contains(names, e.Name) {
						fewer = append(fewer, e.Name)
					}
				}
			}
			s.do(s.scan(code, Start))
			s.do(s.asked(code))
		}
	}
	if want := []string{"fold_depth", "drop", "dots", "pleats", "inserts"}; !slices.Equal(fewer, want) {
		t.Errorf("the second isn't asked %q, want %q", fewer, want)
	}
	for i, step := range s.floor.Ticket(right).Steps {
		for name := range step.Spec.Asked {
			if _, measured := step.Measured[name]; measured {
				t.Errorf("%s of step %d is measured though nobody measured it", name, i)
			}
		}
	}
}

// TestWhoIsAsked: which of a pair is asked at the heading fold, as it goes with its mate.
func TestWhoIsAsked(t *testing.T) {
	for _, c := range []struct {
		name  string
		order []string // changes of the example order
		set   []plan.Asking
		do    func(s *shop, left, right plan.Code)
		asked bool // the right one, of its fold's depth
	}{
		{name: "nobody has begun", do: func(s *shop, left, right plan.Code) {}, asked: true},
		{name: "the mate is at work", do: func(s *shop, left, right plan.Code) { s.do(s.scan(left, Start)) }, asked: true},
		{name: "both are at work", do: func(s *shop, left, right plan.Code) { s.do(s.scan(right, Start)); s.do(s.scan(left, Start)) }, asked: true},
		{name: "the mate has it", do: func(s *shop, left, right plan.Code) { s.work(left) }},
		{name: "the mate has finished while both were at work", do: func(s *shop, left, right plan.Code) { s.do(s.scan(right, Start)); s.work(left) }},
		{name: "the mate went on", do: func(s *shop, left, right plan.Code) { s.workTo(left, plan.Inserts) }},
		{name: "the mate is out of tolerance", do: func(s *shop, left, right plan.Code) { outOfTolerance(s, left) }, asked: true},
		{name: "out of tolerance and accepted", do: func(s *shop, left, right plan.Code) {
			outOfTolerance(s, left)
			s.do(s.scan(left, Accept, by(office)))
		}, asked: true},
		{name: "another measure of the mate was accepted", do: func(s *shop, left, right plan.Code) {
			s.do(s.scan(left, Start))
			s.do(s.finishing(left, measuring("length_middle", "97")))
			s.do(s.scan(left, Accept, by(office)))
		}},
		{name: "taken back", do: func(s *shop, left, right plan.Code) { s.work(left); s.do(s.scan(left, Undo)) }, asked: true},
		{name: "sent back", do: func(s *shop, left, right plan.Code) {
			s.workTo(left, plan.Tape)
			s.do(s.scan(left, SendBack, to(plan.Fold)))
		}, asked: true},
		{name: "sent back behind it", do: func(s *shop, left, right plan.Code) {
			s.workTo(left, plan.Inserts)
			s.do(s.scan(left, SendBack, to(plan.PullUp)))
		}},
		{name: "the mate is ended", do: func(s *shop, left, right plan.Code) { s.work(left); s.do(scrapping(s, left, false)) }, asked: true},
		{name: "the mate is remade", do: func(s *shop, left, right plan.Code) {
			s.work(left)
			s.do(s.scan(left, Hold))
			sheet := Sheet{Work: exampleOrder(t, "ORDER", 1), Digest: "d", Codes: s.code}
			s.do(s.scan(left, Remake, by(office), func(c *Scan) { c.Sheet = &sheet }))
		}, asked: true},
		{name: "another window has it", order: []string{"quantity: 1", "quantity: 2"}, do: func(s *shop, left, right plan.Code) {
			s.workTo(panels(s.floor.Order("ORDER"))[2], plan.Tape)
		}, asked: true},
		{name: "the first of the order has it", order: []string{"quantity: 1", "quantity: 2"},
			set: []plan.Asking{{Route: "cartridge-tape", Station: plan.Fold, Name: "fold_depth", When: plan.FirstOfOrder}},
			do: func(s *shop, left, right plan.Code) {
				s.workTo(panels(s.floor.Order("ORDER"))[2], plan.Tape)
			}},
		{name: "never", set: []plan.Asking{{Route: "cartridge-tape", Station: plan.Fold, Name: "fold_depth", When: plan.Never}},
			do: func(s *shop, left, right plan.Code) {}},
		{name: "always", set: []plan.Asking{{Route: "cartridge-tape", Station: plan.Fold, Name: "fold_depth", When: plan.Always}},
			do: func(s *shop, left, right plan.Code) { s.work(left) }, asked: true},
		{name: "set on another route", set: []plan.Asking{{Route: "pinch", Station: plan.Heading, Name: "fold_depth", When: plan.Always}},
			do: func(s *shop, left, right plan.Code) { s.work(left) }},
		{name: "the mate has the same fold and another return", order: []string{"tape: cart-4", "tape: cart-4\n    return_other: 5"}, do: func(s *shop, left, right plan.Code) { s.work(left) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newShop(t)
			w := exampleOrder(t, "ORDER", 1, c.order...)
			o := s.releaseAsking(w, c.set...)
			left, right := panels(o)[0], panels(o)[1]
			s.workTo(left, plan.Fold)
			s.workTo(right, plan.Fold)
			c.do(s, left, right)
			if got := slices.Contains(s.asks(right), "fold_depth"); got != c.asked {
				t.Fatalf("asked: %v, want %v", got, c.asked)
			}
			if s.floor.Ticket(right).State() == Ready {
				s.do(s.scan(right, Start))
			}
			if c.asked {
				without := s.asked(right, func(sc *Scan) { delete(sc.Measured, "fold_depth") })
				if r := s.refused("entries_missing", without); !slices.Equal(r.Missing, []string{"fold_depth"}) {
					t.Errorf("missing %q", r.Missing)
				}
			}
			s.do(s.asked(right))
			s.is(right, plan.Tape, Ready)
		})
	}
}

// TestWhatIsNotAskedMayBeSent: it is kept, and held to its tolerance as always.
func TestWhatIsNotAskedMayBeSent(t *testing.T) {
	s := newShop(t)
	o := s.releaseAsking(exampleOrder(t, "ORDER", 1), plan.Asking{Route: "cartridge-tape", Station: plan.Fold, Name: "top_square", When: plan.Never})
	left, right := panels(o)[0], panels(o)[1]
	s.workTo(left, plan.Tape)
	s.workTo(right, plan.Fold)
	s.do(s.scan(right, Start))
	e := s.do(s.finishing(right, measuring("fold_depth", "5")))
	if e.State != Held || !slices.Equal(e.OutOf, []string{"fold_depth"}) || !slices.Contains(e.Checks, "top_square") {
		t.Errorf("finished as %+v", e)
	}
	s.do(s.scan(right, Undo))
	s.do(s.asked(right, func(c *Scan) { c.Measured["fold_depth"] = "4" })) // what was entered is kept, until it is entered again
	s.is(right, plan.Tape, Ready)
}

// TestAnotherTargetIsMeasured: a count of the mate says nothing of a panel that has another number of pleats.
func TestAnotherTargetIsMeasured(t *testing.T) {
	s := newShop(t)
	o := s.releaseAsking(exampleOrder(t, "ORDER", 1, "return: 3 1/2", "return: 3 1/2\n    return_other: 24"))
	left, right := panels(o)[0], panels(o)[1]
	of := func(code plan.Code) measure.Quantity {
		return s.floor.Ticket(code).Spec.At(plan.PullUp).Entry("pleats").Target
	}
	if of(left) == of(right) {
		t.Fatal("both have as many pleats")
	}
	s.workTo(left, plan.Inserts)
	s.workTo(right, plan.PullUp)
	if !slices.Contains(s.asks(right), "pleats") {
		t.Error("nobody counts the pleats of the second panel, which are others")
	}
}

// TestAPanelThatHangsAloneIsAskedAll, whatever the shop asks of pairs.
func TestAPanelThatHangsAloneIsAskedAll(t *testing.T) {
	s := newShop(t)
	o := s.releaseAsking(exampleOrder(t, "ORDER", 2, "draw: pair", "draw: one_way_left"))
	for _, code := range panels(o) {
		for s.floor.Ticket(code).State() != Finished {
			spec := s.floor.Ticket(code).Current().Spec
			if names := s.asks(code); len(names) != len(spec.Enter)+len(spec.Checks) {
				t.Errorf("%s asks %q", spec.Station, names)
			}
			s.work(code)
		}
	}
}

// TestAnOrderKeepsWhatItAsks: a ticket carries what its order was released with, through revisions and remakes and in JSON,
// which says nothing where everything is asked always.
func TestAnOrderKeepsWhatItAsks(t *testing.T) {
	s := newShop(t)
	set := []plan.Asking{
		{Route: "cartridge-tape", Station: plan.Fold, Name: "fold_depth", When: plan.Always},
		{Route: "cartridge-tape", Station: plan.Packing, Name: "hooks_in", When: plan.FirstOfOrder},
		{Route: "cutting", Station: plan.Cutting, Name: "repeat_over_five", When: plan.Never},
	}
	o := s.releaseAsking(exampleOrder(t, "ORDER", 1), set...)
	of := func(code plan.Code, at plan.Station) string {
		text, err := json.Marshal(s.floor.Ticket(code).Spec.At(at))
		if err != nil {
			t.Fatal(err)
		}
		_, asked, _ := strings.Cut(string(text), `"asked":`)
		asked, _, _ = strings.Cut(asked, "}")
		return asked
	}
	holds := func(code plan.Code) {
		t.Helper()
		for at, want := range map[plan.Station]string{plan.Fold: "", plan.Packing: `{"hooks_in":"first_of_order"`, plan.PullUp: `{"pleats":"first_of_pair"`, plan.Joining: ""} {
			if got := of(code, at); got != want {
				t.Errorf("%s at %s asks %q, want %q", code, at, got, want)
			}
		}
	}
	holds(panels(o)[0])
	if got := of(cuts(o)[0], plan.Cutting); got != `{"repeat_over_five":"never"` {
		t.Errorf("the cutting asks %q", got)
	}
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: Sheet{Work: exampleOrder(t, "ORDER", 2, "finished_length: 95 1/2", "finished_length: 95"), Digest: "d2", Codes: s.code}})
	all := panels(s.floor.Order("ORDER"))
	if len(all) != 4 {
		t.Fatalf("%d panels", len(all))
	}
	for _, code := range all {
		holds(code)
	}
	for _, code := range cuts(s.floor.Order("ORDER")) {
		if got := of(code, plan.Cutting); s.floor.Ticket(code).Spec.Fabric == "reed" && got != `{"repeat_over_five":"never"` {
			t.Errorf("after a revision the cutting asks %q", got)
		}
	}
}

// TestCuttingAsksWhatItIsSetTo: a start asks nothing that is never asked.
func TestCuttingAsksWhatItIsSetTo(t *testing.T) {
	s := newShop(t)
	w := exampleOrder(t, "ORDER", 1)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: "Saltmarsh Inn", Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code),
		Measuring: plan.Layout(nil).With([]plan.Asking{{Route: "cutting", Station: plan.Cutting, Name: "repeat_over_five", When: plan.Never}})})
	reed := cuts(s.floor.Order("ORDER"))[0]
	if got := s.floor.Ticket(reed).Current().MissingAtStart(nil); !slices.Equal(got, []string{"usable_width"}) {
		t.Errorf("a start asks %q", got)
	}
	s.do(s.scan(reed, Start))
	s.do(s.asked(reed))
	s.is(reed, plan.Cutting, Finished)
}

// TestAnOlderOrderAsksAll: an order that was released before a shop could set it asks everything of each panel.
func TestAnOlderOrderAsksAll(t *testing.T) {
	s, left, right := pair(t)
	s.workTo(left, plan.Tape)
	s.workTo(right, plan.Fold)
	if !slices.Contains(s.asks(right), "fold_depth") {
		t.Error("the second of a pair is asked less")
	}
}

// did is what the events say that a panel's stations did and that still counts.
type did struct {
	at       plan.Station
	done     bool
	measured map[string]measure.Quantity
	checks   []string
}

// model tells from the events alone what each panel has behind it.
type model map[plan.Code][]did

func (m model) learn(e Event) {
	had := m[e.Ticket]
	find := func(s plan.Station) int { return slices.IndexFunc(had, func(d did) bool { return d.at == s }) }
	switch e.Action {
	case Finish:
		had = slices.DeleteFunc(slices.Clone(had), func(d did) bool { return d.at == e.Station })
		had = append(had, did{e.Station, e.State == Finished, e.Measured, e.Checks})
	case Accept:
		had = slices.Clone(had)
		if i := find(e.Station); i >= 0 {
			had[i].done = true
		}
	case Undo:
		if i := find(e.Station); i >= 0 && e.State == AtWork {
			had = slices.Delete(slices.Clone(had), i, i+1)
		}
	case SendBack:
		if i := find(e.To); i >= 0 {
			had = slices.Clone(had[:i])
		}
	case Scrap:
		delete(m, e.Ticket)
		return
	}
	m[e.Ticket] = had
	for _, also := range e.Also { // a mate that was held for this panel
		theirs := slices.Clone(m[also.Ticket])
		for i := range theirs {
			if theirs[i].at == also.Station && also.State == Finished {
				theirs[i].done = true
			}
		}
		m[also.Ticket] = theirs
	}
}

// asks says what a panel is asked at a station: everything, but for what the occasion leaves to another that has done it.
func (m model) asks(f *Floor, t *Ticket, at plan.Station, when map[string]plan.Occasion) []string {
	spec := t.Spec.At(at)
	var names []string
	others := func(name string, pairOnly bool) bool {
		for code, had := range m {
			o := f.Ticket(code)
			if code == t.Spec.Code || o.Cancelled || o.Order != t.Order || o.Spec.Heading != t.Spec.Heading {
				continue
			}
			if pairOnly && (o.Spec.Treatment != t.Spec.Treatment || o.Spec.Copy != t.Spec.Copy || t.Spec.Panel == "S") {
				continue
			}
			for _, d := range had {
				if d.at != at || !d.done {
					continue
				}
				if slices.Contains(d.checks, name) {
					return true
				}
				own, mine := o.Spec.At(at).Entry(name), spec.Entry(name)
				if v, ok := d.measured[name]; ok && own.Within(v) && own.Target == mine.Target {
					return true
				}
			}
		}
		return false
	}
	ask := func(name string) {
		switch when[name] {
		case plan.Never:
		case plan.FirstOfPair:
			if !others(name, true) {
				names = append(names, name)
			}
		case plan.FirstOfOrder:
			if !others(name, false) {
				names = append(names, name)
			}
		default:
			names = append(names, name)
		}
	}
	for _, e := range spec.Enter {
		ask(e.Name)
	}
	for _, c := range spec.Checks {
		ask(c)
	}
	return names
}

// TestAskedByAModel works panels at random in a shop that asks at random, and holds what each is asked against a model that
// knows only the events; a finish with just that is taken, and one that lacks some of it names what it lacks.
func TestAskedByAModel(t *testing.T) {
	w := exampleOrder(t, "ORDER", 2)
	rapid.Check(t, func(t *rapid.T) {
		s, m := newShop(t), model{}
		when := map[plan.Station]map[string]plan.Occasion{}
		var set []plan.Asking
		for _, r := range plan.Layout(nil).Askings(nil) {
			if r.Route != "cartridge-tape" {
				continue
			}
			a := r.Asking
			a.When = rapid.SampledFrom(r.Choices).Draw(t, r.Name)
			set = append(set, a)
			if when[a.Station] == nil {
				when[a.Station] = map[string]plan.Occasion{}
			}
			when[a.Station][a.Name] = a.When
		}
		o := s.releaseAsking(w, set...)
		all := panels(o)
		for range rapid.IntRange(1, 40).Draw(t, "steps") {
			code := rapid.SampledFrom(all).Draw(t, "panel")
			if e, ok := s.anyWork(t, code); ok {
				m.learn(e)
			}
			for _, code := range all {
				ticket := s.floor.Ticket(code)
				for i := 1; i < len(ticket.Steps); i++ {
					asked := s.floor.Asked(ticket, i)
					var got []string
					for _, e := range asked.Enter {
						got = append(got, e.Name)
					}
					at := ticket.Steps[i].Spec.Station
					if got, want := append(got, asked.Checks...), m.asks(s.floor, ticket, at, when[at]); !slices.Equal(got, want) {
						t.Fatalf("%s at %s is asked %q, want %q by %+v", code, at, got, want, when[at])
					}
				}
			}
		}
	})
}

// anyWork does something sensible with a panel: its next step, with what it asks and perhaps more or out of tolerance, or one
// step back.
func (s *shop) anyWork(t *rapid.T, code plan.Code) (Event, bool) {
	ticket := s.floor.Ticket(code)
	var cmd Scan
	back := rapid.IntRange(0, 9).Draw(t, "back")
	switch {
	case ticket.Cancelled:
		return Event{}, false
	case back == 0:
		cmd = s.scan(code, Undo)
	case back == 1:
		cmd = s.scan(code, SendBack, by(office), to(rapid.SampledFrom(ticket.Steps[1:]).Draw(t, "to").Spec.Station))
	case back == 2 && rapid.IntRange(0, 3).Draw(t, "end") == 0:
		cmd = scrapping(s, code, false)
	case ticket.State() == Held:
		cmd = s.scan(code, Accept, by(office))
	case ticket.State() == Ready:
		cmd = s.scan(code, Start)
	case ticket.State() == AtWork:
		cmd = s.asked(code)
		if extra := rapid.IntRange(0, 3).Draw(t, "extra"); extra == 0 {
			cmd = s.finishing(code)
		}
		if names := slices.Sorted(maps.Keys(cmd.Measured)); len(names) > 0 && rapid.IntRange(0, 3).Draw(t, "slip") == 0 {
			if name := rapid.SampledFrom(names).Draw(t, "entry"); name != "cord_end" {
				cmd.Measured[name] = "1"
			}
		}
		s.lacking(t, code)
	default:
		return Event{}, false
	}
	e, r := s.try(cmd)
	if r != nil && r.Code == "entries_missing" {
		t.Fatalf("%+v lacks %q", cmd, r.Missing)
	}
	return e, r == nil
}

// lacking leaves one thing out that is asked, and is told so.
func (s *shop) lacking(t *rapid.T, code plan.Code) {
	names := s.asks(code)
	now := s.floor.Ticket(code).Current()
	names = slices.DeleteFunc(names, func(n string) bool { return !now.Measured[n].IsZero() }) // kept of a finish taken back
	if len(names) == 0 {
		return
	}
	out := rapid.SampledFrom(names).Draw(t, "left out")
	cmd := s.asked(code, func(c *Scan) {
		delete(c.Measured, out)
		c.Checks = slices.DeleteFunc(slices.Clone(c.Checks), func(n string) bool { return n == out })
	})
	if r := s.refused("entries_missing", cmd); !slices.Equal(r.Missing, []string{out}) {
		t.Fatalf("without %s it lacks %q", out, r.Missing)
	}
}
