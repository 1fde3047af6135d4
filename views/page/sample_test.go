package page

import (
	"fmt"
	"time"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/bench"
	"tablehand/views/page/board"
	"tablehand/views/page/order"
	"tablehand/views/page/rules"
	"tablehand/views/page/screen"
)

// The sample is an invented workroom's: the Saltmarsh Inn, the Lantern House, and Reed & Daughter.
const today = "2026-12-16"

func frame(path string, role stations.Role) views.Frame {
	return views.Frame{Shop: "Marsh Lane Workroom", Role: role, Person: "Ada", Seq: 41, Today: today, Path: path, Token: "token-of-this-sign-in"}
}

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
			Due: "2026-12-18", State: stations.OrderReleased, Panels: 12, Finished: i}
		if i == 4 {
			rod.State, rod.Panels, rod.Due = stations.OrderTaken, 0, ""
		}
		for n, s := range plan.Stations() {
			var hang []views.Piece
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
				hang = append(hang, p)
			}
			if n == 0 && i < 2 {
				hang = append(hang, views.Piece{Code: "8C4D2E6F9", Kind: plan.CuttingTicket, Order: id, Fabric: "reed", Station: s, State: stations.Ready, Of: 1})
			}
			rod.Hanging = append(rod.Hanging, board.Hang(s, hang))
		}
		html, err := rod.Render(v)
		if err != nil {
			panic(err)
		}
		rods = append(rods, board.HungRod{ID: id, HTML: html})
	}
	return rods
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
			}
			lane.Queue = append(lane.Queue, p)
		}
		if i%3 != 2 {
			p := piece(9, "SMI-014", "Bay, left", "L", string(s), "at_work")
			p.Person = "Ada"
			lane.AtWork = []views.Piece{p}
		}
		if i == 1 {
			lane.More = 7
		}
		lanes = append(lanes, lane)
	}
	return lanes
}

func usd(minor int64) *billing.Money { return &billing.Money{Minor: minor, Currency: "USD"} }

func orderPage() order.Page {
	step := func(name, value string) workup.Step {
		return workup.Step{Name: name, Value: measure.Read(value), Formula: "page.order.as_given", Inputs: []workup.Input{{Name: "pleats", Value: measure.OfCount(19)}}}
	}
	row := func(name string, values ...string) views.NumberRow {
		r := views.NumberRow{Name: name, Same: len(values) == 1}
		for i, v := range values {
			s := step(name, v)
			r.Values = append(r.Values, views.PanelValue{Panel: []string{"L", "R"}[i], Value: measure.Read(v), Trail: &s})
		}
		return r
	}
	window := order.Window{Told: true, Name: "Bay, left", Room: "14", Heading: "cartridge-tape", Quantity: 2, Panels: []string{"L", "R"},
		Groups: []order.Group{
			{Name: "finished", Rows: []views.NumberRow{row("finished_width", "48.5in"), row("deviation", "0in")}},
			{Name: "heading", Rows: []views.NumberRow{row("pleats", "19"), row("flat_width", "124.5in"), row("pleat_positions", "3.75in 10.25in 16.75in 23.25in 29.75in 36.25in 42.75in")}},
			{Name: "cloth", Rows: []views.NumberRow{row("widths", "2.5"), row("seams", "21.375in 74.375in", "50.125in 103.125in")}},
		},
		Drawings: []views.Drawing{openTicket(stations.Ready, stations.Office).Drawing}}
	return order.Page{
		Frame: frame("/orders/SMI-014", stations.Office), ID: "SMI-014", Customer: "Saltmarsh Inn", Sidemark: "Floor 1, room 14",
		Due: "2026-12-18", State: stations.OrderTaken, Revision: 1, Windows: []order.Window{window},
		Cloth: []views.ClothRow{{Name: "reed", Use: "use.face", Count: 5, Length: measure.Read("607.5in"), ToOrder: measure.Read("17.25yd"), OnBolts: measure.Read("1440in")},
			{Name: "cart-4", Use: "page.order.tape", Count: 2, Length: measure.Read("256.5in"), ToOrder: measure.Read("263in")}},
		Problems: []engine.Problem{{Severity: engine.Warning, Code: "test", Key: "page.order.incomplete"}},
	}
}

func uploaded() *views.Uploaded {
	return &views.Uploaded{Source: "order: SMI-014\nunits: inn\n", Errors: 1, Lines: []views.SourceLine{
		{Number: 1, Text: "order: SMI-014"},
		{Number: 2, Text: "units: inn", Problems: []engine.Problem{{Severity: engine.Error, Code: "test", Key: "page.order.incomplete", Line: 2}}},
	}}
}

func billed(number string) *invoice.Document {
	return &invoice.Document{Draft: "D-1", Number: number, Customer: "Saltmarsh Inn", Currency: "USD", Drafted: time.Date(2026, 12, 16, 9, 0, 0, 0, time.UTC),
		Lines: []invoice.Line{{Ticket: "7K3M9Q2T5", Order: "SMI-014", Window: "Bay, left", Room: "14", Panel: "L", Heading: "cartridge-tape", Widths: 5, Amount: usd(8500)}}}
}

func rulesPage() rules.Page {
	return rules.Page{Frame: frame("/orders/SMI-014/rules", stations.Office), ID: "SMI-014", Fabrics: []string{"reed", "sateen"},
		Conventions: []rules.Convention{{Name: "convention.repeat_rule", Rules: []rules.Row{
			{Name: "convention.repeat_rule.whole_repeats", InForce: true, ToOrder: []rules.Ordered{{Length: measure.Read("17.25yd")}, {Length: measure.Read("13.875yd")}}},
			{Name: "convention.repeat_rule.add_one", ToOrder: []rules.Ordered{{Length: measure.Read("17.75yd")}, {}}, Incomplete: true},
		}}}}
}
