// Package order is the page of one order: its numbers with their trails, drawings, cloth, problems and tickets.
package order

import (
	"embed"
	"html/template"
	"slices"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/bolt"
)

// Page shows one order: its numbers with their trails, drawings, cloth, problems and tickets.
type Page struct {
	views.Frame
	ID, Customer, Sidemark, Due string
	Notes                       string
	State                       stations.OrderState
	Late                        bool
	Revision                    int
	Windows                     []Window // kinds of windows: those that are made alike are one
	Kinds                       Part     // of all kinds
	AllWindows                  int
	Others                      []views.PieceLine // pieces that are no panels
	Own                         []views.OwnPiece  // of them that are the customer's
	Find                        string            // a window that was looked for and isn't there
	Cloth                       []views.ClothRow
	Incomplete                  bool // an error left a window out of the cloth
	Problems                    []engine.Problem
	Short                       []views.Shortage // fabrics whose bolts don't do
	Bolts                       []FabricBolts
	Parts                       []plan.BoltPart
	Tickets                     []views.Piece
	Rooms                       []Room           // whose windows can be seen as they will hang: the first few
	MoreRooms                   string           // the page of the next one, which names the others; "" where these are all
	Rod                         []views.RodPlace // where its panels are
	Reprints                    []views.Piece    // whose paper the newest revision has made old
	Paper                       string           // the paper that this browser printed last, of Papers
	Pieces                      Part             // of all tickets
	AllProblems                 bool             // not only the first
	Lacking                     []views.Held     // cuttings that their cloth holds
	Answer                      *views.Answer
	Reason                      string // typed with a refused release
	Asked                       string // what was refused: close, cancel, like
	Like, LikeDue               string // the name proposed for an order like this one, "" for those who take none; and what was typed as its due date
	CutBegun                    bool   // too late to cancel
	Outdated                    bool   // its tickets have numbers of their release that the page has otherwise
	Behind                      int    // conventions and tolerances that it is worked up with otherwise than the shop's of today
	NoCustomer                  bool   // it can't be released as long as it names none
	History                     views.History
}

// FabricBolts are the bolts of a fabric, with where its cuts lie.
type FabricBolts struct {
	Fabric string
	Strips []bolt.Strip
}

// CanRelease reports whether the order can go on the floor.
func (p Page) CanRelease() bool { return p.Office() && p.State == stations.OrderTaken }

// Refused reports whether that was asked for and refused: its form stands open then.
func (p Page) Refused(what string) bool {
	return p.Answer != nil && p.Answer.Refused && p.Asked == what
}

// CanEdit reports whether the order's file can be changed; what that changes on the floor is shown before it is done.
func (p Page) CanEdit() bool {
	return p.Office() && (p.State == stations.OrderTaken || p.State == stations.OrderReleased)
}

// ToCome is how many of the customer's own pieces haven't come in yet.
func (p Page) ToCome() (count int) {
	for _, o := range p.Own {
		if o.Receipt == nil {
			count++
		}
	}
	return count
}

// CanReceive reports whether a piece can be taken in.
func (p Page) CanReceive() bool { return p.Office() && p.State != stations.OrderCancelled }

// CanCancel reports whether the order can still be taken off: before any cut.
func (p Page) CanCancel() bool {
	return p.Office() && (p.State == stations.OrderTaken || p.State == stations.OrderReleased && !p.CutBegun)
}

// CanClose reports whether the order can be ended although it is cut into.
func (p Page) CanClose() bool { return p.Office() && p.State == stations.OrderReleased && p.CutBegun }

// ShortOrMixed reports whether the cloth on hand is short or of mixed lots, which a release has to give a reason for.
func (p Page) ShortOrMixed() bool {
	return slices.ContainsFunc(p.Problems, workup.OfBolts)
}

// SharedBolts are the problems of bolts that other orders name too.
func (p Page) SharedBolts() []engine.Problem {
	return slices.DeleteFunc(slices.Clone(p.Problems), func(p engine.Problem) bool { return p.Code != "bolt_shared" })
}

// Shown are the first of some matters, or all of them.
func (p Page) Shown(matters []Matter) []Matter {
	if p.AllProblems {
		return matters
	}
	return matters[:min(len(matters), problemsAtOnce)]
}

// More is how many of them aren't shown.
func (p Page) More(matters []Matter) int { return len(matters) - len(p.Shown(matters)) }

// OtherProblems are those that the page doesn't ask about in place.
func (p Page) OtherProblems() []engine.Problem {
	if !p.CanRelease() || p.NoCustomer {
		return p.Problems
	}
	return slices.DeleteFunc(slices.Clone(p.Problems), workup.OfBolts)
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "order", HTML: html, Files: []string{"page.html", "window.html"}, Functions: functions}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }

// functions are what only this template calls.
func functions(v *views.Views) template.FuncMap {
	return template.FuncMap{
		"trail":   func(w Window, p views.PanelValue) *Trail { return TrailOf(v, w, p) },
		"step":    func(s workup.Step) *Trail { return TrailOf(v, Window{}, views.PanelValue{Value: s.Value, Trail: &s}) },
		"matters": func(problems []engine.Problem, urgent bool) []Matter { return mattersOf(v, problems, urgent) },
		"papers":  Papers,
		"span":    spanOf,
	}
}
