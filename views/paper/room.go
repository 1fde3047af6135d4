package paper

import (
	"cmp"
	"fmt"
	"html"
	"io"
	"strings"
	"time"

	"tablehand/engine/workup"
	"tablehand/views/i18n"
	"tablehand/views/paper/pdf"
	"tablehand/views/paper/room"
)

// RoomsDoc is the rooms of an order for its client: how their windows will hang. Nothing of prices, of people and of the floor
// is on it.
type RoomsDoc struct {
	Say    *i18n.Printer
	Sheet  Sheet // "" letter
	Shop   string
	Workup *workup.Workup
	Rooms  []string // which, by name; "" the windows that name none
	Made   time.Time
}

// Rooms writes a sheet for every room, more where its windows take them: the elevation, and below it the same in words. The
// error is for labels and tags, which are too small.
func Rooms(w io.Writer, doc RoomsDoc) error {
	_, err := writeRooms(w, doc)
	return err
}

func writeRooms(w io.Writer, doc RoomsDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Letter)
	if sheet == Labels || sheet == TagStock {
		return nil, fmt.Errorf("paper: a room does not fit labels or tags")
	}
	k := &roomPen{pen: newPen(w, doc.Say, sheets[sheet], doc.Say.T("room.paper", "Order", doc.Workup.Order.ID), doc.Made), doc: &doc, size: sheets[sheet]}
	for _, name := range doc.Rooms {
		k.room(room.Of(doc.Workup, name))
	}
	k.numberSheets()
	if err := k.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: rooms of %s: %w", doc.Workup.Order.ID, err)
	}
	return k.pen, nil
}

// RoomTitle is what a room is called over its drawing.
func RoomTitle(name string, say *i18n.Printer) string {
	if name == "" {
		return say.T("room.title.none")
	}
	return say.T("room.title", "Room", name)
}

// roomPen lays rooms out from the top down.
type roomPen struct {
	*pen
	doc   *RoomsDoc
	size  pdf.Size
	title string
	y     float64
	feet  []pdf.Place
}

const (
	roomLetters = 9.0 // points, of the measures of an elevation
	roomWords   = 9.5 // and of the sentences below it
)

func (k *roomPen) wide() float64 { return k.size.Wd - 2*sheetMargin }

func (k *roomPen) end() float64 { return k.size.Ht - sheetMargin - footRoom }

func (k *roomPen) begin() {
	k.pdf.AddPage()
	k.page++
	k.feet = append(k.feet, k.pdf.Reserve())
	k.y = k.lines(sheetMargin, sheetMargin, k.wide(), k.title, 20, bold, 2) + 4
}

// keep begins another sheet where so much height is not left.
func (k *roomPen) keep(height float64) {
	if k.y+height > k.end() {
		k.begin()
	}
}

func (k *roomPen) room(r room.Room) {
	k.title = RoomTitle(r.Name, k.say)
	k.begin()
	k.y = k.lines(sheetMargin, k.y, k.wide(), k.say.T("room.help"), roomWords, plain, 4) + 10
	words := 0.0
	said := r.Words(k.say)
	for _, s := range said {
		words += k.wordsHeight(s)
	}
	left := k.end() - k.y
	drawing := left - words
	if drawing < left/2 { // the words go on another sheet
		drawing = left
	}
	e := room.Lay(r, &room.Sheet{Width: k.wide(), Height: drawing, Tallest: 0.6 * left, Letters: roomLetters, Say: k.say,
		Wide: func(text string, strong bool) float64 { return k.width(text, roomLetters, styleOf(strong)) }})
	for i := range e.Rows {
		k.keep(e.Rows[i].Height())
		e.Rows[i].Draw(&paperRoom{k.pen}, sheetMargin, k.y)
		k.y += e.Rows[i].Height()
	}
	for _, s := range said {
		k.keep(k.wordsHeight(s))
		k.words(s)
	}
}

// wordsMost is how many lines a sentence takes at most, namesMost the names of windows that hang alike.
const (
	wordsMost = 4
	namesMost = 12
)

func (k *roomPen) words(s room.Said) {
	k.y = k.lines(sheetMargin, k.y, k.wide(), strings.Join(s.Names, " · "), roomWords, bold, namesMost)
	for _, says := range s.Words {
		k.y = k.lines(sheetMargin, k.y, k.wide(), says, roomWords, plain, wordsMost)
	}
	k.y += 6
}

func (k *roomPen) wordsHeight(s room.Said) float64 {
	lines := len(k.wrap(strings.Join(s.Names, " · "), k.wide(), roomWords, bold, namesMost))
	for _, says := range s.Words {
		lines += len(k.wrap(says, k.wide(), roomWords, plain, wordsMost))
	}
	return float64(lines)*roomWords*leading + 6
}

// numberSheets says at the foot whose drawing it is, and of which order.
func (k *roomPen) numberSheets() {
	pages := k.pdf.Pages()
	for n, foot := range k.feet {
		k.page = n + 1
		k.pdf.Fill(foot, func() {
			k.text(sheetMargin, k.size.Ht-sheetMargin, join(k.doc.Shop, k.doc.Workup.Order.ID), smallest, plain)
			if pages > 1 {
				k.right(k.size.Wd-sheetMargin, k.size.Ht-sheetMargin, k.say.T("room.sheet", "Sheet", n+1, "Sheets", pages), smallest, plain)
			}
		})
	}
}

func styleOf(strong bool) style {
	if strong {
		return bold
	}
	return plain
}

// paperRoom draws an elevation on a sheet, in black and white.
type paperRoom struct{ *pen }

// How the classes of an elevation look: the widths of lines in points, and fills from 0, black, to 255.
var (
	roomLines = map[string]float64{"outline": 0.9, "heading": 0.4, "pleat": 0.5, "motif": 0.5, "corner": 0.4, "rod": 2.4, "rod-unknown": 1.2, "floor": 1.6, "size": 0.5,
		"pole": 0.6, "tab": 0.6, "eyelet": 0.7, "ring": 0.8, "pocket": 0.4,
		"outline-sheer": 0.4, "band": 0.5, "hatch": 0.35, "middle": 0.5}
	roomFills = map[string]uint8{"cloth": 255, "turned": 238, "heading": 226, "lap": 205, "back": 238, "pole": 150, "tab": 255, "eyelet": 255, "band": 255, "middle": 255}
	roomDash  = map[string]bool{"motif": true, "corner": true, "rod-unknown": true, "pocket": true}
)

// foldWidth is that of the line down a fold of the cloth.
const foldWidth = 0.35

// foldShades are the greys of those lines: a sheer's are lighter.
var foldShades = map[string]uint8{"fold": 170, "fold-sheer": 215}

func (p *paperRoom) Rect(class string, x, y, width, height float64) {
	p.painted(class, func(how pdf.Paint) { p.pdf.Rect(x, y, width, height, how) })
}

func (p *paperRoom) Circle(class string, x, y, radius float64) {
	p.painted(class, func(how pdf.Paint) { p.pdf.Circle(x, y, radius, how) })
}

// painted fills and strokes a shape as its class has it.
func (p *paperRoom) painted(class string, draw func(pdf.Paint)) {
	if shade, filled := roomFills[class]; filled {
		p.pdf.SetFillColour(shadeOf(shade))
		draw(pdf.Filled)
	}
	if line, edged := roomLines[class]; edged {
		p.pdf.SetLineWidth(line)
		draw(pdf.Stroked)
		p.pdf.SetLineWidth(ruleWidth)
	}
}

func (p *paperRoom) Line(class string, x1, y1, x2, y2 float64) {
	if shade, folded := foldShades[class]; folded { // straight down, and grey, which lines aren't
		p.pdf.SetFillColour(shadeOf(shade))
		p.pdf.Rect(x1-foldWidth/2, y1, foldWidth, y2-y1, pdf.Filled)
		return
	}
	p.pdf.SetLineWidth(roomLines[class])
	draw := func() { p.pdf.Line(x1, y1, x2, y2) }
	if roomDash[class] {
		p.dashed(draw)
	} else {
		draw()
	}
	p.pdf.SetLineWidth(ruleWidth)
}

func (p *paperRoom) Centre(x, y float64, text string, strong bool) {
	p.centre(x, y, text, roomLetters, styleOf(strong))
}

// Upward is logged as it stands, a line's height wide and as high as it is long.
func (p *paperRoom) Upward(x, y float64, text string) {
	width := p.width(text, roomLetters, plain)
	p.pdf.Save()
	p.pdf.Rotate(90, x, y)
	p.draw(x-width/2, y, p.sentence(text, roomLetters, plain))
	p.pdf.Restore()
	if keepsLog {
		p.log = append(p.log, printed{page: p.page, text: text, x: x - roomLetters, y: y + width/2, width: roomLetters, top: y - width/2, size: roomLetters})
	}
}

// RoomHTML draws a room for a page: for phones, tablets and desks, each laid out for its width, of which the page shows one. The
// page styles the classes.
func RoomHTML(w io.Writer, r room.Room, say *i18n.Printer) error {
	for _, on := range []struct {
		class         string
		width, height float64
	}{{"on-phone", 288, 0}, {"on-tablet", 704, 800}, {"on-desk", 1120, 820}} {
		d := &pageRoom{}
		// DejaVu Sans is a ninth wider than the condensed one that paper is set in, and a page's fractions are a little larger.
		const wider = 1.15
		e := room.Lay(r, &room.Sheet{Width: on.width, Height: on.height, Tallest: min(440, 1.3*on.width), Letters: letterPixels, Say: say,
			Wide: func(text string, strong bool) float64 {
				return wider * (&pen{}).width(text, letterPixels, styleOf(strong))
			}})
		y := 0.0
		for i := range e.Rows {
			e.Rows[i].Draw(d, 0, y)
			y += e.Rows[i].Height()
		}
		d.close()
		if _, err := fmt.Fprintf(w, `<svg class="elevation %s" role="img" viewBox="0 0 %.0f %.1f"><title>%s</title>%s</svg>`, on.class, on.width, e.Height(),
			html.EscapeString(RoomTitle(r.Name, say)), d.body.String()); err != nil {
			return err
		}
	}
	return nil
}

// pageRoom draws an elevation as SVG, the lines of a class that follow each other as one path.
type pageRoom struct {
	body  strings.Builder
	class string // of the path that is open, "" none
}

// close ends the open path.
func (d *pageRoom) close() {
	if d.class != "" {
		d.body.WriteString(`"/>`)
		d.class = ""
	}
}

func (d *pageRoom) Rect(class string, x, y, width, height float64) {
	d.close()
	fmt.Fprintf(&d.body, `<rect class="%s" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, class, x, y, width, height)
}

func (d *pageRoom) Circle(class string, x, y, radius float64) {
	d.close()
	fmt.Fprintf(&d.body, `<circle class="%s" cx="%.1f" cy="%.1f" r="%.1f"/>`, class, x, y, radius)
}

func (d *pageRoom) Line(class string, x1, y1, x2, y2 float64) {
	if d.class != class {
		d.close()
		d.class = class
		fmt.Fprintf(&d.body, `<path class="%s" d="`, class)
	}
	fmt.Fprintf(&d.body, "M%.1f %.1fL%.1f %.1f", x1, y1, x2, y2)
}

func (d *pageRoom) Centre(x, y float64, text string, strong bool) {
	d.close()
	weight := ""
	if strong { // a window's name, which stays as it was typed
		weight = ` font-weight="700" translate="no"`
	}
	fmt.Fprintf(&d.body, `<text x="%.1f" y="%.1f" font-size="%d" text-anchor="middle"%s>%s</text>`, x, y, letterPixels, weight, withFractions(text))
}

func (d *pageRoom) Upward(x, y float64, text string) {
	d.close()
	fmt.Fprintf(&d.body, `<text transform="translate(%.1f %.1f) rotate(-90)" font-size="%d" text-anchor="middle">%s</text>`, x, y, letterPixels, withFractions(text))
}
