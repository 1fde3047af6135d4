package refold

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

// Difference is a place where the floor doesn't say what its ledger says.
type Difference struct {
	Table  string // "floor", "orders", "tickets", "steps", "invoices", "bolts", "counts", "cloth"
	Key    string // of the row
	Ledger string // what the ledger says, "" where it knows no such row
	Floor  string // what the floor says, "" where it has no such row
}

// Order is an order as both ways tell it. Instants are RFC 3339 in UTC, "" for none.
type Order struct {
	Customer, Due string
	State         stations.OrderState
	Revision      int
	Digest        string
	Taken         string
	Asked         string // what its tickets ask otherwise than always
	Layout        string // of the shop's stations that they pass
	Practice      string // what it is worked up with
	Received      string // customers' own pieces that came in
	Linked        string // which of the shop's cloths its fabrics are
}

// Ticket is a ticket as both ways tell it. Numbers is a digest of all that stands on a panel's.
type Ticket struct {
	Order, Customer, Due string
	Kind                 plan.Kind
	Window, Room, Panel  string
	Copy                 int
	Fabric               string
	Numbers, Kept        string
	Station              plan.Station
	State                stations.State
	Invoice              string
	Scrapped, Billable   bool
	RemadeAs             plan.Code
}

// Step is a step as both ways tell it.
type Step struct {
	Station                      plan.Station
	State                        stations.State
	Reason, Picture              string
	Person                       string
	Started, Ended               string
	Measured, Checks, OutOf      string
	SentBackFrom, SentBackReason string
}

// Document is an invoice or a credit note as both ways tell it, its lines as JSON.
type Document struct {
	Number, Customer, Currency string
	Lines                      string
	Drafted, Issued            string
	Kind                       invoice.Kind
	RefersTo, Reason           string
	Frees, Freed               bool
	CreditedBy                 string
}

// rows are all that one way tells, by key.
type rows struct {
	orders    map[string]Order
	tickets   map[string]Ticket
	steps     map[string]Step
	documents map[string]Document
}

func newRows() rows {
	return rows{map[string]Order{}, map[string]Ticket{}, map[string]Step{}, map[string]Document{}}
}

// Differences holds a floor against the book, table by table and by key.
func (b *Book) Differences(f *stations.Floor) []Difference {
	told, is := b.rows(), floorRows(f)
	bolts, counts := b.shelfRows()
	boltsAre, countsAre := floorShelf(f)
	head := func(seq int64, prices any) map[string]string {
		return map[string]string{"sequence": strconv.FormatInt(seq, 10), "prices": text(prices)}
	}
	return slices.Concat(
		differ("floor", head(b.seq, b.prices), head(f.Seq(), f.Prices())),
		differ("orders", told.orders, is.orders),
		differ("tickets", told.tickets, is.tickets),
		differ("steps", told.steps, is.steps),
		differ("invoices", told.documents, is.documents),
		differ("bolts", bolts, boltsAre),
		differ("counts", counts, countsAre),
		differ("cloth", map[string]string{}, faults(f)),
	)
}

func differ[T comparable](table string, told, is map[string]T) (differences []Difference) {
	for _, key := range slices.Sorted(maps.Keys(told)) {
		want, got := told[key], ""
		has, ok := is[key]
		if ok && has == want {
			continue
		}
		if ok {
			got = fmt.Sprintf("%+v", has)
		}
		differences = append(differences, Difference{table, key, fmt.Sprintf("%+v", want), got})
	}
	for _, key := range slices.Sorted(maps.Keys(is)) {
		if _, ok := told[key]; !ok {
			differences = append(differences, Difference{table, key, "", fmt.Sprintf("%+v", is[key])})
		}
	}
	return differences
}

// receipts are what came in: each as its first event says, with the picture of its last. Events up to one that takes back tell of nothing.
func receipts(all []stations.Event) (list []stations.Receipt) {
	var events []stations.Event
	for i, e := range all {
		if !slices.ContainsFunc(all[i:], func(later stations.Event) bool { return later.Ticket == e.Ticket && later.Action == stations.Unreceive }) {
			events = append(events, e)
		}
	}
	for i, e := range events {
		same := func(other stations.Event) bool { return other.Ticket == e.Ticket }
		if slices.ContainsFunc(events[:i], same) {
			continue
		}
		r := stations.Receipt{ReceivedPiece: *e.Received, Ticket: e.Ticket, At: e.At, By: cmp.Or(e.Person, e.Actor.Name)}
		for _, later := range events[i:] {
			if same(later) {
				r.Picture = later.Picture
			}
		}
		list = append(list, r)
	}
	return list
}

// linked is what the last word on each fabric says.
func linked(links []stations.Event) string {
	now := map[string]string{}
	for _, e := range links {
		now[e.Fabric] = e.Cloth
	}
	maps.DeleteFunc(now, func(_, cloth string) bool { return cloth == "" })
	return text(now)
}

func stepKey(code plan.Code, i int) string { return string(code) + " " + strconv.Itoa(i) }

// rows are what the ledger tells.
func (b *Book) rows() rows {
	r, on := newRows(), b.standing()
	for id, o := range b.orders {
		r.orders[id] = Order{o.customer, o.due, o.state(on), o.revision, o.digest, instant(o.taken), text(o.asked), text(o.layout), text(o.practice), text(receipts(o.received)), linked(o.links)}
		for _, t := range o.tickets {
			b.ticketRows(&r, o, t, on[t.spec.Code])
		}
	}
	for draft, d := range b.documents {
		r.documents[draft] = b.document(d)
	}
	return r
}

func (b *Book) ticketRows(r *rows, o *order, t *ticket, on *invoice.Document) {
	row := ticketText(t.spec)
	row.Order, row.Customer, row.Due, row.Kept = t.order, o.customer, o.due, list(t.kept)
	row.Station, row.State = t.station, t.state
	row.Scrapped, row.Billable, row.RemadeAs = t.scrapped, t.billable, t.remadeAs
	if t.cancelled {
		row.State = stations.Cancelled
	}
	if on != nil {
		row.Invoice = on.Draft
	}
	r.tickets[string(t.spec.Code)] = row
	now := t.step(t.station)
	for i := range t.spec.Steps {
		s := standing(t.acts[i])
		s.Station, s.State = t.spec.Steps[i].Station, stations.Waiting
		switch {
		case i < now, t.state == stations.Finished:
			s.State = stations.Finished
		case i == now:
			s.State = t.state
		}
		if s.State == stations.Held {
			s.Reason, s.Picture = t.reason, t.picture
			if t.cloth != "" {
				s.Reason, s.Picture = t.cloth, ""
			}
		}
		r.steps[stepKey(t.spec.Code, i)] = s
	}
}

// document is as its last event has it; the lines of an invoice that isn't issued follow the prices.
func (b *Book) document(d *invoice.Document) Document {
	now := *d
	now.Lines = slices.Clone(d.Lines)
	if now.Number == "" && !now.IsCredit() {
		now.Price(b.prices)
	}
	for _, other := range b.documents {
		if other.IsCredit() && d.Number != "" && other.RefersTo == d.Number {
			now.CreditedBy, now.Freed = other.Draft, other.Number != "" && other.Frees
		}
	}
	return documentRow(&now)
}

// floorRows are what the floor tells.
func floorRows(f *stations.Floor) rows {
	r := newRows()
	for _, o := range f.Orders() {
		r.orders[o.ID] = Order{o.Customer, o.Due, o.State, o.Revision, o.Digest, instant(o.Taken), text(o.Asked), text(o.Layout), text(o.Practice), text(o.Received), text(o.Linked)}
		for _, t := range o.Tickets {
			row := ticketText(t.Spec)
			row.Order, row.Customer, row.Due, row.Kept = t.Order, t.Customer, t.Due, list(t.Kept)
			row.Station, row.State, row.Invoice = t.Station(), t.State(), t.Invoice
			row.Scrapped, row.Billable, row.RemadeAs = t.Scrapped, t.BillsScrap, t.RemadeAs
			r.tickets[string(t.Spec.Code)] = row
			for i := range t.Steps {
				r.steps[stepKey(t.Spec.Code, i)] = floorStep(&t.Steps[i])
			}
		}
	}
	for _, d := range f.Invoices() {
		r.documents[d.Draft] = documentRow(d)
	}
	return r
}

func floorStep(n *stations.StepNow) Step {
	s := Step{Station: n.Spec.Station, State: n.State, Reason: n.Reason, Picture: n.Picture, Person: n.Person,
		Started: instant(n.Started), Ended: instant(n.Ended), Measured: text(n.Measured), Checks: list(n.Checks), OutOf: list(n.OutOf)}
	if n.SentBack != nil {
		s.SentBackFrom, s.SentBackReason = string(n.SentBack.From), n.SentBack.Reason
	}
	return s
}

// ticketText is what stands on a ticket. A cutting ticket's cuts are left out: each word at the table changes them.
func ticketText(s *plan.Ticket) Ticket {
	row := Ticket{Kind: s.Kind, Window: s.Window, Room: s.Room, Panel: s.Panel, Copy: s.Copy, Fabric: s.Fabric}
	if s.Kind != plan.CuttingTicket {
		sum := sha256.Sum256([]byte(text(s)))
		row.Numbers = hex.EncodeToString(sum[:8])
	}
	return row
}

func documentRow(d *invoice.Document) Document {
	return Document{Number: d.Number, Customer: d.Customer, Currency: d.Currency, Lines: text(d.Lines),
		Drafted: instant(d.Drafted), Issued: instant(d.Issued), Kind: cmp.Or(d.Kind, invoice.Ordinary),
		RefersTo: d.RefersTo, Reason: d.Reason, Frees: d.Frees, Freed: d.Freed, CreditedBy: d.CreditedBy}
}

func instant(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339Nano)
}

func list(words []string) string { return strings.Join(words, ", ") }

// text is a value of the floor as JSON, "" for one that is empty.
func text(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // all of them are in the ledger's JSON already
	}
	if s := string(b); s != "null" && s != "{}" {
		return s
	}
	return ""
}
