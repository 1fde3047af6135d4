package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/stations/plan"
)

// FloorCount is a count of what lies at a station.
type FloorCount struct {
	ID           string
	Station      plan.Station
	Device       string // that began it
	Key          string // its own for it, "" none
	Who          string
	Began, Ended time.Time // Ended is the zero time while it goes on
}

// CountOutcome is what a count finds of a ticket.
type CountOutcome string

const (
	AsItShould CountOutcome = ""
	Missing    CountOutcome = "missing" // it belongs there, and nobody has seen it
	Astray     CountOutcome = "astray"  // it was seen there, and belongs elsewhere
)

// Counted is a ticket of a count.
type Counted struct {
	Ticket   plan.Code
	Expected bool      // it belonged there when the count began
	Seen     time.Time // the zero time where it wasn't
	Outcome  CountOutcome
}

// BeginCount keeps a new count, begun now, with the tickets that belong there. The same key of a device is the same count.
func (s *Store) BeginCount(ctx context.Context, c FloorCount, expected []plan.Code) (FloorCount, error) {
	if err := s.moved(); err != nil {
		return FloorCount{}, err
	}
	row := floorCountRow{ID: c.ID, Station: string(c.Station), Device: c.Device, Who: c.Who, Began: at(s.clock())}
	if c.Key != "" {
		row.Key = &c.Key
	}
	tickets := make([]floorCountTicketRow, len(expected))
	for i, code := range expected {
		tickets[i] = floorCountTicketRow{Count: c.ID, Ticket: string(code), Expected: true}
	}
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		var known []floorCountRow
		if err := tx.Where("device = ? AND key = ?", c.Device, row.Key).Find(&known).Error; err != nil || len(known) > 0 {
			if len(known) > 0 {
				row = known[0]
			}
			return err
		}
		if err := tx.Create(&row).Error; err != nil || len(tickets) == 0 {
			return err
		}
		return tx.CreateInBatches(tickets, rowsAtOnce).Error
	})
	if err != nil {
		return FloorCount{}, fmt.Errorf("%w: begin a count: %w", ErrBusy, err)
	}
	return row.count(), nil
}

// Count returns a count with its tickets, those seen last first, ErrNotFound where there is none of that id.
func (s *Store) Count(ctx context.Context, id string) (FloorCount, []Counted, error) {
	var rows []floorCountRow
	var tickets []floorCountTicketRow
	err := s.read.WithContext(ctx).Where("id = ?", id).Find(&rows).Error
	if err == nil && len(rows) > 0 {
		err = s.read.WithContext(ctx).Where("count = ?", id).Order("turn DESC, ticket").Find(&tickets).Error
	}
	switch {
	case err != nil:
		return FloorCount{}, nil, fmt.Errorf("store: a count: %w", err)
	case len(rows) == 0:
		return FloorCount{}, nil, ErrNotFound
	}
	counted := make([]Counted, len(tickets))
	for i, t := range tickets {
		counted[i] = Counted{plan.Code(t.Ticket), t.Expected, t.Seen.time(), CountOutcome(t.Outcome)}
	}
	return rows[0].count(), counted, nil
}

// OpenCounts returns the counts that go on, the newest first.
func (s *Store) OpenCounts(ctx context.Context) ([]FloorCount, error) {
	var rows []floorCountRow
	if err := s.read.WithContext(ctx).Where("ended = 0").Order("began DESC, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: counts that go on: %w", err)
	}
	counts := make([]FloorCount, len(rows))
	for i, r := range rows {
		counts[i] = r.count()
	}
	return counts, nil
}

// Counts returns all counts, the oldest first.
func (s *Store) Counts(ctx context.Context) ([]FloorCount, error) {
	var rows []floorCountRow
	if err := s.read.WithContext(ctx).Order("began, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: counts: %w", err)
	}
	counts := make([]FloorCount, len(rows))
	for i, r := range rows {
		counts[i] = r.count()
	}
	return counts, nil
}

// SeeCounted notes that a ticket lies there. Seen twice it was seen first.
func (s *Store) SeeCounted(ctx context.Context, id string, ticket plan.Code) error {
	row := floorCountTicketRow{Count: id, Ticket: string(ticket), Seen: at(s.clock())}
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		var known []floorCountTicketRow
		if err := tx.Where("count = ? AND ticket = ?", id, row.Ticket).Find(&known).Error; err != nil {
			return err
		}
		if len(known) > 0 && known[0].Turn > 0 {
			return nil
		}
		row.Expected = len(known) > 0
		if err := tx.Model(&floorCountTicketRow{}).Where("count = ?", id).Select("coalesce(max(turn), 0) + 1").Scan(&row.Turn).Error; err != nil {
			return err
		}
		return tx.Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error
	})
	if err != nil {
		return fmt.Errorf("%w: note a counted ticket: %w", ErrBusy, err)
	}
	return nil
}

// EndCount ends a count, now, with what came of its tickets. One that has ended stays as it is.
func (s *Store) EndCount(ctx context.Context, id string, outcomes map[plan.Code]CountOutcome) error {
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		ended := tx.Model(&floorCountRow{}).Where("id = ? AND ended = 0", id).Update("ended", at(s.clock()))
		if ended.Error != nil || ended.RowsAffected == 0 {
			return ended.Error
		}
		for code, outcome := range outcomes {
			if err := tx.Model(&floorCountTicketRow{}).Where("count = ? AND ticket = ?", id, string(code)).Update("outcome", string(outcome)).Error; err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("%w: end a count: %w", ErrBusy, err)
	}
	return nil
}

type floorCountRow struct {
	ID      string `gorm:"primaryKey"`
	Station string
	Device  string
	Key     *string
	Who     string
	Began   moment
	Ended   moment
}

func (floorCountRow) TableName() string { return "floor_counts" }

func (r floorCountRow) count() FloorCount {
	c := FloorCount{ID: r.ID, Station: plan.Station(r.Station), Device: r.Device, Who: r.Who, Began: r.Began.time(), Ended: r.Ended.time()}
	if r.Key != nil {
		c.Key = *r.Key
	}
	return c
}

type floorCountTicketRow struct {
	Count    string `gorm:"primaryKey"`
	Ticket   string `gorm:"primaryKey"`
	Expected bool
	Seen     moment
	Turn     int
	Outcome  string
}

func (floorCountTicketRow) TableName() string { return "floor_count_tickets" }

// PurchaseLine is what is said of a line of a purchase list.
type PurchaseLine struct {
	Line   string
	State  string // open, ordered, come
	OnHand string // a length or a number as it is written, "" nothing said
	Who    string

	Changed time.Time // given by the store
}

// PurchaseLines returns what is said of all lines, by line.
func (a *Access) PurchaseLines(ctx context.Context) (map[string]PurchaseLine, error) {
	var rows []purchaseLineRow
	if err := a.read.WithContext(ctx).Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: lines of purchase lists: %w", err)
	}
	lines := make(map[string]PurchaseLine, len(rows))
	for _, r := range rows {
		lines[r.Line] = PurchaseLine{r.Line, r.State, r.OnHand, r.Who, r.Changed.time()}
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
