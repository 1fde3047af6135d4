package views

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/views/i18n"
)

// Table is a cutting ticket at work, one cut at a time.
type Table struct {
	Next  *stations.CutLine // nil when all are cut
	Now   int               // which it is of how many, in the order of cutting
	Of    int
	Told  bool               // a cut was told, so each is
	After string             // the last cut on its bolt, "" for none
	Gap   string             // from the end of that to where the next begins
	Made  []stations.CutLine // newest place last
	Bolts []string
}

// TableOf lays out a cutting ticket that is at work, nil for another.
func TableOf(t *stations.Ticket) *Table {
	if t.Spec.Kind != stations.CuttingTicket || t.State() != stations.AtWork {
		return nil
	}
	table := &Table{Next: t.NextCut(), Of: len(t.Spec.Cuts), Told: t.Told()}
	for i := range t.Spec.Cuts {
		l := t.Spec.Cuts[i]
		if l.Done {
			table.Made = append(table.Made, l)
		}
		if l.Bolt != "" && !slices.Contains(table.Bolts, l.Bolt) {
			table.Bolts = append(table.Bolts, l.Bolt)
		}
	}
	table.Now = len(table.Made) + 1
	table.behind(t.Spec.Units)
	return table
}

// behind says how far behind the cut before it the next begins.
func (p *Table) behind(units measure.Unit) {
	if p.Next == nil || p.Next.Bolt == "" {
		return
	}
	from, _, _ := i18n.ParseValue(p.Next.From)
	last := measure.Length(-1)
	for i := range p.Made {
		l := &p.Made[i]
		start, _, _ := i18n.ParseValue(l.From)
		long, _, _ := i18n.ParseValue(l.DoneLength)
		if end := start + long; l.Bolt == p.Next.Bolt && end <= from && end > last {
			last, p.After = end, l.Cut
		}
	}
	if p.After != "" {
		p.Gap = (from - last).In(units)
	}
}
