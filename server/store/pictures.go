package store

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"gorm.io/gorm"

	"tablehand/stations"
)

const (
	unnamedFor  = 24 * time.Hour // how long a picture waits for a hold that names it
	mostUnnamed = 500            // pictures that wait at once; of the size of a kept one, 85 MB
)

// AddPicture keeps a picture and returns its id, the SHA-256 of its bytes in hex. One that no hold names within a
// day is dropped. The error is ErrBusy while too many wait to be named, or when the disk refuses it, *MovedError where the shop's
// file isn't there any more.
func (s *Store) AddPicture(ctx context.Context, data []byte) (id string, err error) {
	if err := s.moved(); err != nil {
		return "", err
	}
	id = digest(data)
	kept := s.write.WithContext(ctx).Exec(`INSERT INTO pictures (id, data, added) SELECT ?, ?, ?
		WHERE (SELECT count(*) FROM pictures WHERE event IS NULL) < ? OR EXISTS (SELECT 1 FROM pictures WHERE id = ?)
		ON CONFLICT (id) DO UPDATE SET added = excluded.added`, id, data, at(s.clock()), mostUnnamed, id)
	switch {
	case kept.Error != nil:
		return "", fmt.Errorf("%w: keep a picture: %w", ErrBusy, kept.Error)
	case kept.RowsAffected == 0:
		return "", fmt.Errorf("%w: %d pictures wait to be named", ErrBusy, mostUnnamed)
	}
	return id, nil
}

// Picture returns the bytes of a picture, ErrNotFound where there is none of that id.
func (s *Store) Picture(ctx context.Context, id string) ([]byte, error) {
	var rows []pictureRow
	if err := s.read.WithContext(ctx).Where("id = ?", id).Limit(1).Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: picture: %w", err)
	}
	if len(rows) == 0 {
		return nil, ErrNotFound
	}
	return rows[0].Data, nil
}

// KeptPicture is a picture that the ledger names.
type KeptPicture struct {
	ID    string // the SHA-256 of its bytes in hex
	Data  []byte
	Added time.Time
}

// NamedPictures gives each picture that the ledger names, in its order, one at a time: all of them may be much.
func (s *Store) NamedPictures(ctx context.Context, give func(KeptPicture) error) error {
	rows, err := s.read.WithContext(ctx).Model(&pictureRow{}).Where("event IS NOT NULL").Order("event, id").Rows()
	if err != nil {
		return fmt.Errorf("store: pictures: %w", err)
	}
	defer rows.Close()
	for rows.Next() {
		var p pictureRow
		if err := s.read.ScanRows(rows, &p); err != nil {
			return fmt.Errorf("store: pictures: %w", err)
		}
		if err := give(KeptPicture{p.ID, p.Data, p.Added.time()}); err != nil {
			return err
		}
	}
	return rows.Err()
}

// pictureOf returns the id of the picture that a command names, "" for none.
func pictureOf(cmd stations.Command) string {
	switch c := cmd.(type) {
	case stations.Scan:
		return c.Picture
	case stations.ReceivePiece:
		return c.Picture
	}
	return ""
}

// keptPictures looks up which of the pictures that a batch names there are.
func keptPictures(tx *gorm.DB, batch []*request) (map[string]bool, error) {
	var asked []string
	for _, r := range batch {
		if id := pictureOf(r.cmd); id != "" {
			asked = append(asked, id)
		}
	}
	if len(asked) == 0 {
		return nil, nil
	}
	var found []string
	if err := tx.Model(&pictureRow{}).Where("id IN ?", asked).Pluck("id", &found).Error; err != nil {
		return nil, fmt.Errorf("store: look up pictures: %w", err)
	}
	kept := make(map[string]bool, len(found))
	for _, id := range found {
		kept[id] = true
	}
	return kept, nil
}

// namePictures ties the pictures that events name to the first event that does, so that they stay.
func namePictures(tx *gorm.DB, events []stations.Event) error {
	for _, e := range events {
		if e.Picture == "" {
			continue
		}
		if err := tx.Exec("UPDATE pictures SET event = ? WHERE id = ? AND event IS NULL", e.Seq, e.Picture).Error; err != nil {
			return fmt.Errorf("store: picture of event %d: %w", e.Seq, err)
		}
	}
	return nil
}

// dropUnnamed forgets the pictures that nothing has named for a day.
func (s *Store) dropUnnamed() {
	before := at(s.clock().Add(-unnamedFor))
	if err := s.write.Where("event IS NULL AND added < ?", before).Delete(&pictureRow{}).Error; err != nil {
		s.log.Warn("store: drop pictures that nothing names", "error", err)
	}
}

// pictures checks that each picture that the ledger names is there with the bytes of its id, and that the table
// names the event that does. named has the first event of each.
func (a *auditor) pictures(named map[string]int64) error {
	rows, err := a.tx.Model(&pictureRow{}).Order("id").Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() { // one at a time: all of them may be much
		var p pictureRow
		if err := a.tx.ScanRows(rows, &p); err != nil {
			return err
		}
		if got := digest(p.Data); got != p.ID {
			a.differ("pictures", p.ID, "SHA-256 "+p.ID, "SHA-256 "+got)
		}
		var event int64
		if p.Event != nil {
			event = *p.Event
		}
		if want := named[p.ID]; want != event {
			a.differ("pictures", p.ID, namedBy(want), namedBy(event))
		}
		delete(named, p.ID)
	}
	for _, id := range slices.Sorted(maps.Keys(named)) {
		a.differ("pictures", id, namedBy(named[id]), "")
	}
	return rows.Err()
}

func namedBy(event int64) string {
	if event == 0 {
		return "named by no event"
	}
	return fmt.Sprintf("named by event %d", event)
}
