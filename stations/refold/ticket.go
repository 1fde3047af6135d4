package refold

import (
	"time"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// ticket is what its own events say of a ticket.
type ticket struct {
	spec  *plan.Ticket
	order string
	kept  []string

	station plan.Station // where it stands, as it was last told
	state   stations.State
	acts    [][]act // what was done at each step, and counts still

	cancelled, scrapped, billable bool
	remadeAs                      plan.Code

	reason, picture string               // why somebody holds it
	cloth           string               // why its cloth does
	told            map[plan.Code]string // of the last thing said at the cutting table: how its tickets were held; nil where another came since
}

// act is one thing done at a step.
type act struct {
	action   stations.Action
	state    stations.State
	at       time.Time
	person   string
	reason   string
	from     plan.Station // of a send back
	measured map[string]measure.Quantity
	checks   []string
	outOf    []string
}

func newTicket(s *plan.Ticket, order string) *ticket {
	t := &ticket{spec: s, order: order, station: s.Steps[0].Station, state: stations.Waiting, acts: make([][]act, len(s.Steps))}
	if !t.waitsForCloth() {
		t.state = stations.Ready
	}
	return t
}

// isPanel reports whether the ticket is a panel's, or a piece's that is made as one is.
func (t *ticket) isPanel() bool { return t.spec.Kind != plan.CuttingTicket }

// waitsForCloth reports whether cloth is cut for the ticket before anything is done with it.
func (t *ticket) waitsForCloth() bool { return t.isPanel() && t.spec.Steps[0].Station == plan.Cutting }

// bills reports whether a panel is one that is billed: finished, or ended unfinished and billed all the same.
func (t *ticket) bills() bool {
	return t.isPanel() && (t.scrapped && t.billable || !t.cancelled && t.state == stations.Finished)
}

// step returns the index of a station on the ticket's route, that of none past its end.
func (t *ticket) step(at plan.Station) int {
	for i := range t.spec.Steps {
		if t.spec.Steps[i].Station == at {
			return i
		}
	}
	return len(t.spec.Steps)
}

// respec puts another text on the ticket; steps of stations that its route has no more are forgotten.
func (t *ticket) respec(s *plan.Ticket, kept []string) {
	acts := make([][]act, len(s.Steps))
	for i := range s.Steps {
		if i < len(t.spec.Steps) && t.spec.Steps[i].Station == s.Steps[i].Station {
			acts[i] = t.acts[i]
		}
	}
	t.spec, t.kept, t.acts = s, kept, acts
}

// stand takes in where an event says its ticket is.
func (t *ticket) stand(e stations.Event) {
	t.told = nil
	t.station, t.state = e.Station, e.State
	if e.Next != "" {
		t.station, t.state = e.Next, stations.Ready
	}
}

// done notes what was done at a step.
func (t *ticket) done(e stations.Event) {
	i := t.step(e.Station)
	a := act{action: e.Action, state: e.State, at: e.At, person: e.Person, reason: e.Reason,
		measured: e.Measured, checks: e.Checks, outOf: e.OutOf}
	switch e.Action {
	case stations.Hold:
		t.reason, t.picture = e.Reason, e.Picture
		return
	case stations.Resume:
		if len(e.Holds) == 0 {
			t.reason, t.picture = "", ""
		}
		return
	case stations.SendBack:
		a.from = t.station
		for later := i; later < len(t.acts); later++ {
			t.acts[later] = nil
		}
		t.reason, t.picture = "", ""
		defer func() {
			if e.Respec != nil {
				t.respec(&e.Respec.Spec, e.Respec.Kept)
			}
		}()
	case stations.Start, stations.Accept:
		t.reason, t.picture = "", ""
	case stations.Finish:
		t.reason, t.picture = "", ""
		if e.State == stations.Held {
			t.reason = e.Reason
		}
	}
	t.acts[i] = append(t.acts[i], a)
}

// takeBack takes the last start or finish off its step. What was typed at a finish stays.
func (t *ticket) takeBack(e stations.Event) {
	i := t.step(e.Station)
	last := len(t.acts[i]) - 1
	undone := t.acts[i][last]
	t.acts[i] = append([]act(nil), t.acts[i][:last]...)
	if undone.action == stations.Finish {
		t.acts[i] = append(t.acts[i], act{action: stations.Undo, measured: undone.measured, checks: undone.checks})
	}
	t.reason, t.picture = "", ""
}

// moved takes in where another ticket's event moved this one.
func (t *ticket) moved(m stations.Moved, e stations.Event) {
	at, was := t.step(m.Station), t.station
	t.told = nil
	t.station, t.state = m.Station, m.State
	switch {
	case !t.isPanel():
		if e.Action == stations.Revise && m.State == stations.Ready && len(t.acts[at]) > 0 && t.cloth == "" { // what was measured will do now
			last := t.acts[at][len(t.acts[at])-1]
			t.acts[at] = []act{{action: stations.Undo, measured: last.measured}}
		}
	case !t.waitsForCloth(): // its way begins elsewhere
		t.acts[0] = nil
	case m.Station == was: // it was held for its mate
		t.reason = ""
	case m.Station == plan.Cutting:
		t.acts[0], t.acts[1] = nil, nil
	default:
		t.acts[0] = []act{{action: stations.Finish, at: e.At}}
	}
}

// step is what stands on a step after all that was done at it.
func standing(acts []act) (s Step) {
	for _, a := range acts {
		switch a.action {
		case stations.Start:
			s.Person = a.person
			if a.measured != nil {
				s.Measured, s.OutOf = text(a.measured), list(a.outOf)
			}
			if a.state == stations.AtWork {
				s.Started = instant(a.at)
			}
		case stations.Finish:
			s.Measured, s.Checks, s.OutOf, s.Ended = text(a.measured), list(a.checks), list(a.outOf), instant(a.at)
			if a.person != "" {
				s.Person = a.person
			}
		case stations.Accept:
			if a.state == stations.AtWork {
				s.Started = instant(a.at)
			} else {
				s.Reason, s.Ended = a.reason, instant(a.at)
			}
		case stations.SendBack:
			s.SentBackFrom, s.SentBackReason = string(a.from), a.reason
		case stations.Undo:
			s.Measured, s.Checks = text(a.measured), list(a.checks)
		}
	}
	return s
}
