package page

import (
	"testing"

	"tablehand/views"
	"tablehand/views/page/screen"
)

// TestAPairHangsAsAPair: panels of one window hang together where one name, state and person can be told of both.
func TestAPairHangsAsAPair(t *testing.T) {
	left, right := piece(1, "SMI-014", "Bay, left", "L", "tape", "ready"), piece(2, "SMI-014", "Bay, left", "R", "tape", "ready")
	changed := func(change func(*views.Piece)) views.Piece {
		p := right
		change(&p)
		return p
	}
	for _, tt := range []struct {
		name string
		next views.Piece
		hung int
	}{
		{"a pair", right, 1},
		{"of another window", changed(func(p *views.Piece) { p.Window = "Bay, right" }), 2},
		{"of the next such window", changed(func(p *views.Piece) { p.Copy = 2 }), 2},
		{"of another room", changed(func(p *views.Piece) { p.Room = "15" }), 2},
		{"of another order", changed(func(p *views.Piece) { p.Order = "SMI-015" }), 2},
		{"of the same side", left, 2},
		{"held", changed(func(p *views.Piece) { p.State = "held" }), 2},
		{"by another person", changed(func(p *views.Piece) { p.Person = "Bo" }), 2},
		{"with other numbers wanted", changed(func(p *views.Piece) { p.Kept = []string{"cut_length"} }), 2},
	} {
		lane := screen.Lane{AtWork: []views.Piece{left, tt.next}}
		panels := 0
		for _, h := range lane.Working() {
			panels += len(h.Panels)
		}
		if hung := len(lane.Working()); hung != tt.hung || panels != 2 {
			t.Errorf("%s: %d panels hang in %d places, want %d", tt.name, panels, hung, tt.hung)
		}
	}
	if all := (screen.Lane{AtWork: []views.Piece{left, right, left, right}}).Working(); len(all) != 2 {
		t.Errorf("two pairs hang in %d places", len(all))
	}
}

// TestRanks: a queue's ranks hold its pieces in their order.
func TestRanks(t *testing.T) {
	late, risk, calm := piece(1, "SMI-015", "Dining", "S", "tape", "ready"), piece(2, "SMI-014", "Bay", "S", "tape", "ready"), piece(3, "LAN-003", "Stair", "S", "tape", "ready")
	late.Late, risk.AtRisk = true, true
	for _, queue := range [][]views.Piece{nil, {late}, {calm}, {late, late, calm}, {late, risk, risk, calm, calm}} {
		ranks, n := (screen.Lane{Queue: queue}).Ranks(), 0
		for i, r := range ranks {
			if i > 0 && ranks[i-1].Late == r.Late && ranks[i-1].AtRisk == r.AtRisk {
				t.Errorf("%d pieces: two ranks are alike", len(queue))
			}
			for _, h := range r.Hung {
				if h.Code != queue[n].Code || h.Late != r.Late || h.AtRisk != r.AtRisk {
					t.Errorf("%d pieces: the one at %d is %+v of %+v", len(queue), n, h.Piece, r)
				}
				n++
			}
		}
		if n != len(queue) {
			t.Errorf("of %d pieces %d are in ranks", len(queue), n)
		}
	}
}
