package store

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"gorm.io/gorm"

	"tablehand/stations"
	"tablehand/stations/refold"
)

// Difference is a place where the shop isn't what its ledger says.
type Difference struct {
	Table  string // "ledger", "invoices", ...; "orders", "tickets", "steps" of the floor; "database" for damage to the file itself
	Key    string // of the row
	Ledger string // what the ledger says, "" where it knows no such row
	Stored string // what the table or the floor says, "" where it has no such row

	folded bool // it is the floor's
}

func (d Difference) String() string {
	by := "table"
	if d.folded {
		by = "floor"
	}
	says := "ledger"
	if d.Table == bookEntries {
		says = "history"
	}
	return fmt.Sprintf("%s %s: the %s says %s, the %s %s", d.Table, d.Key, says, orNothing(d.Ledger), by, orNothing(d.Stored))
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

// Audit folds the ledger in two ways that share nothing (stations.Overlay, refold.Book) and holds them and the floor
// that is served against each other, the invoices against their tables, the digests of the order files and pictures
// against their bytes, and the entries of the books against their history. It reads one moment of the database and holds nobody up.
func (s *Store) Audit(ctx context.Context) ([]Difference, error) {
	return audit(ctx, s.read, s.Floor())
}

// AuditDir is Audit for a folder that a server may have open. It changes nothing there. The error is a
// *FolderError, fs.ErrNotExist among them, or a *VersionError.
func AuditDir(ctx context.Context, dir string) ([]Difference, error) {
	return auditFile(ctx, filepath.Join(dir, databaseFile))
}

func auditFile(ctx context.Context, path string) (_ []Difference, err error) {
	if info, err := os.Stat(path); err != nil || info.Size() == 0 {
		return nil, &FolderError{filepath.Dir(path), errors.Join(err, fs.ErrNotExist)}
	}
	db, err := openPool(readerDSN(path), 1, slog.New(slog.DiscardHandler))
	if err != nil {
		return nil, &FolderError{filepath.Dir(path), err}
	}
	defer func() { err = errors.Join(err, closePool(db)) }()
	pool, err := db.DB()
	if err != nil {
		return nil, err
	}
	if err := sameVersion(ctx, pool); err != nil {
		return nil, err
	}
	return audit(ctx, db, nil)
}

// audit goes through the database; served is the floor of a shop that is open, nil for none.
func audit(ctx context.Context, db *gorm.DB, served *stations.Floor) ([]Difference, error) {
	a := &auditor{served: served}
	err := db.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // one snapshot for all that is read
		a.tx = tx
		return a.run()
	}, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return nil, fmt.Errorf("store: audit: %w", err)
	}
	return a.differences, nil
}

type auditor struct {
	tx          *gorm.DB
	served      *stations.Floor
	differences []Difference
}

func (a *auditor) run() error {
	if err := a.file(); err != nil || len(a.differences) > 0 { // of a damaged file the rest says nothing
		return err
	}
	floor, named, err := a.ledger()
	if err != nil {
		return err
	}
	if err := a.invoices(floor); err != nil {
		return err
	}
	if err := a.orderFiles(named.files); err != nil {
		return err
	}
	if err := a.pictures(named.pictures); err != nil {
		return err
	}
	return a.books(floor)
}

// file has SQLite check its own structure and the references between tables.
func (a *auditor) file() error {
	var says []string
	if err := a.tx.Raw("PRAGMA integrity_check").Scan(&says).Error; err != nil {
		return err
	}
	if len(says) != 1 || says[0] != "ok" {
		for _, s := range says {
			a.differ("database", "integrity", "", s)
		}
	}
	var orphans []struct{ Table, Parent string }
	if err := a.tx.Raw(`SELECT "table", parent FROM pragma_foreign_key_check`).Scan(&orphans).Error; err != nil {
		return err
	}
	for _, o := range orphans {
		a.differ(o.Table, "reference", "", "a row without its row in "+o.Parent)
	}
	return nil
}

// named is what the ledger names beside the floor.
type named struct {
	files    map[orderFile]string // digest of each file that an order was taken with or revised by
	pictures map[string]int64     // the first event that names each picture
}

// note keeps what an event names.
func (n named) note(e stations.Event) {
	if revision, digest := fileOf(e); revision > 0 {
		n.files[orderFile{e.Order, revision}] = digest
	}
	if e.Picture != "" && n.pictures[e.Picture] == 0 {
		n.pictures[e.Picture] = e.Seq
	}
}

// orderFile is the file of one revision of an order.
type orderFile struct {
	order    string
	revision int
}

func (f orderFile) String() string { return fmt.Sprintf("%s revision %d", f.order, f.revision) }

// ledger folds the ledger in two ways, which must agree, and compares its columns with the events that they repeat.
func (a *auditor) ledger() (*stations.Floor, named, error) {
	const page = 1000
	overlay, book := stations.NewFloor().Overlay(), refold.New()
	n := named{map[orderFile]string{}, map[string]int64{}}
	for next := int64(1); ; {
		var rows []ledgerRow
		if err := a.tx.Where("seq >= ?", next).Order("seq").Limit(page).Find(&rows).Error; err != nil {
			return nil, n, err
		}
		for _, row := range rows {
			if row.Seq != next {
				a.differ("ledger", strconv.FormatInt(next, 10), "", "row "+strconv.FormatInt(row.Seq, 10)+" instead")
			}
			next = row.Seq + 1
			e, err := a.event(row)
			if err != nil {
				return nil, n, err
			}
			n.note(e)
			if err := apply(e, overlay, book); err != nil {
				return nil, n, err
			}
			if a.served != nil && a.served.Seq() == e.Seq {
				a.floorIs(a.served, book)
			}
		}
		if len(rows) < page {
			floor := overlay.Floor()
			a.floorIs(floor, book)
			return floor, n, nil
		}
	}
}

// apply folds an event both ways. One that can't come after those before it makes the fold panic.
func apply(e stations.Event, overlay *stations.Overlay, book *refold.Book) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = &DamagedError{fmt.Sprintf("row %d of the ledger can't come after those before it: %v", e.Seq, r)}
		}
	}()
	overlay.Apply(e)
	book.Add(e)
	return nil
}

// event reads the event of a row whose columns must say the same.
func (a *auditor) event(row ledgerRow) (stations.Event, error) {
	var e stations.Event
	if err := json.Unmarshal([]byte(row.Details), &e); err != nil {
		return e, &DamagedError{fmt.Sprintf("row %d of the ledger: %v", row.Seq, err)}
	}
	says, err := ledgerRowOf(e, deviceKey{})
	if err != nil {
		return e, err
	}
	row.Key, row.BodyHash = nil, nil // the event doesn't repeat them
	if want, got := fmt.Sprintf("%+v", says), fmt.Sprintf("%+v", row); want != got {
		a.differ("ledger", strconv.FormatInt(row.Seq, 10), want, got)
	}
	return e, nil
}

// floorIs holds a floor against what the ledger says up to there.
func (a *auditor) floorIs(f *stations.Floor, book *refold.Book) {
	for _, d := range book.Differences(f) {
		a.differences = append(a.differences, Difference{Table: d.Table, Key: d.Key, Ledger: d.Ledger, Stored: d.Floor, folded: true})
	}
}

// invoices compares the tables of invoices, whose unique keys guard that a panel stands on one, with the floor.
func (a *auditor) invoices(f *stations.Floor) error {
	var invoices []invoiceRow
	var lines []invoiceLineRow
	for _, i := range f.Invoices() {
		invoices = append(invoices, invoiceRowOf(i))
		lines = append(lines, invoiceLineRows(i)...)
	}
	return cmp.Or(
		compare(a, "invoices", invoices, func(r invoiceRow) string { return r.Draft }),
		compare(a, "invoice_lines", lines, func(r invoiceLineRow) string { return r.Ticket }),
	)
}

// compare holds a table against the rows that it should have.
func compare[T comparable](a *auditor, table string, want []T, key func(T) string) error {
	var stored []T
	if err := a.tx.Find(&stored).Error; err != nil {
		return err
	}
	has := make(map[string]T, len(stored))
	for _, row := range stored {
		has[key(row)] = row
	}
	for _, row := range want {
		k := key(row)
		got, ok := has[k]
		delete(has, k)
		switch {
		case !ok:
			a.differ(table, k, fmt.Sprintf("%+v", row), "")
		case got != row:
			a.differ(table, k, fmt.Sprintf("%+v", row), fmt.Sprintf("%+v", got))
		}
	}
	for _, k := range slices.Sorted(maps.Keys(has)) {
		a.differ(table, k, "", fmt.Sprintf("%+v", has[k]))
	}
	return nil
}

// orderFiles checks that each revision's file is there, and that every file has the bytes of its digest.
func (a *auditor) orderFiles(files map[orderFile]string) error {
	rows, err := a.tx.Model(&orderFileRow{}).Order("order_id, revision").Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var file orderFileRow
		if err := a.tx.ScanRows(rows, &file); err != nil {
			return err
		}
		key := orderFile{file.OrderID, file.Revision}
		if got := digest(file.Source); got != file.Digest {
			a.differ("order_files", key.String(), file.Digest, got)
		}
		if want := files[key]; want != file.Digest {
			a.differ("order_files", key.String(), want, file.Digest)
		}
		delete(files, key)
	}
	missing := slices.SortedFunc(maps.Keys(files), func(a, b orderFile) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(a.revision, b.revision))
	})
	for _, key := range missing {
		a.differ("order_files", key.String(), files[key], "")
	}
	return rows.Err()
}

func (a *auditor) differ(table, key, ledger, stored string) {
	a.differences = append(a.differences, Difference{Table: table, Key: key, Ledger: ledger, Stored: stored})
}
