package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"fmt"

	"gorm.io/gorm"

	"tablehand/stations"
)

// keyID is a key as the device has made it: unique for the device.
type keyID struct{ device, key string }

// deviceKey is what makes a retry the same event: the key that a device has made for one command, and the hash of
// what it asked. It is zero for commands without a key.
type deviceKey struct {
	keyID
	body [sha256.Size]byte
}

func keyOf(cmd stations.Command) (deviceKey, error) {
	device, key, asked := stations.KeyOf(cmd)
	if key == "" {
		return deviceKey{}, nil
	}
	k := deviceKey{keyID: keyID{device, key}}
	body, err := json.Marshal(asked)
	if err != nil {
		return deviceKey{}, fmt.Errorf("store: hash a command: %w", err)
	}
	k.body = sha256.Sum256(body)
	return k, nil
}

// usedKey is a key that has made an event, and that event.
type usedKey struct {
	bodyHash []byte
	event    stations.Event
}

// answerTo gives the event that the key has made as the answer again; for another body the answer is a refusal.
func (u usedKey) answerTo(k deviceKey) answer {
	if !bytes.Equal(u.bodyHash, k.body[:]) {
		return answer{err: &stations.Refusal{Code: "key_reused", Field: "key", Args: map[string]any{"Key": k.key}}}
	}
	return answer{event: u.event}
}

// ledgerRowOf returns the row that keeps an event and the key that its command had.
func ledgerRowOf(e stations.Event, k deviceKey) (ledgerRow, error) {
	details, err := json.Marshal(e)
	if err != nil {
		return ledgerRow{}, err
	}
	return rowOf(e, string(details), k), nil
}

// rowOf is ledgerRowOf for an event that is written already.
func rowOf(e stations.Event, details string, k deviceKey) ledgerRow {
	row := ledgerRow{
		Seq: e.Seq, At: at(e.At), Device: e.Actor.Device, Role: string(e.Actor.Role), Name: e.Actor.Name,
		Action: string(e.Action), OrderID: e.Order, Ticket: string(e.Ticket), Station: string(e.Station), State: string(e.State),
		Details: details,
	}
	if k.key != "" {
		row.Key, row.BodyHash = &k.key, k.body[:]
	}
	return row
}

// Events returns ledger rows after a sequence, oldest first, at most limit.
func (s *Store) Events(ctx context.Context, after int64, limit int) ([]stations.Event, error) {
	var details []string
	err := s.read.WithContext(ctx).Model(&ledgerRow{}).Where("seq > ?", after).Order("seq").Limit(limit).Pluck("details", &details).Error
	if err != nil {
		return nil, fmt.Errorf("store: events: %w", err)
	}
	events := make([]stations.Event, len(details))
	for i, d := range details {
		if err := json.Unmarshal([]byte(d), &events[i]); err != nil {
			return nil, fmt.Errorf("store: events after %d: %w", after, err)
		}
	}
	return events, nil
}

// EventsAt returns the ledger's rows of these numbers, oldest first.
func (s *Store) EventsAt(ctx context.Context, seqs []int64) ([]stations.Event, error) {
	var details []string
	if err := s.read.WithContext(ctx).Model(&ledgerRow{}).Where("seq IN ?", seqs).Order("seq").Pluck("details", &details).Error; err != nil {
		return nil, fmt.Errorf("store: events: %w", err)
	}
	events := make([]stations.Event, len(details))
	for i, d := range details {
		if err := json.Unmarshal([]byte(d), &events[i]); err != nil {
			return nil, fmt.Errorf("store: events: %w", err)
		}
	}
	return events, nil
}

// History returns what the ledger has of an order after a sequence, oldest first; billing, which is by customer, is not in
// it.
func (s *Store) History(ctx context.Context, order string, after int64) ([]stations.Event, error) {
	var details []string
	err := s.read.WithContext(ctx).Model(&ledgerRow{}).Where("order_id = ? AND order_id <> '' AND seq > ?", order, after).Order("seq").Pluck("details", &details).Error
	if err != nil {
		return nil, fmt.Errorf("store: history of %s: %w", order, err)
	}
	events := make([]stations.Event, len(details))
	for i, d := range details {
		if err := json.Unmarshal([]byte(d), &events[i]); err != nil {
			return nil, fmt.Errorf("store: history of %s: %w", order, err)
		}
	}
	return events, nil
}

// foldLedger gives the floor that the whole ledger makes.
func foldLedger(ctx context.Context, db *gorm.DB) (*stations.Floor, error) {
	rows, err := db.WithContext(ctx).Raw("SELECT seq, details FROM ledger ORDER BY seq").Rows()
	if err != nil {
		return nil, fmt.Errorf("store: read the ledger: %w", err)
	}
	defer rows.Close()
	overlay := stations.NewFloor().Overlay()
	for rows.Next() {
		var seq int64
		var details sql.RawBytes // decoded before the next row
		if err := rows.Scan(&seq, &details); err != nil {
			return nil, fmt.Errorf("store: read the ledger: %w", err)
		}
		var e stations.Event
		if err := json.Unmarshal(details, &e); err != nil {
			return nil, &DamagedError{fmt.Sprintf("row %d of the ledger: %v", seq, err)}
		}
		overlay.Apply(e)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("store: read the ledger: %w", err)
	}
	return overlay.Floor(), nil
}
