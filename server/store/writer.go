package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"time"

	"github.com/mattn/go-sqlite3"

	"tablehand/stations"
)

const (
	idleAfter = 2 * time.Second // without a command, the write-ahead log goes back into the database
	walLimit  = 32 << 20        // bytes of it above which that isn't waited for
)

// writeAll is the writer: the one goroutine that changes the floor. A batch is whatever has queued while the last
// one was committed, so that a burst costs few syncs and a single caller waits for no timer.
func (s *Store) writeAll() {
	defer close(s.done)
	idle := time.NewTimer(idleAfter)
	defer idle.Stop()
	written := false
	for {
		select {
		case first, open := <-s.queue:
			if !open {
				s.checkpoint()
				return
			}
			runtime.Gosched() // whoever is about to send comes along: a commit costs as much as some scans
			s.commit(s.gather(first))
			written = !s.checkpointLargeLog()
			idle.Reset(idleAfter)
		case <-idle.C:
			if written {
				s.dropUnnamed()
				s.checkpoint()
				written = false
			}
		}
	}
}

// gather takes what has queued behind the first request, up to the limit.
func (s *Store) gather(first *request) []*request {
	batch := []*request{first}
	for len(batch) < s.batch {
		select {
		case r, open := <-s.queue:
			if !open {
				return batch
			}
			batch = append(batch, r)
		default:
			return batch
		}
	}
	return batch
}

// commit decides a batch, keeps it in one transaction and only then lets anyone know: the floor first, so that
// who reads after an answer sees it, then the answers, then the followers. When anything of it can't be kept,
// nothing is: the floor stays. Then each is tried alone, for one command that can't be kept must not keep others
// from it for ever; where the disk itself refuses, and for that command alone, the answer is to come again.
func (s *Store) commit(batch []*request) {
	before := s.floor.Load()
	work := &work{overlay: before.Overlay(), seq: before.Seq(), now: at(s.clock()).time(), answers: make([]answer, len(batch))}
	after, err := s.keep(before, work, batch)
	s.fault.Store(FaultOf(err))
	if err != nil {
		s.log.Error("store: a batch was not kept", "commands", len(batch), "error", err)
		if len(batch) > 1 && !ofTheDisk(err) && FaultOf(err) == NoFault {
			for _, r := range batch {
				s.commit([]*request{r})
			}
			return
		}
		for _, r := range batch {
			r.answer <- answer{err: fmt.Errorf("%w: %w", ErrBusy, err)}
		}
		return
	}
	s.floor.Store(after)
	for i, r := range batch {
		r.answer <- work.answers[i]
	}
	if len(work.events) > 0 {
		for _, f := range s.onCommit {
			f(work.events)
		}
	}
}

// ofTheDisk reports whether an error is the database's own, so that another command would fare no better: it is
// locked, full, can't be written. A constraint, a size or a panic may be the matter of one command.
func ofTheDisk(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && e.Code != sqlite3.ErrConstraint && e.Code != sqlite3.ErrTooBig
}

// keep runs the transaction of a batch and returns the floor after it. A panic of the floor's rules must not end
// a shop's day: the batch is dropped like one that the disk refused.
func (s *Store) keep(before *stations.Floor, w *work, batch []*request) (after *stations.Floor, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("store: panic: %v\n%s", r, debug.Stack())
		}
	}()
	if err := s.moved(); err != nil {
		return nil, err
	}
	err = s.ledger.transaction(func(t *transaction) error {
		if w.credentials, err = s.credentials.in(t); err != nil {
			return err
		}
		if err := w.take(t, batch); err != nil {
			return err
		}
		if len(w.events) == 0 {
			after = before
			return nil
		}
		if err := t.append(w.rows); err != nil {
			return err
		}
		if err := t.keepFiles(w.files); err != nil {
			return err
		}
		if err := namePictures(t.db, w.events); err != nil {
			return err
		}
		after = w.overlay.Floor()
		return changedInvoices(before, after, w.events).write(t.db)
	})
	return after, err
}

// checkpointLargeLog empties the write-ahead log when a burst has let it grow, and reports whether it did.
func (s *Store) checkpointLargeLog() bool {
	info, err := os.Stat(filepath.Join(s.dir, databaseFile+"-wal"))
	if err != nil || info.Size() < walLimit {
		return false
	}
	s.checkpoint()
	return true
}

// checkpoint moves the write-ahead log into the database. Readers may keep it from ending; then the next one does.
// The pragma answers with a row, which must be read to its end: a statement left open in the middle would keep every
// later commit from ending.
func (s *Store) checkpoint() {
	var busy, frames, moved int
	err := readRow(s.write.WithContext(context.Background()).Raw("PRAGMA wal_checkpoint(TRUNCATE)"), &busy, &frames, &moved)
	if err != nil {
		s.log.Warn("store: checkpoint", "error", err)
	}
}

// request is a command in the queue.
type request struct {
	cmd     stations.Command
	key     deviceKey
	source  []byte   // the file of a TakeOrder or a ReviseOrder
	planned *planned // of a large command
	answer  chan answer
}

// newRequest hashes what is asked: the caller does, for the one writer has enough to do.
func newRequest(cmd stations.Command, source []byte) (*request, error) {
	key, err := keyOf(cmd)
	if err != nil {
		return nil, err
	}
	return &request{cmd: cmd, key: key, source: source, answer: make(chan answer, 1)}, nil
}

type answer struct {
	event stations.Event
	err   error
}

// work is a batch on its way.
type work struct {
	overlay     *stations.Overlay
	seq         int64
	now         time.Time    // one for the batch
	credentials *credentials // as of the batch's transaction
	used        map[keyID]usedKey
	kept        map[string]bool // pictures that may be named
	events      []stations.Event
	rows        []ledgerRow    // of the events
	files       []orderFileRow // that they brought
	answers     []answer
}

// take decides a batch, each request on what those before it have done. The error is of the database; a refusal
// is an answer.
func (w *work) take(t *transaction, batch []*request) (err error) {
	if w.used, err = t.usedKeys(batch); err != nil {
		return err
	}
	if w.kept, err = keptPictures(t.db, batch); err != nil {
		return err
	}
	for i, r := range batch {
		if w.answers[i], err = w.decide(r); err != nil {
			return err
		}
	}
	return nil
}

// decide answers one request. Who was let in when it came, and is no more, gets nothing done; a key that has made an
// event, ever or in this batch, gives its answer again.
func (w *work) decide(r *request) (answer, error) {
	if !w.credentials.admit(stations.ActorOf(r.cmd), w.now) {
		return answer{err: &stations.Refusal{Code: "unauthorized"}}, nil
	}
	if u, used := w.used[r.key.keyID]; used && r.key.key != "" {
		return u.answerTo(r.key), nil
	}
	if id := pictureOf(r.cmd); id != "" && !w.kept[id] {
		return answer{err: &stations.Refusal{Code: "unknown_picture", Field: "picture", Args: map[string]any{"Picture": id}}}, nil
	}
	e, details, err := w.event(r)
	var refused *stations.Refusal
	if errors.As(err, &refused) || errors.Is(err, errOutdated) {
		return answer{err: err}, nil
	}
	if err != nil {
		return answer{}, err
	}
	w.events = append(w.events, e)
	w.rows = append(w.rows, rowOf(e, details, r.key))
	if r.source != nil {
		w.files = append(w.files, orderFileRowOf(e, r.source))
	}
	if r.key.key != "" {
		w.used[r.key.keyID] = usedKey{r.key.body[:], e}
	}
	return answer{event: e}, nil
}
