package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
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
	var rows []bookChangeRow
	if err := a.read.WithContext(ctx).Where("book = ? AND entry IN ?", book, entries).Order("id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: the history of an entry: %w", err)
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

func (bookEntryRow) TableName() string  { return "book_entries" }
func (bookChangeRow) TableName() string { return "book_changes" }
func (bookAnswerRow) TableName() string { return "book_answers" }
