package stations

import "tablehand/stations/plan"

// decideScan looks up the ticket and has the action decide what happens to it.
func (o *Overlay) decideScan(c Scan, e *Event) *Refusal {
	t := o.ticket(c.Ticket)
	if t == nil {
		return refuse("unknown_ticket", "ticket", "Ticket", string(c.Ticket))
	}
	e.Actor, e.DeviceAt, e.Person = c.Actor, c.At, c.Person
	e.Ticket, e.Order, e.Action = c.Ticket, t.Order, c.Action
	switch c.Action {
	case Start, Finish, ScanIt:
		return o.decideWork(t, c, e)
	case Undo:
		return o.decideUndo(t, c, e)
	case Hold:
		return decideHold(t, c, e)
	case Resume:
		return decideResume(t, c, e)
	case SendBack:
		return o.decideSendBack(t, c, e)
	case Accept:
		return o.decideAccept(t, c, e)
	case Remake:
		return o.decideRemake(t, c, e)
	case Scrap:
		return o.decideScrap(t, c, e)
	case Lay, Cut, Flaw, Spoil, Rest:
		return o.decideTable(t, c, e)
	}
	return refuse("bad_value", "action", "Name", "action", "Value", string(c.Action))
}

// decideWork is a start, a finish, or a scan that is one of them.
func (o *Overlay) decideWork(t *Ticket, c Scan, e *Event) *Refusal {
	if r := o.notHere(t, c.Station); r != nil {
		return r
	}
	now := t.Current()
	switch {
	case now.State == Held:
		return t.refuse("held", "ticket")
	case now.State == Waiting:
		return t.refuse("not_ready", "ticket")
	case c.Action == Start && now.State == AtWork:
		return t.refuse("at_work", "ticket")
	case c.Action == Finish && now.State == Ready:
		return t.refuse("not_started", "ticket")
	}
	e.Station = now.Spec.Station
	if now.State == Ready {
		return decideStart(t, c, e)
	}
	e.Action = Finish
	return o.decideFinish(t, c, e)
}

// notHere refuses a ticket scanned at a station where it isn't, or that has nothing to do on it.
func (o *Overlay) notHere(t *Ticket, at plan.Station) *Refusal {
	if at == "" {
		return refuse("missing_key", "station", "Name", "station")
	}
	i := t.step(at)
	switch {
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.Spec.IsCut() && at == plan.Cutting:
		return o.cutByFabric(t)
	case t.State() == Finished: // wherever it is scanned: there is no place to take it to
		r := t.refuse("finished", "station")
		r.Args["Asked"] = at
		return r
	case i < 0:
		r := t.refuse("wrong_station", "station")
		r.Args["Asked"] = at
		return r
	case i < t.At:
		r := t.refuse("finished", "station")
		r.Args["Asked"] = at
		return r
	case i > t.At:
		r := t.refuse("not_ready", "station")
		r.Args["Asked"] = at
		if t.isPanel() && t.At == 0 {
			r.Where.Tickets = o.uncut(t, "")
		}
		return r
	}
	return nil
}

// cutByFabric refuses to cut a panel by itself and names the tickets that cut its cloth.
func (o *Overlay) cutByFabric(t *Ticket) *Refusal {
	r := t.refuse("cut_by_fabric", "ticket")
	for _, cut := range o.cutters(t) {
		r.Where.Tickets = append(r.Where.Tickets, cut.Spec.Code)
	}
	return r
}

// uncut returns the cutting tickets of a panel that aren't finished, but for one.
func (o *Overlay) uncut(t *Ticket, but plan.Code) []plan.Code {
	var codes []plan.Code
	for _, cut := range o.cutters(t) {
		if cut.Spec.Code != but && cut.State() != Finished {
			codes = append(codes, cut.Spec.Code)
		}
	}
	return codes
}

func (o *Overlay) decideFinish(t *Ticket, c Scan, e *Event) *Refusal {
	told, uncut, r := o.tellEntries(t, c, e)
	if r != nil {
		return r
	}
	if told != nil {
		o, t = told, told.ticket(t.Spec.Code)
	}
	now := t.Current()
	if now.State == Held { // by what was told with it
		return t.refuse("held", "ticket")
	}
	found, r := judge(now, o.asked(t, t.At), c, t.Spec.Units)
	if len(uncut) > 0 && (r == nil || r.Code == "entries_missing") {
		if r == nil {
			r = refuse("entries_missing", "cut")
		}
		r.Missing = append(uncut, r.Missing...)
	}
	if r != nil {
		r.Where = &Place{Station: t.Station()}
		return r
	}
	e.Measured, e.Checks, e.OutOf = found.measured, found.checks, found.outOf
	if e.Pair = o.differs(t, e.Measured); e.Pair != nil {
		e.Reason = ReasonPair
	}
	if len(e.OutOf) > 0 || e.Pair != nil {
		e.State = Held
		return nil
	}
	e.State = Finished
	e.Next = t.after()
	if !t.isPanel() {
		e.Also = o.madeReady(t)
		return o.cutOffShelf(t, c, e)
	}
	return nil
}

// after returns the station that becomes ready when the current step is finished, "" after the last.
func (t *Ticket) after() plan.Station {
	if t.At+1 < len(t.Steps) {
		return t.Steps[t.At+1].Spec.Station
	}
	return ""
}

// madeReady returns the panels whose last cloth this cutting ticket cuts. A held one stays held, at its next step.
func (o *Overlay) madeReady(cut *Ticket) []Moved {
	var moved []Moved
	for _, p := range o.order(cut.Order).Tickets {
		if !p.isPanel() || p.Cancelled || p.At != 0 || !p.cutFrom(cut) ||
			len(o.uncut(p, cut.Spec.Code)) > 0 {
			continue
		}
		state := Ready
		if p.Steps[0].State == Held {
			state = Held
		}
		moved = append(moved, Moved{Ticket: p.Spec.Code, Station: p.after(), State: state})
	}
	return moved
}

// takenBack returns the panels that wait for this cloth again when its cutting is to be done again: those that
// nobody has begun. A held one stays held, at cutting.
func (o *Overlay) takenBack(cut *Ticket) []Moved {
	var moved []Moved
	for _, p := range o.order(cut.Order).Tickets {
		if !p.isPanel() || p.Cancelled || p.At != 1 || p.Begun() || !p.cutFrom(cut) {
			continue
		}
		state := Waiting
		if p.Steps[1].State == Held {
			state = Held
		}
		moved = append(moved, Moved{Ticket: p.Spec.Code, Station: plan.Cutting, State: state})
	}
	return moved
}

func decideHold(t *Ticket, c Scan, e *Event) *Refusal {
	switch {
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.State() == Finished:
		return t.refuse("finished", "ticket")
	case t.State() == Held:
		return t.refuse("held", "ticket")
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	e.Station, e.State, e.Reason, e.Picture = t.Station(), Held, c.Reason, c.Picture
	return nil
}

// decideResume lifts a hold. One by the cloth is the office's to lift, which says why it goes on.
func decideResume(t *Ticket, c Scan, e *Event) *Refusal {
	switch {
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.State() != Held:
		return t.refuse("not_held", "ticket")
	case t.heldByCloth() && !c.decides():
		return c.notTheirs(t)
	case t.Current().ForOffice && !(t.heldByCloth() && c.Override):
		return t.refuse("needs_decision", "ticket")
	case t.heldByCloth() && blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	e.Station, e.State = t.Station(), t.Current().Before
	if t.heldByCloth() {
		e.State, e.Override, e.Reason = t.Current().freed(), true, c.Reason
		e.Holds = []ClothHold{{Ticket: t.Spec.Code}}
	}
	if e.State == Ready {
		e.Next = e.Station
	}
	return nil
}

// decideAccept has the office take a value that lies outside its tolerance: the step is finished with it, or may begin
// where it was measured before the work.
func (o *Overlay) decideAccept(t *Ticket, c Scan, e *Event) *Refusal {
	switch {
	case !c.decides():
		return c.notTheirs(t)
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.State() != Held:
		return t.refuse("not_held", "ticket")
	case !t.Current().ForOffice, t.heldByCloth():
		return t.refuse("held", "ticket")
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	e.Station, e.Reason = t.Station(), c.Reason
	if t.heldAtStart() {
		e.State = AtWork
		return nil
	}
	e.State, e.Next = Finished, t.after()
	if !t.isPanel() {
		e.Also = o.madeReady(t)
	}
	return nil
}

// decides reports whether who scans may decide what is held for the office: the office, or a lead at a bench.
func (c Scan) decides() bool { return mayDecide(c.Actor) || c.Lead && c.Actor.Role == Bench }

// notTheirs refuses a decision to who may not make it.
func (c Scan) notTheirs(t *Ticket) *Refusal {
	if c.Actor.Role == Bench {
		return t.refuse("lead_only", "person")
	}
	return refuse("forbidden", "")
}

// decideSendBack makes a step that the ticket has reached ready again, and those after it waiting.
func (o *Overlay) decideSendBack(t *Ticket, c Scan, e *Event) *Refusal {
	to := t.step(c.To)
	switch {
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.Invoice != "":
		return t.refuse("already_invoiced", "ticket")
	case t.State() == Waiting:
		return t.refuse("not_ready", "ticket")
	case t.heldByCloth():
		return t.refuse("needs_decision", "ticket")
	case t.Current() != nil && t.Current().ForOffice && !c.decides():
		return c.notTheirs(t)
	case c.To == "":
		return refuse("missing_key", "to", "Name", "to")
	case to < 0:
		r := t.refuse("wrong_station", "to")
		r.Args["Asked"] = c.To
		return r
	case t.isPanel() && c.To == plan.Cutting:
		return o.cutByFabric(t)
	case to > t.At:
		r := t.refuse("not_ready", "to")
		r.Args["Asked"] = c.To
		return r
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	e.Station, e.State, e.Next = c.To, Ready, c.To
	e.To, e.Reason = c.To, c.Reason
	if t.isPanel() {
		e.Also = o.freed(t)
	} else {
		e.Also = o.takenBack(t)
	}
	e.Respec = t.takenUp(*e)
	return nil
}
