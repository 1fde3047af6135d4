package contract

import (
	"fmt"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

func TestBoardAndEvents(t *testing.T) {
	s := shoptest.Open(t)
	late := s.Release(t, "LATE-1", "due: 2026-12-18", "due: 2020-01-31")
	f := s.Release(t, "LIVE-1", "due: 2026-12-18", "due: 2199-12-31")
	code := f.Panels[0].Ticket

	for _, order := range s.Board(t).Orders {
		if want := order.Order == "LATE-1"; order.Late != want || len(order.Tickets) != 4 {
			t.Errorf("on the board %s, due %s: late %v with %d tickets", order.Order, order.Due, order.Late, len(order.Tickets))
		}
	}

	live := s.Events(t, s.Screen, "", "")
	made := f.CutAll(t).Seq(t)
	cut := shoptest.Until(t, live, made)
	if last := cut[len(cut)-1].Data; last.Action != "finish" || last.Order != "LIVE-1" || last.State != "finished" || len(last.Also) != 2 || last.At == "" {
		t.Errorf("the event of the last cutting: %+v", last)
	}
	if first := cut[0].Data; first.Ticket != f.Cutting[0].Ticket || first.Action != "start" || first.Station != "cutting" || first.State != "at_work" {
		t.Errorf("a stream from now began with %+v", first)
	}

	held := f.Done(t, f.Station, shoptest.Scan(code, "hold", "", "reason", "no thread"), nil).Seq(t)
	if got := shoptest.Until(t, live, held); got[0].Data.Seq != held || got[0].Data.Action != "hold" || got[0].Data.Reason != "no thread" || got[0].Data.Ticket != code {
		t.Errorf("the event of a hold: %+v", got)
	}
	f.Done(t, f.Station, shoptest.Scan(code, "resume", ""), nil)
	st := f.Start(t, f.Station, code)
	end := f.Finish(t, f.Station, code, st).Seq(t)
	seen := shoptest.Until(t, live, end)
	if last := seen[len(seen)-1].Data; last.Next != "fold" || last.Station != "joining" || last.State != "finished" {
		t.Errorf("the event of a finish: %+v", last)
	}

	if got := s.Board(t); got.Seq != end {
		t.Errorf("the board stands at %d after %d", got.Seq, end)
	}
	for _, replay := range []struct{ query, lastID string }{{"", fmt.Sprint(made)}, {fmt.Sprintf("?after=%d", made), ""}} {
		got := shoptest.Until(t, s.Events(t, s.Screen, replay.query, replay.lastID), end)
		if got[0].Data.Seq != held || len(got) != 4 {
			t.Errorf("replay after %d (%+v): %+v, want 4 from %d", made, replay, got, held)
		}
	}
	whole := shoptest.Until(t, s.Events(t, s.Office, "?after=0", ""), end)
	if whole[0].Data.Seq != 1 || whole[0].Data.Order != late.Order {
		t.Errorf("the whole ledger begins with %+v", whole[0])
	}
	s.Audit(t)
}
