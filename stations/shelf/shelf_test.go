package shelf

import (
	"encoding/json"
	"reflect"
	"testing"
	"time"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// shop is a shelf at work, and a second one that only reads the events.
type shop struct {
	t interface {
		Helper()
		Fatalf(string, ...any)
	}
	now      time.Time
	shelf    Shelf
	follower Shelf
	drawn    uint64
	promised map[plan.Code][]Promise
	customer map[string]string // by order
	device   string
	ways     Ways
}

func newShop(t *testing.T) *shop {
	return &shop{t: t, now: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC), promised: map[plan.Code][]Promise{}, device: "bench",
		customer: map[string]string{"A-1": "Saltmarsh Inn", "A-2": "Reed House"}, ways: ShippedWays(measure.In)}
}

func (s *shop) code() plan.Code { s.drawn++; return plan.NewCode(s.drawn) }

func (s *shop) around(cmd Command) Around {
	return Around{Device: s.device, Person: "Ana", At: s.now, Promised: s.promised[cmd.Bolt], Customer: s.customer[cmd.Order]}
}

// try decides a command and does it; the refusal's code is "" where there is none.
func (s *shop) try(cmd Command) (Event, string) {
	s.now = s.now.Add(time.Second)
	cmd.New, cmd.Ways = s.code(), s.ways
	if cmd.Action == BeginCount {
		cmd.Count = string(s.code())
	}
	e, r := s.shelf.Overlay().Decide(cmd, s.around(cmd))
	if r != nil {
		return e, r.Code
	}
	s.apply(e, s.around(cmd))
	return e, ""
}

// apply does an event, and once more from its JSON.
func (s *shop) apply(e Event, around Around) {
	s.t.Helper()
	o := s.shelf.Overlay()
	o.Apply(e, around)
	s.shelf = o.Shelf()
	text, err := json.Marshal(e)
	if err != nil {
		s.t.Fatalf("%v", err)
	}
	var again Event
	if err := json.Unmarshal(text, &again); err != nil {
		s.t.Fatalf("%v", err)
	}
	o = s.follower.Overlay()
	o.Apply(again, around)
	s.follower = o.Shelf()
	if was, is := s.shelf.Bolts(), s.follower.Bolts(); !reflect.DeepEqual(was, is) {
		s.t.Fatalf("%s: the follower has\n%s, not\n%s", e.Action, image(is), image(was))
	}
	if !reflect.DeepEqual(s.shelf.Counts(), s.follower.Counts()) {
		s.t.Fatalf("%s: the follower's counts differ", e.Action)
	}
}

func image(v any) string {
	text, _ := json.MarshalIndent(v, "", " ")
	return string(text)
}

func (s *shop) do(cmd Command) Event {
	s.t.Helper()
	e, code := s.try(cmd)
	if code != "" {
		s.t.Fatalf("%s is refused: %s", cmd.Action, code)
	}
	return e
}

func (s *shop) refused(want string, cmd Command) {
	s.t.Helper()
	if _, code := s.try(cmd); code != want {
		s.t.Fatalf("%s is refused as %q, want %q", cmd.Action, code, want)
	}
}

func (s *shop) receive(row Receipt, again bool) (plan.Code, string) {
	s.now = s.now.Add(time.Second)
	row.Codes = []plan.Code{s.code()}
	e, r := s.shelf.Overlay().Receive([]Receipt{row}, again, s.around(Command{}))
	if r != nil {
		return "", r.Code
	}
	s.apply(e, s.around(Command{}))
	return row.Codes[0], ""
}

// bolt receives a bolt of reed-oat.
func (s *shop) bolt(length, owner string) plan.Code {
	s.t.Helper()
	code, refused := s.receive(Receipt{Cloth: "reed-oat", Lot: "L7", Invoiced: length, Width: "54in", Place: "3B", Owner: owner}, false)
	if refused != "" {
		s.t.Fatalf("refused: %s", refused)
	}
	return code
}

var ticket = plan.NewCode(900)

// TestBoltToItsEnd follows a bolt from its receipt to nothing left.
func TestBoltToItsEnd(t *testing.T) {
	s := newShop(t)
	code := s.bolt("50 yd", "")
	s.do(Command{Action: Inspect, Bolt: code, Length: "49.5 yd", Widths: []string{"54in", "53.875in"}, Repeats: 5, Over: "67.5in", First: "4in",
		Flaws: []FlawTold{{From: "100in", To: "104in"}, {From: "300in", Kind: Hole}, {From: "310in", To: "312in"}}})
	b := s.shelf.Bolt(code)
	if b.Received != 1782*measure.Inch || b.Width != measure.Length(53875*25400) || b.Repeat() != 13500*25400 || b.State() != OnShelf {
		t.Fatalf("after the inspection: %s", image(b))
	}
	if got := []int{b.Flaws[0].Points, b.Flaws[1].Points, b.Flaws[2].Points}; !reflect.DeepEqual(got, []int{2, 2, 1}) {
		t.Fatalf("points %v", got)
	}
	s.do(Command{Action: Lay, Bolt: code, Tickets: []plan.Code{ticket}, Cloth: "reed-oat", Order: "A-1"})
	s.refused("on_flaw", Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "1", From: "90in", Length: "96in"})
	s.do(Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "1", From: "2in", Length: "96in"})
	s.refused("cut_already", Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "1", From: "110in", Length: "96in"})
	s.do(Command{Action: TellFlaw, Bolt: code, After: "1", Flaws: []FlawTold{{From: "5in", To: "8in", Kind: Stain, Points: 4}}})
	s.do(Command{Action: Cut, Bolt: code, Ticket: ticket, Cut: "2", From: "130in", Length: "96in"})
	// 98 scrapped up to the new flaw at 103, which overlaps the old one to 106; 24 in are long enough to keep.
	if got := s.shelf.Bolt(code).Unlabelled(); len(got) != 1 || got[0].From != b.quantity(106*measure.Inch) {
		t.Fatalf("unlabelled %v", got)
	}
	remnant := s.do(Command{Action: Part, Bolt: code, From: "106in", To: "130in", Place: "R1"}).New
	s.do(Command{Action: Spoil, Bolt: code, Ticket: ticket, Cut: "2", Reason: "cut askew"})
	s.refused("not_cut", Command{Action: Spoil, Bolt: code, Ticket: ticket, Cut: "2", Reason: "cut askew"})
	s.refused("rest_differs", Command{Action: Rest, Bolt: code, Length: "1500in"})
	s.do(Command{Action: Rest, Bolt: code, Length: "1550in", Place: "4A"})
	account := s.shelf.Bolt(code).Account()
	want := Account{Received: 1782 * measure.Inch, Cut: 96 * measure.Inch, Spoilt: 96 * measure.Inch, Flaw: 6 * measure.Inch,
		Scrapped: 4 * measure.Inch, Remnants: 24 * measure.Inch, Unexplained: 6 * measure.Inch, Rest: 1550 * measure.Inch}
	if account != want || !account.Balances() {
		t.Errorf("account %+v, want %+v", account, want)
	}
	if r := s.shelf.Bolt(remnant); !r.IsRemnant() || r.Place != "R1" || r.Rest != 24*measure.Inch || !r.Opened || !r.Account().Balances() {
		t.Errorf("remnant %s", image(r))
	}
	s.do(Command{Action: Scrap, Bolt: code, Reason: "moth"})
	if b := s.shelf.Bolt(code); b.State() != UsedUp || b.Rest != 0 || !b.Account().Balances() {
		t.Errorf("at its end: %s", image(b))
	}
}

// TestShelfUndo takes back the device's own last act, and nothing else.
func TestShelfUndo(t *testing.T) {
	s := newShop(t)
	code := s.bolt("50 yd", "")
	before := *s.shelf.Bolt(code)
	s.refused("undo_overtaken", Command{Action: Undo, Bolt: code})
	for _, cmd := range []Command{
		{Action: PlaceIt, Place: "9Z"}, {Action: Keep, Order: "A-1"}, {Action: Lay, Tickets: []plan.Code{ticket}},
	} {
		cmd.Bolt = code
		s.do(cmd)
		s.device = "other"
		s.refused("undo_not_yours", Command{Action: Undo, Bolt: code})
		s.device = "bench"
		s.do(Command{Action: Undo, Bolt: code})
		s.refused("undo_overtaken", Command{Action: Undo, Bolt: code})
		now := *s.shelf.Bolt(code)
		if now.Changes() <= before.Changes() {
			t.Errorf("%s: taking it back is no change", cmd.Action)
		}
		now.changes, now.Events = before.changes, before.Events
		if !reflect.DeepEqual(now, before) {
			t.Errorf("%s taken back leaves %s", cmd.Action, image(now))
		}
	}
	s.do(Command{Action: PlaceIt, Bolt: code, Place: "8Z"})
	s.do(Command{Action: Keep, Bolt: code, Order: "A-1"})
	s.do(Command{Action: Undo, Bolt: code})
	s.refused("undo_overtaken", Command{Action: Undo, Bolt: code}) // the one before it stays
	s.do(Command{Action: PlaceIt, Bolt: code, Place: "9Z"})
	s.now = s.now.Add(undoWithin)
	s.refused("undo_late", Command{Action: Undo, Bolt: code})
	s.do(Command{Action: HoldBolt, Bolt: code, Reason: "shade"})
	s.refused("undo_overtaken", Command{Action: Undo, Bolt: code})
}

// TestReceivedOnce knows a supplier's piece and an order's bolt again.
func TestReceivedOnce(t *testing.T) {
	s := newShop(t)
	row := Receipt{Cloth: "reed-oat", Lot: "L7", SupplierPiece: "P1", Invoiced: "40yd"}
	if _, refused := s.receive(row, false); refused != "" {
		t.Fatal(refused)
	}
	for want, change := range map[string]func(*Receipt){
		"received_before": func(*Receipt) {},
		"missing_key":     func(r *Receipt) { r.Cloth = " " },
		"bad_length":      func(r *Receipt) { r.Invoiced = "much" },
		"bad_value":       func(r *Receipt) { r.Width = "2in" },
		"":                func(r *Receipt) { r.Lot = "L8" },
	} {
		r := row
		change(&r)
		if _, refused := s.receive(r, false); refused != want {
			t.Errorf("refused as %q, want %q", refused, want)
		}
	}
	if _, refused := s.receive(row, true); refused != "" {
		t.Errorf("passed over, and refused: %s", refused)
	}
	row.SupplierPiece, row.From = "", &Origin{Order: "A-1", Fabric: "face", Bolt: "R1"}
	if _, refused := s.receive(row, false); refused != "" {
		t.Error(refused)
	}
	if _, refused := s.receive(row, true); refused != "on_shelf_already" {
		t.Errorf("an order's bolt twice: %q", refused)
	}
	two := []Receipt{{Cloth: "c", Invoiced: "1yd", SupplierPiece: "P9", Codes: []plan.Code{s.code()}}, {Cloth: "c", Invoiced: "1yd", SupplierPiece: "P9", Codes: []plan.Code{s.code()}}}
	if _, r := s.shelf.Overlay().Receive(two, false, s.around(Command{})); r == nil || r.Code != "received_before" || r.Row != 1 {
		t.Errorf("twice in one delivery: %v", r)
	}
}

// TestHoldLot holds and frees all bolts of a lot at once, remnants of it too.
func TestHoldLot(t *testing.T) {
	s := newShop(t)
	one, two := s.bolt("30yd", ""), s.bolt("40yd", "")
	other, _ := s.receive(Receipt{Cloth: "reed-oat", Lot: "L8", Invoiced: "9yd"}, false)
	s.do(Command{Action: HoldBolt, Bolt: one, Lot: true, Reason: "shade"})
	for code, want := range map[plan.Code]State{one: Held, two: Held, other: Received} {
		if got := s.shelf.Bolt(code).State(); got != want {
			t.Errorf("%s is %s, want %s", code, got, want)
		}
	}
	s.refused("bolt_held", Command{Action: Lay, Bolt: two, Tickets: []plan.Code{ticket}})
	s.do(Command{Action: FreeBolt, Bolt: two})
	s.refused("bolt_held", Command{Action: HoldBolt, Bolt: one, Reason: "again"})
	if s.shelf.Bolt(two).State() != Received || s.shelf.Bolt(one).State() != Held {
		t.Error("one bolt of a held lot isn't free by itself")
	}
	s.do(Command{Action: Lay, Bolt: two, Tickets: []plan.Code{ticket}})
	s.do(Command{Action: Cut, Bolt: two, Ticket: ticket, Cut: "1", Length: "60in"})
	s.do(Command{Action: HoldBolt, Bolt: two, Reason: "shade"})
	off := s.do(Command{Action: Spoil, Bolt: two, Ticket: ticket, Cut: "1", Reason: "shade", Keep: true}).New
	if s.shelf.Bolt(off).State() != Held {
		t.Error("what came off a held bolt isn't held")
	}
	s.do(Command{Action: Keep, Bolt: other, Customer: "Reed House"})
	s.do(Command{Action: GiveBack, Bolt: other, Reason: "wrong lot"})
	if s.shelf.Bolt(other).Kept != nil {
		t.Error("what has gone back is kept")
	}
}

// TestFreeCloth reckons without what is promised and what is cut around.
func TestFreeCloth(t *testing.T) {
	s := newShop(t)
	code := s.bolt("400in", "")
	s.do(Command{Action: Inspect, Bolt: code, Flaws: []FlawTold{{From: "100in", To: "110in"}, {From: "300in", To: "301in"}}})
	promised := []Promise{{Ticket: ticket, Order: "A-1", Span: (&Flaw{From: measure.OfLength(0, measure.In), To: measure.OfLength(90*measure.Inch, measure.In)}).Span()}}
	b := s.shelf.Bolt(code)
	for name, row := range map[string]struct {
		change       func(*Ways)
		all, longest measure.Length // in
	}{
		"as shipped, an inch from the flaw":  {func(*Ways) {}, 298, 289},
		"around each flaw":                   {func(w *Ways) { w.CutAround = 1 }, 295, 188},
		"up to the flaw":                     {func(w *Ways) { w.FlawClear = 0 }, 300, 290},
		"5 in at each end":                   {func(w *Ways) { w.EndAllowance = 5 * measure.Inch }, 293, 284},
		"2 in behind what is to be cut":      {func(w *Ways) { w.Kerf = 2 * measure.Inch }, 296, 289},
		"more at the ends than the bolt has": {func(w *Ways) { w.EndAllowance = 201 * measure.Inch }, 0, 0},
	} {
		ways := s.ways
		row.change(&ways)
		if all, longest := b.Free(promised, ways); all != row.all*measure.Inch || longest != row.longest*measure.Inch {
			t.Errorf("%s: free %s, longest %s", name, all.In(measure.In), longest.In(measure.In))
		}
	}
	s.promised[code] = promised
	s.refused("bolt_promised", Command{Action: Keep, Bolt: code, Order: "A-2"})
	s.refused("bolt_promised", Command{Action: GiveBack, Bolt: code, Reason: "too much"})
	s.refused("bolt_promised", Command{Action: Scrap, Bolt: code, To: "20in"})
	s.do(Command{Action: Keep, Bolt: code, Order: "A-1"})
	s.refused("already_kept", Command{Action: Keep, Bolt: code, Customer: "Reed House"})
	s.refused("already_kept", Command{Action: Lay, Bolt: code, Order: "A-2", Tickets: []plan.Code{ticket}})
	if all, _ := s.shelf.Bolt(code).Free(nil, s.ways); all != 0 {
		t.Error("what is kept is free")
	}
}

// TestNoCodeTwice: a code that was drawn twice for what comes in is drawn anew, in one row or in two.
func TestNoCodeTwice(t *testing.T) {
	s := newShop(t)
	row := func(codes ...plan.Code) Receipt { return Receipt{Cloth: "c", Invoiced: "1yd", Codes: codes} }
	one, two := s.code(), s.code()
	for _, rows := range [][]Receipt{{row(one, one)}, {row(one), row(one)}} {
		if _, r := s.shelf.Overlay().Receive(rows, false, s.around(Command{})); r == nil || r.Code != "busy" {
			t.Errorf("%v is taken: %v", rows, r)
		}
	}
	if _, r := s.shelf.Overlay().Receive([]Receipt{row(one, two)}, false, s.around(Command{})); r != nil {
		t.Errorf("two codes: %v", r)
	}
}
