package views

import (
	"html/template"
)

// Drawing is a panel's flat drawing to scale, as an SVG element; "" where there is none.
type Drawing struct{ SVG string }

// HTML returns the drawing as it stands in a page. It is ours, made from numbers by the paper package.
func (d Drawing) HTML() template.HTML { return template.HTML(d.SVG) }
