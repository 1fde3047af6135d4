package refold

import (
	"slices"
	"testing"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

var (
	cut, bay, door = plan.NewCode(1), plan.NewCode(2), plan.NewCode(3)
	bench          = stations.Actor{Role: stations.Bench, Device: "tablet"}
)

// story is a ledger: two panels, one of which is held at its end, accepted and billed, the other begun and sent back.
func story() []stations.Event {
	panel := func(code plan.Code, window string) plan.Ticket {
		return plan.Ticket{Code: code, Kind: plan.PanelTicket, Window: window, Panel: "S", Copy: 1, Fabrics: []string{"reed"},
			Heading: "cartridge-tape", Units: "in", Steps: []plan.Step{{Station: plan.Cutting}, {Station: plan.Joining}, {Station: plan.Packing}}}
	}
	table := plan.Ticket{Code: cut, Kind: plan.CuttingTicket, Fabric: "reed", Units: "in", Steps: []plan.Step{{Station: plan.Cutting}}}
	for i, code := range []plan.Code{bay, door} {
		table.Cuts = append(table.Cuts, plan.Cut{Cut: []string{"1", "2"}[i], Length: measure.Read("96in"), For: []plan.CutPart{{Ticket: code, Panel: "S", Copy: 1, Place: 1}}})
	}
	width := map[string]measure.Quantity{"flat_width": measure.Read("96in")}
	first := &billing.PriceList{Currency: "USD", Rows: []billing.PriceRow{{Heading: "cartridge-tape", Panel: "40", Width: "18"}}}
	drafted := &invoice.Document{Draft: "D", Customer: "Saltmarsh Inn",
		Lines: []invoice.Line{{Ticket: bay, Order: "A", Window: "Bay", Panel: "S", Copy: 1, Heading: "cartridge-tape"}}}
	drafted.Price(*first)
	events := []stations.Event{
		{Action: stations.Take, Order: "A", Taken: &stations.TakenOrder{Customer: "Saltmarsh Inn", Digest: "d"}},
		{Action: stations.Release, Order: "A", Tickets: []plan.Ticket{table, panel(bay, "Bay"), panel(door, "Door")}},
		{Action: stations.Start, Order: "A", Ticket: cut, Station: plan.Cutting, State: stations.AtWork, Person: "Ann"},
		{Action: stations.Finish, Order: "A", Ticket: cut, Station: plan.Cutting, State: stations.Finished, Also: []stations.Moved{
			{Ticket: bay, Station: plan.Joining, State: stations.Ready}, {Ticket: door, Station: plan.Joining, State: stations.Ready}}},
		{Action: stations.Start, Order: "A", Ticket: bay, Station: plan.Joining, State: stations.AtWork, Person: "Ann"},
		{Action: stations.Finish, Order: "A", Ticket: bay, Station: plan.Joining, State: stations.Finished, Next: plan.Packing, Measured: width},
		{Action: stations.Start, Order: "A", Ticket: bay, Station: plan.Packing, State: stations.AtWork, Person: "Ben"},
		{Action: stations.Finish, Order: "A", Ticket: bay, Station: plan.Packing, State: stations.Held, Measured: width, OutOf: []string{"flat_width"}},
		{Action: stations.Accept, Order: "A", Ticket: bay, Station: plan.Packing, State: stations.Finished, Reason: "the wall is short"},
		{Action: stations.Start, Order: "A", Ticket: door, Station: plan.Joining, State: stations.AtWork, Person: "Ben"},
		{Action: stations.SendBack, Order: "A", Ticket: door, Station: plan.Joining, State: stations.Ready, Next: plan.Joining, To: plan.Joining, Reason: "a seam is open"},
		{Action: stations.SetPrices, Prices: first},
		{Action: stations.Draft, Draft: "D", Invoice: drafted},
		{Action: stations.SetPrices, Prices: &billing.PriceList{Currency: "USD", Rows: []billing.PriceRow{{Heading: "cartridge-tape", Panel: "50", Width: "18"}}}},
	}
	for i := range events {
		events[i].Seq, events[i].Actor = int64(i+1), bench
		events[i].At = time.Date(2026, 12, 1, 8, i, 0, 0, time.UTC)
	}
	return events
}

func folded(events []stations.Event) *stations.Floor {
	o := stations.NewFloor().Overlay()
	for _, e := range events {
		o.Apply(e)
	}
	return o.Floor()
}

func bookOf(events []stations.Event) *Book {
	b := New()
	for _, e := range events {
		b.Add(e)
	}
	return b
}

// A floor of the same events is the same; after each of them too.
func TestTheSameStory(t *testing.T) {
	all := story()
	for n := range len(all) + 1 {
		if d := bookOf(all[:n]).Differences(folded(all[:n])); len(d) > 0 {
			t.Errorf("after %d events: %+v", n, d)
		}
	}
}

// A floor to which one thing happened otherwise differs in the tables that tell of it, and in no other.
func TestAnotherStory(t *testing.T) {
	for _, tt := range []struct {
		name   string
		seq    int
		change func(*stations.Event)
		tables []string
	}{
		{"another customer", 1, func(e *stations.Event) { e.Taken = &stations.TakenOrder{Customer: "Lantern House", Digest: "d"} }, []string{"orders", "tickets", "tickets", "tickets"}},
		{"another number on a panel", 2, func(e *stations.Event) {
			e.Tickets = slices.Clone(e.Tickets)
			e.Tickets[2].Notes = []string{"measured twice"}
		}, []string{"tickets"}},
		{"somebody else", 7, func(e *stations.Event) { e.Person = "Cleo" }, []string{"steps"}},
		{"another measure", 6, func(e *stations.Event) { e.Measured = nil }, []string{"steps"}},
		{"held still", 9, func(e *stations.Event) { e.Action, e.State = stations.Hold, stations.Held }, []string{"tickets", "steps"}},
		{"another reason", 11, func(e *stations.Event) { e.Reason = "a flaw" }, []string{"steps"}},
		{"begun later", 5, func(e *stations.Event) { e.At = e.At.Add(time.Second) }, []string{"steps"}},
		{"never billed", 13, func(e *stations.Event) {
			*e = stations.Event{Seq: e.Seq, Action: stations.SetPrices, Prices: &billing.PriceList{}}
		}, []string{"tickets", "invoices"}},
		{"another price", 14, func(e *stations.Event) { e.Prices = &billing.PriceList{Currency: "USD"} }, []string{"floor", "invoices"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			otherwise := story()
			tt.change(&otherwise[tt.seq-1])
			var tables []string
			for _, d := range bookOf(story()).Differences(folded(otherwise)) {
				if d.Ledger == d.Floor {
					t.Errorf("no difference: %+v", d)
				}
				tables = append(tables, d.Table)
			}
			if !slices.Equal(tables, tt.tables) {
				t.Errorf("differ %v, want %v", tables, tt.tables)
			}
		})
	}
}

// What only one of both knows is told from its side.
func TestMoreOrLess(t *testing.T) {
	all := story()
	for _, d := range bookOf(all).Differences(stations.NewFloor()) {
		if d.Ledger == "" || d.Floor != "" && d.Table != "floor" {
			t.Errorf("the floor has nothing: %+v", d)
		}
	}
	more := New().Differences(folded(all))
	if !slices.ContainsFunc(more, func(d Difference) bool { return d.Table == "orders" && d.Ledger == "" && d.Floor != "" }) {
		t.Errorf("the ledger has nothing: %+v", more)
	}
}

// TestFaults: what must not be of the cloth is a difference, though both folds of the ledger agree on it.
func TestFaults(t *testing.T) {
	bolt := plan.NewCode(9)
	in := measure.Read
	came := stations.Event{Action: stations.Receive, Shelf: &shelf.Event{Action: shelf.Receive, Came: []shelf.Came{{Bolt: bolt, Cloth: "reed", Units: "in", Length: in("400in")}}}}
	released := func(from ...string) []stations.Event {
		events := story()[:2]
		events[1].Tickets = slices.Clone(events[1].Tickets)
		lines := slices.Clone(events[1].Tickets[0].Cuts)
		for i := range lines {
			lines[i].Bolt, lines[i].From = string(bolt), in(from[i])
		}
		events[1].Tickets[0].Cuts = lines
		return append(events, came)
	}
	off := func(to string) stations.Event {
		return stations.Event{Action: stations.Action(shelf.Scrap), Shelf: &shelf.Event{Action: shelf.Scrap, Bolt: bolt, Off: []shelf.Off{{As: shelf.AsScrapped, From: in("0in"), To: in(to)}}}}
	}
	for name, row := range map[string]struct {
		events []stations.Event
		want   []string
	}{
		"sound":                 {append(released("10in", "106in"), off("10in")), nil},
		"promised twice":        {released("0in", "95in"), []string{"promise " + string(bolt) + " " + string(cut) + " 2: twice from 95in"}},
		"promised, and gone":    {append(released("10in", "106in"), off("11in")), []string{"promise " + string(bolt) + " " + string(cut) + " 1: of cloth that is gone, from 10in"}},
		"of a cloth that isn't": {append(released("0in", "96in"), stations.Event{Action: stations.Merge, Shelf: &shelf.Event{Action: shelf.MergeCloth, Cloth: "reed", Into: "oat"}}), []string{"cloth " + string(bolt) + ": reed was merged into oat"}},
	} {
		for i := range row.events {
			row.events[i].Seq, row.events[i].Actor, row.events[i].At = int64(i+1), bench, time.Date(2026, 12, 1, 8, i, 0, 0, time.UTC)
		}
		var got []string
		for key, what := range faults(folded(row.events)) {
			got = append(got, key+": "+what)
		}
		if !slices.Equal(got, row.want) {
			t.Errorf("%s: found %q", name, got)
		}
	}
}
