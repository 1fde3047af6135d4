package web

import (
	"net/url"
	"slices"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/billing"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
	"tablehand/views"
	invoicepage "tablehand/views/page/invoice"
	"tablehand/views/page/prices"
	"tablehand/views/page/ready"
)

// readyPage: GET /ready, finished panels by customer, and the invoices, with ?customer= one customer's.
func (s *Site) readyPage(c *fiber.Ctx) error { return s.showReadyPage(c, s.answerAfter(c)) }

func (s *Site) showReadyPage(c *fiber.Ctx, answer *views.Answer) error {
	floor := s.Desk.Store.Floor()
	prices := floor.Prices()
	p := ready.Page{Frame: s.frame(c, floor), NoPrices: len(prices.Rows) == 0, Answer: answer}
	awaiting := floor.AwaitingMates()
	for _, t := range s.Desk.Ready() {
		if last := len(p.Customers) - 1; last < 0 || p.Customers[last].Customer != t.To {
			p.Customers = append(p.Customers, ready.Customer{Customer: t.To})
		}
		panel := ready.Panel{Piece: views.PieceOf(t.Ticket, p.Today)}
		panel.Price = desk.PriceOf(prices, t.Spec)
		here := &p.Customers[len(p.Customers)-1]
		if awaiting[t.Spec.Code] {
			here.Waiting = append(here.Waiting, panel)
		} else {
			here.Panels = append(here.Panels, panel)
		}
	}
	p.Of = s.Desk.CustomerOf(firstBytes(c.Query("customer"), edge.MaxName))
	for _, i := range floor.Invoices() {
		name := s.Desk.CustomerOf(i.Customer)
		if name != "" && !slices.Contains(p.Billed, name) {
			p.Billed = append(p.Billed, name)
		}
		if p.Of == "" || p.Of == name {
			p.Invoices = append(p.Invoices, invoiceRow(floor, i))
		}
	}
	slices.Sort(p.Billed)
	return s.send(c, p)
}

func invoiceRow(floor *stations.Floor, i *invoice.Document) views.InvoiceRow {
	credit := floor.Invoice(i.CreditedBy)
	credited := credit != nil && credit.Number != ""
	return views.InvoiceRow{ID: i.Name(), Issued: i.Number != "", Customer: i.Customer, Panels: len(i.Lines), Total: wholeTotal(i),
		Credit: i.IsCredit(), Credits: i.RefersTo, Credited: credited}
}

// wholeTotal is an invoice's total, nil while any line has no price.
func wholeTotal(i *invoice.Document) *billing.Money {
	if len(i.Unpriced()) > 0 {
		return nil
	}
	return desk.InvoiceTotal(i)
}

// draftByForm: POST /ready, a draft of the panels ticked.
func (s *Site) draftByForm(c *fiber.Ctx) error {
	var panels []plan.Code
	for _, code := range c.Request().PostArgs().PeekMulti("panel") {
		panels = append(panels, plan.Code(code))
	}
	cmd := s.Desk.DraftFor(c.FormValue("customer"), panels)
	cmd.Actor, _ = edge.ActorOf(c)
	if len(panels) == 0 {
		c.Status(fiber.StatusUnprocessableEntity)
		return s.showReadyPage(c, &views.Answer{Refused: true, Text: s.Printer(c).T("page.ready.choose")})
	}
	if err := s.Desk.Do(cmd); err != nil {
		return s.RefusedOn(c, err, s.showReadyPage)
	}
	return GoOn(c, "/invoices/"+url.PathEscape(cmd.Draft))
}

// RefusedOn shows a refusal on the page that it belongs to; another error goes on.
func (s *Site) RefusedOn(c *fiber.Ctx, err error, show func(*fiber.Ctx, *views.Answer) error) error {
	r, ok := edge.RefusalOf(err)
	if !ok {
		return err
	}
	c.Status(edge.StatusOf(r.Code))
	return show(c, &views.Answer{Refused: true, Text: s.Printer(c).Refusal(r)})
}

// invoicePage: GET /invoices/{draft or number}.
func (s *Site) invoicePage(c *fiber.Ctx) error { return s.showInvoicePage(c, nil) }

func (s *Site) showInvoicePage(c *fiber.Ctx, answer *views.Answer) error {
	i, err := s.InvoiceAsked(c)
	if err != nil {
		return err
	}
	from, err := s.Desk.LetterheadOf(i)
	if err != nil {
		return err
	}
	p := invoicepage.Page{Frame: s.frame(c, s.Desk.Store.Floor()), Invoice: i, Orders: i.Orders(), Total: wholeTotal(i), From: from, Date: s.Desk.DateOf(i), Answer: answer,
		Credit: s.Desk.Store.Floor().Invoice(i.CreditedBy), Typed: invoicepage.CreditForm{Frees: c.FormValue("frees"), Reason: c.FormValue("reason")}}
	return s.send(c, p)
}

// amountsByForm: POST /invoices/{draft}/amounts, what is typed for pieces that the price list has no price for.
func (s *Site) amountsByForm(c *fiber.Ctx) error {
	i, err := s.InvoiceAsked(c)
	if err != nil {
		return err
	}
	form := c.Request().PostArgs()
	tickets, amounts := form.PeekMulti("ticket"), form.PeekMulti("amount")
	if len(tickets) != len(amounts) || len(tickets) > edge.MaxEntries {
		return desk.Refuse("bad_request", "")
	}
	cmd := stations.SetAmounts{Draft: i.Draft, Amounts: map[plan.Code]string{}}
	cmd.Actor, _ = edge.ActorOf(c)
	for n, ticket := range tickets {
		cmd.Amounts[plan.Code(ticket)] = s.Printer(c).Typed(string(amounts[n]))
	}
	if err := s.Desk.Do(cmd); err != nil {
		return s.RefusedOn(c, err, s.showInvoicePage)
	}
	return GoOn(c, "/invoices/"+url.PathEscape(i.Draft))
}

// issueByForm: POST /invoices/{draft}/issue.
func (s *Site) issueByForm(c *fiber.Ctx) error {
	i, err := s.InvoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	if _, err := s.Desk.Issue(actor, "", i.Draft); err != nil {
		return s.RefusedOn(c, err, s.showInvoicePage)
	}
	return GoOn(c, "/invoices/"+url.PathEscape(s.Desk.Store.Floor().Invoice(i.Draft).Number))
}

// dropByForm: POST /invoices/{draft}/drop.
func (s *Site) dropByForm(c *fiber.Ctx) error {
	i, err := s.InvoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	if err := s.Desk.Do(stations.DropInvoice{Actor: actor, Draft: i.Draft}); err != nil {
		return s.RefusedOn(c, err, s.showInvoicePage)
	}
	if i.IsCredit() {
		return GoOn(c, "/invoices/"+url.PathEscape(i.RefersTo))
	}
	return GoOn(c, "/ready?did=dropped")
}

// creditByForm: POST /invoices/{number}/credit, a draft of a credit note of the whole invoice.
func (s *Site) creditByForm(c *fiber.Ctx) error {
	i, err := s.InvoiceAsked(c)
	if err != nil {
		return err
	}
	frees, reason := c.FormValue("frees"), c.FormValue("reason")
	if frees != "yes" && frees != "no" {
		c.Status(fiber.StatusUnprocessableEntity)
		return s.showInvoicePage(c, &views.Answer{Refused: true, Text: s.Printer(c).T("page.credit.choose")})
	}
	if err := edge.CheckTexts(edge.Text("reason", reason, true, edge.MaxReason)); err != nil {
		return s.RefusedOn(c, err, s.showInvoicePage)
	}
	actor, _ := edge.ActorOf(c)
	e, err := s.Desk.Credit(actor, "", i.Draft, frees == "yes", reason)
	if err != nil {
		return s.RefusedOn(c, err, s.showInvoicePage)
	}
	return GoOn(c, "/invoices/"+url.PathEscape(e.Draft))
}

// pricesPage: GET /prices.
func (s *Site) pricesPage(c *fiber.Ctx) error {
	return s.showPricesPage(c, prices.Page{Prices: s.pricesToEdit(), Answer: s.answerAfter(c)})
}

// pricesToEdit is the price list with an empty row for each heading and kind of piece that has none.
func (s *Site) pricesToEdit() billing.PriceList {
	prices := s.Desk.Store.Floor().Prices()
	list := billing.PriceList{Currency: prices.Currency, Rows: slices.Clone(prices.Rows)}
	for _, heading := range append(billing.Headings(), s.Desk.PricedHeadings()...) {
		if !slices.ContainsFunc(list.Rows, func(r billing.PriceRow) bool { return r.Heading == heading }) {
			list.Rows = append(list.Rows, billing.PriceRow{Heading: heading})
		}
	}
	for _, piece := range billing.Pieces() {
		if !slices.ContainsFunc(list.Rows, func(r billing.PriceRow) bool { return r.Piece == piece }) {
			list.Rows = append(list.Rows, billing.PriceRow{Piece: piece})
		}
	}
	return list
}

func (s *Site) showPricesPage(c *fiber.Ctx, p prices.Page) error {
	floor := s.Desk.Store.Floor()
	p.Frame, p.HasFile = s.frame(c, floor), floor.Prices().Currency != ""
	return s.send(c, p)
}

// setPricesByForm: POST /prices. A row with both amounts empty sets no price; what was typed comes back when it is
// refused.
func (s *Site) setPricesByForm(c *fiber.Ctx) error {
	form := c.Request().PostArgs()
	headings, panels, widths := form.PeekMulti("heading"), form.PeekMulti("panel"), form.PeekMulti("width")
	pieces, each := form.PeekMulti("piece"), form.PeekMulti("each")
	if len(panels) != len(headings) || len(widths) != len(headings) || len(each) != len(pieces) || len(headings)+len(pieces) > edge.MaxEntries {
		return desk.Refuse("bad_request", "")
	}
	typed := billing.PriceList{Currency: c.FormValue("currency")}
	set := billing.PriceList{Currency: typed.Currency}
	for i := range headings {
		row := billing.PriceRow{Heading: string(headings[i]), Panel: s.Printer(c).Typed(string(panels[i])), Width: s.Printer(c).Typed(string(widths[i]))}
		typed.Rows = append(typed.Rows, row)
		if row.Panel != "" || row.Width != "" {
			set.Rows = append(set.Rows, row)
		}
	}
	for i := range pieces {
		row := billing.PriceRow{Piece: string(pieces[i]), Each: s.Printer(c).Typed(string(each[i]))}
		typed.Rows = append(typed.Rows, row)
		if row.Each != "" {
			set.Rows = append(set.Rows, row)
		}
	}
	if problems := set.Check(s.Desk.PricedHeadings()...); len(problems) > 0 {
		c.Status(fiber.StatusUnprocessableEntity)
		return s.showPricesPage(c, prices.Page{Prices: typed, Problems: problems})
	}
	actor, _ := edge.ActorOf(c)
	if err := s.Desk.Do(stations.SetPriceList{Actor: actor, Prices: set}); err != nil {
		return s.RefusedOn(c, err, func(c *fiber.Ctx, answer *views.Answer) error {
			return s.showPricesPage(c, prices.Page{Prices: typed, Answer: answer})
		})
	}
	s.Note(c, store.PriceChanged, "")
	return GoOn(c, "/prices?did=prices")
}

// setPricesByFile: POST /prices/file, the whole list as a file or as text. One that isn't taken comes back with what is
// wrong at its lines.
func (s *Site) setPricesByFile(c *fiber.Ctx) error {
	source, err := uploadedSource(c)
	if err != nil {
		return err
	}
	list, problems := billing.ParsePrices(source, s.Desk.PricedHeadings()...)
	if len(problems) > 0 {
		c.Status(fiber.StatusUnprocessableEntity)
		return s.showPricesPage(c, prices.Page{Prices: s.pricesToEdit(), Uploaded: uploadedWith(string(source), problems)})
	}
	actor, _ := edge.ActorOf(c)
	if err := s.Desk.Do(stations.SetPriceList{Actor: actor, Prices: list}); err != nil {
		return s.RefusedOn(c, err, func(c *fiber.Ctx, answer *views.Answer) error {
			return s.showPricesPage(c, prices.Page{Prices: s.pricesToEdit(), Answer: answer})
		})
	}
	s.Note(c, store.PriceChanged, "")
	return GoOn(c, "/prices?did=prices")
}
