package stations

import (
	"cmp"
	"slices"
	"strconv"
)

// DocumentKind tells the documents of billing apart. Its values are those of the ledger's events and of the documents
// that programs read.
type DocumentKind string

const (
	InvoiceDocument DocumentKind = "invoice"
	CreditNote      DocumentKind = "credit_note"
)

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

// creditSeries begins the numbers of credit notes, which are counted by themselves: CN-1, CN-2, ... An invoice's number
// has no letters, so that either leads to its document alone.
const creditSeries = "CN-"

// IsCredit reports whether the document is a credit note: its amounts are what it takes off an invoice.
func (i *Invoice) IsCredit() bool { return i.Kind == CreditNote }

// Name is a document's number, the id of a draft.
func (i *Invoice) Name() string { return cmp.Or(i.Number, i.Draft) }

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
	e.Invoice = &Invoice{
		Draft: c.Draft, Kind: CreditNote, RefersTo: i.Number, Frees: c.Frees, Reason: c.Reason,
		Customer: i.Customer, Currency: i.Currency, Lines: slices.Clone(i.Lines), Drafted: e.At,
	}
	return nil
}

// nextNumber is the number that a document gets when it is issued.
func (o *Overlay) nextNumber(i *Invoice) string {
	if i.IsCredit() {
		return creditSeries + strconv.Itoa(o.credited+1)
	}
	return strconv.Itoa(o.issued + 1)
}

// applyCredit keeps a draft of a credit note, which its invoice knows of from then on.
func (o *Overlay) applyCredit(e Event) {
	drafted := *e.Invoice
	drafted.Lines = slices.Clone(drafted.Lines)
	o.invoices[e.Draft] = &drafted
	o.creditedInvoice(&drafted).CreditedBy = e.Draft
}

// creditedInvoice is the invoice that a credit note is about, to be changed.
func (o *Overlay) creditedInvoice(credit *Invoice) *Invoice {
	return o.ownInvoice(o.invoice(credit.RefersTo).Draft)
}

// applyCreditIssued puts the panels of a freeing credit note back to those that can be invoiced.
func (o *Overlay) applyCreditIssued(credit *Invoice, e Event) {
	o.credited++
	if credit.Frees {
		o.creditedInvoice(credit).Freed = true
		o.bill(credit, e, "")
	}
}
