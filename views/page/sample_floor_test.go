package page

import (
	"fmt"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/bench"
	"tablehand/views/page/board"
	"tablehand/views/page/screen"
)

func piece(i int, order, window, panel string, at, state string) views.Piece {
	done := 0
	for n, s := range plan.Stations() {
		if string(s) == at {
			done = n
		}
	}
	return views.Piece{
		Code: plan.Code(fmt.Sprintf("7K3M9Q2T%d", i)), Kind: plan.PanelTicket, Order: order, Customer: "Saltmarsh Inn",
		Due: "2026-12-18", Window: window, Room: "14", Panel: panel, Station: plan.Station(at),
		State: stations.State(state), Done: done, Of: 8,
	}
}

func pieces() []views.Piece {
	late := piece(2, "SMI-015", "Dining room, third from the garden door", "R", "tape", "ready")
	late.Late, late.Due = true, "2026-12-14"
	held := piece(3, "LAN-003", "Stair", "S", "tape", "held")
	held.Reason = "Tape of another batch, period is 1/32 long"
	held.Picture = "7ad24cdba5d806a9532c3d992258cd2b28ab8f0f31d9269b6b031e2fa4877b4c"
	back := piece(4, "SMI-014", "Bay, left", "R", "tape", "ready")
	back.SentBack = &stations.SentBack{From: plan.PullUp, Reason: "a cord is caught in the stitching"}
	work := piece(5, "SMI-014", "Bay, left", "L", "tape", "at_work")
	work.Person = "Ada"
	return []views.Piece{late, held, back, work}
}

func length(name, target, minus, plus string) plan.Entry {
	e := plan.Entry{Name: name, Kind: plan.LengthEntry, Target: measure.Read(target)}
	if minus != "" {
		e.Tolerance = &plan.Tolerance{Minus: measure.Read(minus), Plus: measure.Read(plus)}
	}
	return e
}

// tapeStep is the tape sewing of the Saltmarsh Inn's bay.
func tapeStep(state stations.State) *bench.OpenStep {
	return &bench.OpenStep{
		Station: plan.Tape, State: state, Units: "in",
		Values: []plan.Value{{Name: "tape_piece", Value: measure.Read("126.5in")}, {Name: "tape_start", Value: measure.Read("1.5in")}, {Name: "top_drop", Value: measure.Read("0.25in")},
			{Name: "end_margin", Value: measure.Read("0.5in")}, {Name: "edge_to_pleat", Value: measure.Read("1.75in")}, {Name: "stitch_line", Value: measure.Read("4.125in")}, {Name: "stitching", Value: measure.Read("249in")}},
		Enter: []plan.Entry{length("drop", "0.25in", "0.0625in", "0.0625in"), length("first_dot_return", "0.5in", "0.125in", "0.125in"),
			length("first_dot_leading", "0.5in", "0.125in", "0.125in"), {Name: "dots", Kind: plan.CountEntry, Target: measure.Read("20")},
			{Name: "cord_end", Kind: plan.ChoiceEntry, Target: measure.Read("wound"), Options: []string{"wound", "tucked", "cut"}}},
		Checks:   []string{"tape_steamed", "pockets_up", "cords_tied_both_ends", "lines_same_end", "no_stitch_through_cord", "pressed_before_pull_up"},
		Cautions: []string{"iron"},
	}
}

func openTicket(state stations.State, role stations.Role) *bench.OpenTicket {
	o := &bench.OpenTicket{
		Piece: piece(5, "SMI-014", "Bay, left", "L", "tape", string(state)), Step: tapeStep(state), Here: true, Elsewise: plan.Tape,
		Notes: []string{"Rod is up, measured twice"}, SendTo: []plan.Station{plan.Joining, plan.Fold, plan.Tape},
		Key: "page-7K3M9Q2T5-41", Frame: frame("/station/tape", role), PostTo: "/station/tape/scan",
		Typed: map[string]string{}, Ticked: map[string]bool{}, Missing: map[string]bool{},
		Drawing: views.Drawing{SVG: `<svg viewBox="0 0 124.5 40" role="img" aria-label="panel"><rect x="0.5" y="0.5" width="123.5" height="39" fill="none" stroke="currentColor"/></svg>`},
	}
	for _, s := range plan.Stations() {
		o.Route = append(o.Route, bench.RouteStep{Station: s, State: stations.Waiting})
	}
	return o
}

func outOfTolerance(role stations.Role) *bench.OpenTicket {
	o := openTicket(stations.Held, role)
	o.Piece.ForOffice, o.Step.ForOffice = true, true
	o.Step.OutOf = []views.OutOf{{Entry: o.Step.Enter[0], Measured: measure.Read("0.5in")}}
	return o
}

func cuttingTicket(role stations.Role) *bench.OpenTicket {
	o := openTicket(stations.Ready, role)
	o.Piece = views.Piece{Code: "8C4D2E6F9", Kind: plan.CuttingTicket, Order: "SMI-014", Customer: "Saltmarsh Inn", Due: "2026-12-18",
		Fabric: "reed", Station: plan.Cutting, State: stations.Ready, Of: 1}
	o.Step = &bench.OpenStep{Station: plan.Cutting, State: stations.Ready, Units: "in",
		Values: []plan.Value{{Name: "fabric", Value: measure.Read("reed")}, {Name: "cuts", Value: measure.Read("5")}, {Name: "length", Value: measure.Read("607.5in")}, {Name: "usable_width", Value: measure.Read("54in")}, {Name: "vertical_repeat", Value: measure.Read("13.5in")}},
		Checks: []string{"side_top_nap_marked"}, Cautions: []string{"blade"}}
	o.Drawing = views.Drawing{}
	for i, parts := range [][]plan.CutPart{{part("L", 1, workup.Whole)}, {part("L", 2, workup.Whole)}, {part("L", 3, workup.RightHalf), part("R", 1, workup.LeftHalf)}} {
		o.Cuts = append(o.Cuts, plan.Cut{Cut: fmt.Sprint(i + 1), Bolt: "R1", Lot: "A", From: measure.OfLength((243 * measure.Inch / 2).Times(i), measure.In), Length: measure.Read("121.5in"), TrimBottom: measure.Read("10in"),
			For: parts})
	}
	return o
}

func part(panel string, place int, half workup.Half) plan.CutPart {
	return plan.CutPart{Window: "Bay, left", Copy: 1, Panel: panel, Place: place, Half: half}
}

func rods(v *views.Views) []board.HungRod {
	var rods []board.HungRod
	for i, id := range []string{"SMI-014", "SMI-015", "LAN-003", "REE-108", "SMI-016"} {
		rod := board.Rod{ID: id, Customer: []string{"Saltmarsh Inn", "Saltmarsh Inn", "Lantern House", "Reed & Daughter, Upholsterers and Drapers", "Saltmarsh Inn"}[i],
			Due: "2026-12-18", Today: today, State: stations.OrderReleased, Panels: 12, Finished: i}
		if i == 4 {
			rod.State, rod.Panels, rod.Due = stations.OrderTaken, 0, ""
		}
		for n, s := range plan.Stations() {
			var hang []*views.Piece
			for k := range (n*7 + i*3) % 5 * min(1, 4-i) {
				p := piece(k, id, fmt.Sprintf("Window %d", k/2+1), []string{"L", "R"}[k%2], string(s), "ready")
				if i == 1 {
					p.Late, rod.Late = true, true
				}
				if i == 2 && k == 1 {
					p.State, rod.Held = stations.Held, rod.Held+1
				}
				if k == 0 && n%2 == 1 {
					p.State = stations.AtWork
				}
				hang = append(hang, &p)
			}
			if n == 0 && i < 2 {
				hang = append(hang, &views.Piece{Code: "8C4D2E6F9", Kind: plan.CuttingTicket, Order: id, Fabric: "reed", Station: s, State: stations.Ready, Of: 1})
			}
			rod.Hanging = append(rod.Hanging, board.Hang(s, hang))
		}
		rods = append(rods, board.HungRod{ID: id, HTML: rod.Render(v)})
	}
	return rods
}

func columns() (all []board.Column) {
	for i, s := range plan.Stations() {
		all = append(all, board.Column{Station: s, Count: i * 3 % 7})
	}
	return all
}

func lanes() []screen.Lane {
	var lanes []screen.Lane
	for i, s := range plan.Stations() {
		lane := screen.Lane{Station: s}
		for k := range (i*5 + 3) % 6 % 4 {
			p := piece(k, "SMI-015", fmt.Sprintf("Dining %d", k+1), "L", string(s), "ready")
			p.Late = k == 0 && i%3 == 0
			if k == 1 && i == 5 {
				p.State = stations.Held
				lane.Held = append(lane.Held, p)
			} else if len(lane.Next) == 0 {
				lane.Next = append(lane.Next, p)
			}
			lane.Here = append(lane.Here, screen.Look{Late: p.Late, Held: p.Held(), Bolt: i == 0})
		}
		if i%3 != 2 {
			p := piece(9, "SMI-014", "Bay, left", "L", string(s), "at_work")
			p.Person = "Ada"
			lane.AtWork = []views.Piece{p}
			lane.Here = append(lane.Here, screen.Look{AtWork: true})
		}
		lanes = append(lanes, lane)
	}
	return lanes
}

// lacksCloth is a fabric that has no room for some of its cuts.
var lacksCloth = views.Shortage{
	Fabric: "reed", Cuts: 8, Fit: 4, Short: measure.Read("486in"), Mixed: []string{"Kitchen"},
	Order:   []views.CutsToOrder{{Lot: "9", Count: 1, Length: measure.Read("3.375yd")}, {Count: 3, Length: measure.Read("10.125yd")}},
	Missing: []views.MissingCuts{{Window: "Bay", Count: 1, Length: measure.Read("121.5in"), Lot: "9"}},
	OnHand:  []views.BoltOnHand{{ID: "R1", Lot: "9", Length: measure.Read("14yd")}},
}
