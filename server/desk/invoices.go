package desk

import (
	"context"
	"crypto/rand"
	"slices"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

// Credit drafts a credit note of a whole invoice.
func (d *Desk) Credit(actor stations.Actor, key, invoice string, frees bool, reason string) (stations.Event, error) {
	ctx, cancel := Waiting()
	defer cancel()
	return d.Store.Do(ctx, stations.CreditInvoice{Actor: actor, Key: key, Draft: NewDraft(), Invoice: invoice, Frees: frees, Reason: reason})
}

// InvoiceTotal adds the lines that have an amount; nil while the invoice has no currency.
func InvoiceTotal(i *invoice.Document) *billing.Money {
	if i.Currency == "" {
		return nil
	}
	total := i.Total()
	return &total
}

// PricedHeadings are the headings of the shop's own that a price list may have: those of today, and those that the list has already, since
// orders that were taken with them may be open still.
func (d *Desk) PricedHeadings() []string {
	var own []string
	practice := d.Shop().Practice(measure.In)
	for _, h := range practice.Own {
		own = append(own, string(h.Heading))
	}
	for _, r := range d.Store.Floor().Prices().Rows {
		if r.Heading != "" && orderfile.Heading(r.Heading).Data() == nil && !slices.Contains(own, r.Heading) {
			own = append(own, r.Heading)
		}
	}
	return own
}

// PriceOf is what a price list says of a finished panel or piece, nil where it says nothing.
func PriceOf(prices billing.PriceList, t *plan.Ticket) *billing.Money {
	price, ok := prices.Price(string(t.Heading), string(t.HeadingLike), t.Widths)
	if t.Piece != "" {
		price, ok = prices.Each(string(t.Piece))
	}
	if !ok {
		return nil
	}
	return &price
}

// Issue gives a draft its number, with the day and what the shop says of itself from now on.
func (d *Desk) Issue(actor stations.Actor, key, draft string) (stations.Event, error) {
	ctx, cancel := Waiting()
	defer cancel()
	from, err := d.letterhead(ctx, d.Store.Floor().Invoice(draft))
	if err != nil {
		return stations.Event{}, err
	}
	return d.Store.Do(ctx, stations.IssueInvoice{Actor: actor, Key: key, Draft: draft, Date: d.Today(), From: from})
}

// letterhead is what the shop says of itself, and of an invoice's orders, now; the invoice is nil where there is none.
func (d *Desk) letterhead(ctx context.Context, i *invoice.Document) (invoice.Letterhead, error) {
	from := invoice.Letterhead{Shop: d.Shop().Name, Paper: string(d.Shop().Paper)} // nobody may get an invoice without a sender
	for name, to := range map[store.Setting]*string{store.PostalAddress: &from.Address, store.PaymentTerms: &from.Terms} {
		value, err := d.Store.Setting(ctx, name)
		if err != nil {
			return from, err
		}
		*to = value
	}
	if i == nil {
		return from, nil
	}
	for _, billed := range i.Orders() {
		o := d.Store.Floor().Order(billed.Order)
		if o == nil {
			continue
		}
		mark, err := d.SidemarkOf(o)
		if err != nil {
			return from, err
		}
		if mark.Name == "" || !d.Shows(mark) {
			continue
		}
		if from.Sidemarks == nil {
			from.Sidemarks = map[string]string{}
		}
		from.Sidemarks[o.ID] = mark.Name
	}
	return from, nil
}

// LetterheadOf is what an invoice says of the shop: an issued one what it said then, a draft what it says now, and so
// one that was issued before that was kept.
func (d *Desk) LetterheadOf(i *invoice.Document) (invoice.Letterhead, error) {
	if i.From != nil {
		return *i.From, nil
	}
	ctx, cancel := Waiting()
	defer cancel()
	return d.letterhead(ctx, i)
}

// DateOf is the day of an invoice in the shop's zone: of issue, of a draft that of drafting.
func (d *Desk) DateOf(i *invoice.Document) string {
	switch {
	case i.Number == "":
		return i.Drafted.In(d.Shop().Zone).Format(time.DateOnly)
	case i.Date == "": // issued before it was kept
		return i.Issued.In(d.Shop().Zone).Format(time.DateOnly)
	}
	return i.Date
}

// NewDraft is the id of a new draft of an invoice or a credit note.
func NewDraft() string { return "D-" + rand.Text()[:10] }

// Do sends a command to the store and waits until it is durable.
func (d *Desk) Do(cmd stations.Command) error {
	ctx, cancel := Waiting()
	defer cancel()
	_, err := d.Store.Do(ctx, cmd)
	return err
}
