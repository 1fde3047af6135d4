package store

import (
	"errors"
	"time"

	"tablehand/stations"
)

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
