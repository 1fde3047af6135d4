package desk

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"time"

	"tablehand/server/store"
)

// eventsAtOnce is how many events of the ledger are read for one stretch of an export.
const eventsAtOnce = 1000

// exported is what the shop has beside its orders and its ledger. No secret, nor anything by which somebody comes in, is part of it.
type exported struct {
	Made   time.Time                 `json:"made"`
	Shop   exportedShop              `json:"shop"`
	People []exportedPerson          `json:"people"`
	Books  map[string][]exportedBook `json:"books"`
}

type exportedShop struct {
	Name          string     `json:"name"`
	Address       string     `json:"address"`
	Language      string     `json:"language"`
	Units         string     `json:"units"`
	Zone          string     `json:"zone"`
	OrderForm     string     `json:"order_form"`
	PostalAddress string     `json:"postal_address"`
	PaymentTerms  string     `json:"payment_terms"`
	Conventions   Ways       `json:"conventions"`
	Tolerances    Ways       `json:"tolerances"`
	Stations      Fittings   `json:"stations"`
	ClosedDays    ClosedDays `json:"closed_days"`
}

type exportedPerson struct {
	Person   string `json:"person"`
	Name     string `json:"name"`
	Initials string `json:"initials"`
	Language string `json:"language"`
	Floor    string `json:"floor"`
	SignIn   string `json:"sign_in"`
	SetAside bool   `json:"set_aside"`
}

type exportedBook struct {
	ID         string          `json:"id"`
	Fields     json.RawMessage `json:"fields"`
	SetAside   bool            `json:"set_aside"`
	MergedInto string          `json:"merged_into,omitempty"`
}

type exportedFile struct {
	Revision int    `json:"revision"`
	Text     string `json:"text"`
}

type exportedOrder struct {
	Order string         `json:"order"`
	Files []exportedFile `json:"files"` // every revision
}

// Export writes everything that the shop has as one JSON object: settings, people and books, the files of its orders, and its ledger,
// event by event, in which tickets, measures, prices and invoices are. It is written as it is read, so that a large shop takes no
// more memory than a small one.
func (d *Desk) Export(ctx context.Context, w io.Writer) error {
	head, err := d.exportHead(ctx)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	text, err := json.Marshal(head)
	if err != nil {
		return err
	}
	out.Write(text[:len(text)-1]) // what follows is part of the same object; bufio keeps the first error for Flush
	out.WriteString(`,"orders":[`)
	for i, o := range d.Store.Floor().Orders() {
		order := exportedOrder{Order: o.ID}
		for revision := 1; revision <= o.Revision; revision++ {
			file, err := d.Store.OrderFile(ctx, o.ID, revision)
			if err != nil {
				return err
			}
			order.Files = append(order.Files, exportedFile{revision, string(file)})
		}
		if err := element(out, i, order); err != nil {
			return err
		}
	}
	out.WriteString(`],"events":[`)
	if err := d.exportEvents(ctx, out); err != nil {
		return err
	}
	out.WriteString("]}\n")
	return out.Flush()
}

func (d *Desk) exportHead(ctx context.Context) (exported, error) {
	shop := d.Shop()
	head := exported{Made: d.Clock().UTC(), People: []exportedPerson{}, Books: map[string][]exportedBook{}, Shop: exportedShop{shop.Name, shop.Address,
		shop.Language, shop.Units, shop.Zone.String(), shop.OrderForm, shop.PostalAddress, shop.PaymentTerms, shop.Conventions, shop.Tolerances, shop.Fittings, shop.Closed}}
	people, err := d.Store.People(ctx)
	if err != nil {
		return exported{}, err
	}
	for _, p := range people {
		head.People = append(head.People, exportedPerson{p.ID, p.Name, p.Initials, p.Language, string(p.Floor), string(p.SignsInAs), p.SetAside})
	}
	entries, err := d.Store.BookEntries(ctx)
	for _, e := range entries {
		head.Books[e.Book] = append(head.Books[e.Book], exportedBook{e.ID, e.Fields, e.SetAside, e.MergedInto})
	}
	return head, err
}

func (d *Desk) exportEvents(ctx context.Context, out *bufio.Writer) error {
	for after, last := int64(0), d.Store.Floor().Seq(); after < last; {
		events, err := d.Store.Events(ctx, after, eventsAtOnce)
		if err != nil {
			return err
		}
		if len(events) == 0 {
			return store.ErrNotFound // the ledger ends before the floor that it made
		}
		for i := range events {
			if err := element(out, int(events[i].Seq)-1, &events[i]); err != nil {
				return err
			}
			after = events[i].Seq
		}
	}
	return nil
}

// element writes an element of a list, with a comma before all but the first.
func element(out *bufio.Writer, at int, what any) error {
	text, err := json.Marshal(what)
	if err != nil {
		return err
	}
	if at > 0 {
		out.WriteByte(',')
	}
	_, err = out.Write(text)
	return err
}
