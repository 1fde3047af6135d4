package stations

import (
	"slices"

	"tablehand/engine/billing"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

func (o *Overlay) decideDraft(c DraftInvoice, e *Event) *Refusal {
	if len(c.Panels) == 0 {
		return refuse("missing_key", "panels", "Name", "panels")
	}
	if o.invoice(c.Draft) != nil {
		return refuse("busy", "draft") // an id drawn twice: the next draw will do
	}
	i := &invoice.Document{Draft: c.Draft, Customer: c.Customer, Drafted: e.At}
	seen := map[plan.Code]bool{}
	for _, code := range c.Panels {
		if r := o.billable(code, c); r != nil {
			return r
		}
		if seen[code] {
			return refuse("duplicate", "panels", "Ticket", string(code))
		}
		seen[code] = true
		i.Lines = append(i.Lines, invoice.LineOf(o.ticket(code).Spec, o.ticket(code).Order, o.ticket(code).Scrapped))
	}
	i.Price(o.prices)
	e.Actor, e.Draft, e.Invoice = c.Actor, c.Draft, i
	return nil
}

// billable refuses a panel that can't go on an invoice of the customer.
func (o *Overlay) billable(code plan.Code, c DraftInvoice) *Refusal {
	t := o.ticket(code)
	switch {
	case t == nil:
		return refuse("unknown_ticket", "panels", "Ticket", string(code))
	case !t.isPanel():
		return t.refuse("not_a_panel", "panels")
	case t.Invoice != "":
		return t.refuse("already_invoiced", "panels")
	case t.Cancelled && !t.Billable():
		return t.refuse("cancelled", "panels")
	case !t.Billable():
		return t.refuse("not_finished", "panels")
	case o.heldFor(t) != nil:
		r := t.refuse(ReasonPair, "panels")
		r.Where = &Place{Station: o.heldFor(t).Station(), Tickets: []plan.Code{o.heldFor(t).Spec.Code}}
		return r
	case t.Customer != c.Customer && !slices.Contains(c.Names, t.Customer):
		r := t.refuse("other_customer", "panels")
		r.Args["Customer"] = t.Customer
		return r
	}
	return nil
}

func (o *Overlay) decideDrop(c DropInvoice, e *Event) *Refusal {
	i, r := o.draft(c.Draft)
	if r != nil {
		return r
	}
	e.Actor, e.Draft = c.Actor, i.Draft
	return nil
}

// decideAmounts takes the amounts of pieces that somebody typed on a draft of an invoice. What is taken back has the price list's
// again.
func (o *Overlay) decideAmounts(c SetAmounts, e *Event) *Refusal {
	was, r := o.draft(c.Draft)
	switch {
	case r != nil:
		return r
	case was.IsCredit():
		return refuse("not_an_invoice", "draft", "Number", was.Draft)
	case was.Currency == "":
		return refuse("price_missing", "draft", "Draft", c.Draft)
	}
	i := *was
	i.Lines = slices.Clone(was.Lines)
	for code, typed := range c.Amounts {
		n := slices.IndexFunc(i.Lines, func(l invoice.Line) bool { return l.Ticket == code && l.Piece != "" })
		if n < 0 {
			return refuse("bad_value", "amounts", "Name", "amounts", "Value", string(code))
		}
		l := &i.Lines[n]
		l.Typed, l.Amount = false, nil
		if blank(typed) {
			continue
		}
		amount, err := billing.ParseAmount(typed, i.Currency)
		if err != nil {
			return refuse("bad_value", "amounts", "Name", "amounts", "Value", typed)
		}
		l.Typed, l.Amount = true, &amount
	}
	i.Price(o.prices)
	e.Actor, e.Draft, e.Invoice = c.Actor, c.Draft, &i
	return nil
}

// draft returns a draft, or why there is none of that id any more.
func (o *Overlay) draft(id string) (*invoice.Document, *Refusal) {
	i := o.invoice(id)
	switch {
	case i == nil:
		return nil, refuse("not_found", "draft", "Draft", id)
	case i.Number != "":
		return nil, refuse("already_issued", "draft", "Number", i.Number)
	}
	return i, nil
}

func (o *Overlay) decideIssue(c IssueInvoice, e *Event) *Refusal {
	i, r := o.draft(c.Draft)
	switch {
	case r != nil:
		return r
	case len(i.Unpriced()) > 0:
		r := refuse("price_missing", "draft", "Draft", c.Draft)
		r.Where = &Place{Tickets: i.Unpriced()}
		return r
	}
	issued := *i
	issued.Number, issued.Issued = i.NumberAfter(o.issued, o.credited), e.At
	issued.Date, issued.From = c.Date, &c.From
	e.Actor, e.Draft, e.Number, e.Invoice = c.Actor, i.Draft, issued.Number, &issued
	return nil
}

// CreditInvoice drafts a credit note of the whole of an issued invoice. Once that is issued too, the invoice's panels
// are ready to invoice again (Frees), to be billed anew or sent back, or stay billed and are never billed again.
type CreditInvoice struct {
	Actor   Actor
	Key     string // as of a scan; "" for none
	Draft   string // made by the caller, unique
	Invoice string // its number
	Frees   bool
	Reason  string
}

func (CreditInvoice) action() Action { return Credit }
func (c CreditInvoice) actor() Actor { return c.Actor }

// decideCredit refuses a document that is no issued invoice, and an invoice that is credited already or has a draft of
// a credit note. What a credit note takes off is what the invoice bills, line by line, whatever the prices are now.
func (o *Overlay) decideCredit(c CreditInvoice, e *Event) *Refusal {
	i := o.invoice(c.Invoice)
	switch {
	case i == nil:
		return refuse("not_found", "invoice", "Invoice", c.Invoice)
	case i.IsCredit():
		return refuse("not_an_invoice", "invoice", "Number", i.Number)
	case i.Number == "":
		return refuse("not_issued", "invoice", "Draft", i.Draft)
	case i.CreditedBy != "":
		return refuse("already_credited", "invoice", "Number", i.Number, "Credit", o.invoice(i.CreditedBy).Number)
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	case o.invoice(c.Draft) != nil:
		return refuse("busy", "draft") // an id drawn twice: the next draw will do
	}
	e.Actor, e.Draft, e.Reason = c.Actor, c.Draft, c.Reason
	e.Invoice = i.CreditNote(c.Draft, c.Frees, c.Reason, e.At)
	return nil
}

// applyCredit keeps a draft of a credit note, which its invoice knows of from then on.
func (o *Overlay) applyCredit(e Event) {
	drafted := *e.Invoice
	drafted.Lines = slices.Clone(drafted.Lines)
	o.invoices[e.Draft] = &drafted
	o.creditedInvoice(&drafted).CreditedBy = e.Draft
}

// creditedInvoice is the invoice that a credit note is about, to be changed.
func (o *Overlay) creditedInvoice(credit *invoice.Document) *invoice.Document {
	return o.ownInvoice(o.invoice(credit.RefersTo).Draft)
}

// applyCreditIssued puts the panels of a freeing credit note back to those that can be invoiced.
func (o *Overlay) applyCreditIssued(credit *invoice.Document, e Event) {
	o.credited++
	if credit.Frees {
		o.creditedInvoice(credit).Freed = true
		o.bill(credit, e, "")
	}
}
