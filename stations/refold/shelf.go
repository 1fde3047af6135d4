package refold

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/shelf"
)

// Bolt is a bolt as both ways tell it. Lengths are in its unit, lists as JSON.
type Bolt struct {
	Cloth, Lot, Piece, Owner string
	State                    shelf.State
	Hold, Place              string
	Kept, From, For          string
	Received, Invoiced       string
	Begin, Rest, Strays      string
	Width, Repeats, First    string
	Ends                     string
	Flaws, Off, Halves       string
	Opened, Measured         bool
	Since, Events            string
}

// Count is a count of the shelf as both ways tell it.
type Count struct {
	Place, Begun, Ended string
	Seen, Lines         string
}

// bolt is what the events say of one: how it came, and what was done with it since and not taken back.
type bolt struct {
	born   shelf.Bolt // as it came in, or off another
	acts   []acted
	events []int64 // all there were, taken back or not
}

// acted is one event of a bolt.
type acted struct {
	*shelf.Event
	at time.Time
}

// count is what the events say of a count.
type count struct {
	place string
	begun time.Time
	seen  []shelf.Seen
	ended *acted
	lines map[string]shelf.Settlement
}

// shelved takes in what an event says of the shelf.
func (b *Book) shelved(e stations.Event) {
	s := acted{e.Shelf, e.At}
	switch s.Action {
	case shelf.Receive:
		for i := range s.Came {
			b.bolts[s.Came[i].Bolt] = &bolt{born: cameIn(&s.Came[i], e.At), events: []int64{e.Seq}}
		}
	case shelf.HoldBolt, shelf.FreeBolt, shelf.MergeCloth:
		for _, code := range s.Bolts {
			b.bolts[code].add(s, e.Seq)
		}
	case shelf.BeginCount:
		b.counts[s.Count] = &count{place: s.Place, begun: e.At, lines: map[string]shelf.Settlement{}}
	case shelf.EndCount:
		b.counts[s.Count].ended = &s
	case shelf.Undo:
		for _, one := range s.Each {
			b.bolts[one.Bolt].takeBack(e.Seq)
		}
		if s.Bolt != "" {
			b.bolts[s.Bolt].takeBack(e.Seq)
		}
	case shelf.CutAll:
		for i := range s.Each {
			b.handled(acted{&s.Each[i], e.At}, e.Seq)
		}
	default:
		b.handled(s, e.Seq)
	}
}

// handled takes in what was done with one bolt.
func (b *Book) handled(s acted, seq int64) {
	of := b.bolts[s.Bolt]
	switch s.Action {
	case shelf.CountBolt:
		c := b.counts[s.Count]
		seen := shelf.Seen{Bolt: s.Bolt, Place: cmp.Or(s.Place, c.place), Measured: s.Rest, At: s.at}
		now := of.now()
		seen.Reckoned = measure.OfLength(now.Rest, now.Units)
		c.seen = append(slices.DeleteFunc(c.seen, func(other shelf.Seen) bool { return other.Bolt == s.Bolt }), seen)
	case shelf.Settle:
		b.counts[s.Count].lines[string(s.Lines[0].What)+string(s.Bolt)] = s.As
	}
	if s.New != "" {
		off := slices.Concat(s.Off, s.Halves)
		i := slices.IndexFunc(off, func(f shelf.Off) bool { return f.Bolt == s.New })
		born := partOf(of.now(), off[i], s.Place, s.at)
		if s.Action == shelf.Spoil {
			born.Hold = s.Reason
		}
		b.bolts[s.New] = &bolt{born: born, events: []int64{seq}}
	}
	of.add(s, seq)
}

func (b *bolt) takeBack(seq int64) {
	b.acts, b.events = slices.Clone(b.acts[:len(b.acts)-1]), append(b.events, seq)
}

func (b *bolt) add(a acted, seq int64) {
	b.acts, b.events = append(b.acts, a), append(b.events, seq)
}

// merge links what is linked with a cloth with the one that it was merged into.
func (b *Book) merge(e *shelf.Event) {
	for _, o := range b.orders {
		now := map[string]string{}
		for _, link := range o.links {
			now[link.Fabric] = link.Cloth
		}
		for fabric, cloth := range now {
			if cloth == e.Cloth {
				o.links = append(o.links, stations.Event{Fabric: fabric, Cloth: e.Into})
			}
		}
	}
}

// endKeep ends what was kept for an order.
func (b *Book) endKeep(e stations.Event) {
	for _, of := range b.bolts {
		if kept := of.kept(); kept != nil && kept.Order == e.Order && of.now().Lies != shelf.GoneBack {
			of.add(acted{Event: &shelf.Event{Action: shelf.Unkeep}, at: e.At}, e.Seq)
		}
	}
}

func cameIn(c *shelf.Came, at time.Time) shelf.Bolt {
	length := cmp.Or(c.Length.Length(), c.Invoiced.Length())
	return shelf.Bolt{Code: c.Bolt, Cloth: c.Cloth, Lot: c.Lot, SupplierPiece: c.SupplierPiece, Owner: c.Owner, Units: c.Units, Invoiced: c.Invoiced.Length(),
		Received: c.Length.Length(), Began: c.Begin.Length(), Begin: c.Begin.Length(), Rest: length, Width: c.Width.Length(), Place: c.Place,
		Lies: shelf.Received, From: c.From, Since: at, Opened: c.Begin.Length() > 0, Measured: c.Length.Length() > 0,
		FirstRepeat: c.FirstRepeat.Length(), Flaws: c.Flaws, Ends: c.Ends}
}

// partOf is a stretch of a bolt as it came off.
func partOf(b shelf.Bolt, f shelf.Off, place string, at time.Time) shelf.Bolt {
	from, to := f.From.Length(), f.To.Length()
	r := shelf.Bolt{Code: f.Bolt, Cloth: b.Cloth, Lot: b.Lot, Owner: b.Owner, Units: b.Units, Received: to - from, Rest: to - from, Width: b.Width, Place: place,
		Lies: shelf.OnShelf, Hold: b.Hold, Kept: b.Kept, Since: at, Opened: true, Measured: true, Repeats: b.Repeats, OverRepeats: b.OverRepeats, Ends: b.Ends,
		From: &shelf.Origin{Parent: b.Code, Mark: f.From, Half: b.From != nil && b.From.Half}}
	if width := f.Width.Length(); width > 0 {
		r.Width, r.From.Half = width, true
	}
	if b.Repeats > 0 {
		repeat := b.OverRepeats.Div(2*int64(b.Repeats)) * 2
		for r.FirstRepeat = b.FirstRepeat - from; r.FirstRepeat < 0; r.FirstRepeat += repeat {
		}
		r.FirstRepeat %= repeat
	}
	within := func(l measure.Length) measure.Quantity { return measure.OfLength(min(max(l, from), to)-from, b.Units) }
	for _, flaw := range b.Flaws {
		if flaw.From.Length() < to && flaw.To.Length() > from {
			flaw.From, flaw.To = within(flaw.From.Length()), within(flaw.To.Length())
			r.Flaws = append(r.Flaws, flaw)
		}
	}
	return r
}

// last is the last of a bolt's acts that says something, nil for none.
func (b *bolt) last(says func(acted) bool) *acted {
	for i := len(b.acts) - 1; i >= 0; i-- {
		if says(b.acts[i]) {
			return &b.acts[i]
		}
	}
	return nil
}

// does is a question for last: an act of one of these kinds.
func does(actions ...shelf.Action) func(acted) bool {
	return func(a acted) bool { return slices.Contains(actions, a.Action) }
}

// now is the bolt by all that was done with it. What is left of it is what its account leaves.
func (b *bolt) now() shelf.Bolt {
	n := b.born
	n.Off, n.Halves, n.Events = b.off(), b.halves(), b.events
	if len(n.Off) > 0 {
		n.Begin, n.Opened, n.Measured = n.Off[len(n.Off)-1].To.Length(), true, false
	}
	b.account(&n)
	b.inspected(&n)
	if a := b.last(func(a acted) bool { return a.Place != "" && a.Action != shelf.CountBolt && a.New == "" }); a != nil {
		n.Place = a.Place
	}
	if a := b.last(func(a acted) bool { return a.Action == shelf.HoldBolt || a.Action == shelf.FreeBolt || a.Held }); a != nil {
		n.Hold = map[bool]string{true: shelf.InspectionFailed}[a.Held]
		if a.Action == shelf.HoldBolt {
			n.Hold = a.Reason
		}
	}
	n.Kept = b.kept()
	if a := b.last(does(shelf.MergeCloth)); a != nil {
		n.Cloth = a.Into
	}
	if b.last(does(shelf.ReleaseCloth)) != nil {
		n.Owner = ""
	}
	b.lies(&n)
	return n
}

// kept is for whom it was set aside last, nil for nobody.
func (b *bolt) kept() *shelf.Kept {
	if a := b.last(does(shelf.Keep, shelf.Unkeep)); a != nil {
		return a.Kept
	}
	return b.born.Kept
}

// off paints what came off along the bolt, the later over the earlier.
func (b *bolt) off() (painted []shelf.Off) {
	for _, a := range b.acts {
		for _, f := range a.Off {
			f.At = a.at
			var next []shelf.Off
			for _, p := range painted {
				head, tail := p, p
				head.To, tail.From = least(p.To, f.From), most(p.From, f.To)
				for _, part := range []shelf.Off{head, tail} {
					if part.From.Length() < part.To.Length() {
						next = append(next, part)
					}
				}
			}
			painted = append(next, f)
		}
	}
	slices.SortFunc(painted, func(a, b shelf.Off) int { return cmp.Compare(a.From.Length(), b.From.Length()) })
	return painted
}

// halves are what is left of widths beside cuts, by what was said of each last.
func (b *bolt) halves() (list []shelf.Off) {
	for _, a := range b.acts {
		for _, f := range a.Halves {
			f.At = a.at
			i := slices.IndexFunc(list, func(was shelf.Off) bool { return was.From.Length() == f.From.Length() })
			if i < 0 {
				list = append(list, f)
				continue
			}
			list[i] = f
		}
	}
	return list
}

func least(a, b measure.Quantity) measure.Quantity {
	if a.Length() < b.Length() {
		return a
	}
	return b
}

func most(a, b measure.Quantity) measure.Quantity {
	if a.Length() > b.Length() {
		return a
	}
	return b
}

// account is what was received and what nobody can explain, by the measurements, and what both and what came off leave.
func (b *bolt) account(n *shelf.Bolt) {
	off, strayed := measure.Length(0), measure.Length(0)
	for _, f := range n.Off {
		off += f.To.Length() - f.From.Length()
	}
	for _, a := range b.acts {
		switch {
		case a.Rest.IsZero() || a.Action == shelf.CountBolt:
			continue
		case a.First:
			n.Received, n.Strays, strayed = a.Rest.Length(), nil, 0
		default:
			if a.Unexplained.Length() != 0 {
				n.Strays = append(n.Strays, shelf.Stray{At: a.at, Length: a.Unexplained})
			}
			strayed += a.Unexplained.Length()
		}
	}
	for i := len(b.acts) - 1; i >= 0; i-- { // whether it was measured since something came off
		if a := b.acts[i]; !a.Rest.IsZero() && a.Action != shelf.CountBolt {
			n.Measured = true
			break
		} else if len(a.Off) > 0 && a.takesOff(b.born.Begin, b.acts[:i]) {
			break
		}
	}
	n.Rest = cmp.Or(n.Received, n.Invoiced) - off - strayed
}

// takesOff reports whether an act took something off what there was then.
func (a acted) takesOff(began measure.Length, before []acted) bool {
	at := began
	for _, other := range before {
		for _, f := range other.Off {
			at = max(at, f.To.Length())
		}
	}
	return a.Off[len(a.Off)-1].To.Length() > at
}

// inspected is what was measured and found beside lengths.
func (b *bolt) inspected(n *shelf.Bolt) {
	for _, a := range b.acts {
		flaws := slices.Clone(n.Flaws)
		if m := a.Event.Measured; m != nil {
			n.Width = cmp.Or(m.Width(), n.Width)
			if m.Repeats > 0 {
				n.Repeats, n.OverRepeats = m.Repeats, m.Over.Length()
			}
			if !m.First.IsZero() {
				n.FirstRepeat = m.First.Length()
			}
			if m.Anew {
				flaws = slices.DeleteFunc(flaws, func(f shelf.Flaw) bool { return f.Found == shelf.AtInspection })
			}
		}
		n.Flaws = append(flaws, a.Flaws...)
	}
}

// lies is where it is by what moved it last.
func (b *bolt) lies(n *shelf.Bolt) {
	usable := n.Lies
	for _, a := range b.acts {
		switch {
		case a.Action == shelf.Lay:
			n.Lies, n.For = shelf.OnTable, a.Tickets
		case a.Action == shelf.Rest:
			usable, n.Lies, n.For = shelf.OnShelf, shelf.OnShelf, nil
		case a.Action == shelf.GiveBack:
			n.Lies, n.Kept = shelf.GoneBack, nil
		case a.Action == shelf.Lose, a.As == shelf.AsMissing:
			n.Lies = shelf.Missing
		case a.Action == shelf.Inspect:
			usable, n.Lies = shelf.OnShelf, shelf.OnShelf
		case a.Found:
			n.Lies = usable
		}
	}
	if n.Rest == 0 && n.Lies != shelf.OnTable && n.Lies != shelf.GoneBack {
		n.Lies, n.Kept = shelf.UsedUp, nil
	}
}

// boltRow is a bolt as a row.
func boltRow(b *shelf.Bolt) Bolt {
	in := func(l measure.Length) string { return l.In(b.Units) }
	state := b.Lies
	if b.Hold != "" && (state == shelf.Received || state == shelf.OnShelf || state == shelf.OnTable) {
		state = shelf.Held
	}
	return Bolt{Cloth: b.Cloth, Lot: b.Lot, Piece: b.SupplierPiece, Owner: b.Owner, State: state, Hold: b.Hold, Place: b.Place, Kept: text(b.Kept),
		From: text(b.From), For: text(b.For), Received: in(b.Received), Invoiced: in(b.Invoiced), Begin: in(b.Begin), Rest: in(b.Rest),
		Strays: orEmpty(b.Strays), Width: in(b.Width), Repeats: fmt.Sprint(b.Repeats, " in ", in(b.OverRepeats)), First: in(b.FirstRepeat), Ends: b.Ends.String(),
		Flaws: orEmpty(b.Flaws), Off: orEmpty(b.Off), Halves: orEmpty(b.Halves), Opened: b.Opened, Measured: b.Measured, Since: instant(b.Since), Events: orEmpty(b.Events)}
}

// orEmpty is a list as JSON, "" for none.
func orEmpty[T any](list []T) string {
	if len(list) == 0 {
		return ""
	}
	return text(list)
}

// shelfRows are what the ledger tells of the shelf.
func (b *Book) shelfRows() (map[string]Bolt, map[string]Count) {
	bolts, counts := map[string]Bolt{}, map[string]Count{}
	for code, of := range b.bolts {
		now := of.now()
		bolts[string(code)] = boltRow(&now)
	}
	for id, c := range b.counts {
		row := Count{Place: c.place, Begun: instant(c.begun), Seen: orEmpty(c.seen)}
		if c.ended != nil {
			lines := slices.Clone(c.ended.Lines)
			for i := range lines {
				lines[i].Settled = c.lines[string(lines[i].What)+string(lines[i].Bolt)]
			}
			row.Ended, row.Lines = instant(c.ended.at), orEmpty(lines)
		}
		counts[id] = row
	}
	return bolts, counts
}

// floorShelf are what the floor tells of it.
func floorShelf(f *stations.Floor) (map[string]Bolt, map[string]Count) {
	bolts, counts := map[string]Bolt{}, map[string]Count{}
	for _, b := range f.Shelf().Bolts() {
		bolts[string(b.Code)] = boltRow(b)
	}
	for _, c := range f.Shelf().Counts() {
		counts[c.ID] = Count{c.Place, instant(c.Begun), instant(c.Ended), orEmpty(c.Seen), orEmpty(c.Lines)}
	}
	return bolts, counts
}

// faults are what must not be of the floor's cloth, whatever the ledger says: an account that doesn't balance, a cloth that was
// merged into another, a stretch that two cuts are promised or that is gone.
func faults(f *stations.Floor) map[string]string {
	found := map[string]string{}
	for _, b := range f.Shelf().Bolts() {
		if a := b.Account(); !a.Balances() {
			found["account "+string(b.Code)] = fmt.Sprintf("%+v", a)
		}
		if into := f.Shelf().Joined(b.Cloth); into != b.Cloth {
			found["cloth "+string(b.Code)] = b.Cloth + " was merged into " + into
		}
		promised := f.Promised(b.Code)
		for i, p := range promised {
			of := fmt.Sprintf("promise %s %s %s", b.Code, p.Ticket, p.Cut)
			switch {
			case i > 0 && promised[i-1].Span.To > p.Span.From:
				found[of] = "twice from " + p.Span.From.In(b.Units)
			case p.Span.From < b.Begin && b.OnHand():
				found[of] = "of cloth that is gone, from " + p.Span.From.In(b.Units)
			}
		}
	}
	return found
}
