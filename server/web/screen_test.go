package web

import (
	"bytes"
	"fmt"
	"slices"
	"testing"
	"time"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/screen"
)

// wallZone is the zone of the wall's shop: its midnight is at 06:00 UTC.
var wallZone = time.FixedZone("shop", -6*3600)

// workroom makes a floor by events, at a time that the test sets.
type workroom struct {
	o   *stations.Overlay
	seq int64
	at  time.Time
}

func newWorkroom(at time.Time) *workroom {
	return &workroom{o: stations.NewFloor().Overlay(), at: at}
}

func (w *workroom) happens(e stations.Event) {
	w.seq++
	e.Seq, e.At = w.seq, w.at.UTC()
	w.o.Apply(e)
}

// release takes an order of so many windows, one panel each, and releases it. It returns the codes: cutting first.
func (w *workroom) release(id, due string, windows int) (codes []plan.Code) {
	route := []plan.Step{}
	for _, s := range []plan.Station{plan.Cutting, plan.Joining, plan.Fold, plan.Tape, plan.PullUp, plan.Inserts, plan.Pressing, plan.Packing} {
		route = append(route, plan.Step{Station: s})
	}
	specs := []plan.Ticket{{Code: plan.Code(id + "-cut"), Kind: plan.CuttingTicket, Fabric: "reed", Steps: route[:1]}}
	for i := range windows {
		specs = append(specs, plan.Ticket{Code: plan.Code(fmt.Sprintf("%s-%d", id, i+1)), Kind: plan.PanelTicket,
			Window: fmt.Sprintf("Window %d", i+1), Panel: "S", Fabrics: []string{"reed"}, Steps: route})
	}
	w.happens(stations.Event{Action: stations.Take, Order: id, Taken: &stations.TakenOrder{Customer: "Saltmarsh Inn", Due: due}})
	w.happens(stations.Event{Action: stations.Release, Order: id, Tickets: specs})
	for _, s := range specs {
		codes = append(codes, s.Code)
	}
	return codes
}

// does has something happen to a ticket where it is.
func (w *workroom) does(code plan.Code, action stations.Action) {
	t := w.o.Floor().Ticket(code)
	e := stations.Event{Action: action, Order: t.Order, Ticket: code, Station: t.Station(), Person: "Ada", Reason: "lunch"}
	if action == stations.SendBack {
		e.To = plan.Joining
	}
	w.happens(e)
}

// cut finishes an order's cutting ticket, and with it the cutting of its panels.
func (w *workroom) cut(codes []plan.Code) {
	w.does(codes[0], stations.Start)
	t := w.o.Floor().Ticket(codes[0])
	e := stations.Event{Action: stations.Finish, Order: t.Order, Ticket: codes[0], Station: plan.Cutting}
	for _, panel := range codes[1:] {
		e.Also = append(e.Also, stations.Moved{Ticket: panel, Station: plan.Joining, State: stations.Ready})
	}
	w.happens(e)
}

// finish finishes a panel's next steps.
func (w *workroom) finish(code plan.Code, steps int) {
	for range steps {
		w.does(code, stations.Start)
		w.does(code, stations.Finish)
	}
}

// TestWallNames: who is at work, what is next by due date, a pair together, and the first held; the rest only hangs there.
func TestWallNames(t *testing.T) {
	w := newWorkroom(time.Date(2026, 12, 16, 10, 0, 0, 0, wallZone))
	far := w.release("FAR-1", "2027-01-20", 6)
	near := w.release("NEA-2", "2026-12-30", 6)
	none := w.release("NON-3", "", 1)
	late := w.release("LAT-4", "2026-12-15", 12)
	risk := w.release("RIS-5", "2026-12-17", 2)
	for _, order := range [][]plan.Code{far, near, none, late, risk} {
		w.cut(order)
	}
	for _, held := range []plan.Code{late[1], far[5], far[6]} {
		w.does(held, stations.Hold)
	}
	w.does(risk[1], stations.Start)
	w.does(near[1], stations.Start)
	lane := func() (screen.Page, screen.Lane) {
		p := wallOf(nil, w.o.Floor(), w.at)
		return p, p.Lanes[slices.IndexFunc(p.Lanes, func(l screen.Lane) bool { return l.Station == plan.Joining })]
	}
	p, joining := lane()
	names := func(pieces []views.Piece) (all []plan.Code) {
		for _, piece := range pieces {
			all = append(all, piece.Code)
		}
		return all
	}
	for _, tt := range []struct {
		name      string
		got, want []plan.Code
	}{
		{"next", names(joining.Next), late[2:4]},
		{"at work", names(joining.AtWork), []plan.Code{risk[1], near[1]}},
		{"held", names(joining.Held), []plan.Code{late[1], far[5]}},
	} {
		if !slices.Equal(tt.got, tt.want) {
			t.Errorf("%s is %v, want %v", tt.name, tt.got, tt.want)
		}
	}
	if c := joining.Counts(); joining.Count() != 27 || c != (screen.Counts{AtWork: 2, Held: 3, Late: 12, AtRisk: 2}) || p.Late != 12 || p.AtRisk != 2 || p.Held != 3 {
		t.Errorf("%d are here, %+v; of the shop %d late, %d due soon, %d held", joining.Count(), c, p.Late, p.AtRisk, p.Held)
	}
	if got := joining.AtWork[0].Person; got != "Ada" {
		t.Errorf("at work is %q", got)
	}
	for _, code := range slices.Concat(late[2:], risk[2:], near[2:], far[1:5]) {
		w.finish(code, 1)
	}
	if _, joining = lane(); !slices.Equal(names(joining.Next), none[1:]) {
		t.Errorf("without a due date it is last, but it comes; next is %v", names(joining.Next))
	}
}

// TestWallDone counts what was finished since the shop's midnight, and stands.
func TestWallDone(t *testing.T) {
	w := newWorkroom(time.Date(2026, 12, 15, 23, 50, 0, 0, wallZone)) // in UTC it is the 16th
	codes := w.release("SMI-1", "2026-12-30", 4)
	w.cut(codes)
	w.finish(codes[1], 1)
	done := func(want int) {
		t.Helper()
		if got := wallOf(nil, w.o.Floor(), w.at).Done; got != want {
			t.Errorf("at %s done: %d, want %d", w.at.Format(time.DateTime), got, want)
		}
	}
	done(2)
	w.at = time.Date(2026, 12, 16, 0, 10, 0, 0, wallZone)
	done(0)
	w.finish(codes[1], 1) // its joining was yesterday
	w.finish(codes[2], 2)
	done(3)
	w.does(codes[2], stations.SendBack)
	done(1)
	w.at = w.at.AddDate(0, 0, 1)
	done(0)
}

// BenchmarkScreen makes the wall's page of 300 orders with 3,000 panels, of which most wait somewhere.
func BenchmarkScreen(b *testing.B) {
	w := newWorkroom(time.Date(2026, 12, 16, 10, 0, 0, 0, wallZone))
	for i := range 300 {
		codes := w.release(fmt.Sprintf("SMI-%03d", i), time.Date(2026, 12, 10+i/5, 0, 0, 0, 0, time.UTC).Format(time.DateOnly), 10)
		w.cut(codes)
		for n, code := range codes[1:] {
			w.finish(code, (n+i)%7)
		}
	}
	floor := w.o.Floor()
	v, err := views.New(i18n.For("en"))
	if err != nil {
		b.Fatal(err)
	}
	var page, sent bytes.Buffer
	for b.Loop() {
		page.Reset()
		sent.Reset()
		if err := v.Render(&page, wallOf(nil, floor, w.at)); err != nil {
			b.Fatal(err)
		}
		if err := zipped(&sent, page.Bytes()); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(page.Len()), "page-B")
	b.ReportMetric(float64(sent.Len()), "sent-B")
}
