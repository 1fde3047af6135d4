package edge

import (
	"sync"
	"testing"
	"time"
)

// await waits until a condition holds.
func await(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !holds(); time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("never: " + what)
		}
	}
}

// TestTurns: of a crowd as many wait as there is room for; a known device goes before all of them, and the stranger who came
// last before those who came earlier.
func TestTurns(t *testing.T) {
	var line turns
	if !line.take(false) {
		t.Fatal("the first gets no turn")
	}
	const crowd = 400
	var done sync.WaitGroup
	served := make(chan string, crowd+2)
	away := make(chan string, crowd+2)
	join := func(who string, known bool) {
		done.Go(func() {
			if !line.take(known) {
				away <- who
				return
			}
			served <- who
			line.give()
		})
	}
	for range crowd {
		join("crowd", false)
	}
	await(t, "the crowd has come", func() bool { _, n := line.waiting(); return n == mostWaiting && len(away) == crowd-mostWaiting })
	join("known", true)
	await(t, "the known one waits", func() bool { n, _ := line.waiting(); return n == 1 })
	join("newcomer", false)
	await(t, "the newcomer sends another away", func() bool { return len(away) == crowd-mostWaiting+1 })
	line.give()
	done.Wait()
	if first, second := <-served, <-served; first != "known" || second != "newcomer" || len(served) != mostWaiting-1 {
		t.Errorf("served first %s, then %s, then %d others", first, second, len(served))
	}
	if known, strangers := line.waiting(); known+strangers != 0 || line.taken {
		t.Errorf("at the end %d and %d wait, taken: %v", known, strangers, line.taken)
	}
}
