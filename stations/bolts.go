package stations

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Off is a stretch that is off a bolt beside the cuts, or the end that was measured. Marks are lengths along the bolt as
// it was listed, in the order's unit.
type Off struct {
	As   OffKind          `json:"as"`
	Bolt string           `json:"bolt,omitempty"` // "" where the spoilt cut lay on none
	From measure.Quantity `json:"from,omitzero"`
	To   measure.Quantity `json:"to,omitzero"`
	Cut  string           `json:"cut,omitempty"` // that was spoilt
}

// OffKind says what became of a stretch.
type OffKind string

const (
	OffFlaw   OffKind = "flaw"
	OffSpoilt OffKind = "spoilt"
	OffRest   OffKind = "rest" // the bolt ends at To: what is left was measured
)

func (f *Off) span() cutting.Span { return cutting.Span{From: f.From.Length(), To: f.To.Length()} }

// made reports whether one of the ticket's cuts is made, or may be.
func (t *Ticket) made(l *plan.Cut) bool {
	return l.Done || t.At > 0 || t.cutInto() && !t.told
}

// layable reports whether cuts of the ticket can still be laid out otherwise: it isn't begun, or it is known which are
// made.
func (t *Ticket) layable() bool {
	return !t.Cancelled && t.At == 0 && (!t.cutInto() || t.told)
}

// bolts are what is known of a fabric's bolts from an order's cutting tables.
type bolts struct {
	taken map[string][]cutting.Span // what is cut, or spoilt
	flaws map[string][]orderfile.Flaw
	ends  map[string]measure.Length // as measured
	front map[string]measure.Length // behind which lies what was told as cut
}

// boltsOf gathers what the tickets of an order's fabric say; with is one of them as it will be, nil for none.
func (o *Overlay) boltsOf(order *Order, fabric string, with *Ticket) bolts {
	b := bolts{taken: map[string][]cutting.Span{}, flaws: map[string][]orderfile.Flaw{}, ends: map[string]measure.Length{}, front: map[string]measure.Length{}}
	var uncut []*plan.Cut
	for _, t := range order.Tickets {
		if with != nil && t.Spec.Code == with.Spec.Code {
			t = with
		}
		if t.isPanel() || t.Spec.Fabric != fabric {
			continue
		}
		b.tell(t.Off)
		for i := range t.Spec.Cuts {
			switch l := &t.Spec.Cuts[i]; {
			case l.Bolt == "":
			case t.Cancelled && !l.Done:
			case t.made(l):
				b.taken[l.Bolt] = append(b.taken[l.Bolt], l.Span())
				if l.Done {
					b.front[l.Bolt] = max(b.front[l.Bolt], l.End())
				}
			default:
				uncut = append(uncut, l)
			}
		}
	}
	b.closeFront(uncut)
	return b
}

func (b *bolts) tell(off []Off) {
	for i := range off {
		f := &off[i]
		switch span := f.span(); f.As {
		case OffFlaw:
			b.flaws[f.Bolt] = append(b.flaws[f.Bolt], orderfile.Flaw{From: span.From, To: span.To})
		case OffSpoilt:
			if f.Bolt != "" {
				b.taken[f.Bolt] = append(b.taken[f.Bolt], span)
				b.front[f.Bolt] = max(b.front[f.Bolt], span.To)
			}
		case OffRest:
			b.ends[f.Bolt] = span.To
		}
	}
}

// closeFront takes what lies before the knife and isn't cut: it came off with the cut behind it. Only where a cut was laid
// there it may still be: cuts are told late.
func (b *bolts) closeFront(uncut []*plan.Cut) {
	for bolt, front := range b.front {
		var kept []cutting.Span
		for _, l := range uncut {
			if s := l.Span(); l.Bolt == bolt && s.From < front {
				kept = append(kept, s)
			}
		}
		slices.SortFunc(kept, func(a, b cutting.Span) int { return cmp.Compare(a.From, b.From) })
		at := measure.Length(0)
		for _, s := range kept {
			if s.From > at {
				b.taken[bolt] = append(b.taken[bolt], cutting.Span{From: at, To: s.From})
			}
			at = max(at, s.To)
		}
		if front > at {
			b.taken[bolt] = append(b.taken[bolt], cutting.Span{From: at, To: front})
		}
	}
}

// hasRoom reports whether a ticket's cuts, were they not begun, could be made where they lie, as far as the tables know the
// bolts.
func (o *Overlay) hasRoom(t *Ticket, ways shelf.Ways) bool {
	ready := t.copy()
	ready.Steps[t.At].State = Ready
	b := o.boltsOf(o.order(t.Order), t.Spec.Fabric, ready)
	for i := range t.Spec.Cuts {
		l := &t.Spec.Cuts[i]
		span := l.Span()
		end, measured := b.ends[l.Bolt]
		if ready.made(l) || l.Bolt == "" {
			continue
		}
		kerf := measure.Length(0)
		if o.boltNamed(t, l.Bolt) != nil {
			kerf = ways.Kerf
		}
		flawed := func(f orderfile.Flaw) bool { return f.From < span.To && span.From < f.To }
		met := func(s cutting.Span) bool { return flawed(beside(s, kerf)) }
		if measured && span.To > end || slices.ContainsFunc(b.taken[l.Bolt], met) || slices.ContainsFunc(b.flaws[l.Bolt], flawed) {
			return false
		}
	}
	return true
}

// known reports whether the table told anything that the order's file doesn't say.
func (b *bolts) known() bool { return len(b.flaws)+len(b.ends)+len(b.front) > 0 }

// on is a fabric with its bolts as they are known now: the flaws that were found, the ends that were measured. The shelf knows its own
// ends.
func (b *bolts) on(f *orderfile.Fabric) *orderfile.Fabric {
	if !b.known() {
		return f
	}
	now := *f
	now.Bolts = slices.Clone(f.Bolts)
	for i := range now.Bolts {
		bolt := &now.Bolts[i]
		for _, f := range b.flaws[bolt.ID] {
			covers := func(of orderfile.Flaw) bool { return of.From <= f.From && f.To <= of.To }
			if !slices.ContainsFunc(bolt.Flaws, covers) { // the shelf knows what was found of its own
				bolt.Flaws = append(slices.Clip(bolt.Flaws), f)
			}
		}
		if end, measured := b.ends[bolt.ID]; measured && bolt.Shelf == "" {
			bolt.Length = end
		}
	}
	return &now
}

// Bolts is a fabric of an order with its bolts as its cutting tables know them: the flaws found there, the ends that
// were measured, and as flaws what was spoilt. Of the shelf there are those that it is cut from, with what it cut off them.
func (f *Floor) Bolts(order *Order, fabric *orderfile.Fabric, ways shelf.Ways) *orderfile.Fabric {
	o := f.Overlay()
	b := o.boltsOf(order, fabric.ID, nil)
	for _, t := range order.Tickets {
		for i := range t.Off {
			if off := &t.Off[i]; off.As == OffSpoilt && off.Bolt != "" && t.Spec.Fabric == fabric.ID {
				b.flaws[off.Bolt] = append(b.flaws[off.Bolt], orderfile.Flaw{From: off.span().From, To: off.span().To})
			}
		}
	}
	cut := o.cutBefore(order, fabric.ID)
	now := *b.on(o.withShelf(order, fabric, ways, cut...))
	now.Bolts = slices.DeleteFunc(slices.Clone(now.Bolts), func(b orderfile.Bolt) bool { return b.Linked && !slices.Contains(cut, plan.Code(b.Shelf)) })
	for i := range now.Bolts {
		if on := o.shelf.Bolt(plan.Code(now.Bolts[i].Shelf)); on != nil { // with what the order cut off it
			now.Bolts[i].From, now.Bolts[i].Length = min(on.Begin, o.firstCut(order, fabric.ID, on)), on.End()
		}
	}
	return &now
}

// firstCut is where the first piece lay that an order's fabric was cut from a bolt of the shelf, the bolt's end where none was.
func (o *Overlay) firstCut(order *Order, fabric string, b *shelf.Bolt) measure.Length {
	first := b.End()
	for _, t := range order.Tickets {
		for i := range t.Spec.Cuts {
			if l := &t.Spec.Cuts[i]; t.Spec.Fabric == fabric && (l.Done || t.State() == Finished) && o.boltNamed(t, l.Bolt) == b {
				first = min(first, l.From.Length())
			}
		}
	}
	return first
}

// FileBolt is a bolt of an order's file as far as is known: what isn't cut of it yet begins at its From.
func (f *Floor) FileBolt(order *Order, fabric *orderfile.Fabric, id string) (bolt orderfile.Bolt, ok bool) {
	known := f.Overlay().boltsOf(order, fabric.ID, nil)
	for _, b := range known.on(fabric).Bolts {
		if b.ID == id && b.Shelf == "" {
			for _, s := range known.taken[id] {
				b.From = max(b.From, s.To)
			}
			return b, true
		}
	}
	return orderfile.Bolt{}, false
}

// Pieces is a fabric with the bolts that an order may be cut from: those of its file that aren't on the shelf, then what the shelf has of
// its cloth. The order may be one that isn't on the books.
func (f *Floor) Pieces(order, customer string, fabric *orderfile.Fabric, ways shelf.Ways) *orderfile.Fabric {
	of := f.Order(order)
	if of == nil {
		of = &Order{ID: order, Customer: customer}
	}
	return f.Overlay().withShelf(of, fabric, ways)
}

// withShelf is the only place that says which bolts an order's fabric may be cut from. What the shelf has is there once, whether the
// file names it, the file's bolt was put on the shelf, or the fabric is of its cloth; also are further ones.
func (o *Overlay) withShelf(order *Order, f *orderfile.Fabric, ways shelf.Ways, also ...plan.Code) *orderfile.Fabric {
	return o.asIf(supposed{}, order, f, ways, also...)
}

// supposed is cloth of which it is asked what there would be with it.
type supposed struct {
	free   func(*shelf.Bolt) bool // held bolts as if they weren't; nil: none
	yields string                 // an order as if nothing that isn't begun were promised to it
	table  plan.Code              // for a cutting ticket: what it has on the table it cuts before others
	first  bool                   // and as if others' cuts gave way there
}

// asIf is withShelf for cloth as if it were otherwise.
func (o *Overlay) asIf(so supposed, order *Order, f *orderfile.Fabric, ways shelf.Ways, also ...plan.Code) *orderfile.Fabric {
	called, codes, cloth := map[string]plan.Code{}, also, o.shelf.Joined(order.ClothOf(f))
	put := func(b *shelf.Bolt) bool { return b.From != nil && b.From.Order == order.ID && b.From.Fabric == f.ID }
	for _, b := range o.shelf.Those(func(b *shelf.Bolt) bool { return put(b) || b.Cloth == cloth }) {
		switch {
		case put(b) && slices.ContainsFunc(f.Bolts, func(of orderfile.Bolt) bool { return of.ID == b.From.Bolt }):
			called[b.From.Bolt] = b.Code
		case b.Cloth == cloth:
			codes = append(codes, b.Code)
		}
	}
	now := *f
	now.Bolts = nil
	var shelved []orderfile.Bolt
	add := func(name string, code plan.Code, linked, must bool) {
		if b := o.shelf.Bolt(code); b != nil && !slices.ContainsFunc(shelved, func(s orderfile.Bolt) bool { return s.Shelf == string(code) }) {
			if piece, may := o.pieceIf(so, order, f, b, ways); may || must {
				piece.ID, piece.Linked = name, linked
				shelved = append(shelved, piece)
			}
		}
	}
	for _, b := range f.Bolts {
		switch code, put := called[b.ID]; {
		case put:
			add(b.ID, code, false, false)
		case b.Linked: // by the fabric's cloth, which may be another now
		case b.Shelf != "":
			add(b.Shelf, plan.Code(b.Shelf), false, false)
		default:
			now.Bolts = append(now.Bolts, b)
		}
	}
	for i, code := range codes {
		add(string(code), code, true, i < len(also))
	}
	o.inTurn(order, shelved)
	now.Bolts = append(now.Bolts, shelved...)
	if !slices.ContainsFunc(now.Bolts, func(b orderfile.Bolt) bool { return !b.Half || o.owns(order, f, b) }) {
		now.Bolts = nil // of halves alone no panel is cut
	}
	return &now
}

// owns reports whether an order's fabric is promised some of a bolt of the shelf.
func (o *Overlay) owns(order *Order, f *orderfile.Fabric, b orderfile.Bolt) bool {
	return slices.ContainsFunc(o.promised(plan.Code(b.Shelf)), func(p shelf.Promise) bool {
		return p.Order == order.ID && o.ticket(p.Ticket).Spec.Fabric == f.ID
	})
}

// inTurn sorts bolts of the shelf as they are best cut from: a customer's own before the shop's, then what costs no new bolt, the
// shortest first, then as they came.
func (o *Overlay) inTurn(order *Order, list []orderfile.Bolt) {
	first := func(is bool) int {
		if is {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(list, func(a, b orderfile.Bolt) int {
		of, other := o.shelf.Bolt(plan.Code(a.Shelf)), o.shelf.Bolt(plan.Code(b.Shelf))
		by := cmp.Or(cmp.Compare(first(of.Owner != ""), first(other.Owner != "")), cmp.Compare(first(a.Opened), first(b.Opened)))
		if by == 0 && a.Opened {
			by = cmp.Compare(of.Rest, other.Rest)
		}
		return cmp.Or(by, of.Since.Compare(other.Since), cmp.Compare(a.Shelf, b.Shelf))
	})
}

// piece is a bolt of the shelf as an order's fabric may be cut from it; may says whether it is to be cut from at all. Where only what is
// promised to the order already is the order's, all else of it is spoken for.
func (o *Overlay) piece(order *Order, f *orderfile.Fabric, b *shelf.Bolt, ways shelf.Ways) (piece orderfile.Bolt, may bool) {
	return o.pieceIf(supposed{}, order, f, b, ways)
}

func (o *Overlay) pieceIf(so supposed, order *Order, f *orderfile.Fabric, b *shelf.Bolt, ways shelf.Ways) (piece orderfile.Bolt, may bool) {
	whole, flaws := b.Sound(ways)
	piece = orderfile.Bolt{ID: string(b.Code), Shelf: string(b.Code), Length: whole.To, From: whole.From, Lot: b.Lot,
		FirstRepeat: b.FirstRepeat, Repeat: b.Repeat(), Opened: b.Opened || b.IsRemnant(), Kerf: ways.Kerf, MinRemnant: ways.MinRemnant, Half: b.IsHalf()}
	for _, s := range flaws {
		piece.Flaws = append(piece.Flaws, orderfile.Flaw(s))
	}
	var own []cutting.Span
	ours := slices.Contains(b.For, so.table)
	for _, p := range o.promised(b.Code) {
		switch t := o.ticket(p.Ticket); {
		case p.Order == order.ID && t.Spec.Fabric == f.ID:
			own = append(own, p.Span)
		case p.Order == so.yields && !t.cutInto(), so.first && ours && !slices.Contains(b.For, p.Ticket):
		default:
			piece.Spoken = append(piece.Spoken, spokenFor(b, p, ours, ways.Kerf))
		}
	}
	if may = piece.From < piece.Length; !o.mayCut(so, order, f, b) {
		may = may && len(own) > 0
		for _, s := range shelf.Besides(cutting.Span{From: b.Begin, To: b.End()}, own) {
			piece.Spoken = append(piece.Spoken, orderfile.Flaw(s))
		}
	}
	return piece, may
}

// onTableOf reports whether a bolt lies on the table for a ticket of an order.
func (o *Overlay) onTableOf(order *Order, b *shelf.Bolt) bool {
	return slices.ContainsFunc(b.For, func(code plan.Code) bool { t := o.ticket(code); return t != nil && t.Order == order.ID })
}

// mayCut reports whether an order's fabric may have more of a bolt of the shelf.
func (o *Overlay) mayCut(so supposed, order *Order, f *orderfile.Fabric, b *shelf.Bolt) bool {
	switch {
	case !b.OnHand(), b.Hold != "" && (so.free == nil || !so.free(b)):
		return false
	case b.Owner != "" && b.Owner != order.Customer:
		return false
	case b.Kept != nil && b.Kept.Order != order.ID && (b.Kept.Customer == "" || b.Kept.Customer != order.Customer):
		return false
	}
	if b.IsHalf() {
		return !workup.Sided(f) && b.Width >= f.UsableWidth.Div(2)
	}
	return b.Width == 0 || b.Width >= f.UsableWidth || o.onTableOf(order, b) // laid for the order, the office has said that it is wide enough
}

// cutBefore are the bolts of the shelf that the tickets of an order's fabric have cuts on.
func (o *Overlay) cutBefore(order *Order, fabric string) (codes []plan.Code) {
	for _, t := range order.Tickets {
		for i := range t.Spec.Cuts {
			if code := plan.Code(t.Spec.Cuts[i].Bolt); t.Spec.Fabric == fabric && code != "" && !slices.Contains(codes, code) {
				codes = append(codes, code)
			}
		}
	}
	return codes
}

// standing reports whether the cuts of an order's tickets that aren't made can still be made where they lie on the shelf's bolts: nobody
// else was promised them since they were planned, and the cloth is there.
func (o *Overlay) standing(order *Order, tickets []plan.Ticket, ways shelf.Ways) bool {
	pieces := map[string]*orderfile.Bolt{}
	for i := range tickets {
		s := &tickets[i]
		f := &orderfile.Fabric{ID: s.Fabric}
		for k := range s.Cuts {
			l := &s.Cuts[k]
			b := o.shelf.Bolt(plan.Code(l.Bolt))
			if b == nil || l.Done {
				continue
			}
			on := s.Fabric + "/" + l.Bolt
			if pieces[on] == nil {
				piece, may := o.pieceIf(supposed{table: onTable(tickets, b)}, order, f, b, ways)
				if !may {
					return false
				}
				pieces[on] = &piece
			}
			meets := func(f orderfile.Flaw) bool { return f.From < l.End() && l.From.Length() < f.To }
			piece := pieces[on]
			if l.From.Length() < piece.From || l.End() > piece.Length || slices.ContainsFunc(piece.Flaws, meets) || slices.ContainsFunc(piece.Spoken, meets) {
				return false
			}
			piece.Spoken = append(piece.Spoken, beside(l.Span(), ways.Kerf))
		}
	}
	return true
}

// onTable is the one of some tickets that has a bolt on the table, "" where none has.
func onTable(tickets []plan.Ticket, b *shelf.Bolt) plan.Code {
	for i := range tickets {
		if slices.Contains(b.For, tickets[i].Code) {
			return tickets[i].Code
		}
	}
	return ""
}

// spokenFor is what a promise takes of a bolt for others. Cloth comes off the front: what lies on the table is cut with all before it, and behind
// others' cuts nothing could be cut of who has it there, ours.
func spokenFor(b *shelf.Bolt, p shelf.Promise, ours bool, kerf measure.Length) orderfile.Flaw {
	spoken, theirs := beside(p.Span, kerf), slices.Contains(b.For, p.Ticket)
	if ours && !theirs {
		spoken.To = max(spoken.To, b.End())
	}
	if theirs && !ours {
		spoken.From = 0
	}
	return spoken
}

// beside is a cut of a bolt of the shelf with the kerf that others keep from it.
func beside(cut cutting.Span, kerf measure.Length) orderfile.Flaw {
	return orderfile.Flaw{From: cut.From - kerf, To: cut.To + kerf}
}
