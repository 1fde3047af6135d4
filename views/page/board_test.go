package page

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/board"
	"tablehand/views/page/home"
)

// todayPage is a morning on which everything that can need a decision does.
func todayPage(counts []home.StationCount) home.Page {
	bay := piece(5, "SMI-014", "Bay, left", "L", "tape", "held")
	bay.ForOffice = true
	entry := length("finished_width", "48.5in", "0in", "0.5in")
	return home.Page{
		Frame: frame("/", stations.Office), Stations: counts, Orders: 12, Late: 1, Held: 2, Billable: 3,
		Decide: []views.Held{{Piece: bay, SendTo: []plan.Station{plan.Joining, plan.Tape}, Remakes: true, Key: "k", Measures: []views.Measure{
			{OutOf: views.OutOf{Entry: entry, Measured: measure.Read("49.5in")}, Scale: views.ScaleOf(views.OutOf{Entry: entry, Measured: measure.Read("49.5in")})},
			{OutOf: views.OutOf{Entry: plan.Entry{Name: "pleats", Kind: plan.CountEntry, Target: measure.Read("19")}, Measured: measure.Read("18")}}}}},
		Stopped: []views.Held{{Piece: pieces()[1], SendTo: []plan.Station{plan.Tape}, Key: "k", Typed: "so far"}},
		Urgent: []home.UrgentOrder{{ID: "SMI-015", Customer: "Saltmarsh Inn", Due: "2026-12-14", Late: true, Held: 1, Finished: 1, Panels: 8,
			Rod: views.RodOf(pieces(), false)}, {ID: "SMI-016", Due: "2026-12-17", AtRisk: true, Taken: true}},
		Release: []home.Unreleased{{ID: "SMI-017", Customer: "Saltmarsh Inn", Due: "2026-12-14", Late: true,
			Short: []engine.Problem{{Severity: engine.Warning, Code: "test", Key: "page.order.incomplete"}}}, {ID: "LAN-004"}},
		MoreRelease: 2,
		Changed:     []home.Changed{{ID: "SMI-014", Customer: "Saltmarsh Inn", Pieces: []views.Piece{{Code: "7K3M9Q2T5", Kind: plan.PanelTicket, Window: "Bay", Panel: "L", Kept: []string{"cut_length", "pleats"}}}}},
		Bill:        []home.Billable{{Customer: "Lantern House", Panels: []plan.Code{"7K3M9Q2T5"}, Orders: []string{"LAN-003"}, Total: usd(25500)}, {Customer: "Reed & Daughter", Panels: []plan.Code{"8C4D2E6F9"}}},
	}
}

func TestScaleOf(t *testing.T) {
	wide := length("finished_width", "30in", "0in", "0.5in")
	tests := []struct {
		entry    plan.Entry
		measured string
		off      string
		long     bool
		beyond   bool
		found    float64
	}{
		// It is off by what lies beyond the limit. The drawing reaches three times the wider side of the tolerance, 1 1/2 in, over 138 of its units.
		{wide, "31in", "0.5in", true, false, 150 + 138*2/3.},
		{wide, "29.25in", "0.75in", false, false, 150 - 138/2.},
		{wide, "40in", "9.5in", true, true, 288},
		// Without a tolerance it reaches twice as far as the value is off.
		{length("finished_width", "30in", "", ""), "31in", "1in", true, false, 150 + 138/2.},
	}
	for _, tt := range tests {
		s := views.ScaleOf(views.OutOf{Entry: tt.entry, Measured: measure.Read(tt.measured)})
		if s == nil || s.Off.String() != tt.off || s.Long != tt.long || s.Beyond != tt.beyond || s.Value-tt.found > .1 || tt.found-s.Value > .1 {
			t.Errorf("%s: %+v", tt.measured, s)
		}
	}
	if s := views.ScaleOf(views.OutOf{Entry: plan.Entry{Kind: plan.CountEntry, Target: measure.Read("19")}, Measured: measure.Read("18")}); s != nil {
		t.Errorf("a count has a scale: %+v", s)
	}
}

// TestHang: whatever hangs at a station is there once, in a bundle or in the pile, and nothing is bundled that differs.
func TestHang(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []views.Piece
		for i := range rapid.IntRange(0, 40).Draw(t, "pieces") {
			p := views.Piece{Code: plan.NewCode(uint64(i)), Kind: plan.PanelTicket, Window: rapid.SampledFrom([]string{"Bay", "Hall", "Stair"}).Draw(t, "window"),
				Panel: rapid.SampledFrom([]string{"L", "R"}).Draw(t, "panel"), Copy: rapid.IntRange(1, 3).Draw(t, "copy"), Station: plan.Tape,
				State: rapid.SampledFrom([]stations.State{stations.Ready, stations.AtWork, stations.Held}).Draw(t, "state")}
			if rapid.Bool().Draw(t, "back") {
				p.SentBack = &stations.SentBack{From: plan.Packing}
			}
			all = append(all, p)
		}
		h := board.Hang(plan.Tape, all)
		seen := map[plan.Code]int{}
		for _, b := range h.Bundles {
			for _, p := range b.Pieces {
				seen[p.Code]++
				if first := b.First(); p.Window != first.Window || p.State != first.State || (p.SentBack == nil) != (first.SentBack == nil) || p.Held() && !b.One() {
					t.Fatalf("%+v hangs with %+v", p, first)
				}
			}
			if n := b.Stack(); n != 0 && n != len(b.Pieces) {
				t.Fatalf("a stack of %d says %d", len(b.Pieces), n)
			}
		}
		for _, p := range h.More {
			seen[p.Code]++
		}
		for _, p := range all {
			if seen[p.Code] != 1 {
				t.Fatalf("%s hangs %d times", p.Code, seen[p.Code])
			}
		}
		if h.Count != len(all) || len(seen) != len(all) {
			t.Fatalf("%d of %d hang", len(seen), len(all))
		}
	})
}

// TestPairHangsAsAPair: the panels of a window in one state are one drawing, others are not.
func TestPairHangsAsAPair(t *testing.T) {
	pair := []views.Piece{piece(1, "SMI-1", "Bay", "L", "tape", "ready"), piece(2, "SMI-1", "Bay", "R", "tape", "ready")}
	if h := board.Hang(plan.Tape, pair); len(h.Bundles) != 1 || !h.Bundles[0].Pair() || h.Bundles[0].Stack() != 0 {
		t.Errorf("a pair: %+v", h.Bundles)
	}
	pair[1].State = stations.AtWork
	if h := board.Hang(plan.Tape, pair); len(h.Bundles) != 2 {
		t.Errorf("one at work: %+v", h.Bundles)
	}
	many := make([]views.Piece, 0, 20)
	for i := range 20 {
		many = append(many, piece(i, "SMI-1", fmt.Sprint("Window ", i), "S", "cutting", "waiting"))
	}
	h := board.Hang(plan.Cutting, many)
	if len(h.Bundles) != 1 || h.Bundles[0].Stack() != 20 || h.Bundles[0].Window() != "" {
		t.Errorf("what waits for its cloth: %+v", h.Bundles)
	}
	html, err := board.Rod{ID: "SMI-1", Reads: true, Hanging: []board.Hanging{h}, Panels: 20}.Render(newViews(t))
	if err != nil || strings.Count(string(html), `href="/t/`) != 20 || !strings.Contains(string(html), "20 panels, waiting") {
		t.Errorf("%v\n%s", err, html)
	}
	html, err = board.Rod{ID: "SMI-1", Hanging: []board.Hanging{h}, Panels: 20}.Render(newViews(t))
	if err != nil || strings.Contains(string(html), `href="/`) || !strings.Contains(string(html), "Window 19") {
		t.Errorf("on a wall, where nothing is to press: %v\n%s", err, html)
	}
}
