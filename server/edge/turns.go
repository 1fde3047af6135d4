package edge

import (
	"slices"
	"sync"
)

// mostWaiting is how many guesses of each line may wait for their turn. A guess takes some 30 ms, so that the last of them
// is answered within a second or two. Our own choice.
const mostWaiting = 32

// turns lets in one guess of a passphrase at a time, because the hash of one costs much memory by design. Devices that the
// shop knows go before strangers. In a line the newest goes first, and where a line is full whoever has waited longest is
// sent away: that serves an honest person among a crowd of guesses, who comes back when told to.
type turns struct {
	mu              sync.Mutex
	taken           bool
	known, stranger []chan bool // those who wait, the newest last; true is their turn
}

// take waits for a turn and reports whether it got one. Who did has to give it back.
func (t *turns) take(known bool) bool {
	t.mu.Lock()
	if !t.taken {
		t.taken = true
		t.mu.Unlock()
		return true
	}
	line := &t.stranger
	if known {
		line = &t.known
	}
	if len(*line) >= mostWaiting {
		(*line)[0] <- false
		*line = slices.Delete(*line, 0, 1)
	}
	turn := make(chan bool, 1)
	*line = append(*line, turn)
	t.mu.Unlock()
	return <-turn
}

// give hands the turn on.
func (t *turns) give() {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, line := range []*[]chan bool{&t.known, &t.stranger} {
		if last := len(*line) - 1; last >= 0 {
			(*line)[last] <- true
			*line = (*line)[:last]
			return
		}
	}
	t.taken = false
}

// waiting returns how many wait, known and strangers.
func (t *turns) waiting() (known, strangers int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return len(t.known), len(t.stranger)
}
