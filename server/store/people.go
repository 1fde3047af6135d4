package store

import (
	"context"
	"fmt"

	"gorm.io/gorm/clause"
)

// SpeaksTo keeps the language, a BCP 47 tag, in which the person of a name reads.
func (a *Access) SpeaksTo(ctx context.Context, name, language string) error {
	row := personRow{Name: name, Language: language}
	if err := a.write.WithContext(ctx).Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error; err != nil {
		return fmt.Errorf("store: keep a person's language: %w", err)
	}
	return nil
}

// Spoken returns the language of everybody who has chosen one, by name.
func (a *Access) Spoken(ctx context.Context) (map[string]string, error) {
	var rows []personRow
	if err := a.read.WithContext(ctx).Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: languages of people: %w", err)
	}
	spoken := make(map[string]string, len(rows))
	for _, r := range rows {
		spoken[r.Name] = r.Language
	}
	return spoken, nil
}
