package live

import (
	"context"
	"errors"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tablehand/stations"
)

// memory is a ledger of the tests' own.
type memory struct {
	mu     sync.Mutex
	events []stations.Event
	fails  atomic.Bool
}

func (m *memory) Events(_ context.Context, after int64, limit int) ([]stations.Event, error) {
	if m.fails.Load() {
		return nil, errors.New("the disk is gone")
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	from := min(int(after), len(m.events))
	return append([]stations.Event(nil), m.events[from:min(from+limit, len(m.events))]...), nil
}

func (m *memory) Floor() *stations.Floor { return stations.NewFloor() }

// commit adds n events and publishes them, as the store's writer does.
func (m *memory) commit(h *Hub, n int) {
	m.mu.Lock()
	var fresh []stations.Event
	for range n {
		e := stations.Event{Seq: int64(len(m.events) + 1)}
		m.events = append(m.events, e)
		fresh = append(fresh, e)
	}
	m.mu.Unlock()
	h.Publish(fresh)
}

const soon = 10 * time.Second // how long a failing test waits

// take receives events up to a sequence and fails where one is missing, twice or out of order.
func take(t *testing.T, s *Subscription, after, last int64) {
	t.Helper()
	for want := after + 1; want <= last; want++ {
		select {
		case e, open := <-s.Events():
			if !open || e.Seq != want {
				t.Fatalf("event %d (open %v), want %d", e.Seq, open, want)
			}
		case <-time.After(soon):
			t.Fatalf("event %d never comes", want)
		}
	}
}

func TestFollowFromAnywhere(t *testing.T) {
	m := &memory{}
	h := New(m)
	m.commit(h, 1200) // more than a page of the ledger
	for _, after := range []int64{0, 1, 499, 500, 1199, 1200} {
		s, err := h.Subscribe(after)
		if err != nil {
			t.Fatal(err)
		}
		m.commit(h, 3)
		take(t, s, after, int64(len(m.events)))
		s.Close()
		s.Close()
	}
	if n := h.Followers(); n != 0 {
		t.Errorf("%d followers after all have gone", n)
	}
}

// A follower that asks from a commit which isn't published yet gets it neither twice nor never.
func TestFollowWhileACommitIsBeingPublished(t *testing.T) {
	m := &memory{}
	h := New(m)
	m.commit(h, 2)
	m.mu.Lock()
	third := stations.Event{Seq: 3}
	m.events = append(m.events, third)
	m.mu.Unlock()
	before, err := h.Subscribe(1)
	if err != nil {
		t.Fatal(err)
	}
	defer before.Close()
	behind, err := h.Subscribe(3) // the floor has it already
	if err != nil {
		t.Fatal(err)
	}
	defer behind.Close()
	h.Publish([]stations.Event{third})
	m.commit(h, 1)
	take(t, before, 1, 4)
	take(t, behind, 3, 4)
}

func TestSlowFollowerIsDropped(t *testing.T) {
	m := &memory{}
	h := New(m)
	slow, err := h.Subscribe(0)
	if err != nil {
		t.Fatal(err)
	}
	defer slow.Close()
	m.commit(h, backlog+10) // never waits for it
	if n := h.Followers(); n != 0 {
		t.Errorf("%d followers, want the slow one dropped", n)
	}
	last := int64(0)
	for e := range slow.Events() {
		if e.Seq != last+1 {
			t.Fatalf("event %d after %d", e.Seq, last)
		}
		last = e.Seq
	}
	back, err := h.Subscribe(last)
	if err != nil {
		t.Fatal(err)
	}
	defer back.Close()
	take(t, back, last, backlog+10)
}

func TestCloseEndsFollowers(t *testing.T) {
	m := &memory{}
	h := New(m)
	s, err := h.Subscribe(0)
	if err != nil {
		t.Fatal(err)
	}
	h.Close()
	if _, open := <-s.Events(); open {
		t.Error("events after the hub has closed")
	}
	if _, err := h.Subscribe(0); !errors.Is(err, ErrClosed) {
		t.Errorf("a closed hub takes followers: %v", err)
	}
}

func TestUnreadableLedgerEndsTheFollower(t *testing.T) {
	m := &memory{}
	h := New(m)
	m.commit(h, 5)
	m.fails.Store(true)
	s, err := h.Subscribe(0)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, open := <-s.Events(); open {
		t.Error("an event from a ledger that can't be read")
	}
}

// 50 followers that come and go see every event once and in order, whatever happens while they are away.
func TestSoak(t *testing.T) {
	m := &memory{}
	h := New(m)
	const last = 3000
	var wg sync.WaitGroup
	for range 50 {
		wg.Go(func() {
			seen := int64(0)
			for seen < last {
				s, err := h.Subscribe(seen)
				if err != nil {
					t.Error(err)
					return
				}
				stay := rand.IntN(400) + 1
				for e := range s.Events() {
					if e.Seq != seen+1 {
						t.Errorf("event %d after %d", e.Seq, seen)
						s.Close()
						return
					}
					if seen = e.Seq; seen == last || stay == 0 {
						break
					}
					stay--
				}
				s.Close()
			}
		})
	}
	for n := 0; n < last; {
		burst := min(rand.IntN(20)+1, last-n)
		m.commit(h, burst)
		n += burst
	}
	wg.Wait()
}
