package desk

import (
	"io"
	"net/url"

	"tablehand/server/calendar"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// Calendar writes the due dates of all orders that aren't finished, in the shop's language.
func (d *Desk) Calendar(w io.Writer) error {
	shop, floor := d.Shop(), d.Store.Floor()
	say := shop.Words.Speak(i18n.For(shop.Language))
	var dues []calendar.Due
	for _, o := range floor.Orders() {
		if o.Due == "" || o.State != stations.OrderTaken && o.State != stations.OrderReleased {
			continue
		}
		finished, all := panelsOf(o)
		title := say.T("calendar.received", "Order", o.ID, "Customer", o.Customer)
		if o.State == stations.OrderReleased {
			title = say.T("calendar.on_floor", "Order", o.ID, "Customer", o.Customer, "Finished", finished, "All", all)
		}
		dues = append(dues, calendar.Due{ID: o.ID + "@" + d.Store.Epoch(), Day: o.Due, Title: title, Address: shop.Address + "/orders/" + url.PathEscape(o.ID)})
	}
	return calendar.Write(w, say.T("calendar.name", "Shop", shop.Name), dues, d.Clock())
}

// panelsOf counts an order's panels that weren't cancelled, and those that are finished.
func panelsOf(o *stations.Order) (finished, all int) {
	for _, t := range o.Tickets {
		if t.Spec.Kind == plan.CuttingTicket || t.State() == stations.Cancelled {
			continue
		}
		if all++; t.State() == stations.Finished {
			finished++
		}
	}
	return finished, all
}
