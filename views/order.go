package views

import (
	"io"
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations"
)

// OrderPage shows one order: its numbers with their trails, drawings, cloth, problems and tickets.
type OrderPage struct {
	Frame
	ID, Customer, Sidemark, Due string
	Notes                       string
	State                       stations.OrderState
	Late                        bool
	Revision                    int
	Windows                     []Window
	Cloth                       []ClothRow
	Incomplete                  bool // an error left a window out of the cloth
	Problems                    []engine.Problem
	Short                       []Shortage // fabrics whose bolts don't do
	Parts                       []stations.BoltPart
	Tickets                     []Piece
	Lacking                     []Held // cuttings that their cloth holds
	Said                        *Said
	Reason                      string // typed with a refused release
	Asked                       string // what was refused: close, cancel
	CutBegun                    bool   // too late to cancel
	Outdated                    bool   // its tickets have numbers of their release that the page has otherwise
	NoCustomer                  bool   // it can't be released as long as it names none
	History                     History
}

// CanRelease reports whether the order can go on the floor.
func (p OrderPage) CanRelease() bool { return p.State == stations.OrderTaken }

// Refused reports whether that was asked for and refused: its form stands open then.
func (p OrderPage) Refused(what string) bool {
	return p.Said != nil && p.Said.Refused && p.Asked == what
}

// CanEdit reports whether the order's file can be changed; what that changes on the floor is shown before it is done.
func (p OrderPage) CanEdit() bool {
	return p.State == stations.OrderTaken || p.State == stations.OrderReleased
}

// CanCancel reports whether the order can still be taken off: before any cut.
func (p OrderPage) CanCancel() bool {
	return p.State == stations.OrderTaken || p.State == stations.OrderReleased && !p.CutBegun
}

// CanClose reports whether the order can be ended although it is cut into.
func (p OrderPage) CanClose() bool { return p.State == stations.OrderReleased && p.CutBegun }

// ShortOrMixed reports whether the cloth on hand is short or of mixed lots, which a release has to give a reason for.
func (p OrderPage) ShortOrMixed() bool {
	return slices.ContainsFunc(p.Problems, workup.OfBolts)
}

// SharedBolts are the problems of bolts that other orders name too.
func (p OrderPage) SharedBolts() []engine.Problem {
	return slices.DeleteFunc(slices.Clone(p.Problems), func(p engine.Problem) bool { return p.Code != "bolt_shared" })
}

// OtherProblems are those that the page doesn't ask about in place.
func (p OrderPage) OtherProblems() []engine.Problem {
	if !p.CanRelease() || p.NoCustomer {
		return p.Problems
	}
	return slices.DeleteFunc(slices.Clone(p.Problems), workup.OfBolts)
}

// ClothRow is one line of what the order takes: a fabric, a tape, buckram or thread.
type ClothRow struct {
	Name                     string
	Height                   measure.Quantity // of buckram, which has no name
	Drop                     measure.Quantity // of hooks, below the top
	Use                      string           // catalogue key of what it is for
	Count                    int              // of cuts or pieces, 0 where none are counted
	Length, ToOrder, OnBolts measure.Quantity
	BoltLength, BoltsComeTo  measure.Quantity // of a usual bolt where it is known, and of all of them that would do
	Bolts                    int              // that would do, 0 where a cut is longer than one holds
	Cones                    int              // of thread, 0 where it isn't known what a cone holds
}

// Order renders an order's page.
func (v *Views) Order(w io.Writer, p OrderPage) error { return v.render(w, "order", p) }

// ClothOf lists what an order takes: fabrics, tapes, buckram and thread.
func ClothOf(w *workup.Workup) []ClothRow {
	units := w.Order.Units
	var rows []ClothRow
	for _, f := range w.Totals.Fabrics {
		row := ClothRow{Name: f.Fabric, Use: "use." + string(f.Use), Count: f.Cuts, Length: measure.OfLength(f.Length, units), ToOrder: measure.OfLength(f.ToOrder, clothUnit(units))}
		if f.OnBolts != nil {
			row.OnBolts = measure.OfLength(*f.OnBolts, units)
		}
		if row.Bolts = f.Bolts; f.BoltLength > 0 {
			row.BoltLength, row.BoltsComeTo = measure.OfLength(f.BoltLength, clothUnit(units)), measure.OfLength(f.BoltsComeTo, clothUnit(units))
		}
		rows = append(rows, row)
	}
	for _, t := range w.Totals.Tape {
		rows = append(rows, ClothRow{Name: t.Tape, Use: "page.order.tape", Count: t.Pieces, Length: measure.OfLength(t.Used, units), ToOrder: measure.OfLength(t.ToOrder, units)})
	}
	for _, b := range w.Totals.Buckram {
		rows = append(rows, ClothRow{Height: measure.OfLength(b.Height, units), Use: "page.order.buckram", Count: b.Pieces, Length: measure.OfLength(b.Length, units)})
	}
	for _, t := range w.Totals.Thread {
		rows = append(rows, ClothRow{Use: "page.order.thread", Length: measure.OfLength(t.Length, units), Cones: t.Cones})
	}
	for _, h := range w.Totals.Hooks {
		rows = append(rows, ClothRow{Drop: measure.OfLength(h.Drop, units), Use: "page.order.hooks", Count: h.Count})
	}
	if w.Totals.Weights > 0 {
		rows = append(rows, ClothRow{Use: "page.order.weights", Count: w.Totals.Weights})
	}
	if w.Totals.WeightCord > 0 {
		rows = append(rows, ClothRow{Use: "page.order.weight_cord", Length: measure.OfLength(w.Totals.WeightCord, units)})
	}
	return rows
}

// clothUnit is the unit that cloth is ordered in.
func clothUnit(order measure.Unit) measure.Unit {
	if order.Metric() {
		return measure.M
	}
	return measure.Yd
}

// Window is one treatment worked out.
type Window struct {
	Index    int
	Name     string
	Room     string
	Heading  string
	Quantity int
	Panels   []string // their ids: L and R, or S
	Groups   []Group
	Drawings []Drawing
	Told     bool     // with how each number came about
	Sum      *HangSum // of a finished length that was asked from the floor
}

// Group is a run of a window's numbers that belong together.
type Group struct {
	Name string // catalogue: page.order.group.<name>
	Rows []NumberRow
}

// NumberRow is one number of every panel of a window. Same is set where they all agree, as a pair's mostly do.
type NumberRow struct {
	Name   string
	Same   bool
	Values []PanelValue
}

// PanelValue is one panel's number and how it came about.
type PanelValue struct {
	Panel string
	Value measure.Quantity
	Trail *workup.Step
}

// WindowOf shows a treatment of a work-up; the drawings are the caller's to add.
func WindowOf(t workup.Treatment) Window {
	w := Window{Index: t.Index, Name: t.Window, Room: t.Room, Heading: string(t.Heading), Quantity: t.Quantity}
	rows := map[string]*NumberRow{}
	for i := range t.Panels {
		p := &t.Panels[i]
		w.Panels = append(w.Panels, string(p.ID))
		for _, n := range p.Values() {
			if rows[n.Name] == nil {
				rows[n.Name] = &NumberRow{Name: n.Name}
			}
			rows[n.Name].Values = append(rows[n.Name].Values, PanelValue{string(p.ID), n.Value, trail(p, n.Name)})
		}
	}
	for _, name := range workup.Groups() {
		group := Group{Name: string(name)}
		for _, n := range workup.Numbers() {
			if row := rows[n.Key]; row != nil && n.Group == name {
				row.Same = row.same(len(t.Panels))
				group.Rows = append(group.Rows, *row)
			}
		}
		if len(group.Rows) > 0 {
			w.Groups = append(w.Groups, group)
		}
	}
	return w
}

// same reports whether all panels of a window have the number, and alike.
func (r *NumberRow) same(panels int) bool {
	return len(r.Values) == panels && !slices.ContainsFunc(r.Values, func(v PanelValue) bool { return v.Value != r.Values[0].Value })
}

func trail(p *workup.Panel, name string) *workup.Step {
	for i := range p.Trail {
		if p.Trail[i].Name == name {
			return &p.Trail[i]
		}
	}
	return nil
}
