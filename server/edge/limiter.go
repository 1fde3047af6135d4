package edge

import (
	"math"
	"sync"
	"time"
)

// A guesser may fail GuessBurst times at once, and once more each GuessEvery. Both are our own choice: a person who
// mistypes never meets them, and of the 2^40 codes or a passphrase nobody finds one.
const (
	GuessBurst = 20
	GuessEvery = 3 * time.Second
	maxGuesser = 10_000 // remembered at once; beyond it those that have rested longest are forgotten
)

// limiter counts what each address has guessed wrong. Only failures count, so that a busy bench behind one address
// is never slowed.
type limiter struct {
	clock func() time.Time
	mu    sync.Mutex
	debts map[string]time.Time // by what and who: when the last failure will be forgiven
}

func newLimiter(clock func() time.Time) *limiter {
	return &limiter{clock: clock, debts: map[string]time.Time{}}
}

// Wait returns how many seconds a guesser has to wait before it may try again, 0 for none.
func (l *limiter) Wait(guesser string) int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.owed(guesser, l.clock())
}

// Fail counts one wrong guess, or returns how many seconds the guesser should have waited before it.
func (l *limiter) Fail(guesser string) int {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.clock()
	if seconds := l.owed(guesser, now); seconds > 0 {
		return seconds
	}
	if len(l.debts) >= maxGuesser {
		l.forget(now)
	}
	from := l.debts[guesser]
	if from.Before(now) {
		from = now
	}
	l.debts[guesser] = from.Add(GuessEvery)
	return 0
}

func (l *limiter) owed(guesser string, now time.Time) int {
	over := l.debts[guesser].Sub(now.Add((GuessBurst - 1) * GuessEvery))
	if over <= 0 {
		return 0
	}
	return int(math.Ceil(over.Seconds()))
}

// forget drops the guessers that are forgiven; if all still owe, everyone.
func (l *limiter) forget(now time.Time) {
	for guesser, until := range l.debts {
		if !until.After(now) {
			delete(l.debts, guesser)
		}
	}
	if len(l.debts) >= maxGuesser {
		clear(l.debts)
	}
}
