package shelf

import (
	"html/template"
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views"
)

// BoltPage is a bolt: what it is, where it lies and what is left of it, what the likeliest thing to do with it is, and folded under that
// everything else that may be done with it or has been.
type BoltPage struct {
	views.Frame
	Bolt
	Key          string // of its cloth
	Hold         string
	Width        measure.Quantity
	Repeat       measure.Quantity
	Received     string // civil date
	Piece        string
	Parent       plan.Code
	OnTable      []Promise // tickets that have it there
	CutFor       []Promise // others that were cut from it and are still at work
	New          plan.Code // a remnant that was taken off just now
	Points       int
	Per100       string
	Metric       string
	Flaws        []shelf.Flaw
	Picture      template.HTML
	Off          []Off
	CameOff      []Off // that nobody has called a remnant or scrap
	Account      []Row
	History      []Event
	Counting     bool // a count goes on
	CanTakeBack  bool
	Gone         bool
	CanBeInHands bool // it is here or missing, and not on a table
	Answer       *views.Answer
	Tried        shelf.Action      // that was refused, "" for none: its form stands open with the answer
	Typed        map[string]string // into that form
}

// Off is a stretch that came off.
type Off struct {
	As       shelf.OffKind
	From, To measure.Quantity
	Ticket   plan.Code
	Cut      string
	Bolt     plan.Code
	Width    measure.Quantity // of the half beside a cut, nothing of a whole width
	Long     bool             // so that it is scrapped for a reason
}

// Row is a sum of a bolt's account.
type Row struct {
	Name   string // catalogue: bolt.account.<name>
	Length measure.Quantity
}

// Event is one thing of a bolt's history.
type Event struct {
	At     views.Moment
	Action shelf.Action
	Who    string
	Place  string
	Reason string
	Length measure.Quantity
	New    plan.Code
	Kept   string
}

// May reports whether the page has a form for an act, of the bolt as a whole.
func (p BoltPage) May(act shelf.Action) bool {
	here := p.CanBeInHands && p.State != shelf.Missing
	switch act {
	case shelf.PlaceIt, shelf.Scrap, shelf.GiveBack, shelf.Lose:
		return here
	case shelf.Find:
		return p.State == shelf.Missing
	case shelf.CountBolt:
		return p.Counting && !p.Gone
	case shelf.HoldBolt:
		return p.Hold == "" && !p.Gone
	case shelf.FreeBolt:
		return p.Hold != "" && !p.Gone && p.Office()
	case shelf.Keep:
		return here && p.KeptFor == "" && p.Office()
	case shelf.Unkeep:
		return p.KeptFor != ""
	case shelf.ReleaseCloth:
		return p.Customers && !p.Gone && p.Office()
	}
	return false
}

// Opens reports whether the form of one of the acts was refused.
func (p BoltPage) Opens(acts ...shelf.Action) bool {
	return p.Typed["from"] == "" && slices.Contains(acts, p.Tried) && p.May(p.Tried)
}

// Leaves is Opens of the ways off the shelf, which share a form.
func (p BoltPage) Leaves() bool { return p.Opens(shelf.Lose, shelf.GiveBack, shelf.Scrap) }

// OpensOff reports whether the form of a stretch that came off was refused.
func (p BoltPage) OpensOff(off Off) bool {
	return p.Tried != "" && p.Typed["from"] == off.From.String()
}

// AtForm reports whether the answer stands in the form that was refused, rather than on top.
func (p BoltPage) AtForm() bool {
	return p.Opens(p.Tried) || slices.ContainsFunc(p.CameOff, p.OpensOff)
}

// Was is what was typed into a field of an act that was refused, else what usually stands in it.
func (p BoltPage) Was(field, usual string, acts ...shelf.Action) string {
	if p.Opens(acts...) {
		return p.Typed[field]
	}
	return usual
}

var boltPage = views.Template{Name: "bolt", HTML: html, Files: []string{"bolt.html", "bolts.html"}}

// Template is how the page is written.
func (BoltPage) Template() *views.Template { return &boltPage }
