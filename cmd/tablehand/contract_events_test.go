package main

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

// change is one event of the stream.
type change struct {
	ID   string
	Data struct {
		Seq                                                     int64
		At, Action, Ticket, Order, Station, State, Next, Reason string
		Also                                                    []row
	}
}

// events opens the stream; more is a query, lastID the Last-Event-ID that a browser sends on coming back.
func (s *shop) events(t *testing.T, token, query, lastID string) <-chan change {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	req, err := http.NewRequestWithContext(ctx, "GET", s.url+"/api/events"+query, nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+token)
	if lastID != "" {
		req.Header.Set("Last-Event-ID", lastID)
	}
	res, err := (&http.Client{Transport: &http.Transport{ResponseHeaderTimeout: patience}}).Do(req)
	if err != nil {
		t.Fatal(err)
	}
	if kind := res.Header.Get("Content-Type"); res.StatusCode != 200 || !strings.HasPrefix(kind, "text/event-stream") {
		t.Fatalf("events: status %d, Content-Type %q", res.StatusCode, kind)
	}
	changes := make(chan change, 1024)
	go func() {
		defer close(changes)
		defer res.Body.Close()
		readChanges(res.Body, func(c change) {
			select {
			case changes <- c:
			case <-ctx.Done():
			}
		})
	}()
	return changes
}

// readChanges parses server-sent events as a browser does and passes on those named change.
func readChanges(stream io.Reader, pass func(change)) {
	lines := bufio.NewScanner(stream)
	lines.Buffer(nil, 1<<20)
	var id, name, data string
	for lines.Scan() {
		field, value, _ := strings.Cut(lines.Text(), ":")
		value = strings.TrimPrefix(value, " ")
		switch {
		case lines.Text() == "":
			var c change
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

// until reads changes up to the sequence given.
func until(t *testing.T, changes <-chan change, seq int64) []change {
	t.Helper()
	var got []change
	giveUp := time.After(patience)
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

func TestBoardAndEvents(t *testing.T) {
	s := openShop(t)
	late := s.release(t, "LATE-1", "due: 2026-12-18", "due: 2020-01-31")
	f := s.release(t, "LIVE-1", "due: 2026-12-18", "due: 2199-12-31")
	code := f.panels[0].Ticket

	for _, order := range s.board(t).Orders {
		if want := order.Order == "LATE-1"; order.Late != want || len(order.Tickets) != 4 {
			t.Errorf("on the board %s, due %s: late %v with %d tickets", order.Order, order.Due, order.Late, len(order.Tickets))
		}
	}

	live := s.events(t, s.screen, "", "")
	made := f.cutAll(t).seq(t)
	cut := until(t, live, made)
	if last := cut[len(cut)-1].Data; last.Action != "finish" || last.Order != "LIVE-1" || last.State != "finished" || len(last.Also) != 2 || last.At == "" {
		t.Errorf("the event of the last cutting: %+v", last)
	}
	if first := cut[0].Data; first.Ticket != f.cutting[0].Ticket || first.Action != "start" || first.Station != "cutting" || first.State != "at_work" {
		t.Errorf("a stream from now began with %+v", first)
	}

	held := f.done(t, f.station, scan(code, "hold", "", "reason", "no thread"), nil).seq(t)
	if got := until(t, live, held); got[0].Data.Seq != held || got[0].Data.Action != "hold" || got[0].Data.Reason != "no thread" || got[0].Data.Ticket != code {
		t.Errorf("the event of a hold: %+v", got)
	}
	f.done(t, f.station, scan(code, "resume", ""), nil)
	st := f.start(t, f.station, code)
	end := f.finish(t, f.station, code, st).seq(t)
	seen := until(t, live, end)
	if last := seen[len(seen)-1].Data; last.Next != "fold" || last.Station != "joining" || last.State != "finished" {
		t.Errorf("the event of a finish: %+v", last)
	}

	if got := s.board(t); got.Seq != end {
		t.Errorf("the board stands at %d after %d", got.Seq, end)
	}
	for _, replay := range []struct{ query, lastID string }{{"", fmt.Sprint(made)}, {fmt.Sprintf("?after=%d", made), ""}} {
		got := until(t, s.events(t, s.screen, replay.query, replay.lastID), end)
		if got[0].Data.Seq != held || len(got) != 4 {
			t.Errorf("replay after %d (%+v): %+v, want 4 from %d", made, replay, got, held)
		}
	}
	whole := until(t, s.events(t, s.office, "?after=0", ""), end)
	if whole[0].Data.Seq != 1 || whole[0].Data.Order != late.order {
		t.Errorf("the whole ledger begins with %+v", whole[0])
	}
	s.audit(t)
}

// board is the board as the API gives it.
type board struct {
	Seq    int64
	Orders []struct {
		Order, Due string
		Late       bool
		Tickets    []row
	}
}

func (s *shop) board(t *testing.T) (got board) {
	t.Helper()
	s.ask(t, request{as: s.screen, do: "GET /api/board", status: 200}).into(t, &got)
	if len(got.Orders) == 0 {
		t.Error("an empty board")
	}
	return got
}
