// Package turns has costly work done by few at once. Others wait for their turn, up to a bound of them and of time.
package turns

import "time"

// Turns are those of one kind of work.
type Turns struct {
	inside   chan struct{} // those at work and those waiting
	working  chan struct{}
	patience time.Duration
}

// New returns the turns of work that so many do at once, for which so many more wait, each as long as patience.
func New(atOnce, waiting int, patience time.Duration) *Turns {
	return &Turns{inside: make(chan struct{}, atOnce+waiting), working: make(chan struct{}, atOnce), patience: patience}
}

// Take waits for a turn, which leave ends. ok is false, and there is none, where too many wait or it doesn't come in time.
func (t *Turns) Take() (leave func(), ok bool) {
	select {
	case t.inside <- struct{}{}:
	default:
		return nil, false
	}
	late := time.NewTimer(t.patience)
	defer late.Stop()
	select {
	case t.working <- struct{}{}:
		return func() { <-t.working; <-t.inside }, true
	case <-late.C:
		<-t.inside
		return nil, false
	}
}

// Taken is how many are at work or waiting.
func (t *Turns) Taken() int { return len(t.inside) }
