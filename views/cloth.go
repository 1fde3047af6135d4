package views

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"tablehand/stations"
)

// marks are the stations' shapes and colours, the published set of Okabe and Ito, "Color Universal Design" (2008),
// that people with any colour vision keep apart. The ink on each reaches 4.5 : 1. The set has eight; a station beyond
// them has a colour again, on another shape. The inserts' is a rolled tube; no shape may be an upright cross, for in red, as on
// this one's ground, that is a protected emblem.
var marks = map[stations.Station]struct{ shape, fill, ink string }{
	stations.Cutting:  {`<circle cx="16" cy="16" r="14"/>`, "#e69f00", "#000"},
	stations.Joining:  {`<rect x="3" y="3" width="26" height="26"/>`, "#56b4e9", "#000"},
	stations.Fold:     {`<polygon points="16,1 31,29 1,29"/>`, "#009e73", "#000"},
	stations.Tape:     {`<polygon points="16,4 32,16.5 16,29 0,16.5"/>`, "#f0e442", "#000"},
	stations.PullUp:   {polygon(5, 15.5, 15.5), "#0072b2", "#fff"},
	stations.Inserts:  {`<path d="M4 6.5v19a12 5.5 0 0 0 24 0v-19"/><ellipse cx="16" cy="6.5" rx="12" ry="5.5"/><path fill="none" d="M28 6.5a9 4 0 0 1-18 0a6.5 3 0 0 1 13 0a4 1.8 0 0 1-8 0"/>`, "#d55e00", "#000"},
	stations.Pressing: {polygon(6, 15.5, 15.5), "#cc79a7", "#000"},
	stations.Packing:  {polygon(5, 16, 9.5), "#000", "#fff"},
	stations.Heading:  {`<rect x="1" y="7" width="30" height="18" rx="9"/>`, "#e69f00", "#000"},
	stations.Pleating: {`<polygon points="3,3 29,3 22,29 10,29"/>`, "#56b4e9", "#000"},
	stations.Tacking:  {polygon(8, 15.5, 15.5), "#009e73", "#000"},
}

// polygon returns a regular polygon standing on its base, or a star where the inner radius is the smaller.
func polygon(n int, outer, inner float64) string {
	var points []string
	for i := range 2 * n {
		r := outer
		if i%2 == 1 {
			if inner == outer {
				continue
			}
			r = inner
		}
		a := math.Pi * float64(i) / float64(n)
		points = append(points, fmt.Sprintf("%.1f,%.1f", 16+r*math.Sin(a), 16.5-r*math.Cos(a)))
	}
	return `<polygon points="` + strings.Join(points, " ") + `"/>`
}

// mark draws a station's selvedge mark: its place on the way of the work, on its shape. It is decoration beside
// the station's name, so it is hidden from those who listen.
func mark(s stations.Station) template.HTML {
	for i, at := range stations.Stations() {
		if at != s {
			continue
		}
		m := marks[s]
		y, size := 22, 16
		if i >= 9 { // two figures
			size = 13
		}
		switch s {
		case stations.Fold:
			y = 25
		case stations.Inserts:
			y = 27
		case stations.Pleating:
			y = 20
		}
		return template.HTML(fmt.Sprintf(`<svg class="mark mark-%s" viewBox="0 0 32 33" aria-hidden="true" focusable="false">`+
			`<g fill="%s" stroke="#1e1b18" stroke-width="0.75">%s</g>`+
			`<text x="16" y="%d" text-anchor="middle" font-size="%d" font-weight="700" fill="%s">%d</text></svg>`,
			s, m.fill, m.shape, y, size, m.ink, i+1))
	}
	return ""
}

// strip draws a ticket's panel as it hangs: five tubes, and the cloth filled from the heading down as far as the
// work has come. A cutting ticket is a bolt, its cloth rolled.
func strip(p Piece) template.HTML {
	if p.Kind == stations.CuttingTicket {
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
