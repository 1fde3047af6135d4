package shelf

import (
	"cmp"
	"slices"
	"time"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// lay puts a bolt on the table for cutting tickets of one cloth and one customer.
func (d *deciding) lay() *Refusal {
	b := d.b
	switch {
	case len(d.Tickets) == 0:
		return missing("ticket")
	case d.Cloth != "" && d.Joined(d.Cloth) != b.Cloth:
		return b.refuse("wrong_cloth", "bolt", "Wanted", d.Cloth)
	case b.Owner != "" && b.Owner != d.around.Customer:
		return b.refuse("other_customers_cloth", "bolt")
	case b.Kept != nil && b.Kept.Order != "" && b.Kept.Order != d.Order, b.Kept != nil && b.Kept.Customer != "" && b.Kept.Customer != d.around.Customer:
		return b.refuse("already_kept", "bolt", "Order", b.Kept.Order, "Customer", b.Kept.Customer)
	}
	d.e.Tickets = d.Tickets
	return nil
}

// cut takes a cut off. What lies before it comes off with it: flaws, scrap, and what is long enough to keep, which somebody has to
// call a remnant or scrap.
func (d *deciding) cut() *Refusal {
	b := d.b
	from, r := b.Begin, (*Refusal)(nil)
	if !blank(d.From) {
		if from, r = lengthOf("from", d.From, b.Units); r != nil {
			return r
		}
	}
	length, r := lengthOf("length", d.Length, b.Units)
	span := cutting.Span{From: from, To: from + length}
	switch {
	case r != nil:
		return r
	case blank(d.Command.Cut):
		return missing("cut")
	case length == 0:
		return badValue("length", d.Length)
	case !slices.Contains(b.For, d.Ticket):
		return b.refuse("wrong_bolt", "ticket")
	case b.off(d.Ticket, d.Command.Cut) >= 0:
		return b.refuse("cut_already", "cut", "Cut", d.Command.Cut, "From", b.quantity(from), "Length", b.quantity(length))
	case from < b.Begin:
		return b.refuse("off_bolt", "from", "Gone", true, "Length", b.quantity(b.End()))
	case span.To > b.End():
		return b.refuse("too_long", "length", "Cut", d.Command.Cut)
	}
	for i := range b.Flaws {
		if f := &b.Flaws[i]; !d.Seen && f.CutAround(d.Ways.CutAround) && meets(f.Span(), span) {
			return b.refuse("on_flaw", "length")
		}
	}
	d.e.Off = append(d.before(b.Begin, from), d.ofCut(AsCut, span))
	d.beside(span, d.Beside)
	return nil
}

// beside is the width that a cut leaves, where that is wide and long enough to keep.
func (d *deciding) beside(cut cutting.Span, width measure.Length) {
	if width >= d.Ways.MinHalf && width > 0 && cut.To-cut.From >= d.Ways.MinRemnant {
		half := d.ofCut(AsRemnant, cut)
		half.Width = d.b.quantity(width)
		d.e.Halves = append(d.e.Halves, half)
	}
}

func (d *deciding) ofCut(as OffKind, span cutting.Span) Off {
	off := d.off(as, span)
	off.Ticket, off.Cut = d.Ticket, d.Command.Cut
	return off
}

// Made is a cut of a cutting ticket that is finished.
type Made struct {
	Bolt plan.Code
	Cut  string
	Span cutting.Span
	// Beside is the width that it doesn't take, 0 for none.
	Beside measure.Length
}

// CutAll takes the cuts of a ticket off their bolts as they were planned: nobody told of them at the table. A bolt that isn't there as it was
// planned is refused.
func (o *Overlay) CutAll(ticket plan.Code, made []Made, ways Ways, around Around) (Event, *Refusal) {
	e := Event{Action: CutAll}
	slices.SortStableFunc(made, func(a, b Made) int { return cmp.Or(cmp.Compare(a.Bolt, b.Bolt), cmp.Compare(a.Span.From, b.Span.From)) })
	for len(made) > 0 {
		n := slices.IndexFunc(made, func(m Made) bool { return m.Bolt != made[0].Bolt })
		if n < 0 {
			n = len(made)
		}
		d := &deciding{Overlay: o, Command: Command{Action: Cut, Bolt: made[0].Bolt, Ticket: ticket, Ways: ways}, around: around, b: o.Bolt(made[0].Bolt)}
		d.e = Event{Action: Cut, Bolt: d.b.Code}
		if r := d.cutAll(made[:n]); r != nil {
			return Event{}, r
		}
		e.Each, made = append(e.Each, d.e), made[n:]
	}
	return e, nil
}

func (d *deciding) cutAll(made []Made) *Refusal {
	if r := (shelved | onTable | finds).refuse(d.b); r != nil {
		return r
	}
	at := d.b.Begin
	for _, m := range made {
		d.Command.Cut = m.Cut
		switch {
		case m.Span.From < at:
			return d.b.refuse("off_bolt", "from", "Gone", true, "Length", d.b.quantity(d.b.End()))
		case m.Span.To > d.b.End():
			return d.b.refuse("too_long", "length", "Cut", m.Cut)
		}
		d.e.Off = append(append(d.e.Off, d.before(at, m.Span.From)...), d.ofCut(AsCut, m.Span))
		d.beside(m.Span, m.Beside)
		at = m.Span.To
	}
	return nil
}

// before is what comes off with a cut that begins at a mark, from where the cloth begins; the kerf beside cuts is scrapped with it.
func (d *deciding) before(at, from measure.Length) (list []Off) {
	var flaws []cutting.Span
	for i := range d.b.Flaws {
		if f := &d.b.Flaws[i]; f.CutAround(d.Ways.CutAround) {
			flaws = append(flaws, f.Span())
		}
	}
	comesOff := func(as OffKind, to measure.Length) {
		if to > at {
			list = append(list, d.off(as, cutting.Span{From: at, To: to}))
			at = to
		}
	}
	begin := at
	for _, s := range Besides(cutting.Span{From: at, To: from}, flaws) {
		comesOff(AsFlaw, s.From)
		kept := s
		if s.From == begin && d.cutAt(begin) {
			kept.From += d.Ways.Kerf
		}
		if s.To == from {
			kept.To -= d.Ways.Kerf
		}
		if kept.To-kept.From >= d.Ways.MinRemnant {
			comesOff(AsScrapped, kept.From)
			comesOff(AsRemnant, kept.To)
		}
		comesOff(AsScrapped, s.To)
	}
	comesOff(AsFlaw, from)
	return list
}

// cutAt reports whether a cut ends at a mark: one that was made before, or comes off with the same event.
func (d *deciding) cutAt(mark measure.Length) bool {
	cut := func(f Off) bool { return f.Ticket != "" && f.To.Length() == mark }
	return slices.ContainsFunc(d.b.Off, cut) || slices.ContainsFunc(d.e.Off, cut)
}

func (d *deciding) off(as OffKind, s cutting.Span) Off {
	return Off{As: as, From: d.b.quantity(s.From), To: d.b.quantity(s.To)}
}

// flaw is one that is found on the table, in what isn't cut yet.
func (d *deciding) flaw() *Refusal {
	if len(d.Flaws) != 1 {
		return missing("from")
	}
	from := measure.Length(0)
	if !blank(d.After) {
		i := slices.IndexFunc(d.b.Off, func(f Off) bool { return f.As == AsCut && f.Cut == d.After && (d.Ticket == "" || f.Ticket == d.Ticket) })
		if i < 0 {
			return badValue("after", d.After)
		}
		from = d.b.Off[i].Span().To
	}
	f, r := d.told(&d.Flaws[0], from, AtTable, d.b.End())
	d.e.Flaws = []Flaw{f}
	return r
}

// spoil says that a cut is no good and is to be made again: it is scrap, or a remnant.
//
// One that wasn't told as cut, since it came out too short, comes off as what it is.
func (d *deciding) spoil() *Refusal {
	i := d.b.off(d.Ticket, d.Command.Cut)
	switch {
	case i < 0 && !blank(d.Length) && !blank(d.Reason):
		if r := cmp.Or((shelved | onTable).refuse(d.b), d.cut()); r != nil {
			return r
		}
		d.e.Off[len(d.e.Off)-1].As, d.e.Reason = AsSpoilt, d.Reason
		return short(mostLine, "reason", d.Reason)
	case i < 0:
		return d.b.refuse("not_cut", "cut", "Cut", d.Command.Cut)
	case blank(d.Reason):
		return missingReason()
	}
	off := d.b.Off[i]
	off.As, off.At = AsSpoilt, time.Time{}
	if d.Command.Keep {
		if d.used(d.Command.New, d.around) {
			return refuse("busy", "")
		}
		off.As, off.Bolt = AsRemnant, d.Command.New
		d.e.New, d.e.Place = d.Command.New, d.Place
		d.withHalf(&off)
	}
	d.e.Off, d.e.Reason = []Off{off}, d.Reason
	return cmp.Or(short(mostLine, "reason", d.Reason), short(mostWord, "place", d.Place))
}

// withHalf has a spoilt cut that is kept be as wide as it is: with the half beside it, as long as nobody has said what becomes of that.
func (d *deciding) withHalf(spoilt *Off) {
	i := d.b.half(spoilt.Span())
	if i < 0 {
		return
	}
	half := d.b.Halves[i]
	if half.As == AsRemnant && half.Bolt == "" {
		half.As = AsSpoilt
		d.e.Halves = []Off{half}
		return
	}
	spoilt.Width = half.Width
}

// part gives a stretch a label of its own: one that comes off the outer end, or that came off before.
func (d *deciding) part() *Refusal {
	if r := (onTable | unheld).refuse(d.b); r != nil && len(d.b.Unlabelled()) == 0 {
		return r
	}
	span, r := d.span()
	switch {
	case r != nil:
		return r
	case span == d.b.stretch():
		return d.b.refuse("too_long", "to", "Cut", "")
	case span.From >= d.b.Begin && (onTable|unheld).refuse(d.b) != nil: // what came off before is called a remnant at any time
		return (onTable | unheld).refuse(d.b)
	case d.spoken(span):
		return d.promised("")
	case d.used(d.Command.New, d.around):
		return refuse("busy", "")
	}
	d.becomes(AsRemnant, span, d.Command.New)
	d.e.New, d.e.Place = d.Command.New, d.Place
	return short(mostWord, "place", d.Place)
}

// becomes says what a stretch is now, or the half of the width that a cut left there.
func (d *deciding) becomes(as OffKind, s cutting.Span, label plan.Code) {
	if i := d.b.half(s); i >= 0 {
		half := d.b.Halves[i]
		half.As, half.Bolt, half.At = as, label, time.Time{}
		d.e.Halves = []Off{half}
		return
	}
	off := d.off(as, s)
	off.Bolt = label
	d.e.Off = []Off{off}
}

// span reads a stretch that may come off: none said is all there is.
func (d *deciding) span() (s cutting.Span, r *Refusal) {
	s = cutting.Span{From: d.b.Begin, To: d.b.End()}
	if !blank(d.From) {
		if s.From, r = lengthOf("from", d.From, d.b.Units); r != nil {
			return s, r
		}
	}
	if !blank(d.To) {
		if s.To, r = lengthOf("to", d.To, d.b.Units); r != nil {
			return s, r
		}
	}
	if s.To <= s.From {
		return s, badValue("to", d.To)
	}
	for _, f := range d.b.Unlabelled() {
		if whole := f.Span(); s == whole || f.Width.IsZero() && whole.From <= s.From && s.To <= whole.To {
			return s, nil
		}
	}
	switch {
	case s.From != d.b.Begin:
		return s, d.b.refuse("off_bolt", "from", "Gone", true, "Length", d.b.quantity(d.b.End()))
	case s.To > d.b.End():
		return s, d.b.refuse("off_bolt", "to", "Length", d.b.quantity(d.b.End()))
	}
	return s, nil
}

// rest is what is left, measured; the bolt leaves the table. What differs much is measured once more.
func (d *deciding) rest() *Refusal {
	rest, r := lengthOf("length", d.Length, d.b.Units)
	if r != nil {
		return r
	}
	off := (d.b.Rest - rest).Abs()
	if !d.Again && off > d.Ways.RestLength && off > d.Ways.RestPercent.Of(d.b.Rest) {
		return d.b.refuse("rest_differs", "length", "Reckoned", d.b.quantity(d.b.Rest), "Given", d.b.quantity(rest))
	}
	d.measured(rest)
	d.e.Place = d.Place
	return short(mostWord, "place", d.Place)
}

// undoWithin is how long a cut, a flaw, a place, a keep and a lay may be taken back, by the server's clock: as a scan.
const undoWithin = 5 * time.Minute

// undo takes back what the device has just done with the bolt, if nothing followed.
func (d *deciding) undo() *Refusal {
	switch last := d.b.last; {
	case last == nil:
		return d.b.refuse("undo_overtaken", "bolt")
	case last.device != d.around.Device:
		return d.b.refuse("undo_not_yours", "bolt")
	case d.around.At.Sub(last.at) > undoWithin:
		return d.b.refuse("undo_late", "bolt")
	}
	return nil
}
