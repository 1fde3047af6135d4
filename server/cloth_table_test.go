package server

import (
	"fmt"
	"maps"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/board"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// told is what a bench tells of a bolt at the table.
func (s *shop) told(bolt, action string, more ...any) scene {
	keys++
	body := fields{"bolt": bolt, "action": action, "key": fmt.Sprint("t", keys)}
	for i := 0; i+1 < len(more); i += 2 {
		body[more[i].(string)] = more[i+1]
	}
	return scene{name: action, as: stations.Bench, do: "POST /api/shelf", send: body, status: 200}
}

func (s *shop) refusedAs(sc scene, status int, code string) scene {
	sc.status, sc.code, sc.name = status, code, sc.name+" "+code
	return sc
}

// linked is an order on the floor whose face is cut from the shelf.
func (s *shop) linked(t *testing.T, order string, changes ...string) (ticket string) {
	t.Helper()
	s.take(t, order, withoutBolts(order, append(changes, "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)...)
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/" + order + "/release", status: 200})
	return s.ticketOf(t, order, "", "reed")
}

func (s *shop) bolted(code string) *shelf.Bolt { return s.Store.Floor().Shelf().Bolt(plan.Code(code)) }

// TestTableOnTheShelf follows a ticket at the table over a bolt of the shelf: laid, cut in turn, a flaw that moves what isn't cut, a piece
// that is spoilt and kept, the rest measured; the bolt's account has all of it, and the ticket ends when nothing is owed.
func TestTableOnTheShelf(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	one := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "21 yd", "place": "3B"})
	two := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "30 yd", "place": "3C"})
	ticket := s.linked(t, "A")
	bolt, other := one, two
	if on := s.on("A", "reed"); on[two] > 0 && on[one] == 0 {
		bolt, other = two, one
	}
	s.play(t, []scene{
		{name: "to be fetched", as: stations.Bench, do: "GET /api/tickets/" + ticket, status: 200, has: map[string]string{"fetch.0.bolt": bolt, "fetch.0.state": "to_fetch", "fetch.0.lot": "A"}},
		s.refusedAs(s.told(bolt, "lay", "ticket", ticket), 409, "not_started"),
		{name: "started", as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200},
	})
	if page := s.visit(t, stations.Bench, "/station/cutting?ticket="+ticket, 200, "fetch-at"); strings.Index(page, `id="table"`) > strings.Index(page, `class="work-columns`) {
		t.Error("what is to be fetched stands behind what is measured of it")
	}
	s.play(t, []scene{
		s.refusedAs(s.told(bolt, "cut", "ticket", ticket, "cut", "1"), 409, "not_on_table"),
		s.refusedAs(s.told(other, "lay", "ticket", ticket), 409, "wrong_bolt"),
		s.told(bolt, "lay", "ticket", ticket),
		{name: "on the table", as: stations.Bench, do: "GET /api/tickets/" + ticket, status: 200, has: map[string]string{"fetch.0.state": "on_table"}},
		s.refusedAs(s.told(bolt, "lay", "ticket", ticket), 409, "on_table"),
		s.refusedAs(s.told(bolt, "cut", "cut", "2"), 409, "cuts_left"),
		s.refusedAs(s.told(bolt, "cut", "cut", "1", "length", "100in"), 422, "cut_too_short"),
		s.told(bolt, "cut", "cut", "1"),
		s.refusedAs(s.told(bolt, "part", "to", "140in"), 409, "bolt_promised"),
		s.refusedAs(s.told(bolt, "cut", "cut", "1"), 409, "cut_already"),
		{name: "a finish owes the rest", as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "finish", "cutting"), status: 422, code: "entries_missing"},
		s.told(bolt, "flaw", "after", "1", "from", "10in", "to", "12in"),
		s.told(bolt, "cut", "cut", "2"),
		s.told(bolt, "spoil", "cut", "2", "reason", "cut askew", "keep", true, "place", "3B"),
	})
	if n := strings.Count(s.visit(t, stations.Office, "/orders/A/cloth", 200), `class="flaw"`); n != 2 {
		t.Errorf("the flaw that the table told, and what was spoilt, are drawn %d times", n)
	}
	if b := s.bolted(bolt); b.State() != shelf.OnTable || !b.Account().Balances() || b.Account().Cut != s.cutLength(ticket, "1") {
		t.Errorf("the account is %+v", b.Account())
	}
	for _, l := range s.Store.Floor().Ticket(plan.Code(ticket)).Spec.Cuts {
		if l.Done || l.Bolt == "" {
			continue
		}
		if b := s.bolted(l.Bolt); l.From.Length() < b.Begin {
			t.Errorf("cut %s lies at %s, and the cloth begins at %s", l.Cut, l.From, b.Begin.In(measure.In))
		}
	}
	// What is still to be cut, bolt by bolt, and what came off on the way.
	for _, b := range []string{bolt, other} {
		if s.on("A", "reed")[b] == 0 {
			continue
		}
		if s.bolted(b).State() != shelf.OnTable {
			s.ask(t, s.told(b, "lay", "ticket", ticket))
		}
		for _, l := range s.Store.Floor().Ticket(plan.Code(ticket)).Spec.Cuts {
			if !l.Done && l.Bolt == b {
				s.ask(t, s.told(b, "cut", "cut", l.Cut))
			}
		}
		for _, off := range s.bolted(b).Unlabelled() {
			s.ask(t, s.told(b, "part", "from", off.From.String(), "to", off.To.String(), "place", "9A"))
		}
		rest := measure.OfLength(s.bolted(b).Rest-10*measure.Inch, measure.In).String()
		s.ask(t, s.refusedAs(s.told(b, "rest", "length", rest), 422, "rest_differs"))
		s.ask(t, s.told(b, "rest", "length", rest, "again", true, "place", "4A"))
		if got := s.bolted(b); got.State() != shelf.OnShelf || got.Place != "4A" || got.Unexplained() != 10*measure.Inch || !got.Account().Balances() {
			t.Errorf("measured, %s is %s at %s, %+v", b, got.State(), got.Place, got.Account())
		}
	}
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + ticket, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(step, ticket), status: 200, has: map[string]string{"state": "finished"}})
	s.promisedOnce(t)
	s.audited(t)
}

// TestTakenBackByTheBolt: what was told of a bolt at the table is taken back at the bolt as at its ticket, once; sent again, what took it back
// and what a rest said are answered again. Each of them says of which bolt it is. A bolt of another cloth is refused as that.
func TestTakenBackByTheBolt(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/oat", send: fields{"name": "Oat", "sold_by": "yd"}, status: 201})
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd", "place": "3B"})
	oat := s.receiveBolt(t, fields{"cloth": "oat", "length": "40 yd"})
	ticket := s.linked(t, "A")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
	wrong := s.refusedAs(s.told(oat, "lay", "ticket", ticket), 409, "wrong_cloth")
	wrong.has = map[string]string{"where.bolts.0": bolt, "where.place": "3B"}
	s.ask(t, wrong)
	for _, told := range []scene{s.told(bolt, "lay", "ticket", ticket), s.told(bolt, "cut", "cut", "1"), s.told(bolt, "flaw", "after", "1", "from", "10in", "to", "12in")} {
		before := s.bolted(bolt).State()
		s.ask(t, told)
		back := s.told(bolt, "undo")
		first := s.ask(t, back)
		if again := s.ask(t, back); string(again.body) != string(first.body) || first.at("state") != string(before) {
			t.Errorf("%s taken back: %s, and again %s", told.name, first.body, again.body)
		}
		s.ask(t, s.refusedAs(s.told(bolt, "undo"), 409, "undo_overtaken"))
		s.ask(t, told.renewed())
	}
	events, err := s.Store.Events(t.Context(), 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range events {
		if c := board.ChangeOf(e); e.Ticket == plan.Code(ticket) && e.Action != stations.Start && c.Bolt != bolt {
			t.Errorf("%s is of bolt %q", e.Action, c.Bolt)
		}
	}
	for _, l := range s.Store.Floor().Ticket(plan.Code(ticket)).Spec.Cuts {
		if !l.Done {
			s.ask(t, s.told(bolt, "cut", "cut", l.Cut))
		}
	}
	rest := s.told(bolt, "rest", "length", s.bolted(bolt).Rest.In(measure.In))
	if first, again := s.ask(t, rest), s.ask(t, rest); string(first.body) != string(again.body) {
		t.Errorf("the rest %s, and again %s", first.body, again.body)
	}
	s.ask(t, s.refusedAs(s.told(bolt, "rest", "length", "1in"), 409, "not_on_table"))
	s.audited(t)
}

// renewed is the same with a key of its own.
func (sc scene) renewed() scene {
	keys++
	body := maps.Clone(sc.send.(fields))
	body["key"] = fmt.Sprint("t", keys)
	sc.send = body
	return sc
}

// cutLength is how long a ticket's cut was made.
func (s *shop) cutLength(ticket, cut string) measure.Length {
	l := s.Store.Floor().Ticket(plan.Code(ticket)).Spec.Cut(cut)
	return l.End() - l.From.Length()
}

// TestCutElsewhere: a cut that was made elsewhere on its bolt than planned is taken from there, unless that is off the bolt; off the pattern or
// with a flaw in it only where somebody has seen it. What lies behind moves.
func TestCutElsewhere(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
	ticket := s.linked(t, "A")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
	line := func(cut string) *plan.Cut { return s.Store.Floor().Ticket(plan.Code(ticket)).Spec.Cut(cut) }
	s.play(t, []scene{
		s.told(bolt, "lay", "ticket", ticket),
		s.refusedAs(s.told(bolt, "cut", "cut", "1", "from", "5in"), 422, "off_phase"),
		s.refusedAs(s.told(bolt, "cut", "cut", "1", "from", "1400in"), 422, "off_bolt"),
		s.refusedAs(s.told(bolt, "cut", "cut", "1", "from", "5in", "length", "9in", "seen", true), 422, "cut_too_short"),
		s.told(bolt, "cut", "cut", "1", "from", "13.5in"),
	})
	if one, two := line("1"), line("2"); one.From.String() != "13.5in" || two.From.String() != "135in" || !one.TrimTop.IsZero() {
		t.Errorf("cut 1 is from %s with %s to trim, and 2 from %s", one.From, one.TrimTop, two.From)
	}
	s.ask(t, s.told(bolt, "cut", "cut", "2", "from", "140in", "seen", true)) // 8½ in before the pattern's next
	if two := line("2"); two.TrimTop.String() != "8.5in" || two.TrimTop.Length()+two.TrimBottom.Length() != line("1").TrimBottom.Length() {
		t.Errorf("cut 2 is from %s with %s and %s to trim", two.From, two.TrimTop, two.TrimBottom)
	}
	s.play(t, []scene{
		s.told(bolt, "flaw", "after", "2", "from", "20in", "to", "22in"),
		s.refusedAs(s.told(bolt, "cut", "cut", "3", "from", "270in"), 422, "on_flaw"),
		s.refusedAs(s.told(bolt, "cut", "cut", "3", "from", "100in"), 422, "off_bolt"),
		s.told(bolt, "cut", "cut", "3", "from", "270in", "seen", true),
	})
	if b := s.bolted(bolt); !b.Account().Balances() || b.Account().Cut != 3*line("1").Length.Length() {
		t.Errorf("the account is %+v", b.Account())
	}
	s.promisedOnce(t)
	s.audited(t)
}

// TestFinishCutsTheShelf: a cutting of which nobody told anything takes its cuts off the bolts as they were planned, and gives them back when it is
// taken back.
func TestFinishCutsTheShelf(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
	ticket := s.linked(t, "A")
	was := s.bolted(bolt).Rest
	look := func() answer {
		return s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + ticket, status: 200})
	}
	if got := look(); strings.Contains(string(got.body), `"cut.1"`) {
		t.Errorf("nothing is told, and it asks for each cut: %s", got.body)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
	if got := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(look(), ticket), status: 200}); got.at("problems.0.code") != "rest_not_measured" {
		t.Errorf("finished: %s", got.body)
	}
	b := s.bolted(bolt)
	if b.Rest >= was || b.Measured || !b.Account().Balances() || b.Account().Cut == 0 {
		t.Errorf("cut, the account is %+v", b.Account())
	}
	s.audited(t)
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "undo", "cutting"), status: 200})
	if got := s.bolted(bolt).Rest; got != was {
		t.Errorf("taken back, %s is left of %s", got.In(measure.In), was.In(measure.In))
	}
	s.promisedOnce(t)
	s.audited(t)
}

// TestOthersOnTheBolt: who is cut first lies in front, and a flaw that leaves no room for another order is told of at once.
func TestOthersOnTheBolt(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "35 yd", "place": "1A"})
	first, second := s.linked(t, "A"), s.linked(t, "B")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(second, "start", "cutting"), status: 200})
	got := s.ask(t, s.told(bolt, "lay", "ticket", second))
	if got.at("lines.#") != "2" {
		t.Errorf("laid for the second, %s tickets' lines moved: %s", got.at("lines.#"), got.body)
	}
	s.promisedOnce(t)
	if at := s.Store.Floor().Ticket(plan.Code(second)).Spec.Cut("1").From.Length(); at != 0 {
		t.Errorf("the second's first cut is at %s", at.In(measure.In))
	}
	s.ask(t, s.told(bolt, "cut", "cut", "1"))
	flawed := s.ask(t, s.told(bolt, "flaw", "after", "1", "from", "1in", "to", "90in"))
	if flawed.at("problems.0.code") != "cloth_short" {
		t.Errorf("short for the other order, it is told %s", flawed.body)
	}
	if held := s.Store.Floor().Ticket(plan.Code(first)); held.State() != stations.Held && s.Store.Floor().Ticket(plan.Code(second)).State() != stations.Held {
		t.Errorf("nobody is held: %s", held.State())
	}
	s.promisedOnce(t)
	s.audited(t)
	s.ask(t, scene{name: "taken back", as: stations.Bench, do: "POST /api/scans", send: scanOf(second, "undo", "cutting"), status: 200})
	if b := s.bolted(bolt); len(b.Flaws) != 0 || b.Begin == 0 {
		t.Errorf("the flaw is taken back, the cut isn't: %+v", b)
	}
	s.promisedOnce(t)
	s.audited(t)
}

func (s *shop) plainFile(order, length string) string {
	return fmt.Sprintf(`order: %s
customer: Saltmarsh Inn
units: in
fabrics:
  - {id: reed, use: face, usable_width: 54, cloth: reed}
treatments:
  - {window: Bay, heading: pinch-2, face_width: 60, finished_length: %s, face: reed}
`, order, length)
}

// plainOn is an order of four cuts of plain reed from the shelf, on the floor; 16 in more than its finished length each.
func (s *shop) plainOn(t *testing.T, order, length string) (ticket string) {
	t.Helper()
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: s.plainFile(order, length), status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/" + order + "/release", status: 200})
	return s.ticketOf(t, order, "", "reed")
}

// TestLayPassesOver: of two orders on a bolt the one behind can't be cut first, since a flaw leaves the other no room behind it. The office says
// why it is all the same: the other is planned anew at once, or held where the cloth doesn't do.
func TestLayPassesOver(t *testing.T) {
	for _, more := range []bool{true, false} {
		s := openShop(t)
		s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed", "usable_width": "54in"}, status: 201})
		bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "830in", "place": "1A"})
		s.ask(t, s.told(bolt, "inspect", "length", "830in", "flaws", []fields{{"from": "450in", "to": "455in", "points": 4}}))
		first, second := s.plainOn(t, "A", "95 1/2"), s.plainOn(t, "B", "75 1/2")
		other := ""
		if more {
			other = s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "460in", "place": "1B"})
		}
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(second, "start", "cutting"), status: 200})
		refused := s.ask(t, s.refusedAs(s.told(bolt, "lay", "ticket", second), 409, "bolt_spoken_for"))
		if refused.at("where.tickets.0") != first || refused.at("where.place") != "1A" {
			t.Errorf("the refusal says %s", refused.body)
		}
		s.ask(t, s.refusedAs(s.told(bolt, "lay", "ticket", second, "override", true, "reason", "wanted today"), 403, "forbidden"))
		lay := s.told(bolt, "lay", "ticket", second, "override", true)
		lay.as = stations.Office
		s.ask(t, s.refusedAs(lay, 422, "reason_missing"))
		lay = s.told(bolt, "lay", "ticket", second, "override", true, "reason", "wanted today")
		lay.as = stations.Office
		laid := s.ask(t, lay)
		passed, on := s.Store.Floor().Ticket(plan.Code(first)), s.on("A", "reed")
		switch held := passed.State() == stations.Held; {
		case more && (held || on[other] != 4):
			t.Errorf("passed over, the first is %s, cut from %v", passed.State(), on)
		case !more && (!held || on[bolt] != 3 || on[""] != 1 || laid.at("problems.0.code") != "cloth_short"):
			t.Errorf("with no other cloth the first is %s, cut from %v: %s", passed.State(), on, laid.body)
		}
		if at := s.Store.Floor().Ticket(plan.Code(second)).Spec.Cut("1").From.Length(); at != 0 {
			t.Errorf("the second's first cut is at %s", at.In(measure.In))
		}
		s.promisedOnce(t)
		s.audited(t)
		undo := scene{as: stations.Office, do: "POST /api/scans", send: scanOf(second, "undo", "cutting"), status: 200}
		s.ask(t, undo)
		if back := s.Store.Floor().Ticket(plan.Code(first)); back.State() != stations.Ready || s.on("A", "reed")[bolt] != 4 {
			t.Errorf("taken back, the first is %s, cut from %v", back.State(), s.on("A", "reed"))
		}
		s.promisedOnce(t)
		s.audited(t)
	}
}

// TestLayLeavesNothing: who is passed over on the only bolt there is, and has no room left on it, is held for all of it.
func TestLayLeavesNothing(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed", "usable_width": "54in"}, status: 201})
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "846in", "place": "1A"})
	var flaws []fields // between them four stretches of 113 in and four of 93, the flaws being cleared by an inch
	for _, at := range []int{114, 230, 346, 462, 558, 654, 750} {
		flaws = append(flaws, fields{"from": fmt.Sprint(at, "in"), "to": fmt.Sprint(at+1, "in"), "points": 4})
	}
	s.ask(t, s.told(bolt, "inspect", "length", "846in", "flaws", flaws))
	first, second := s.plainOn(t, "A", "95 1/2"), s.plainOn(t, "B", "75 1/2")
	s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(second, "start", "cutting"), status: 200})
	lay := s.told(bolt, "lay", "ticket", second, "override", true, "reason", "wanted today")
	lay.as = stations.Office
	laid := s.ask(t, lay)
	if held := s.Store.Floor().Ticket(plan.Code(first)); held.State() != stations.Held || s.on("A", "reed")[""] != 4 || laid.at("problems.0.code") != "cloth_short" {
		t.Errorf("the first is %s, cut from %v: %s", held.State(), s.on("A", "reed"), laid.body)
	}
	s.promisedOnce(t)
	s.audited(t)
}

// TestNarrowBolt: a bolt that turns out narrower than the orders count on that have it promised is told at its inspection and isn't laid, nor taken
// off by a finish, until the office says why it does.
func TestNarrowBolt(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
	ticket := s.linked(t, "A")
	inspect := scene{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "inspect", "key": "i", "widths": []string{"54in", "53 1/2in"},
		"repeat": fields{"over": 5, "length": "69in"}}, status: 200}
	told := s.ask(t, inspect)
	if told.at("problems.#") != "2" || told.at("problems.0.code") != "bolt_narrow" || told.at("problems.1.code") != "repeat_differs" {
		t.Errorf("the inspection tells %s", told.body)
	}
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + ticket, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
	page := s.visit(t, stations.Bench, "/station/cutting?ticket="+ticket, 200, "It was measured 53 1/2 in wide", "The office decides.")
	if strings.Contains(page, `id="narrow-reason"`) || strings.Contains(page, `form="lay"`) {
		t.Error("a bench is asked to decide, or to lay it")
	}
	s.visit(t, stations.Office, "/station/cutting?ticket="+ticket, 200, `id="narrow-reason"`)
	by := func(role stations.Role, more ...any) scene {
		sc := s.told(bolt, "lay", append([]any{"ticket", ticket}, more...)...)
		sc.as = role
		return sc
	}
	finish := finishOf(step, ticket)
	s.play(t, []scene{
		s.refusedAs(by(stations.Bench), 409, "bolt_narrow"),
		{name: "finished untold", as: stations.Bench, do: "POST /api/scans", send: finish, status: 409, code: "bolt_narrow"},
		s.refusedAs(by(stations.Bench, "override", true, "reason", "I say so"), 403, "forbidden"),
		s.refusedAs(by(stations.Office, "override", true), 422, "reason_missing"),
		by(stations.Office, "override", true, "reason", "the selvage is as wide as ever"),
	})
	s.visit(t, stations.Bench, "/station/cutting?ticket="+ticket, 200, "at the front of the cloth")
	s.audited(t)
}

// TestBehindTheTable: an order is released on what lies behind the cuts of who has the bolt on the table. Its bench says whose it is, and a
// flaw in front moves both.
func TestBehindTheTable(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd", "place": "3B"})
	first := s.linked(t, "A")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(first, "start", "cutting"), status: 200})
	s.ask(t, s.told(bolt, "lay", "ticket", first))
	second := s.linked(t, "B")
	if on := s.on("B", "reed"); on[bolt] != 5 {
		t.Fatalf("the other order lies on %v", on)
	}
	ahead := func(when string) {
		t.Helper()
		promised := s.Store.Floor().Promised(plan.Code(bolt))
		for i, p := range promised {
			if (p.Ticket == plan.Code(first)) != (i < len(promised)-5) {
				t.Errorf("%s: the bolt is promised %+v", when, promised)
			}
		}
	}
	ahead("released")
	s.ask(t, s.told(bolt, "flaw", "from", "300in", "to", "303in"))
	ahead("after a flaw")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(second, "start", "cutting"), status: 200})
	s.visit(t, stations.Bench, "/station/cutting?ticket="+second, 200, "It is on the table for A.")
	s.ask(t, s.refusedAs(s.told(bolt, "lay", "ticket", second), 409, "on_table"))
	s.audited(t)
}
