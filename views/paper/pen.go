package paper

import (
	"io"
	"math"
	"regexp"
	"strings"
	"sync"
	"time"
	"unicode"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"

	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/paper/pdf"
)

const (
	smallest = 8.0  // points: nothing on a label, tag, card or sheet is set smaller
	leading  = 1.22 // of a line, in sizes of its letters

	ruleWidth = 0.6
)

type point = pdf.Point

type style string

const (
	plain style = ""
	bold  style = "B"
)

// printed is one text as it stands on paper, for the tests that hold paper to its edges.
type printed struct {
	page             int
	text             string
	x, y, width, top float64 // y is the baseline
	size             float64
}

// squareAt is where a QR stands, its quiet zone included, for the tests that read it as a camera would.
type squareAt struct {
	page       int
	x, y, side float64
	module     float64
}

// keepsLog has pens keep what they write, for the tests, which alone set it: a packet writes 200,000 texts.
var keepsLog = false

// pen writes and draws in points.
type pen struct {
	pdf  *pdf.Document
	say  *i18n.Printer
	page int // counts labels, or sheets where no labels are on them
	log  []printed

	squares []squareAt
	symbols map[string]symbol // by text
}

// fonts are those of all paper, read once.
var fonts = sync.OnceValue(func() map[style]*pdf.Font {
	read := func(name string, file []byte) *pdf.Font {
		f, err := pdf.NewFont(name, file)
		if err != nil {
			panic(err) // they are the program's own
		}
		return f
	}
	return map[style]*pdf.Font{plain: read("DejaVuSansCondensed", dejavusanscondensed.TTF), bold: read("DejaVuSansCondensed-Bold", dejavusanscondensedbold.TTF)}
})

// newPen begins a document of a size in points, made at an instant, whose pages go to w one by one.
func newPen(w io.Writer, say *i18n.Printer, size pdf.Size, title string, made time.Time) *pen {
	doc := pdf.New(w, size, pdf.Info{Title: title, Language: say.Language(), Made: made})
	doc.SetLineWidth(ruleWidth)
	return &pen{pdf: doc, say: say, symbols: map[string]symbol{}}
}

// shadeOf is a colour without hue, from 0, black, to 255.
func shadeOf(shade uint8) pdf.Colour { return pdf.Colour{R: shade, G: shade, B: shade} }

// width is that of a text on one line, its fractions set.
func (p *pen) width(text string, size float64, st style) float64 {
	if hasFraction(text) {
		return p.sentence(text, size, st).width
	}
	return p.plainWidth(text, size, st)
}

func (p *pen) plainWidth(text string, size float64, st style) float64 {
	return fonts()[st].Width(printable(text), size)
}

// printable puts a box for what the fonts have no glyph for, all beyond the basic plane, and spaces for characters
// that control rather than show.
func printable(text string) string {
	if isPlain(text) {
		return text
	}
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r):
			return ' '
		case r >= 0xFFFD, unicode.Is(unicode.Co, r):
			return '□'
		}
		return r
	}, text)
}

// isPlain reports whether a text is of visible characters of ASCII, as most on paper are.
func isPlain(text string) bool {
	for i := range len(text) {
		if text[i] < ' ' || text[i] > '~' {
			return false
		}
	}
	return true
}

// text writes at a baseline; the fractions of lengths in it are set as such.
func (p *pen) text(x, y float64, text string, size float64, st style) {
	text = printable(text)
	if hasFraction(text) {
		p.draw(x, y, p.sentence(text, size, st))
	} else {
		p.plainText(x, y, text, size, st)
	}
	if keepsLog {
		p.log = append(p.log, printed{page: p.page, text: text, x: x, y: y, width: p.width(text, size, st), top: y - size, size: size})
	}
}

func (p *pen) plainText(x, y float64, text string, size float64, st style) {
	p.pdf.Text(x, y, text, fonts()[st], size)
}

// right writes a text that ends at x, centre one that has its middle there.
func (p *pen) right(x, y float64, text string, size float64, st style) {
	p.text(x-p.width(text, size, st), y, text, size, st)
}

func (p *pen) centre(x, y float64, text string, size float64, st style) {
	p.text(x-p.width(text, size, st)/2, y, text, size, st)
}

// fit makes a text no wider than room: smaller, down to the smallest size, then shortened with an ellipsis.
func (p *pen) fit(text string, room, size float64, st style) (string, float64) {
	for ; size > smallest && p.width(text, size, st) > room; size -= 0.5 {
	}
	size = max(size, smallest)
	runes := []rune(text)
	for len(runes) > 1 && p.width(text, size, st) > room {
		runes = runes[:len(runes)-1]
		text = strings.TrimRight(string(runes), " ,") + "…"
	}
	return text, size
}

// fitted writes a text on one line of at most room.
func (p *pen) fitted(x, y, room float64, text string, size float64, st style) {
	text, size = p.fit(text, room, size, st)
	p.text(x, y, text, size, st)
}

// wrap breaks a text into lines of at most room, the last of at most most lines shortened where more is left.
func (p *pen) wrap(text string, room, size float64, st style, most int) []string {
	var lines []string
	line := ""
	words := measured(strings.Fields(text))
	for i, w := range words {
		longer := strings.TrimSpace(line + " " + w)
		if line == "" || p.width(longer, size, st) <= room {
			line = longer
			continue
		}
		if len(lines) == most-1 {
			line += " " + strings.Join(words[i:], " ")
			break
		}
		lines = append(lines, line)
		line = w
	}
	if line != "" {
		lines = append(lines, line)
	}
	for i := range lines {
		lines[i], _ = p.fit(lines[i], room, size, st)
	}
	return lines
}

// measurePart is the fraction or the unit that follows the number of a length.
var measurePart = regexp.MustCompile(`^(\d+/\d+|in|yd|mm|cm|m)[.,;:]?$`)

// measured joins the words of a length, "48", "1/2", "in", so that no line ends within it.
func measured(words []string) (whole []string) {
	for _, w := range words {
		if last := len(whole) - 1; last >= 0 && measurePart.MatchString(w) && strings.ContainsAny(whole[last][len(whole[last])-1:], "0123456789") {
			whole[last] += " " + w
			continue
		}
		whole = append(whole, w)
	}
	return whole
}

// lines writes a text over at most most lines from the top y, and returns where the next one begins.
func (p *pen) lines(x, y, room float64, text string, size float64, st style, most int) float64 {
	for _, line := range p.wrap(text, room, size, st, most) {
		line, fitted := p.fit(line, room, size, st)
		p.text(x, y+fitted, line, fitted, st)
		y += fitted * leading
	}
	return y
}

// dashed draws with lines to cut along.
func (p *pen) dashed(draw func()) {
	p.pdf.SetDashed(true)
	draw()
	p.pdf.SetDashed(false)
}

// A QR's modules are whole dots of a 203 dpi label printer, so that all come out alike; 4 dots are half a
// millimetre, the least that a hand-held camera reads well (measured with two readers).
const (
	dot         = 72.0 / 203
	moduleLeast = 4 * dot
)

// module is how large a QR of so many modules is drawn to be about side points wide.
func module(modules int, side float64) float64 {
	return max(moduleLeast, math.Floor(side/dot/float64(modules))*dot)
}

// symbol is a QR of so many modules a side, its quiet zone included.
type symbol struct {
	side int
	dark []pdf.Run
}

// symbol returns the sturdy QR of a text. A document draws one several times: a ticket's is on every tag of its pieces.
func (p *pen) symbol(text string) (symbol, error) {
	if s, known := p.symbols[text]; known {
		return s, nil
	}
	bitmap, err := sturdy(text)
	if err != nil {
		return symbol{}, err
	}
	p.symbols[text] = symbolOf(bitmap)
	return p.symbols[text], nil
}

func symbolOf(bitmap [][]bool) symbol {
	s := symbol{side: len(bitmap)}
	runs(bitmap, func(row, column, length int) {
		s.dark = append(s.dark, pdf.Run{Row: uint8(row), Column: uint8(column), Length: uint8(length)}) // of 185 at most
	})
	return s
}

// square draws a QR with its left top at (x, y), its modules of a size.
func (p *pen) square(s symbol, x, y, module float64) {
	if keepsLog {
		p.squares = append(p.squares, squareAt{p.page, x, y, module * float64(s.side), module})
	}
	p.pdf.SetFillColour(shadeOf(0))
	p.pdf.Modules(x, y, module, s.dark)
}

// ticketSquare draws a ticket's QR about side points wide with its code below, its right top at (right, y). It
// returns how wide and how high both are.
func (p *pen) ticketSquare(right, y, side float64, address string, code plan.Code, size float64) (width, height float64, err error) {
	return p.codeSquare(right, y, side, TicketURL(address, code), code, size)
}

// codeSquare is ticketSquare of another address that ends in a code.
func (p *pen) codeSquare(right, y, side float64, url string, code plan.Code, size float64) (width, height float64, err error) {
	s, err := p.symbol(url)
	if err != nil {
		return 0, 0, err
	}
	m := module(s.side, side)
	width = m * float64(s.side)
	p.square(s, right-width, y, m)
	typed := grouped(code) // never shortened: it may stand out to the left
	for size > smallest && p.width(typed, size, bold) > width {
		size -= 0.5
	}
	wide := p.width(typed, size, bold)
	p.text(right-max(width+wide, 2*wide)/2, y+width+size-1, typed, size, bold)
	return width, width + size + 2, nil
}

// grouped writes a code as it is read out: 7K3M-9Q2X-4.
func grouped(code plan.Code) string {
	c := string(code)
	if len(c) != 9 {
		return c
	}
	return c[:4] + "-" + c[4:8] + "-" + c[8:]
}

// warning draws the sign of a danger, its foot on the baseline: a triangle with a stroke and a dot in it.
func (p *pen) warning(x, y, size float64) {
	p.pdf.SetFillColour(shadeOf(0))
	p.pdf.Polygon([]point{{X: x + size/2, Y: y - 0.9*size}, {X: x + size, Y: y}, {X: x, Y: y}}, pdf.Filled)
	p.pdf.SetFillColour(shadeOf(255))
	p.pdf.Rect(x+0.44*size, y-0.6*size, 0.12*size, 0.32*size, pdf.Filled)
	p.pdf.Rect(x+0.44*size, y-0.2*size, 0.12*size, 0.12*size, pdf.Filled)
}

// box draws an empty box to tick, its foot on the baseline.
func (p *pen) box(x, y, side float64) { p.pdf.Rect(x, y-side, side, side, pdf.Stroked) }
