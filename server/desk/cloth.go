package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/server/books"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Ways are the shop's own ways with cloth, for an order or a bolt in those units.
func (d *Desk) Ways(units measure.Unit) shelf.Ways {
	return shelf.WaysOf(d.Shop().Practice(units).Shelf, units)
}

// OnShelf gives the fabrics of an order that is being worked out the bolts that the shelf has for them, and tells what is wrong
// between the file and the shelf. Errors are of a file that comes in; those on the books have none of them to mend.
func (d *Desk) OnShelf(o *orderfile.Order) (problems []engine.Problem) {
	floor, ways := d.Store.Floor(), d.Ways(o.Units)
	known := floor.Order(o.ID)
	for i := range o.Fabrics {
		c := clothCheck{d, o, &o.Fabrics[i], fmt.Sprintf("fabrics[%d]", i), nil}
		c.named()
		with := floor.Pieces(o.ID, o.Customer, &o.Fabrics[i], ways)
		cloth := o.Fabrics[i].Cloth
		if known != nil {
			cloth = known.ClothOf(&o.Fabrics[i])
		}
		c.measured(cloth)
		o.Fabrics[i].Bolts = with.Bolts
		problems = append(problems, c.problems...)
	}
	return problems
}

// tellShort says beside each shortage how the shop's cloth stands to the order.
func (d *Desk) tellShort(w *workup.Workup) {
	floor := d.Store.Floor()
	for i := range w.Problems {
		if p := &w.Problems[i]; p.Code == "fabric_short" {
			id, _ := p.Args["Fabric"].(string)
			floor.ClothFor(w.Order, w.Order.Fabric(id), d.Ways(w.Order.Units)).Tell(p.Args)
		}
	}
}

// clothCheck holds a fabric of a file against the shelf.
type clothCheck struct {
	*Desk
	o        *orderfile.Order
	f        *orderfile.Fabric
	where    string
	problems []engine.Problem
}

func (c *clothCheck) tell(severity engine.Severity, code, at string, args map[string]any) {
	where := c.where + at
	line, column := c.o.Position(where)
	args["Fabric"] = c.f.ID
	c.problems = append(c.problems, engine.Problem{Severity: severity, Code: code, Where: where, Line: line, Column: column, Units: c.o.Units, Args: args})
}

// named looks at what the file names: the cloth has to be in the book, each bolt on the shelf, and the order's to cut.
func (c *clothCheck) named() {
	switch e := c.Books.Entry(books.Cloths, c.f.Cloth); {
	case c.f.Cloth == "":
	case e == nil:
		c.tell(engine.Error, "unknown_cloth", ".cloth", map[string]any{"Cloth": c.f.Cloth})
	default:
		c.f.Cloth = e.ID // into which the one that the file names may have been merged
	}
	for i := range c.f.Bolts {
		b := &c.f.Bolts[i]
		if b.Shelf == "" {
			continue
		}
		at := fmt.Sprintf(".bolts[%d].shelf", i)
		var on *shelf.Bolt
		if code, err := plan.ParseCode(b.Shelf); err == nil {
			b.Shelf, on = string(code), c.Store.Floor().Shelf().Bolt(code)
		}
		switch {
		case on == nil:
			c.tell(engine.Error, "unknown_bolt", at, map[string]any{"Bolt": b.ID, "Code": b.Shelf})
		case c.f.Cloth != "" && on.Cloth != c.f.Cloth:
			c.tell(engine.Error, "unknown_bolt", at, map[string]any{"Bolt": b.ID, "Code": b.Shelf, "Cloth": on.Cloth, "Wanted": c.f.Cloth})
		case on.Owner != "" && on.Owner != c.o.Customer:
			c.tell(engine.Error, "other_customers_cloth", at, map[string]any{"Bolt": b.ID, "Code": b.Shelf})
		default:
			c.differs(b, on, at)
		}
	}
}

// differs tells what the file says of a bolt of the shelf otherwise than that: the shelf's counts.
func (c *clothCheck) differs(b *orderfile.Bolt, on *shelf.Bolt, at string) {
	tell := func(args map[string]any) {
		args["Bolt"], args["Code"] = b.ID, b.Shelf
		c.tell(engine.Warning, "bolt_differs", at, args)
	}
	if b.Length > 0 && b.Length != on.Length() {
		tell(map[string]any{"File": b.Length, "Shelf": on.Length()})
	}
	if b.Lot != "" && b.Lot != on.Lot {
		tell(map[string]any{"FileLot": b.Lot, "ShelfLot": on.Lot})
	}
	if b.FirstRepeat > 0 && b.FirstRepeat != on.FirstRepeat {
		tell(map[string]any{"FileFirst": b.FirstRepeat, "ShelfFirst": on.FirstRepeat})
	}
	for _, f := range b.Flaws {
		known := func(is shelf.Flaw) bool { return is.Span().From == f.From && is.Span().To == f.To }
		if !slices.ContainsFunc(on.Flaws, known) {
			tell(map[string]any{"FlawFrom": f.From, "FlawTo": f.To})
		}
	}
}

// RepeatOff is by how much a bolt's repeat may be off the fabric's before it is told; from memory.
const RepeatOff = measure.Inch / 8

// measured tells of bolts that are named, or of the cloth, and too narrow for the order, which it isn't cut from, and of those whose
// pattern repeats otherwise.
func (c *clothCheck) measured(cloth string) {
	named := func(b *shelf.Bolt) bool {
		return slices.ContainsFunc(c.f.Bolts, func(f orderfile.Bolt) bool { return f.Shelf == string(b.Code) })
	}
	for _, b := range c.Store.Floor().Shelf().Bolts() {
		if (cloth == "" || b.Cloth != cloth) && !named(b) || !b.OnHand() || b.IsHalf() || b.Owner != "" && b.Owner != c.o.Customer {
			continue
		}
		if b.Width > 0 && b.Width < c.f.UsableWidth {
			c.tell(engine.Warning, "bolt_narrow", ".usable_width", map[string]any{"Code": string(b.Code), "Width": b.Width, "Usable": c.f.UsableWidth})
		}
		if repeat := b.Repeat(); repeat > 0 && (repeat-c.f.VerticalRepeat).Abs() > RepeatOff {
			c.tell(engine.Warning, "repeat_differs", ".vertical_repeat", map[string]any{"Code": string(b.Code), "Measured": repeat, "Repeat": c.f.VerticalRepeat})
		}
	}
}

// Offered tells which remnants of the shelf an order's plans use, where they lie and for how much, as long as nobody has cutting tickets of
// it: a remnant is fetched before a bolt is opened.
func (d *Desk) Offered(w *workup.Workup) (problems []engine.Problem) {
	floor := d.Store.Floor()
	if o := floor.Order(w.Order.ID); o != nil && o.State != stations.OrderTaken {
		return nil
	}
	for i := range w.Cloth {
		cloth := &w.Cloth[i]
		c := clothCheck{o: w.Order, f: cloth.Fabric, where: fmt.Sprintf("fabrics[%d]", w.Order.FabricIndex(cloth.Fabric.ID))}
		for _, piece := range cloth.Fabric.Bolts {
			b := floor.Shelf().Bolt(plan.Code(piece.Shelf))
			cuts := 0
			for _, p := range cloth.Plan.Placements {
				if p.Bolt == piece.ID {
					cuts++
				}
			}
			if b != nil && b.IsRemnant() && cuts > 0 {
				c.tell(engine.Note, "remnant_offered", "", map[string]any{"Code": string(b.Code), "Length": b.Rest, "Place": b.Place, "Lot": b.Lot, "Count": cuts})
			}
		}
		problems = append(problems, c.problems...)
	}
	return problems
}

// LinkCloth says which of the shop's cloths a fabric of an order is, "" for what the file says. The error is a refusal: not_found,
// unknown_cloth, bad_value for a fabric that the order hasn't, cloth_differs where the file has sizes otherwise than the book and no
// reason is given, already_cut.
func (d *Desk) LinkCloth(ctx context.Context, cmd stations.LinkCloth) (stations.Event, error) {
	order := d.Store.Floor().Order(cmd.Order)
	if order == nil {
		return stations.Event{}, Refuse("not_found", "order", "Order", cmd.Order)
	}
	w, err := d.Workup(ctx, cmd.Order)
	if err != nil {
		return stations.Event{}, err
	}
	f := w.Order.Fabric(cmd.Fabric)
	if f == nil {
		return stations.Event{}, Refuse("bad_value", "fabric", "Value", cmd.Fabric)
	}
	if cmd.Cloth != "" {
		e := d.Books.Entry(books.Cloths, cmd.Cloth)
		if e == nil {
			return stations.Event{}, Refuse("unknown_cloth", "cloth", "Cloth", cmd.Cloth)
		}
		cmd.Cloth, cmd.Differs = e.ID, Differs(f, e)
	}
	cmd.Sheet = stations.Sheet{Work: w, Digest: order.Digest, Revision: order.Revision, Ways: d.Ways(w.Order.Units)}
	return d.Store.Do(ctx, cmd)
}

// JoinCuts plans the cuts of several tickets of one cloth together, or those of a single one that was joined by itself again. The error is a
// refusal: unknown_ticket, missing_key, wrong_cloth, cloth_differs, other_customers_cloth, held, at_work, on_table, finished, cancelled,
// fabric_short, lots_mixed.
func (d *Desk) JoinCuts(ctx context.Context, cmd stations.JoinCuts) (stations.Event, error) {
	floor := d.Store.Floor()
	cmd.Sheets = map[string]*stations.Sheet{}
	var list []*stations.Ticket
	for _, code := range cmd.Tickets {
		if t := floor.Ticket(code); t != nil {
			list = append(append(list, t), floor.JoinedWith(t)...)
		}
	}
	for _, t := range list {
		if cmd.Sheets[t.Order] != nil {
			continue
		}
		sheet, err := d.sheet(ctx, floor, t.Order)
		if err != nil {
			return stations.Event{}, err
		}
		cmd.Sheets[t.Order] = sheet
	}
	return d.Store.Do(ctx, cmd)
}

// Differs names what an order's fabric has otherwise than the book's cloth, of what both say: keys of the order file.
func Differs(f *orderfile.Fabric, e *books.Entry) (keys []string) {
	lengths := map[string]measure.Length{"usable_width": f.UsableWidth, "vertical_repeat": f.VerticalRepeat}
	for _, key := range []string{"usable_width", "vertical_repeat"} {
		if text := e.Fields[key]; text != "" {
			if l, err := measure.Parse(text, measure.In); err == nil && l != lengths[key] {
				keys = append(keys, key)
			}
		}
	}
	if match := e.Fields["match"]; match != "" && f.VerticalRepeat > 0 && match != string(f.Match) {
		keys = append(keys, "match")
	}
	return slices.Compact(keys)
}

// MergeCloth has two rows of the book of cloths be one: the shelf's bolts and the orders' links go by the one that stays, then the rows
// are merged. The error is cloth_differs where both say a width, a repeat or a match, not the same, and no reason is given; else as that
// of the book. What was begun is gone on with when it is sent again.
func (d *Desk) MergeCloth(ctx context.Context, by books.By, id, into, person, reason string) (books.Done, error) {
	from, to := d.Books.Entry(books.Cloths, id), d.Books.Entry(books.Cloths, into)
	if from != nil && to != nil && from != to {
		cmd := stations.MergeCloth{Actor: by.Actor, Key: by.Key, Cloth: from.ID, Into: to.ID, Person: person, Reason: reason}
		for _, key := range []string{"usable_width", "vertical_repeat", "match"} {
			if a, b := from.Fields[key], to.Fields[key]; a != "" && b != "" && a != b {
				cmd.Differs = append(cmd.Differs, key)
			}
		}
		switch knows := d.Store.Floor().Knows(from.ID); { // not where nothing is of it, or all has moved and the book wasn't told yet
		case knows:
			if _, err := d.Store.Do(ctx, cmd); err != nil {
				return books.Done{}, err
			}
		case len(cmd.Differs) > 0 && strings.TrimSpace(reason) == "":
			return books.Done{}, Refuse("cloth_differs", "reason", "Fabric", "", "Cloth", from.ID, "Into", to.ID, "Fields", cmd.Differs)
		}
	}
	return d.Books.Merge(ctx, by, books.Cloths, id, into)
}

// OfFabric are the problems that are about a fabric.
func OfFabric(problems []engine.Problem, fabric string) (list []engine.Problem) {
	for _, p := range problems {
		if p.Args["Fabric"] == fabric {
			list = append(list, p)
		}
	}
	return list
}
