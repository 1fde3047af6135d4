package server

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/views/i18n"
	"tablehand/views/paper"
)

// invoiceDoc is a draft or an issued invoice, or a credit note.
type invoiceDoc struct {
	Draft    string                `json:"draft"`
	Kind     stations.DocumentKind `json:"kind"`
	Number   string                `json:"number,omitempty"`
	State    string                `json:"state"` // draft | issued
	Customer string                `json:"customer"`
	Drafted  time.Time             `json:"drafted"`
	Issued   *time.Time            `json:"issued,omitempty"`
	Date     string                `json:"date,omitempty"` // of issue
	Lines    []invoiceLine         `json:"lines"`
	Total    *billing.Money        `json:"total,omitempty"` // absent while no price list gives a currency
	Problems []problemDoc          `json:"problems"`

	RefersTo string `json:"refers_to,omitempty"` // of a credit note: the number of its invoice
	Reason   string `json:"reason,omitempty"`
	Frees    *bool  `json:"frees,omitempty"`

	Credits  []string       `json:"credits,omitempty"`  // of an invoice: its credit notes, a draft by its id
	Credited *billing.Money `json:"credited,omitempty"` // by those that are issued
}

// invoiceLine is one panel's line; Amount is nil while it has no price.
type invoiceLine struct {
	Ticket stations.Code  `json:"ticket"`
	Order  string         `json:"order"`
	Text   string         `json:"text"`
	Rate   *billing.Rate  `json:"rate,omitempty"`
	Amount *billing.Money `json:"amount,omitempty"`
}

// lineText says in a sentence what a line bills.
func lineText(say *i18n.Printer, l stations.InvoiceLine) string {
	return say.T("invoice.line", "Order", l.Order, "Room", l.Room, "Window", l.Window,
		"Panel", say.T("invoice.panel."+l.Panel), "What", say.BilledWhat(l))
}

// docOfInvoice writes an invoice in the language asked for, with a problem for each line that has no price.
func (s *Server) docOfInvoice(c *fiber.Ctx, i *stations.Invoice) invoiceDoc {
	say, missing := s.printer(c), []engine.Problem{}
	doc := invoiceDoc{Draft: i.Draft, Kind: stations.InvoiceDocument, Number: i.Number, State: "draft", Customer: i.Customer, Drafted: i.Drafted, Lines: []invoiceLine{}}
	if i.IsCredit() {
		doc.Kind, doc.RefersTo, doc.Reason, doc.Frees = i.Kind, i.RefersTo, i.Reason, &i.Frees
	}
	if credit := s.Store.Floor().Invoice(i.CreditedBy); credit != nil {
		doc.Credits = []string{credit.Name()}
		if credit.Number != "" {
			total := credit.Total()
			doc.Credited = &total
		}
	}
	if i.Number != "" {
		doc.State, doc.Issued, doc.Date = "issued", &i.Issued, s.dateOf(i)
	}
	for n, l := range i.Lines {
		doc.Lines = append(doc.Lines, invoiceLine{l.Ticket, l.Order, lineText(say, l), l.Rate, l.Amount})
		if l.Amount == nil {
			missing = append(missing, engine.Problem{Severity: engine.Warning, Code: "price_missing",
				Where: fmt.Sprintf("lines[%d].amount", n), Args: map[string]any{"Heading": say.T("heading." + l.Heading)}})
		}
	}
	doc.Total = invoiceTotal(i)
	doc.Problems = s.problemDocs(c, missing)
	return doc
}

// invoiceTotal adds the lines that have an amount; nil while the invoice has no currency.
func invoiceTotal(i *stations.Invoice) *billing.Money {
	if i.Currency == "" {
		return nil
	}
	total := i.Total()
	return &total
}

// invoiceAsked returns the invoice whose draft id or number the address has.
func (s *Server) invoiceAsked(c *fiber.Ctx) (*stations.Invoice, error) {
	if i := s.Store.Floor().Invoice(param(c, "invoice")); i != nil {
		return i, nil
	}
	return nil, refuse("not_found", "invoice")
}

// draftInvoice: POST /api/invoices.
func (s *Server) draftInvoice(c *fiber.Ctx) error {
	var body struct {
		Customer string   `json:"customer"`
		Panels   []string `json:"panels"`
	}
	if err := decode(c, &body); err != nil {
		return err
	}
	if err := checkTexts(text("customer", body.Customer, true, maxReason)); err != nil {
		return err
	}
	if len(body.Panels) == 0 {
		return refuse("missing_key", "panels")
	}
	cmd := stations.DraftInvoice{Draft: newDraft(), Customer: body.Customer}
	cmd.Actor, _ = actorOf(c)
	for _, typed := range body.Panels {
		t, err := s.ticketAsked(c, typed)
		if err != nil {
			return err
		}
		cmd.Panels = append(cmd.Panels, t.Spec.Code)
	}
	ctx, cancel := waiting()
	defer cancel()
	e, err := s.Store.Do(ctx, cmd)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(s.docOfInvoice(c, e.Invoice)) // as drafted: somebody may have dropped it since
}

// showInvoice: GET /api/invoices/{draft or number}.
func (s *Server) showInvoice(c *fiber.Ctx) error {
	i, err := s.invoiceAsked(c)
	if err != nil {
		return err
	}
	return c.JSON(s.docOfInvoice(c, i))
}

// dropInvoice: DELETE /api/invoices/{draft} frees its panels.
func (s *Server) dropInvoice(c *fiber.Ctx) error {
	i, err := s.invoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := actorOf(c)
	if err := s.do(stations.DropInvoice{Actor: actor, Draft: i.Draft}); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// issueInvoice: POST /api/invoices/{draft}/issue.
func (s *Server) issueInvoice(c *fiber.Ctx) error {
	if err := decodeOptional(c, &struct{}{}); err != nil {
		return err
	}
	i, err := s.invoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := actorOf(c)
	e, err := s.issue(actor, i.Draft)
	if err != nil {
		return err
	}
	return c.JSON(struct {
		Number string         `json:"number"`
		State  string         `json:"state"`
		Total  *billing.Money `json:"total"`
	}{e.Number, "issued", invoiceTotal(s.Store.Floor().Invoice(e.Number))})
}

// issue gives a draft its number, with the day and what the shop says of itself from now on.
func (s *Server) issue(actor stations.Actor, draft string) (stations.Event, error) {
	ctx, cancel := waiting()
	defer cancel()
	from, err := s.letterhead(ctx)
	if err != nil {
		return stations.Event{}, err
	}
	return s.Store.Do(ctx, stations.IssueInvoice{Actor: actor, Draft: draft, Date: s.today(), From: from})
}

// letterhead is what the shop says of itself on invoices now.
func (s *Server) letterhead(ctx context.Context) (stations.Letterhead, error) {
	from := stations.Letterhead{Shop: s.shop().Name} // nobody may get an invoice without a sender
	for name, to := range map[store.Setting]*string{store.PostalAddress: &from.Address, store.PaymentTerms: &from.Terms} {
		value, err := s.Store.Setting(ctx, name)
		if err != nil {
			return from, err
		}
		*to = value
	}
	return from, nil
}

// letterheadOf is what an invoice says of the shop: an issued one what it said then, a draft what it says now, and so
// one that was issued before that was kept.
func (s *Server) letterheadOf(i *stations.Invoice) (stations.Letterhead, error) {
	if i.From != nil {
		return *i.From, nil
	}
	ctx, cancel := waiting()
	defer cancel()
	return s.letterhead(ctx)
}

// dateOf is the day of an invoice in the shop's zone: of issue, of a draft that of drafting.
func (s *Server) dateOf(i *stations.Invoice) string {
	switch {
	case i.Number == "":
		return i.Drafted.In(s.shop().Zone).Format(time.DateOnly)
	case i.Date == "": // issued before it was kept
		return i.Issued.In(s.shop().Zone).Format(time.DateOnly)
	}
	return i.Date
}

// printInvoice: GET /api/invoices/{draft or number}.pdf.
func (s *Server) printInvoice(c *fiber.Ctx) error {
	i, err := s.invoiceAsked(c)
	if err != nil {
		return err
	}
	from, err := s.letterheadOf(i)
	if err != nil {
		return err
	}
	sheet := paper.InvoiceSheet{Say: s.printer(c), From: from, Invoice: i, Date: s.dateOf(i), Made: i.Drafted}
	name := strings.ToLower(i.Draft)
	if i.Number != "" {
		sheet.Made, name = i.Issued, i.Number
	}
	var pdf bytes.Buffer
	if err := paper.Invoice(&pdf, sheet); err != nil {
		return err
	}
	if i.IsCredit() {
		return sendPDF(c, "credit-note-"+name, pdf.Bytes())
	}
	return sendPDF(c, "invoice-"+name, pdf.Bytes())
}

// sendPDF sends a sheet to be shown, and kept under a name.
func sendPDF(c *fiber.Ctx, name string, pdf []byte) error {
	c.Set(fiber.HeaderContentType, "application/pdf")
	c.Set(fiber.HeaderContentDisposition, fmt.Sprintf("inline; filename=%q", name+".pdf"))
	return c.Send(pdf)
}
