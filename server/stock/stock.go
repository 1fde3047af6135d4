// Package stock is what the shop does with its cloth: it takes bolts in, looks after them, finds them, and prints their labels. It
// knows nothing of HTTP. What it refuses is a *stations.Refusal.
package stock

import (
	"cmp"
	"context"
	"crypto/rand"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views/paper"
)

// Stock is the shop's cloth.
type Stock struct{ *desk.Desk }

// mostAlike is how many alike bolts one receipt may have; our own choice.
const mostAlike = 100

// Receive takes cloth in and returns the event, which names the new bolts. The error is unknown_cloth where the book of cloths hasn't
// the key, received_before, on_shelf_already, missing_key, bad_value, bad_length, each with the row that it is about.
func (s Stock) Receive(ctx context.Context, cmd stations.ReceiveBolts) (stations.Event, error) {
	cmd, err := s.coded(cmd)
	if err != nil {
		return stations.Event{}, err
	}
	return s.Store.Do(ctx, cmd)
}

// coded looks each row's cloth up and draws its bolts' codes.
func (s Stock) coded(cmd stations.ReceiveBolts) (stations.ReceiveBolts, error) {
	draw := desk.NewCodes(s.Store.Floor())
	cmd.Asked, cmd.Rows = cmd.Rows, slices.Clone(cmd.Rows)
	for i := range cmd.Rows {
		row := &cmd.Rows[i]
		if err := s.ofFile(row); err != nil {
			return cmd, err
		}
		if err := s.cloth(row); err != nil {
			err.Row = i
			return cmd, err
		}
		if row.Count < 0 || row.Count > mostAlike {
			r := desk.Refuse("bad_value", "count", "Value", measure.Count(row.Count))
			r.Row = i
			return cmd, r
		}
		for range max(row.Count, 1) {
			row.Codes = append(row.Codes, draw())
		}
	}
	return cmd, nil
}

// ofFile fills in what is known of a bolt of an order's file that is put on the shelf: what is left of it, its lot, flaws and pattern. It
// is the customer's unless the row says otherwise.
func (s Stock) ofFile(row *shelf.Receipt) error {
	if row.From == nil {
		return nil
	}
	floor := s.Store.Floor()
	order := floor.Order(row.From.Order)
	if order == nil {
		return desk.Refuse("not_found", "from", "Order", row.From.Order)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	w, err := s.Workup(ctx, order.ID)
	if err != nil {
		return err
	}
	fabric := w.Order.Fabric(row.From.Fabric)
	if fabric == nil {
		return desk.Refuse("bad_value", "from", "Value", row.From.Fabric)
	}
	if code, on := floor.Shelf().Called()[*row.From]; on {
		b := floor.Shelf().Bolt(code) // which the shelf refuses, or has the same receipt answered again
		row.Cloth, row.Units, row.Length = b.Cloth, b.Units, measure.OfLength(b.Received, b.Units).String()
		return nil
	}
	b, is := floor.FileBolt(order, fabric, row.From.Bolt)
	if !is {
		return desk.Refuse("unknown_bolt", "from", "Bolt", row.From.Bolt, "Fabric", fabric.ID)
	}
	exact := func(l measure.Length) string { return measure.OfLength(l, w.Order.Units).String() }
	row.Units, row.Begin, row.Length, row.Width = w.Order.Units, exact(b.From), exact(b.Length-b.From), exact(fabric.UsableWidth)
	row.Lot, row.Cloth = cmp.Or(row.Lot, b.Lot), cmp.Or(row.Cloth, order.ClothOf(fabric))
	row.FirstRepeat = plan.OptionalLength(b.FirstRepeat, w.Order.Units)
	for _, f := range b.Flaws {
		row.Flaws = append(row.Flaws, shelf.Flaw{From: measure.OfLength(f.From, w.Order.Units), To: measure.OfLength(f.To, w.Order.Units), Kind: shelf.Other,
			Points: max(s.Ways(w.Order.Units).CutAround, shelf.PointsOf(shelf.Other, f.To-f.From, w.Order.Units, "")), Found: shelf.AtInspection})
	}
	return nil
}

// cloth looks a row's cloth up, which says in what it is measured where nobody else does.
func (s Stock) cloth(row *shelf.Receipt) *stations.Refusal {
	if strings.TrimSpace(row.Cloth) == "" {
		return desk.Refuse("missing_key", "cloth", "Name", "cloth")
	}
	e := s.Books.Entry(books.Cloths, row.Cloth)
	if e == nil {
		return desk.Refuse("unknown_cloth", "cloth", "Cloth", row.Cloth)
	}
	row.Cloth = e.ID
	switch {
	case row.Units == "":
		row.Units = s.UnitsOf(e.ID)
	case !slices.Contains(Units, row.Units):
		return desk.Refuse("bad_value", "units", "Value", string(row.Units))
	}
	row.Width = cmp.Or(row.Width, e.Fields["measured.usable_width"], e.Fields["usable_width"])
	row.Ends = e.Fields["end_allowance"]
	return nil
}

// Units are those that a bolt is measured in.
var Units = []measure.Unit{measure.In, "cm", "mm"}

// UnitsOf is in what a cloth's bolts are measured where nobody says: as it is sold, else as the shop measures.
func (s Stock) UnitsOf(cloth string) measure.Unit {
	if e := s.Books.Entry(books.Cloths, cloth); e != nil && e.Fields["sold_by"] != "" {
		return map[string]measure.Unit{"yd": measure.In, "m": "mm"}[e.Fields["sold_by"]]
	}
	return measure.Unit(cmp.Or(s.Shop().Units, string(measure.In)))
}

// Handle does something with a bolt, or with a count. The error is a refusal.
func (s Stock) Handle(ctx context.Context, cmd stations.Handle) (stations.Event, error) {
	floor := s.Store.Floor()
	cmd.New = desk.NewCodes(floor)()
	cmd.Ways = s.Ways(measure.In)
	if b := floor.Shelf().Bolt(cmd.Bolt); b != nil {
		cmd.Ways = s.Ways(b.Units)
	}
	if cmd.Command.Action == shelf.BeginCount {
		cmd.Count = strings.ToLower(rand.Text()[:12])
	}
	return s.Store.Do(ctx, cmd)
}

// Told is what a bolt's inspection has to tell the office: that less came than was invoiced, that it scores over the shop's limit, that it is
// narrower, or repeats otherwise, than the orders count on to which it is promised.
func (s Stock) Told(e stations.Event, b *shelf.Bolt) (list []engine.Problem) {
	if e.Shelf.Action != shelf.Inspect {
		return nil
	}
	if b.Invoiced > 0 && b.Received > 0 && b.Received < b.Invoiced {
		buys := b.Units.Purchase()
		list = append(list, engine.Problem{Severity: engine.Warning, Code: "short_delivered", Where: "length", Units: buys,
			Args: map[string]any{"Invoiced": b.Invoiced, "Measured": b.Received, "Difference": b.Invoiced - b.Received}})
	}
	if e.Shelf.Held {
		list = append(list, engine.Problem{Severity: engine.Warning, Code: "inspection_failed", Where: "flaws", Args: map[string]any{"Points": b.Score().Per100}})
	}
	return append(list, s.otherwise(b)...)
}

// otherwise tells the tickets to which a bolt is promised that count on another width or repeat than was measured.
func (s Stock) otherwise(b *shelf.Bolt) (list []engine.Problem) {
	floor := s.Store.Floor()
	var seen []plan.Code
	for _, p := range floor.Promised(b.Code) {
		t := floor.Ticket(p.Ticket)
		if slices.Contains(seen, p.Ticket) {
			continue
		}
		seen = append(seen, p.Ticket)
		tell := func(code, where string, args map[string]any) {
			args["Order"], args["Fabric"], args["Code"] = t.Order, t.Spec.Fabric, string(b.Code)
			list = append(list, engine.Problem{Severity: engine.Warning, Code: code, Where: where, Units: b.Units, Args: args})
		}
		if width, usable, narrow := t.Narrow(b); narrow {
			tell("bolt_narrow", "widths", map[string]any{"Width": width, "Usable": usable})
		}
		counts := t.Spec.Number("vertical_repeat").Length()
		if repeat := b.Repeat(); repeat > 0 && (repeat-counts).Abs() > desk.RepeatOff {
			tell("repeat_differs", "repeat", map[string]any{"Measured": repeat, "Repeat": counts})
		}
	}
	return list
}

// Asked is which bolts somebody looks for; "" for any.
type Asked struct {
	Cloth, Owner, Place string
	State               shelf.State // "" all that are here or missing
	Free                bool        // those alone of which something is free
	Find                string      // letters of a cloth's name, a lot, a place, a supplier's piece, an owner or a code
}

// Find returns the bolts that are asked for, those first whose opening costs nothing, the shortest first.
func (s Stock) Find(asked Asked) (list []*shelf.Bolt) {
	floor := s.Store.Floor()
	find := strings.ToLower(strings.TrimSpace(asked.Find))
	is := func(wanted, has string) bool { return wanted == "" || wanted == has }
	for _, b := range floor.Shelf().Bolts() {
		here := b.OnHand() || b.Lies == shelf.Missing
		switch {
		case !is(asked.Cloth, b.Cloth), !is(asked.Owner, b.Owner), !is(asked.Place, b.Place), !is(string(asked.State), string(b.State())), asked.State == "" && !here:
			continue
		case find != "" && !strings.Contains(strings.ToLower(strings.Join([]string{s.Names(b.Cloth), b.Lot, b.Place, b.SupplierPiece, string(b.Code), b.Owner}, "\n")), find):
			continue
		}
		if all, _ := s.Free(floor, b); asked.Free && all == 0 {
			continue
		}
		list = append(list, b)
	}
	slices.SortStableFunc(list, func(a, b *shelf.Bolt) int {
		opened := func(b *shelf.Bolt) int {
			if b.Opened || b.IsRemnant() {
				return 0
			}
			return 1
		}
		return cmp.Or(cmp.Compare(a.Cloth, b.Cloth), cmp.Compare(opened(a), opened(b)), cmp.Compare(a.Rest, b.Rest))
	})
	return list
}

// Places are those at which something lies, in their order.
func (s Stock) Places() []string {
	places := map[string]bool{}
	for _, b := range s.Store.Floor().Shelf().Bolts() {
		if b.Place != "" && (b.OnHand() || b.Lies == shelf.Missing) {
			places[b.Place] = true
		}
	}
	return slices.Sorted(maps.Keys(places))
}

// Place is a place as the shelf writes it where something lies there: 3b is 3B.
func (s Stock) Place(typed string) string {
	for _, place := range s.Places() {
		if strings.EqualFold(place, typed) {
			return place
		}
	}
	return typed
}

// Free is how much of a bolt is free for anybody, and the longest stretch of that.
func (s Stock) Free(f *stations.Floor, b *shelf.Bolt) (all, longest measure.Length) {
	return b.Free(f.Promised(b.Code), s.Ways(b.Units))
}

// Whose is a customer's cloth as it is shown: the name to those who may read it, to others the number of the order that it came with or is for, as tickets
// show a customer. "" where it is the shop's, or where no order is known.
func (s Stock) Whose(b *shelf.Bolt, named bool) string {
	floor := s.Store.Floor()
	switch {
	case b.Owner == "" || named:
		return b.Owner
	case b.From != nil && b.From.Order != "":
		return b.From.Order
	case b.Kept != nil && b.Kept.Order != "":
		return b.Kept.Order
	}
	for _, p := range floor.Promised(b.Code) {
		return p.Order
	}
	if b.From != nil {
		if parent := floor.Shelf().Bolt(b.From.Parent); parent != nil {
			return s.Whose(parent, named)
		}
	}
	return ""
}

// Long is a length of cloth as it is spoken of: from two yards or metres on in those.
func Long(l measure.Length, units measure.Unit) measure.Quantity {
	buys, least := units.Purchase(), 2*measure.Yard
	if units.Metric() {
		least = 2 * measure.Metre
	}
	if l < least {
		buys = units
	}
	return measure.OfLength(l, buys)
}

// Names are what the shop calls a bolt's cloth: its name, else its key.
func (s Stock) Names(cloth string) string {
	if e := s.Books.Entry(books.Cloths, cloth); e != nil {
		return e.Name()
	}
	return cloth
}

// mostPast is how much of a bolt's history is told.
const mostPast = 200

// Past is what has happened to a bolt, oldest first; of one with a long history the newest.
func (s Stock) Past(ctx context.Context, b *shelf.Bolt) ([]stations.Event, error) {
	events, err := s.Store.EventsAt(ctx, b.Events[max(0, len(b.Events)-mostPast):])
	var past []stations.Event
	for _, e := range events {
		for _, told := range e.Told { // each by itself
			if told.Seq, told.At = e.Seq, e.At; told.Shelf != nil && told.Shelf.Bolt == b.Code {
				past = append(past, told)
			}
		}
		if e.Shelf != nil || len(e.Told) == 0 {
			past = append(past, e)
		}
	}
	return past, err
}

// Labels writes the labels of bolts.
func (s Stock) Labels(w io.Writer, bolts []*shelf.Bolt, how desk.Printing) error {
	doc := paper.BoltLabelsDoc{Say: how.Say, Sheet: how.Sheet, Address: how.Address, Made: s.Clock()}
	for _, b := range bolts {
		l := paper.BoltLabel{Bolt: b.Code, Cloth: s.Names(b.Cloth), Lot: b.Lot, Length: b.Rest, Units: b.Units, Width: b.Width, Place: b.Place,
			Received: b.Since.In(s.Shop().Zone).Format(time.DateOnly), Remnant: b.IsRemnant(), Half: b.IsHalf(), CustomersCloth: b.Owner != "",
			Owner: s.Whose(b, s.Shop().PrintSidemark)}
		doc.Bolts = append(doc.Bolts, l)
	}
	return paper.BoltLabels(w, doc)
}
