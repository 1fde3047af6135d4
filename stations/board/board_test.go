package board

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
)

var actor = stations.Actor{Role: stations.Office, Device: "office"}

// hall is a floor under test.
type hall struct {
	t     *testing.T
	floor *stations.Floor
	now   time.Time
	codes uint64
}

func newHall(t *testing.T) *hall {
	return &hall{t: t, floor: stations.NewFloor(), now: time.Date(2026, 12, 1, 9, 30, 0, 0, time.FixedZone("", 3600))}
}

func (h *hall) do(cmd stations.Command) stations.Event {
	h.t.Helper()
	o := h.floor.Overlay()
	e, err := o.Decide(cmd, h.now)
	if err != nil {
		h.t.Fatal(err)
	}
	e.Seq = h.floor.Seq() + 1
	o.Apply(e)
	h.floor = o.Floor()
	return e
}

// take takes the example order in under another name and due date.
func (h *hall) take(id, due string) *workup.Workup {
	h.t.Helper()
	raw, err := os.ReadFile("../../testdata/contract/order.yaml")
	if err != nil {
		h.t.Fatal(err)
	}
	order, problems := orderfile.Parse(raw)
	if order == nil {
		h.t.Fatal(problems)
	}
	h.do(stations.TakeOrder{Actor: actor, Order: id, Customer: order.Customer, Due: due})
	return workup.Compute(order)
}

func (h *hall) release(id, due string) []*stations.Ticket {
	h.t.Helper()
	w := h.take(id, due)
	h.do(stations.ReleaseOrder{Actor: actor, Order: id, Tickets: plan.Tickets(w, nil, func() plan.Code {
		h.codes++
		return plan.NewCode(h.codes)
	})})
	return h.floor.Order(id).Tickets
}

func (h *hall) scan(code plan.Code, a stations.Action, more ...string) stations.Event {
	h.t.Helper()
	step := h.floor.Ticket(code).Current().Spec
	c := stations.Scan{Actor: actor, Ticket: code, Action: a, Station: step.Station, Reason: "because", Checks: step.Checks, Measured: map[string]string{}}
	for _, e := range step.Enter {
		c.Measured[e.Name] = e.Target.String()
	}
	if len(more) > 0 {
		c.To = plan.Station(more[0])
	}
	return h.do(c)
}

// text is a document's JSON.
func text(t *testing.T, doc any) string {
	t.Helper()
	b, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestBoard holds the board's JSON against the API's form, letter by letter.
func TestBoard(t *testing.T) {
	h := newHall(t)
	h.take("TAKEN", "")
	h.release("LATER", "2026-12-18")
	first := h.release("FIRST", "2026-11-30")
	h.take("GONE", "2026-11-01")
	h.do(stations.CancelOrder{Actor: actor, Order: "GONE", Reason: "sold"})
	h.scan(first[0].Spec.Code, stations.Start)

	b := Of(h.floor, "2026-12-01")
	var ids []string
	for _, o := range b.Orders {
		ids = append(ids, o.Order)
	}
	if got := strings.Join(ids, " "); got != "FIRST LATER TAKEN" {
		t.Fatalf("orders %s", got)
	}
	b.Orders = append(b.Orders[:1], b.Orders[2])
	c := func(i int) string { return string(first[i].Spec.Code) }
	want := `{"seq":8,"orders":[{"order":"FIRST","due":"2026-11-30","late":true,"tickets":[` +
		`{"ticket":"` + c(0) + `","kind":"cutting","fabric":"reed","station":"cutting","state":"at_work"},` +
		`{"ticket":"` + c(1) + `","kind":"cutting","fabric":"sateen","station":"cutting","state":"ready"},` +
		`{"ticket":"` + c(2) + `","kind":"panel","window":"Bay, left","room":"14","panel":"L","copy":1,"station":"cutting","state":"waiting"},` +
		`{"ticket":"` + c(3) + `","kind":"panel","window":"Bay, left","room":"14","panel":"R","copy":1,"station":"cutting","state":"waiting"}]},` +
		`{"order":"TAKEN","due":"","late":false,"tickets":[]}]}`
	if got := text(t, b); got != want {
		t.Errorf("board\n%s\nwant\n%s", got, want)
	}
	if b := Of(h.floor, "2026-11-30"); b.Orders[0].Late {
		t.Error("an order is late on the day it is due")
	}
}

// TestInvoicedOrdersLeaveTheBoard: a finished order stays until the last of it is billed.
func TestInvoicedOrdersLeaveTheBoard(t *testing.T) {
	h := newHall(t)
	var done []plan.Code
	for _, ticket := range h.release("DONE", "2026-11-30") {
		for h.floor.Ticket(ticket.Spec.Code).Current() != nil {
			h.scan(ticket.Spec.Code, stations.Start)
			h.scan(ticket.Spec.Code, stations.Finish)
		}
		if ticket.Spec.Kind == plan.PanelTicket {
			done = append(done, ticket.Spec.Code)
		}
	}
	b := Of(h.floor, "2026-12-01")
	if len(b.Orders) != 1 || b.Orders[0].Late || b.Orders[0].Tickets[2].Station != "packing" || b.Orders[0].Tickets[2].State != "finished" {
		t.Fatalf("a finished order: %+v", b)
	}
	list := h.floor.Prices()
	list.Currency = "USD"
	list.Rows = append(list.Rows, billing.PriceRow{Heading: "cartridge-tape", Panel: "40.00", Width: "18.00"})
	h.do(stations.SetPriceList{Actor: actor, Prices: list})
	h.do(stations.DraftInvoice{Actor: actor, Draft: "D1", Customer: "Saltmarsh Inn", Panels: done})
	h.do(stations.IssueInvoice{Actor: actor, Draft: "D1"})
	if b := Of(h.floor, "2026-12-01"); len(b.Orders) != 0 {
		t.Errorf("an invoiced order: %+v", b)
	}

	// A credit note that frees its panels brings it back; nothing of why is for the floor.
	credit := stations.CreditInvoice{Actor: actor, Draft: "C1", Invoice: "1", Frees: true, Reason: "she can't pay"}
	if got := text(t, ChangeOf(h.do(credit))); strings.Contains(got, "pay") || strings.Contains(got, "billed") {
		t.Errorf("the stream tells of a draft of a credit note: %s", got)
	}
	got := ChangeOf(h.do(stations.IssueInvoice{Actor: actor, Draft: "C1"}))
	if len(got.Billed) != 0 || len(got.Unbilled) != len(done) || got.Unbilled[0] != done[0] || strings.Contains(text(t, got), "pay") {
		t.Errorf("freed by a credit note: %s", text(t, got))
	}
	if b := Of(h.floor, "2026-12-01"); len(b.Orders) != 1 || b.Orders[0].Tickets[2].Billed {
		t.Errorf("a credited order: %+v", b)
	}
}

// TestChange: the stream's data has the API's keys, in UTC, and what an event moved beside.
func TestChange(t *testing.T) {
	h := newHall(t)
	tickets := h.release("ORDER", "")
	h.scan(tickets[0].Spec.Code, stations.Start)
	h.scan(tickets[0].Spec.Code, stations.Finish)
	h.scan(tickets[1].Spec.Code, stations.Start)
	cut := text(t, ChangeOf(h.scan(tickets[1].Spec.Code, stations.Finish)))
	code, left, right := string(tickets[1].Spec.Code), string(tickets[2].Spec.Code), string(tickets[3].Spec.Code)
	want := `{"seq":6,"at":"2026-12-01T08:30:00Z","action":"finish","ticket":"` + code + `","order":"ORDER","station":"cutting","state":"finished",` +
		`"also":[{"ticket":"` + left + `","station":"joining","state":"ready"},{"ticket":"` + right + `","station":"joining","state":"ready"}]}`
	if cut != want {
		t.Errorf("change\n%s\nwant\n%s", cut, want)
	}
	held := text(t, ChangeOf(h.scan(tickets[2].Spec.Code, stations.Hold)))
	if want := `"station":"joining","state":"held","reason":"because"}`; !strings.HasSuffix(held, want) {
		t.Errorf("change %s, want it to end in %s", held, want)
	}
}

// labels stands in for the catalogue.
type labels struct{}

func (labels) Named(kind, name string) string { return "<" + kind + "." + name + ">" }
func (labels) T(key string, _ ...any) string  { return "<" + key + ">" }

// TestTicketDoc: what a station reads of its ticket; the cloth of a panel is nothing to enter.
func TestTicketDoc(t *testing.T) {
	h := newHall(t)
	tickets := h.release("ORDER", "2026-12-18")
	code := tickets[2].Spec.Code
	doc := TicketDocOf(h.floor, h.floor.Ticket(code), labels{})
	if doc.Step == nil || doc.Step.Station != "cutting" || len(doc.Step.Enter)+len(doc.Step.Checks) != 0 || len(doc.Step.Values) == 0 || len(doc.Route) != len(tickets[2].Steps) {
		t.Errorf("an uncut panel: %+v", doc.Step)
	}
	for _, cut := range tickets[:2] {
		h.scan(cut.Spec.Code, stations.Start)
		h.scan(cut.Spec.Code, stations.Finish)
	}
	h.scan(code, stations.Start)
	h.scan(code, stations.Finish)
	h.scan(code, stations.SendBack, "joining")
	doc = TicketDocOf(h.floor, h.floor.Ticket(code), labels{})
	got := text(t, doc.Step)
	for _, part := range []string{
		`{"station":"joining","state":"ready","values":[{"name":"widths","label":"\u003cvalue.widths\u003e","value":"2.5"},`,
		`"enter":[{"name":"flat_width","label":"\u003centry.flat_width\u003e","kind":"length","target":"124.5in","tolerance":{"minus":"0.25in","plus":"0.25in"}}]`,
		`{"name":"seams_pressed","label":"\u003ccheck.seams_pressed\u003e"}`,
		`"cautions":["\u003ccaution.needle\u003e","\u003ccaution.iron\u003e"]`,
		`"sent_back":{"from":"fold","reason":"because"}}`,
	} {
		if !strings.Contains(got, part) {
			t.Errorf("the step\n%s\nhas no\n%s", got, part)
		}
	}
	if got, want := text(t, doc.Route[:3]), `[{"station":"cutting","state":"finished"},{"station":"joining","state":"ready"},{"station":"fold","state":"waiting"}]`; got != want {
		t.Errorf("route %s, want %s", got, want)
	}
	if doc := TicketDocOf(h.floor, h.floor.Ticket(tickets[0].Spec.Code), labels{}); doc.Step != nil {
		t.Errorf("a finished ticket has a step: %+v", doc.Step)
	}
}
