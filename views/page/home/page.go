// Package home is the page that a device begins on.
package home

import (
	"embed"
	"fmt"
	"html/template"
	"net/url"
	"strings"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/views"
)

// Page is where a device begins: the stations with what waits there, and for the office, above them, what needs a
// decision today.
type Page struct {
	views.Frame
	Stations []StationCount
	Fullest  int // tickets at the fullest station
	Orders   int // on the books: taken or released
	Late     int
	Held     int
	Billable int // finished panels that stand on no invoice
	Answer   *views.Answer

	Decide  []views.Held  // measured out of tolerance: the office alone can pass them
	Stopped []views.Held  // held for another reason
	Lacking []views.Held  // cuttings that their cloth holds
	Urgent  []UrgentOrder // late, and then due soon
	Release []Unreleased  // taken and not on the floor, those whose cloth doesn't do first
	Changed []Changed     // made otherwise than the newest file has it
	Bill    []Billable    // finished, by customer
	Next    *UrgentOrder  // the order due next, where nothing presses

	MoreRelease int // taken, beyond those shown

	Left []Left   // cloth of customers of whose orders none is open
	Idle Remnants // that lie unused for long

	Copy *views.SecondPlace // where the daily copies go; nil: the shop names no second place, or this isn't for who asks
}

// Remnants are some remnants of the shelf, and how many more there are.
type Remnants struct {
	List []Remnant
	More int
}

// All is how many there are.
func (r Remnants) All() int { return len(r.List) + r.More }

// Remnant is one of them, or a bolt.
type Remnant struct {
	Code              plan.Code
	Cloth, Lot, Place string
	Half              bool // of the width
	Length            measure.Quantity
}

// Left is what there is of a customer's own cloth.
type Left struct {
	Customer string
	Bolts    []Remnant
}

// StationCount counts the tickets at a station.
type StationCount struct {
	Station             plan.Station
	AtWork, Ready, Held int
}

// All is how many tickets stand there.
func (s StationCount) All() int { return s.AtWork + s.Ready + s.Held }

// Bar draws them to scale, of so many as the fullest station has: at work filled, ready hollow, held dashed. What it shows is
// told beside it in words.
func (s StationCount) Bar(fullest int) template.HTML {
	var b strings.Builder
	b.WriteString(`<svg class="load" width="100%" height="14" aria-hidden="true" focusable="false">`)
	x := 0.0
	for _, part := range []struct {
		class string
		count int
	}{{"work", s.AtWork}, {"ready", s.Ready}, {"held", s.Held}} {
		if wide := 100 * float64(part.count) / float64(max(fullest, 1)); part.count > 0 {
			fmt.Fprintf(&b, `<rect class="%s" x="%.2f%%" y="1" width="%.2f%%" height="12"/>`, part.class, x, wide)
			x += wide
		}
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

// Decisions is how many things on the page wait for the office.
func (p Page) Decisions() int {
	return len(p.Decide) + len(p.Lacking) + len(p.Stopped) + len(p.Release) + len(p.Bill) + len(p.Left)
}

// Nothing reports whether the office has nothing to look at.
func (p Page) Nothing() bool {
	return p.Decisions() == 0 && len(p.Urgent) == 0 && len(p.Changed) == 0
}

// UrgentOrder is an order whose date is past or near, and how many of its panels are where.
type UrgentOrder struct {
	ID, Customer, Due string
	Late, AtRisk      bool
	Taken             bool // not released yet
	Held              int
	Finished, Panels  int
	Rod               []views.RodPlace
}

// Unreleased is an order that is taken and not on the floor.
type Unreleased struct {
	ID, Customer, Due string
	Late, AtRisk      bool
	Short             []views.Shortage // what its cloth lacks
	Shared            []engine.Problem // bolts that another order names too; of neither any where it can be released as it is
	ToCome            int              // customers' own pieces that aren't here yet
	NoCustomer        bool             // it can't be released before it names one
	Typed             string           // the reason, of a try that was refused
}

// Lacks reports whether its bolts don't do for it.
func (o Unreleased) Lacks() bool { return len(o.Short)+len(o.Shared) > 0 }

// OfShelf reports whether what it is short of first comes from the shelf.
func (o Unreleased) OfShelf() bool { return len(o.Short) > 0 && o.Short[0].Cloth != "" }

// EditCloth is the address where its cloth is mended: that of a new bolt of the fabric that is short, or of what helps where the shelf has
// too little.
func (o Unreleased) EditCloth() string {
	switch {
	case o.OfShelf():
		return "/orders/" + url.PathEscape(o.ID) + "/cloth#f-" + url.PathEscape(o.Short[0].Fabric)
	case len(o.Short) > 0:
		return o.Short[0].AnotherBolt(o.ID)
	}
	return "/orders/" + url.PathEscape(o.ID) + "/edit"
}

// Changed is an order of which some panels are made otherwise than its newest file has it.
type Changed struct {
	ID, Customer string
	Pieces       []views.Piece
}

// Billable is what of a customer's can be invoiced.
type Billable struct {
	Customer string
	Panels   []plan.Code
	Orders   []string
	Total    *billing.Money // nil while a price is missing
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "home", HTML: html, Files: []string{"page.html", "matters.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
