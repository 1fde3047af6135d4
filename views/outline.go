package views

import (
	"fmt"
	"html/template"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// Outline is a panel's old outline and its new one, one over the other and to one scale, for a revision that changes it.
type Outline struct {
	Name       string         // catalogue changes.outline.<name>
	Dimensions []NumberChange // its width and its length, those that differ
	was, wants [2]measure.Length
}

// outlines are the two ways that a panel has an outline, by the numbers that make it: as it hangs, and as its cloth is cut and
// joined.
var outlines = []struct{ name, width, length string }{
	{"hanging", "finished_width", "finished_length"},
	{"cut", "flat_width", "cut_length"},
}

// OutlinesOf are those outlines of a panel that a revision changes.
func OutlinesOf(was, wants *plan.Ticket) (list []Outline) {
	for _, o := range outlines {
		out := Outline{Name: o.name}
		for i, name := range []string{o.width, o.length} {
			n := NumberChange{Name: name, Was: was.Number(name), Wants: wants.Number(name)}
			out.was[i], out.wants[i] = n.Was.Length(), n.Wants.Length()
			if n.Was != n.Wants {
				out.Dimensions = append(out.Dimensions, n)
			}
		}
		if len(out.Dimensions) > 0 && min(out.was[0], out.was[1], out.wants[0], out.wants[1]) > 0 {
			list = append(list, out)
		}
	}
	return list
}

// outlineSide is how long the longer side of the drawing is, outlineEdge the room for its strokes.
const outlineSide, outlineEdge = 220.0, 3.0

// SVG draws the two: the old one dashed, the new one solid, both from the return edge and the top. What it shows is said beside it.
func (o Outline) SVG() template.HTML {
	width, height := max(o.was[0], o.wants[0]), max(o.was[1], o.wants[1])
	scale := outlineSide / float64(max(width, height))
	rect := func(class string, of [2]measure.Length) string {
		return fmt.Sprintf(`<rect class="%s" x="%g" y="%g" width="%.1f" height="%.1f"/>`, class, outlineEdge, outlineEdge, scale*float64(of[0]), scale*float64(of[1]))
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %.1f %.1f" width="%.0f" height="%.0f" aria-hidden="true" focusable="false">`,
		scale*float64(width)+2*outlineEdge, scale*float64(height)+2*outlineEdge, scale*float64(width)+2*outlineEdge, scale*float64(height)+2*outlineEdge) +
		rect("wants", o.wants) + rect("was", o.was) + `</svg>`)
}
