package views

import (
	"fmt"
	"html/template"
	"slices"

	"tablehand/stations/plan"
	"tablehand/views/mark"
)

// markOf draws a station's selvedge mark: its number on its shape. It is decoration beside the station's
// name, so it is hidden from those who listen. A station that only an old ledger knows has no number and no colour.
func markOf(s plan.Station) template.HTML { return markSVG(s, markBody(s)) }

// markOnce defines a station's mark for a page that has it many times, in its sprite.
func markOnce(s plan.Station) template.HTML {
	return template.HTML(fmt.Sprintf(`<g id="mark-of-%s">%s</g>`, template.HTMLEscapeString(string(s)), markBody(s)))
}

// MarkAgain draws the mark that the page's sprite defines; a station that it can't have defined is drawn whole.
func MarkAgain(s plan.Station) template.HTML {
	if !slices.Contains(plan.Stations(), s) {
		return markOf(s)
	}
	return markSVG(s, template.HTML(fmt.Sprintf(`<use href="#mark-of-%s"/>`, s)))
}

func markSVG(s plan.Station, body template.HTML) template.HTML {
	return template.HTML(fmt.Sprintf(`<svg class="mark mark-%s" viewBox="0 0 32 33" aria-hidden="true" focusable="false">%s</svg>`,
		template.HTMLEscapeString(string(s)), body))
}

// markBody is what is drawn of a mark, in a box of 32 by 33.
func markBody(s plan.Station) template.HTML {
	shape, known := mark.Of(s)
	paths, middle := shape.Paths(16, 16.25, 31, 29)
	if !known {
		return template.HTML(`<g fill="none" stroke="currentColor" stroke-width="1.5">` + paths + `</g>`)
	}
	colour, _ := mark.ColourOf(s)
	place := plan.Number(s)
	const size = 16 // in the smallest mark 16 px and more, of two figures too
	return template.HTML(fmt.Sprintf(`<g class="on-%s" fill="%s" stroke="#1e1b18" stroke-width="0.75">%s</g>`+
		`<text x="16" y="%.1f" text-anchor="middle" font-size="%d" font-weight="700" fill="%s">%d</text>`,
		plan.MarkOf(s).Colour, colour.Fill, paths, middle+0.36*size, size, colour.Ink, place))
}

// strip draws a ticket's panel as it hangs: five tubes, and the cloth filled from the heading down as far as the
// work has come. A cutting ticket is a bolt, its cloth rolled.
func strip(p Piece) template.HTML {
	if p.Kind == plan.CuttingTicket {
		return `<svg class="strip" viewBox="0 0 26 44" aria-hidden="true" focusable="false">` +
			`<rect class="cloth" x="2" y="9" width="22" height="26" rx="2"/>` +
			`<path class="pleat" d="M2 15h22M2 20h22M2 25h22M2 30h22"/>` +
			`<circle class="done" cx="13" cy="22" r="6"/><circle class="edge" cx="13" cy="22" r="2"/>` +
			`<rect class="edge" x="2" y="9" width="22" height="26" rx="2"/></svg>`
	}
	const height = 42
	done := 0.0
	if p.Of > 0 {
		done = height * float64(p.Done) / float64(p.Of)
	}
	otherwise := ""
	if len(p.Kept) > 0 { // the order was changed: the sign for unequal
		otherwise = `<path class="edge" d="M6 22h14M6 29h14M18 16l-10 19"/>`
	}
	return template.HTML(fmt.Sprintf(`<svg class="strip" viewBox="0 0 26 44" aria-hidden="true" focusable="false">`+
		`<rect class="cloth" x="1" y="1" width="24" height="%d"/><rect class="done" x="1" y="1" width="24" height="%.1f"/>`+
		`<path class="pleat" d="M5 8q1 16-.5 34M9 8q-1 17 .5 34M13 8q1 17-.5 34M17 8q-1 17 .5 34M21 8q1 16-.5 34"/>`+
		`<path class="tubes" d="M3.5 1v6a1.5 1.5 0 0 0 3 0v-6M7.5 1v6a1.5 1.5 0 0 0 3 0v-6M11.5 1v6a1.5 1.5 0 0 0 3 0v-6M15.5 1v6a1.5 1.5 0 0 0 3 0v-6M19.5 1v6a1.5 1.5 0 0 0 3 0v-6"/>`+
		`<rect class="edge" x="1" y="1" width="24" height="%d"/>%s</svg>`, height, done, height, otherwise))
}
