package desk

import (
	"context"

	"tablehand/engine/measure"
	"tablehand/server/books"
	"tablehand/stations"
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
	d.Books.Linked(d.customersOfOrders)
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

// meet makes a customer of an order's name that has none. The order is kept already: where the disk refuses the customer, the
// next start makes it.
func (d *Desk) meet(ctx context.Context, actor stations.Actor, name string) {
	if err := d.Books.Meet(ctx, books.By{Actor: actor}, name); err != nil {
		d.Log.Warn("an order's customer is not in the book yet", "error", err)
	}
}
