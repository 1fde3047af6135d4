package invoice

import (
	"slices"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Order is what an invoice bills of one order.
type Order struct {
	Order   string
	Windows []Window
	Amounts []billing.Money // of its lines that have one
}

// Window is what it bills of the windows of one name.
type Window struct {
	Window, Room string
	Rows         []Row
}

// Row is panels that are alike but for their side and number, at one rate.
type Row struct {
	Line         // the first of them
	Lines []Line // all, in the order of the invoice
}

// Panels counts the panels of one side.
func (r Row) Panels(side string) int {
	n := 0
	for _, l := range r.Lines {
		if l.Panel == side {
			n++
		}
	}
	return n
}

// Total is the sum of the row's lines, nil while they have no amount.
func (r Row) Total() *billing.Money {
	if r.Amount == nil {
		return nil
	}
	return &billing.Money{Minor: r.Amount.Minor * int64(len(r.Lines)), Currency: r.Amount.Currency}
}

// Orders gathers the lines by order, window and what is alike; each in the order in which it first appears.
func (i *Document) Orders() []Order {
	var orders []Order
	for _, l := range i.Lines {
		o := find(&orders, func(o *Order) bool { return o.Order == l.Order })
		o.Order = l.Order
		w := find(&o.Windows, func(w *Window) bool { return w.Window == l.Window && w.Room == l.Room })
		w.Window, w.Room = l.Window, l.Room
		r := find(&w.Rows, func(r *Row) bool { return r.likeness() == likeness(l) })
		if len(r.Lines) == 0 {
			r.Line = l
		}
		r.Lines = append(r.Lines, l)
		if l.Amount != nil {
			o.Amounts = append(o.Amounts, *l.Amount)
		}
	}
	return orders
}

// find returns the element of a list that is asked for, a new one at its end where there is none.
func find[T any](list *[]T, is func(*T) bool) *T {
	i := slices.IndexFunc(*list, func(e T) bool { return is(&e) })
	if i < 0 {
		var none T
		i, *list = len(*list), append(*list, none)
	}
	return &(*list)[i]
}

// alike is what lines of one row have in common.
type alike struct {
	heading, piece, lining, interlining string
	made                                orderfile.Made
	width, length                       measure.Quantity
	widths                              measure.Halves
	scrapped                            bool
	rate                                billing.Rate
	amount                              billing.Money
}

func (r *Row) likeness() alike { return likeness(r.Line) }

func likeness(l Line) alike {
	a := alike{heading: l.Heading, made: l.Made, piece: l.Piece, lining: l.Lining, interlining: l.Interlining, width: l.Width, length: l.Length, widths: l.Widths, scrapped: l.Scrapped}
	if l.Rate != nil {
		a.rate = *l.Rate
	}
	if l.Amount != nil {
		a.amount = *l.Amount
	}
	return a
}
