package paper

import (
	"fmt"
	"html"
	"strings"
)

// QRSVG draws the QR of a text as SVG, dark on white with its quiet zone, one unit a module; label is what a screen
// reader says of it.
func QRSVG(text, label string) (string, error) {
	bitmap, err := modules(text)
	if err != nil {
		return "", err
	}
	var path strings.Builder
	runs(bitmap, func(row, column, length int) { fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", column, row, length, length) })
	side := len(bitmap)
	return fmt.Sprintf(`<svg class="square" viewBox="0 0 %d %d" role="img" aria-label="%s" shape-rendering="crispEdges">`+
		`<rect width="%d" height="%d" fill="#fff"/><path d="%s" fill="#000"/></svg>`, side, side, html.EscapeString(label), side, side, path.String()), nil
}
