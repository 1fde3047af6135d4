package shelf

import (
	"slices"

	"tablehand/engine/cutting"
)

// place says where a bolt lies.
func (d *deciding) place() *Refusal {
	if blank(d.Place) {
		return missing("place")
	}
	d.e.Place = d.Place
	return short(mostWord, "place", d.Place)
}

// keep sets a bolt aside for an order or a customer. One that somebody else's tickets are to be cut from isn't theirs to keep.
func (d *deciding) keep() *Refusal {
	whose := d.Customer
	if !blank(d.Order) {
		whose = d.around.Customer
	}
	switch {
	case d.b.Kept != nil:
		return d.b.refuse("already_kept", "bolt", "Order", d.b.Kept.Order, "Customer", d.b.Kept.Customer)
	case blank(d.Order) && blank(d.Customer):
		return missing("order")
	case d.b.Owner != "" && d.b.Owner != whose:
		return d.b.refuse("other_customers_cloth", "bolt")
	}
	if r := d.promised(d.Order); r != nil {
		return r
	}
	d.e.Kept = &Kept{Order: d.Order}
	if blank(d.Order) {
		d.e.Kept.Customer = d.Customer
	}
	return short(mostLine, "customer", d.Customer)
}

// promised refuses to take a bolt from tickets that are to be cut from it, but for those of one order.
func (d *deciding) promised(but string) *Refusal {
	var refused *Refusal
	for _, p := range d.around.Promised {
		if p.Order == but && but != "" {
			continue
		}
		if refused == nil {
			refused = d.b.refuse("bolt_promised", "bolt", "Order", p.Order)
			refused.Of = nil
		}
		if !slices.Contains(refused.Of, p.Ticket) {
			refused.Of = append(refused.Of, p.Ticket)
		}
	}
	return refused
}

func (d *deciding) unkeep() *Refusal {
	if d.b.Kept == nil {
		return d.b.refuse("not_kept", "bolt")
	}
	return nil
}

// hold is for cloth whose lot, shade or width is in doubt: nobody may cut it, and what is promised from it stays so.
func (d *deciding) hold() *Refusal {
	return d.holdOrFree("bolt_held", func(b *Bolt) bool { return b.Hold == "" })
}

func (d *deciding) free() *Refusal {
	return d.holdOrFree("bolt_not_held", func(b *Bolt) bool { return b.Hold != "" })
}

// holdOrFree takes those that it is for: the bolt, or all of its lot.
func (d *deciding) holdOrFree(none string, isFor func(*Bolt) bool) *Refusal {
	bolts := []*Bolt{d.b}
	if d.Lot && d.b.Lot != "" {
		bolts = d.Overlay.Bolts()
	}
	for _, b := range bolts {
		if b.Cloth == d.b.Cloth && b.Lot == d.b.Lot && (b.OnHand() || b.Lies == Missing) && isFor(b) {
			d.e.Bolts = append(d.e.Bolts, b.Code)
		}
	}
	switch {
	case len(d.e.Bolts) == 0:
		return d.b.refuse(none, "bolt")
	case d.Action == HoldBolt && blank(d.Reason):
		return missingReason()
	}
	d.e.Reason = d.Reason
	return short(mostLine, "reason", d.Reason)
}

func missingReason() *Refusal { return refuse("reason_missing", "reason") }

// releaseCloth makes a customer's cloth the shop's.
func (d *deciding) releaseCloth() *Refusal {
	switch {
	case d.b.Owner == "":
		return d.b.refuse("not_customers_cloth", "bolt")
	case blank(d.Reason):
		return missingReason()
	}
	d.e.Reason = d.Reason
	return short(mostLine, "reason", d.Reason)
}

// scrap takes away a whole bolt, what lies before a mark at its outer end, or a stretch that came off and that nobody labelled.
func (d *deciding) scrap() *Refusal {
	if r := (shelved | onTable).refuse(d.b); r != nil && len(d.b.Unlabelled()) == 0 {
		return r
	}
	span, r := d.span()
	if r != nil {
		return r
	}
	switch {
	case span == d.b.stretch() && d.b.Lies == OnTable:
		return d.b.refuse("on_table", "bolt")
	case span.From >= d.b.Begin && (shelved|onTable).refuse(d.b) != nil:
		return (shelved | onTable).refuse(d.b)
	case span.To-span.From > d.Ways.ReasonToScrap && blank(d.Reason):
		return missingReason()
	}
	if d.spoken(span) {
		return d.promised("")
	}
	d.e.Reason = d.Reason
	d.becomes(AsScrapped, span, "")
	return short(mostLine, "reason", d.Reason)
}

// spoken reports whether some ticket is to be cut from a stretch.
func (d *deciding) spoken(span cutting.Span) bool {
	return slices.ContainsFunc(d.around.Promised, func(p Promise) bool { return meets(p.Span, span) })
}

// giveBack sends a bolt to where it came from: the supplier, or the customer whose it is.
func (d *deciding) giveBack() *Refusal {
	if r := d.promised(""); r != nil {
		return r
	}
	d.e.Reason = d.Reason
	return short(mostLine, "reason", d.Reason)
}

// lose says that a bolt isn't where it should be. Tickets that are to be cut from it can't be helped.
func (d *deciding) lose() *Refusal {
	d.e.Reason = d.Reason
	return short(mostLine, "reason", d.Reason)
}

func (d *deciding) find() *Refusal {
	d.e.Found, d.e.Place = true, d.Place
	return short(mostWord, "place", d.Place)
}
