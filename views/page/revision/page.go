// Package revision is the page of what a new file would change on the floor.
package revision

import (
	"embed"
	"reflect"
	"slices"

	"tablehand/engine"
	"tablehand/stations"
	"tablehand/views"
)

// Page shows what a new file would change on an order's tickets, before anybody says yes to it.
type Page struct {
	views.Frame
	ID             string
	From, Revision int    // the file's revision as it is, and as it would be
	Source         string // the new file
	Changes        []views.TicketChange
	Added, Dropped []views.Piece
	Reprints       []views.Piece         // whose paper it would make old
	Short, Mixed   []string              // fabrics whose cloth doesn't suffice, or only from several lots
	Shared         []string              // orders that name the same bolts
	Held           []*stations.ClothHold // cutting tickets that their cloth would hold
	Problems       []engine.Problem
	BringUp        bool  // the order would be brought up to the shop's conventions of today, by the file that it has
	Ways           []Way // which those are
	Answer         *views.Answer
	Reason         string // typed with a refused try
}

// Way is a convention or a tolerance that the order would be worked up with otherwise.
type Way struct {
	Kind, Name string // of the catalogue: convention, entry
	Heading    string // whose own it is, "" of others
	Words      string // what the catalogue has the words under that From and To are, "" of none
	Own        bool   // they are a text of the shop's own
	From, To   string // "" none
}

// Value is one of the way's values as it is shown.
func (w Way) Value(text string) Value { return Value{text, w.Words, w.Own} }

// Value is what a way is, by what it is written.
type Value struct {
	Text, Words string
	Own         bool
}

// Group is tickets that change alike.
type Group struct {
	views.TicketChange
	Pieces []views.Piece
}

// Groups are the changes, those that are alike once, in the order of the first of each.
func (p Page) Groups() (groups []Group) {
	for _, c := range p.Changes {
		alike := slices.IndexFunc(groups, func(g Group) bool {
			other := g.TicketChange
			other.Piece = c.Piece
			return reflect.DeepEqual(other, c)
		})
		if alike < 0 {
			groups, alike = append(groups, Group{TicketChange: c}), len(groups)
		}
		groups[alike].Pieces = append(groups[alike].Pieces, c.Piece)
	}
	return groups
}

// NeedsReason reports whether the office has to say why it goes on.
func (p Page) NeedsReason() bool { return len(p.Short)+len(p.Mixed)+len(p.Shared) > 0 }

// Nothing reports whether no ticket is concerned.
func (p Page) Nothing() bool {
	return len(p.Changes)+len(p.Added)+len(p.Dropped)+len(p.Held) == 0
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "revision", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
