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
			Rod: views.RodOf(pieces(), plan.Stations(), false)}, {ID: "SMI-016", Due: "2026-12-17", AtRisk: true, Taken: true}},
		Release: []home.Unreleased{{ID: "SMI-017", Customer: "Saltmarsh Inn", Due: "2026-12-14", Late: true,
			Short: []views.Shortage{lacksCloth}, Shared: []engine.Problem{{Severity: engine.Warning, Code: "test", Key: "page.order.incomplete"}}}, {ID: "LAN-004"}},
		MoreRelease: 2,
		Idle:        home.Remnants{List: []home.Remnant{{Code: "7K3M9Q2T6", Cloth: "Reed, oat", Lot: "L7", Place: "3B", Length: measure.Read("40in")}, {Code: "8C4D2E6F8", Cloth: "Sateen", Length: measure.Read("1.5yd")}}, More: 3},
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

// TestHang: whatever hangs at a station is there once, nothing is bundled that stands otherwise, and a rod has room for what it shows.
func TestHang(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []*views.Piece
		states := map[string]bool{}
		for i := range rapid.IntRange(0, 40).Draw(t, "pieces") {
			p := &views.Piece{Code: plan.NewCode(uint64(i)), Kind: plan.PanelTicket, Window: rapid.SampledFrom([]string{"Bay", "Hall", "Stair"}).Draw(t, "window"),
				Panel: rapid.SampledFrom([]string{"L", "R"}).Draw(t, "panel"), Copy: rapid.IntRange(1, 3).Draw(t, "copy"), Station: plan.Tape,
				State: rapid.SampledFrom([]stations.State{stations.Ready, stations.AtWork, stations.Held}).Draw(t, "state")}
			if rapid.Bool().Draw(t, "back") {
				p.SentBack = &stations.SentBack{From: plan.Packing}
			}
			states[fmt.Sprint(p.State, p.SentBack != nil)] = true
			all = append(all, p)
		}
		h := board.Hang(plan.Tape, all)
		seen := map[plan.Code]int{}
		for _, b := range h.Bundles {
			for _, p := range b.Pieces {
				seen[p.Code]++
				if first := b.First(); p.State != first.State || (p.SentBack == nil) != (first.SentBack == nil) {
					t.Fatalf("%+v hangs with %+v", p, first)
				}
			}
			if n := b.Stack(); n != 0 && n != len(b.Pieces) {
				t.Fatalf("a stack of %d says %d", len(b.Pieces), n)
			}
		}
		for _, p := range all {
			if seen[p.Code] != 1 {
				t.Fatalf("%s hangs %d times", p.Code, seen[p.Code])
			}
		}
		if h.Count != len(all) || len(seen) != len(all) || len(h.Bundles) > max(3, len(states)) {
			t.Fatalf("%d of %d hang, in %d bundles of %d states", len(seen), len(all), len(h.Bundles), len(states))
		}
	})
}

// TestPairHangsAsAPair: the panels of a window in one state are one drawing, others are not.
func TestPairHangsAsAPair(t *testing.T) {
	left, right := piece(1, "SMI-1", "Bay", "L", "tape", "ready"), piece(2, "SMI-1", "Bay", "R", "tape", "ready")
	pair := []*views.Piece{&left, &right}
	drawn := board.Hang(plan.Tape, pair)
	if len(drawn.Bundles) != 1 || !drawn.Bundles[0].Pair() || drawn.Bundles[0].Stack() != 0 {
		t.Errorf("a pair: %+v", drawn.Bundles)
	}
	if html := string(board.Rod{ID: "SMI-1", Hanging: []board.Hanging{drawn}}.Render(newViews(t))); !strings.Contains(html, "#panel-L") || !strings.Contains(html, "#panel-R") {
		t.Errorf("a pair without its sides: %s", html)
	}
	pair[1].State = stations.AtWork
	if h := board.Hang(plan.Tape, pair); len(h.Bundles) != 2 {
		t.Errorf("one at work: %+v", h.Bundles)
	}
	many := make([]*views.Piece, 0, 20)
	for i := range 20 {
		p := piece(i, "SMI-1", fmt.Sprint("Window ", i), "S", "cutting", "waiting")
		many = append(many, &p)
	}
	h := board.Hang(plan.Cutting, many)
	if len(h.Bundles) != 1 || h.Bundles[0].Stack() != 20 || h.Bundles[0].Window() != "" {
		t.Errorf("what waits for its cloth: %+v", h.Bundles)
	}
	html := string(board.Rod{ID: "SMI-1", Reads: true, Hanging: []board.Hanging{h}, Panels: 20}.Render(newViews(t)))
	if strings.Count(html, `href="/t/`) != 20 || !strings.Contains(html, "20 panels, waiting") {
		t.Errorf("twenty: %s", html)
	}
	html = string(board.Rod{ID: "SMI-1", Hanging: []board.Hanging{h}, Panels: 20}.Render(newViews(t)))
	if strings.Contains(html, `href="/`) || !strings.Contains(html, "Window 19") {
		t.Errorf("on a wall, where nothing is to press: %s", html)
	}
}

// TestRodEscapes: what somebody has typed into an order stays text on its rod.
func TestRodEscapes(t *testing.T) {
	const typed = `<script>"&'`
	p := piece(1, "SMI-1", typed, "L", "tape", "ready")
	bolt := views.Piece{Code: "8C4D2E6F9", Kind: plan.CuttingTicket, Fabric: typed, Station: plan.Cutting, State: stations.Ready}
	rod := board.Rod{ID: "SMI-1", Customer: typed, Sidemark: typed, Due: "2026-12-14", Today: today, Late: true, Held: 1, Books: true, Reads: true, Panels: 4, Finished: 2,
		Hanging: []board.Hanging{board.Hang(plan.Tape, []*views.Piece{&p}), board.Hang(plan.Tape, []*views.Piece{&p, &p}), board.Hang(plan.Cutting, []*views.Piece{&bolt})}}
	html := string(rod.Render(newViews(t)))
	if strings.Contains(html, "<script") || strings.Count(html, "&lt;script&gt;") < 6 {
		t.Errorf("%s", html)
	}
	for _, want := range []string{"Mon, 2 days late", "2 of 4 finished", "1 held", `class="end"`} {
		if !strings.Contains(html, want) {
			t.Errorf("%q is missing in %s", want, html)
		}
	}
}
