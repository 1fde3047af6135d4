package cli

import (
	"context"
	"fmt"
	"slices"

	"tablehand/server/books"
	"tablehand/server/stock"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// demoCloths are the cloths that the demo's shop keeps on its shelf, by their keys.
var demoCloths = map[string]map[string]string{
	"reed-oat":     {"name": "Reed, oat", "sold_by": "yd", "usable_width": "54in", "match_width": "53in", "vertical_repeat": "13 1/2in"},
	"sateen-ivory": {"name": "Sateen, ivory", "sold_by": "yd", "usable_width": "54in"},
}

// delivery is a bolt that came in, hours before now; it goes by the supplier's piece.
type delivery struct {
	came              float64
	cloth, lot, piece string
	invoiced, length  string
	place             string
	inspected         *shelf.Command // while it was unrolled
	doubt             string         // why nobody may cut it
}

// demoBolts are the shelf of the demo: one bolt that was cut from, one with a flaw, one of another lot that is held.
var demoBolts = []delivery{
	{came: 178, cloth: "reed-oat", lot: "B", piece: "4411", invoiced: "50 yd", length: "50 yd", place: "3B"},
	{came: 178, cloth: "reed-oat", lot: "B", piece: "4412", invoiced: "45 yd", place: "3B", inspected: &shelf.Command{
		Length: "44 yd 30in", Widths: []string{"54 1/4in", "54 1/8in", "54in"}, Repeats: 5, Over: "67 1/2in", First: "4in",
		Flaws: []shelf.FlawTold{{From: "9 yd", To: "9 yd 5in", Kind: shelf.Weave}, {From: "31 yd", Kind: shelf.Stain}},
	}},
	{came: 60, cloth: "reed-oat", lot: "C", piece: "4520", invoiced: "25 yd", length: "25 yd", place: "3C", doubt: "Shade: looks warmer than lot B"},
	{came: 150, cloth: "sateen-ivory", lot: "L12", piece: "870", invoiced: "80 yd", length: "80 yd", place: "1A"},
}

// shelf plans what comes onto the demo's shelf.
func (w *weekMaker) shelf() {
	w.plan(190, func(ctx context.Context) error {
		for key, texts := range demoCloths {
			if _, err := w.desk.Books.Change(ctx, books.By{Actor: demoOffice}, books.Cloths, key, books.Draft{Texts: texts}); err != nil {
				return err
			}
		}
		return nil
	})
	for i := range demoBolts {
		d := &demoBolts[i]
		w.plan(d.came, func(ctx context.Context) error { return w.receive(ctx, d) })
	}
}

func (w *weekMaker) receive(ctx context.Context, d *delivery) error {
	row := shelf.Receipt{Cloth: d.cloth, Lot: d.lot, SupplierPiece: d.piece, Invoiced: d.invoiced, Length: d.length, Place: d.place}
	if _, err := w.stock().Receive(ctx, stations.ReceiveBolts{Actor: demoOffice, Person: "Ada", Rows: []shelf.Receipt{row}}); err != nil {
		return err
	}
	var next []shelf.Command
	if d.inspected != nil {
		next = append(next, *d.inspected)
		next[0].Action = shelf.Inspect
	}
	if d.doubt != "" {
		next = append(next, shelf.Command{Action: shelf.HoldBolt, Reason: d.doubt})
	}
	for _, cmd := range next {
		cmd.Bolt = w.bolt(d.piece)
		if _, err := w.stock().Handle(ctx, stations.Handle{Actor: demoOffice, Person: "Ada", Command: cmd}); err != nil {
			return err
		}
	}
	return nil
}

func (w *weekMaker) stock() stock.Stock { return stock.Stock{Desk: w.desk} }

// bolt is the code of the bolt that came as a supplier's piece.
func (w *weekMaker) bolt(piece string) plan.Code {
	all := w.store.Floor().Shelf().Bolts()
	return all[slices.IndexFunc(all, func(b *shelf.Bolt) bool { return b.SupplierPiece == piece })].Code
}

// table lays the bolt of a ticket's first cut on the cutting table and makes so many of its cuts.
func (w *weekMaker) table(hoursBefore float64, code plan.Code, cuts int) {
	tell := func(minutes float64, action stations.Action, cut int) {
		w.plan(hoursBefore-minutes/60, func(ctx context.Context) error {
			lines := w.store.Floor().Ticket(code).Spec.Cuts
			w.scans++
			s := stations.Scan{Actor: benchAt(plan.Cutting), Ticket: code, Action: action, Person: people[plan.Cutting], Key: fmt.Sprintf("demo-%d", w.scans)}
			if s.Bolt = lines[0].Bolt; action == stations.Cut {
				s.Bolt, s.Cut = "", lines[cut].Cut
			}
			_, err := w.desk.Scan(ctx, s)
			return err
		})
	}
	tell(5, stations.Lay, 0)
	for i := range cuts {
		tell(10+5*float64(i), stations.Cut, i)
	}
}
