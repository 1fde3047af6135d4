package store

import (
	"context"
	"fmt"
	"strings"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// FloorRole is what a person is on the floor.
type FloorRole string

const (
	Hand    FloorRole = "hand"
	Lead    FloorRole = "lead" // decides holds of the office's kind at a bench, by badge and PIN
	NoFloor FloorRole = "none"
)

// Person is somebody who works in the shop.
type Person struct {
	ID         string
	Name       string
	Initials   string
	Language   string // BCP 47, "" whichever the device has
	Floor      FloorRole
	SignsInAs  stations.Role // Office or Accounts, "" not at all
	Badge      plan.Code
	PIN        string // its hash, "" none; likewise the passphrase
	Passphrase string
	SetAside   bool // left; what they did stays theirs
}

// Here reports whether somebody works on the floor now.
func (p Person) Here() bool { return !p.SetAside && p.Floor != NoFloor }

// NameTakenError is a name that another person has.
type NameTakenError struct{ ID string }

func (e *NameTakenError) Error() string { return "store: the name is another person's" }

// AddPerson keeps a new person. The error is *NameTakenError.
func (a *Access) AddPerson(ctx context.Context, p Person, e Entry) error {
	return a.noting(ctx, e, func(tx *gorm.DB) error {
		if err := nameFree(tx, p); err != nil {
			return err
		}
		row := personRowOf(p)
		return tx.Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error // somebody of that name may have chosen a language
	})
}

// ChangePerson keeps a person as it is now, all of it. Who may sign in no more, or as something else, is signed out. Errors:
// ErrNotFound, *NameTakenError.
func (a *Access) ChangePerson(ctx context.Context, p Person, e Entry) error {
	return a.noting(ctx, e, func(tx *gorm.DB) error {
		if err := nameFree(tx, p); err != nil {
			return err
		}
		if err := tx.Where("id = '' AND name = ?", p.Name).Delete(&personRow{}).Error; err != nil {
			return err
		}
		if err := removed(tx.Model(&personRow{}).Where("id = ?", p.ID).Select("*").Updates(personRowOf(p))); err != nil {
			return err
		}
		gone := tx.Where("person = ?", p.ID)
		if !p.SetAside {
			gone = gone.Where("role <> ?", string(p.SignsInAs))
		}
		return gone.Delete(&sessionRow{}).Error
	})
}

// nameFree refuses a name that differs from another person's only in case.
func nameFree(tx *gorm.DB, p Person) error {
	var rows []personRow
	if err := tx.Where("id <> '' AND id <> ?", p.ID).Find(&rows).Error; err != nil {
		return err
	}
	for _, r := range rows {
		if strings.EqualFold(r.Name, p.Name) {
			return &NameTakenError{r.ID}
		}
	}
	return nil
}

// People returns all people, by name; those who are set aside too.
func (a *Access) People(ctx context.Context) ([]Person, error) {
	var rows []personRow
	if err := a.read.WithContext(ctx).Where("id <> ''").Order("name").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: people: %w", err)
	}
	people := make([]Person, len(rows))
	for i, r := range rows {
		people[i] = r.person()
	}
	return people, nil
}

// EndSessions ends a person's sign-ins but one ("" none); the owner's are those of "".
func (a *Access) EndSessions(ctx context.Context, person, but string) error {
	defer a.credentials.changed()
	return a.write.WithContext(ctx).Where("person = ? AND id <> ?", person, but).Delete(&sessionRow{}).Error
}

// SessionsOf returns a person's sign-ins that haven't expired, the newest first.
func (a *Access) SessionsOf(ctx context.Context, person string) ([]Session, error) {
	var rows []sessionRow
	err := a.read.WithContext(ctx).Where("person = ? AND expires > ?", person, at(a.clock())).Order("created DESC, id").Find(&rows).Error
	if err != nil {
		return nil, fmt.Errorf("store: sign-ins of a person: %w", err)
	}
	sessions := make([]Session, len(rows))
	for i, r := range rows {
		sessions[i] = r.session()
	}
	return sessions, nil
}

// EndSession ends one of a person's sign-ins, ErrNotFound where it isn't theirs, and notes it.
func (a *Access) EndSession(ctx context.Context, person, id string, e Entry) error {
	return a.noting(ctx, e, func(tx *gorm.DB) error {
		return removed(tx.Where("person = ? AND id = ?", person, id).Delete(&sessionRow{}))
	})
}

func personRowOf(p Person) personRow {
	signIn := string(p.SignsInAs)
	if signIn == "" {
		signIn = "none"
	}
	return personRow{Name: p.Name, Language: p.Language, ID: p.ID, Initials: p.Initials, Floor: string(p.Floor), SignIn: signIn,
		Badge: string(p.Badge), Pin: p.PIN, Passphrase: p.Passphrase, SetAside: p.SetAside}
}

func (r personRow) person() Person {
	p := Person{ID: r.ID, Name: r.Name, Initials: r.Initials, Language: r.Language, Floor: FloorRole(r.Floor), Badge: plan.Code(r.Badge),
		PIN: r.Pin, Passphrase: r.Passphrase, SetAside: r.SetAside}
	if r.SignIn != "none" {
		p.SignsInAs = stations.Role(r.SignIn)
	}
	return p
}

// SpeaksTo keeps the language, a BCP 47 tag, in which the person of a name reads.
func (a *Access) SpeaksTo(ctx context.Context, name, language string) error {
	row := personRow{Name: name, Language: language, Floor: string(NoFloor), SignIn: "none"}
	spoken := clause.OnConflict{Columns: []clause.Column{{Name: "name"}}, DoUpdates: clause.AssignmentColumns([]string{"language"})}
	if err := a.write.WithContext(ctx).Clauses(spoken).Create(&row).Error; err != nil {
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
