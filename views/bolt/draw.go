package bolt

import (
	"fmt"
	"html/template"
	"strings"

	"tablehand/engine/measure"
)

// How a strip is drawn: our own choices.
const (
	narrowest = 0.1  // of a row: what the shortest cut has at least, so that two figures of 16 px stand in it on a phone,
	fewest    = 3    // unless a row then had fewer of the longest: bands are cut beside whole widths
	figure    = 3.7  // of a row, in percent: what one such figure takes on a phone
	room      = 1.5  // percent that a number has beside it
	height    = 44.0 // of the cloth, in px
)

// row is a part of a bolt that is drawn on one line.
type row struct {
	from, to measure.Length
	pieces   []Piece
	broken   bool // the cloth goes on behind it, not to scale
}

// rows breaks a strip into lines, between cuts, so that the shortest cut is wide enough for its number. Plain cloth behind the
// last cut is drawn as far as the last line has room.
func (s Strip) rows() []row {
	whole := s.To - s.From
	shortest, longest := whole, measure.Length(0)
	for _, p := range s.Pieces {
		if p.First != "" {
			shortest, longest = min(shortest, p.To-p.From), max(longest, p.To-p.From)
		}
	}
	width := min(whole, max(measure.Length(float64(shortest)/narrowest), fewest*longest))
	if s.Cuts > mostCuts {
		width = whole
	}
	last, end := row{from: s.From}, s.From
	var list []row
	for _, p := range s.Pieces {
		if p.To > last.from+width && p.From > last.from {
			last.to = min(p.From, max(last.from+width, end))
			last.broken = last.to < p.From
			list, last = append(list, last), row{from: p.From}
		}
		last.pieces, end = append(last.pieces, p), p.To
	}
	last.to = min(s.To, max(last.from+width, s.used(true)))
	last.broken = last.to < s.To
	return append(list, last)
}

// SVG draws the strip, each line as wide as the page has room; its words are the page's. Its letters are of 16 px at every width.
func (s Strip) SVG() template.HTML {
	if s.To <= s.From {
		return ""
	}
	rows := s.rows()
	var widest measure.Length
	for _, r := range rows {
		widest = max(widest, r.to-r.from)
	}
	var b strings.Builder
	for _, r := range rows {
		at := func(l measure.Length) float64 {
			return 100 * float64(min(max(l, r.from), r.to)-r.from) / float64(widest)
		}
		fmt.Fprintf(&b, `<svg class="bolt-row" width="100%%" height="%g" aria-hidden="true" focusable="false">`, height+12)
		box := func(class string, from, to float64) {
			fmt.Fprintf(&b, `<rect class="%s" x="%.2f%%" y="10" width="%.2f%%" height="%g"/>`, class, from, to-from, height)
		}
		box("cloth", 0, at(r.to))
		for _, p := range r.pieces {
			from, to := at(p.From), at(p.To)
			box(p.class(), from, to)
			if p.Promised { // hatched by a broad stroke that is dashed
				fmt.Fprintf(&b, `<line class="promised" x1="%.2f%%" x2="%.2f%%" y1="%g" y2="%[3]g"/>`, from, to, 10+height/2)
			}
			if p.Turned { // the panel's top
				fmt.Fprintf(&b, `<rect class="top" x="%.2f%%" y="12" width="%.2f%%" height="4"/>`, from, to-from)
			}
			if name := p.name(); p.First != "" && to-from >= figure*float64(len([]rune(name)))+room {
				fmt.Fprintf(&b, `<text x="%.2f%%" y="38" text-anchor="middle">%s</text>`, (from+to)/2, template.HTMLEscapeString(name))
			}
		}
		if s.Knife > s.From && s.Knife >= r.from && s.Knife < r.to {
			fmt.Fprintf(&b, `<svg x="%.2f%%" overflow="visible" class="knife"><path d="M0 56V8m-6-8h12l-6 9z"/></svg>`, at(s.Knife))
		}
		end := "end"
		if r.broken {
			end = "end broken"
		}
		if r.to == s.To || r.broken {
			fmt.Fprintf(&b, `<line class="%s" x1="%.2f%%" x2="%.2f%%" y1="6" y2="%g"/>`, end, at(r.to), at(r.to), height+12)
		}
		b.WriteString(`</svg>`)
	}
	return template.HTML(b.String())
}

func (p Piece) class() string {
	switch {
	case p.Gone:
		return "gone"
	case p.Others():
		return "others"
	case p.Flawed():
		return "flaw"
	case p.Done:
		return "cut done"
	case p.Next:
		return "cut next"
	}
	return "cut"
}

// name is what is written on the cloth.
func (p Piece) name() string {
	if p.One() {
		return p.First
	}
	return p.First + "–" + p.Last
}
