package store

import (
	"context"
	"crypto/sha256"
	"errors"
	"testing"
	"time"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// tablet is a token whose hash is that of its id, and the actor that it is.
func tablet(id string) (Token, stations.Actor) {
	hash := sha256.Sum256([]byte(id))
	t := Token{ID: id, Name: "Table", Role: stations.Bench, Hash: hash[:]}
	return t, t.Actor()
}

// beside opens the shop's folder as another process would.
func beside(t *testing.T, s *Store) *Access {
	t.Helper()
	other, err := OpenAccess(t.Context(), s.dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { other.Close() })
	return other
}

func mustAdd(t *testing.T, a *Access, tokens ...Token) {
	t.Helper()
	for _, token := range tokens {
		if err := a.AddToken(t.Context(), token); err != nil {
			t.Fatal(err)
		}
	}
}

// A token that is revoked by another process after its scan has queued makes no event, whatever else is in the batch;
// nor is its retry answered.
func TestRevokedInTheQueue(t *testing.T) {
	ctx := t.Context()
	s := openShop(t, t.TempDir())
	entered, leave := make(chan struct{}), make(chan struct{})
	s.OnCommit(func(events []stations.Event) {
		if events[0].Ticket == code(4) {
			close(entered)
			<-leave
		}
	})
	order(t, s, "SMI-1", 1, 3)
	other := beside(t, s)
	out, revoked := tablet("out")
	in, stays := tablet("in")
	mustAdd(t, other, out, in)
	by := func(a stations.Actor, n int, action stations.Action, key string) stations.Scan {
		cmd := scan(code(n), action, "", key)
		cmd.Actor = a
		return cmd
	}
	kept := by(revoked, 2, stations.Hold, "k1")
	mustDo(t, s, kept)

	answers := make(chan error, 3)
	send := func(cmd stations.Command) {
		_, err := s.Do(ctx, cmd)
		answers <- err
	}
	go send(by(stays, 4, stations.Hold, "k1"))
	<-entered
	queued := []stations.Scan{by(revoked, 3, stations.Hold, "k2"), kept}
	for _, cmd := range queued {
		go send(cmd)
	}
	for len(s.queue) < len(queued) {
		time.Sleep(time.Millisecond)
	}
	seq := s.Floor().Seq()
	if err := other.RemoveToken(ctx, out.ID, Entry{}); err != nil {
		t.Fatal(err)
	}
	close(leave)
	refused := 0
	for range 3 {
		if err := <-answers; refusal(err) == "unauthorized" {
			refused++
		} else if err != nil {
			t.Error(err)
		}
	}
	if refused != 2 || s.Floor().Seq() != seq {
		t.Errorf("%d refused, the floor went from %d to %d", refused, seq, s.Floor().Seq())
	}
	got := batchOf(s, by(revoked, 3, stations.Hold, "k3"), by(stays, 3, stations.Hold, "k2"))
	if refusal(got[0].err) != "unauthorized" || got[1].err != nil {
		t.Errorf("in one batch: %+v", got)
	}
	mustAudit(t, s)
}

// Whoever changes who may come in raises the version, row by row.
func TestAccessVersionRises(t *testing.T) {
	ctx := t.Context()
	s := openShop(t, t.TempDir())
	token, _ := tablet("wall")
	last, err := accessVersion(s.read)
	if err != nil {
		t.Fatal(err)
	}
	session := Session{ID: "desk", Role: stations.Office, Hash: make([]byte, 32), Expires: start.AddDate(1, 0, 0)}
	for _, step := range []struct {
		name string
		do   func() error
	}{
		{"token added", func() error { return s.AddToken(ctx, token) }},
		{"token changed", func() error { return s.write.Exec("UPDATE tokens SET role = 'screen'").Error }},
		{"token removed", func() error { return s.RemoveToken(ctx, token.ID, Entry{}) }},
		{"session added", func() error { return s.AddSession(ctx, session) }},
		{"session changed", func() error { return s.write.Exec("UPDATE sessions SET expires = expires + 1").Error }},
		{"session removed", func() error { return s.RemoveSession(ctx, session.ID) }},
	} {
		if err := step.do(); err != nil {
			t.Fatal(err)
		}
		now, err := accessVersion(s.read)
		if err != nil || now <= last {
			t.Errorf("%s: the version goes from %d to %d, %v", step.name, last, now, err)
		}
		last = now
	}
}

// What this process changes counts at once, however long what was seen is good for; what another adds does too, and what
// another takes away once it is looked for again, or the writer has seen it.
func TestWhenAChangeCounts(t *testing.T) {
	ctx := t.Context()
	s := openShop(t, t.TempDir())
	s.credentials.unseen = time.Hour
	other := beside(t, s)
	is := func(when string, token Token, want error) {
		t.Helper()
		if _, err := s.TokenByHash(ctx, token.Hash); !errors.Is(err, want) {
			t.Errorf("%s: %v", when, err)
		}
	}
	own, _ := tablet("own")
	theirs, _ := tablet("theirs")
	is("before", own, ErrNotFound)
	mustAdd(t, s.Access, own)
	is("added here", own, nil)
	mustAdd(t, other, theirs)
	is("added elsewhere", theirs, nil)
	if err := s.RemoveToken(ctx, own.ID, Entry{}); err != nil {
		t.Fatal(err)
	}
	is("removed here", own, ErrNotFound)
	if err := other.RemoveToken(ctx, theirs.ID, Entry{}); err != nil {
		t.Fatal(err)
	}
	s.credentials.unseen = 0
	is("removed elsewhere", theirs, ErrNotFound)
	mustAdd(t, other, theirs)
	is("added again", theirs, nil)
	s.credentials.unseen = time.Hour
	if err := other.RemoveToken(ctx, theirs.ID, Entry{}); err != nil {
		t.Fatal(err)
	}
	settle(s)
	is("removed elsewhere and seen by the writer", theirs, ErrNotFound)
}

// A sign-in that has run out makes no event; what no credential let in does, being the program itself.
func TestAdmit(t *testing.T) {
	signed := Session{ID: "desk", Role: stations.Office, Expires: start}
	token, bench := tablet("in")
	_, stranger := tablet("out")
	promoted := bench
	promoted.Role = stations.Office
	c := &credentials{devices: map[string]credential{
		token.Actor().Device: {role: token.Role}, signed.Actor().Device: {signed.Role, signed.Expires},
	}}
	for _, tt := range []struct {
		name  string
		actor stations.Actor
		now   time.Time
		want  bool
	}{
		{"a token", bench, start, true},
		{"another role", promoted, start, false},
		{"a token that isn't there", stranger, start, false},
		{"a sign-in", signed.Actor(), start.Add(-time.Second), true},
		{"a sign-in that has run out", signed.Actor(), start, false},
		{"the program", stations.Actor{Role: stations.Office, Device: "demo-office"}, start, true},
	} {
		if got := c.admit(tt.actor, tt.now); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}

// BenchmarkTokenByHash is what each request asks.
func BenchmarkTokenByHash(b *testing.B) {
	s := openShop(b, b.TempDir())
	token, _ := tablet("in")
	if err := s.AddToken(context.Background(), token); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := s.TokenByHash(context.Background(), token.Hash); err != nil {
			b.Fatal(err)
		}
	}
}

// TestDeviceOfCode: a code lets its device in once, until it expires, and no other code does.
func TestDeviceOfCode(t *testing.T) {
	ctx := t.Context()
	s := openShop(t, t.TempDir())
	until := s.Access.clock().Add(time.Hour)
	hash := func(text string) []byte { sum := sha256.Sum256([]byte(text)); return sum[:] }
	for id, end := range map[string]time.Time{"d1": until, "d2": s.Access.clock().Add(-time.Second)} {
		d := Device{ID: id, Name: "Table " + id, Kind: BenchDevice, Stations: []plan.Station{plan.Fold, plan.Tape}, Language: "es"}
		if err := s.AddDevice(ctx, d, hash("code of "+id), end); err != nil {
			t.Fatal(err)
		}
	}
	ask := func(code string, want error) Device {
		t.Helper()
		d, err := s.DeviceOfCode(ctx, hash(code))
		if !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", code, err, want)
		}
		return d
	}
	if d := ask("code of d1", nil); d.ID != "d1" || d.Name != "Table d1" || d.Kind != BenchDevice || len(d.Stations) != 2 || d.Language != "es" {
		t.Errorf("%+v", d)
	}
	ask("code of d2", ErrCodeExpired)
	ask("code of nobody", ErrNotFound)
	if d, err := s.EnterDevice(ctx, hash("code of d1"), hash("secret"), "192.0.2.7"); err != nil || d.ID != "d1" {
		t.Errorf("%+v %v", d, err)
	}
	ask("code of d1", ErrCodeUsed)
}
