package stations

import (
	"cmp"
	"slices"

	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

// Apply does what an event says. The events of a ledger, applied in their order to an empty floor, give the floor
// that their commands gave.
func (o *Overlay) Apply(e Event) {
	o.seq = e.Seq
	for _, told := range e.Told {
		told.Seq, told.At = e.Seq, e.At
		o.Apply(told)
	}
	if e.Shelf != nil {
		o.applyShelf(e)
		if e.Ticket == "" && e.Action != Merge {
			return
		}
	}
	switch e.Action {
	case Take:
		o.orders[e.Order] = &Order{
			ID: e.Order, Customer: e.Taken.Customer, Due: e.Taken.Due, State: OrderTaken, Revision: 1,
			Digest: e.Taken.Digest, Taken: e.At, Practice: e.Taken.Practice, Bolts: e.Taken.Bolts,
		}
	case Release:
		o.applyRelease(e)
	case Revise:
		o.applyRevise(e)
	case Cancel:
		order := o.ownOrder(e.Order)
		order.State = OrderCancelled
		for _, t := range order.Tickets {
			o.touch(t.Spec.Code, e.At).Cancelled = true
		}
		o.shelf.EndKeep(e.Order, e.Seq)
	case Receive:
		o.applyReceive(e)
	case Unreceive:
		o.applyUnreceive(e)
	case SetPrices:
		o.prices = *e.Prices
		for _, draft := range o.drafts() {
			o.ownInvoice(draft).Price(o.prices)
		}
	case Draft:
		drafted := *e.Invoice
		drafted.Lines = slices.Clone(drafted.Lines)
		o.invoices[e.Draft] = &drafted
		o.bill(&drafted, e, e.Draft)
	case Amounts:
		priced := *e.Invoice
		priced.Lines = slices.Clone(priced.Lines)
		o.invoices[e.Draft] = &priced
	case DropDraft:
		dropped := o.invoice(e.Draft)
		o.invoices[e.Draft] = nil
		if dropped.IsCredit() {
			o.creditedInvoice(dropped).CreditedBy = ""
			break
		}
		o.bill(dropped, e, "")
	case Issue:
		issued := *e.Invoice
		issued.Lines = slices.Clone(issued.Lines)
		o.invoices[e.Draft] = &issued
		o.numbers[e.Number] = e.Draft
		if issued.IsCredit() {
			o.applyCreditIssued(&issued, e)
			break
		}
		o.issued++
		o.bill(&issued, e, e.Draft)
	case Credit:
		o.applyCredit(e)
	case Close:
		o.applyEnded(e)
		o.settle(e.Order)
	case Link:
		o.applyLink(e)
	case Merge:
		o.applyMerge(e)
	case Join:
		o.applyJoin(e)
	default:
		o.applyScan(e)
	}
}

// applyReceive takes in a piece, or the picture of one that is there.
func (o *Overlay) applyReceive(e Event) {
	order := o.ownOrder(e.Order)
	order.Received = slices.Clone(order.Received) // the floor before shares it
	for i := range order.Received {
		if order.Received[i].Ticket == e.Ticket {
			order.Received[i].Picture = e.Picture
			return
		}
	}
	order.Received = append(order.Received, Receipt{*e.Received, e.Ticket, e.At, cmp.Or(e.Person, e.Actor.Name), e.Picture})
}

// applyUnreceive leaves the receipt out; of none there is nil, as of an order that never had one.
func (o *Overlay) applyUnreceive(e Event) {
	order := o.ownOrder(e.Order)
	var left []Receipt
	for _, r := range order.Received {
		if r.Ticket != e.Ticket {
			left = append(left, r)
		}
	}
	order.Received = left
}

func (o *Overlay) applyRelease(e Event) {
	order := o.ownOrder(e.Order)
	order.State, order.Asked, order.Layout = OrderReleased, e.Asked, e.Layout
	order.Apart = union(order.Apart, e.Apart)
	o.add(order, named(e.Tickets), e)
	o.shelf.EndKeep(e.Order, e.Seq)
	o.settle(e.Order)
}

// add puts new tickets on an order: cutting tickets behind those that cut already, a panel behind the others of its
// window, one of a new window at the end.
func (o *Overlay) add(order *Order, specs []plan.Ticket, e Event) {
	first := len(order.Tickets) == 0 // a release's stand in their order already
	for i := range specs {
		t := newTicket(&specs[i], order, len(order.Tickets), e.At)
		o.tickets[t.Spec.Code] = t
		if first {
			order.Tickets = append(order.Tickets, t)
		} else {
			order.Tickets = slices.Insert(order.Tickets, order.behind(t.Spec), t)
		}
	}
	for i, t := range order.Tickets {
		if t.place != i {
			order.Tickets[i] = o.moved(t, i)
		}
	}
	o.assignCloth(order)
}

// behind returns where a new ticket stands among the order's.
func (o *Order) behind(s *plan.Ticket) int {
	for i := len(o.Tickets); i > 0; i-- {
		was := o.Tickets[i-1].Spec
		if was.Kind == s.Kind && (s.Kind == plan.CuttingTicket || was.Window == s.Window && was.Room == s.Room) {
			return i
		}
	}
	return len(o.Tickets)
}

// moved gives a ticket another place in its order.
func (o *Overlay) moved(t *Ticket, place int) *Ticket {
	own := o.tickets[t.Spec.Code]
	if own == nil {
		own = t.copy()
		o.tickets[t.Spec.Code] = own
	}
	own.place = place
	return own
}

// bill puts the panels of an invoice on it, or takes them off with "".
func (o *Overlay) bill(i *invoice.Document, e Event, on string) {
	for _, l := range i.Lines {
		o.touch(l.Ticket, e.At).Invoice = on
	}
	for _, l := range i.Lines {
		o.settle(l.Order)
	}
}

// applyScan is a change of one ticket, and of the panels that it moves beside.
func (o *Overlay) applyScan(e Event) {
	taken := o.ticket(e.Ticket).last
	t := o.touch(e.Ticket, e.At)
	step := &t.Steps[min(t.At, len(t.Steps)-1)]
	switch e.Action {
	case Start:
		t.last = t.moveOf(e)
		t.last.revision = o.order(t.Order).Revision
		step.start(e)
	case Finish:
		t.last = t.moveOf(e)
		if !t.isPanel() {
			t.last.ahead, t.last.shelf = o.pastCutting(t), o.boltsIn(e)
			if len(e.Lines) > 0 {
				t.last.lines = o.tableNow(e)
				o.relaid(e)
				for i := range t.last.lines {
					t.last.lines[i].changes = o.ticket(t.last.lines[i].code).changes
				}
				step = t.Current()
			}
		}
		step.Measured, step.Checks, step.OutOf, step.Pair, step.Ended = e.Measured, e.Checks, e.OutOf, e.Pair, e.At
		if e.Person != "" {
			step.Person = e.Person
		}
		if e.State == Held {
			step.hold(e.Reason, "")
			step.ForOffice = true
			break
		}
		t.finishStep()
	case Accept:
		step.resume()
		if e.State == AtWork { // of what was measured before the work
			step.State, step.Started = AtWork, e.At
			break
		}
		step.Reason, step.Ended = e.Reason, e.At
		t.finishStep()
	case Hold:
		step.hold(e.Reason, e.Picture)
	case Resume:
		if step.Cloth == nil { // else its holds say so
			step.resume()
		}
	case SendBack:
		t.sendBack(e)
		if e.Respec != nil {
			t.respec(e.Respec)
		}
	case Remake:
		o.applyRemake(t, e)
	case Scrap:
		o.applyEnded(e)
	case Undo:
		if taken.table != nil {
			o.untell(taken, e)
		} else {
			t.takeBack(taken)
			o.relaid(e)
		}
	case Lay, Cut, Flaw, Spoil, Rest:
		o.applyTable(t, e)
		o.settle(t.Order)
		return
	}
	for _, m := range e.Also {
		switch {
		case o.ticket(m.Ticket).heldForPair():
			o.applyFreed(m, e)
		case e.Action != Remake: // whose are the new tickets, as they begin
			o.applyCloth(m, e)
		}
	}
	o.applyHolds(e)
	o.settle(t.Order)
}

func (t *Ticket) moveOf(e Event) *move {
	return &move{action: e.Action, device: e.Actor.Device, at: e.At, step: t.At, before: t.Steps[t.At]}
}

// finishStep ends the current step and makes the next one ready.
func (t *Ticket) finishStep() {
	t.Steps[t.At].State = Finished
	t.At++
	if t.At < len(t.Steps) {
		t.Steps[t.At].State = Ready
	}
}

// start begins a step, with what was measured before; where that held it, it is not begun.
func (s *StepNow) start(e Event) {
	s.Person = e.Person
	if e.Measured != nil {
		s.Measured, s.OutOf = e.Measured, e.OutOf
	}
	if e.State == Held {
		s.hold("", "")
		s.ForOffice = true
		return
	}
	s.State, s.Started = AtWork, e.At
}

func (s *StepNow) hold(reason, picture string) {
	s.Before, s.State, s.Reason, s.Picture = s.State, Held, reason, picture
}

func (s *StepNow) resume() {
	s.State, s.Before, s.Reason, s.Picture, s.ForOffice = s.Before, "", "", "", false
}

// sendBack makes a step ready again; it and those after it forget what was found.
func (t *Ticket) sendBack(e Event) {
	from, uncut := t.Station(), !t.isPanel() && !t.cutInto()
	t.At = t.step(e.To)
	for i := t.At; i < len(t.Steps); i++ {
		t.Steps[i] = StepNow{Spec: t.Steps[i].Spec, State: Waiting}
	}
	t.Steps[t.At].State = Ready
	t.Steps[t.At].SentBack = &SentBack{From: from, Reason: e.Reason, uncut: uncut}
}

// takeBack undoes a start or a finish. What was entered is kept, for the person who finished too early.
func (t *Ticket) takeBack(m *move) {
	ended := t.Steps[m.step]
	if t.At > m.step && t.At < len(t.Steps) {
		t.Steps[t.At].State = Waiting
	}
	t.At = m.step
	spec := t.Steps[m.step].Spec
	t.Steps[m.step] = m.before
	t.Steps[m.step].Spec = spec
	if m.action == Finish {
		t.Steps[m.step].Measured, t.Steps[m.step].Checks = ended.Measured, ended.Checks
	}
}

// applyCloth moves a panel that waited for its cloth to its next step, or back to waiting for it. A hold stays.
func (o *Overlay) applyCloth(m Moved, e Event) {
	if t := o.ticket(m.Ticket); !t.isPanel() {
		if m.State == Ready && t.heldAtStart() {
			o.touch(m.Ticket, e.At).Current().letStart()
		}
		return // what else holds it says what becomes of it
	}
	p := o.touch(m.Ticket, e.At)
	held := m.State == Held
	if !p.Spec.IsCut() { // its way begins elsewhere than before
		first := &p.Steps[0]
		reason, picture := first.Reason, first.Picture
		p.At, *first = 0, StepNow{Spec: first.Spec, State: Ready}
		if held {
			first.hold(reason, picture)
		}
		return
	}
	cutting, next := &p.Steps[0], &p.Steps[1]
	if m.Station == plan.Cutting {
		reason, picture := next.Reason, next.Picture
		p.At = 0
		*next = StepNow{Spec: next.Spec, State: Waiting}
		*cutting = StepNow{Spec: cutting.Spec, State: Waiting}
		if held {
			cutting.hold(reason, picture)
		}
		return
	}
	reason, picture := cmp.Or(cutting.Reason, next.Reason), cmp.Or(cutting.Picture, next.Picture)
	p.At = 1
	*cutting = StepNow{Spec: cutting.Spec, State: Finished, Ended: e.At}
	next.State = Ready
	if held {
		next.hold(reason, picture)
	}
	p.cutAt = p.changes
}
