package edge

import (
	"testing"
	"time"
)

func TestLimiterForgets(t *testing.T) {
	now := time.Unix(0, 0)
	l := newLimiter(func() time.Time { return now })
	for i := range maxGuesser {
		l.Fail(string(rune(i)))
	}
	now = now.Add(GuessEvery)
	l.Fail("one more")
	if len(l.debts) != 1 {
		t.Errorf("%d guessers remembered, one still owes", len(l.debts))
	}
	for i := range maxGuesser + 5 {
		l.Fail(string(rune(i)))
	}
	if len(l.debts) > maxGuesser {
		t.Errorf("%d guessers remembered", len(l.debts))
	}
}
