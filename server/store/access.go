package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/stations"
)

// Access is who may come in, and the shop's settings: the part of the store that needs no floor. A second process
// may open it while a server runs.
type Access struct {
	dir         string
	write, read *gorm.DB
	clock       func() time.Time
	credentials *credentialCache
}

// OpenAccess opens the folder without its floor, to let in a token beside a running server. A folder that no
// server has open is brought up to date first.
func OpenAccess(ctx context.Context, dir string) (*Access, error) {
	if err := makeFolder(dir); err != nil {
		return nil, err
	}
	lock, err := lockFolder(ctx, dir)
	var inUse *InUseError
	if err != nil && !errors.As(err, &inUse) {
		return nil, err
	}
	a, err := openAccess(ctx, dir, slog.New(slog.DiscardHandler), time.Now, lock != nil)
	if lock != nil {
		err = errors.Join(err, lock.release())
	}
	return a, err
}

// openAccess opens both handles; up says whether an older schema is brought up to date or refused.
func openAccess(ctx context.Context, dir string, log *slog.Logger, clock func() time.Time, up bool) (_ *Access, err error) {
	a := &Access{dir: dir, clock: clock}
	defer func() {
		if err != nil {
			err = errors.Join(err, a.Close())
		}
	}()
	path := filepath.Join(dir, databaseFile)
	if a.write, err = openPool(writerDSN(path), 1, log); err != nil {
		return nil, &FolderError{dir, err}
	}
	pool, err := a.write.DB()
	if err != nil {
		return nil, err
	}
	if up {
		err = migrate(ctx, pool, migrations(), dir, clock())
	} else {
		err = sameVersion(ctx, pool)
	}
	if err != nil {
		return nil, err
	}
	if a.read, err = openPool(readerDSN(path), readers, log); err != nil {
		return nil, &FolderError{dir, err}
	}
	a.credentials = &credentialCache{read: a.read, unseen: credentialsFor}
	return a, nil
}

// sameVersion refuses a database that isn't of this program's version.
func sameVersion(ctx context.Context, db *sql.DB) error {
	has, err := schemaVersion(ctx, db)
	if err != nil {
		return err
	}
	knows, err := knownVersion()
	if err != nil {
		return err
	}
	if has != knows {
		return &VersionError{has, knows}
	}
	return nil
}

// Close closes the files. A nil Access has none.
func (a *Access) Close() error {
	if a == nil {
		return nil
	}
	return errors.Join(closePool(a.read), closePool(a.write))
}

// Token is a device or program that may come in; its secret is known to it alone.
type Token struct {
	ID      string
	Name    string
	Role    stations.Role
	Hash    []byte // SHA-256 of the secret
	Created time.Time
}

// AddToken keeps a token, created now.
func (a *Access) AddToken(ctx context.Context, t Token) error {
	row := tokenRow{ID: t.ID, Name: t.Name, Role: string(t.Role), Hash: t.Hash, Created: at(a.clock())}
	err := a.noting(ctx, Entry{What: TokenMade, About: t.Name}, func(tx *gorm.DB) error { return tx.Create(&row).Error })
	if err != nil {
		return fmt.Errorf("store: add a token: %w", err)
	}
	return nil
}

// TokenByHash returns the token of that hash, ErrNotFound where there is none. One that this process removes is gone
// at once, one that another removes within a second; one that another has made is there at once.
func (a *Access) TokenByHash(ctx context.Context, hash []byte) (Token, error) {
	if len(hash) != sha256.Size {
		return Token{}, ErrNotFound
	}
	return lookUp(ctx, a.credentials, func(c *credentials) (Token, bool) {
		t, ok := c.tokens[[sha256.Size]byte(hash)]
		return t, ok
	})
}

// Tokens returns all tokens, oldest first.
func (a *Access) Tokens(ctx context.Context) ([]Token, error) {
	var rows []tokenRow
	if err := a.read.WithContext(ctx).Order("created, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: list tokens: %w", err)
	}
	tokens := make([]Token, len(rows))
	for i, r := range rows {
		tokens[i] = r.token()
	}
	return tokens, nil
}

// RemoveToken lets a token in no more, ErrNotFound where there is none.
func (a *Access) RemoveToken(ctx context.Context, id string, e Entry) error {
	return a.noting(ctx, e, func(tx *gorm.DB) error { return removed(tx.Where("id = ?", id).Delete(&tokenRow{})) })
}

// RemoveTokens lets no token of that name in any more, and returns how many there were; ErrNotFound where there was none.
func (a *Access) RemoveTokens(ctx context.Context, name string) (count int, err error) {
	err = a.noting(ctx, Entry{What: TokenRevoked, About: name}, func(tx *gorm.DB) error {
		done := tx.Where("name = ?", name).Delete(&tokenRow{})
		count = int(done.RowsAffected)
		return removed(done)
	})
	return count, err
}

func (r tokenRow) token() Token {
	return Token{ID: r.ID, Name: r.Name, Role: stations.Role(r.Role), Hash: r.Hash, Created: r.Created.time()}
}

// Session is a browser that has signed in.
type Session struct {
	ID      string
	Role    stations.Role
	Name    string
	Hash    []byte // SHA-256 of the secret
	Created time.Time
	Expires time.Time
	Person  string // whose it is, "" the owner's
	Kept    bool   // on its device, for long
}

// mostSessions is how many sign-ins are remembered: our own choice, some years of a shop.
const mostSessions = 10_000

// AddSession keeps a session, created now, and forgets the first ones of too many. Not those that have expired: a clock
// that jumps ahead and back would sign everybody out.
func (a *Access) AddSession(ctx context.Context, s Session) error {
	defer a.credentials.changed()
	now := at(a.clock())
	row := sessionRow{ID: s.ID, Role: string(s.Role), Name: s.Name, Hash: s.Hash, Created: now, Expires: at(s.Expires), Person: s.Person, Kept: s.Kept}
	err := a.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if err := tx.Create(&row).Error; err != nil {
			return err
		}
		return tx.Exec("DELETE FROM sessions WHERE rowid <= (SELECT max(rowid) FROM sessions) - ?", mostSessions).Error
	})
	if err != nil {
		return fmt.Errorf("store: add a session: %w", err)
	}
	return nil
}

// Session returns a session that hasn't expired, ErrNotFound where there is none; it knows of changes as TokenByHash
// does.
func (a *Access) Session(ctx context.Context, id string) (Session, error) {
	now := a.clock()
	return lookUp(ctx, a.credentials, func(c *credentials) (Session, bool) {
		s, ok := c.sessions[id]
		return s, ok && s.Expires.After(now)
	})
}

func (r sessionRow) session() Session {
	return Session{ID: r.ID, Role: stations.Role(r.Role), Name: r.Name, Hash: r.Hash,
		Created: r.Created.time(), Expires: r.Expires.time(), Person: r.Person, Kept: r.Kept}
}

// ExtendSession has a sign-in last until a time.
func (a *Access) ExtendSession(ctx context.Context, id string, until time.Time) error {
	defer a.credentials.changed()
	return a.write.WithContext(ctx).Model(&sessionRow{}).Where("id = ?", id).Update("expires", at(until)).Error
}

// RemoveSession signs a browser out, ErrNotFound where it wasn't in.
func (a *Access) RemoveSession(ctx context.Context, id string) error {
	defer a.credentials.changed()
	return removed(a.write.WithContext(ctx).Where("id = ?", id).Delete(&sessionRow{}))
}

// RemoveSessions signs everyone out.
func (a *Access) RemoveSessions(ctx context.Context) error {
	defer a.credentials.changed()
	return a.write.WithContext(ctx).Where("1 = 1").Delete(&sessionRow{}).Error
}

// removed tells a delete that found nothing from one that did.
func removed(db *gorm.DB) error {
	if db.Error == nil && db.RowsAffected == 0 {
		return ErrNotFound
	}
	return db.Error
}

// Setting names one of the shop's settings.
type Setting string

const (
	ShopName   Setting = "shop_name"
	Zone       Setting = "zone"       // IANA name
	Address    Setting = "address"    // public base URL, as on tickets
	Language   Setting = "language"   // BCP 47
	Passphrase Setting = "passphrase" // its hash
	KnownKey   Setting = "known_key"  // of the cookies of browsers that have signed in

	PostalAddress Setting = "postal_address" // of the shop itself, in lines; heads its invoices
	PaymentTerms  Setting = "payment_terms"  // at the foot of invoices, in lines

	Units         Setting = "units"          // of new orders: in, cm, mm
	OrderForm     Setting = "order_form"     // how new orders are numbered: HAL-{n:3}
	Paper         Setting = "paper"          // that invoices are printed on: letter, a4
	Calendar      Setting = "calendar"       // the hash of the secret in its address, in hex
	Measuring     Setting = "measuring"      // what the shop asks otherwise than shipped, as JSON
	Conventions   Setting = "conventions"    // the shop's own, with who set them, as JSON
	Tolerances    Setting = "tolerances"     // likewise
	Stations      Setting = "stations"       // which the shop has, calls otherwise, or has added, with who set it, as JSON
	ClosedDays    Setting = "closed_days"    // weekdays and dates, with who set them, as JSON
	PrintSidemark Setting = "print_sidemark" // "yes" where tickets may show it without the order saying so

	LastBackup     Setting = "last_backup"      // RFC 3339; of the last that was whole
	LastBackupFile Setting = "last_backup_file" // its path

	CopyFolder   Setting = "copy_folder"    // a second place for copies
	LastAway     Setting = "last_away"      // RFC 3339; of the last copy put there
	LastAwayFile Setting = "last_away_file" // its path
	shopID       Setting = "shop_id"        // in the names of those copies
)

// Setting returns a setting, "" where it isn't set.
func (a *Access) Setting(ctx context.Context, name Setting) (string, error) {
	var rows []settingRow
	if err := a.read.WithContext(ctx).Where("name = ?", string(name)).Limit(1).Find(&rows).Error; err != nil {
		return "", fmt.Errorf("store: setting %s: %w", name, err)
	}
	if len(rows) == 0 {
		return "", nil
	}
	return rows[0].Value, nil
}

// Set keeps a setting.
func (a *Access) Set(ctx context.Context, name Setting, value string) error {
	return a.SetAll(ctx, map[Setting]string{name: value})
}

// SetOnce keeps a setting that isn't set yet, and returns what it is.
func (a *Access) SetOnce(ctx context.Context, name Setting, value string) (string, error) {
	if kept, err := a.Setting(ctx, name); err != nil || kept != "" {
		return kept, err
	}
	row := settingRow{string(name), value}
	if err := a.write.WithContext(ctx).Clauses(clause.OnConflict{DoNothing: true}).Create(&row).Error; err != nil {
		return "", fmt.Errorf("store: keep the setting %s: %w", name, err)
	}
	return a.Setting(ctx, name)
}

// SetAll keeps settings, all or none.
func (a *Access) SetAll(ctx context.Context, values map[Setting]string) error {
	return a.SetNoting(ctx, values)
}

// SetNoting keeps settings and notes in the record what was changed by that, all or none.
func (a *Access) SetNoting(ctx context.Context, values map[Setting]string, notes ...Entry) error {
	var rows []settingRow
	for name, value := range values {
		rows = append(rows, settingRow{string(name), value})
	}
	err := a.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if err := tx.Clauses(clause.OnConflict{UpdateAll: true}).Create(&rows).Error; err != nil {
			return err
		}
		for _, e := range notes {
			if err := a.note(tx, e); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("store: keep settings: %w", err)
	}
	return nil
}
