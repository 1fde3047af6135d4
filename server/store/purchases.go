package store

import (
	"context"
	"fmt"

	"gorm.io/gorm/clause"
)

// PurchaseLine is what is said of a line of a purchase list.
type PurchaseLine struct {
	Line   string
	State  string // open, ordered, come
	OnHand string // a length or a number as it is written, "" nothing said
	Who    string
}

// PurchaseLines returns what is said of all lines, by line.
func (a *Access) PurchaseLines(ctx context.Context) (map[string]PurchaseLine, error) {
	var rows []purchaseLineRow
	if err := a.read.WithContext(ctx).Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: lines of purchase lists: %w", err)
	}
	lines := make(map[string]PurchaseLine, len(rows))
	for _, r := range rows {
		lines[r.Line] = PurchaseLine{r.Line, r.State, r.OnHand, r.Who}
	}
	return lines, nil
}

// KeepPurchaseLine keeps what is said of a line from now on.
func (s *Store) KeepPurchaseLine(ctx context.Context, l PurchaseLine) error {
	if err := s.moved(); err != nil {
		return err
	}
	row := purchaseLineRow{l.Line, l.State, l.OnHand, at(s.clock()), l.Who}
	if err := s.write.WithContext(ctx).Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error; err != nil {
		return fmt.Errorf("%w: keep a line of a purchase list: %w", ErrBusy, err)
	}
	return nil
}

type purchaseLineRow struct {
	Line    string `gorm:"primaryKey"`
	State   string
	OnHand  string
	Changed moment
	Who     string
}

func (purchaseLineRow) TableName() string { return "purchase_lines" }
