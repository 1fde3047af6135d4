package main

import (
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
)

// step is the work of one station on one ticket, as GET /api/tickets/{code} shows it.
type step struct {
	Station, State string
	Values         []struct{ Name, Label, Value string }
	Enter          []entry
	Checks         []struct{ Name, Label string }
	Cautions       []string
	SentBack       *struct{ From, Reason string } `json:"sent_back"`
}

// entry is one thing to measure, count or choose.
type entry struct {
	Name, Label, Kind, Target string
	Tolerance                 *struct{ Minus, Plus string }
	Options                   []string
}

// ticket is a row with its step and route.
type ticket struct {
	row
	Step  *step
	Route []struct{ Station, State string }
}

var keys atomic.Int64

// newKey returns a key that no scan of these tests has used.
func newKey() string { return fmt.Sprintf("key-%d", keys.Add(1)) }

// scan returns the body of a scan with a new key. The station may be empty; more is pairs of a field and its value.
func scan(code, action, station string, more ...any) fields {
	body := fields{"ticket": code, "action": action, "key": newKey()}
	if station != "" {
		body["station"] = station
	}
	for i := 0; i < len(more); i += 2 {
		body[more[i].(string)] = more[i+1]
	}
	return body
}

// done makes a scan that must be accepted, as the token given.
func (s *shop) done(t *testing.T, token string, body fields, has map[string]string) answer {
	t.Helper()
	got := s.ask(t, request{as: token, do: "POST /api/scans", send: body, status: 200, has: has})
	got.seq(t)
	return got
}

// refused makes a scan that must be refused with the code, and sees that the ticket stays as it was.
func (s *shop) refused(t *testing.T, token string, body fields, status int, code string) answer {
	t.Helper()
	at := "GET /api/tickets/" + fmt.Sprint(body["ticket"])
	before := s.ask(t, request{as: s.office, do: at, status: 200})
	got := s.ask(t, request{as: token, do: "POST /api/scans", send: body, status: status, code: code})
	after := s.ask(t, request{as: s.office, do: at, status: 200})
	if string(before.body) != string(after.body) {
		t.Errorf("refused as %s, but the ticket changed\nbefore %s\nafter  %s", got.at("code"), before.body, after.body)
	}
	return got
}

// look reads a ticket.
func (s *shop) look(t *testing.T, code string) ticket {
	t.Helper()
	var got ticket
	s.ask(t, request{as: s.station, do: "GET /api/tickets/" + code, status: 200}).into(t, &got)
	return got
}

// expect holds where a ticket is and in what state.
func (s *shop) expect(t *testing.T, code, station, state string) ticket {
	t.Helper()
	got := s.look(t, code)
	if got.Station != station || got.State != state {
		t.Errorf("ticket %s is %s at %s, want %s at %s", code, got.State, got.Station, state, station)
	}
	return got
}

// targets are the entries of a step with every target sent back, but for those changed by pairs of name and value.
func (st *step) targets(changed ...string) map[string]string {
	measured := map[string]string{}
	for _, e := range st.Enter {
		measured[e.Name] = e.Target
	}
	for i := 0; i < len(changed); i += 2 {
		measured[changed[i]] = changed[i+1]
	}
	return measured
}

// checkNames are all the hand checks of a step.
func (st *step) checkNames() []string {
	names := []string{}
	for _, c := range st.Checks {
		names = append(names, c.Name)
	}
	return names
}

// entryNames are the names of what a step measures, a space between.
func (st *step) entryNames() string {
	var names []string
	for _, e := range st.Enter {
		names = append(names, e.Name)
	}
	return strings.Join(names, " ")
}

// start begins the step that a ticket waits at and returns it.
func (s *shop) start(t *testing.T, token, code string) *step {
	t.Helper()
	st := s.look(t, code).Step
	if st == nil {
		t.Fatalf("ticket %s has no step to start", code)
	}
	s.done(t, token, scan(code, "start", st.Station), map[string]string{"ticket": code, "station": st.Station, "state": "at_work"})
	return st
}

// finish ends a step at work with every target (changed by pairs of name and value) and every check.
func (s *shop) finish(t *testing.T, token, code string, st *step, changed ...string) answer {
	t.Helper()
	return s.done(t, token, finishing(code, st, changed...), map[string]string{"ticket": code, "station": st.Station})
}

func finishing(code string, st *step, changed ...string) fields {
	return scan(code, "finish", st.Station, "measured", st.targets(changed...), "checks", st.checkNames())
}

// workTo takes a panel through its stations until it is ready at the one named, or finished for "".
func (s *shop) workTo(t *testing.T, code, station string) {
	t.Helper()
	for range 9 { // more than any route has
		at := s.look(t, code)
		if station == "" && at.State == "finished" || at.Step != nil && at.Step.Station == station {
			return
		}
		s.finish(t, s.station, code, s.start(t, s.station, code))
	}
	t.Fatalf("ticket %s never came to %q", code, station)
}

// cutAll finishes every cutting ticket and returns the answer to the last.
func (f *floor) cutAll(t *testing.T) (last answer) {
	t.Helper()
	for _, c := range f.cutting {
		last = f.finish(t, f.station, c.Ticket, f.start(t, f.station, c.Ticket))
	}
	return last
}
