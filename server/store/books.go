package store

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/stations"
)

// BookEntry is an entry of one of the shop's books, as it is kept. What its fields are is the business of server/books.
type BookEntry struct {
	Book, ID   string
	Version    int    // how often it was changed
	Fields     []byte // one JSON object
	SetAside   bool
	MergedInto string // the entry that goes on in its place, "" none
}

// BookChange is what was done to an entry, and stays for ever.
type BookChange struct {
	ID          int64 // given by the store, in the order in which things happened
	Book, Entry string
	At          time.Time // given by the store
	Who, What   string
	About       string // the other entry of a merge
	Changes     []byte // JSON
}

// BookAnswer is what a command with a key was answered, to be answered again. The zero value is of one without.
type BookAnswer struct {
	Device, Key string
	Hash        []byte // SHA-256 of what was asked
	Answer      []byte
}

// BookEntries returns all entries of all books.
func (a *Access) BookEntries(ctx context.Context) ([]BookEntry, error) {
	var rows []bookEntryRow
	if err := a.read.WithContext(ctx).Order("book, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: the books: %w", err)
	}
	entries := make([]BookEntry, len(rows))
	for i, r := range rows {
		entries[i] = BookEntry{r.Book, r.ID, r.Version, []byte(r.Fields), r.SetAside, r.MergedInto}
	}
	return entries, nil
}

// BookHistory returns what was done to some entries of a book, the oldest first.
func (a *Access) BookHistory(ctx context.Context, book string, entries []string) ([]BookChange, error) {
	return bookChanges(a.read.WithContext(ctx).Where("book = ? AND entry IN ?", book, entries))
}

// BookChanges returns what was done to the entries of all books after the change of an id, the oldest first, at most limit.
func (a *Access) BookChanges(ctx context.Context, after int64, limit int) ([]BookChange, error) {
	return bookChanges(a.read.WithContext(ctx).Where("id > ?", after).Limit(limit))
}

func bookChanges(asked *gorm.DB) ([]BookChange, error) {
	var rows []bookChangeRow
	if err := asked.Order("id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: the history of the books: %w", err)
	}
	changes := make([]BookChange, len(rows))
	for i, r := range rows {
		changes[i] = BookChange{r.ID, r.Book, r.Entry, r.At.time(), r.Who, r.What, r.About, []byte(r.Changes)}
	}
	return changes, nil
}

// BookAnswer returns what a device's command with that key was answered, the zero value for a key that is new.
func (a *Access) BookAnswer(ctx context.Context, device, key string) (BookAnswer, error) {
	var rows []bookAnswerRow
	if err := a.read.WithContext(ctx).Where("device = ? AND key = ?", device, key).Find(&rows).Error; err != nil || len(rows) == 0 {
		return BookAnswer{}, err
	}
	r := rows[0]
	return BookAnswer{r.Device, r.Key, r.Hash, []byte(r.Answer)}, nil
}

// rowsAtOnce is how many rows one statement takes: SQLite has a bound on what it binds.
const rowsAtOnce = 500

// KeepBook keeps entries as they are now with what was done to them, and the answer: all of it or none. The error is ErrBusy when
// the disk refuses it, *MovedError where the shop's file isn't there any more.
func (s *Store) KeepBook(ctx context.Context, entries []BookEntry, changes []BookChange, answer BookAnswer) error {
	if err := s.moved(); err != nil {
		return err
	}
	now := at(s.clock())
	rows := make([]bookEntryRow, len(entries))
	for i, e := range entries {
		rows[i] = bookEntryRow{e.Book, e.ID, e.Version, string(e.Fields), e.SetAside, e.MergedInto}
	}
	history := make([]bookChangeRow, len(changes))
	for i, c := range changes {
		history[i] = bookChangeRow{Book: c.Book, Entry: c.Entry, At: now, Who: c.Who, What: c.What, About: c.About, Changes: string(c.Changes)}
	}
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if len(rows) > 0 {
			if err := tx.Clauses(clause.OnConflict{UpdateAll: true}).CreateInBatches(rows, rowsAtOnce).Error; err != nil {
				return err
			}
		}
		if len(history) > 0 {
			if err := tx.CreateInBatches(history, rowsAtOnce).Error; err != nil {
				return err
			}
		}
		if answer.Key == "" {
			return nil
		}
		return tx.Create(&bookAnswerRow{answer.Device, answer.Key, answer.Hash, string(answer.Answer)}).Error
	})
	if err != nil {
		return fmt.Errorf("%w: keep the books: %w", ErrBusy, err)
	}
	return nil
}

const bookEntries = "book_entries"

type bookEntryRow struct {
	Book       string `gorm:"primaryKey"`
	ID         string `gorm:"primaryKey"`
	Version    int
	Fields     string
	SetAside   bool
	MergedInto string
}

type bookChangeRow struct {
	ID      int64 `gorm:"primaryKey"`
	Book    string
	Entry   string
	At      moment
	Who     string
	What    string
	About   string
	Changes string
}

type bookAnswerRow struct {
	Device string `gorm:"primaryKey"`
	Key    string `gorm:"primaryKey"`
	Hash   []byte
	Answer string
}

func (bookEntryRow) TableName() string  { return bookEntries }
func (bookChangeRow) TableName() string { return "book_changes" }
func (bookAnswerRow) TableName() string { return "book_answers" }

// booked is an entry as its history leaves it.
type booked struct {
	version    int
	fields     map[string]string
	setAside   bool
	mergedInto string
}

func (b *booked) String() string {
	if b == nil {
		return ""
	}
	fields, _ := json.Marshal(b.fields) // by key: texts by text can't fail
	return fmt.Sprintf("version %d, set aside %t, merged into %q: %s", b.version, b.setAside, b.mergedInto, fields)
}

// bookKey is whose history it is.
type bookKey struct{ book, id string }

func (k bookKey) String() string { return k.book + " " + k.id }

// books holds each entry against its own history, and what was merged against what it goes on as, which has to be there. A name by
// which an order goes, once a customer had it, still is one's.
func (a *auditor) books(floor *stations.Floor) error {
	folded, had, err := a.bookHistory()
	if err != nil {
		return err
	}
	var rows []bookEntryRow
	if err := a.tx.Order("book, id").Find(&rows).Error; err != nil {
		return err
	}
	stored, goes := map[bookKey]*booked{}, map[string]bool{} // the names that lead to a customer
	for _, r := range rows {
		b := &booked{version: r.Version, setAside: r.SetAside, mergedInto: r.MergedInto}
		if err := json.Unmarshal([]byte(r.Fields), &b.fields); err != nil {
			return &DamagedError{fmt.Sprintf("entry %s of the book %s: %v", r.ID, r.Book, err)}
		}
		key := bookKey{r.Book, r.ID}
		stored[key] = b
		if want, got := folded[key].String(), b.String(); want != got {
			a.differ(bookEntries, key.String(), want, got)
		}
		delete(folded, key)
		if r.Book == customers && r.MergedInto == "" {
			for _, name := range namesOf(b.fields) {
				goes[name] = true
			}
		}
	}
	for _, key := range slices.SortedFunc(maps.Keys(folded), func(a, b bookKey) int { return cmp.Compare(a.String(), b.String()) }) {
		a.differ(bookEntries, key.String(), folded[key].String(), "")
	}
	for _, r := range rows {
		if b := stored[bookKey{r.Book, r.ID}]; !goesOn(b, r.Book, stored) {
			a.differ(bookEntries, r.Book+" "+r.ID, "merged into an entry that goes on", "merged into "+r.MergedInto)
		}
	}
	for _, o := range floor.Orders() {
		if had[o.Customer] && !goes[o.Customer] {
			a.differ(bookEntries, customers+" of "+o.ID, "a customer called "+o.Customer, "")
		}
	}
	return nil
}

// bookHistory folds the changes of all entries, and returns the names that customers ever had, too.
func (a *auditor) bookHistory() (folded map[bookKey]*booked, had map[string]bool, err error) {
	rows, err := a.tx.Model(&bookChangeRow{}).Order("id").Rows()
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	folded, had = map[bookKey]*booked{}, map[string]bool{}
	for rows.Next() { // one at a time: of many years they are many
		var r bookChangeRow
		if err := a.tx.ScanRows(rows, &r); err != nil {
			return nil, nil, err
		}
		var changes []struct{ Field, After string }
		if err := json.Unmarshal([]byte(r.Changes), &changes); err != nil {
			return nil, nil, &DamagedError{fmt.Sprintf("row %d of the books' history: %v", r.ID, err)}
		}
		key := bookKey{r.Book, r.Entry}
		b := folded[key]
		if b == nil {
			b = &booked{fields: map[string]string{}}
			folded[key] = b
		}
		b.version++
		for _, c := range changes {
			if b.fields[c.Field] = c.After; c.After == "" {
				delete(b.fields, c.Field)
			}
		}
		switch r.What {
		case "set_aside", "brought_back":
			b.setAside = r.What == "set_aside"
		case "merged":
			b.mergedInto = r.About
		case "took_over": // set aside where both were
			other := folded[bookKey{r.Book, r.About}]
			b.setAside = b.setAside && other != nil && other.setAside
		}
		if r.Book == customers {
			for _, name := range namesOf(b.fields) {
				had[name] = true
			}
		}
	}
	return folded, had, rows.Err()
}

// customers is the book to which the names of orders lead.
const customers = "customers"

// namesOf are an entry's name and the others that it goes by, one a line.
func namesOf(fields map[string]string) []string {
	return append(strings.Split(fields["names"], "\n"), fields["name"])
}

// goesOn reports whether an entry isn't merged into another, or one goes on in its place in the end.
func goesOn(b *booked, book string, stored map[bookKey]*booked) bool {
	for range stored { // so often at most, or it goes round
		if b == nil || b.mergedInto == "" {
			break
		}
		b = stored[bookKey{book, b.mergedInto}]
	}
	return b != nil && b.mergedInto == ""
}
