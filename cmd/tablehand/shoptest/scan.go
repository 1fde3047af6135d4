package shoptest

import (
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
)

// Step is the work of one station on one ticket, as GET /api/tickets/{code} shows it, without what isn't asked.
type Step struct {
	Station, State string
	Values         []struct{ Name, Label, Value string }
	Enter          []Entry
	Checks         []Check
	Acts           []Act
	Cautions       []string
	SentBack       *struct{ From, Reason string } `json:"sent_back"`
	Measured       map[string]string

	all []Entry // with those that aren't asked
}

// Act is the checks that are confirmed in one go, and the choice that is made with them.
type Act struct {
	Name, Label string
	Checks      []string
	With        string
}

// Asked are the entries that are still to be measured once the step is at work: what a start carried is known.
func (st *Step) Asked() []Entry {
	var asked []Entry
	for _, e := range st.Enter {
		if !e.AtStart || st.Measured[e.Name] == "" {
			asked = append(asked, e)
		}
	}
	return asked
}

// Entry is one thing to measure, count or choose.
type Entry struct {
	Name, Label, Kind, Target string
	Tolerance                 *struct{ Minus, Plus string }
	Options                   []string
	AtStart                   bool `json:"at_start"`
	When                      string
	NotAsked                  bool `json:"not_asked"`
}

// Check is one hand check.
type Check struct {
	Name, Label, When string
	NotAsked          bool `json:"not_asked"`
}

// Ticket is a row with its step and route.
type Ticket struct {
	Row
	Step  *Step
	Route []struct{ Station, State string }
}

var keys atomic.Int64

// newKey returns a key that no scan of these tests has used.
func newKey() string { return fmt.Sprintf("key-%d", keys.Add(1)) }

// Scan returns the body of a scan with a new key. The station may be empty; more is pairs of a field and its value.
func Scan(code, action, station string, more ...any) Fields {
	body := Fields{"ticket": code, "action": action, "key": newKey()}
	if station != "" {
		body["station"] = station
	}
	for i := 0; i < len(more); i += 2 {
		body[more[i].(string)] = more[i+1]
	}
	return body
}

// Done makes a scan that must be accepted, as the token given.
func (s *Shop) Done(t *testing.T, token string, body Fields, has map[string]string) Answer {
	t.Helper()
	got := s.Ask(t, Request{As: token, Do: "POST /api/scans", Send: body, Status: 200, Has: has})
	got.Seq(t)
	return got
}

// Refused makes a scan that must be refused with the code, and sees that the ticket stays as it was.
func (s *Shop) Refused(t *testing.T, token string, body Fields, status int, code string) Answer {
	t.Helper()
	at := "GET /api/tickets/" + fmt.Sprint(body["ticket"])
	before := s.Ask(t, Request{As: s.Office, Do: at, Status: 200})
	got := s.Ask(t, Request{As: token, Do: "POST /api/scans", Send: body, Status: status, Code: code})
	after := s.Ask(t, Request{As: s.Office, Do: at, Status: 200})
	if string(before.Body) != string(after.Body) {
		t.Errorf("refused as %s, but the ticket changed\nbefore %s\nafter  %s", got.At("code"), before.Body, after.Body)
	}
	return got
}

// Look reads a ticket. Of its step it leaves out what isn't asked now.
func (s *Shop) Look(t *testing.T, code string) Ticket {
	t.Helper()
	var got Ticket
	s.Ask(t, Request{As: s.Station, Do: "GET /api/tickets/" + code, Status: 200}).Into(t, &got)
	if st := got.Step; st != nil {
		st.all = slices.Clone(st.Enter)
		st.Enter = slices.DeleteFunc(st.Enter, func(e Entry) bool { return e.NotAsked })
		st.Checks = slices.DeleteFunc(st.Checks, func(c Check) bool { return c.NotAsked })
	}
	return got
}

// Expect holds where a ticket is and in what state.
func (s *Shop) Expect(t *testing.T, code, station, state string) Ticket {
	t.Helper()
	got := s.Look(t, code)
	if got.Station != station || got.State != state {
		t.Errorf("ticket %s is %s at %s, want %s at %s", code, got.State, got.Station, state, station)
	}
	return got
}

// Targets are the entries of a step with every target sent back, but for those changed by pairs of name and value.
func (st *Step) Targets(changed ...string) map[string]string {
	measured := map[string]string{}
	for _, e := range st.Enter {
		measured[e.Name] = e.Target
	}
	for i := 0; i < len(changed); i += 2 {
		measured[changed[i]] = changed[i+1]
	}
	return measured
}

// CheckNames are all the hand checks of a step.
func (st *Step) CheckNames() []string {
	names := []string{}
	for _, c := range st.Checks {
		names = append(names, c.Name)
	}
	return names
}

// EntryNames are the names of what a step can measure, asked now or not, a space between.
func (st *Step) EntryNames() string {
	var names []string
	for _, e := range st.all {
		names = append(names, e.Name)
	}
	return strings.Join(names, " ")
}

// Start begins the step that a ticket waits at and returns it.
func (s *Shop) Start(t *testing.T, token, code string) *Step {
	t.Helper()
	st := s.Look(t, code).Step
	if st == nil {
		t.Fatalf("ticket %s has no step to start", code)
	}
	s.Done(t, token, Scan(code, "start", st.Station), map[string]string{"ticket": code, "station": st.Station, "state": "at_work"})
	return st
}

// Finish ends a step at work with every target (changed by pairs of name and value) and every check.
func (s *Shop) Finish(t *testing.T, token, code string, st *Step, changed ...string) Answer {
	t.Helper()
	return s.Done(t, token, Finishing(code, st, changed...), map[string]string{"ticket": code, "station": st.Station})
}

func Finishing(code string, st *Step, changed ...string) Fields {
	return Scan(code, "finish", st.Station, "measured", st.Targets(changed...), "checks", st.CheckNames())
}

// WorkTo takes a panel through its stations until it is ready at the one named, or finished for "".
func (s *Shop) WorkTo(t *testing.T, code, station string) {
	t.Helper()
	for range 9 { // more than any route has
		at := s.Look(t, code)
		if station == "" && at.State == "finished" || at.Step != nil && at.Step.Station == station {
			return
		}
		s.Finish(t, s.Station, code, s.Start(t, s.Station, code))
	}
	t.Fatalf("ticket %s never came to %q", code, station)
}

// CutAll finishes every cutting ticket and returns the answer to the last.
func (f *Floor) CutAll(t *testing.T) (last Answer) {
	t.Helper()
	for _, c := range f.Cutting {
		last = f.Finish(t, f.Station, c.Ticket, f.Start(t, f.Station, c.Ticket))
	}
	return last
}

// Hold starts a ready step and finishes it with one value out of tolerance.
func (f *Floor) Hold(t *testing.T, code, name, value string) *Step {
	t.Helper()
	st := f.Start(t, f.Station, code)
	got := f.Finish(t, f.Station, code, st, name, value)
	if got.At("state") != "held" || got.At("next") != "" || got.At("problems.0.code") != "out_of_tolerance" {
		t.Fatalf("%s of %s at %s answered %s, want held, out_of_tolerance", name, value, st.Station, got.Body)
	}
	f.Expect(t, code, st.Station, "held")
	return st
}

// Is holds the answer to a scan against the state of the step and what became ready.
func (a Answer) Is(t *testing.T, state, next string) {
	t.Helper()
	if a.At("state") != state || a.At("next") != next {
		t.Errorf("answered %s, want state %s and next %q", a.Body, state, next)
	}
}
