// Package elevation is the page of a room: its windows as they will hang, for the client.
package elevation

import (
	"embed"
	"net/url"
	"strconv"

	"tablehand/views"
)

// Page shows a room of an order, or a part of one of very many windows. Nothing of prices, of people and of the floor is on it.
type Page struct {
	views.Frame
	ID, Room string // Room "" of windows that name none
	Drawing  views.Drawing
	Said     []Said
	Part     Part
	Others   []string // the order's other rooms
}

// Said is what is drawn, in words, of windows that hang alike.
type Said struct {
	Names []string // of the windows
	Words []string // sentences
}

// Part is which of the room's windows the page shows, counted from 1.
type Part struct{ First, Last, Total int }

// windowsAtOnce is what a page shows of a room; a sheet has all of it. Our own choice, for a phone.
const windowsAtOnce = 20

// PartOf returns the part of a number, from 1, of so many windows, at least one; the nearest that there is.
func PartOf(number, total int) Part {
	last := (total + windowsAtOnce - 1) / windowsAtOnce
	number = max(1, min(number, last))
	return Part{First: (number-1)*windowsAtOnce + 1, Last: min(number*windowsAtOnce, total), Total: total}
}

// Whole reports whether the part is all of the room.
func (p Part) Whole() bool { return p.Last-p.First+1 == p.Total }

// Before and After are the numbers of the parts beside it, 0 for none.
func (p Part) Before() int { return (p.First - 1) / windowsAtOnce }

func (p Part) After() int {
	if p.Last == p.Total {
		return 0
	}
	return p.Last/windowsAtOnce + 1
}

// Path is the address of a room's page.
func Path(order, name string) string {
	return "/orders/" + url.PathEscape(order) + "/room?" + url.Values{"name": {name}}.Encode()
}

// To is the address of another room of the order.
func (p Page) To(name string) string { return Path(p.ID, name) }

// ToPart is the address of another part of the room.
func (p Page) ToPart(number int) string { return p.To(p.Room) + "&page=" + strconv.Itoa(number) }

// Paper is the address of the room as a document on a paper.
func (p Page) Paper(on string) string {
	return "/orders/" + url.PathEscape(p.ID) + "/rooms.pdf?" + url.Values{"paper": {on}, "room": {p.Room}}.Encode()
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "elevation", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
