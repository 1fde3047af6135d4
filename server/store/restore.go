package store

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
)

// Restored tells what Restore has put in place.
type Restored struct {
	Kept   string // the file in which the shop as it was before is kept, "" where there was none
	Orders int
	Seq    int64     // of the last event
	Last   time.Time // when that was, zero for a shop in which nothing has happened
}

// BackupError is a file that can't be restored from, and why. Nothing was changed.
type BackupError struct {
	File string
	Err  error
}

func (e *BackupError) Error() string { return fmt.Sprintf("store: restore %s: %v", e.File, e.Err) }
func (e *BackupError) Unwrap() error { return e.Err }

// ErrNoShop is a file that holds no shop.
var ErrNoShop = errors.New("store: no shop in this file")

// Restore puts the shop of a backup into dir, in place of the one that is there, which is kept beside it under the
// time's name. The backup is copied, brought up to date and audited in a folder aside first; then it takes the
// shop's place in one step, so that at every moment there is one whole shop or the other. The backup itself is only
// read. Who was let in when it was made has to sign in again; tokens and devices hold on where keepAccess says so. Errors: *InUseError while a process serves dir, *FolderError, and *BackupError for a backup that isn't
// whole, is newer than the program (*VersionError) or holds no shop (ErrNoShop).
func Restore(ctx context.Context, dir, file string, now time.Time, keepAccess bool) (_ Restored, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return Restored{}, &FolderError{dir, err}
	}
	lock, err := lockFolder(ctx, dir)
	if err != nil {
		return Restored{}, err
	}
	defer func() { err = errors.Join(err, lock.release()) }()
	if err := clearStages(dir); err != nil {
		return Restored{}, err
	}
	staged, err := os.MkdirTemp(dir, stagePrefix+"*")
	if err != nil {
		return Restored{}, &FolderError{dir, err}
	}
	defer func() { err = errors.Join(err, os.RemoveAll(staged)) }()

	done, err := stage(ctx, staged, file, now, keepAccess)
	if err != nil {
		return Restored{}, &BackupError{file, err}
	}
	if done.Kept, err = setAside(ctx, dir, now); err != nil {
		return Restored{}, err
	}
	if err := os.Rename(filepath.Join(staged, databaseFile), filepath.Join(dir, databaseFile)); err != nil {
		return Restored{}, &FolderError{dir, err}
	}
	return done, syncFolder(dir)
}

const stagePrefix = "restoring-"

// clearStages removes what a restore has left that was killed.
func clearStages(dir string) error {
	entries, err := os.ReadDir(dir)
	for _, e := range entries {
		if e.IsDir() && strings.HasPrefix(e.Name(), stagePrefix) {
			err = errors.Join(err, os.RemoveAll(filepath.Join(dir, e.Name())))
		}
	}
	if err != nil {
		return &FolderError{dir, err}
	}
	return nil
}

// logTails are the files beside a database that belong to it.
var logTails = []string{"-wal", "-journal"}

// stage copies a backup into a folder of its own, with its log where it has one, and proves the copy.
func stage(ctx context.Context, staged, file string, now time.Time, keepAccess bool) (Restored, error) {
	path := filepath.Join(staged, databaseFile)
	if err := copyFile(path, file); err != nil {
		return Restored{}, err
	}
	for _, tail := range logTails {
		if err := copyFile(path+tail, file+tail); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return Restored{}, err
		}
	}
	if err := holdsShop(ctx, path); err != nil {
		return Restored{}, err
	}
	done, err := prove(ctx, staged, now, keepAccess)
	if err != nil {
		return Restored{}, err
	}
	return done, syncFile(path)
}

func copyFile(to, from string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// holdsShop refuses a database without our migrations: bringing that up to date would make an empty shop of it.
func holdsShop(ctx context.Context, path string) (err error) {
	db, err := openPool(readerDSN(path), 1, slog.New(slog.DiscardHandler))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, closePool(db)) }()
	pool, err := db.DB()
	if err != nil {
		return err
	}
	version, err := schemaVersion(ctx, pool)
	if err == nil && version == 0 {
		return ErrNoShop
	}
	return err
}

// prove brings a staged shop up to date, audits it, and begins its history anew. Afterwards it is one file without a log.
func prove(ctx context.Context, staged string, now time.Time, keepAccess bool) (done Restored, err error) {
	a, err := openAccess(ctx, staged, slog.New(slog.DiscardHandler), func() time.Time { return now }, true)
	if err != nil {
		return Restored{}, err
	}
	defer func() { err = errors.Join(err, a.Close()) }()
	differences, err := audit(ctx, a.read, nil)
	if err != nil {
		return Restored{}, err
	}
	if len(differences) > 0 {
		return Restored{}, &AuditError{filepath.Join(staged, databaseFile), differences}
	}
	floor, err := foldLedger(ctx, a.read)
	if err != nil {
		return Restored{}, err
	}
	done = Restored{Orders: len(floor.Orders()), Seq: floor.Seq()}
	if done.Seq > 0 {
		var last moment
		if err := readRow(a.read.WithContext(ctx).Raw("SELECT at FROM ledger WHERE seq = ?", done.Seq), &last); err != nil {
			return Restored{}, err
		}
		done.Last = last.time()
	}
	return done, a.beginAnew(ctx, keepAccess)
}

// setAside gives the shop that is there a second name, under which it stays, and returns that; "" where there is
// none. A log that can't be folded into its file, because that is damaged, moves along: beside the restored shop it
// would be read as that one's.
func setAside(ctx context.Context, dir string, now time.Time) (kept string, err error) {
	present := filepath.Join(dir, databaseFile)
	info, err := os.Stat(present)
	if errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		return "", nil
	}
	if err != nil {
		return "", &FolderError{dir, err}
	}
	if err := foldLog(ctx, present); isLocked(err) {
		return "", &InUseError{dir}
	}
	kept = filepath.Join(dir, "tablehand-before-restore-"+now.UTC().Format("20060102T150405.000000")+".db")
	for _, tail := range logTails {
		if err := os.Rename(present+tail, kept+tail); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", &FolderError{dir, err}
		}
	}
	if err := os.Remove(present + "-shm"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", &FolderError{dir, err}
	}
	if os.Link(present, kept) == nil {
		return kept, nil
	}
	if err := os.Rename(present, kept); err != nil { // a disk that knows no second names
		return "", &FolderError{dir, err}
	}
	return kept, nil
}

// foldLog moves a database's write-ahead log into its file and leaves it without one. It fails while anybody else
// has the file open, so that nobody is left writing beside the shop.
func foldLog(ctx context.Context, path string) error {
	db, err := openPool(fileURI(path)+"?_busy_timeout=0&_journal_mode=DELETE", 1, slog.New(slog.DiscardHandler))
	if err != nil {
		return err
	}
	pool, err := db.DB()
	if err != nil {
		return err
	}
	return errors.Join(pool.PingContext(ctx), closePool(db))
}

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
// always, tokens and devices unless they are to stay.
func (a *Access) beginAnew(ctx context.Context, keepAccess bool) error {
	return a.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		row := settingRow{string(epochSetting), rand.Text()}
		if err := tx.Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error; err != nil {
			return err
		}
		if err := tx.Where("1 = 1").Delete(&sessionRow{}).Error; err != nil || keepAccess {
			return err
		}
		if err := tx.Where("1 = 1").Delete(&deviceRow{}).Error; err != nil {
			return err
		}
		return tx.Where("1 = 1").Delete(&tokenRow{}).Error
	})
}
