package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"
)

// Deed is what an entry of the record tells of.
type Deed string

const (
	SignedIn       Deed = "signed_in"
	SignInFailed   Deed = "sign_in_failed"
	LetIn          Deed = "let_in"
	ShutOut        Deed = "shut_out"
	TokenMade      Deed = "token_made"
	TokenRevoked   Deed = "token_revoked"
	SettingChanged Deed = "setting_changed"
	PriceChanged   Deed = "price_changed"
	PersonChanged  Deed = "person_changed"
	ShopCopied     Deed = "shop_copied"
)

// Deeds are all that the record tells of.
func Deeds() []Deed {
	return []Deed{SignedIn, SignInFailed, LetIn, ShutOut, TokenMade, TokenRevoked, SettingChanged, PriceChanged, PersonChanged, ShopCopied}
}

// Entry is one line of the record: who did what, about what or whom, from which address. The store gives it its id and time.
type Entry struct {
	ID      int64
	At      time.Time
	Who     string // a name; "" for a stranger
	What    Deed
	About   string
	Address string // of the network; "" on the machine itself
}

// Note keeps an entry.
func (a *Access) Note(ctx context.Context, e Entry) error { return a.note(a.write.WithContext(ctx), e) }

func (a *Access) note(tx *gorm.DB, e Entry) error {
	row := recordRow{At: at(a.clock()), Who: e.Who, What: string(e.What), About: e.About, Address: e.Address}
	if err := tx.Create(&row).Error; err != nil {
		return fmt.Errorf("store: note in the record: %w", err)
	}
	return nil
}

// noting makes a change and notes it, both or neither. What lets people in is looked at again afterwards.
func (a *Access) noting(ctx context.Context, e Entry, change func(tx *gorm.DB) error) error {
	defer a.credentials.changed()
	return a.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if err := change(tx); err != nil {
			return err
		}
		return a.note(tx, e)
	})
}

// Record returns entries after an id, oldest first, at most limit.
func (a *Access) Record(ctx context.Context, after int64, limit int) ([]Entry, error) {
	return a.entries(a.read.WithContext(ctx).Where("id > ?", after).Order("id").Limit(limit))
}

// RecordBefore returns the newest entries before an id, newest first, at most limit; 0 is before none.
func (a *Access) RecordBefore(ctx context.Context, before int64, limit int) ([]Entry, error) {
	db := a.read.WithContext(ctx).Order("id DESC").Limit(limit)
	if before > 0 {
		db = db.Where("id < ?", before)
	}
	return a.entries(db)
}

func (a *Access) entries(db *gorm.DB) ([]Entry, error) {
	var rows []recordRow
	if err := db.Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: the record: %w", err)
	}
	entries := make([]Entry, len(rows))
	for i, r := range rows {
		entries[i] = Entry{ID: r.ID, At: r.At.time(), Who: r.Who, What: Deed(r.What), About: r.About, Address: r.Address}
	}
	return entries, nil
}
