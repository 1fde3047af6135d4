package desk

import (
	"cmp"
	"context"
	"encoding/base64"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"tablehand/engine/measure"
	"tablehand/engine/purchase"
	"tablehand/engine/workup"
	"tablehand/server/books"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/views/paper"
)

// Span is the due dates that a purchase list is for, both included (YYYY-MM-DD).
type Span struct{ From, To string }

// Check refuses a span whose dates can't be read, or that ends before it begins.
func (s Span) Check() error {
	for _, d := range []struct{ field, day string }{{"from", s.From}, {"to", s.To}} {
		if _, err := time.Parse(time.DateOnly, d.day); err != nil {
			return Refuse("bad_value", d.field, "Value", d.day)
		}
	}
	if s.To < s.From {
		return Refuse("bad_value", "to", "Value", s.To)
	}
	return nil
}

// PurchaseState is how far a line of a purchase list is.
type PurchaseState string

const (
	PurchaseOpen    PurchaseState = "open"
	PurchaseOrdered PurchaseState = "ordered"
	PurchaseCome    PurchaseState = "come"
)

// PurchaseStates are all there are.
func PurchaseStates() []PurchaseState {
	return []PurchaseState{PurchaseOpen, PurchaseOrdered, PurchaseCome}
}

// PurchaseLine is one thing to buy.
type PurchaseLine struct {
	purchase.Need
	Line             string // its id
	Supplier         string // as the books have it, "" where they don't
	Name, Number     string // the same
	Quantity, OnHand measure.Quantity
	ToOrder          measure.Quantity
	Packs            int // rolls or cones, 0 where the books don't say what one holds
	State            PurchaseState
}

// Called is the name of what is bought: that which orders name it by, and the one that the books have.
func (l *PurchaseLine) Called() string {
	id := ""
	if l.What == purchase.Cloth || l.What == purchase.Tape {
		id = l.ID
	}
	switch {
	case id == "" || l.Name == id:
		return l.Name
	case l.Name == "":
		return id
	}
	return id + " · " + l.Name
}

// Sized is the height of buckram, the drop of hooks, and of eyelets what they are across inside and outside, in the shop's unit; the zero value of all else.
func (d *Desk) Sized(l *PurchaseLine) measure.Quantity {
	switch {
	case l.Size <= 0:
		return measure.Quantity{}
	case l.Outer > 0:
		return measure.OfSize(l.Size, l.Outer, d.Shop().Unit())
	}
	return measure.OfLength(l.Size, d.Shop().Unit())
}

// Supplier is what to buy of one supplier.
type Supplier struct {
	Name  string // "" where the books don't say
	Lines []PurchaseLine
}

// Purchases is what the orders that aren't finished and are due in a span take, by supplier, those without one last. The error is
// bad_value for the span.
func (d *Desk) Purchases(ctx context.Context, span Span) ([]Supplier, error) {
	if err := span.Check(); err != nil {
		return nil, err
	}
	var worked []*workup.Workup
	for _, o := range d.Store.Floor().Orders() {
		open := o.State == stations.OrderTaken || o.State == stations.OrderReleased
		if !open || o.Due < span.From || o.Due > span.To {
			continue
		}
		w, err := d.WorkupOf(o)
		if err != nil {
			return nil, err
		}
		worked = append(worked, w)
	}
	said, err := d.Store.PurchaseLines(ctx)
	if err != nil {
		return nil, err
	}
	var suppliers []Supplier
	for _, need := range purchase.Of(worked) {
		line := d.purchaseLine(span, need, said)
		i := slices.IndexFunc(suppliers, func(s Supplier) bool { return s.Name == line.Supplier })
		if i < 0 {
			i = len(suppliers)
			suppliers = append(suppliers, Supplier{Name: line.Supplier})
		}
		suppliers[i].Lines = append(suppliers[i].Lines, line)
	}
	slices.SortStableFunc(suppliers, func(a, b Supplier) int {
		if a.Name == "" || b.Name == "" {
			return cmp.Compare(b.Name, a.Name)
		}
		return strings.Compare(a.Name, b.Name)
	})
	return suppliers, nil
}

// PrintPurchases writes a purchase list as PDF, a sheet for each supplier; errors as for Purchases.
func (d *Desk) PrintPurchases(ctx context.Context, w io.Writer, span Span, how Printing) error {
	suppliers, err := d.Purchases(ctx, span)
	if err != nil {
		return err
	}
	doc := paper.PurchasesDoc{Say: how.Say, Sheet: how.Sheet, Shop: d.Shop().Name, From: span.From, To: span.To, Made: d.Clock()}
	for _, s := range suppliers {
		of := paper.PurchasesOf{Supplier: s.Name}
		for i := range s.Lines {
			l := &s.Lines[i]
			of.Lines = append(of.Lines, paper.PurchaseLine{What: string(l.What), Name: l.Called(), Number: l.Number, Size: d.Sized(l),
				Need: l.Quantity, OnHand: l.OnHand, ToOrder: l.ToOrder, Packs: l.Packs, Orders: l.Orders, State: string(l.State)})
		}
		doc.Suppliers = append(doc.Suppliers, of)
	}
	return paper.Purchases(w, doc)
}

func (d *Desk) purchaseLine(span Span, need purchase.Need, said map[string]store.PurchaseLine) PurchaseLine {
	units := measure.Unit(d.Shop().Units)
	l := PurchaseLine{Need: need, Line: lineID(span, need), State: PurchaseOpen}
	kept, ok := said[l.Line]
	if ok {
		l.State = PurchaseState(kept.State)
	}
	fields := d.bookOf(need)
	l.Supplier, l.Number, l.Name = fields["supplier"], fields["number"], fields["name"]
	if need.Counted() {
		onHand, _ := strconv.Atoi(kept.OnHand) // checked when it was kept
		l.Quantity, l.ToOrder = measure.OfCount(need.Count), measure.OfCount(max(0, need.Count-onHand))
		if kept.OnHand != "" {
			l.OnHand = measure.OfCount(onHand)
		}
		return l
	}
	unit := units.Purchase()
	onHand, _ := measure.Parse(kept.OnHand, unit)
	step := measure.Length(0)
	if need.What == purchase.Cloth {
		step = d.Shop().Practice(units).OrderStep
	}
	pack, _ := measure.Parse(cmp.Or(fields["roll"], fields["cone"]), unit)
	if need.What == purchase.Thread && pack == 0 { // what the shop reckons with where no thread is in the books
		pack = d.Shop().Practice(units).ConeLength
	}
	toOrder, packs := purchase.ToBuy(need.Length, onHand, step, pack)
	l.Quantity, l.ToOrder, l.Packs = measure.OfLength(need.Length, unit), measure.OfLength(toOrder, unit), packs
	if kept.OnHand != "" {
		l.OnHand = measure.OfLength(onHand, unit)
	}
	return l
}

// bookOf is what the books say of a thing to buy: of a cloth and a tape by the id that orders name, of thread where they have just
// one.
func (d *Desk) bookOf(need purchase.Need) books.Fields {
	var entry *books.Entry
	switch need.What {
	case purchase.Cloth:
		entry = d.Books.Entry(books.Cloths, need.ID)
	case purchase.Tape:
		entry = d.Books.Entry(books.Tapes, need.ID)
	case purchase.Thread:
		entry = d.thread()
	}
	if entry == nil {
		return nil
	}
	return entry.Fields
}

func (d *Desk) thread() (only *books.Entry) {
	tapes, _ := d.Books.Find(books.Tapes, books.Asked{Most: 10_000})
	for _, e := range tapes {
		switch {
		case e.Fields["kind"] != "thread":
		case only != nil:
			return nil
		default:
			only = e
		}
	}
	return only
}

// lineID names a line of a span's list. It can be read back, so that what is said of a line that there isn't is refused.
func lineID(span Span, n purchase.Need) string {
	id := n.ID
	if n.Outer > 0 {
		id = strconv.FormatInt(int64(n.Outer), 10)
	}
	parts := []string{span.From, span.To, string(n.What), id, strconv.FormatInt(int64(n.Size), 10)}
	return base64.RawURLEncoding.EncodeToString([]byte(strings.Join(parts, "\x00")))
}

func spanOf(line string) (Span, bool) {
	text, err := base64.RawURLEncoding.DecodeString(line)
	parts := strings.Split(string(text), "\x00")
	if err != nil || len(parts) != 5 {
		return Span{}, false
	}
	return Span{parts[0], parts[1]}, true
}

// SetPurchase says how far a line is, and what of it is on hand as somebody types it: a length, pieces, "" nothing. A nil of either
// leaves it as it is. The error is not_found for a line that there isn't, bad_value, bad_length or negative.
func (d *Desk) SetPurchase(ctx context.Context, actor stations.Actor, id string, state *PurchaseState, onHand *string) (PurchaseLine, error) {
	line, err := d.Purchase(ctx, id)
	if err != nil {
		return PurchaseLine{}, err
	}
	kept := store.PurchaseLine{Line: id, State: string(line.State), OnHand: line.OnHand.String(), Who: actor.Name}
	if state != nil {
		if !slices.Contains(PurchaseStates(), *state) {
			return PurchaseLine{}, Refuse("bad_value", "state", "Value", string(*state))
		}
		kept.State = string(*state)
	}
	if onHand != nil {
		if kept.OnHand, err = d.onHand(line, strings.TrimSpace(*onHand)); err != nil {
			return PurchaseLine{}, err
		}
	}
	if err := d.Store.KeepPurchaseLine(ctx, kept); err != nil {
		return PurchaseLine{}, err
	}
	return d.Purchase(ctx, id)
}

// onHand reads what is on hand of a line.
func (d *Desk) onHand(line PurchaseLine, typed string) (string, error) {
	if typed == "" {
		return "", nil
	}
	if line.Counted() {
		n, err := strconv.Atoi(typed)
		if err != nil || n < 0 {
			return "", Refuse("bad_value", "on_hand", "Value", typed)
		}
		return typed, nil
	}
	unit := measure.Unit(d.Shop().Units).Purchase()
	l, err := measure.Parse(typed, unit)
	switch {
	case err != nil:
		return "", Refuse("bad_length", "on_hand", "Value", typed)
	case l < 0:
		return "", Refuse("negative", "on_hand", "Value", typed)
	}
	return l.In(unit), nil
}

// Purchase returns a line of its span's list. The error is not_found.
func (d *Desk) Purchase(ctx context.Context, id string) (PurchaseLine, error) {
	span, ok := spanOf(id)
	if !ok || span.Check() != nil {
		return PurchaseLine{}, store.ErrNotFound
	}
	suppliers, err := d.Purchases(ctx, span)
	if err != nil {
		return PurchaseLine{}, err
	}
	for _, s := range suppliers {
		for _, l := range s.Lines {
			if l.Line == id {
				return l, nil
			}
		}
	}
	return PurchaseLine{}, store.ErrNotFound
}
