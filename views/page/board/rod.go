package board

import (
	"bytes"
	"fmt"
	"html/template"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
)

// Rod is one order on the board.
type Rod struct {
	ID, Customer, Due string // the customer only for those who see the books
	Books, Reads      bool   // whether the one who looks may open the order, and its tickets
	State             stations.OrderState
	Late, AtRisk      bool
	Held, Finished    int
	Panels            int
	Hanging           []Hanging // one for each station
}

// Hanging is what of an order hangs at one station.
type Hanging struct {
	Station plan.Station
	Bundles []Bundle
	More    []views.Piece // beyond the bundles shown, in one pile
	Count   int           // of all its pieces
}

// Bundle is what hangs together: one piece, the two panels of a window, or several panels alike.
type Bundle struct{ Pieces []views.Piece }

// One reports whether the bundle is a single piece.
func (b Bundle) One() bool { return len(b.Pieces) == 1 }

// First is the piece that the bundle is drawn and flagged as.
func (b Bundle) First() views.Piece { return b.Pieces[0] }

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
		if p.Window != b.Pieces[0].Window {
			return ""
		}
	}
	return b.Pieces[0].Window
}

// mostBundles is how many bundles hang at one station of a rod before the rest lie in a pile.
const mostBundles = 6

// Hang hangs pieces of one order at a station, in their order. Panels of a window that are ready, or wait, and have
// nothing to tell them apart are a bundle, and so are all that wait for their cloth; what is at work or held hangs by itself, or with its mate.
func Hang(station plan.Station, pieces []views.Piece) Hanging {
	h := Hanging{Station: station, Count: len(pieces)}
	at := map[likeness]int{}
	for _, p := range pieces {
		key := likenessOf(p)
		if i, ok := at[key]; ok {
			h.Bundles[i].Pieces = append(h.Bundles[i].Pieces, p)
			continue
		}
		at[key] = len(h.Bundles)
		h.Bundles = append(h.Bundles, Bundle{[]views.Piece{p}})
	}
	if len(h.Bundles) > mostBundles {
		for _, b := range h.Bundles[mostBundles-1:] {
			h.More = append(h.More, b.Pieces...)
		}
		h.Bundles = h.Bundles[:mostBundles-1]
	}
	return h
}

// likeness is what the pieces of a bundle share.
type likeness struct {
	window, room, fabric string
	state                stations.State
	back, kept           bool
	copy                 int
	code                 plan.Code
}

func likenessOf(p views.Piece) likeness {
	if p.Station == plan.Cutting && p.Waiting() {
		return likeness{state: p.State, kept: len(p.Kept) > 0}
	}
	l := likeness{window: p.Window, room: p.Room, fabric: p.Fabric, state: p.State, back: p.SentBack != nil, kept: len(p.Kept) > 0}
	switch p.State {
	case stations.Ready, stations.Waiting:
	case stations.AtWork:
		l.copy = p.Copy
	default:
		l.code = p.Code
	}
	return l
}

// Render writes the rod, so that it can be kept while its order doesn't change.
func (r Rod) Render(v *views.Views) (template.HTML, error) {
	var b bytes.Buffer
	if err := v.RenderPart(&b, &board, "rod", r); err != nil {
		return "", err
	}
	return template.HTML(b.String()), nil
}

// hung draws a bundle with the board's own drawings (see the sprite in its page): thousands hang there, so each
// only says which of them it is and how far its cloth is filled.
func hung(b Bundle) template.HTML {
	p := b.First()
	if p.IsCutting() {
		return `<svg class="strip" viewBox="0 0 26 44" aria-hidden="true"><use href="#bolt"/></svg>`
	}
	done := 0
	if p.Of > 0 {
		done = 42 * p.Done / p.Of
	}
	one := fmt.Sprintf(`<rect width="24" height="%d" x="1" y="1"/><use href="#panel"/>`, done)
	if len(p.Kept) > 0 { // the order was changed: the sign for unequal
		one += `<use href="#unequal"/>`
	}
	if b.Pair() {
		return template.HTML(`<svg class="strip pair" viewBox="0 0 50 44" aria-hidden="true">` + one + `<g transform="translate(24)">` + one + `</g></svg>`)
	}
	return template.HTML(`<svg class="strip" viewBox="0 0 26 44" aria-hidden="true">` + one + `</svg>`)
}

// opened names each piece of a bundle, and leads to it where the tickets may be read. It is written without a template, since
// there are thousands on a board.
func opened(v *views.Views, pieces []views.Piece, reads bool) template.HTML {
	b := []byte(`<span class="opened">`)
	for _, p := range pieces {
		b = append(b, `<a`...)
		if reads {
			b = append(b, ` href="/t/`...)
			b = append(b, template.URLQueryEscaper(string(p.Code))...)
			b = append(b, '"')
		}
		b = append(b, '>')
		b = append(b, template.HTMLEscapeString(v.PieceName(p))...)
		b = append(b, `</a>`...)
	}
	return template.HTML(append(b, `</span>`...))
}
