// Package screen is the shop screen on the wall.
package screen

import (
	"embed"

	"tablehand/stations/plan"
	"tablehand/views"
)

// Page is the shop screen on the wall: read from 4 m, touched by nobody. Its figures count what people hold in
// their hands: panels, and cloth to cut. Late and due soon are those that are at a station, not those still uncut.
type Page struct {
	views.Frame
	Zone   string // of the shop's clock, an IANA name; "" for that of the screen itself
	Lanes  []Lane // those that the work passes, in its order; none where nothing is on the floor
	Late   int
	AtRisk int
	Held   int
	Done   int // steps finished today, at all stations
}

// Lane is one station's day on the wall.
type Lane struct {
	Station plan.Station
	AtWork  []views.Piece
	Queue   []views.Piece // ready and held: late first, then due soon, then by due date
	More    int           // waiting beyond those shown; none of them is late, due soon or held

	Late, AtRisk int // of those here
	Done         int // steps finished here today
}

// WallQueue is how many pieces of a station's queue the shop screen shows beside those that are late, due soon or held:
// what is done next, not the whole of a long week.
const WallQueue = 8

// Waiting counts the queue, also what isn't shown of it.
func (l Lane) Waiting() int { return len(l.Queue) + l.More }

// Working groups what is at work.
func (l Lane) Working() []Hung { return hang(l.AtWork) }

// Rank is what of a queue is alike in how soon it is wanted.
type Rank struct {
	Late, AtRisk bool // neither: the rest
	Hung         []Hung
}

// Ranks groups the queue, which is sorted by them.
func (l Lane) Ranks() []Rank {
	var ranks []Rank
	from := 0
	for i, p := range l.Queue {
		if i+1 == len(l.Queue) || l.Queue[i+1].Late != p.Late || l.Queue[i+1].AtRisk != p.AtRisk {
			ranks = append(ranks, Rank{p.Late, p.AtRisk, hang(l.Queue[from : i+1])})
			from = i + 1
		}
	}
	return ranks
}

// Hung is what hangs on the wall under one name: a panel, or both of a window that stand alike, so that a pair hangs
// as a pair.
type Hung struct {
	views.Piece // what is said of all
	Panels      []views.Piece
}

// hang groups pieces that follow each other and differ by nothing but their side.
func hang(pieces []views.Piece) []Hung {
	var all []Hung
	for _, p := range pieces {
		if n := len(all); n > 0 && len(all[n-1].Panels) == 1 && alike(all[n-1].Piece, p) {
			all[n-1].Panels = append(all[n-1].Panels, p)
			continue
		}
		all = append(all, Hung{p, []views.Piece{p}})
	}
	return all
}

// alike reports whether two panels are of one window, and one name, order, person and state can be told of both.
func alike(a, b views.Piece) bool {
	return !a.IsCutting() && !b.IsCutting() && a.Panel != b.Panel &&
		a.Order == b.Order && a.Window == b.Window && a.Room == b.Room && a.Copy == b.Copy &&
		a.Person == b.Person && a.State == b.State && (a.SentBack == nil) == (b.SentBack == nil) && (len(a.Kept) == 0) == (len(b.Kept) == 0)
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "screen", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
