package store

import (
	"context"
	"crypto/rand"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
)

// epochSetting keeps the epoch of the history: a word drawn anew at each restore. Sequences count on from the copy then,
// so that a follower who has seen more, and counts on too, can tell only by the epoch that its past is another.
const epochSetting Setting = "epoch"

// begin gives a history that has none its epoch, and returns it.
func (a *Access) begin(ctx context.Context) (string, error) {
	return a.SetOnce(ctx, epochSetting, rand.Text())
}

// Epoch returns the word by which this history is told from one that was restored since, or before.
func (s *Store) Epoch() string { return s.epoch }

// beginAnew gives a restored shop an epoch of its own, and ends who was let in when the copy was made: people's sign-ins
// always, tokens unless they are to stay.
func (a *Access) beginAnew(ctx context.Context, keepTokens bool) error {
	return a.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		row := settingRow{string(epochSetting), rand.Text()}
		if err := tx.Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error; err != nil {
			return err
		}
		if err := tx.Where("1 = 1").Delete(&sessionRow{}).Error; err != nil || keepTokens {
			return err
		}
		return tx.Where("1 = 1").Delete(&tokenRow{}).Error
	})
}
