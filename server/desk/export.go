package desk

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"maps"
	"slices"
	"time"

	"tablehand/server/store"
	"tablehand/stations/plan"
	"tablehand/views/paper"
)

// rowsAtOnce is how many events of the ledger, or changes of the books, are read for one stretch of an export.
const rowsAtOnce = 1000

// exportFormat is that of the exports that this version writes and reads. One rises when a part is added that an older version
// couldn't keep.
const exportFormat = 1

// exported is what the shop has beside its orders and its ledger. No secret, nor anything by which somebody comes in, is part of it.
type exported struct {
	Format int                       `json:"format"` // first, so that it is known before anything else is read
	Made   time.Time                 `json:"made"`
	Shop   exportedShop              `json:"shop"`
	People []exportedPerson          `json:"people"`
	Books  map[string][]exportedBook `json:"books"`
}

type exportedShop struct {
	Name          string        `json:"name"`
	Address       string        `json:"address"` // as the shop has set it, "" for the machine's own
	Language      string        `json:"language"`
	Units         string        `json:"units"`
	Zone          string        `json:"zone"` // IANA, Local for the machine's own
	OrderForm     string        `json:"order_form"`
	PostalAddress string        `json:"postal_address"`
	PaymentTerms  string        `json:"payment_terms"`
	Paper         paper.Sheet   `json:"paper"`
	PrintSidemark bool          `json:"print_sidemark"`
	Conventions   Ways          `json:"conventions"`
	Tolerances    Ways          `json:"tolerances"`
	Measuring     []plan.Asking `json:"measuring"` // otherwise than shipped
	Stations      Fittings      `json:"stations"`
	ClosedDays    ClosedDays    `json:"closed_days"`
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
	Version    int             `json:"version"`
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

type exportedChange struct {
	Book    string          `json:"book"`
	Entry   string          `json:"entry"`
	At      time.Time       `json:"at"`
	Who     string          `json:"who"`
	What    string          `json:"what"`
	About   string          `json:"about,omitempty"`
	Changes json.RawMessage `json:"changes"`
}

type exportedPurchase struct {
	Line    string    `json:"line"`
	State   string    `json:"state"`
	OnHand  string    `json:"on_hand"`
	Who     string    `json:"who"`
	Changed time.Time `json:"changed"`
}

type exportedCount struct {
	Count   string           `json:"count"`
	Station plan.Station     `json:"station"`
	Device  string           `json:"device"`
	Who     string           `json:"who"`
	Began   time.Time        `json:"began"`
	Ended   *time.Time       `json:"ended,omitempty"`
	Tickets []exportedTicket `json:"tickets"`
}

type exportedTicket struct {
	Ticket   plan.Code          `json:"ticket"`
	Expected bool               `json:"expected"`
	Seen     *time.Time         `json:"seen,omitempty"`
	Outcome  store.CountOutcome `json:"outcome,omitempty"`
}

type exportedPicture struct {
	Picture string    `json:"picture"`
	Added   time.Time `json:"added"`
	JPEG    []byte    `json:"jpeg"` // base64
}

// Export writes everything that the shop has as one JSON object: settings, people and books, the files of its orders, and its ledger,
// event by event, in which tickets, measures, prices and invoices are; the books' history, purchases, counts and photos. ReadBack reads
// it. It is written as it is read, so that a large shop takes no more memory than a small one.
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
	for _, part := range []struct {
		name  string
		write func(context.Context, func(any) error) error
	}{
		{"orders", d.exportOrders}, {"events", d.exportEvents}, {"book_changes", d.exportBookChanges}, {"purchases", d.exportPurchases},
		{"counts", d.exportCounts}, {"pictures", d.exportPictures},
	} {
		out.WriteString(`,"` + part.name + `":[`)
		at := 0
		err := part.write(ctx, func(what any) error { at++; return element(out, at-1, what) })
		if err != nil {
			return err
		}
		out.WriteByte(']')
	}
	out.WriteString("}\n")
	return out.Flush()
}

func (d *Desk) exportHead(ctx context.Context) (exported, error) {
	shop := d.Shop()
	address, err := d.Store.Setting(ctx, store.Address)
	if err != nil {
		return exported{}, err
	}
	head := exported{Format: exportFormat, Made: d.Clock().UTC(), People: []exportedPerson{}, Books: map[string][]exportedBook{}, Shop: exportedShop{
		Name: shop.Name, Address: address, Language: shop.Language, Units: shop.Units, Zone: shop.Zone.String(), OrderForm: shop.OrderForm,
		PostalAddress: shop.PostalAddress, PaymentTerms: shop.PaymentTerms, Paper: shop.Paper, PrintSidemark: shop.PrintSidemark,
		Conventions: shop.Conventions, Tolerances: shop.Tolerances, Measuring: ownAskings(shop.Fittings.Layout, shop.Measuring), Stations: shop.Fittings, ClosedDays: shop.Closed}}
	people, err := d.Store.People(ctx)
	if err != nil {
		return exported{}, err
	}
	for _, p := range people {
		head.People = append(head.People, exportedPerson{p.ID, p.Name, p.Initials, p.Language, string(p.Floor), string(p.SignsInAs), p.SetAside})
	}
	entries, err := d.Store.BookEntries(ctx)
	for _, e := range entries {
		head.Books[e.Book] = append(head.Books[e.Book], exportedBook{e.ID, e.Version, e.Fields, e.SetAside, e.MergedInto})
	}
	return head, err
}

func (d *Desk) exportOrders(ctx context.Context, give func(any) error) error {
	for _, o := range d.Store.Floor().Orders() {
		order := exportedOrder{Order: o.ID}
		for revision := 1; revision <= o.Revision; revision++ {
			file, err := d.Store.OrderFile(ctx, o.ID, revision)
			if err != nil {
				return err
			}
			order.Files = append(order.Files, exportedFile{revision, string(file)})
		}
		if err := give(order); err != nil {
			return err
		}
	}
	return nil
}

func (d *Desk) exportEvents(ctx context.Context, give func(any) error) error {
	for after, last := int64(0), d.Store.Floor().Seq(); after < last; {
		events, err := d.Store.Events(ctx, after, rowsAtOnce)
		if err != nil {
			return err
		}
		if len(events) == 0 {
			return store.ErrNotFound // the ledger ends before the floor that it made
		}
		for i := range events {
			if err := give(&events[i]); err != nil {
				return err
			}
			after = events[i].Seq
		}
	}
	return nil
}

func (d *Desk) exportBookChanges(ctx context.Context, give func(any) error) error {
	for after := int64(0); ; {
		changes, err := d.Store.BookChanges(ctx, after, rowsAtOnce)
		if err != nil || len(changes) == 0 {
			return err
		}
		for _, c := range changes {
			if err := give(exportedChange{c.Book, c.Entry, c.At, c.Who, c.What, c.About, c.Changes}); err != nil {
				return err
			}
			after = c.ID
		}
	}
}

func (d *Desk) exportPurchases(ctx context.Context, give func(any) error) error {
	lines, err := d.Store.PurchaseLines(ctx)
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(lines)) {
		l := lines[name]
		if err := give(exportedPurchase{l.Line, l.State, l.OnHand, l.Who, l.Changed}); err != nil {
			return err
		}
	}
	return nil
}

func (d *Desk) exportCounts(ctx context.Context, give func(any) error) error {
	counts, err := d.Store.Counts(ctx)
	if err != nil {
		return err
	}
	for _, c := range counts {
		_, tickets, err := d.Store.Count(ctx, c.ID)
		if err != nil {
			return err
		}
		told := exportedCount{Count: c.ID, Station: c.Station, Device: c.Device, Who: c.Who, Began: c.Began, Ended: orNever(c.Ended), Tickets: []exportedTicket{}}
		for _, t := range tickets {
			told.Tickets = append(told.Tickets, exportedTicket{t.Ticket, t.Expected, orNever(t.Seen), t.Outcome})
		}
		if err := give(told); err != nil {
			return err
		}
	}
	return nil
}

func (d *Desk) exportPictures(ctx context.Context, give func(any) error) error {
	return d.Store.NamedPictures(ctx, func(p store.KeptPicture) error { return give(exportedPicture{p.ID, p.Added, p.Data}) })
}

// orNever is a time as an export has it: nil for the zero time.
func orNever(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
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
