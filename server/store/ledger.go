package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"gorm.io/gorm"

	"tablehand/stations"
)

// deviceKey is what makes a retry the same event: the key that a device has made for one scan, and the hash of
// what it asked. It is zero for commands without a key.
type deviceKey struct {
	device string
	key    string
	body   [sha256.Size]byte
}

func keyOf(cmd stations.Command) (deviceKey, error) {
	scan, ok := cmd.(stations.Scan)
	if !ok || scan.Key == "" {
		return deviceKey{}, nil
	}
	k := deviceKey{device: scan.Actor.Device, key: scan.Key}
	scan.Actor = stations.Actor{} // a token's name and role may have changed since
	body, err := json.Marshal(scan)
	if err != nil {
		return deviceKey{}, fmt.Errorf("store: hash a scan: %w", err)
	}
	k.body = sha256.Sum256(body)
	return k, nil
}

// find looks for the event that the key has made, in this batch or ever, and gives its answer again; for another
// body the answer is a refusal.
func (k deviceKey) find(tx *gorm.DB) (answer, bool, error) {
	if k.key == "" {
		return answer{}, false, nil
	}
	var hash []byte
	var details string
	err := tx.Raw("SELECT body_hash, details FROM ledger WHERE device = ? AND key = ?", k.device, k.key).Row().Scan(&hash, &details)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return answer{}, false, nil
	case err != nil:
		return answer{}, false, fmt.Errorf("store: look up a key: %w", err)
	case !bytes.Equal(hash, k.body[:]):
		return answer{err: &stations.Refusal{Code: "key_reused", Field: "key", Args: map[string]any{"Key": k.key}}}, true, nil
	}
	var e stations.Event
	if err := json.Unmarshal([]byte(details), &e); err != nil {
		return answer{}, false, fmt.Errorf("store: read a kept event: %w", err)
	}
	return answer{event: e}, true, nil
}

// appendEvent writes a row of the ledger.
func appendEvent(tx *gorm.DB, e stations.Event, k deviceKey) error {
	row, err := ledgerRowOf(e)
	if err != nil {
		return err
	}
	if k.key != "" {
		row.Key, row.BodyHash = &k.key, k.body[:]
	}
	// Not by gorm's Create: its reflection would cost more than the row.
	return tx.Exec(`INSERT INTO ledger (seq, at, device, role, name, key, body_hash, action, order_id, ticket, station, state, details)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		row.Seq, row.At, row.Device, row.Role, row.Name, row.Key, row.BodyHash,
		row.Action, row.OrderID, row.Ticket, row.Station, row.State, row.Details).Error
}

// ledgerRowOf returns the row that keeps an event; its key is the command's.
func ledgerRowOf(e stations.Event) (ledgerRow, error) {
	details, err := json.Marshal(e)
	if err != nil {
		return ledgerRow{}, err
	}
	return ledgerRow{
		Seq: e.Seq, At: at(e.At), Device: e.Actor.Device, Role: string(e.Actor.Role), Name: e.Actor.Name,
		Action: string(e.Action), OrderID: e.Order, Ticket: string(e.Ticket), Station: string(e.Station), State: string(e.State),
		Details: string(details),
	}, nil
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
			return nil, fmt.Errorf("store: ledger row %d: %w", seq, err)
		}
		overlay.Apply(e)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("store: read the ledger: %w", err)
	}
	return overlay.Floor(), nil
}
