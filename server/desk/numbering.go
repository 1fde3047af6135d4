package desk

import (
	"context"

	"tablehand/engine"
	"tablehand/engine/numbering"
	"tablehand/engine/orderfile"
	"tablehand/stations"
)

// shippedNumbering is used until a shop has one of its own. Our own choice.
const shippedNumbering = "{n:3}"

// next is the name after the greatest in use.
func next(n numbering.Form, orders []*stations.Order) string {
	greatest := 0
	for _, o := range orders {
		if number, ok := n.Number(o.ID); ok {
			greatest = max(greatest, number)
		}
	}
	return n.Name(greatest + 1)
}

// NextOrder proposes a name for a new order, one more than the greatest in use: as the customer's orders are named, of whom the
// book's id or a name is given, else as the shop's.
func (d *Desk) NextOrder(customer string) string {
	n, ok := numbering.Form{}, false
	if e := d.Books.CustomerCalled(customer); e != nil {
		n, ok = numbering.Read(e.Fields["order_form"])
	}
	if !ok {
		n, ok = numbering.Read(d.Shop().OrderForm)
	}
	if !ok { // it was checked when it was kept
		n, _ = numbering.Read(shippedNumbering)
	}
	return next(n, d.Store.Floor().Orders())
}

// NextLike proposes a name for an order like another one: the next as that one is named, or by the shop's numbering where its
// name has no number.
func (d *Desk) NextLike(order string) string {
	n, ok := numbering.Of(order)
	if !ok {
		return d.NextOrder("")
	}
	name := next(n, d.Store.Floor().Orders())
	if !orderfile.IsName(name) { // the number of a long name has grown by a digit
		return d.NextOrder("")
	}
	return name
}

// TakeLike takes an order like one that is on the books: that one's newest file under another name and due date (YYYY-MM-DD, ""
// for none), without its bolts, whose cloth is used up or promised, and by the shop's practice of today. The key is as of a scan,
// "" for none. The error is not_found, unwritable for a file that no name can be put into, or as of Take.
func (d *Desk) TakeLike(ctx context.Context, actor stations.Actor, key, like, name, due string) (string, []engine.Problem, error) {
	source, err := d.Store.OrderSource(ctx, like)
	if err != nil {
		return "", nil, err
	}
	form, ok := orderfile.FormOf(source)
	if ok {
		form.Text["order"], form.Text["due"] = name, due
		for i := range form.Lists["fabrics"] {
			delete(form.Lists["fabrics"][i].Lists, "bolts")
		}
		source, ok = orderfile.WithForm(source, form)
	}
	if !ok {
		return "", nil, Refuse("unwritable", "order", "Order", like)
	}
	return d.Take(ctx, actor, key, source)
}
