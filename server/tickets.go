package server

import (
	"context"
	"io"

	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/views/i18n"
	"tablehand/views/paper"
)

// Tickets writes the tickets of a released order as PDF, with the address in their QR codes, and returns how many
// there are. The error is not_found for an unknown order and not_released for one that has none yet.
func (d Desk) Tickets(ctx context.Context, w io.Writer, order string, sheet paper.Sheet, address string, say *i18n.Printer) (int, error) {
	o := d.Store.Floor().Order(order)
	if o == nil {
		return 0, refuse("not_found", "order")
	}
	if len(o.Tickets) == 0 {
		return 0, refuse("not_released", "order", "Order", order)
	}
	worked, err := d.Workup(ctx, order)
	if err != nil {
		return 0, err
	}
	doc := paper.TicketsDoc{
		Say: say, Sheet: sheet, Address: address, Order: o.ID, Revision: o.Revision, Due: o.Due, Made: o.Taken,
		Fabrics: worked.Order.Fabrics, Workup: worked,
	}
	always, err := d.Store.Setting(ctx, store.PrintSidemark)
	if err != nil {
		return 0, err
	}
	if worked.Order.PrintSidemark || always == yes {
		doc.Sidemark = worked.Order.Sidemark
	}
	for _, t := range o.Tickets {
		if t.State() != stations.Cancelled {
			doc.Tickets = append(doc.Tickets, t.Spec)
		}
	}
	return len(doc.Tickets), paper.Tickets(w, doc)
}
