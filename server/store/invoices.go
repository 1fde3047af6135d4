package store

import (
	"encoding/json"
	"fmt"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/stations"
	"tablehand/stations/invoice"
)

// rowsAStatement bounds one INSERT of invoices, so that few lengths of it have to be prepared.
const rowsAStatement = 32

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
		case stations.SetPrices, stations.Draft, stations.Amounts, stations.DropDraft, stations.Issue, stations.Credit:
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
