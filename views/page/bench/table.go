package bench

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Table is a cutting ticket at work, one cut at a time.
type Table struct {
	Next   *plan.Cut // nil when all are cut
	Now    int       // which it is of how many, in the order of cutting
	Of     int
	ByCut  bool               // a cut was told, so each is
	After  string             // the last cut on its bolt, "" for none
	Gap    measure.Quantity   // from the end of that, or from the front, to where the next begins, "" for none
	Front  bool               // the cloth was last cut for others, or never: the next is measured from its front
	Pieces []plan.Cut         // newest place last
	Bolts  []string           // the next cut's first
	Ends   []string           // likewise, the last one's first that was cut into: what is left of that is measured
	Shelf  []OnShelf          // those of the shelf
	Turn   *Turn              // the cut that is next, where it is another's of those that are cut in one run
	With   []*stations.Ticket // that it is cut with in one run
	ToLay  *OnShelf           // the next cut's, while it isn't on the table; nil where it is, or isn't the shelf's
	Owed   []OnShelf          // once all is cut: those whose rest is to be measured, or of which a stretch that came off isn't called anything
}

// Turn is a cut of another ticket that is cut with this one in one run.
type Turn struct {
	*plan.Cut
	Code  plan.Code // its ticket's
	Order string
	Key   string // of the command that says it is cut
}

// OnShelf is a bolt of the shelf that a cutting ticket is cut from.
type OnShelf struct {
	Name    string // as its cuts call it
	Code    plan.Code
	Lot     string
	Place   string
	Half    bool // as wide as half the cloth
	OnTable bool
	Rest    measure.Quantity // as reckoned
	About   measure.Quantity // the same in yards or metres
	CameOff []CameOff        // what nobody has called a remnant or scrap
	InFront []string         // orders whose cuts lie in front of the ticket's
	Taken   []string         // orders for which it lies on the table, where that isn't the ticket's
	Width   measure.Quantity // as it was measured, where that is less than the cuts count on, which is
	Usable  measure.Quantity
}

// CameOff is a stretch that came off a bolt, in its whole width or half of it.
type CameOff struct {
	N        int // as its ticket's entry has it
	From, To measure.Quantity
	Width    measure.Quantity // of a half
}

// TableOf lays out a cutting ticket that is at work, nil for another.
func TableOf(f *stations.Floor, t *stations.Ticket) *Table {
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
	table.onShelf(f, t)
	table.With = f.JoinedWith(t)
	if of, cut := f.InTurn(t); of != t && table.ToLay == nil {
		table.Turn = &Turn{of.Spec.Cut(cut), of.Spec.Code, of.Order, ""}
	}
	return table
}

// onShelf says of the bolts of the shelf which are to be fetched, and what is owed of them.
func (p *Table) onShelf(f *stations.Floor, t *stations.Ticket) {
	came := f.CameOff(t)
	for _, b := range f.TableOf(t) {
		on := OnShelf{Name: f.Names(t, b), Code: b.Code, Lot: b.Lot, Place: b.Place, Half: b.IsHalf(), OnTable: slices.Contains(b.For, t.Spec.Code), Rest: measure.OfLength(b.Rest, b.Units), About: measure.OfLength(b.Rest, b.Units.Purchase())}
		for i, off := range came {
			if off.On == b {
				on.CameOff = append(on.CameOff, CameOff{i + 1, off.From, off.To, off.Width})
			}
		}
		on.Taken = takenBy(f, b, t)
		on.InFront = inFront(f.Promised(b.Code), t)
		if width, usable, narrow := t.Narrow(b); narrow {
			on.Width, on.Usable = measure.OfLength(width, b.Units), measure.OfLength(usable, t.Spec.Units)
		}
		p.Shelf = append(p.Shelf, on)
		if p.Next != nil && p.Next.Bolt == on.Name && on.OnTable {
			p.fromFront(b.Begin, t.Spec.Units)
		}
		if p.Next != nil && p.Next.Bolt == on.Name && !on.OnTable {
			p.ToLay = &on
		}
		if p.Next == nil && p.ByCut && (on.OnTable || len(on.CameOff) > 0) {
			p.Owed = append(p.Owed, on)
		}
	}
}

// takenBy are the orders for whose cutting a bolt lies on the table, and not for a ticket's.
func takenBy(f *stations.Floor, b *shelf.Bolt, t *stations.Ticket) (orders []string) {
	for _, code := range b.For {
		if code == t.Spec.Code {
			return nil
		}
		if of := f.Ticket(code); of != nil && !slices.Contains(orders, of.Order) {
			orders = append(orders, of.Order)
		}
	}
	return orders
}

// inFront are the other orders that are promised what lies before a ticket's last cut on a bolt.
func inFront(promised []shelf.Promise, t *stations.Ticket) (orders []string) {
	var before []string
	for _, p := range promised {
		switch {
		case p.Ticket == t.Spec.Code:
			orders = slices.Clone(before)
		case p.Order != t.Order && !slices.Contains(before, p.Order):
			before = append(before, p.Order)
		}
	}
	return orders
}

// Leads reports whether the table stands before what is measured and checked: each cut is told there, or a bolt is to be fetched before there
// is anything to measure.
func (p *Table) Leads() bool { return p.ByCut || p.ToLay != nil }

// OwesRest reports whether what is left of a bolt is to be measured before the ticket ends.
func (p *Table) OwesRest() bool {
	return slices.ContainsFunc(p.Owed, func(b OnShelf) bool { return b.OnTable })
}

// OfShelf reports whether any of the bolts is the shelf's.
func (p *Table) OfShelf() bool { return len(p.Shelf) > 0 }

// OwnNext is the next cut where it is the ticket's own; what came out otherwise is told on its ticket's page.
func (p *Table) OwnNext() *plan.Cut {
	if p.Turn != nil {
		return nil
	}
	return p.Next
}

// NextOfShelf reports whether the next cut is from a bolt of the shelf: there somebody may have cut elsewhere than planned.
func (p *Table) NextOfShelf() bool {
	return p.Next != nil && slices.ContainsFunc(p.Shelf, func(b OnShelf) bool { return b.Name == p.Next.Bolt })
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

// fromFront measures the next cut from the front of a bolt of the shelf, where the ticket's own last cut doesn't end there.
func (p *Table) fromFront(front measure.Length, units measure.Unit) {
	ends := func(l plan.Cut) bool { return l.Cut == p.After && l.From.Length()+l.DoneLength.Length() == front }
	if slices.ContainsFunc(p.Pieces, ends) {
		return
	}
	p.Front, p.After, p.Gap = true, "", measure.Quantity{}
	if from := p.Next.From.Length(); from > front {
		p.Gap = measure.OfLength(from-front, units)
	}
}
