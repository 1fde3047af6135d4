package store

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/stations"
)

// ErrNotEmpty is a folder with a shop in it in which something has happened already.
var ErrNotEmpty = errors.New("store: there is a shop already")

// Filling is a whole shop on its way into a folder that holds none. Its parts may come in any order, but for the ledger's events,
// which come as they happened.
type Filling struct {
	tx      *gorm.DB
	events  []ledgerRow // not yet written
	overlay *stations.Overlay
	last    int64            // event of the ledger
	named   map[string]int64 // the first event that names each picture
}

// Fill puts a shop into a folder in which nothing has happened yet, and makes the folder where there is none. What from puts in is kept
// when it returns no error and the audit finds nothing amiss, and not at all otherwise. Who may come in there, and the shop's
// settings that aren't filled in, stay. A try does all that and keeps nothing. Errors: *InUseError while a process serves the folder, *FolderError,
// ErrNotEmpty, *AuditError, and from's own.
func Fill(ctx context.Context, o Options, try bool, from func(*Filling) error) (err error) {
	clock := o.Clock
	if clock == nil {
		clock = time.Now
	}
	if err := makeFolder(o.Dir); err != nil {
		return err
	}
	lock, err := lockFolder(ctx, o.Dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, lock.release()) }()
	a, err := openAccess(ctx, o.Dir, slog.New(slog.DiscardHandler), clock, true)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, a.Close()) }()
	err = a.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		f := &Filling{tx: tx, overlay: stations.NewFloor().Overlay(), named: map[string]int64{}}
		if err := f.empty(); err != nil {
			return err
		}
		if err := from(f); err != nil {
			return err
		}
		if err := f.finish(); err != nil {
			return err
		}
		differences, err := audit(ctx, tx, nil)
		if err == nil && len(differences) > 0 {
			err = &AuditError{File: o.Dir, Differences: differences}
		}
		if err == nil && try {
			err = errTried
		}
		return err
	})
	if errors.Is(err, errTried) {
		return nil
	}
	return err
}

// errTried undoes what was only tried.
var errTried = errors.New("store: only tried")

// empty refuses a shop in which something has happened.
func (f *Filling) empty() error {
	var found int64
	err := f.tx.Raw(`SELECT (SELECT count(*) FROM ledger) + (SELECT count(*) FROM book_entries) + (SELECT count(*) FROM people WHERE id <> '')`).Scan(&found).Error
	if err == nil && found > 0 {
		err = ErrNotEmpty
	}
	return err
}

// Settings keeps settings.
func (f *Filling) Settings(values map[Setting]string) error {
	rows := make([]settingRow, 0, len(values))
	for _, name := range slices.Sorted(maps.Keys(values)) {
		rows = append(rows, settingRow{string(name), values[name]})
	}
	return put(f.tx, rows)
}

// Person keeps a person. The error is *NameTakenError.
func (f *Filling) Person(p Person) error {
	if err := nameFree(f.tx, p); err != nil {
		return err
	}
	row := personRowOf(p)
	return f.tx.Clauses(clause.OnConflict{Columns: []clause.Column{{Name: "name"}}, UpdateAll: true}).Create(&row).Error
}

// BookEntry keeps an entry of a book as it is; BookChange what was done to one, the oldest first.
func (f *Filling) BookEntry(e BookEntry) error {
	row := bookEntryRow{e.Book, e.ID, e.Version, string(e.Fields), e.SetAside, e.MergedInto}
	return f.tx.Create(&row).Error
}

// BookChange keeps what was done to an entry.
func (f *Filling) BookChange(c BookChange) error {
	row := bookChangeRow{Book: c.Book, Entry: c.Entry, At: at(c.At), Who: c.Who, What: c.What, About: c.About, Changes: string(c.Changes)}
	return f.tx.Create(&row).Error
}

// OrderFile keeps the file of a revision of an order.
func (f *Filling) OrderFile(order string, revision int, source []byte) error {
	row := orderFileRow{order, revision, source, digest(source)}
	return f.tx.Create(&row).Error
}

// Picture keeps a picture.
func (f *Filling) Picture(p KeptPicture) error {
	row := pictureRow{ID: p.ID, Data: p.Data, Added: at(p.Added)}
	return f.tx.Create(&row).Error
}

// Purchase keeps what is said of a line of a purchase list.
func (f *Filling) Purchase(l PurchaseLine) error {
	row := purchaseLineRow{l.Line, l.State, l.OnHand, at(l.Changed), l.Who}
	return f.tx.Create(&row).Error
}

// Count keeps a count of a station, its tickets seen last first.
func (f *Filling) Count(c FloorCount, tickets []Counted) error {
	row := floorCountRow{ID: c.ID, Station: string(c.Station), Device: c.Device, Who: c.Who, Began: at(c.Began), Ended: at(c.Ended)}
	if err := f.tx.Create(&row).Error; err != nil {
		return err
	}
	turn := 0
	for _, t := range slices.Backward(tickets) {
		row := floorCountTicketRow{Count: c.ID, Ticket: string(t.Ticket), Expected: t.Expected, Seen: at(t.Seen), Outcome: string(t.Outcome)}
		if row.Seen != 0 {
			turn++
			row.Turn = turn
		}
		if err := f.tx.Create(&row).Error; err != nil {
			return err
		}
	}
	return nil
}

// Event appends an event to the ledger. The error says why it can't come after those before it.
func (f *Filling) Event(e stations.Event) (err error) {
	if e.Seq != f.last+1 {
		return fmt.Errorf("event %d stands where event %d belongs", e.Seq, f.last+1)
	}
	f.last = e.Seq
	row, err := ledgerRowOf(e, deviceKey{})
	if err != nil {
		return err
	}
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("event %d can't come after those before it: %v", e.Seq, r)
		}
	}()
	f.overlay.Apply(e)
	if e.Picture != "" && f.named[e.Picture] == 0 {
		f.named[e.Picture] = e.Seq
	}
	if f.events = append(f.events, row); len(f.events) == rowsAtOnce {
		return f.append()
	}
	return nil
}

// append writes the events that wait for it.
func (f *Filling) append() error {
	rows := f.events
	f.events = f.events[:0]
	if len(rows) == 0 {
		return nil
	}
	return f.tx.Create(&rows).Error
}

// finish writes what follows from the ledger.
func (f *Filling) finish() error {
	if err := f.append(); err != nil {
		return err
	}
	for id, seq := range f.named {
		if err := f.tx.Exec("UPDATE pictures SET event = ? WHERE id = ?", seq, id).Error; err != nil {
			return err
		}
	}
	return bills{changed: f.overlay.Floor().Invoices()}.write(f.tx)
}
