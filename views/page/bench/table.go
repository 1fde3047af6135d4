package bench

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// Table is a cutting ticket at work, one cut at a time.
type Table struct {
	Next   *plan.Cut // nil when all are cut
	Now    int       // which it is of how many, in the order of cutting
	Of     int
	ByCut  bool             // a cut was told, so each is
	After  string           // the last cut on its bolt, "" for none
	Gap    measure.Quantity // from the end of that to where the next begins, "" for none
	Pieces []plan.Cut       // newest place last
	Bolts  []string         // the next cut's first
	Ends   []string         // likewise, the last one's first that was cut into: what is left of that is measured
}

// TableOf lays out a cutting ticket that is at work, nil for another.
func TableOf(t *stations.Ticket) *Table {
	if t.Spec.Kind != plan.CuttingTicket || t.State() != stations.AtWork {
		return nil
	}
	table := &Table{Next: t.NextCut(), Of: len(t.Spec.Cuts), ByCut: t.Told()}
	for i := range t.Spec.Cuts {
		l := t.Spec.Cuts[i]
		if l.Done {
			table.Pieces = append(table.Pieces, l)
		}
		if l.Bolt != "" && !slices.Contains(table.Bolts, l.Bolt) {
			table.Bolts = append(table.Bolts, l.Bolt)
		}
	}
	if table.Next != nil {
		table.Bolts = led(table.Bolts, table.Next.Bolt)
	}
	table.Ends = table.Bolts
	if n := len(table.Pieces); n > 0 {
		table.Ends = led(table.Bolts, table.Pieces[n-1].Bolt)
	}
	table.Now = len(table.Pieces) + 1
	table.behind(t.Spec.Units)
	return table
}

// led is a list with one of its bolts first.
func led(bolts []string, first string) []string {
	list := slices.Clone(bolts)
	slices.SortStableFunc(list, func(a, b string) int {
		return map[bool]int{true: -1}[a == first] - map[bool]int{true: -1}[b == first]
	})
	return list
}

// behind says how far behind the cut before it the next begins.
func (p *Table) behind(units measure.Unit) {
	if p.Next == nil || p.Next.Bolt == "" {
		return
	}
	from := p.Next.From.Length()
	last := measure.Length(-1)
	for i := range p.Pieces {
		l := &p.Pieces[i]
		if end := l.From.Length() + l.DoneLength.Length(); l.Bolt == p.Next.Bolt && end <= from && end > last {
			last, p.After = end, l.Cut
		}
	}
	if p.After != "" && from > last {
		p.Gap = measure.OfLength(from-last, units)
	}
}
