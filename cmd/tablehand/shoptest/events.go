package shoptest

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"
)

// Change is one event of the stream.
type Change struct {
	ID   string
	Data struct {
		Seq                                                     int64
		At, Action, Ticket, Order, Station, State, Next, Reason string
		Also                                                    []Row
	}
}

// Events opens the stream; more is a query, lastID the Last-Event-ID that a browser sends on coming back.
func (s *Shop) Events(t *testing.T, token, query, lastID string) <-chan Change {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	req, err := http.NewRequestWithContext(ctx, "GET", s.URL+"/api/events"+query, nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+token)
	if lastID != "" {
		req.Header.Set("Last-Event-ID", lastID)
	}
	res, err := (&http.Client{Transport: &http.Transport{ResponseHeaderTimeout: Patience}}).Do(req)
	if err != nil {
		t.Fatal(err)
	}
	if kind := res.Header.Get("Content-Type"); res.StatusCode != 200 || !strings.HasPrefix(kind, "text/event-stream") {
		t.Fatalf("events: status %d, Content-Type %q", res.StatusCode, kind)
	}
	changes := make(chan Change, 1024)
	go func() {
		defer close(changes)
		defer res.Body.Close()
		readChanges(res.Body, func(c Change) {
			select {
			case changes <- c:
			case <-ctx.Done():
			}
		})
	}()
	return changes
}

// readChanges parses server-sent events as a browser does and passes on those named change.
func readChanges(stream io.Reader, pass func(Change)) {
	lines := bufio.NewScanner(stream)
	lines.Buffer(nil, 1<<20)
	var id, name, data string
	for lines.Scan() {
		field, value, _ := strings.Cut(lines.Text(), ":")
		value = strings.TrimPrefix(value, " ")
		switch {
		case lines.Text() == "":
			var c Change
			if name == "change" && json.Unmarshal([]byte(data), &c.Data) == nil {
				c.ID = id
				pass(c)
			}
			name, data = "", ""
		case field == "id":
			id = value
		case field == "event":
			name = value
		case field == "data":
			data += value
		}
	}
}

// Until reads changes up to the sequence given.
func Until(t *testing.T, changes <-chan Change, seq int64) []Change {
	t.Helper()
	var got []Change
	giveUp := time.After(Patience)
	for {
		select {
		case c, open := <-changes:
			if !open {
				t.Fatalf("the stream ended before %d, after %d changes", seq, len(got))
			}
			if c.ID != fmt.Sprint(c.Data.Seq) {
				t.Fatalf("id %q of change %d", c.ID, c.Data.Seq)
			}
			if n := len(got); n > 0 && c.Data.Seq <= got[n-1].Data.Seq {
				t.Fatalf("change %d after %d", c.Data.Seq, got[n-1].Data.Seq)
			}
			got = append(got, c)
			if c.Data.Seq >= seq {
				return got
			}
		case <-giveUp:
			t.Fatalf("change %d did not come; the last of %d: %+v", seq, len(got), got[max(0, len(got)-1):])
		}
	}
}

// Board is the board as the API gives it.
type Board struct {
	Seq    int64
	Orders []struct {
		Order, Due string
		Late       bool
		Tickets    []Row
	}
}

func (s *Shop) Board(t *testing.T) (got Board) {
	t.Helper()
	s.Ask(t, Request{As: s.Screen, Do: "GET /api/board", Status: 200}).Into(t, &got)
	if len(got.Orders) == 0 {
		t.Error("an empty board")
	}
	return got
}
