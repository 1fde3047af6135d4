package board

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"

	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
)

// Rod is one order on the board.
type Rod struct {
	ID, Customer, Due string // the customer only for those who see the books
	Sidemark          string // "" where it isn't shown
	Today             string
	Books, Reads      bool // whether the one who looks may open the order, and its tickets
	State             stations.OrderState
	Late, AtRisk      bool
	Held, Finished    int
	Panels            int
	Hanging           []Hanging // one for each station
}

// Hanging is what of an order hangs at one station.
type Hanging struct {
	Station plan.Station
	Label   template.HTML // the station's mark and name, which stand over it where there is no head
	Bundles []Bundle
	Count   int // of all its pieces
}

// Bundle is what hangs together: one piece, the two panels of a window, or several panels alike.
type Bundle struct{ Pieces []*views.Piece }

// First is the piece that the bundle is drawn and flagged as.
func (b Bundle) First() *views.Piece { return b.Pieces[0] }

// Pair reports whether the bundle has both panels of a window.
func (b Bundle) Pair() bool {
	return len(b.Pieces) > 1 && b.Pieces[0].Panel != b.Pieces[1].Panel && b.Window() != ""
}

// Stack returns how many there are where the drawing can't show it, 0 where it does.
func (b Bundle) Stack() int {
	if len(b.Pieces) > 2 || len(b.Pieces) == 2 && !b.Pair() {
		return len(b.Pieces)
	}
	return 0
}

// Window is the window that all of the bundle hang at, "" where there are several.
func (b Bundle) Window() string {
	for _, p := range b.Pieces {
		if p.Window != b.Pieces[0].Window || p.Copy != b.Pieces[0].Copy {
			return ""
		}
	}
	return b.Pieces[0].Window
}

// mostAcross is how many panels hang beside each other at one station of a rod; where there are more, all that are in one
// state are a bundle.
const mostAcross = 3

// Hang hangs pieces of one order at a station, in their order. Panels of a window that stand alike hang as a pair, as do all that wait
// for their cloth; where that is too many, so do all that stand alike.
func Hang(station plan.Station, pieces []*views.Piece) Hanging {
	h := Hanging{Station: station, Count: len(pieces), Bundles: bundled(pieces, true)}
	across := 0
	for _, b := range h.Bundles {
		across++
		if b.Pair() {
			across++
		}
	}
	if across > mostAcross {
		h.Bundles = bundled(pieces, false)
	}
	return h
}

// likeness is what the pieces of a bundle share.
type likeness struct {
	window, room, fabric string
	kind                 plan.Kind
	state                stations.State
	back, kept           bool
	copy                 int
}

func bundled(pieces []*views.Piece, byWindow bool) (all []Bundle) {
	keys := make([]likeness, 0, len(pieces))
	for _, p := range pieces {
		key := likeness{kind: p.Kind, state: p.State, back: p.SentBack != nil, kept: len(p.Kept) > 0}
		if byWindow && !(p.Station == plan.Cutting && p.Waiting()) {
			key.window, key.room, key.fabric, key.copy = p.Window, p.Room, p.Fabric, p.Copy
		}
		i := slices.Index(keys, key)
		if i < 0 {
			i = len(all)
			keys, all = append(keys, key), append(all, Bundle{})
		}
		all[i].Pieces = append(all[i].Pieces, p)
	}
	return all
}

// Render writes the rod, so that it can be kept while its order doesn't change. Three hundred are written when a board is first
// asked for, so it is done without a template: whatever somebody has typed goes through text.
func (r Rod) Render(v *views.Views) template.HTML {
	w := &writer{v: v, b: make([]byte, 0, 8<<10)}
	w.raw(`<section class="rod`)
	w.when(r.Late, " is-late")
	w.when(!r.Late && r.AtRisk, " is-risk")
	w.when(r.Held > 0, " is-held")
	w.raw(`" id="rod-`, r.ID, `" aria-labelledby="name-`, r.ID, `"><div class="rod-name"><h2 id="name-`, r.ID, `">`)
	if r.Books {
		w.raw(`<a href="/orders/`, r.ID, `">`, r.ID, `</a></h2>`)
	} else {
		w.raw(r.ID, `</h2>`)
	}
	if r.Panels > 0 {
		w.raw(`<span class="progress">`).text(v.Say.T("board.finished", "Finished", r.Finished, "Panels", r.Panels)).raw(`</span>`)
	}
	for _, whose := range []string{r.Customer, r.Sidemark} {
		if whose != "" {
			w.raw(`<span class="whose">`).text(whose).raw(`</span>`)
		}
	}
	w.raw(`</div><div class="rod-due">`)
	r.due(w)
	w.raw(`</div>`)
	if r.State == stations.OrderTaken {
		return w.raw(`<p class="rod-note soft">`).text(v.Say.T("board.unreleased")).raw(`</p></section>`).html()
	}
	w.raw(`<ol class="hangings">`)
	for _, h := range r.Hanging {
		h.write(w, r.Reads)
	}
	w.raw(`<li class="end`)
	w.when(r.Finished == 0, " bare")
	w.raw(`">`)
	if r.Finished > 0 {
		w.raw(`<span class="ready-made"><span aria-hidden="true">✓</span> `, strconv.Itoa(r.Finished), `<span class="unseen"> `).text(v.Say.T("state.finished")).raw(`</span></span>`)
	}
	return w.raw(`</li></ol></section>`).html()
}

// due says when the order is due, and what is pressing about it.
func (r Rod) due(w *writer) {
	words := w.v.Say.T("page.no_due")
	if r.Due != "" {
		words = w.v.Say.Due(r.Due, r.Today)
	}
	switch {
	case r.Late:
		w.flag("late", "▼", words)
	case r.AtRisk:
		w.flag("risk", "◆", words)
	default:
		w.raw(`<span class="when">`).text(words).raw(`</span>`)
	}
	if r.Held > 0 {
		w.raw(" ").flag("held", "‖", w.v.Say.N("board.held", r.Held))
	}
}

// write draws what hangs at the station. One piece leads to its ticket; several open to the name of each, which does.
func (h Hanging) write(w *writer, reads bool) {
	if h.Count == 0 {
		w.raw(`<li class="bare"></li>`)
		return
	}
	w.raw(`<li><span class="where">`, string(h.Label), ` <span class="soft">`, strconv.Itoa(h.Count), `</span></span>`)
	if h.Count == 1 {
		p := h.Bundles[0].First()
		w.raw(`<a class="hanging"`)
		w.link(p, reads)
		w.raw(`>`)
		h.Bundles[0].draw(w)
		w.raw(`<span class="unseen">`).text(w.v.PieceName(*p)).raw(", ").states(p).raw(`</span></a></li>`)
		return
	}
	w.raw(`<details class="hanging"><summary>`)
	for _, b := range h.Bundles {
		b.draw(w)
	}
	w.raw(`<span class="unseen">`)
	for i, b := range bundled(h.pieces(), false) {
		w.when(i > 0, "; ")
		w.text(w.v.Say.N("board.panels", len(b.Pieces))).raw(", ").states(b.First())
	}
	w.raw(`</span></summary><span class="opened">`)
	for _, p := range h.pieces() {
		w.raw(`<a`)
		w.link(p, reads)
		w.raw(`>`).text(w.v.PieceName(*p)).raw(`</a>`)
	}
	w.raw(`</span></details></li>`)
}

func (h Hanging) pieces() []*views.Piece {
	all := make([]*views.Piece, 0, h.Count)
	for _, b := range h.Bundles {
		all = append(all, b.Pieces...)
	}
	return all
}

// draw draws a bundle with the board's own drawings (see the sprite in its page): which of them it is, how far its cloth is filled,
// and L and R.
func (b Bundle) draw(w *writer) {
	p, n := b.First(), b.Stack()
	w.when(n > 0, `<span class="stacked">`)
	w.raw(`<svg class="strip`)
	w.when(!p.Ready() || p.Late || p.AtRisk, " "+p.Class()) // most are just ready
	switch {
	case p.IsCutting():
		w.raw(`" viewBox="0 0 24 34" aria-hidden="true"><use href="#bolt"/>`)
	case n == 0 && len(b.Pieces) == 2:
		w.raw(` pair" viewBox="0 0 46 34" aria-hidden="true">`)
		w.panel(p, p.Panel)
		w.raw(`<g transform="translate(22)">`)
		w.panel(p, b.Pieces[1].Panel)
		w.raw(`</g>`)
	case n == 0:
		w.raw(`" viewBox="0 0 24 34" aria-hidden="true">`)
		w.panel(p, p.Panel)
	default:
		w.raw(`" viewBox="0 0 24 34" aria-hidden="true">`)
		w.panel(p, "")
	}
	w.raw(`</svg>`)
	if n > 0 {
		w.raw(`<b class="stack" aria-hidden="true">`, strconv.Itoa(n), `</b></span>`)
	}
}

// writer writes a rod.
type writer struct {
	v *views.Views
	b []byte
}

// raw writes what is HTML already: the program's own, and orders' names, which have letters, figures, dots and dashes alone.
func (w *writer) raw(parts ...string) *writer {
	for _, p := range parts {
		w.b = append(w.b, p...)
	}
	return w
}

// text writes what may be anything.
func (w *writer) text(s string) *writer {
	w.b = append(w.b, template.HTMLEscapeString(s)...)
	return w
}

func (w *writer) when(yes bool, html string) {
	if yes {
		w.raw(html)
	}
}

func (w *writer) html() template.HTML { return template.HTML(w.b) }

func (w *writer) flag(class, sign, words string) {
	w.raw(`<span class="flag `, class, `"><span aria-hidden="true">`, sign, `</span> `).text(words).raw(`</span>`)
}

// link leads to a piece's ticket, where tickets may be read.
func (w *writer) link(p *views.Piece, reads bool) {
	if reads {
		w.raw(` href="/t/`, string(p.Code), `"`)
	}
}

// states says what state a piece is in.
func (w *writer) states(p *views.Piece) *writer {
	w.text(w.v.Say.T("state." + string(p.State)))
	if p.SentBack != nil {
		w.raw(", ").text(w.v.Say.T("page.flag.back"))
	}
	if len(p.Kept) > 0 {
		w.raw(", ").text(w.v.Say.T("changes.flag"))
	}
	return w
}

// panel draws a panel of a side, "" for none to be named.
func (w *writer) panel(p *views.Piece, side string) {
	if p.Of > 0 && p.Done > 0 {
		w.b = fmt.Appendf(w.b, `<rect width="22" height="%d"/>`, 32*p.Done/p.Of)
	}
	switch {
	case len(p.Kept) > 0: // the order was changed: the sign for unequal
		w.raw(`<use href="#panel"/><use href="#unequal"/>`)
	case side == string(workup.Left), side == string(workup.Right):
		w.raw(`<use href="#panel-`, side, `"/>`)
	default:
		w.raw(`<use href="#panel"/>`)
	}
}
