package paper

import (
	"fmt"
	"html"
	"io"
	"strings"

	"github.com/skip2/go-qrcode"

	"tablehand/stations/plan"
)

// TicketURL is what a ticket's QR holds. Upper case keeps the symbol small (alphanumeric mode); hosts and our paths
// read the same in any case.
func TicketURL(address string, code plan.Code) string {
	return strings.ToUpper(strings.TrimRight(address, "/")) + "/T/" + string(code)
}

// EnterURL is what the QR by which a device is let in holds.
func EnterURL(address string, code plan.Code) string {
	return strings.ToUpper(strings.TrimRight(address, "/")) + "/ENTER/" + string(code)
}

// modules returns the symbol of a text with its quiet zone of 4 modules, at level Q (25 % may be lost): for screens.
func modules(text string) ([][]bool, error) { return bitmapOf(text, qrcode.High) }

// sturdyVersion is the least that goes on paper: of a smaller symbol a blot over a tenth touches too many of the few
// codewords (measured: at version 1 half of such codes were lost, at version 4 none).
const sturdyVersion = 4

// sturdy is modules at level H (30 % may be lost), for paper that goes over a workroom's floor.
func sturdy(text string) ([][]bool, error) {
	if q, err := qrcode.NewWithForcedVersion(text, sturdyVersion, qrcode.Highest); err == nil {
		return q.Bitmap(), nil
	}
	return bitmapOf(text, qrcode.Highest) // needs a larger one
}

func bitmapOf(text string, level qrcode.RecoveryLevel) ([][]bool, error) {
	q, err := qrcode.New(text, level)
	if err != nil {
		return nil, fmt.Errorf("paper: QR of %d characters: %w", len(text), err)
	}
	return q.Bitmap(), nil
}

// runs calls f for every dark run of modules: row, first column, and how many.
func runs(bitmap [][]bool, f func(row, column, length int)) {
	for r, row := range bitmap {
		for c := 0; c < len(row); {
			if !row[c] {
				c++
				continue
			}
			end := c
			for end < len(row) && row[end] {
				end++
			}
			f(r, c, end-c)
			c = end
		}
	}
}

// QRTerminal draws the QR of a text with half blocks, dark on a light ground whatever the terminal's colours are.
func QRTerminal(w io.Writer, text string) error {
	bitmap, err := modules(text)
	if err != nil {
		return err
	}
	dark := func(r, c int) bool { return r < len(bitmap) && bitmap[r][c] }
	var b strings.Builder
	for r := 0; r < len(bitmap); r += 2 {
		b.WriteString("\x1b[30;107m")
		for c := range bitmap[r] {
			switch {
			case dark(r, c) && dark(r+1, c):
				b.WriteRune('█')
			case dark(r, c):
				b.WriteRune('▀')
			case dark(r+1, c):
				b.WriteRune('▄')
			default:
				b.WriteByte(' ')
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	_, err = io.WriteString(w, b.String())
	return err
}

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
