package store

import (
	"encoding/json"
	"fmt"
	"slices"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/stations"
	"tablehand/stations/invoice"
)

// rowsAStatement bounds one INSERT of projections, so that few lengths of it have to be prepared.
const rowsAStatement = 32

// project writes what the events of a batch changed: the orders, tickets and steps that differ between the floors,
// and the invoices.
func project(tx *gorm.DB, before, after *stations.Floor, events []stations.Event) error {
	billed := changedInvoices(before, after, events)
	var orders []orderRow
	var tickets []ticketRow
	var steps []stepRow
	for _, id := range touchedOrders(events, billed) {
		was, is := before.Order(id), after.Order(id)
		if is == nil || is == was {
			continue
		}
		if row := orderRowOf(is); was == nil || row != orderRowOf(was) {
			orders = append(orders, row)
		}
		for _, t := range is.Tickets {
			old := before.Ticket(t.Spec.Code)
			if old == t { // floors share what didn't change
				continue
			}
			if row := ticketRowOf(t); old == nil || row != ticketRowOf(old) {
				tickets = append(tickets, row)
			}
			steps = append(steps, changedSteps(old, t)...)
		}
	}
	if err := put(tx, orders); err != nil {
		return err
	}
	if err := put(tx, tickets); err != nil {
		return err
	}
	if err := put(tx, steps); err != nil {
		return err
	}
	return billed.write(tx)
}

// put inserts rows, or replaces those of the same key.
func put[T any](tx *gorm.DB, rows []T) error {
	if len(rows) == 0 {
		return nil
	}
	err := tx.Clauses(clause.OnConflict{UpdateAll: true}).CreateInBatches(rows, rowsAStatement).Error
	if err != nil {
		return fmt.Errorf("store: project %T: %w", rows, err)
	}
	return nil
}

// touchedOrders returns the orders that events and invoices may have changed, each once, in order. A draft that was
// dropped in its own batch is on neither floor: only its event tells whose panels it moved.
func touchedOrders(events []stations.Event, b bills) []string {
	var ids []string
	seen := map[string]bool{"": true} // events about no order
	add := func(id string) {
		if !seen[id] {
			seen[id] = true
			ids = append(ids, id)
		}
	}
	invoices := slices.Concat(b.changed, b.dropped)
	for _, e := range events {
		add(e.Order)
		if e.Invoice != nil {
			invoices = append(invoices, e.Invoice)
		}
	}
	for _, i := range invoices {
		for _, line := range i.Lines {
			add(line.Order)
		}
	}
	return ids
}

// changedSteps returns the rows of t's steps that differ from the ticket's as it was, nil for a new one.
func changedSteps(was, t *stations.Ticket) []stepRow {
	var rows []stepRow
	for i := range t.Steps {
		row := stepRowOf(t, i)
		if was == nil || row != stepRowOf(was, i) {
			rows = append(rows, row)
		}
	}
	return rows
}

// bills is what a batch did to the invoices.
type bills struct {
	changed []*invoice.Document
	dropped []*invoice.Document
}

// changedInvoices compares the invoices of two floors where an event may have touched any: a price list changes
// the lines of every draft.
func changedInvoices(before, after *stations.Floor, events []stations.Event) bills {
	var b bills
	for _, e := range events {
		switch e.Action {
		case stations.SetPrices, stations.Draft, stations.DropDraft, stations.Issue, stations.Credit:
		default:
			continue
		}
		for _, i := range after.Invoices() {
			if before.Invoice(i.Draft) != i {
				b.changed = append(b.changed, i)
			}
		}
		for _, i := range before.Invoices() {
			if after.Invoice(i.Draft) == nil {
				b.dropped = append(b.dropped, i)
			}
		}
		return b
	}
	return b
}

func (b bills) write(tx *gorm.DB) error {
	for _, i := range b.dropped { // first: their panels may stand on a new draft
		if err := tx.Where("draft = ?", i.Draft).Delete(&invoiceRow{}).Error; err != nil {
			return fmt.Errorf("store: drop draft %s: %w", i.Draft, err)
		}
	}
	var rows []invoiceRow
	var lines []invoiceLineRow
	for _, i := range b.changed {
		if i.Freed { // before the lines: its panels may stand on a new draft too
			if err := tx.Where("draft = ?", i.Draft).Delete(&invoiceLineRow{}).Error; err != nil {
				return fmt.Errorf("store: free the panels of invoice %s: %w", i.Draft, err)
			}
		}
		rows = append(rows, invoiceRowOf(i))
		lines = append(lines, invoiceLineRows(i)...)
	}
	if err := put(tx, rows); err != nil {
		return err
	}
	for _, line := range lines {
		// A line that is there stays; on another invoice the panel may not stand.
		err := tx.Exec(`INSERT INTO invoice_lines (ticket, draft) SELECT ?, ? WHERE NOT EXISTS
			(SELECT 1 FROM invoice_lines WHERE ticket = ? AND draft = ?)`, line.Ticket, line.Draft, line.Ticket, line.Draft).Error
		if err != nil {
			return fmt.Errorf("store: line of invoice %s: %w", line.Draft, err)
		}
	}
	return nil
}

func orderRowOf(o *stations.Order) orderRow {
	return orderRow{ID: o.ID, Customer: o.Customer, Due: o.Due, State: string(o.State),
		Revision: o.Revision, Digest: o.Digest, Taken: at(o.Taken)}
}

func ticketRowOf(t *stations.Ticket) ticketRow {
	s := t.Spec
	return ticketRow{Code: string(s.Code), OrderID: t.Order, Kind: string(s.Kind), Window: s.Window, Room: s.Room,
		Panel: s.Panel, Copy: s.Copy, Fabric: s.Fabric, Station: string(t.Station()), State: string(t.State()),
		Step: t.At, Invoice: t.Invoice, Changed: at(t.Changed), Scrapped: scrappedAs(t)}
}

func scrappedAs(t *stations.Ticket) string {
	switch {
	case !t.Scrapped:
		return ""
	case t.BillsScrap:
		return "billable"
	}
	return "unbilled"
}

func stepRowOf(t *stations.Ticket, i int) stepRow {
	n := &t.Steps[i]
	row := stepRow{Ticket: string(t.Spec.Code), Position: i, Station: string(n.Spec.Station), State: string(n.State),
		BeforeHold: string(n.Before), Reason: n.Reason, ForOffice: n.ForOffice, Person: n.Person, Picture: n.Picture,
		Started: at(n.Started), Ended: at(n.Ended)}
	if n.SentBack != nil {
		row.SentBackFrom, row.SentBackReason = string(n.SentBack.From), n.SentBack.Reason
	}
	if len(n.OutOf) > 0 {
		row.OutOf = asJSON(n.OutOf)
	}
	if n.Pair != nil {
		row.Pair = asJSON(n.Pair)
	}
	if len(n.Measured) > 0 {
		row.Measured = asJSON(n.Measured)
	}
	if len(n.Checks) > 0 {
		row.Checks = asJSON(n.Checks)
	}
	return row
}

func invoiceRowOf(i *invoice.Document) invoiceRow {
	row := invoiceRow{Draft: i.Draft, Number: i.Number, Customer: i.Customer, Currency: i.Currency,
		Lines: asJSON(i.Lines), Drafted: at(i.Drafted), Issued: at(i.Issued),
		Kind: string(invoice.Ordinary), RefersTo: i.RefersTo, Reason: i.Reason, Frees: i.Frees}
	if i.IsCredit() {
		row.Kind = string(invoice.CreditNote)
	}
	return row
}

// invoiceLineRows are the panels that stand on an invoice: those of a credit note stand on what it credits, and those
// of an invoice whose panels it has freed on none.
func invoiceLineRows(i *invoice.Document) []invoiceLineRow {
	if i.IsCredit() || i.Freed {
		return nil
	}
	rows := make([]invoiceLineRow, len(i.Lines))
	for n, line := range i.Lines {
		rows[n] = invoiceLineRow{Ticket: string(line.Ticket), Draft: i.Draft}
	}
	return rows
}

// asJSON writes what is made of strings, maps of them by key; none can fail.
func asJSON(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(b)
}
