// Package store keeps the shop in SQLite. It is the only package that knows gorm or SQL: one writer that gathers
// what has queued into one commit, query-only readers, an append-only ledger, and projections that audit proves.
package store

import (
	"context"
	"log/slog"
	"time"

	"tablehand/stations"
)

// Options say where and how the shop is kept.
type Options struct {
	Dir   string           // the data folder; made when it isn't there
	Clock func() time.Time // nil: time.Now
	Log   *slog.Logger     // nil: nothing is logged
}

// Store is the shop on disk. All methods may be called at once from many goroutines.
type Store struct{}

// Open opens the shop in o.Dir, brings its schema up to date (after a copy), folds the ledger and starts the
// writer. It refuses a database newer than the program.
func Open(ctx context.Context, o Options) (*Store, error) { panic("to be written") }

// Close takes no more commands, finishes those queued, and closes the files.
func (s *Store) Close() error { panic("to be written") }

// Do decides and applies a command and returns its event once that is durable. The error is a *stations.Refusal
// when the floor refuses it, ErrBusy when the queue is full or the disk failed. A Scan whose key its device has
// used for the same body gets the first answer again (also of an earlier run); with another body the refusal is
// "key_reused".
func (s *Store) Do(ctx context.Context, cmd stations.Command) (stations.Event, error) {
	panic("to be written")
}

// TakeOrder is Do for an order and keeps its file in the same commit.
func (s *Store) TakeOrder(ctx context.Context, cmd stations.TakeOrder, source []byte) (stations.Event, error) {
	panic("to be written")
}

// Floor returns the floor as of the last commit; it never blocks.
func (s *Store) Floor() *stations.Floor { panic("to be written") }

// OrderSource returns the newest file of an order, ErrNotFound where there is none.
func (s *Store) OrderSource(ctx context.Context, order string) ([]byte, error) { panic("to be written") }

// Events returns ledger rows after a sequence, oldest first, at most limit.
func (s *Store) Events(ctx context.Context, after int64, limit int) ([]stations.Event, error) {
	panic("to be written")
}

// OnCommit has f called after each commit with its events in order; before any command is sent. f must not block.
func (s *Store) OnCommit(f func([]stations.Event)) { panic("to be written") }
