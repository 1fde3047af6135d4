package api

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/paper"
)

// invoiceDoc is a draft or an issued invoice, or a credit note.
type invoiceDoc struct {
	Draft    string            `json:"draft"`
	Kind     invoice.Kind      `json:"kind"`
	Number   string            `json:"number,omitempty"`
	State    string            `json:"state"` // draft | issued
	Customer string            `json:"customer"`
	Drafted  time.Time         `json:"drafted"`
	Issued   *time.Time        `json:"issued,omitempty"`
	Date     string            `json:"date,omitempty"` // of issue
	Lines    []invoiceLine     `json:"lines"`
	Total    *billing.Money    `json:"total,omitempty"` // absent while no price list gives a currency
	Problems []edge.ProblemDoc `json:"problems"`

	RefersTo string `json:"refers_to,omitempty"` // of a credit note: the number of its invoice
	Reason   string `json:"reason,omitempty"`
	Frees    *bool  `json:"frees,omitempty"`

	Credits  []string       `json:"credits,omitempty"`  // of an invoice: its credit notes, a draft by its id
	Credited *billing.Money `json:"credited,omitempty"` // by those that are issued
}

// invoiceLine is one panel's line; Amount is nil while it has no price.
type invoiceLine struct {
	Ticket plan.Code      `json:"ticket"`
	Order  string         `json:"order"`
	Text   string         `json:"text"`
	Piece  string         `json:"piece,omitempty"` // of a piece, which has an amount each
	Typed  bool           `json:"typed,omitempty"` // that amount is as somebody typed it
	Rate   *billing.Rate  `json:"rate,omitempty"`
	Amount *billing.Money `json:"amount,omitempty"`
}

// lineText says in a sentence what a line bills.
func lineText(say *i18n.Printer, l invoice.Line) string {
	if l.Piece != "" {
		return say.T("invoice.line.piece", "Order", l.Order, "Text", l.Window, "What", say.BilledWhat(l))
	}
	return say.T("invoice.line", "Order", l.Order, "Room", l.Room, "Window", l.Window,
		"Panel", say.T("invoice.panel."+l.Panel), "What", say.BilledWhat(l))
}

// docOfInvoice writes an invoice in the language asked for, with a problem for each line that has no price.
func (a *API) docOfInvoice(c *fiber.Ctx, i *invoice.Document) invoiceDoc {
	say, missing := a.Printer(c), []engine.Problem{}
	doc := invoiceDoc{Draft: i.Draft, Kind: invoice.Ordinary, Number: i.Number, State: "draft", Customer: i.Customer, Drafted: i.Drafted, Lines: []invoiceLine{}}
	if i.IsCredit() {
		doc.Kind, doc.RefersTo, doc.Reason, doc.Frees = i.Kind, i.RefersTo, i.Reason, &i.Frees
	}
	if credit := a.Desk.Store.Floor().Invoice(i.CreditedBy); credit != nil {
		doc.Credits = []string{credit.Name()}
		if credit.Number != "" {
			total := credit.Total()
			doc.Credited = &total
		}
	}
	if i.Number != "" {
		doc.State, doc.Issued, doc.Date = "issued", &i.Issued, a.Desk.DateOf(i)
	}
	for n, l := range i.Lines {
		doc.Lines = append(doc.Lines, invoiceLine{l.Ticket, l.Order, lineText(say, l), l.Piece, l.Typed, l.Rate, l.Amount})
		if l.Amount == nil {
			missing = append(missing, engine.Problem{Severity: engine.Warning, Code: "price_missing",
				Where: fmt.Sprintf("lines[%d].amount", n), Args: map[string]any{"Heading": say.Priced(l)}})
		}
	}
	doc.Total = desk.InvoiceTotal(i)
	doc.Problems = a.ProblemDocs(c, missing)
	return doc
}

// draftInvoice: POST /api/invoices.
func (a *API) draftInvoice(c *fiber.Ctx) error {
	var body struct {
		Customer string   `json:"customer"`
		Panels   []string `json:"panels"`
		Key      string   `json:"key"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Text("customer", body.Customer, true, edge.MaxReason), edge.Key(body.Key)); err != nil {
		return err
	}
	if len(body.Panels) == 0 {
		return desk.Refuse("missing_key", "panels")
	}
	var panels []plan.Code
	for _, typed := range body.Panels {
		t, err := a.TicketAsked(c, typed)
		if err != nil {
			return err
		}
		panels = append(panels, t.Spec.Code)
	}
	cmd := a.Desk.DraftFor(body.Customer, panels)
	cmd.Key = body.Key
	cmd.Actor, _ = edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	e, err := a.Desk.Store.Do(ctx, cmd)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(a.docOfInvoice(c, e.Invoice)) // as drafted: somebody may have dropped it since
}

// setAmounts: POST /api/invoices/{draft}/amounts, of pieces on a draft, by ticket; "" takes one back.
func (a *API) setAmounts(c *fiber.Ctx) error {
	var body struct {
		Amounts map[string]string `json:"amounts"`
		Key     string            `json:"key"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Key(body.Key)); err != nil {
		return err
	}
	if len(body.Amounts) == 0 || len(body.Amounts) > edge.MaxEntries {
		return desk.Refuse("missing_key", "amounts")
	}
	i, err := a.InvoiceAsked(c)
	if err != nil {
		return err
	}
	cmd := stations.SetAmounts{Key: body.Key, Draft: i.Draft, Amounts: map[plan.Code]string{}}
	cmd.Actor, _ = edge.ActorOf(c)
	for typed, amount := range body.Amounts {
		t, err := a.TicketAsked(c, typed)
		if err != nil {
			return err
		}
		cmd.Amounts[t.Spec.Code] = amount
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	e, err := a.Desk.Store.Do(ctx, cmd)
	if err != nil {
		return err
	}
	return c.JSON(a.docOfInvoice(c, e.Invoice))
}

// showInvoice: GET /api/invoices/{draft or number}.
func (a *API) showInvoice(c *fiber.Ctx) error {
	i, err := a.InvoiceAsked(c)
	if err != nil {
		return err
	}
	return c.JSON(a.docOfInvoice(c, i))
}

// dropInvoice: DELETE /api/invoices/{draft} frees its panels.
func (a *API) dropInvoice(c *fiber.Ctx) error {
	i, err := a.InvoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	if err := a.Desk.Do(stations.DropInvoice{Actor: actor, Draft: i.Draft}); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// issueInvoice: POST /api/invoices/{draft}/issue.
func (a *API) issueInvoice(c *fiber.Ctx) error {
	var body struct {
		Key string `json:"key"`
	}
	if err := edge.DecodeOptional(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Key(body.Key)); err != nil {
		return err
	}
	i, err := a.InvoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	e, err := a.Desk.Issue(actor, body.Key, i.Draft)
	if err != nil {
		return err
	}
	return c.JSON(struct {
		Number string         `json:"number"`
		State  string         `json:"state"`
		Total  *billing.Money `json:"total"`
	}{e.Number, "issued", desk.InvoiceTotal(a.Desk.Store.Floor().Invoice(e.Number))})
}

// printInvoice: GET /api/invoices/{draft or number}.pdf, on the sheet that it was issued for, a draft on the one that the
// shop has set, or with ?paper=a4 on another.
func (a *API) printInvoice(c *fiber.Ctx) error {
	i, err := a.InvoiceAsked(c)
	if err != nil {
		return err
	}
	from, err := a.Desk.LetterheadOf(i)
	if err != nil {
		return err
	}
	how, err := a.Printing(c, cmp.Or(paper.Sheet(from.Paper), a.Desk.Shop().Paper), paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	sheet := paper.InvoiceSheet{Say: how.Say, Sheet: how.Sheet, From: from, Invoice: i, Date: a.Desk.DateOf(i), Made: i.Drafted}
	name := strings.ToLower(i.Draft)
	if i.Number != "" {
		sheet.Made, name = i.Issued, i.Number
	}
	kind := "invoice-"
	if i.IsCredit() {
		kind = "credit-note-"
	}
	return a.SendPaper(c, kind+name, func(_ context.Context, w io.Writer) error { return paper.Invoice(w, sheet) })
}

// creditInvoice: POST /api/invoices/{number}/credit drafts a credit note of the whole invoice. Whether it frees the
// panels has to be said: either answer wrongly guessed costs money.
func (a *API) creditInvoice(c *fiber.Ctx) error {
	var body struct {
		Whole  bool   `json:"whole"`
		Frees  *bool  `json:"frees"`
		Reason string `json:"reason"`
		Key    string `json:"key"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Text("reason", body.Reason, true, edge.MaxReason), edge.Key(body.Key)); err != nil {
		return err
	}
	switch {
	case !body.Whole:
		return desk.Refuse("bad_value", "whole", "Value", "false")
	case body.Frees == nil:
		return desk.Refuse("missing_key", "frees")
	}
	i, err := a.InvoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	e, err := a.Desk.Credit(actor, body.Key, i.Draft, *body.Frees, body.Reason)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(a.docOfInvoice(c, e.Invoice)) // as drafted: somebody may have dropped it since
}
