package turns

import (
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// TestTurns: so many at once, so many more wait, one more is turned away at once, and who leaves lets the next in.
func TestTurns(t *testing.T) {
	turns := New(2, 3, time.Minute)
	var leave []func()
	for range 2 {
		l, ok := turns.Take()
		if !ok {
			t.Fatal("no turn, and nobody at work")
		}
		leave = append(leave, l)
	}
	var waiting sync.WaitGroup
	var had atomic.Int32
	for range 3 {
		waiting.Go(func() {
			if l, ok := turns.Take(); ok {
				had.Add(1)
				l()
			}
		})
	}
	for len(turns.inside) < 5 {
		time.Sleep(time.Millisecond)
	}
	if _, ok := turns.Take(); ok {
		t.Error("a sixth has a turn")
	}
	if n := had.Load(); n != 0 {
		t.Errorf("%d had a turn beside two at work", n)
	}
	for _, l := range leave {
		l()
	}
	waiting.Wait()
	if n := had.Load(); n != 3 || len(turns.inside)+len(turns.working) != 0 {
		t.Errorf("%d of 3 had a turn; %d inside, %d at work", n, len(turns.inside), len(turns.working))
	}
}

// TestATurnThatDoesNotCome: who has waited long enough goes, and leaves its place to others.
func TestATurnThatDoesNotCome(t *testing.T) {
	turns := New(1, 1, time.Millisecond)
	leave, _ := turns.Take()
	if _, ok := turns.Take(); ok {
		t.Error("two at once")
	}
	leave()
	if leave, ok := turns.Take(); !ok {
		t.Error("the place of one who went is lost")
	} else {
		leave()
	}
}
