package paper

import (
	"strings"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"

	"tablehand/views/i18n"
)

// smallest is the least size of any text on a ticket, in points: it is read at a table, with work in both hands.
const smallest = 8.0

// canvas draws on one label of a sheet. Every coordinate and size is in points from the label's top left corner;
// text stands on its baseline.
type canvas struct {
	pdf  *fpdf.Fpdf
	say  *i18n.Printer
	x, y float64 // of the label on the sheet
	// watch, where it is set, hears of every text with its size and box on the sheet.
	watch func(text string, size, x, y, width, height float64)
}

// face is a weight and a size of the one family that tickets are set in.
type face struct {
	bold bool
	size float64
}

func plain(size float64) face { return face{size: size} }
func bold(size float64) face  { return face{bold: true, size: size} }

const family = "ticket"

func addFaces(p *fpdf.Fpdf) {
	p.AddUTF8FontFromBytes(family, "", dejavusanscondensed.TTF)
	p.AddUTF8FontFromBytes(family, "B", dejavusanscondensedbold.TTF)
}

func (c *canvas) use(f face) {
	style := ""
	if f.bold {
		style = "B"
	}
	c.pdf.SetFont(family, style, f.size)
}

func (c *canvas) width(f face, text string) float64 {
	c.use(f)
	return c.pdf.GetStringWidth(printable(text))
}

// text sets one line.
func (c *canvas) text(x, baseline float64, f face, text string) {
	text = printable(text)
	if text == "" {
		return
	}
	c.use(f)
	c.pdf.Text(c.x+x, c.y+baseline, text)
	if c.watch != nil {
		c.watch(text, f.size, c.x+x, c.y+baseline-ascent*f.size, c.pdf.GetStringWidth(text), (ascent+descent)*f.size)
	}
}

// ascent and descent of the face's lettering, accents and tails included, in parts of its size (DejaVu Sans: cap
// height 0.73 with room for an accent, and its tails).
const (
	ascent  = 0.93
	descent = 0.24
	leading = 1.17 // from a line's baseline to the next
)

// printable leaves out what the face has no glyph for: control characters, and all beyond the basic plane.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), unicode.IsControl(r):
			return ' '
		case r >= 0xFFFE, r == unicode.ReplacementChar, unicode.Is(unicode.Cf, r), unicode.Is(unicode.Co, r):
			return '□'
		}
		return r
	}, text)
}

// fit returns the largest size from f down to least at which a text is no wider than that, and the text, cut with
// an ellipsis where even the least is too wide.
func (c *canvas) fit(f face, least, width float64, text string) (face, string) {
	for ; f.size > least; f.size = max(least, f.size-0.5) {
		if c.width(f, text) <= width {
			return f, text
		}
	}
	return f, c.cut(f, width, text)
}

// cut shortens a text to a width, with an ellipsis where something is lost.
func (c *canvas) cut(f face, width float64, text string) string {
	if c.width(f, text) <= width {
		return text
	}
	letters := []rune(printable(text))
	for len(letters) > 0 && c.width(f, string(letters)+"…") > width {
		letters = letters[:len(letters)-1]
	}
	return strings.TrimRight(string(letters), " ") + "…"
}

// wrap breaks a text into lines of a width, at words where it can, at most that many lines; what is left over is
// cut with an ellipsis. whole reports whether all of it stands there, no word broken.
func (c *canvas) wrap(f face, width float64, most int, text string) (lines []string, whole bool) {
	words := strings.Fields(printable(text))
	whole = true
	for len(words) > 0 {
		if len(lines) == most-1 {
			rest := strings.Join(words, " ")
			last := c.cut(f, width, rest)
			return append(lines, last), whole && last == rest
		}
		n := 1
		for n < len(words) && c.width(f, strings.Join(words[:n+1], " ")) <= width {
			n++
		}
		line := strings.Join(words[:n], " ")
		words = words[n:]
		if c.width(f, line) > width { // one word, wider than the line
			whole = false
			letters := []rune(line)
			k := len(letters)
			for k > 1 && c.width(f, string(letters[:k])) > width {
				k--
			}
			line = string(letters[:k])
			words = append([]string{string(letters[k:])}, words...)
		}
		lines = append(lines, line)
	}
	return lines, whole
}

// wrapFit is wrap at the largest size from f down to least at which no word is lost or broken.
func (c *canvas) wrapFit(f face, least, width float64, most int, text string) (face, []string) {
	for {
		lines, whole := c.wrap(f, width, most, text)
		if whole || f.size <= least {
			return f, lines
		}
		f.size = max(least, f.size-0.5)
	}
}

// lines sets lines one under another, the first hanging from top, and returns where the last one ends.
func (c *canvas) lines(x, top float64, f face, lines []string) float64 {
	for _, l := range lines {
		c.text(x, top+ascent*f.size, f, l)
		top += leading * f.size
	}
	return top
}

func (c *canvas) rule(x1, y1, x2, y2, width float64) {
	c.pdf.SetLineWidth(width)
	c.pdf.Line(c.x+x1, c.y+y1, c.x+x2, c.y+y2)
}

func (c *canvas) box(x, y, w, h, width float64) {
	c.pdf.SetLineWidth(width)
	c.pdf.Rect(c.x+x, c.y+y, w, h, "D")
}

func (c *canvas) block(x, y, w, h float64) {
	c.pdf.SetFillColor(0, 0, 0)
	c.pdf.Rect(c.x+x, c.y+y, w, h, "F")
}
