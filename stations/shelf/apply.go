package shelf

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"tablehand/engine/cutting"
	"tablehand/stations/plan"
)

// Apply does what an event says.
func (o *Overlay) Apply(e Event, around Around) {
	switch e.Action {
	case Receive:
		for i := range e.Came {
			o.came(&e.Came[i], around)
		}
	case HoldBolt, FreeBolt:
		for _, code := range e.Bolts {
			o.own(code, around.Seq).Hold = map[Action]string{HoldBolt: e.Reason}[e.Action]
		}
	case MergeCloth:
		o.merged(e, around.Seq)
	case BeginCount:
		o.counts[e.Count], o.open = &Count{ID: e.Count, Place: e.Place, Begun: around.At}, e.Count
	case EndCount:
		c := o.ownCount(e.Count)
		c.Ended, c.Lines, o.open = around.At, e.Lines, ""
	case Settle:
		o.settled(e, around)
	case Undo:
		for _, one := range e.Each {
			o.takeBack(one, around.Seq)
		}
		if e.Bolt != "" {
			o.takeBack(e, around.Seq)
		}
	case CutAll:
		for _, one := range e.Each {
			o.handled(one, around)
		}
	default:
		o.handled(e, around)
	}
}

// came puts a bolt that came in on the shelf.
func (o *Overlay) came(c *Came, around Around) {
	b := &Bolt{
		Code: c.Bolt, Cloth: c.Cloth, Lot: c.Lot, SupplierPiece: c.SupplierPiece, Owner: c.Owner, Units: c.Units,
		Invoiced: c.Invoiced.Length(), Received: c.Length.Length(), Began: c.Begin.Length(), Begin: c.Begin.Length(),
		Width: c.Width.Length(), Place: c.Place, Lies: Received, From: c.From, Since: around.At, Seen: around.At, Events: []int64{around.Seq},
		FirstRepeat: c.FirstRepeat.Length(), Flaws: c.Flaws, Ends: c.Ends,
	}
	b.Rest, b.Measured = b.Length(), b.Received > 0
	b.Opened = b.Begin > 0
	o.bolts[b.Code] = b
	if c.From != nil && c.From.Order != "" {
		called := maps.Clone(o.called)
		if called == nil {
			called = map[Origin]plan.Code{}
		}
		called[*c.From] = b.Code
		o.called = called
	}
}

// handled is what was done with one bolt.
func (o *Overlay) handled(e Event, around Around) {
	before := o.Bolt(e.Bolt)
	b := o.own(e.Bolt, around.Seq)
	if e.Found {
		b.Lies = cmp.Or(b.was, OnShelf)
		b.was = ""
	}
	switch e.Action {
	case Inspect:
		b.inspected(e, around)
	case PlaceIt:
		b.Place = e.Place
	case Keep:
		b.Kept = e.Kept
	case Unkeep:
		b.Kept = nil
	case Lay:
		b.Lies, b.For = OnTable, e.Tickets
	case Cut, Part, Scrap, Spoil:
		o.takeOff(b, e, around)
	case TellFlaw:
		b.Flaws = append(b.Flaws, e.Flaws...)
	case Rest:
		b.rested(e, around.At)
	case GiveBack:
		b.Lies, b.Kept = GoneBack, nil
	case Lose:
		b.was, b.Lies = b.Lies, Missing
	case Find:
		b.Place = cmp.Or(e.Place, b.Place)
	case ReleaseCloth:
		b.Owner = ""
	case CountBolt:
		o.seen(b, e, around.At)
	}
	if e.inHand() {
		b.Seen = around.At
	}
	if e.canTakeBack() {
		kept := *before
		kept.last = nil
		b.last = &move{e.Action, around.Device, around.At, &kept}
	}
}

// inHand reports whether somebody had the bolt in hand: it is where a count would look for it.
func (e *Event) inHand() bool {
	return slices.Contains([]Action{Inspect, PlaceIt, Lay, Cut, TellFlaw, Part, Rest, Find, CountBolt}, e.Action)
}

func (e *Event) canTakeBack() bool {
	return e.New == "" && slices.Contains([]Action{Cut, TellFlaw, Spoil, Rest, PlaceIt, Keep, Lay}, e.Action)
}

// inspected takes in what an inspection found.
func (b *Bolt) inspected(e Event, around Around) {
	m := e.Measured
	if !e.Rest.IsZero() {
		b.remeasure(e, around.At)
	}
	b.Width = cmp.Or(m.Width(), b.Width)
	if m.Repeats > 0 {
		b.Repeats, b.OverRepeats = m.Repeats, m.Over.Length()
	}
	if !m.First.IsZero() {
		b.FirstRepeat = m.First.Length()
	}
	if m.Anew {
		b.Flaws = slices.DeleteFunc(slices.Clone(b.Flaws), func(f Flaw) bool { return f.Found == AtInspection })
	}
	b.Flaws = append(b.Flaws, e.Flaws...)
	if b.Lies == Received {
		b.Lies = OnShelf
	}
	if e.Held {
		b.Hold = InspectionFailed
	}
}

// InspectionFailed is why a bolt is held that scores more than the shop accepts.
const InspectionFailed = "inspection_failed"

// remeasure takes what was measured for what there is.
func (b *Bolt) remeasure(e Event, at time.Time) {
	b.Rest = e.Rest.Length()
	b.Measured, b.measuredAt = true, at
	switch {
	case e.First:
		b.Received, b.Strays = b.Rest, nil
	case e.Unexplained.Length() != 0:
		b.Strays = append(slices.Clip(b.Strays), Stray{at, e.Unexplained})
	}
}

// rested takes a bolt off the table.
func (b *Bolt) rested(e Event, at time.Time) {
	b.remeasure(e, at)
	b.Lies, b.For = OnShelf, nil
	b.Place = cmp.Or(e.Place, b.Place)
	b.useUp()
}

// useUp ends a bolt of which nothing is left. On the table somebody says first that there is no rest.
func (b *Bolt) useUp() {
	if b.Rest == 0 && b.Lies != OnTable {
		b.Lies, b.Kept = UsedUp, nil
	}
}

// takeOff takes stretches off the outer end, and says what others are now that came off before, and the halves beside cuts. One with a code
// is a bolt of its own.
func (o *Overlay) takeOff(b *Bolt, e Event, around Around) {
	for _, f := range e.Off {
		f.At = around.At
		if f.Span().From >= b.Begin {
			b.Off = append(b.Off, f)
			b.Begin, b.Rest = b.Begin+f.length(), b.Rest-f.length()
			b.Opened, b.Measured = true, false
		} else {
			b.carve(f)
		}
	}
	for _, f := range e.Halves {
		f.At = around.At
		if i := b.half(f.Span()); i >= 0 {
			b.Halves[i] = f
		} else {
			b.Halves = append(b.Halves, f)
		}
	}
	for _, f := range slices.Concat(e.Off, e.Halves) {
		if f.Bolt != "" && f.Bolt == e.New {
			r := b.remnant(f, e.Place, around.At)
			r.Events = []int64{around.Seq}
			if e.Action == Spoil { // how much of it is any good somebody has to see first
				r.Hold = e.Reason
			}
			o.bolts[f.Bolt] = r
		}
	}
	b.useUp()
}

// carve says what a stretch is now that came off before, within one of those.
func (b *Bolt) carve(f Off) {
	i := slices.IndexFunc(b.Off, func(was Off) bool { return was.Span().From <= f.Span().From && f.Span().To <= was.Span().To })
	was := b.Off[i]
	parts := []Off{f}
	if was.From.Length() < f.From.Length() {
		head := was
		head.To = f.From
		parts = []Off{head, f}
	}
	if f.To.Length() < was.To.Length() {
		tail := was
		tail.From = f.To
		parts = append(parts, tail)
	}
	b.Off = slices.Replace(slices.Clone(b.Off), i, i+1, parts...)
}

// remnant is a stretch as a bolt of its own: its marks begin with it.
func (b *Bolt) remnant(f Off, place string, at time.Time) *Bolt {
	from, length := f.Span().From, f.length()
	r := &Bolt{
		Code: f.Bolt, Cloth: b.Cloth, Lot: b.Lot, Owner: b.Owner, Units: b.Units, Received: length, Rest: length, Width: b.Width,
		Repeats: b.Repeats, OverRepeats: b.OverRepeats, Ends: b.Ends, Place: place, Lies: OnShelf, Hold: b.Hold, Opened: true, Measured: true,
		From: &Origin{Parent: b.Code, Mark: f.From, Half: b.IsHalf()}, Kept: b.Kept, Since: at, Seen: at,
	}
	if !f.Width.IsZero() {
		r.Width, r.From.Half = f.Width.Length(), true
	}
	if repeat := b.Repeat(); repeat > 0 {
		r.FirstRepeat = ((b.FirstRepeat-from)%repeat + repeat) % repeat
	}
	for _, flaw := range b.Flaws {
		if s := flaw.Span(); meets(s, f.Span()) {
			flaw.From, flaw.To = b.quantity(max(s.From, from)-from), b.quantity(min(s.To, from+length)-from)
			r.Flaws = append(r.Flaws, flaw)
		}
	}
	return r
}

// seen notes a bolt in the count that goes on.
func (o *Overlay) seen(b *Bolt, e Event, at time.Time) {
	c := o.ownCount(e.Count)
	c.Seen = slices.DeleteFunc(c.Seen, func(s Seen) bool { return s.Bolt == b.Code })
	c.Seen = append(c.Seen, Seen{b.Code, cmp.Or(e.Place, c.Place), e.Rest, b.quantity(b.Rest), at})
}

// settled takes a line of a count as what the office made of it.
func (o *Overlay) settled(e Event, around Around) {
	c := o.ownCount(e.Count)
	for i := range c.Lines {
		if l := &c.Lines[i]; l.Bolt == e.Bolt && l.What == e.Lines[0].What {
			l.Settled = e.As
		}
	}
	b := o.own(e.Bolt, around.Seq)
	switch e.As {
	case AsFound:
		b.Seen = around.At
	case AsMoved:
		b.Place = e.Place
	case AsMissing:
		b.was, b.Lies = b.Lies, Missing
	case AsMeasured:
		if !e.Rest.IsZero() {
			b.remeasure(e, around.At)
			b.useUp()
		}
	}
}

// takeBack puts a bolt back as it was before the last thing that was done with it.
func (o *Overlay) takeBack(e Event, seq int64) {
	now := o.Bolt(e.Bolt)
	was := now.last.before.copy()
	was.changes, was.Events = now.changes+1, now.Events
	was.noted(seq)
	o.bolts[e.Bolt] = was
}

// EndKeep frees what was kept for an order that is released or cancelled.
func (o *Overlay) EndKeep(order string, seq int64) {
	for code := range o.all() {
		if b := o.Bolt(code); b.Kept != nil && b.Kept.Order == order {
			o.own(code, seq).Kept = nil
		}
	}
}

// stretch is what there is of the bolt.
func (b *Bolt) stretch() cutting.Span { return cutting.Span{From: b.Begin, To: b.End()} }
