package desk

import (
	"context"
	"io"
	"slices"
	"strings"

	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/paper"
)

// OwnPiece is a customer's own piece that an order works on: a repair, an alteration.
type OwnPiece struct {
	stations.ReceivedPiece
	Kind    orderfile.PieceKind
	Of      int               // of the order's own pieces that are called so
	Notes   string            // the order's and its own
	Ticket  plan.Code         // "" while it hasn't come in and the order isn't released
	Receipt *stations.Receipt // nil: still to come
}

// OwnPieces are an order's: those on its tickets, or before its release those of its newest file. The error is of working that out.
func (d *Desk) OwnPieces(o *stations.Order) ([]OwnPiece, error) {
	list := ticketed(o)
	if o.State == stations.OrderTaken {
		w, err := d.WorkupOf(o)
		if err != nil {
			return nil, err
		}
		called := map[string]int{}
		for i := range w.Order.Pieces {
			line := &w.Order.Pieces[i]
			for range line.Quantity {
				called[line.Text]++
				p := OwnPiece{ReceivedPiece: stations.ReceivedPiece{Text: line.Text, Copy: called[line.Text]}, Kind: line.Kind,
					Notes: strings.TrimSpace(w.Order.Notes + "\n" + line.Notes)}
				if p.Receipt = o.ReceiptFor(p.ReceivedPiece); p.Receipt != nil {
					p.Ticket = p.Receipt.Ticket
				}
				list = append(list, p)
			}
		}
	}
	list = slices.DeleteFunc(list, func(p OwnPiece) bool { return !p.Kind.Own() })
	of := map[string]int{}
	for _, p := range list {
		of[p.Text]++
	}
	for i := range list {
		list[i].Of = of[list[i].Text]
	}
	return list, nil
}

// ticketed are the pieces of an order's tickets, those that are cancelled left out.
func ticketed(o *stations.Order) (list []OwnPiece) {
	called := map[string]int{}
	for _, t := range o.Tickets {
		if t.Spec.Kind != plan.PieceTicket || t.Cancelled {
			continue
		}
		called[t.Spec.Window]++
		list = append(list, OwnPiece{ReceivedPiece: stations.ReceivedPiece{Text: t.Spec.Window, Copy: called[t.Spec.Window]}, Kind: t.Spec.Piece,
			Notes: strings.Join(t.Spec.Notes, "\n"), Ticket: t.Spec.Code, Receipt: o.ReceiptOf(t.Spec.Code)})
	}
	return list
}

// ToCome is how many of them haven't come in yet.
func ToCome(pieces []OwnPiece) (count int) {
	for _, p := range pieces {
		if p.Receipt == nil {
			count++
		}
	}
	return count
}

// Receive takes in a customer's own piece, or its picture where it is there already, and returns it. The error is a refusal: not_found
// where the order has no such piece, already_received, cancelled, unknown_picture.
func (d *Desk) Receive(ctx context.Context, cmd stations.ReceivePiece) (OwnPiece, error) {
	o, p, err := d.ownPiece(cmd.Order, stations.ReceivedPiece{Text: cmd.Text, Copy: cmd.Copy})
	if err != nil {
		return OwnPiece{}, err
	}
	cmd.Ticket, cmd.Digest = p.Ticket, o.Digest
	if cmd.Ticket == "" {
		cmd.Ticket = NewCodes(d.Store.Floor())()
	}
	return d.recorded(ctx, cmd, cmd.Order, p)
}

// Unreceive takes back that a customer's own piece has come in, and returns it. The error is a refusal: not_found where the order
// has no such piece, not_received, already_begun where it was worked on, cancelled, reason_missing.
func (d *Desk) Unreceive(ctx context.Context, cmd stations.UnreceivePiece) (OwnPiece, error) {
	o, p, err := d.ownPiece(cmd.Order, stations.ReceivedPiece{Text: cmd.Text, Copy: cmd.Copy})
	if err != nil {
		return OwnPiece{}, err
	}
	if cmd.Ticket = p.Ticket; o.State == stations.OrderTaken {
		cmd.Ticket = ""
	}
	return d.recorded(ctx, cmd, cmd.Order, p)
}

// ownPiece finds an order's own piece by what it is called. The error is not_found.
func (d *Desk) ownPiece(order string, piece stations.ReceivedPiece) (*stations.Order, OwnPiece, error) {
	o := d.Store.Floor().Order(order)
	if o == nil {
		return nil, OwnPiece{}, Refuse("not_found", "order")
	}
	pieces, err := d.OwnPieces(o)
	if err != nil {
		return nil, OwnPiece{}, err
	}
	at := slices.IndexFunc(pieces, func(p OwnPiece) bool { return p.ReceivedPiece == piece })
	if at < 0 {
		return nil, OwnPiece{}, Refuse("not_found", "piece")
	}
	return o, pieces[at], nil
}

// recorded carries out what is said of an own piece, and returns it as it is on record then.
func (d *Desk) recorded(ctx context.Context, cmd stations.Command, order string, p OwnPiece) (OwnPiece, error) {
	e, err := d.Store.Do(ctx, cmd)
	if err != nil {
		return OwnPiece{}, err
	}
	p.Ticket, p.Receipt = e.Ticket, nil
	if now := d.Store.Floor().Order(order); now != nil {
		p.Receipt = now.ReceiptOf(e.Ticket)
		if p.Receipt == nil && now.State == stations.OrderTaken { // the code was its tag's alone
			p.Ticket = ""
		}
	}
	return p, nil
}

// Awaiting returns the order of a piece that came in before its release, by the code on its tag; nil for none.
func (d *Desk) Awaiting(code plan.Code) *stations.Order {
	for _, o := range d.Store.Floor().Orders() {
		if o.State == stations.OrderTaken && o.ReceiptOf(code) != nil {
			return o
		}
	}
	return nil
}

// OwnTags writes the tags of an order's own pieces that have come in, or of the one with that ticket's code. The error is not_found
// where none has.
func (d *Desk) OwnTags(ctx context.Context, w io.Writer, order, ticket string, how Printing) error {
	o := d.Store.Floor().Order(order)
	if o == nil {
		return Refuse("not_found", "order")
	}
	pieces, err := d.OwnPieces(o)
	if err != nil {
		return err
	}
	doc := paper.OwnTagsDoc{Say: how.Say, Sheet: how.Sheet, Address: how.Address, Order: o.ID, Customer: o.Customer, Made: o.Taken}
	for _, p := range pieces {
		if p.Receipt == nil || ticket != "" && string(p.Ticket) != ticket {
			continue
		}
		doc.Tags = append(doc.Tags, paper.OwnTag{Ticket: p.Ticket, Text: p.Text, Kind: p.Kind, Copy: p.Copy, Of: p.Of, Notes: p.Notes,
			Received: p.Receipt.At.In(d.Shop().Zone).Format("2006-01-02")})
	}
	if len(doc.Tags) == 0 {
		return Refuse("not_found", "piece")
	}
	return paper.OwnTags(w, doc)
}
