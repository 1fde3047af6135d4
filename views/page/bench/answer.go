package bench

import (
	"tablehand/stations"
)

// Outcome is how an act at a bench ended. The band across the top says each by a word, a colour, a shape and a sound of
// its own, so that somebody a step away knows it.
type Outcome string

const (
	Done    Outcome = "done"
	OnHold  Outcome = "held" // taken, but the panel stops here: never as good as done
	Refused Outcome = "refused"
)

// Ended returns how an act that was taken ended, and the catalogue's key of its word. held: the ticket is on hold after it.
func Ended(did stations.Action, opened, held bool) (o Outcome, word string) {
	switch {
	case held:
		return OnHold, "band.held"
	case opened:
		return Done, "band.opened"
	}
	switch did {
	case stations.Start:
		return Done, "band.started"
	case stations.Finish:
		return Done, "band.finished"
	case stations.Undo:
		return Done, "band.undone"
	}
	return Done, "band.done"
}
