package stations

import (
	"slices"
	"strings"
	"time"

	"tablehand/stations/plan"
)

// Decide says what cmd does to the floor as the overlay has it, at now, without doing it. The error is a *Refusal.
// The event has no Seq yet.
func (o *Overlay) Decide(cmd Command, now time.Time) (Event, error) {
	e := Event{At: now.UTC().Truncate(time.Microsecond), Action: cmd.action()}
	refusal := o.decide(cmd, &e)
	if refusal != nil {
		return Event{}, refusal
	}
	return e, nil
}

func (o *Overlay) decide(cmd Command, e *Event) *Refusal {
	switch c := cmd.(type) {
	case Scan:
		return o.decideScan(c, e)
	case TakeOrder:
		return o.decideTake(c, e)
	case ReleaseOrder:
		return o.decideRelease(c, e)
	case ReviseOrder:
		return o.decideRevise(c, e)
	case CancelOrder:
		return o.decideCancel(c, e)
	case SetPriceList:
		e.Actor, e.Prices = c.Actor, &c.Prices
		return nil
	case DraftInvoice:
		return o.decideDraft(c, e)
	case DropInvoice:
		return o.decideDrop(c, e)
	case IssueInvoice:
		return o.decideIssue(c, e)
	case CloseOrder:
		return o.decideClose(c, e)
	case CreditInvoice:
		return o.decideCredit(c, e)
	}
	panic("stations: a command of no known type")
}

func (o *Overlay) decideTake(c TakeOrder, e *Event) *Refusal {
	if o.order(c.Order) != nil {
		return refuse("order_exists", "order", "Order", c.Order)
	}
	e.Actor, e.Order = c.Actor, c.Order
	e.Taken = &TakenOrder{Customer: c.Customer, Due: c.Due, Digest: c.Digest, Fabrics: c.Fabrics, Practice: c.Practice, Bolts: c.Bolts}
	return nil
}

func (o *Overlay) decideRelease(c ReleaseOrder, e *Event) *Refusal {
	order := o.order(c.Order)
	switch {
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case order.State != OrderTaken:
		return refuse("already_released", "order", "Order", c.Order)
	}
	if c.Digest != "" && c.Digest != order.Digest {
		return refuse("busy", "") // revised while its tickets were planned
	}
	if blank(order.Customer) {
		return customerMissing(c.Order)
	}
	short := c.FabricShort || c.LotsMixed
	switch {
	case short && c.Override && !mayDecide(c.Actor):
		return refuse("forbidden", "override")
	case short && c.Override && blank(c.Reason):
		return refuse("reason_missing", "reason")
	case c.FabricShort && !c.Override:
		return refuse("fabric_short", "", "Order", c.Order)
	case c.LotsMixed && !c.Override:
		return refuse("lots_mixed", "", "Order", c.Order)
	}
	shared := o.shared(c.Order, c.Bolts)
	if r := boltShared(c.Actor, c.Override, c.Reason, c.Order, shared); r != nil {
		return r
	}
	for i := range c.Tickets {
		if o.ticket(c.Tickets[i].Code) != nil {
			return refuse("busy", "") // a code drawn twice: the next draw will do
		}
	}
	e.Actor, e.Order, e.Tickets = c.Actor, c.Order, slices.Clone(c.Tickets)
	for i := range e.Tickets {
		t := &e.Tickets[i]
		t.Revision = order.Revision
		t.Yield(o.spokenOf(c.Order, t.Fabric, c.Bolts, names(shared)))
	}
	if short || len(shared) > 0 {
		e.Override, e.Reason, e.Apart = true, c.Reason, names(shared)
	}
	return nil
}

// customerMissing refuses to have an order made for nobody: its finished panels could be billed to no one.
func customerMissing(order string) *Refusal {
	r := refuse("customer_missing", "customer", "Order", order)
	r.Where = &Place{Key: "customer"}
	return r
}

// decideCancel takes an order off the floor as long as no cloth has been cut, or may have been.
func (o *Overlay) decideCancel(c CancelOrder, e *Event) *Refusal {
	order := o.order(c.Order)
	switch {
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	for _, t := range order.Tickets {
		if t.cutInto() {
			r := refuse("already_cut", "", "Order", c.Order, "Fabric", t.Spec.Fabric)
			r.Where = &Place{Station: plan.Cutting, Tickets: []plan.Code{t.Spec.Code}}
			return r
		}
	}
	e.Actor, e.Order, e.Reason = c.Actor, c.Order, c.Reason
	return nil
}

// cutInto reports whether a ticket's cloth has met the shears: its cutting was ever begun and not taken back.
func (t *Ticket) cutInto() bool {
	if t.isPanel() || t.At > 0 {
		return t.At > 0
	}
	s := &t.Steps[0]
	return s.SentBack != nil && !s.SentBack.uncut || s.State == AtWork || s.State == Held && s.Before == AtWork
}

func (o *Overlay) decideDraft(c DraftInvoice, e *Event) *Refusal {
	if len(c.Panels) == 0 {
		return refuse("missing_key", "panels", "Name", "panels")
	}
	if o.invoice(c.Draft) != nil {
		return refuse("busy", "draft") // an id drawn twice: the next draw will do
	}
	i := &Invoice{Draft: c.Draft, Customer: c.Customer, Drafted: e.At}
	seen := map[plan.Code]bool{}
	for _, code := range c.Panels {
		if r := o.billable(code, c.Customer); r != nil {
			return r
		}
		if seen[code] {
			return refuse("duplicate", "panels", "Ticket", string(code))
		}
		seen[code] = true
		i.Lines = append(i.Lines, lineOf(o.ticket(code)))
	}
	i.price(o.prices)
	e.Actor, e.Draft, e.Invoice = c.Actor, c.Draft, i
	return nil
}

// billable refuses a panel that can't go on an invoice of the customer.
func (o *Overlay) billable(code plan.Code, customer string) *Refusal {
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
	case t.Customer != customer:
		r := t.refuse("other_customer", "panels")
		r.Args["Customer"] = t.Customer
		return r
	}
	return nil
}

func (o *Overlay) decideDrop(c DropInvoice, e *Event) *Refusal {
	i := o.invoice(c.Draft)
	switch {
	case i == nil:
		return refuse("not_found", "draft", "Draft", c.Draft)
	case i.Number != "":
		return refuse("already_issued", "draft", "Number", i.Number)
	}
	e.Actor, e.Draft = c.Actor, i.Draft
	return nil
}

func (o *Overlay) decideIssue(c IssueInvoice, e *Event) *Refusal {
	i := o.invoice(c.Draft)
	switch {
	case i == nil:
		return refuse("not_found", "draft", "Draft", c.Draft)
	case i.Number != "":
		return refuse("already_issued", "draft", "Number", i.Number)
	case len(i.Unpriced()) > 0:
		r := refuse("price_missing", "draft", "Draft", c.Draft)
		r.Where = &Place{Tickets: i.Unpriced()}
		return r
	}
	issued := *i
	issued.Number, issued.Issued = o.nextNumber(i), e.At
	issued.Date, issued.From = c.Date, &c.From
	e.Actor, e.Draft, e.Number, e.Invoice = c.Actor, i.Draft, issued.Number, &issued
	return nil
}

// mayDecide reports whether an actor may do what is the office's: accept a value, override a shortage.
func mayDecide(a Actor) bool { return a.Role == Office || a.Role == Program }

func blank(s string) bool { return strings.TrimSpace(s) == "" }
