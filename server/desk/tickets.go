package desk

import (
	"context"
	"io"
	"maps"
	"slices"
	"time"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/paper"
	"tablehand/views/paper/room"
)

// Bounds of paper: a hotel's packet takes a core for seconds. Our own choice.
const (
	papersAtOnce = 2
	papersWait   = 16
	paperWait    = 15 * time.Second
)

// PaperTurn waits for a turn at making paper, which leave ends. The error is paper_busy where too many wait, or the turn
// doesn't come.
func (d *Desk) PaperTurn() (leave func(), err error) {
	leave, ok := d.papers.Take()
	if !ok {
		return nil, Refuse("paper_busy", "")
	}
	return leave, nil
}

// PapersInHand is how many papers are being made or wait for it.
func (d *Desk) PapersInHand() int { return d.papers.Taken() }

// OfShop is for paper that is no order's.
func (p Printing) OfShop(shop plan.Layout, made time.Time) paper.ShopDoc {
	return paper.ShopDoc{Say: p.Say, Sheet: p.Sheet, Address: p.Address, Shop: shop, Made: made}
}

// Printing is how paper is wanted: on which sheet, with which address in its QR codes, in which language.
type Printing struct {
	Sheet   paper.Sheet // "" the paper's own: labels, or letter where it does not fit them
	Address string
	Say     *i18n.Printer
	Since   int // of an order's tickets those alone that a revision from this one on has changed and that are still made; 0: all
}

// Tickets writes the tickets of a released order as PDF, and returns how many there are. The error is not_found for an
// unknown order and where none is asked for, and not_released for one that has none yet.
func (d *Desk) Tickets(ctx context.Context, w io.Writer, order string, how Printing) (int, error) {
	doc, err := d.packet(ctx, order, how)
	if err != nil {
		return 0, err
	}
	if how.Since > 0 {
		doc.Tickets = slices.DeleteFunc(doc.Tickets, func(t *plan.Ticket) bool {
			return t.Revision < how.Since || d.Store.Floor().Ticket(t.Code).Current() == nil
		})
		if len(doc.Tickets) == 0 {
			return 0, Refuse("not_found", "revision")
		}
	}
	return len(doc.Tickets), paper.Tickets(w, doc.TicketsDoc)
}

// Reprints are an order's tickets that its newest revision has changed and that are still made: their paper is to be pulled. Whether
// that has been done nobody is asked.
func Reprints(o *stations.Order) (list []*stations.Ticket) {
	for _, t := range o.Tickets {
		if o.Revision > 1 && t.Spec.Revision == o.Revision && t.Current() != nil {
			list = append(list, t)
		}
	}
	return list
}

// Tags writes a tag for every cut piece of a released order; errors as for Tickets.
func (d *Desk) Tags(ctx context.Context, w io.Writer, order string, how Printing) error {
	doc, err := d.packet(ctx, order, how)
	if err != nil {
		return err
	}
	return paper.Tags(w, doc.TicketsDoc)
}

// Packet writes a released order's job packet; errors as for Tickets, and bad_value for labels, which it does not fit.
func (d *Desk) Packet(ctx context.Context, w io.Writer, order string, how Printing) error {
	if how.Sheet == paper.Labels {
		return Refuse("bad_value", "paper", "Value", string(how.Sheet))
	}
	doc, err := d.packet(ctx, order, how)
	if err != nil {
		return err
	}
	return paper.Packet(w, doc)
}

// Rooms writes how the windows of some rooms of an order will hang, of all where none is named, released or not; "" is the name
// of those without a room. The error is not_found for an unknown order, or a room without a window that can be drawn; bad_value for
// labels and tags, which are too small.
func (d *Desk) Rooms(ctx context.Context, w io.Writer, order string, how Printing, names ...string) error {
	if how.Sheet == paper.Labels || how.Sheet == paper.TagStock {
		return Refuse("bad_value", "paper", "Value", string(how.Sheet))
	}
	o := d.Store.Floor().Order(order)
	if o == nil {
		return Refuse("not_found", "order")
	}
	worked, err := d.Workup(ctx, order)
	if err != nil {
		return err
	}
	all := room.Names(worked)
	if len(names) == 0 {
		names = all
	}
	if len(all) == 0 || slices.ContainsFunc(names, func(name string) bool { return !slices.Contains(all, name) }) {
		return Refuse("not_found", "room")
	}
	return paper.Rooms(w, paper.RoomsDoc{Say: how.Say, Sheet: how.Sheet, Shop: d.Shop().Name, Workup: worked, Rooms: names, Made: o.Taken})
}

// Ticket writes one ticket anew, for one that is lost or torn: its code is still the same.
func (d *Desk) Ticket(ctx context.Context, w io.Writer, t *stations.Ticket, how Printing) error {
	doc, err := d.packet(ctx, t.Order, how)
	if err != nil {
		return err
	}
	doc.TicketsDoc.Tickets = []*plan.Ticket{t.Spec}
	return paper.Tickets(w, doc.TicketsDoc)
}

// packet gathers all that an order's paper says. Cancelled tickets are on none.
func (d *Desk) packet(ctx context.Context, order string, how Printing) (paper.PacketDoc, error) {
	o := d.Store.Floor().Order(order)
	if o == nil {
		return paper.PacketDoc{}, Refuse("not_found", "order")
	}
	if len(o.Tickets) == 0 {
		return paper.PacketDoc{}, Refuse("not_released", "order", "Order", order)
	}
	worked, err := d.Workup(ctx, order)
	if err != nil {
		return paper.PacketDoc{}, err
	}
	doc := paper.PacketDoc{Revision: o.Revision, Workup: worked, TicketsDoc: paper.TicketsDoc{
		Say: how.Say, Sheet: how.Sheet, Address: how.Address, Order: o.ID, Due: o.Due, Made: o.Taken,
	}}
	floor := d.Store.Floor()
	for i := range worked.Order.Fabrics {
		doc.Fabrics = append(doc.Fabrics, *floor.Bolts(o, &worked.Order.Fabrics[i], d.Ways(worked.Order.Units)))
	}
	if doc.Panel, err = d.drawn(ctx, o, worked); err != nil {
		return paper.PacketDoc{}, err
	}
	always, err := d.Store.Setting(ctx, store.PrintSidemark)
	if err != nil {
		return paper.PacketDoc{}, err
	}
	if worked.Order.PrintSidemark || always == Yes {
		doc.Sidemark, doc.Customer = worked.Order.Sidemark, worked.Order.Customer
	}
	for _, t := range o.Tickets {
		if t.State() != stations.Cancelled {
			doc.Tickets = append(doc.Tickets, askedNow(floor, t))
		}
	}
	return doc, nil
}

// askedNow is what stands on a ticket's paper now: what another panel has been asked for instead isn't asked of it any more.
func askedNow(f *stations.Floor, t *stations.Ticket) *plan.Ticket {
	spec := *t.Spec
	spec.Steps = slices.Clone(spec.Steps)
	for i := range spec.Steps {
		asked := f.Asked(t, i)
		if i == t.At {
			spec.Steps[i].Checks = asked.Shown(&spec.Steps[i])
		}
		spec.Steps[i].Asked = maps.Clone(spec.Steps[i].Asked)
		for name := range spec.Steps[i].Asked {
			if !asked.Has(name) {
				spec.Steps[i].Asked[name] = plan.Never
			}
		}
	}
	return &spec
}

// drawn returns what tells how a ticket's panel lies as it is being made: in an older file of the order, where it stands
// in that.
func (d *Desk) drawn(ctx context.Context, o *stations.Order, newest *workup.Workup) (func(*plan.Ticket) *paper.Panel, error) {
	older := map[int]*workup.Workup{}
	for _, t := range o.Tickets {
		if at := t.Spec.Drawn; at != nil && older[at.Revision] == nil {
			w, err := d.workupAt(ctx, o.ID, at.Revision)
			if err != nil {
				return nil, err
			}
			older[at.Revision] = w
		}
	}
	return func(t *plan.Ticket) *paper.Panel {
		if t.Drawn != nil {
			return PanelOf(older[t.Drawn.Revision], t.Drawn.Treatment, t)
		}
		return PanelOf(newest, t.Treatment, t)
	}, nil
}

// workupAt works out one revision of a stored order. The error is not_found where there is none.
func (d *Desk) workupAt(ctx context.Context, order string, revision int) (*workup.Workup, error) {
	source, err := d.Store.OrderFile(ctx, order, revision)
	under := d.PracticeOf(order)
	if o := d.Store.Floor().Order(order); o != nil {
		under = orderfile.Kept(o.PracticeAt(revision))
	}
	return d.stored(source, err, under)
}
