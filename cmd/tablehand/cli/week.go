package cli

import (
	"cmp"
	"context"
	"embed"
	"fmt"
	"hash/fnv"
	"slices"
	"strings"
	"sync/atomic"
	"text/template"
	"time"

	"tablehand/engine/billing"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
)

//go:embed demo/*.yaml
var demoOrders embed.FS

// setClock is a clock that can be set, for a demo's past; unset it is the real one.
type setClock struct{ at atomic.Pointer[time.Time] }

func (c *setClock) Now() time.Time {
	if t := c.at.Load(); t != nil {
		return *t
	}
	return time.Now()
}

func (c *setClock) set(t time.Time) { c.at.Store(&t) }
func (c *setClock) run()            { c.at.Store(nil) }

// course is how far the demo's workroom has come with an order. Times are hours before now. A panel is written as
// the station where it stands: "tape" ready there, "tape*" at work, "done" finished; "" that its cloth isn't cut.
type course struct {
	order           string
	taken, released float64 // 0: not released
	panels          []string
	cutting         bool // the cloth is being cut
	cuts            int  // that are made of it: its bolt of the shelf lies on the table
	invoiced        bool
	mishaps         []mishap
}

// mishap is something that went wrong with one panel at the station where it stands.
type mishap struct {
	panel  int
	action stations.Action // hold, send_back; finish: a finished width out of tolerance
	over   string          // of a finish: what was measured
	to     plan.Station
	reason string
}

// week is the demo's workroom: invented people, windows and figures.
var week = []course{
	{order: "GUL-220", taken: 160, released: 159, panels: repeat("done", 4), invoiced: true},
	{order: "TID-007", taken: 150, released: 149, panels: repeat("done", 8)},
	{order: "SMI-015", taken: 140, released: 138,
		panels:  []string{"pull_up*", "pull_up", "tape*", "tape", "tape", "fold", "fold", "joining", "joining", "joining"},
		mishaps: []mishap{{panel: 3, action: stations.Hold, reason: "The roll of tape is one panel short; the rest comes tomorrow"}}},
	{order: "REE-108", taken: 120, released: 119, panels: []string{"packing*", "packing", "pressing*", "pressing"}},
	{order: "MAR-055", taken: 110, released: 106,
		panels: []string{"done", "done", "done", "done", "packing", "packing", "pressing", "inserts*", "inserts", "inserts",
			"pull_up", "pull_up", "tape", "tape", "fold*", "fold", "joining*", "joining", "joining", "joining"},
		mishaps: []mishap{{panel: 4, action: stations.SendBack, to: plan.Pressing, reason: "Crease below the heading"}}},
	{order: "SMI-014", taken: 96, released: 95, panels: []string{"tape", "tape", "pull_up", "pull_up"}},
	{order: "HER-041", taken: 90, released: 88,
		panels: append([]string{"inserts", "inserts", "pull_up", "pull_up", "pull_up", "pull_up"}, repeat("tape", 6)...)},
	{order: "LAN-003", taken: 72, released: 70, panels: []string{"pressing", "inserts", "inserts", "pull_up*"},
		mishaps: []mishap{{panel: 3, action: stations.Finish, over: "31 1/4 in"}}},
	{order: "SMI-018", taken: 64, released: 58, panels: []string{"tacking", "pleating*", "pleating", "heading*", "heading"}},
	{order: "BEA-030", taken: 62, released: 54, panels: []string{"eyelets*", "eyelets", "tabs*", "tabs", "rod_pocket", "pull_up", "fold", "packing", "heading", "tape", "fold"}},
	{order: "SMI-019", taken: 61, released: 53, panels: []string{"joining", "joining*", "joining", "fold", "heading", "joining"}},
	{order: "OST-012", taken: 60, released: 52, panels: append(repeat("fold", 4), repeat("joining", 6)...)},
	{order: "SMI-016", taken: 50, released: 26, cutting: true},
	{order: "KIT-003", taken: 30, released: 20},
	{order: "WIL-031", taken: 104, released: 101, panels: []string{"pressing*", "inserts"}},
	{order: "SMI-020", taken: 46, released: 8, cutting: true, cuts: 2},
	{order: "SMI-021", taken: 44, released: 6},
	{order: "SMI-022", taken: 4},
	{order: "SMI-017", taken: 24},
	{order: "LAN-004", taken: 5},
}

func repeat(s string, n int) []string { return slices.Repeat([]string{s}, n) }

// people are who works where in the demo.
var people = map[plan.Station]string{
	plan.Cutting: "Ada", plan.Joining: "Bo", plan.Fold: "Bo", plan.Tape: "Cy", plan.PullUp: "Cy",
	plan.Heading: "Bo", plan.Pleating: "Fay", plan.Tacking: "Fay", plan.Inserts: "Dell",
}

// finisher is who works where nobody else does: at the last stations.
const finisher = "Eve"

// weekMaker plays the week through the store's writer, as order files and floor commands.
type weekMaker struct {
	store *store.Store
	desk  *desk.Desk
	clock *setClock
	now   time.Time
	deeds []deed
	scans int
}

// deed is one thing done at one time of the week.
type deed struct {
	at time.Time
	do func(context.Context) error
}

var demoOffice = stations.Actor{Role: stations.Office, Name: "Office", Device: "demo-office"}

// makeWeek fills an empty shop with the demo's week, whose last day is now.
func makeWeek(ctx context.Context, s *store.Store, clock *setClock, now time.Time) error {
	defer clock.run()
	office, err := desk.New(desk.Config{Store: s, Clock: clock.Now})
	if err != nil {
		return err
	}
	w := &weekMaker{store: s, desk: office, clock: clock, now: now.UTC().Truncate(time.Minute)}
	w.plan(200, w.prices)
	w.shelf()
	for i := range week {
		w.course(&week[i])
	}
	// Deeds make further deeds (a release those of its tickets), so the earliest is taken each time.
	for len(w.deeds) > 0 {
		slices.SortStableFunc(w.deeds, func(a, b deed) int { return a.at.Compare(b.at) })
		next := w.deeds[0]
		w.deeds = w.deeds[1:]
		clock.set(next.at)
		if err := next.do(ctx); err != nil {
			return fmt.Errorf("the demo's week at %s: %w", next.at.Format(time.RFC3339), err)
		}
	}
	return nil
}

func (w *weekMaker) plan(hoursBefore float64, do func(context.Context) error) {
	w.deeds = append(w.deeds, deed{w.now.Add(-time.Duration(hoursBefore * float64(time.Hour))), do})
}

func (w *weekMaker) prices(ctx context.Context) error {
	_, err := w.store.Do(ctx, stations.SetPriceList{Actor: demoOffice, Prices: billing.PriceList{
		Currency: "USD", Rows: []billing.PriceRow{{Heading: "cartridge-tape", Panel: "40.00", Width: "18.00"}},
	}})
	return err
}

func (w *weekMaker) course(c *course) {
	w.plan(c.taken, func(ctx context.Context) error {
		source, err := w.file(c.order)
		if err != nil {
			return err
		}
		_, _, err = w.desk.Take(ctx, demoOffice, "", source)
		return err
	})
	if c.released == 0 {
		return
	}
	w.plan(c.released, func(ctx context.Context) error {
		if err := w.desk.Release(ctx, demoOffice, "", c.order, false, ""); err != nil {
			return err
		}
		w.cloth(c)
		return nil
	})
}

// file returns a demo order's file with its days filled in: {{day 2}} is the day after tomorrow.
func (w *weekMaker) file(order string) ([]byte, error) {
	text, err := demoOrders.ReadFile("demo/" + order + ".yaml")
	if err != nil {
		return nil, err
	}
	day := func(n int) string { return w.now.In(time.Local).AddDate(0, 0, n).Format(time.DateOnly) }
	t, err := template.New(order).Funcs(template.FuncMap{"day": day}).Parse(string(text))
	if err != nil {
		return nil, err
	}
	var out strings.Builder
	err = t.Execute(&out, nil)
	return []byte(out.String()), err
}

// cloth plans the cutting of a released order and, once it is cut, the panels' way.
func (w *weekMaker) cloth(c *course) {
	start := c.released * 0.97
	for _, t := range w.store.Floor().Order(c.order).Tickets {
		if t.Spec.Kind != plan.CuttingTicket || (!c.cutting && len(c.panels) == 0) {
			continue
		}
		w.scan(start, t.Spec.Code, plan.Cutting, stations.Start, nil)
		if c.cutting { // the first fabric lies on the table
			if c.cuts > 0 {
				w.table(start, t.Spec.Code, c.cuts)
			}
			return
		}
		w.scan(start*0.93, t.Spec.Code, plan.Cutting, stations.Finish, nil)
	}
	if c.cutting || len(c.panels) == 0 {
		return
	}
	w.plan(start*0.92, func(context.Context) error {
		w.panels(c, start*0.92)
		return nil
	})
}

// panels plans each panel's way from joining to where it stands, spread over the time since its cloth was cut.
func (w *weekMaker) panels(c *course, cut float64) {
	n := -1
	for _, t := range w.store.Floor().Order(c.order).Tickets {
		if t.Spec.Kind != plan.PanelTicket {
			continue
		}
		n++
		at, working := strings.CutSuffix(c.panels[n], "*")
		steps := t.Spec.Steps[1:] // cutting is done
		behind := len(steps)
		if at != "done" {
			behind = slices.IndexFunc(steps, func(s plan.Step) bool { return string(s.Station) == at })
		}
		slice := cut * 0.98 / float64(behind+1)
		stagger := 1 - 0.03*float64(hash(t.Spec.Code)%10)/10
		for i, s := range steps[:behind] {
			began := cut - slice*float64(i)*stagger
			w.scan(began-slice*0.1, t.Spec.Code, s.Station, stations.Start, nil)
			w.scan(began-slice*0.9, t.Spec.Code, s.Station, stations.Finish, nil)
		}
		last := 0.4 + 0.2*float64(hash(t.Spec.Code)%7)/7
		if working {
			w.scan(last, t.Spec.Code, plan.Station(at), stations.Start, nil)
		}
		for _, m := range c.mishaps {
			if m.panel == n {
				w.scan(last/2, t.Spec.Code, plan.Station(at), m.action, &m)
			}
		}
	}
	if c.invoiced {
		w.plan(0.9, func(ctx context.Context) error { return w.invoice(ctx, c.order) })
	}
}

// scan plans one scan with everything that the step asks, as its target says.
func (w *weekMaker) scan(hoursBefore float64, code plan.Code, at plan.Station, action stations.Action, m *mishap) {
	w.scans++
	s := stations.Scan{
		Actor: benchAt(at), Ticket: code, Station: at, Action: action, Person: cmp.Or(people[at], finisher), Key: fmt.Sprintf("demo-%d", w.scans),
	}
	if action == stations.Hold || action == stations.SendBack {
		s.Station = ""
	}
	w.plan(hoursBefore, func(ctx context.Context) error {
		if action == stations.Start || action == stations.Finish { // a start takes what is measured before
			s.Measured, s.Checks = asAsked(w.store.Floor(), code, at)
		}
		if m != nil {
			s.Reason, s.To = m.reason, m.to
			if m.over != "" {
				s.Measured["finished_width"] = m.over
			}
		}
		_, err := w.desk.Scan(ctx, s)
		return err
	})
}

// benchAt is who scans at a station.
func benchAt(at plan.Station) stations.Actor {
	return stations.Actor{Role: stations.Bench, Name: string(at), Device: "demo-" + string(at)}
}

// asAsked returns what finishes a step: the target of each entry and each check that is asked.
func asAsked(f *stations.Floor, code plan.Code, at plan.Station) (measured map[string]string, checks []string) {
	measured = map[string]string{}
	t := f.Ticket(code)
	for i := range t.Steps {
		if t.Steps[i].Spec.Station != at {
			continue
		}
		asked := f.Asked(t, i)
		for _, e := range asked.Enter {
			measured[e.Name] = e.Target.String()
		}
		checks = asked.Checks
	}
	return measured, checks
}

func (w *weekMaker) invoice(ctx context.Context, order string) error {
	o := w.store.Floor().Order(order)
	draft := stations.DraftInvoice{Actor: demoOffice, Draft: "demo-" + order, Customer: o.Customer}
	for _, t := range o.Tickets {
		if t.Spec.Kind == plan.PanelTicket {
			draft.Panels = append(draft.Panels, t.Spec.Code)
		}
	}
	if _, err := w.store.Do(ctx, draft); err != nil {
		return err
	}
	_, err := w.store.Do(ctx, stations.IssueInvoice{Actor: demoOffice, Draft: draft.Draft})
	return err
}

// hash spreads the demo's times a little.
func hash(code plan.Code) uint32 {
	h := fnv.New32a()
	h.Write([]byte(code))
	return h.Sum32()
}
