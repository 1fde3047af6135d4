package live

import (
	"context"
	"errors"
	"fmt"
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

// newHub returns the hub of a ledger whose messages are their sequence.
func newHub(m *memory) *Hub {
	return New(m, func(e stations.Event) []byte { return fmt.Append(nil, e.Seq) })
}

// read gives what a follower gets, in order, to f until that says false; it returns false when the follower ended
// first.
func read(t *testing.T, s *Subscription, f func(Message) bool) bool {
	t.Helper()
	for {
		page, err := s.Past(context.Background())
		if err != nil {
			return false
		}
		for _, m := range page {
			if !f(m) {
				return true
			}
		}
		if len(page) == 0 {
			break
		}
	}
	late := time.NewTimer(soon)
	defer late.Stop()
	for {
		select {
		case m, open := <-s.Fresh():
			if !open {
				return false
			}
			if !f(m) {
				return true
			}
		case <-late.C:
			t.Error("nothing comes any more")
			return false
		}
	}
}

// take receives events up to a sequence and fails where one is missing, twice, out of order or another's.
func take(t *testing.T, s *Subscription, after, last int64) {
	t.Helper()
	want := after + 1
	if want > last {
		return
	}
	whole := read(t, s, func(m Message) bool {
		if m.Seq != want || string(m.Text) != fmt.Sprint(want) {
			t.Fatalf("message %d %q, want %d", m.Seq, m.Text, want)
		}
		want++
		return want <= last
	})
	if !whole {
		t.Fatalf("it ends before event %d", want)
	}
}

func TestFollowFromAnywhere(t *testing.T) {
	m := &memory{}
	h := newHub(m)
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
	h := newHub(m)
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
	h := newHub(m)
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
	read(t, slow, func(m Message) bool {
		if m.Seq != last+1 {
			t.Fatalf("event %d after %d", m.Seq, last)
		}
		last = m.Seq
		return true
	})
	if last != backlog {
		t.Errorf("the slow one got %d events, %d fit", last, backlog)
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
	h := newHub(m)
	s, err := h.Subscribe(0)
	if err != nil {
		t.Fatal(err)
	}
	h.Close()
	if _, open := <-s.Fresh(); open {
		t.Error("events after the hub has closed")
	}
	s.Close()
	if _, err := h.Subscribe(0); !errors.Is(err, ErrClosed) {
		t.Errorf("a closed hub takes followers: %v", err)
	}
}

func TestUnreadableLedgerEndsTheFollower(t *testing.T) {
	m := &memory{}
	h := newHub(m)
	m.commit(h, 5)
	m.fails.Store(true)
	s, err := h.Subscribe(0)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if page, err := s.Past(context.Background()); err == nil || len(page) > 0 {
		t.Errorf("%d events from a ledger that can't be read, %v", len(page), err)
	}
}

// 50 followers that come and go see every event once and in order, whatever happens while they are away.
func TestSoak(t *testing.T) {
	m := &memory{}
	h := newHub(m)
	const last = 3000
	var wg sync.WaitGroup
	for range 50 {
		wg.Go(func() {
			seen := int64(0)
			for seen < last && !t.Failed() {
				s, err := h.Subscribe(seen)
				if err != nil {
					t.Error(err)
					return
				}
				stay := rand.IntN(400) + 1
				read(t, s, func(m Message) bool {
					if m.Seq != seen+1 {
						t.Errorf("event %d after %d", m.Seq, seen)
					}
					seen = m.Seq
					stay--
					return seen < last && stay > 0 && !t.Failed()
				})
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
