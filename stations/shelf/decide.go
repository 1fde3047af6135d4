package shelf

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// Decide says what cmd does to the shelf as the overlay has it, without doing it.
func (o *Overlay) Decide(cmd Command, around Around) (Event, *Refusal) {
	d := &deciding{Overlay: o, Command: cmd, around: around, e: Event{Action: cmd.Action}}
	r := d.decide()
	return d.e, r
}

// deciding is a command on its way to an event.
type deciding struct {
	*Overlay
	Command
	around Around
	b      *Bolt // that the command is about, nil for a count's
	e      Event
}

// acts are what may be done with a bolt: how, and in which states.
var acts = map[Action]struct {
	decide func(*deciding) *Refusal
	allowed
}{
	Inspect:      {(*deciding).inspect, shelved | finds},
	PlaceIt:      {(*deciding).place, shelved | finds},
	Keep:         {(*deciding).keep, shelved},
	Unkeep:       {(*deciding).unkeep, shelved | onTable | lost},
	HoldBolt:     {(*deciding).hold, shelved | onTable | lost},
	FreeBolt:     {(*deciding).free, shelved | onTable | lost},
	Lay:          {(*deciding).lay, shelved | finds | unheld},
	Cut:          {(*deciding).cut, onTable | unheld},
	TellFlaw:     {(*deciding).flaw, onTable},
	Spoil:        {(*deciding).spoil, shelved | onTable | lost | gone},
	Part:         {(*deciding).part, shelved | onTable | lost | gone},
	Rest:         {(*deciding).rest, onTable},
	Scrap:        {(*deciding).scrap, shelved | onTable | lost | gone},
	GiveBack:     {(*deciding).giveBack, shelved},
	Lose:         {(*deciding).lose, shelved},
	Find:         {(*deciding).find, lost},
	ReleaseCloth: {(*deciding).releaseCloth, shelved | onTable | lost},
	CountBolt:    {(*deciding).countBolt, shelved | onTable | finds},
	Undo:         {(*deciding).undo, shelved | onTable | lost | gone},
}

// allowed says in which states a bolt may be for an act.
type allowed uint8

const (
	shelved allowed = 1 << iota // received or on the shelf
	onTable
	lost   // missing
	gone   // used up or gone back
	finds  // also missing, and it is found with that
	unheld // not while nobody may cut it
)

func (d *deciding) decide() *Refusal {
	counts := map[Action]func() *Refusal{BeginCount: d.beginCount, EndCount: d.endCount, Settle: d.settle}
	if decide := counts[d.Action]; decide != nil {
		return decide()
	}
	act, known := acts[d.Action]
	if !known {
		return badValue("action", string(d.Action))
	}
	if d.b = d.Overlay.Bolt(d.Command.Bolt); d.b == nil {
		return refuse("unknown_bolt", "bolt", "Bolt", string(d.Command.Bolt), "Fabric", "")
	}
	d.e.Bolt = d.b.Code
	if r := act.refuse(d.b); r != nil {
		return r
	}
	d.e.Found = d.b.Lies == Missing && act.allowed&finds != 0
	return act.decide(d)
}

// refuse refuses a bolt in a state in which that can't be done with it.
func (a allowed) refuse(b *Bolt) *Refusal {
	in := map[State]allowed{Received: shelved, OnShelf: shelved, OnTable: onTable, UsedUp: gone, GoneBack: gone, Missing: lost | finds}[b.Lies]
	switch {
	case a&in == 0 && b.Lies == UsedUp, a&in == 0 && b.Lies == GoneBack:
		return b.refuse(string(b.Lies), "bolt")
	case a&in == 0 && b.Lies == Missing:
		return b.refuse("bolt_missing", "bolt")
	case a&in == 0 && a&(shelved|onTable) == 0: // to be found
		return b.refuse("bolt_not_missing", "bolt")
	case a&in == 0 && b.Lies == OnTable:
		return b.refuse("on_table", "bolt")
	case a&in == 0:
		return b.refuse("not_on_table", "bolt")
	case a&unheld != 0 && b.Hold != "":
		return b.refuse("bolt_held", "bolt")
	}
	return nil
}

// used reports whether a drawn code is somebody else's already; the next draw will do.
func (o *Overlay) used(code plan.Code, around Around) bool {
	return code == "" || o.Bolt(code) != nil || around.Used != nil && around.Used(code)
}

// Receive says what comes in, all of it or nothing: the refusal names the row.
func (o *Overlay) Receive(rows []Receipt, again bool, around Around) (Event, *Refusal) {
	e := Event{Action: Receive}
	if len(rows) == 0 {
		return e, missing("cloth")
	}
	for i := range rows {
		came, r := o.receive(&rows[i], again, around, e.Came)
		if r != nil {
			r.Row = i
			return Event{}, r
		}
		e.Came = append(e.Came, came...)
	}
	return e, nil
}

// receive is one row: as many alike bolts as it has codes. before are those of the rows before it.
func (o *Overlay) receive(row *Receipt, again bool, around Around, before []Came) ([]Came, *Refusal) {
	came, r := row.read()
	if r != nil {
		return nil, r
	}
	came.Cloth = o.Joined(came.Cloth)
	if r := o.receivedBefore(&came, again, before); r != nil {
		return nil, r
	}
	var list []Came
	for _, code := range row.Codes {
		taken := func(c Came) bool { return c.Bolt == code }
		if o.used(code, around) || slices.ContainsFunc(before, taken) || slices.ContainsFunc(list, taken) {
			return nil, refuse("busy", "")
		}
		came.Bolt = code
		list = append(list, came)
	}
	return list, nil
}

// read reads a row as it was typed.
func (row *Receipt) read() (c Came, r *Refusal) {
	units := cmp.Or(row.Units, measure.In)
	c = Came{Cloth: row.Cloth, Lot: row.Lot, SupplierPiece: row.SupplierPiece, Owner: row.Owner, Units: units, Place: row.Place, From: row.From,
		FirstRepeat: row.FirstRepeat, Flaws: row.Flaws}
	if blank(row.Cloth) {
		return c, missing("cloth")
	}
	if r = short(mostWord, "lot", row.Lot, "supplier_piece", row.SupplierPiece, "place", row.Place); r == nil {
		r = short(mostLine, "owner", row.Owner)
	}
	read := func(into *measure.Quantity, field, text string, of func(string, string, measure.Unit) (measure.Length, *Refusal)) {
		if r != nil || blank(text) {
			return
		}
		var l measure.Length
		if l, r = of(field, text, units); r == nil {
			*into = measure.OfLength(l, units)
		}
	}
	read(&c.Length, "length", row.Length, lengthOf)
	read(&c.Invoiced, "invoiced", row.Invoiced, lengthOf)
	read(&c.Width, "usable_width", row.Width, widthOf)
	read(&c.Begin, "begin", row.Begin, lengthOf)
	read(&c.Ends, "end_allowance", row.Ends, lengthOf)
	many := len(row.Codes)
	switch {
	case r != nil:
		return c, r
	case c.Length.Length() == 0 && c.Invoiced.Length() == 0:
		return c, missing("length")
	case many == 0 || many > 1 && (row.SupplierPiece != "" || row.From != nil):
		return c, badValue("count", measure.Count(many))
	}
	return c, nil
}

// receivedBefore refuses a supplier's piece that is here already, and a bolt of an order's file that was put on the shelf.
func (o *Overlay) receivedBefore(c *Came, again bool, before []Came) *Refusal {
	alike := func(cloth, lot, piece string) bool {
		return !again && c.SupplierPiece != "" && cloth == c.Cloth && lot == c.Lot && piece == c.SupplierPiece
	}
	if i := slices.IndexFunc(before, func(b Came) bool { return alike(b.Cloth, b.Lot, b.SupplierPiece) }); i >= 0 {
		return refuse("received_before", "supplier_piece", "Piece", c.SupplierPiece, "Lot", c.Lot, "Bolt", string(before[i].Bolt))
	}
	if c.SupplierPiece == "" && c.From == nil {
		return nil
	}
	for _, b := range o.Bolts() {
		switch {
		case c.From != nil && b.From != nil && *b.From == *c.From:
			return b.refuse("on_shelf_already", "from")
		case alike(b.Cloth, b.Lot, b.SupplierPiece):
			return b.refuse("received_before", "supplier_piece", "Piece", c.SupplierPiece)
		}
	}
	return nil
}
