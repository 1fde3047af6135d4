package stations

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"tablehand/stations/plan"
)

// Decide says what cmd does to the floor as the overlay has it, at now, without doing it. The error is a *Refusal.
// The event has no Seq yet.
func (o *Overlay) Decide(cmd Command, now time.Time) (Event, error) {
	e := Event{At: stamp(now), Action: cmd.action()}
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
	case ReceivePiece:
		return o.decideReceive(c, e)
	case UnreceivePiece:
		return o.decideUnreceive(c, e)
	case SetPriceList:
		e.Actor, e.Prices = c.Actor, &c.Prices
		return nil
	case DraftInvoice:
		return o.decideDraft(c, e)
	case SetAmounts:
		return o.decideAmounts(c, e)
	case DropInvoice:
		return o.decideDrop(c, e)
	case IssueInvoice:
		return o.decideIssue(c, e)
	case CloseOrder:
		return o.decideClose(c, e)
	case CreditInvoice:
		return o.decideCredit(c, e)
	case Handle:
		return o.decideHandle(c, e)
	case ReceiveBolts:
		return o.decideReceiveBolts(c, e)
	case LinkCloth:
		return o.decideLink(c, e)
	case MergeCloth:
		return o.decideMerge(c, e)
	case JoinCuts:
		return o.decideJoin(c, e)
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
	if c.Digest != "" && c.Digest != order.Digest || order.broughtUp(c.Revision) {
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
		return c.Lack.on(refuse("fabric_short", "", "Order", c.Order))
	case c.LotsMixed && !c.Override:
		return c.Lack.on(refuse("lots_mixed", "", "Order", c.Order))
	}
	shared := o.shared(c.Order, c.Bolts)
	if r := boltShared(c.Actor, c.Override, c.Reason, c.Order, shared); r != nil {
		return r
	}
	for i := range c.Tickets {
		if o.used(c.Tickets[i].Code) {
			return refuse("busy", "") // a code drawn twice: the next draw will do
		}
	}
	if !o.standing(order, c.Tickets, c.Ways) {
		return refuse("busy", "") // what was free when it was planned isn't any more
	}
	e.Actor, e.Order, e.Tickets = c.Actor, c.Order, order.tagged(c.Tickets)
	for i := range e.Tickets {
		t := &e.Tickets[i]
		t.Revision = order.Revision
		if t.Kind == plan.CuttingTicket {
			t.Yield(o.spokenOf(c.Order, t.Fabric, c.Bolts, names(shared)))
		}
	}
	e.Asked, e.Layout = c.Measuring, c.Layout.Way()
	e.Asked.Set(e.Tickets)
	if short || len(shared) > 0 {
		e.Override, e.Reason, e.Apart = true, c.Reason, names(shared)
	}
	return nil
}

// tagged returns new tickets in which those of pieces that came in before have the codes that are on their tags.
func (o *Order) tagged(tickets []plan.Ticket) []plan.Ticket {
	tickets = slices.Clone(tickets)
	called := map[string]int{}
	for i := range tickets {
		if tickets[i].Kind != plan.PieceTicket {
			continue
		}
		called[tickets[i].Window]++
		if r := o.ReceiptFor(ReceivedPiece{tickets[i].Window, called[tickets[i].Window]}); r != nil {
			plan.Recode(tickets, tickets[i].Code, r.Ticket)
		}
	}
	return tickets
}

// decideReceive takes in a customer's own piece. Until the release its tag's code is its receipt's, which its ticket gets then.
func (o *Overlay) decideReceive(c ReceivePiece, e *Event) *Refusal {
	order := o.order(c.Order)
	if order == nil {
		return refuse("not_found", "order", "Order", c.Order)
	}
	if order.State == OrderCancelled {
		return refuse("cancelled", "order", "Order", c.Order)
	}
	piece := ReceivedPiece{c.Text, c.Copy}
	var was *Receipt
	if order.State == OrderTaken {
		if c.Digest != order.Digest {
			return refuse("busy", "") // revised since the piece was looked up
		}
		was = order.ReceiptFor(piece)
	} else {
		t := o.ticket(c.Ticket)
		if t == nil || t.Order != c.Order || t.Spec.Kind != plan.PieceTicket {
			return refuse("not_found", "piece", "Order", c.Order)
		}
		was = order.ReceiptOf(c.Ticket)
	}
	switch {
	case was != nil && (c.Picture == "" || c.Picture == was.Picture):
		return refuse("already_received", "piece", "Order", c.Order, "Piece", c.Text)
	case was != nil:
		c.Ticket = was.Ticket
	case order.State == OrderTaken && o.used(c.Ticket):
		return refuse("busy", "") // a code drawn twice: the next draw will do
	}
	e.Actor, e.Order, e.Ticket, e.Person, e.Picture, e.Received = c.Actor, c.Order, c.Ticket, c.Person, c.Picture, &piece
	return nil
}

// decideUnreceive takes back that a piece has come in. One that somebody has worked on was there.
func (o *Overlay) decideUnreceive(c UnreceivePiece, e *Event) *Refusal {
	order := o.order(c.Order)
	switch {
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	piece := ReceivedPiece{c.Text, c.Copy}
	was := order.ReceiptFor(piece)
	if order.State != OrderTaken {
		t := o.ticket(c.Ticket)
		if t == nil || t.Order != c.Order {
			return refuse("not_found", "piece", "Order", c.Order)
		}
		if was = order.ReceiptOf(c.Ticket); was != nil && order.Worked(c.Ticket) {
			r := t.refuse("already_begun", "piece")
			r.Args["Piece"] = c.Text
			return r
		}
	}
	if was == nil {
		return refuse("not_received", "piece", "Order", c.Order, "Piece", c.Text)
	}
	e.Actor, e.Order, e.Ticket, e.Person, e.Reason, e.Received = c.Actor, c.Order, was.Ticket, c.Person, c.Reason, &piece
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
			r := refuse("already_cut", "", "Order", c.Order, "Fabric", cmp.Or(t.Spec.Fabric, t.Spec.Window))
			r.Where = &Place{Station: t.Steps[0].Spec.Station, Tickets: []plan.Code{t.Spec.Code}}
			return r
		}
	}
	e.Actor, e.Order, e.Reason = c.Actor, c.Order, c.Reason
	return nil
}

// cutInto reports whether a ticket's cloth has met the shears: its cutting was ever begun and not taken back.
func (t *Ticket) cutInto() bool {
	switch {
	case t.isPanel() && !t.Spec.IsCut():
		return t.Begun() // there are no shears: its work counts
	case t.isPanel() || t.At > 0:
		return t.At > 0
	}
	s := &t.Steps[0]
	return s.SentBack != nil && !s.SentBack.uncut || s.State == AtWork || s.State == Held && s.Before == AtWork
}

// mayDecide reports whether an actor may do what is the office's: accept a value, override a shortage.
func mayDecide(a Actor) bool { return a.Role == Office || a.Role == Program }

func blank(s string) bool { return strings.TrimSpace(s) == "" }

// undoWithin is how long a start or finish may be taken back, by the server's clock.
const undoWithin = 5 * time.Minute

// decideUndo takes back the ticket's last start or finish, by the same device and soon, if nothing has happened
// since to the ticket or to a step that it made ready. The undo itself is such a happening: it isn't taken back.
func (o *Overlay) decideUndo(t *Ticket, c Scan, e *Event) *Refusal {
	switch {
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.last == nil || !t.isPanel() && t.last.action != Finish && t.last.revision != o.order(t.Order).Revision:
		return t.refuse("undo_overtaken", "ticket")
	case t.last.device != c.Actor.Device:
		return t.refuse("undo_not_yours", "ticket")
	case e.At.Sub(t.last.at) > undoWithin:
		return t.refuse("undo_late", "ticket")
	}
	e.Station = t.Steps[t.last.step].Spec.Station
	if t.last.table != nil {
		return o.decideUntell(t, e)
	}
	if t.last.action == Start {
		if !t.isPanel() && !o.hasRoom(t, c.Ways) {
			return t.refuse("undo_overtaken", "ticket") // it was told of their bolts since, and laid around these cuts
		}
		e.State, e.Next = Ready, e.Station
		return nil
	}
	e.State = AtWork
	if t.isPanel() {
		e.Also = o.freed(t)
		return nil
	}
	if t.State() == Held { // a finish that became a hold moved nobody
		return nil
	}
	if r := cmp.Or(o.linesBack(t, t.last.lines, e), o.takeBackShelf(t, e)); r != nil {
		return r
	}
	e.Also = o.takenBack(t)
	return o.movedOn(t, e.Also)
}

// movedOn refuses to take back a cutting when one of the panels that its cloth went to has had anything done to it
// since all its cloth was cut. Those that were ahead of this cutting don't count.
func (o *Overlay) movedOn(cut *Ticket, still []Moved) *Refusal {
	untouched := map[plan.Code]bool{}
	for _, m := range still {
		p := o.ticket(m.Ticket)
		untouched[m.Ticket] = p.changes == p.cutAt
	}
	for _, code := range o.pastCutting(cut) {
		if !untouched[code] && !slices.Contains(cut.last.ahead, code) {
			r := cut.refuse("undo_overtaken", "ticket")
			r.Where = &Place{Station: o.ticket(code).Station(), Tickets: []plan.Code{code}}
			return r
		}
	}
	return nil
}

// pastCutting returns the panels of a fabric that have all their cloth.
func (o *Overlay) pastCutting(cut *Ticket) []plan.Code {
	var codes []plan.Code
	for _, p := range o.order(cut.Order).Tickets {
		if p.isPanel() && p.cutFrom(cut) && p.At > 0 {
			codes = append(codes, p.Spec.Code)
		}
	}
	return codes
}
