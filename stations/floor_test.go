package stations

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"strconv"
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

// shop is a floor under test with its clock and its ledger.
type shop struct {
	t      fataler
	floor  *Floor
	now    time.Time
	ledger []Event
	again  SecondFold // of the ledger
	codes  uint64
	drawn  []string // changes of the example order, by turns what stands there and what instead
}

// SecondFold folds the ledger's JSON in another way; refold_test.go, which may import what imports this package, sets
// FoldAgain.
type SecondFold interface {
	Add(event []byte) error
	Differences(*Floor) []string
}

// FoldAgain begins a second fold.
var FoldAgain func() SecondFold

// fataler is what testing and rapid have in common.
type fataler interface {
	Helper()
	Fatalf(string, ...any)
}

var (
	office = Actor{Role: Office, Name: "Office", Device: "office"}
	bench  = Actor{Role: Bench, Name: "Bench 1", Device: "bench-1"}
	other  = Actor{Role: Bench, Name: "Bench 2", Device: "bench-2"}
)

func newShop(t fataler) *shop {
	return &shop{t: t, floor: NewFloor(), again: FoldAgain(), now: time.Date(2026, 12, 1, 8, 0, 0, 123456789, time.UTC)}
}

// try sends a command through a batch of its own and returns its event or refusal.
func (s *shop) try(cmd Command) (Event, *Refusal) {
	s.t.Helper()
	before := image(s.floor)
	o := s.floor.Overlay()
	e, err := o.Decide(cmd, s.now)
	if err != nil {
		var r *Refusal
		if !errors.As(err, &r) {
			s.t.Fatalf("%+v: %v is no refusal", cmd, err)
		}
		if after := image(o.Floor()); !reflect.DeepEqual(before, after) {
			s.t.Fatalf("%+v is refused as %s, and the floor changed", cmd, r.Code)
		}
		return Event{}, r
	}
	if after := image(o.Floor()); !reflect.DeepEqual(before, after) {
		s.t.Fatalf("deciding %+v changed the floor", cmd)
	}
	e.Seq = s.floor.Seq() + 1
	o.Apply(e)
	if after := image(s.floor); !reflect.DeepEqual(before, after) {
		s.t.Fatalf("applying %+v changed the floor before it", cmd)
	}
	s.floor = o.Floor()
	s.note(e)
	s.foldsAlike()
	return e, nil
}

// note puts an event into the ledger and into its second fold.
func (s *shop) note(e Event) {
	s.t.Helper()
	s.ledger = append(s.ledger, e)
	text, err := json.Marshal(e)
	if err == nil {
		err = s.again.Add(text)
	}
	if err != nil {
		s.t.Fatalf("%v", err)
	}
}

// foldsAlike holds the floor against the second fold of its ledger.
func (s *shop) foldsAlike() {
	s.t.Helper()
	if differences := s.again.Differences(s.floor); len(differences) > 0 {
		s.t.Fatalf("%s\nafter %+v", strings.Join(differences, "\n"), s.ledger[len(s.ledger)-1])
	}
}

// do sends a command that must be accepted.
func (s *shop) do(cmd Command) Event {
	s.t.Helper()
	e, r := s.try(cmd)
	if r != nil {
		s.t.Fatalf("%+v is refused: %s %q missing %q args %v", cmd, r.Code, r.Field, r.Missing, r.Args)
	}
	return e
}

// refused sends a command that must be refused with the code.
func (s *shop) refused(code string, cmd Command) *Refusal {
	s.t.Helper()
	e, r := s.try(cmd)
	if r == nil {
		s.t.Fatalf("%+v is accepted as %+v, want %s", cmd, e, code)
	} else if r.Code != code {
		s.t.Fatalf("%+v is refused as %s, want %s", cmd, r.Code, code)
	}
	return r
}

func (s *shop) wait(d time.Duration) { s.now = s.now.Add(d) }

func (s *shop) code() plan.Code {
	s.codes++
	return plan.NewCode(s.codes)
}

// image is everything that a floor tells and keeps of itself but for pointers: what two equal floors share.
func image(f *Floor) map[string]any {
	m := map[string]any{"seq": f.seq, "prices": f.prices, "issued": f.issued, "credited": f.credited}
	for _, o := range f.orders.All() {
		c := *o
		c.Tickets = nil
		m["order "+o.ID] = c
		for i, t := range o.Tickets {
			m["ticket "+o.ID+" "+strconv.Itoa(i)] = ticketImage(t)
			if f.Ticket(t.Spec.Code) != t {
				m["strayed "+string(t.Spec.Code)] = true
			}
		}
	}
	for _, i := range f.invoices.All() {
		c := *i
		c.Lines = append([]invoice.Line(nil), i.Lines...)
		m["invoice "+i.Draft] = c
	}
	for _, b := range f.Shelf().Bolts() {
		m["bolt "+string(b.Code)] = *b
	}
	for _, c := range f.Shelf().Counts() {
		m["count "+c.ID] = *c
	}
	for number, draft := range f.numbers.Merged() {
		m["number "+number] = draft
	}
	return m
}

func ticketImage(t *Ticket) Ticket {
	c := *t
	c.Steps = append([]StepNow(nil), t.Steps...)
	return c
}

// refold applies a ledger, written as JSON and read back, to an empty floor.
func refold(t fataler, ledger []Event) *Floor {
	o := NewFloor().Overlay()
	for _, e := range ledger {
		text, err := json.Marshal(e)
		if err != nil {
			t.Fatalf("%v", err)
		}
		var read Event
		if err := json.Unmarshal(text, &read); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		o.Apply(read)
	}
	return o.Floor()
}

// exampleOrder is the one of testdata/contract, with n windows and cloth for them, and changes by pairs of old and new text.
func exampleOrder(t fataler, id string, n int, changes ...string) *workup.Workup {
	t.Helper()
	raw, err := os.ReadFile("../testdata/contract/order.yaml")
	if err != nil {
		t.Fatalf("%v", err)
	}
	file := string(raw)
	changes = append([]string{"order: SMI-014", "order: " + id, "quantity: 1", "quantity: " + strconv.Itoa(n),
		"length: 40 yd", "length: 900 yd", "length: 20 yd", "length: 900 yd"}, changes...)
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

// take takes and releases an order of n pairs and returns it.
func (s *shop) release(id string, n int) *Order {
	s.t.Helper()
	w := exampleOrder(s.t, id, n)
	s.do(TakeOrder{Actor: office, Order: id, Customer: w.Order.Customer, Due: w.Order.Due, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(w, nil, s.code)})
	return s.floor.Order(id)
}

func panels(o *Order) []plan.Code { return codesOf(o, plan.PanelTicket) }
func cuts(o *Order) []plan.Code   { return codesOf(o, plan.CuttingTicket) }

func codesOf(o *Order, k plan.Kind) []plan.Code {
	var codes []plan.Code
	for _, t := range o.Tickets {
		if t.Spec.Kind == k {
			codes = append(codes, t.Spec.Code)
		}
	}
	return codes
}

// scan makes a command about a ticket where it is, changed by the functions.
func (s *shop) scan(code plan.Code, a Action, change ...func(*Scan)) Scan {
	c := Scan{Actor: bench, Ticket: code, Action: a, Reason: "because", Person: "Ana"}
	if t := s.floor.Ticket(code); t != nil {
		c.Station = t.Station()
	}
	for _, f := range change {
		f(&c)
	}
	return c
}

func by(a Actor) func(*Scan)               { return func(c *Scan) { c.Actor = a } }
func at(station plan.Station) func(*Scan)  { return func(c *Scan) { c.Station = station } }
func to(station plan.Station) func(*Scan)  { return func(c *Scan) { c.To = station } }
func noReason(c *Scan)                     { c.Reason = " " }
func measuring(name, v string) func(*Scan) { return func(c *Scan) { c.Measured[name] = v } }
func checking(n ...string) func(c *Scan)   { return func(c *Scan) { c.Checks = n } }

// finishing has a finish with every target and every check, changed by the functions.
func (s *shop) finishing(code plan.Code, change ...func(*Scan)) Scan {
	c := s.scan(code, Finish)
	c.Measured = map[string]string{}
	if now := s.floor.Ticket(code).Current(); now != nil {
		for _, e := range now.Spec.Enter {
			c.Measured[e.Name] = e.Target.String()
		}
		t := s.floor.Ticket(code)
		c.Checks = s.floor.Asked(t, t.At).Shown(now.Spec)
	}
	for _, f := range change {
		f(&c)
	}
	return c
}

// work starts and finishes the step that a ticket is ready at.
func (s *shop) work(code plan.Code) Event {
	s.t.Helper()
	s.do(s.scan(code, Start))
	return s.do(s.finishing(code))
}

func (s *shop) cutAll(o *Order) {
	s.t.Helper()
	for _, c := range cuts(o) {
		s.work(c)
	}
}

// workTo takes a panel on until it is ready at the station, or finished for "".
func (s *shop) workTo(code plan.Code, station plan.Station) {
	s.t.Helper()
	for s.floor.Ticket(code).State() != Finished && (station == "" || s.floor.Ticket(code).Station() != station) {
		s.work(code)
	}
}

// is holds where a ticket is, and in what state.
func (s *shop) is(code plan.Code, station plan.Station, state State) {
	s.t.Helper()
	if t := s.floor.Ticket(code); t.Station() != station || t.State() != state {
		s.t.Fatalf("%s is %s at %s, want %s at %s", code, t.State(), t.Station(), state, station)
	}
}

func prices(panel, width string) billing.PriceList {
	return billing.PriceList{Currency: "USD", Rows: []billing.PriceRow{{Heading: "cartridge-tape", Panel: panel, Width: width}}}
}

// sameButCounts compares two images of a ticket, leaving out what counts its changes.
func sameButCounts(a, b Ticket) bool {
	for _, t := range []*Ticket{&a, &b} {
		t.changes, t.cutAt, t.Changed, t.last = 0, 0, time.Time{}, nil
	}
	return reflect.DeepEqual(a, b)
}
