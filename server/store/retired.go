package store

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"strconv"

	"tablehand/stations"
)

// Up to version 9 of the database the writer kept the floor's orders, tickets and steps in tables too, which nothing read
// but audit. Before they are dropped they are held against the ledger once.
const retiredBy = 10

// UpgradeError is a database of an older program whose tables aren't what its ledger says. It stays as it is.
type UpgradeError struct{ *AuditError }

func (e *UpgradeError) Unwrap() error { return e.AuditError }

// auditRetired holds the tables that are about to be dropped against the ledger. Columns that came later than the
// database are zero on both sides: what they tell came with them.
func auditRetired(ctx context.Context, pool *sql.DB, file string) error {
	db, err := overPool(pool)
	if err != nil {
		return err
	}
	floor, err := foldLedger(ctx, db)
	if err != nil {
		return err
	}
	a := &auditor{tx: db.WithContext(ctx)}
	var orders []orderRow
	var tickets []ticketRow
	var steps []stepRow
	for _, o := range floor.Orders() {
		orders = append(orders, orderRowOf(o))
		for _, t := range o.Tickets {
			tickets = append(tickets, ticketRowOf(t))
			steps = append(steps, stepRows(t)...)
		}
	}
	err = cmp.Or(
		compare(a, "orders", orders, func(r orderRow) string { return r.ID }),
		compare(a, "tickets", tickets, func(r ticketRow) string { return r.Code }),
		compare(a, "steps", steps, func(r stepRow) string { return r.Ticket + " " + strconv.Itoa(r.Position) }),
	)
	if err != nil {
		return fmt.Errorf("store: audit before upgrading: %w", err)
	}
	if len(a.differences) > 0 {
		return &UpgradeError{&AuditError{file, a.differences}}
	}
	return nil
}

type orderRow struct {
	ID       string `gorm:"primaryKey"`
	Customer string
	Due      string
	State    string
	Revision int
	Digest   string
	Taken    moment
}

type ticketRow struct {
	Code    string `gorm:"primaryKey"`
	OrderID string
	Kind    string
	Window  string
	Room    string
	Panel   string
	Copy    int
	Fabric  string
	Station string
	State   string
	Step    int
	Invoice string
	Changed moment

	Scrapped string
}

// stepRow keeps lists and measured values as JSON, ” for none.
type stepRow struct {
	Ticket         string `gorm:"primaryKey"`
	Position       int    `gorm:"primaryKey;autoIncrement:false"`
	Station        string
	State          string
	BeforeHold     string
	Reason         string
	ForOffice      bool
	OutOf          string
	Pair           string
	SentBackFrom   string
	SentBackReason string
	Measured       string
	Checks         string
	Person         string
	Picture        string
	Started        moment
	Ended          moment
}

func (orderRow) TableName() string  { return "orders" }
func (ticketRow) TableName() string { return "tickets" }
func (stepRow) TableName() string   { return "steps" }

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

func stepRows(t *stations.Ticket) (rows []stepRow) {
	for i := range t.Steps {
		rows = append(rows, stepRowOf(t, i))
	}
	return rows
}
