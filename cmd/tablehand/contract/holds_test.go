package contract

import (
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// benches is a released and cut order of many panels for one test; each part of the test takes its own panel.
func benches(t *testing.T) *shoptest.Floor {
	t.Helper()
	f := shoptest.Open(t).Release(t, "WORK-1", shoptest.ManyWindows("6")...)
	f.CutAll(t)
	return f
}

// TestTolerances: the edge of a tolerance passes; beyond it the panel is held until the office decides.
func TestTolerances(t *testing.T) {
	f := benches(t)

	t.Run("the edge passes", func(t *testing.T) {
		code := f.NextPanel(t)
		joining := f.Start(t, f.Station, code)
		if got := joining.Enter[0]; got.Kind != "length" || got.Target != "124.5in" || got.Tolerance == nil ||
			got.Tolerance.Minus != "0.25in" || got.Tolerance.Plus != "0.25in" {
			t.Errorf("joining enters %+v, want 124.5in within 0.25in", got)
		}
		f.Finish(t, f.Station, code, joining, "flat_width", "124 1/4 in").Is(t, "finished", "fold")
		f.WorkTo(t, code, "pull_up")
		st := f.Start(t, f.Station, code)
		if got := st.Enter[1]; got.Target != "48.5in" || got.Tolerance == nil || got.Tolerance.Minus != "0in" || got.Tolerance.Plus != "0.5in" {
			t.Errorf("pull_up enters %+v, want 48.5in, up to 0.5in over and never under", got)
		}
		if got := st.Enter[0]; got.Kind != "count" || got.Target != "19" || got.Tolerance != nil {
			t.Errorf("pull_up counts %+v, want 19 and no tolerance", got)
		}
		if got := st.Enter[2]; got.Kind != "choice" || got.Target != "wound" || len(got.Options) != 3 {
			t.Errorf("pull_up chooses %+v, want wound of three", got)
		}
		f.Finish(t, f.Station, code, st, "finished_width", "49in", "cord_end", "tucked").Is(t, "finished", "inserts") // any option will do
	})

	for _, over := range []struct{ station, name, value string }{
		{"joining", "flat_width", "124.76in"},
		{"fold", "fold_depth", "5in"},
		{"tape", "dots", "19"}, // one too few: n + 1
		{"pull_up", "finished_width", "48.49in"},
		{"inserts", "inserts", "18"},
		{"packing", "finished_length", "96in"},
	} {
		t.Run("held at "+over.station, func(t *testing.T) {
			code := f.NextPanel(t)
			f.WorkTo(t, code, over.station)
			f.Hold(t, code, over.name, over.value)
			f.Refused(t, f.Station, shoptest.Scan(code, "start", over.station), 409, "held")
			f.Refused(t, f.Station, shoptest.Scan(code, "resume", over.station), 409, "needs_decision")
			f.Refused(t, f.Station, shoptest.Scan(code, "accept", over.station, "reason", "looks right"), 403, "lead_only")
			f.Refused(t, f.Office, shoptest.Scan(code, "accept", over.station), 0, "") // no reason
			f.Done(t, f.Office, shoptest.Scan(code, "accept", over.station, "reason", "the window is out of square"), map[string]string{
				"ticket": code, "station": over.station, "state": "finished"})
			if got := f.Look(t, code); got.Step != nil && got.Step.Station == over.station || got.State == "held" {
				t.Errorf("accepted, but %+v", got.Row)
			}
		})
	}

	t.Run("sent back instead", func(t *testing.T) {
		code := f.NextPanel(t)
		f.WorkTo(t, code, "fold")
		f.Hold(t, code, "length_middle", "94in")
		f.Refused(t, f.Station, shoptest.Scan(code, "send_back", "fold", "to", "joining", "reason", "hem too deep"), 403, "lead_only")
		f.Done(t, f.Office, shoptest.Scan(code, "send_back", "fold", "to", "joining", "reason", "hem too deep"), nil)
		f.Expect(t, code, "joining", "ready")
	})
	f.Audit(t)
}

func TestUndo(t *testing.T) {
	f := benches(t)

	t.Run("a start", func(t *testing.T) {
		code := f.NextPanel(t)
		f.Start(t, f.Station, code)
		f.Refused(t, f.Other, shoptest.Scan(code, "undo", ""), 409, "undo_not_yours")
		f.Done(t, f.Station, shoptest.Scan(code, "undo", ""), map[string]string{"station": "joining", "state": "ready"})
		f.Expect(t, code, "joining", "ready")
	})

	t.Run("a finish keeps its entries", func(t *testing.T) {
		code := f.NextPanel(t)
		st := f.Start(t, f.Station, code)
		f.Finish(t, f.Station, code, st)
		f.Done(t, f.Station, shoptest.Scan(code, "undo", ""), map[string]string{"station": "joining", "state": "at_work"})
		f.Expect(t, code, "joining", "at_work")
		f.Done(t, f.Station, shoptest.Scan(code, "finish", "joining", "checks", st.CheckNames()), map[string]string{"state": "finished", "next": "fold"})
	})

	t.Run("a finish that held the panel", func(t *testing.T) {
		code := f.NextPanel(t)
		st := f.Hold(t, code, "flat_width", "130in")
		f.Done(t, f.Station, shoptest.Scan(code, "undo", ""), map[string]string{"station": "joining", "state": "at_work"})
		f.Finish(t, f.Station, code, st).Is(t, "finished", "fold")
	})

	t.Run("overtaken", func(t *testing.T) {
		code := f.NextPanel(t)
		f.Finish(t, f.Station, code, f.Start(t, f.Station, code))
		f.Done(t, f.Other, shoptest.Scan(code, "hold", "", "reason", "iron is cold"), nil)
		f.Refused(t, f.Station, shoptest.Scan(code, "undo", ""), 409, "undo_overtaken")
	})

	t.Run("the last panel", func(t *testing.T) {
		code := f.NextPanel(t)
		f.WorkTo(t, code, "")
		f.Done(t, f.Station, shoptest.Scan(code, "undo", ""), map[string]string{"station": "packing", "state": "at_work"})
		f.Expect(t, code, "packing", "at_work")
		f.Ask(t, shoptest.Request{As: f.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{"customers.#": "0"}})
	})
	f.Audit(t)
}

func TestHoldAndSendBack(t *testing.T) {
	f := benches(t)

	t.Run("hold and resume", func(t *testing.T) {
		code := f.NextPanel(t)
		for _, was := range []string{"ready", "at_work"} {
			if was == "at_work" {
				f.Start(t, f.Station, code)
			}
			f.Done(t, f.Other, shoptest.Scan(code, "hold", "", "reason", "waiting for weights"), map[string]string{"station": "joining", "state": "held"})
			f.Expect(t, code, "joining", "held")
			f.Refused(t, f.Station, shoptest.Scan(code, "start", "joining"), 409, "held")
			f.Done(t, f.Station, shoptest.Scan(code, "resume", ""), map[string]string{"station": "joining", "state": was})
			f.Expect(t, code, "joining", was)
		}
	})

	t.Run("a panel that waits for its cloth", func(t *testing.T) {
		waiting := f.Release(t, "WAIT-1").Panels[0].Ticket
		f.Done(t, f.Station, shoptest.Scan(waiting, "hold", "", "reason", "the customer thinks again"), nil)
		f.Expect(t, waiting, "cutting", "held")
		f.Done(t, f.Station, shoptest.Scan(waiting, "resume", ""), nil)
		f.Expect(t, waiting, "cutting", "waiting")
	})

	t.Run("sent back", func(t *testing.T) {
		code := f.NextPanel(t)
		f.WorkTo(t, code, "pull_up")
		f.Done(t, f.Station, shoptest.Scan(code, "send_back", "pull_up", "to", "fold", "reason", "drop is uneven"), nil)
		got := f.Expect(t, code, "fold", "ready")
		if got.Step == nil || got.Step.SentBack == nil || got.Step.SentBack.From != "pull_up" || got.Step.SentBack.Reason != "drop is uneven" {
			t.Errorf("doesn't say that it was sent back: %+v", got.Step)
		}
		for _, r := range got.Route {
			want := map[string]string{"cutting": "finished", "joining": "finished", "fold": "ready"}[r.Station]
			if want == "" {
				want = "waiting"
			}
			if r.State != want {
				t.Errorf("%s is %s after sending back to fold, want %s", r.Station, r.State, want)
			}
		}
		f.Refused(t, f.Station, shoptest.Scan(code, "send_back", "fold", "to", "cutting", "reason", "wrong cloth"), 0, "") // never, on a panel
		f.WorkTo(t, code, "")
	})

	t.Run("from finished", func(t *testing.T) {
		code := f.NextPanel(t)
		f.WorkTo(t, code, "")
		f.Done(t, f.Office, shoptest.Scan(code, "send_back", "packing", "to", "packing", "reason", "a needle in it"), nil)
		f.Expect(t, code, "packing", "ready")
		f.WorkTo(t, code, "")
	})
	f.Audit(t)
}

// TestKeys: a scan sent twice is one event, and a key is bound to what it was used for.
func TestKeys(t *testing.T) {
	f := benches(t)
	code := f.NextPanel(t)

	body := shoptest.Scan(code, "start", "joining")
	first := f.Done(t, f.Station, body, nil)
	again := f.Done(t, f.Station, body, nil)
	if string(again.Body) != string(first.Body) {
		t.Errorf("the same scan again answered %s, first %s", again.Body, first.Body)
	}
	f.Refused(t, f.Station, shoptest.Scan(code, "hold", "", "reason", "lunch", "key", body["key"]), 409, "key_reused")

	// A key is unique for the token: another device's is another key.
	f.Done(t, f.Other, shoptest.Scan(code, "hold", "", "reason", "lunch", "key", body["key"]), map[string]string{"state": "held"})
	later := f.Done(t, f.Station, body, nil)
	if string(later.Body) != string(first.Body) {
		t.Errorf("after more has happened the same scan answered %s, first %s", later.Body, first.Body)
	}
	f.Expect(t, code, "joining", "held")

	// A refused command isn't kept.
	refused := shoptest.Scan(code, "start", "joining")
	f.Refused(t, f.Station, refused, 409, "held")
	f.Done(t, f.Station, shoptest.Scan(code, "resume", "", "key", refused["key"]), map[string]string{"state": "at_work"})
	f.Audit(t)
}
