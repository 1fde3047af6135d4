// Package live delivers the ledger's events to those who follow them: each one once, in order, from wherever the
// follower left off. One that reads too slowly is dropped, never waited for; it comes back and asks for the rest.
package live

import (
	"context"
	"errors"
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
	backlog     = 1024 // events that a follower may lie behind before it is dropped
	replayPage  = 500  // events read from the ledger at once
	replayLimit = 20 * time.Second
)

// ErrClosed is what a hub that is closing says to new followers.
var ErrClosed = errors.New("live: the hub is closed")

// Hub has the followers. All methods may be called from many goroutines.
type Hub struct {
	ledger Ledger

	mu        sync.Mutex
	published int64 // the last event given to the followers
	followers map[*Subscription]struct{}
	closed    bool
}

// New returns the hub of a ledger; Publish must then be given every event that is committed.
func New(l Ledger) *Hub {
	return &Hub{ledger: l, published: l.Floor().Seq(), followers: map[*Subscription]struct{}{}}
}

// Publish gives events, in the order of their commit, to every follower. It never waits.
func (h *Hub) Publish(events []stations.Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, e := range events {
		h.published = e.Seq
		for s := range h.followers {
			select {
			case s.fresh <- e:
			default:
				h.drop(s)
			}
		}
	}
}

// drop ends a follower; h.mu is held.
func (h *Hub) drop(s *Subscription) {
	if _, follows := h.followers[s]; follows {
		delete(h.followers, s)
		close(s.fresh)
	}
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
	for s := range h.followers {
		h.drop(s)
	}
}

// Subscription is one follower.
type Subscription struct {
	hub   *Hub
	fresh chan stations.Event // from Publish; closed when dropped
	out   chan stations.Event
	gone  chan struct{}
	close func()
}

// Subscribe follows the events after a sequence: first those that have gone by, from the ledger, then each as it is
// published. The caller must Close it.
func (h *Hub) Subscribe(after int64) (*Subscription, error) {
	s := &Subscription{
		hub: h, fresh: make(chan stations.Event, backlog), out: make(chan stations.Event), gone: make(chan struct{}),
	}
	s.close = sync.OnceFunc(func() { close(s.gone) })
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return nil, ErrClosed
	}
	h.followers[s] = struct{}{}
	go s.pump(after, h.published)
	return s, nil
}

// Events has the events; it is closed when the follower was dropped, the ledger can't be read, or the hub closes.
func (s *Subscription) Events() <-chan stations.Event { return s.out }

// Close ends the subscription.
func (s *Subscription) Close() {
	s.hub.mu.Lock()
	s.hub.drop(s)
	s.hub.mu.Unlock()
	s.close()
}

// pump sends what lies between after and published from the ledger, then what is published from there on.
func (s *Subscription) pump(after, published int64) {
	defer close(s.out)
	for after < published {
		ctx, cancel := context.WithTimeout(context.Background(), replayLimit)
		page, err := s.hub.ledger.Events(ctx, after, replayPage)
		cancel()
		if err != nil || len(page) == 0 {
			return
		}
		for _, e := range page {
			if !s.send(e) {
				return
			}
			after = e.Seq
		}
	}
	for e := range s.fresh {
		// What the ledger has sent already, and what came before the follower asked, is skipped.
		if e.Seq > after && !s.send(e) {
			return
		}
	}
}

func (s *Subscription) send(e stations.Event) bool {
	select {
	case s.out <- e:
		return true
	case <-s.gone:
		return false
	}
}
