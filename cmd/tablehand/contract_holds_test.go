package main

import "testing"

// benches is a released and cut order of many panels for one test; each part of the test takes its own panel.
func benches(t *testing.T) *floor {
	t.Helper()
	f := openShop(t).release(t, "WORK-1", manyWindows("6")...)
	f.cutAll(t)
	return f
}

// TestTolerances: the edge of a tolerance passes; beyond it the panel is held until the office decides.
func TestTolerances(t *testing.T) {
	f := benches(t)

	t.Run("the edge passes", func(t *testing.T) {
		code := f.nextPanel(t)
		joining := f.start(t, f.station, code)
		if got := joining.Enter[0]; got.Kind != "length" || got.Target != "124.5in" || got.Tolerance == nil ||
			got.Tolerance.Minus != "0.25in" || got.Tolerance.Plus != "0.25in" {
			t.Errorf("joining enters %+v, want 124.5in within 0.25in", got)
		}
		f.finish(t, f.station, code, joining, "flat_width", "124 1/4 in").is(t, "finished", "fold")
		f.workTo(t, code, "pull_up")
		st := f.start(t, f.station, code)
		if got := st.Enter[1]; got.Target != "48.5in" || got.Tolerance == nil || got.Tolerance.Minus != "0in" || got.Tolerance.Plus != "0.5in" {
			t.Errorf("pull_up enters %+v, want 48.5in, up to 0.5in over and never under", got)
		}
		if got := st.Enter[0]; got.Kind != "count" || got.Target != "19" || got.Tolerance != nil {
			t.Errorf("pull_up counts %+v, want 19 and no tolerance", got)
		}
		if got := st.Enter[2]; got.Kind != "choice" || got.Target != "wound" || len(got.Options) != 3 {
			t.Errorf("pull_up chooses %+v, want wound of three", got)
		}
		f.finish(t, f.station, code, st, "finished_width", "49in", "cord_end", "tucked").is(t, "finished", "inserts") // any option will do
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
			code := f.nextPanel(t)
			f.workTo(t, code, over.station)
			f.hold(t, code, over.name, over.value)
			f.refused(t, f.station, scan(code, "start", over.station), 409, "held")
			f.refused(t, f.station, scan(code, "resume", over.station), 409, "needs_decision")
			f.refused(t, f.station, scan(code, "accept", over.station, "reason", "looks right"), 403, "forbidden")
			f.refused(t, f.office, scan(code, "accept", over.station), 0, "") // no reason
			f.done(t, f.office, scan(code, "accept", over.station, "reason", "the window is out of square"), map[string]string{
				"ticket": code, "station": over.station, "state": "finished"})
			if got := f.look(t, code); got.Step != nil && got.Step.Station == over.station || got.State == "held" {
				t.Errorf("accepted, but %+v", got.row)
			}
		})
	}

	t.Run("sent back instead", func(t *testing.T) {
		code := f.nextPanel(t)
		f.workTo(t, code, "fold")
		f.hold(t, code, "length_middle", "94in")
		f.done(t, f.station, scan(code, "send_back", "fold", "to", "joining", "reason", "hem too deep"), nil)
		f.expect(t, code, "joining", "ready")
	})
	f.audit(t)
}

// hold starts a ready step and finishes it with one value out of tolerance.
func (f *floor) hold(t *testing.T, code, name, value string) *step {
	t.Helper()
	st := f.start(t, f.station, code)
	got := f.finish(t, f.station, code, st, name, value)
	if got.at("state") != "held" || got.at("next") != "" || got.at("problems.0.code") != "out_of_tolerance" {
		t.Fatalf("%s of %s at %s answered %s, want held, out_of_tolerance", name, value, st.Station, got.body)
	}
	f.expect(t, code, st.Station, "held")
	return st
}

// is holds the answer to a scan against the state of the step and what became ready.
func (a answer) is(t *testing.T, state, next string) {
	t.Helper()
	if a.at("state") != state || a.at("next") != next {
		t.Errorf("answered %s, want state %s and next %q", a.body, state, next)
	}
}

func TestUndo(t *testing.T) {
	f := benches(t)

	t.Run("a start", func(t *testing.T) {
		code := f.nextPanel(t)
		f.start(t, f.station, code)
		f.refused(t, f.other, scan(code, "undo", ""), 409, "undo_not_yours")
		f.done(t, f.station, scan(code, "undo", ""), map[string]string{"station": "joining", "state": "ready"})
		f.expect(t, code, "joining", "ready")
	})

	t.Run("a finish keeps its entries", func(t *testing.T) {
		code := f.nextPanel(t)
		st := f.start(t, f.station, code)
		f.finish(t, f.station, code, st)
		f.done(t, f.station, scan(code, "undo", ""), map[string]string{"station": "joining", "state": "at_work"})
		f.expect(t, code, "joining", "at_work")
		f.done(t, f.station, scan(code, "finish", "joining", "checks", st.checkNames()), map[string]string{"state": "finished", "next": "fold"})
	})

	t.Run("a finish that held the panel", func(t *testing.T) {
		code := f.nextPanel(t)
		st := f.hold(t, code, "flat_width", "130in")
		f.done(t, f.station, scan(code, "undo", ""), map[string]string{"station": "joining", "state": "at_work"})
		f.finish(t, f.station, code, st).is(t, "finished", "fold")
	})

	t.Run("overtaken", func(t *testing.T) {
		code := f.nextPanel(t)
		f.finish(t, f.station, code, f.start(t, f.station, code))
		f.done(t, f.other, scan(code, "hold", "", "reason", "iron is cold"), nil)
		f.refused(t, f.station, scan(code, "undo", ""), 409, "undo_overtaken")
	})

	t.Run("the last panel", func(t *testing.T) {
		code := f.nextPanel(t)
		f.workTo(t, code, "")
		f.done(t, f.station, scan(code, "undo", ""), map[string]string{"station": "packing", "state": "at_work"})
		f.expect(t, code, "packing", "at_work")
		f.ask(t, request{as: f.office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "0"}})
	})
	f.audit(t)
}

func TestHoldAndSendBack(t *testing.T) {
	f := benches(t)

	t.Run("hold and resume", func(t *testing.T) {
		code := f.nextPanel(t)
		for _, was := range []string{"ready", "at_work"} {
			if was == "at_work" {
				f.start(t, f.station, code)
			}
			f.done(t, f.other, scan(code, "hold", "", "reason", "waiting for weights"), map[string]string{"station": "joining", "state": "held"})
			f.expect(t, code, "joining", "held")
			f.refused(t, f.station, scan(code, "start", "joining"), 409, "held")
			f.done(t, f.station, scan(code, "resume", ""), map[string]string{"station": "joining", "state": was})
			f.expect(t, code, "joining", was)
		}
	})

	t.Run("a panel that waits for its cloth", func(t *testing.T) {
		waiting := f.release(t, "WAIT-1").panels[0].Ticket
		f.done(t, f.station, scan(waiting, "hold", "", "reason", "the customer thinks again"), nil)
		f.expect(t, waiting, "cutting", "held")
		f.done(t, f.station, scan(waiting, "resume", ""), nil)
		f.expect(t, waiting, "cutting", "waiting")
	})

	t.Run("sent back", func(t *testing.T) {
		code := f.nextPanel(t)
		f.workTo(t, code, "pull_up")
		f.done(t, f.station, scan(code, "send_back", "pull_up", "to", "fold", "reason", "drop is uneven"), nil)
		got := f.expect(t, code, "fold", "ready")
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
		f.refused(t, f.station, scan(code, "send_back", "fold", "to", "cutting", "reason", "wrong cloth"), 0, "") // never, on a panel
		f.workTo(t, code, "")
	})

	t.Run("from finished", func(t *testing.T) {
		code := f.nextPanel(t)
		f.workTo(t, code, "")
		f.done(t, f.office, scan(code, "send_back", "packing", "to", "packing", "reason", "a needle in it"), nil)
		f.expect(t, code, "packing", "ready")
		f.workTo(t, code, "")
	})
	f.audit(t)
}

// TestKeys: a scan sent twice is one event, and a key is bound to what it was used for.
func TestKeys(t *testing.T) {
	f := benches(t)
	code := f.nextPanel(t)

	body := scan(code, "start", "joining")
	first := f.done(t, f.station, body, nil)
	again := f.done(t, f.station, body, nil)
	if string(again.body) != string(first.body) {
		t.Errorf("the same scan again answered %s, first %s", again.body, first.body)
	}
	f.refused(t, f.station, scan(code, "hold", "", "reason", "lunch", "key", body["key"]), 409, "key_reused")

	// A key is unique for the token: another device's is another key.
	f.done(t, f.other, scan(code, "hold", "", "reason", "lunch", "key", body["key"]), map[string]string{"state": "held"})
	later := f.done(t, f.station, body, nil)
	if string(later.body) != string(first.body) {
		t.Errorf("after more has happened the same scan answered %s, first %s", later.body, first.body)
	}
	f.expect(t, code, "joining", "held")

	// A refused command isn't kept.
	refused := scan(code, "start", "joining")
	f.refused(t, f.station, refused, 409, "held")
	f.done(t, f.station, scan(code, "resume", "", "key", refused["key"]), map[string]string{"state": "at_work"})
	f.audit(t)
}
