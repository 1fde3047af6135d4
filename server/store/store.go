// Package store keeps the shop in SQLite. It is the only package that knows gorm or SQL: one writer that gathers
// what has queued into one commit, query-only readers, and an append-only ledger whose fold is the floor, which audit proves.
package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"tablehand/stations"
)

// Options say where and how the shop is kept.
type Options struct {
	Dir   string           // the data folder; made when it isn't there
	Clock func() time.Time // nil: time.Now
	Log   *slog.Logger     // nil: nothing is logged

	batch int // commands that one commit takes at most; 0: batchLimit
}

const (
	batchLimit = 256
	queueLimit = 1024
)

// Store is the shop on disk. All methods may be called at once from many goroutines.
type Store struct {
	*Access
	lock   *folderLock // held while the shop is open
	clock  func() time.Time
	log    *slog.Logger
	batch  int
	ledger *ledgerWriter

	epoch  string       // of the history
	opened os.FileInfo  // the database file
	fault  atomic.Value // Fault that the last commit met, NoFault when it was kept

	floor    atomic.Pointer[stations.Floor]
	onCommit []func([]stations.Event)

	intake sync.RWMutex // guards closed and the closing of queue
	closed bool
	queue  chan *request
	done   chan struct{} // closed when the writer has ended
}

// Open opens the shop in o.Dir, brings its schema up to date (after a copy), folds the ledger and starts the
// writer. Errors: *FolderError where the folder can't be used, *InUseError while another process serves it,
// *VersionError for a database newer than the program, *DamagedError for one that isn't whole.
func Open(ctx context.Context, o Options) (_ *Store, err error) {
	if o.Clock == nil {
		o.Clock = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.batch == 0 {
		o.batch = batchLimit
	}
	if err := makeFolder(o.Dir); err != nil {
		return nil, err
	}
	lock, err := lockFolder(ctx, o.Dir)
	if err != nil {
		return nil, err
	}
	s := &Store{lock: lock, clock: o.Clock, log: o.Log, batch: o.batch,
		queue: make(chan *request, queueLimit), done: make(chan struct{})}
	defer func() {
		if err != nil {
			err = errors.Join(err, s.Access.Close(), lock.release())
		}
	}()
	if s.Access, err = openAccess(ctx, o.Dir, o.Log, o.Clock, true); err != nil {
		return nil, err
	}
	if err := s.remember(); err != nil {
		return nil, &FolderError{o.Dir, err}
	}
	if err := whole(ctx, s.read); err != nil {
		return nil, err
	}
	if s.epoch, err = s.begin(ctx); err != nil {
		return nil, err
	}
	floor, err := foldLedger(ctx, s.read)
	if err != nil {
		return nil, err
	}
	s.floor.Store(floor)
	s.ledger = &ledgerWriter{db: s.write}
	go s.writeAll()
	return s, nil
}

// Close takes no more commands, finishes those queued, and closes the files.
func (s *Store) Close() error {
	s.intake.Lock()
	if s.closed {
		s.intake.Unlock()
		return nil
	}
	s.closed = true
	close(s.queue)
	s.intake.Unlock()
	<-s.done
	return errors.Join(s.ledger.close(), s.Access.Close(), s.lock.release())
}

// Do decides and applies a command and returns its event once that is durable. The error is a *stations.Refusal
// when the floor refuses it ("unauthorized" for who is let in no more), ErrBusy when the queue is full or the disk failed, ErrClosed after Close. A command whose
// key its device has used for the same wish gets the first answer again (also of an earlier run); for another
// the refusal is "key_reused". A context that ends leaves the command to be carried out: ErrNotKnownYet.
func (s *Store) Do(ctx context.Context, cmd stations.Command) (stations.Event, error) {
	return s.send(ctx, cmd, nil)
}

// TakeOrder is Do for an order and keeps its file in the same commit. The command's digest is that of source,
// whatever it says.
func (s *Store) TakeOrder(ctx context.Context, cmd stations.TakeOrder, source []byte) (stations.Event, error) {
	cmd.Digest = digest(source)
	return s.send(ctx, cmd, source)
}

// ReviseOrder is Do for a revision and keeps its file in the same commit, as TakeOrder does.
func (s *Store) ReviseOrder(ctx context.Context, cmd stations.ReviseOrder, source []byte) (stations.Event, error) {
	cmd.Sheet.Digest = digest(source)
	return s.send(ctx, cmd, source)
}

// TryRevision says what a revision would do to the floor as it is now, without doing it. The error is the refusal.
func (s *Store) TryRevision(cmd stations.ReviseOrder, source []byte) (stations.Event, error) {
	cmd.Sheet.Digest = digest(source)
	return s.Floor().Overlay().Decide(cmd, s.clock())
}

func (s *Store) send(ctx context.Context, cmd stations.Command, source []byte) (stations.Event, error) {
	if stations.IsLarge(cmd) {
		return s.sendPlanned(ctx, cmd, source)
	}
	return s.queued(ctx, cmd, source, nil)
}

// queued has the writer take a command, and waits for its answer.
func (s *Store) queued(ctx context.Context, cmd stations.Command, source []byte, p *planned) (stations.Event, error) {
	r, err := newRequest(cmd, source)
	if err != nil {
		return stations.Event{}, err
	}
	r.planned = p
	if err := s.enqueue(r); err != nil {
		return stations.Event{}, err
	}
	select {
	case a := <-r.answer:
		return a.event, a.err
	case <-ctx.Done():
		return stations.Event{}, fmt.Errorf("%w: %w", ErrNotKnownYet, ctx.Err())
	}
}

func (s *Store) enqueue(r *request) error {
	s.intake.RLock()
	defer s.intake.RUnlock()
	if s.closed {
		return ErrClosed
	}
	select {
	case s.queue <- r:
		return nil
	default:
		return ErrBusy
	}
}

// Floor returns the floor as of the last commit; it never blocks.
func (s *Store) Floor() *stations.Floor { return s.floor.Load() }

// OnCommit has f called after each commit with its events in order; before any command is sent. f must not block.
func (s *Store) OnCommit(f func([]stations.Event)) { s.onCommit = append(s.onCommit, f) }

// Ping reports whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	var one int
	return readRow(s.read.WithContext(ctx).Raw("SELECT 1"), &one)
}

// OrderSource returns the newest file of an order, ErrNotFound where there is none.
func (s *Store) OrderSource(ctx context.Context, order string) ([]byte, error) {
	var rows []orderFileRow
	err := s.read.WithContext(ctx).Where("order_id = ?", order).Order("revision DESC").Limit(1).Find(&rows).Error
	if err != nil {
		return nil, fmt.Errorf("store: file of an order: %w", err)
	}
	if len(rows) == 0 {
		return nil, ErrNotFound
	}
	return rows[0].Source, nil
}

// OrderFile returns the file of one revision of an order, ErrNotFound where there is none.
func (s *Store) OrderFile(ctx context.Context, order string, revision int) ([]byte, error) {
	var rows []orderFileRow
	err := s.read.WithContext(ctx).Where("order_id = ? AND revision = ?", order, revision).Find(&rows).Error
	if err != nil {
		return nil, fmt.Errorf("store: revision %d of an order: %w", revision, err)
	}
	if len(rows) == 0 {
		return nil, ErrNotFound
	}
	return rows[0].Source, nil
}

// firstRevision is that of an order as it was taken.
const firstRevision = 1

// orderFileRowOf returns the row of the file that an order was taken with, or revised by.
func orderFileRowOf(e stations.Event, source []byte) orderFileRow {
	revision, digest := fileOf(e)
	return orderFileRow{OrderID: e.Order, Revision: revision, Source: source, Digest: digest}
}

// fileOf returns the revision and the digest of the file that an event brought, 0 for none.
func fileOf(e stations.Event) (revision int, digest string) {
	switch {
	case e.Taken != nil:
		return firstRevision, e.Taken.Digest
	case e.Revised != nil:
		return e.Revised.Revision, e.Revised.Digest
	}
	return 0, ""
}

// digest returns the SHA-256 of a file in hex.
func digest(source []byte) string {
	sum := sha256.Sum256(source)
	return hex.EncodeToString(sum[:])
}
