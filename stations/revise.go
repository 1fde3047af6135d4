package stations

// decideRevise replaces an order's file.
func (o *Overlay) decideRevise(c ReviseOrder, e *Event) *Refusal {
	order := o.order(c.Order)
	switch {
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case c.Sheet.Work.Order.ID != c.Order:
		return refuse("bad_value", "order", "Name", "order", "Value", c.Sheet.Work.Order.ID)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case order.State == OrderInvoiced:
		return refuse("already_invoiced", "order", "Order", c.Order)
	case order.State == OrderFinished:
		return refuse("finished", "order", "Order", c.Order)
	case c.From != 0 && c.From != order.Revision:
		return refuse("revised_meanwhile", "", "Order", c.Order, "Revision", order.Revision)
	}
	file := c.Sheet.Work.Order
	e.Actor, e.Order = c.Actor, c.Order
	e.Revised = &Revised{Revision: order.Revision + 1, Customer: file.Customer, Due: file.Due, Digest: c.Sheet.Digest}
	return nil
}

func (o *Overlay) applyRevise(e Event) {
	order := o.ownOrder(e.Order)
	order.Revision, order.Digest = e.Revised.Revision, e.Revised.Digest
	order.Customer, order.Due = e.Revised.Customer, e.Revised.Due
}
