package desk

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/server/books"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// openBooks reads the shop's books, and makes customers of orders that were taken before there were any.
func (d *Desk) openBooks() (err error) {
	ctx, cancel := Waiting()
	defer cancel()
	d.Books, err = books.Open(ctx, d.Store, func() books.Units {
		return books.Units{Length: measure.Unit(d.Shop().Units), Currency: d.Store.Floor().Prices().Currency}
	})
	if err != nil {
		return err
	}
	d.Books.Linked(d.namesInUse)
	return d.Books.Meet(ctx, books.By{}, d.customersOfOrders()...)
}

// customersOfOrders are the names of customers that orders have.
func (d *Desk) customersOfOrders() []string {
	orders := d.Store.Floor().Orders()
	names := make([]string, len(orders))
	for i, o := range orders {
		names[i] = o.Customer
	}
	return names
}

// namesInUse are the names of customers that orders, invoices and drafts have: whoever is called otherwise later is found by them.
func (d *Desk) namesInUse() []string {
	names := d.customersOfOrders()
	for _, i := range d.Store.Floor().Invoices() {
		names = append(names, i.Customer)
	}
	return names
}

// meet makes a customer of an order's name that has none. The order is kept already: where the disk refuses the customer, the
// next start makes it.
func (d *Desk) meet(ctx context.Context, actor stations.Actor, name string) {
	if err := d.Books.Meet(ctx, books.By{Actor: actor}, name); err != nil {
		d.Log.Warn("an order's customer is not in the book yet", "error", err)
	}
}

// Ready is a finished panel that stands on no invoice, and whom it is billed to: the customer to whom its order's name leads.
type Ready struct {
	*stations.Ticket
	To string
}

// Ready returns what can be billed, by customer and order.
func (d *Desk) Ready() []Ready {
	var list []Ready
	for _, t := range d.Store.Floor().Ready() {
		list = append(list, Ready{t, d.CustomerOf(t.Customer)})
	}
	slices.SortStableFunc(list, func(a, b Ready) int { return cmp.Or(cmp.Compare(a.To, b.To), cmp.Compare(a.Order, b.Order)) })
	return list
}

// CustomerOf is what the customer of an order's or an invoice's name is called today, without the spaces around it; the name itself
// where it leads to none.
func (d *Desk) CustomerOf(name string) string {
	name = strings.TrimSpace(name)
	if e := d.Books.Customer(name); e != nil {
		return e.Name()
	}
	return name
}

// NamesOf are a name and all that its customer goes by, with spaces between them, for those who look for one.
func (d *Desk) NamesOf(name string) string {
	if e := d.Books.Customer(name); e != nil {
		return name + " " + strings.Join(e.Names(), " ")
	}
	return name
}

// DraftFor is the command that drafts an invoice of panels for a customer, of whom the book's id or a name is given.
func (d *Desk) DraftFor(customer string, panels []plan.Code) stations.DraftInvoice {
	c := stations.DraftInvoice{Draft: NewDraft(), Customer: customer, Panels: panels}
	floor := d.Store.Floor()
	named := slices.ContainsFunc(panels, func(code plan.Code) bool { return floor.Ticket(code) != nil && floor.Ticket(code).Customer == customer })
	if e := d.Books.CustomerCalled(customer); e != nil && !named {
		c.Customer = e.Name()
	}
	for _, code := range panels {
		if t := floor.Ticket(code); t != nil && t.Customer != c.Customer && d.Books.SameCustomer(t.Customer, c.Customer) && !slices.Contains(c.Names, t.Customer) {
			c.Names = append(c.Names, t.Customer)
		}
	}
	return c
}
