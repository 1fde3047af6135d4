// Package live delivers the ledger's events to those who follow them: each one once, in order, from wherever the
// follower left off. One that reads too slowly is dropped, never waited for; it comes back and asks for the rest.
package live

import (
	"context"
	"errors"
	"slices"
	"sync"
	"time"

	"tablehand/stations"
)

// Ledger is where events that have gone by are read again.
type Ledger interface {
	Events(ctx context.Context, after int64, limit int) ([]stations.Event, error)
	Floor() *stations.Floor
}

const (
	backlog     = 1024 // messages that a follower may lie behind before it is dropped
	replayPage  = 500  // events read from the ledger at once
	replayLimit = 20 * time.Second
)

// ErrClosed is what a hub that is closing says to new followers.
var ErrClosed = errors.New("live: the hub is closed")

// Message is an event as it is sent.
type Message struct {
	Seq  int64
	Text []byte // shared by all who get it: read only
}

// Hub has the followers. All methods may be called from many goroutines.
type Hub struct {
	ledger Ledger
	write  func(stations.Event) []byte

	mu        sync.Mutex
	published int64           // the last event given to the followers
	followers []*Subscription // each knows its place
	closed    bool
}

// New returns the hub of a ledger, whose events write puts into the form in which they are sent; Publish must then
// be given every event that is committed.
func New(l Ledger, write func(stations.Event) []byte) *Hub {
	return &Hub{ledger: l, write: write, published: l.Floor().Seq()}
}

// Publish gives events, in the order of their commit, to every follower. It never waits. Each is written once,
// however many follow.
func (h *Hub) Publish(events []stations.Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, e := range events {
		h.published = e.Seq
		if len(h.followers) == 0 {
			continue
		}
		m := Message{e.Seq, h.write(e)}
		for _, s := range slices.Backward(h.followers) { // dropping one moves only those after it
			if e.Seq <= s.after {
				continue
			}
			select {
			case s.fresh <- m:
			default:
				h.drop(s)
			}
		}
	}
}

// drop ends a follower; h.mu is held. Its place is taken by the last.
func (h *Hub) drop(s *Subscription) {
	if s.place < 0 {
		return
	}
	last := len(h.followers) - 1
	h.followers[s.place] = h.followers[last]
	h.followers[s.place].place = s.place
	h.followers = h.followers[:last]
	s.place = -1
	close(s.fresh)
}

// Followers returns how many follow now.
func (h *Hub) Followers() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.followers)
}

// Close ends every follower and takes no more.
func (h *Hub) Close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for len(h.followers) > 0 {
		h.drop(h.followers[0])
	}
}

// Subscription is one follower. Its messages are first those of Past, until it has none, then those of Fresh: one
// goroutine takes both.
type Subscription struct {
	hub   *Hub
	after int64 // what the follower has seen; nothing up to it is sent
	place int   // among the hub's followers, -1 when dropped
	fresh chan Message

	seen, until int64 // what Past has given, and where Fresh goes on
}

// Subscribe follows the events after a sequence: first those that have gone by, from the ledger, then each as it is
// published. The caller must Close it.
func (h *Hub) Subscribe(after int64) (*Subscription, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return nil, ErrClosed
	}
	s := &Subscription{hub: h, after: after, place: len(h.followers), fresh: make(chan Message, backlog), seen: after, until: h.published}
	h.followers = append(h.followers, s)
	return s, nil
}

// Past returns the next messages of those that had gone by when the follower came, none when it has had them all.
func (s *Subscription) Past(ctx context.Context) ([]Message, error) {
	if s.seen >= s.until {
		return nil, nil
	}
	ctx, cancel := context.WithTimeout(ctx, replayLimit)
	defer cancel()
	events, err := s.hub.ledger.Events(ctx, s.seen, int(min(replayPage, s.until-s.seen)))
	if err != nil {
		return nil, err
	}
	if len(events) == 0 {
		return nil, errors.New("live: the ledger has lost events")
	}
	page := make([]Message, len(events))
	for i, e := range events {
		page[i] = Message{e.Seq, s.hub.write(e)}
		s.seen = e.Seq
	}
	return page, nil
}

// Fresh has what is published since; it is closed when the follower was dropped or the hub closes.
func (s *Subscription) Fresh() <-chan Message { return s.fresh }

// Close ends the subscription.
func (s *Subscription) Close() {
	s.hub.mu.Lock()
	defer s.hub.mu.Unlock()
	s.hub.drop(s)
}
