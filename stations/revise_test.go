package stations

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
)

// revisedOrder is the example order with a second window, and changes by pairs of old and new text.
func revisedOrder(t fataler, changes ...string) *workup.Workup {
	t.Helper()
	raw, err := os.ReadFile("../testdata/contract/order.yaml")
	if err != nil {
		t.Fatalf("%v", err)
	}
	file := strings.NewReplacer("order: SMI-014", "order: ORDER", "length: 20 yd", "length: 40 yd").Replace(string(raw))
	file += "  - {window: Door, room: \"15\", heading: cartridge-tape, draw: one_way_left, face_width: 40, finished_length: 84, face: reed, lining: sateen}\n"
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(file, changes[i]) {
			t.Fatalf("no %q in the example order", changes[i])
		}
		file = strings.Replace(file, changes[i], changes[i+1], 1)
	}
	o, problems := orderfile.Parse([]byte(file))
	if engine.AnyError(problems) {
		t.Fatalf("the example order: %+v", problems)
	}
	return workup.Compute(o)
}

func (s *shop) sheet(w *workup.Workup) Sheet {
	return Sheet{Work: w, Digest: fmt.Sprint("d", len(s.ledger)), Codes: s.code}
}

// begin releases the example of two windows.
func (s *shop) begin(changes ...string) *Order {
	s.t.Helper()
	w := revisedOrder(s.t, changes...)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Due: w.Order.Due, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code)})
	return s.floor.Order("ORDER")
}

func (s *shop) revise(changes ...string) Event {
	s.t.Helper()
	e := s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(revisedOrder(s.t, changes...))})
	inOrder(s.t, s.floor)
	return e
}

// tells writes what an event says has changed: the ticket as people name it, its values, ! where protected.
func (s *shop) tells(e Event) string {
	var list []string
	for _, c := range e.Revised.Changed {
		text := s.names(c.Ticket) + ": " + strings.Join(c.Values, " ")
		if c.Protected {
			text += " !"
		}
		list = append(list, text)
	}
	return strings.Join(list, "\n")
}

func (s *shop) names(code plan.Code) string {
	t := s.floor.Ticket(code).Spec
	if t.Kind == plan.CuttingTicket {
		return t.Fabric
	}
	return t.Window + " " + t.Panel
}

// panel returns the order's ticket of a window's panel that isn't cancelled.
func (s *shop) panel(window, panel string) *Ticket {
	s.t.Helper()
	for _, t := range s.floor.Order("ORDER").Tickets {
		if t.Spec.Window == window && t.Spec.Panel == panel && !t.Cancelled {
			return t
		}
	}
	s.t.Fatalf("no panel %s %s", window, panel)
	return nil
}

func (s *shop) cutting(fabric string, nth int) *Ticket {
	s.t.Helper()
	for _, t := range s.floor.Order("ORDER").Tickets {
		if t.Spec.Fabric == fabric {
			if nth--; nth == 0 {
				return t
			}
		}
	}
	s.t.Fatalf("no such cutting ticket of %s", fabric)
	return nil
}

func valueOf(t *Ticket, station plan.Station, name string) string {
	return t.Spec.At(station).Value(name).String()
}

const (
	wider      = "face_width: 40"
	widerTo    = "face_width: 60"
	longer     = "finished_length: 84"
	longerTo   = "finished_length: 90"
	bayLonger  = "finished_length: 95 1/2"
	bayLongerT = "finished_length: 100"
)

// TestReviseBeforeRelease replaces the file and nothing else.
func TestReviseBeforeRelease(t *testing.T) {
	s := newShop(t)
	w := revisedOrder(t)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: "X", Digest: "d"})
	e := s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: Sheet{Work: w, Digest: "e", Codes: s.code}})
	o := s.floor.Order("ORDER")
	if e.Revised.Revision != 2 || len(e.Revised.Changed) != 0 || o.Revision != 2 || o.Digest != "e" || o.Customer != "Saltmarsh Inn" || o.Due != "2026-12-18" || o.State != OrderTaken {
		t.Errorf("revised by %+v to %+v", e.Revised, o)
	}
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code), Digest: "e"})
	for _, ticket := range s.floor.Order("ORDER").Tickets {
		if ticket.Spec.Revision != 2 {
			t.Errorf("%s is printed as of revision %d", s.names(ticket.Spec.Code), ticket.Spec.Revision)
		}
	}
}

// TestWhoMayRevise: unknown, finished and cancelled orders, another order's file, and a file made from an older one.
func TestWhoMayRevise(t *testing.T) {
	s := newShop(t)
	w := revisedOrder(t)
	cmd := ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(w)}
	s.refused("not_found", cmd)
	s.begin()
	elsewhere := revisedOrder(t, "order: ORDER", "order: OTHER")
	s.refused("bad_value", ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(elsewhere)})
	cmd.From = 2
	s.refused("revised_meanwhile", cmd)
	cmd.From = 1
	s.do(cmd)
	s.refused("revised_meanwhile", cmd)
	s.do(CancelOrder{Actor: office, Order: "ORDER", Reason: "sold"})
	s.refused("cancelled", ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(w)})

	s = newShop(t)
	o := s.begin()
	s.cutAll(o)
	for _, code := range panels(o) {
		s.workTo(code, "")
	}
	s.refused("finished", ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(w)})
	s.do(SetPriceList{Actor: office, Prices: prices("40.00", "18.00")})
	s.do(DraftInvoice{Actor: office, Draft: "D1", Customer: o.Customer, Panels: panels(o)})
	s.do(IssueInvoice{Actor: office, Draft: "D1"})
	s.refused("already_invoiced", ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(w)})
}

// TestReviseUncut: while nothing is cut a ticket takes all; the rest of the order isn't touched, and codes stay.
func TestReviseUncut(t *testing.T) {
	s := newShop(t)
	o := s.begin()
	before := map[plan.Code]Ticket{}
	for _, t := range o.Tickets {
		before[t.Spec.Code] = ticketImage(t)
	}
	e := s.revise(wider, widerTo)
	fresh := plan.Tickets(revisedOrder(t, wider, widerTo), nil, s.code)
	after := s.floor.Order("ORDER").Tickets
	if len(after) != len(fresh) || len(e.Tickets)+len(e.Revised.Dropped) > 0 {
		t.Fatalf("%d tickets, new %v, dropped %v", len(after), e.Tickets, e.Revised.Dropped)
	}
	for i, got := range after {
		if names := revision.Differences(&fresh[i], got.Spec); len(names) > 0 {
			t.Errorf("%s differs from a release of the new file in %q", s.names(got.Spec.Code), names)
		}
		changed := slices.ContainsFunc(e.Revised.Changed, func(c Changed) bool { return c.Ticket == got.Spec.Code })
		if same := sameButCounts(before[got.Spec.Code], ticketImage(got)); same == changed {
			t.Errorf("%s is told as changed: %v, is the same: %v", s.names(got.Spec.Code), changed, same)
		}
		if want := map[bool]int{true: 2, false: 1}[changed]; got.Spec.Revision != want {
			t.Errorf("%s is printed as of revision %d, want %d", s.names(got.Spec.Code), got.Spec.Revision, want)
		}
	}
	if got := s.tells(e); !strings.HasPrefix(got, "Door S: widths lining_widths seams") || !strings.Contains(got, "\nreed: cuts length") || strings.Contains(got, "!") || strings.Contains(got, "Bay") {
		t.Errorf("changed\n%s", got)
	}
}

// TestReviseRoom: a window that only gets another room is the same window, and its tickets say so.
func TestReviseRoom(t *testing.T) {
	s := newShop(t)
	s.begin()
	code := s.panel("Bay, left", "L").Spec.Code
	e := s.revise("room: \"14\"", "room: \"16\"")
	for _, c := range e.Revised.Changed {
		if t := s.floor.Ticket(c.Ticket).Spec; t.Kind == plan.PanelTicket && !slices.Equal(c.Values, []string{"room"}) {
			s.t.Fatalf("%s changes in %v", s.names(c.Ticket), c.Values)
		}
	}
	if spec := s.floor.Ticket(code).Spec; spec.Room != "16" || spec.Revision != 2 || !strings.Contains(s.tells(e), "Bay, left L: room") || strings.Contains(s.tells(e), "Door") {
		t.Errorf("%s of revision %d, told %s", spec.Room, spec.Revision, s.tells(e))
	}
}

// TestReviseRenamedAndChanged: a window under another name is the same only while all its numbers are; else it is another, and the one
// that the file lacks is cancelled.
func TestReviseRenamedAndChanged(t *testing.T) {
	for name, tt := range map[string]struct {
		changes []string
		same    bool
	}{
		"only renamed":         {[]string{"window: Door, room", "window: Hall, room"}, true},
		"renamed and longer":   {[]string{"window: Door, room", "window: Hall, room", longer, longerTo}, false},
		"renamed and as wider": {[]string{"window: Door, room", "window: Hall, room", wider, widerTo}, false},
	} {
		s := newShop(t)
		s.begin()
		code := s.panel("Door", "S").Spec.Code
		e := s.revise(tt.changes...)
		if now := s.floor.Ticket(code); now.Cancelled == tt.same || slices.Contains(e.Revised.Dropped, code) == tt.same || (now.Spec.Window == "Hall") != tt.same {
			t.Errorf("%s: the ticket is %s's, dropped are %v", name, now.Spec.Window, e.Revised.Dropped)
		}
	}
}

// TestReviseNothing: the same file again changes no ticket, and a start before it can still be taken back.
func TestReviseNothing(t *testing.T) {
	s := newShop(t)
	s.cutAll(s.begin())
	code := s.panel("Door", "S").Spec.Code
	s.do(s.scan(code, Start))
	if e := s.revise(); len(e.Revised.Changed)+len(e.Revised.Specs) > 0 {
		t.Errorf("changed %+v", e.Revised)
	}
	if e := s.revise("due: 2026-12-18", "due: 2026-12-24"); len(e.Revised.Changed) > 0 || s.floor.Ticket(code).Due != "2026-12-24" {
		t.Errorf("changed %+v, due %s", e.Revised, s.floor.Ticket(code).Due)
	}
	s.do(s.scan(code, Undo))
}

// TestReviseCutPanel: once its cloth is cut, a panel that is wanted wider stays as it was released, and so does its
// cutting; the window beside it isn't touched.
func TestReviseCutPanel(t *testing.T) {
	for _, at := range []string{"cutting begun", "face cut", "all cut"} {
		t.Run(at, func(t *testing.T) {
			s := newShop(t)
			o := s.begin()
			switch at {
			case "cutting begun":
				s.do(s.scan(cuts(o)[0], Start))
			case "face cut":
				s.work(cuts(o)[0])
			default:
				s.cutAll(o)
			}
			door := s.panel("Door", "S")
			was := ticketImage(door)
			e := s.revise(wider, widerTo)
			now := s.floor.Ticket(door.Spec.Code)
			if len(revision.Differences(was.Spec, now.Spec)) > 0 || now.Spec.Revision != 1 {
				t.Errorf("its ticket changed: %q", revision.Differences(was.Spec, now.Spec))
			}
			if now.Wanted == nil || now.Wanted.Revision != 2 || !slices.Contains(now.Kept, "flat_width") || now.Spec.Drawn == nil || *now.Spec.Drawn != (plan.Origin{Revision: 1, Treatment: 1}) {
				t.Errorf("wanted %+v, kept %q, drawn %+v", now.Wanted, now.Kept, now.Spec.Drawn)
			}
			if len(e.Tickets)+len(e.Also) > 0 {
				t.Errorf("new tickets %v, moved %v", e.Tickets, e.Also)
			}
			got := s.tells(e)
			if !strings.HasPrefix(got, "Door S: ") || strings.Count(got, "!") != strings.Count(got, "\n")+1 || !strings.Contains(got, "\nreed: cuts length !") {
				t.Errorf("changed\n%s", got)
			}
			if e := s.revise(wider, widerTo); len(e.Revised.Changed) > 0 {
				t.Errorf("told again: %s", s.tells(e))
			}
			e = s.revise()
			now = s.floor.Ticket(door.Spec.Code)
			if now.Wanted != nil || len(now.Kept) > 0 || now.Spec.Drawn != nil || s.floor.Ticket(cuts(o)[0]).Kept != nil {
				t.Errorf("back as it was, and still flagged: %+v", now)
			}
		})
	}
}

// TestReviseOneCutOneNot: of two windows in different cloth the one that is cut stays and the other takes its numbers.
func TestReviseOneCutOneNot(t *testing.T) {
	other := []string{"  - id: sateen", "  - {id: plain, use: face, usable_width: 54, bolts: [{id: P1, length: 40 yd, lot: X}]}\n  - id: sateen",
		"finished_length: 84, face: reed, lining: sateen", "finished_length: 84, face: plain"}
	s := newShop(t)
	s.begin(other...)
	s.work(s.cutting("reed", 1).Spec.Code)
	e := s.revise(append(slices.Clone(other), wider, widerTo, "face_width: 84", "face_width: 96")...)
	if got := s.panel("Door", "S"); got.Spec.Revision != 2 || len(got.Kept) > 0 {
		t.Errorf("the uncut door: %+v", got.Spec)
	}
	for _, side := range []string{"L", "R"} {
		if got := s.panel("Bay, left", side); got.Spec.Revision != 1 || len(got.Kept) == 0 {
			t.Errorf("the cut bay %s: kept %q", side, got.Kept)
		}
	}
	if got := s.cutting("plain", 1); got.Spec.Revision != 2 {
		t.Error("plain is to be cut as before")
	}
	if got := s.cutting("sateen", 1); got.Spec.Revision != 1 {
		t.Errorf("the lining of a panel that waits for the office is cut anew: %s", s.tells(e))
	}
}

// TestReviseAtTheStations: a step begun or done keeps its numbers, and later ones what hangs together with them.
func TestReviseAtTheStations(t *testing.T) {
	const inserts, insertsTo = "insert_length: 12", "insert_length: 13"
	const ends, endsTo = "cord_end: wound", "cord_end: tucked"
	for _, tt := range []struct {
		name      string
		to        plan.Station
		start     bool
		changes   []string
		protected bool
		takes     string // name of a number that is taken at the station
		at        plan.Station
		keeps     string
	}{
		{"inserts before they are rolled", plan.Inserts, false, []string{inserts, insertsTo}, false, "insert_length", plan.Inserts, ""},
		{"inserts at work", plan.Inserts, true, []string{inserts, insertsTo}, true, "", plan.Inserts, "insert_length"},
		{"cord end before the pull-up", plan.PullUp, false, []string{ends, endsTo}, false, "cord_end", plan.PullUp, ""},
		{"cord end after the pull-up", plan.Inserts, false, []string{ends, endsTo}, true, "", plan.Packing, "cord_end"},
		{"inserts, and the cord end too late", plan.Inserts, false, []string{inserts, insertsTo, ends, endsTo}, true, "insert_length", plan.Inserts, "cord_end"},
		{"the heading fold before it is folded", plan.Fold, false, []string{"end_margin: {nominal: 3/4", "top_drop: 3/8, end_margin: {nominal: 3/4", "top_drop: 1/4, ", ""}, false, "top_drop", plan.Tape, ""},
		{"a length after the fold", plan.Tape, false, []string{bayLonger, "finished_length: 96"}, true, "", plan.Packing, "finished_length"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := newShop(t)
			s.cutAll(s.begin())
			code := s.panel("Bay, left", "L").Spec.Code
			s.workTo(code, tt.to)
			if tt.start {
				s.do(s.scan(code, Start))
			}
			was := s.floor.Ticket(code).Spec
			e := s.revise(tt.changes...)
			now := s.floor.Ticket(code)
			i := slices.IndexFunc(e.Revised.Changed, func(c Changed) bool { return c.Ticket == code })
			if i < 0 || e.Revised.Changed[i].Protected != tt.protected {
				t.Errorf("told\n%s", s.tells(e))
			}
			if tt.takes != "" && valueOf(now, tt.at, tt.takes) == was.At(tt.at).Value(tt.takes).String() {
				t.Errorf("%s at %s stays %s", tt.takes, tt.at, valueOf(now, tt.at, tt.takes))
			}
			if tt.keeps != "" && (!slices.Contains(now.Kept, tt.keeps) || tt.takes == "" && valueOf(now, tt.at, tt.keeps) != was.At(tt.at).Value(tt.keeps).String()) {
				t.Errorf("%s is not kept: %q", tt.keeps, now.Kept)
			}
			s.is(code, s.floor.Ticket(code).Station(), map[bool]State{true: AtWork, false: Ready}[tt.start])
			s.workTo(s.finishStarted(code), "")
			inOrder(t, s.floor)
		})
	}
}

// finishStarted finishes the step that a ticket is at work on, if it is.
func (s *shop) finishStarted(code plan.Code) plan.Code {
	if s.floor.Ticket(code).State() == AtWork {
		s.do(s.finishing(code))
	}
	return code
}

// TestBroughtUpMeanwhile: what was planned or worked out by an order's former practice comes too late once the order has another, though its
// file is the same; an older file of it goes by the former one.
func TestBroughtUpMeanwhile(t *testing.T) {
	s := newShop(t)
	w := revisedOrder(t)
	first, second := orderfile.Practice{"seam": "0.625in"}, orderfile.Practice{}
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: "X", Digest: "d", Practice: first})
	sheet := Sheet{Work: w, Digest: "d", Codes: s.code, Revision: 1}
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: sheet})
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: sheet, Practice: second})
	o := s.floor.Order("ORDER")
	if o.Revision != 3 || len(o.Practice) != 0 || o.Practice == nil || len(o.PracticeAt(1)) != 1 || len(o.PracticeAt(2)) != 1 || len(o.PracticeAt(3)) != 0 {
		t.Errorf("revision %d by %v, before by %v, %v", o.Revision, o.Practice, o.PracticeAt(1), o.PracticeAt(2))
	}
	late := ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code), Digest: "d", Revision: 2}
	s.refused("busy", late)
	sheet.Revision = 2
	s.refused("busy", ReviseOrder{Actor: office, Order: "ORDER", Sheet: sheet})
	late.Revision = 3
	s.do(late)
	sheet.Revision = 3
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: sheet})
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: sheet, Practice: first})
	code := cuts(s.floor.Order("ORDER"))[0]
	s.do(s.starting(code))
	cut := Scan{Actor: bench, Ticket: code, Action: Cut, Cut: "1", Length: "125", Sheet: &Sheet{Work: w, Digest: "d", Codes: s.code, Revision: 4}}
	s.refused("busy", cut)
	cut.Sheet.Revision = 5
	if _, r := s.try(cut); r != nil && r.Code == "busy" {
		t.Error("what is worked out as the order is now comes too late")
	}
	s.foldsAlike()
}
