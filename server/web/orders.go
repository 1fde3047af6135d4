package web

import (
	"cmp"
	"io"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/page/orders"
	"tablehand/views/page/rules"
)

// A file longer than allLines is shown only where something is wrong, with a few lines around it; the box to mend
// it has it whole.
const (
	allLines    = 400
	linesAround = 3
)

// ordersPage: GET /orders.
func (s *Site) ordersPage(c *fiber.Ctx) error { return s.showOrdersPage(c, nil) }

func (s *Site) showOrdersPage(c *fiber.Ctx, uploaded *views.Uploaded) error {
	floor := s.Desk.Store.Floor()
	p := orders.Page{Frame: s.frame(c, floor), Uploaded: uploaded}
	if err := s.listOrders(c, floor, &p); err != nil {
		return err
	}
	return s.send(c, p)
}

// takeByForm: POST /orders, an order file as a file or as text. One that isn't taken comes back whole.
func (s *Site) takeByForm(c *fiber.Ctx) error {
	source, err := uploadedSource(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	order, _, err := s.Desk.Take(ctx, actor, "", source)
	if err == nil {
		return GoOn(c, "/orders/"+url.PathEscape(order)+"?did=taken")
	}
	r, ok := edge.RefusalOf(err)
	if !ok {
		return err
	}
	uploaded := uploadedWith(string(source), r.Problems)
	if r.Code != "problems" {
		uploaded.Refused = s.Printer(c).Refusal(r)
	}
	c.Status(edge.StatusOf(r.Code))
	return s.showOrdersPage(c, uploaded)
}

// uploadedSource returns the order file of a form. The error is too_large, or missing_key when there is none.
func uploadedSource(c *fiber.Ctx) ([]byte, error) {
	header, err := c.FormFile("file")
	if err != nil {
		text := strings.ReplaceAll(c.FormValue("source"), "\r\n", "\n") // as browsers send a text box
		if strings.TrimSpace(text) == "" {
			return nil, desk.Refuse("missing_key", "file", "Name", "file")
		}
		return []byte(text), edge.CheckOrder(len(text), "file")
	}
	if err := edge.CheckOrder(int(header.Size), "file"); err != nil {
		return nil, err
	}
	file, err := header.Open()
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(file)
}

// uploadedWith puts problems to the lines of a file that they are about.
func uploadedWith(source string, problems []engine.Problem) *views.Uploaded {
	u := &views.Uploaded{Source: source}
	at := map[int][]engine.Problem{}
	texts := strings.Split(strings.TrimSuffix(source, "\n"), "\n")
	for _, p := range problems {
		if p.Severity == engine.Error {
			u.Errors++
		}
		if p.Line < 1 || p.Line > len(texts) {
			u.General = append(u.General, p)
			continue
		}
		at[p.Line] = append(at[p.Line], p)
	}
	for i, text := range texts {
		if n := i + 1; len(texts) <= allLines || near(at, n) {
			u.Lines = append(u.Lines, views.SourceLine{Number: n, Text: text, Problems: at[n]})
		}
	}
	return u
}

func near(at map[int][]engine.Problem, line int) bool {
	for n := line - linesAround; n <= line+linesAround; n++ {
		if len(at[n]) > 0 {
			return true
		}
	}
	return false
}

// releaseByForm: POST /orders/{order}/release.
func (s *Site) releaseByForm(c *fiber.Ctx) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	override, reason := c.FormValue("override") != "", c.FormValue("reason")
	again, done := s.showOrderPage, "/orders/"+url.PathEscape(o.ID)+"?did=released"
	if c.FormValue("back") == "today" {
		again, done = s.showHomePage, toToday("released", o.ID)
	}
	if err := edge.CheckTexts(edge.Text("reason", reason, override, edge.MaxReason)); err != nil {
		return s.RefusedOn(c, err, again)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	if err := s.Desk.Release(ctx, actor, "", o.ID, override, reason); err != nil {
		return s.RefusedOn(c, err, again)
	}
	return GoOn(c, done)
}

// takeLikeByForm: POST /orders/{order}/like, the name and due date of the new order.
func (s *Site) takeLikeByForm(c *fiber.Ctx) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	order, _, err := s.Desk.TakeLike(ctx, actor, "", o.ID, strings.TrimSpace(c.FormValue("order")), c.FormValue("due"))
	if err != nil {
		return s.RefusedOn(c, err, s.showOrderPage)
	}
	return GoOn(c, "/orders/"+url.PathEscape(order)+"?did=taken")
}

// cancelByForm: POST /orders/{order}/cancel.
func (s *Site) cancelByForm(c *fiber.Ctx) error {
	return s.endOrder(c, "cancelled", func(by stations.Actor, order, reason string) stations.Command {
		return stations.CancelOrder{Actor: by, Order: order, Reason: reason}
	})
}

// closeByForm: POST /orders/{order}/close.
func (s *Site) closeByForm(c *fiber.Ctx) error {
	return s.endOrder(c, "closed", func(by stations.Actor, order, reason string) stations.Command {
		return stations.CloseOrder{Actor: by, Order: order, Reason: reason}
	})
}

// endOrder does what a form with a reason asks of the order; its page says that it is done, or why not. The floor refuses it
// without a reason.
func (s *Site) endOrder(c *fiber.Ctx, did string, command func(by stations.Actor, order, reason string) stations.Command) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	reason := c.FormValue("reason")
	if err := edge.CheckTexts(edge.Text("reason", reason, false, edge.MaxReason)); err != nil {
		return s.RefusedOn(c, err, s.showOrderPage)
	}
	actor, _ := edge.ActorOf(c)
	if err := s.Desk.Do(command(actor, o.ID, reason)); err != nil {
		return s.RefusedOn(c, err, s.showOrderPage)
	}
	return GoOn(c, "/orders/"+url.PathEscape(o.ID)+"?did="+did)
}

// rulesPage: GET /orders/{order}/rules, what each other rule of the trade would have ordered.
func (s *Site) rulesPage(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	w, err := s.Desk.Workup(ctx, edge.Param(c, "order"))
	if err != nil {
		return err
	}
	p := rules.Page{Frame: s.frame(c, s.Desk.Store.Floor()), ID: w.Order.ID}
	p.Fabrics, p.Conventions = rules.Compare(w, workup.Outcomes(w.Order))
	return s.send(c, p)
}

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
	p.Filter.Customer = s.Desk.CustomerOf(p.Filter.Customer)
	words := wordsOf(p.Filter.Find)
	var asked []*stations.Order
	for _, o := range floor.Orders() {
		p.All++
		if name := s.Desk.CustomerOf(o.Customer); name != "" && !slices.Contains(p.Customers, name) {
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
	s.sortOrders(asked, p.Filter.Sort)
	return s.pageOfOrders(c, asked, p)
}

// orderAsked reports whether an order is one of those that are asked for.
func (s *Site) orderAsked(o *stations.Order, p *orders.Page, words []string) (bool, error) {
	f := p.Filter
	switch {
	case f.Customer != "" && s.Desk.CustomerOf(o.Customer) != f.Customer:
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
	text := fold(o.ID + " " + s.Desk.NamesOf(o.Customer) + " " + mark.Name)
	return !slices.ContainsFunc(words, func(word string) bool { return !has(text, word) }), nil
}

// sortOrders sorts by due date, those without one last, or by what else is asked; what is alike there goes by name.
func (s *Site) sortOrders(list []*stations.Order, by string) {
	key := func(o *stations.Order) string {
		switch by {
		case "customer":
			return fold(s.Desk.CustomerOf(o.Customer))
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
		if s.Desk.Shows(mark) {
			row.Sidemark = mark.Name
		}
		p.Orders = append(p.Orders, row)
	}
	return nil
}
