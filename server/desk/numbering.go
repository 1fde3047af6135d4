package desk

import (
	"context"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/stations"
)

// numbering is how a shop names its orders: a number with text around it. It is written with {n} for the number, {n:3} for one
// of at least three digits: "HAL-{n:3}" names HAL-007.
type numbering struct {
	before, after string
	digits        int // at least; 1 to 9
}

// shippedNumbering is used until a shop has one of its own. Our own choice.
const shippedNumbering = "{n:3}"

// mostDigits a number may have.
const mostDigits = 9

var (
	numberingForm = regexp.MustCompile(`^([^{}]*)\{n(?::([1-9]))?\}([^{}]*)$`)
	lastNumber    = regexp.MustCompile(`^(.*?)([0-9]{1,9})([^0-9]*)$`)
)

// readNumbering reads a numbering; ok is false for one without a number, with two, or whose names no order may have.
func readNumbering(text string) (n numbering, ok bool) {
	parts := numberingForm.FindStringSubmatch(text)
	if parts == nil {
		return numbering{}, false
	}
	n = numbering{before: parts[1], after: parts[3], digits: 1}
	if parts[2] != "" {
		n.digits, _ = strconv.Atoi(parts[2]) // one digit
	}
	const largest = 999_999_999
	return n, orderfile.IsName(n.name(largest))
}

// numberingOf is the numbering that a name seems to follow, by its last number; ok is false for one without any.
func numberingOf(name string) (n numbering, ok bool) {
	parts := lastNumber.FindStringSubmatch(name)
	if parts == nil {
		return numbering{}, false
	}
	return numbering{before: parts[1], after: parts[3], digits: len(parts[2])}, true
}

func (n numbering) name(number int) string {
	return fmt.Sprintf("%s%0*d%s", n.before, n.digits, number, n.after)
}

// number returns the number of a name; ok is false for a name of another numbering.
func (n numbering) number(name string) (number int, ok bool) {
	digits, before := strings.CutPrefix(name, n.before)
	digits, after := strings.CutSuffix(digits, n.after)
	if !before || !after || len(digits) > mostDigits || strings.Trim(digits, "0123456789") != "" {
		return 0, false
	}
	number, err := strconv.Atoi(digits)
	return number, err == nil
}

// next is the name after the greatest in use.
func (n numbering) next(orders []*stations.Order) string {
	greatest := 0
	for _, o := range orders {
		if number, ok := n.number(o.ID); ok {
			greatest = max(greatest, number)
		}
	}
	return n.name(greatest + 1)
}

// NextOrder proposes a name for a new order, by the shop's numbering: one more than the greatest in use.
func (d *Desk) NextOrder() string {
	n, ok := readNumbering(d.Shop().OrderForm)
	if !ok { // it was checked when it was kept
		n, _ = readNumbering(shippedNumbering)
	}
	return n.next(d.Store.Floor().Orders())
}

// NextLike proposes a name for an order like another one: the next as that one is named, or by the shop's numbering where its
// name has no number.
func (d *Desk) NextLike(order string) string {
	n, ok := numberingOf(order)
	if !ok {
		return d.NextOrder()
	}
	next := n.next(d.Store.Floor().Orders())
	if !orderfile.IsName(next) { // the number of a long name has grown by a digit
		return d.NextOrder()
	}
	return next
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
