package server

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"tablehand/server/store"
	"tablehand/stations"
)

// patience is how long a test waits for what should come at once.
const patience = 10 * time.Second

// change is one event of the stream.
type change struct {
	id, event string
	data      struct {
		Seq                                                 int64
		At                                                  time.Time
		Action, Ticket, Order, Station, State, Next, Reason string
		Epoch                                               string
	}
}

// subscriber is a client of the stream on a real connection.
type subscriber struct {
	res     *http.Response
	changes chan change // closed when the stream ends
}

// subscribe opens the stream; resume is the Last-Event-ID, "" for from now.
func (s *shop) subscribe(t *testing.T, url, resume string) *subscriber {
	t.Helper()
	req, err := http.NewRequest("GET", url, nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+s.tokens[stations.Screen])
	if resume != "" {
		req.Header.Set("Last-Event-ID", resume)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	if kind := res.Header.Get("Content-Type"); res.StatusCode != 200 || kind != "text/event-stream" {
		t.Fatalf("stream answered %d %s", res.StatusCode, kind)
	}
	sub := &subscriber{res: res, changes: make(chan change, 100)}
	t.Cleanup(sub.cut)
	go sub.follow()
	return sub
}

func (sub *subscriber) cut() { sub.res.Body.Close() }

func (sub *subscriber) follow() {
	defer close(sub.changes)
	var now change
	for lines := bufio.NewScanner(sub.res.Body); lines.Scan(); {
		name, value, _ := strings.Cut(lines.Text(), ": ")
		switch name {
		case "id":
			now.id = value
		case "event":
			now.event = value
		case "data":
			if json.Unmarshal([]byte(value), &now.data) != nil {
				return
			}
		case "":
			if now.id != "" {
				sub.changes <- now
			}
			now = change{}
		}
	}
}

// next returns the next change.
func (sub *subscriber) next(t *testing.T) change {
	t.Helper()
	select {
	case c, open := <-sub.changes:
		if !open {
			t.Fatal("the stream ended")
		}
		if c.event != "change" && c.event != "restart" || c.id != fmt.Sprint(c.data.Seq) {
			t.Fatalf("event %q with id %s and seq %d", c.event, c.id, c.data.Seq)
		}
		return c
	case <-time.After(patience):
		t.Fatal("no change came")
	}
	return change{}
}

// TestStreamCutAndResumed: a client that was away gets everything it missed, once and in order.
func TestStreamCutAndResumed(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	url := s.listen(t) + "/api/events"
	do := func(action string, more ...any) {
		t.Helper()
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], action, "cutting", more...), status: 200})
	}

	first := s.subscribe(t, url, "")
	do("start")
	seen := first.next(t)
	if seen.data.Action != "start" || seen.data.Ticket != codes[0] || seen.data.Order != "SMI-1" || seen.data.State != "at_work" {
		t.Errorf("a start came as %+v", seen.data)
	}
	first.cut()
	var want []string
	for range 5 {
		do("hold", "reason", "lunch")
		do("resume")
		want = append(want, "hold", "resume")
	}
	again := s.subscribe(t, url, seen.id)
	byQuery := s.subscribe(t, url+"?after="+seen.id, "")
	for i, action := range want {
		for _, sub := range []*subscriber{again, byQuery} {
			if c := sub.next(t); c.data.Action != action || c.data.Seq != seen.data.Seq+int64(i)+1 {
				t.Fatalf("missed change %d came as %s %d, want %s", i, c.data.Action, c.data.Seq, action)
			}
		}
	}
	do("hold", "reason", "home")
	if c := again.next(t); c.data.Action != "hold" || c.data.State != "held" {
		t.Errorf("after the replay came %+v", c.data)
	}
}

// TestStreamOfARestoredLedger: a client that has seen more than there is any more is told to start anew, and then
// hears what happens.
func TestStreamOfARestoredLedger(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	sub := s.subscribe(t, s.listen(t)+"/api/events", "4711")
	if c := sub.next(t); c.event != "restart" || c.data.Seq != s.Store.Floor().Seq() {
		t.Errorf("it is told %s at %d", c.event, c.data.Seq)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "start", "cutting"), status: 200})
	if c := sub.next(t); c.event != "change" || c.data.Action != "start" {
		t.Errorf("after that it hears %s, %s", c.event, c.data.Action)
	}
	newest := s.subscribe(t, s.listen(t)+"/api/events", fmt.Sprint(s.Store.Floor().Seq()))
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "hold", "", "reason", "lunch"), status: 200})
	if c := newest.next(t); c.event != "change" || c.data.Action != "hold" {
		t.Errorf("one that has seen all hears %s, %s", c.event, c.data.Action)
	}
}

// TestStreamOfAnotherHistory: who has seen another history hears restart, however far this one has grown.
func TestStreamOfAnotherHistory(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	url := s.listen(t)
	epoch := s.ask(t, scene{as: stations.Screen, do: "GET /api/board", status: 200}).at("epoch")
	if epoch == "" || epoch != s.Store.Epoch() {
		t.Fatalf("the board's epoch is %q", epoch)
	}
	if c := s.subscribe(t, url+"/api/events?epoch=another", "1").next(t); c.event != "restart" || c.data.Epoch != epoch || c.data.Seq != s.Store.Floor().Seq() {
		t.Errorf("of another history: %s %+v", c.event, c.data)
	}
	if c := s.subscribe(t, url+"/api/events?epoch="+epoch, "1").next(t); c.event != "change" || c.data.Seq != 2 || c.data.Epoch != epoch {
		t.Errorf("of this history: %s %+v", c.event, c.data)
	}
}

// TestStreamsEndWithTheServer: open streams don't keep the server from stopping.
func TestStreamsEndWithTheServer(t *testing.T) {
	s := openShop(t)
	sub := s.subscribe(t, s.listen(t)+"/api/events", "")
	if got := s.edge.Metrics.Streams.Load(); got != 1 {
		t.Errorf("%d streams counted, one is open", got)
	}
	began := time.Now()
	ctx, cancel := contextFor(patience)
	defer cancel()
	if err := s.Shutdown(ctx); err != nil {
		t.Fatal(err)
	}
	select {
	case _, open := <-sub.changes:
		if open {
			t.Error("a change came from a server that stopped")
		}
	case <-time.After(patience):
		t.Fatalf("the stream was still open %v after the shutdown", time.Since(began))
	}
}

// TestStreamEndsWithItsSignIn: who is let in no more hears nothing more, and who still is goes on.
func TestStreamEndsWithItsSignIn(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	url := s.listen(t)
	ctx := t.Context()
	tokens, err := s.Desk.Store.Tokens(ctx)
	if err != nil {
		t.Fatal(err)
	}
	screen := s.subscribe(t, url+"/api/events", "")
	s.tokens[stations.Screen] = s.tokens[stations.Bench]
	bench := s.subscribe(t, url+"/api/events", "")
	hold := func(action string) {
		s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(codes[0], action, "", "reason", "lunch"), status: 200})
	}
	hold("hold")
	screen.next(t)
	bench.next(t)
	for _, token := range tokens {
		if token.Role == stations.Screen {
			if err := s.Desk.Store.RemoveToken(ctx, token.ID, store.Entry{}); err != nil {
				t.Fatal(err)
			}
		}
	}
	hold("resume")
	bench.next(t)
	select {
	case c, open := <-screen.changes:
		if open {
			t.Errorf("a screen that is let in no more heard %+v", c)
		}
	case <-time.After(patience):
		t.Error("its stream goes on")
	}
}

// TestAQuietStreamEndsWithItsSignIn also where another process shuts it out and nothing happens on the floor.
func TestAQuietStreamEndsWithItsSignIn(t *testing.T) {
	dir := t.TempDir()
	s := openShopIn(t, dir)
	screen := s.subscribe(t, s.listen(t)+"/api/events", "")
	revoke(t, dir, stations.Screen)
	select {
	case c, open := <-screen.changes:
		if open {
			t.Errorf("a screen that is let in no more heard %+v", c)
		}
	case <-time.After(patience):
		t.Error("its stream goes on")
	}
}

// revoke has another process let a role's token in no more.
func revoke(t *testing.T, dir string, role stations.Role) {
	t.Helper()
	other, err := store.OpenAccess(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	tokens, err := other.Tokens(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, token := range tokens {
		if token.Role != role {
			continue
		}
		if err := other.RemoveToken(t.Context(), token.ID, store.Entry{}); err != nil {
			t.Fatal(err)
		}
	}
}

// TestARevokedBench makes not one more event, though another process shuts it out and this one let it in a moment ago;
// nor does it hear again what was done.
func TestARevokedBench(t *testing.T) {
	dir := t.TempDir()
	s := openShopIn(t, dir)
	codes := s.release(t, "SMI-1")
	done := scanOf(codes[0], "hold", "", "reason", "lunch")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: done, status: 200})
	seq := s.Desk.Store.Floor().Seq()
	revoke(t, dir, stations.Bench)
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "resume", ""), status: 401, code: "unauthorized"})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: done, status: 401, code: "unauthorized"})
	if got := s.Desk.Store.Floor().Seq(); got != seq {
		t.Errorf("the floor is at %d, it was at %d", got, seq)
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(codes[0], "resume", ""), status: 200})
}

func TestStreamRefusesAMadeUpPlace(t *testing.T) {
	s := openShop(t)
	for _, after := range []string{"-1", "x", "99999999999999999999"} {
		s.ask(t, scene{as: stations.Screen, do: "GET /api/events?after=" + after, status: 422, code: "bad_value"})
	}
}
