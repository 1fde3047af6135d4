package pages

import (
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// table are cutting tickets at the table in each of their states, and what measuring holds.
type table struct {
	begun, told, flawed, short, narrow string
	apart                              string // the second panel of a pair that differs
}

// cuts sets the cutting table: one ticket begun with its cloth measured, one with cuts told, one around a flaw, one whose cloth
// no longer suffices, and one whose cloth was narrower than listed; and packs a pair that isn't alike.
func (b *BusyShop) cuts(t *testing.T) (at table) {
	t.Helper()
	measured := shoptest.Fields{"usable_width": "54in", "repeat_over_five": "67.5in"}
	begin := func(order string, changes ...string) string {
		code := b.Release(t, order, changes...).Cutting[0].Ticket
		b.Done(t, b.Station, shoptest.Scan(code, "start", "cutting", "measured", measured), map[string]string{"state": "at_work"})
		return code
	}
	cut := func(code, name string) {
		b.Done(t, b.Station, shoptest.Scan(code, "cut", "", "cut", name), map[string]string{"state": "at_work"})
	}
	at.begun, at.told, at.flawed, at.short = begin("SMI-12"), begin("SMI-13"), begin("SMI-14"), begin("SMI-15")
	cut(at.told, "1")
	cut(at.told, "2")
	cut(at.flawed, "1")
	b.Done(t, b.Station, shoptest.Scan(at.flawed, "flaw", "", "bolt", "R1-SMI-14", "from", "150", "to", "153"), map[string]string{"state": "at_work"})
	cut(at.short, "1")
	b.Done(t, b.Station, shoptest.Scan(at.short, "rest", "", "bolt", "R1-SMI-15", "length", "200"), map[string]string{"state": "held"})

	at.narrow = b.Release(t, "SMI-16").Cutting[0].Ticket
	b.Done(t, b.Station, shoptest.Scan(at.narrow, "start", "cutting", "measured", shoptest.Fields{"usable_width": "53 1/4", "repeat_over_five": "67.5in"}), map[string]string{"state": "held"})

	pair := b.Release(t, "SMI-17")
	pair.CutAll(t)
	b.WorkTo(t, pair.Panels[0].Ticket, "")
	at.apart = pair.Panels[1].Ticket
	b.WorkTo(t, at.apart, "packing")
	b.Finish(t, b.Station, at.apart, b.Start(t, b.Station, at.apart), "finished_width", "48 3/4 in").Is(t, "held", "")
	return at
}

// pages are the table's, as a bench and the office see them.
func (at table) pages(b *BusyShop) []Page {
	cutting := "/station/cutting?ticket="
	return []Page{
		{name: "table-begun", path: cutting + at.begun, by: b.Station},
		{name: "table-untold", path: cutting + b.cutting.Cutting[0].Ticket},
		{name: "table-told", path: cutting + at.told, do: openAll},
		{name: "table-flawed", path: cutting + at.flawed},
		{name: "table-short-bench", path: cutting + at.short, by: b.Station},
		{name: "table-short", path: cutting + at.short},
		{name: "table-narrow", path: cutting + at.narrow},
		{name: "pair-apart", path: "/station/packing?ticket=" + at.apart},
	}
}
