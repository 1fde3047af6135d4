package web

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/views/page/orders"
)

// ordersAtOnce is how many orders a page of the list has.
const ordersAtOnce = 50

// orderFilter reads what the address asks for; what isn't there to be asked for asks for nothing.
func orderFilter(c *fiber.Ctx) orders.Filter {
	f := orders.Filter{Find: firstBytes(strings.TrimSpace(c.Query("find")), edge.MaxName), Customer: firstBytes(c.Query("customer"), edge.MaxName),
		State: c.Query("state"), Sort: c.Query("sort")}
	if !slices.Contains(orders.States(), f.State) {
		f.State = ""
	}
	if !slices.Contains(orders.Sorts(), f.Sort) {
		f.Sort = orders.Sorts()[0]
	}
	return f
}

// listOrders puts the orders that are asked for on the page, a part of them: ?find=, ?state=, ?customer=, ?sort=, ?page=.
func (s *Site) listOrders(c *fiber.Ctx, floor *stations.Floor, p *orders.Page) error {
	p.Filter = orderFilter(c)
	words := wordsOf(p.Filter.Find)
	var asked []*stations.Order
	for _, o := range floor.Orders() {
		p.All++
		if name := strings.TrimSpace(o.Customer); name != "" && !slices.Contains(p.Customers, name) {
			p.Customers = append(p.Customers, name)
		}
		wanted, err := s.orderAsked(o, p, words)
		if err != nil {
			return err
		}
		if wanted {
			asked = append(asked, o)
		}
	}
	slices.Sort(p.Customers)
	sortOrders(asked, p.Filter.Sort)
	return s.pageOfOrders(c, asked, p)
}

// orderAsked reports whether an order is one of those that are asked for.
func (s *Site) orderAsked(o *stations.Order, p *orders.Page, words []string) (bool, error) {
	f := p.Filter
	switch {
	case f.Customer != "" && strings.TrimSpace(o.Customer) != f.Customer:
		return false, nil
	case f.State == orders.Late && !o.Late(p.Today), f.State != "" && f.State != orders.Late && string(o.State) != f.State:
		return false, nil
	case len(words) == 0:
		return true, nil
	}
	mark, err := s.Desk.SidemarkOf(o)
	if err != nil {
		return false, err
	}
	text := fold(o.ID + " " + o.Customer + " " + mark.Name)
	return !slices.ContainsFunc(words, func(word string) bool { return !has(text, word) }), nil
}

// sortOrders sorts by due date, those without one last, or by what else is asked; what is alike there goes by name.
func sortOrders(list []*stations.Order, by string) {
	key := func(o *stations.Order) string {
		switch by {
		case "customer":
			return fold(o.Customer)
		case "due":
			return cmp.Or(o.Due, "9999")
		case "state":
			return strconv.Itoa(slices.Index(orders.States(), string(o.State)))
		}
		return ""
	}
	slices.SortStableFunc(list, func(a, b *stations.Order) int { return cmp.Or(cmp.Compare(key(a), key(b)), cmp.Compare(a.ID, b.ID)) })
}

// pageOfOrders shows the part of the list that is asked for, and leads to those beside it.
func (s *Site) pageOfOrders(c *fiber.Ctx, list []*stations.Order, p *orders.Page) error {
	number, _ := strconv.Atoi(c.Query("page"))
	last := max(1, (len(list)+ordersAtOnce-1)/ordersAtOnce)
	number = min(max(number, 1), last)
	first := (number - 1) * ordersAtOnce
	p.First, p.Last, p.Total = first+1, min(first+ordersAtOnce, len(list)), len(list)
	to := func(n int) string {
		q := url.Values{"page": {strconv.Itoa(n)}, "sort": {p.Filter.Sort}}
		for name, value := range map[string]string{"find": p.Filter.Find, "state": p.Filter.State, "customer": p.Filter.Customer} {
			if value != "" {
				q.Set(name, value)
			}
		}
		return "/orders?" + q.Encode()
	}
	if number > 1 {
		p.Before = to(number - 1)
	}
	if number < last {
		p.After = to(number + 1)
	}
	for _, o := range list[first:p.Last] {
		row := orderRow(o, p.Today, true)
		mark, err := s.Desk.SidemarkOf(o)
		if err != nil {
			return err
		}
		if mark.Shown || s.Desk.Shop().PrintSidemark {
			row.Sidemark = mark.Name
		}
		p.Orders = append(p.Orders, row)
	}
	return nil
}
