package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"tablehand/stations"
)

// mostPlans is how often a large command is planned where others keep changing what it was planned by. Then it is decided
// in its turn, and those behind it wait.
const mostPlans = 4

// errOutdated is the writer's answer to a plan that doesn't hold any more. It never leaves the store.
var errOutdated = errors.New("store: a plan by what has changed since")

// planned is a large command with what it does, worked out and written down by its caller, so that the writer, for whom
// every scan waits, only has to see that it holds.
type planned struct {
	*stations.Planned
	text []byte // of its event, behind what the writer settles
}

// settled is what begins an event's text, and the writer alone knows.
type settled struct {
	Seq int64     `json:"seq"`
	At  time.Time `json:"at"`
}

// begin writes it, without the end of the object.
func (s settled) begin() []byte {
	text, err := json.Marshal(s)
	if err != nil {
		panic(err) // a year beyond 9999
	}
	return bytes.TrimSuffix(text, []byte("}"))
}

// plan plans a large command on the floor of now. A panic of the floor's rules is left to the writer, which gives up that
// one command: nil is no plan.
func (s *Store) plan(cmd stations.Command) (p *planned, err error) {
	defer func() {
		if r := recover(); r != nil {
			s.log.Error("store: a plan was given up", "panic", r)
			p, err = nil, nil
		}
	}()
	p = &planned{Planned: s.Floor().Plan(cmd, s.clock())}
	if p.Refused != nil {
		return p, nil
	}
	text, err := json.Marshal(p.Event)
	if err != nil {
		return nil, fmt.Errorf("store: write a planned event: %w", err)
	}
	rest, ok := bytes.CutPrefix(text, settled{p.Event.Seq, p.Event.At}.begin())
	if !ok {
		return nil, fmt.Errorf("store: an event doesn't begin with what the writer settles: %.80s", text)
	}
	p.text = rest
	return p, nil
}

// details is the text of the event as it is kept.
func (p *planned) details(e stations.Event) string {
	var b strings.Builder
	begin := settled{e.Seq, e.At}.begin()
	b.Grow(len(begin) + len(p.text))
	b.Write(begin)
	b.Write(p.text)
	return b.String()
}

// sendPlanned plans a command until a plan holds when its turn comes.
func (s *Store) sendPlanned(ctx context.Context, cmd stations.Command, source []byte) (stations.Event, error) {
	for range mostPlans {
		p, err := s.plan(cmd)
		if err != nil {
			return stations.Event{}, err
		}
		if p == nil {
			break
		}
		e, err := s.queued(ctx, cmd, source, p)
		if !errors.Is(err, errOutdated) {
			return e, err
		}
	}
	return s.queued(ctx, cmd, source, nil)
}

// event decides a request as of now, or takes its plan where that holds, and gives its row's text. The error is a refusal,
// errOutdated, or of an event that can't be written.
func (w *work) event(r *request) (e stations.Event, details string, err error) {
	if r.planned != nil {
		e, refused, holds := w.overlay.Keep(r.planned.Planned, w.now, w.seq+1)
		switch {
		case !holds:
			return e, "", errOutdated
		case refused != nil:
			return e, "", refused
		}
		w.seq++
		return e, r.planned.details(e), nil
	}
	if e, err = w.overlay.Decide(r.cmd, w.now); err != nil {
		return e, "", err
	}
	w.seq++
	e.Seq = w.seq
	text, err := json.Marshal(e)
	if err != nil {
		return e, "", fmt.Errorf("store: event %d: %w", e.Seq, err)
	}
	w.overlay.Apply(e)
	return e, string(text), nil
}
