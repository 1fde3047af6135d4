package paper

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/paper/pdf"
)

// A tag is 4 × 1 1/2 in: one on stock of that size, four to a 4 × 6 in label, fourteen to a sheet, to be cut apart.
const (
	tagWidth  = labelWidth
	tagHeight = labelHeight / 4
	tagMargin = 8.0

	tagSquare = 60.0 // about a QR's side
	tagArrow  = 30.0 // what the arrow takes at the left
)

// Tags writes a tag for every piece that an order's cutting tickets cut, in the order of cutting: what it is pinned to
// until the panel is joined. No price is on them, and no name.
func Tags(w io.Writer, doc TicketsDoc) error {
	_, err := writeTags(w, doc)
	return err
}

func writeTags(w io.Writer, doc TicketsDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Labels)
	p := newPen(w, doc.Say, sheets[sheet], doc.Say.T("paper.tag.title", "Order", doc.Order), doc.Made)
	if err := p.tags(&doc, sheet); err != nil {
		return nil, err
	}
	if err := p.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: tags of %s: %w", doc.Order, err)
	}
	return p, nil
}

// tags prints a document's tags on sheets of their own.
func (p *pen) tags(doc *TicketsDoc, sheet Sheet) error {
	cells := newGrid(p, sheet, tagWidth, tagHeight)
	for _, t := range tagsOf(doc.Tickets) {
		x, y := cells.next()
		if err := p.tag(doc, t, x, y); err != nil {
			return err
		}
	}
	return nil
}

// tag is one piece of cloth and where it goes.
type tag struct {
	plan.CutPart
	fabric string
	number string // of the cut, as in the cutting ticket's list
	cut    plan.Cut
	of     int          // pieces of this fabric in the panel
	panel  *plan.Ticket // nil where the panel has no ticket any more
}

// tagsOf returns the pieces that cutting tickets cut, in the order of cutting.
func tagsOf(tickets []*plan.Ticket) []tag {
	var tags []tag
	for _, t := range tickets {
		if t.Kind != plan.CuttingTicket {
			continue
		}
		for _, c := range t.Cuts {
			for _, part := range c.For {
				tags = append(tags, tag{CutPart: part, fabric: t.Fabric, number: c.Cut, cut: c, panel: panelOf(tickets, t.Fabric, part)})
			}
		}
	}
	pieces := map[ofPanel]int{}
	for _, t := range tags {
		if t.cut.Trimming != "" { // a panel's pieces are counted without its trimmings
			continue
		}
		pieces[t.ofPanel()] = max(pieces[t.ofPanel()], t.Place)
	}
	for i := range tags {
		tags[i].of = pieces[tags[i].ofPanel()]
	}
	return tags
}

// ofPanel is what the pieces that a panel has of a fabric have in common.
type ofPanel struct {
	fabric        string
	ticket        plan.Code
	window, panel string
	copy          int
}

func (t tag) ofPanel() ofPanel { return ofPanel{t.fabric, t.Ticket, t.Window, t.Panel, t.Copy} }

// panelOf finds the ticket of a piece's panel. Orders released before a cut kept its panel's code name it by its
// window, which may be the name of two: then there is none.
func panelOf(tickets []*plan.Ticket, fabric string, part plan.CutPart) (found *plan.Ticket) {
	for _, t := range tickets {
		switch {
		case t.Kind == plan.CuttingTicket:
		case part.Ticket != "":
			if t.Code == part.Ticket {
				return t
			}
		case t.Window == part.Window && t.Panel == part.Panel && t.Copy == part.Copy && slices.Contains(t.Fabrics, fabric):
			if found != nil {
				return nil
			}
			found = t
		}
	}
	return found
}

// tag prints one tag with its left top at (x, y).
func (p *pen) tag(doc *TicketsDoc, t tag, x, y float64) error {
	arrow := max(tagArrow, tagMargin+p.width(p.say.T("paper.tag.top"), smallest, bold)+3) // a long word widens it
	p.topArrow(x+tagMargin, y+tagMargin, arrow-tagMargin, tagHeight-2*tagMargin)
	right := x + tagWidth - tagMargin
	room := right - x - arrow - tagMargin
	if t.panel != nil {
		side, _, err := p.ticketSquare(right, y+tagMargin-4, tagSquare, doc.Address, t.panel.Code, 9)
		if err != nil {
			return err
		}
		room -= side
	}
	left := x + arrow
	top := p.lines(left, y+tagMargin-2, room, doc.Order, 10, bold, 1)
	top = p.lines(left, top, room, t.Window, 13, bold, 1)
	name := join(p.side(t.Panel, t.piece()), t.copies(p))
	p.lines(left, top, room, name, 12, bold, 1)
	p.place(t, left, y+74, room)
	p.fitted(left, y+tagHeight-tagMargin-11, room, p.cloth(doc, t), smallest, plain)
	p.fitted(left, y+tagHeight-tagMargin, tagWidth-arrow-tagMargin, p.say.T("paper.tag.pin"), smallest, plain)
	return nil
}

// piece is what a piece is that is no panel, "" of a panel.
func (t tag) piece() orderfile.PieceKind {
	if t.panel == nil {
		return ""
	}
	return t.panel.Piece
}

func (t tag) copies(p *pen) string {
	if t.Copies < 2 {
		return ""
	}
	return p.nth(t.Copy, t.Copies, t.Panel == "")
}

// place writes which piece of the panel it is, on a baseline: the number that a hand looks for. That it is half a
// width stands out, since both halves of a cut get the same number.
func (p *pen) place(t tag, x, y, room float64) {
	const size, words = 24.0, 11.0
	if t.cut.Trimming != "" {
		p.bundle(t, x, y, room)
		return
	}
	number := measure.Count(t.Place)
	p.text(x, y, number, size, bold)
	indent := p.width(number, size, bold) + 5
	x, room = x+indent, room-indent
	of := p.say.T("paper.tag.of", "Count", t.of)
	p.text(x, y-10, of, words, bold)
	if t.Half != "" {
		p.inverse(x+p.width(of, words, bold)+6, y-10, p.say.T("half."+string(t.Half)), words)
	}
	if t.Panel != "" {
		p.fitted(x, y, room, p.say.T("paper.tag.from_return"), smallest, plain)
	}
}

// bundle writes how many tabs or strips of a row are the panel's, or that it is its facing.
func (p *pen) bundle(t tag, x, y, room float64) {
	text := p.say.T("paper.tag.facing")
	switch t.cut.Trimming {
	case workup.ForTabs:
		text = p.say.N("paper.tag.tabs", t.Count)
	case workup.ForBand:
		text = p.say.T("paper.tag.band", "Count", t.Count)
	}
	if !t.cut.Across.IsZero() {
		p.fitted(x, y, room, p.say.T("paper.tag.across", "Width", p.say.Quantity(t.cut.Across)), smallest, plain)
	}
	p.fitted(x, y-10, room, text, 14, bold)
}

// inverse writes white on black, on a baseline.
func (p *pen) inverse(x, y float64, text string, size float64) {
	p.pdf.SetFillColour(shadeOf(0))
	p.pdf.Rect(x, y-size*0.92, p.width(text, size, bold)+6, size*1.2, pdf.Filled)
	p.pdf.SetTextColour(shadeOf(255))
	p.text(x+3, y, text, size, bold)
	p.pdf.SetTextColour(shadeOf(0))
}

// cloth says what a piece is cut from.
func (p *pen) cloth(doc *TicketsDoc, t tag) string {
	says := t.fabric
	for _, f := range doc.Fabrics {
		if f.ID == t.fabric {
			says = join(says, p.say.T("use."+string(f.Use)))
			if f.Pile != "" {
				says = join(says, p.say.T("paper.tag.pile."+string(f.Pile)))
			}
		}
	}
	if t.cut.Lot != "" {
		says = join(says, p.say.T("paper.tag.lot", "Lot", t.cut.Lot))
	}
	says = join(says, p.say.T("paper.tag.cut", "Number", t.number))
	if t.cut.Railroaded {
		says = join(says, p.say.T("paper.tag.turned"))
	}
	if t.cut.Class != "" {
		says = join(says, p.say.T("paper.cutting.class", "Class", t.cut.Class))
	}
	return says
}

// topArrow draws the arrow that points to the top of the cloth, the word over it.
func (p *pen) topArrow(x, y, width, height float64) {
	p.centre(x+width/2, y+smallest-1, p.say.T("paper.tag.top"), smallest, bold)
	y, height = y+smallest+2, height-smallest-2
	middle, shaft := x+width/2, width/5
	p.pdf.SetFillColour(shadeOf(0))
	p.pdf.Polygon([]point{{X: middle, Y: y}, {X: x + width - 2, Y: y + 16}, {X: middle + shaft, Y: y + 16}, {X: middle + shaft, Y: y + height},
		{X: middle - shaft, Y: y + height}, {X: middle - shaft, Y: y + 16}, {X: x + 2, Y: y + 16}}, pdf.Filled)
}

// grid hands out the cells of sheets that are cut apart, row by row, and draws the lines to cut along.
type grid struct {
	*pen
	sheet         pdf.Size
	width, height float64
	columns, rows int
	used          int
}

func newGrid(p *pen, sheet Sheet, width, height float64) *grid {
	size := sheets[sheet]
	return &grid{pen: p, sheet: size, width: width, height: height, columns: int(size.Wd / width), rows: int(size.Ht / height)}
}

// next returns the left top of the next cell, on a new sheet where the last is full.
func (g *grid) next() (x, y float64) {
	at := g.used % (g.columns * g.rows)
	if at == 0 {
		g.pdf.AddPage()
		g.page++
	}
	g.used++
	x = (g.sheet.Wd-g.width*float64(g.columns))/2 + g.width*float64(at%g.columns)
	y = (g.sheet.Ht-g.height*float64(g.rows))/2 + g.height*float64(at/g.columns)
	g.dashed(func() { g.cutLines(x, y) })
	return x, y
}

// cutLines draws a cell's sides that are cut along: not those at the sheet's own edge.
func (g *grid) cutLines(x, y float64) {
	const edge = 1.0
	right, foot := x+g.width, y+g.height
	if x > edge {
		g.pdf.Line(x, y, x, foot)
	}
	if y > edge {
		g.pdf.Line(x, y, right, y)
	}
	if right < g.sheet.Wd-edge {
		g.pdf.Line(right, y, right, foot)
	}
	if foot < g.sheet.Ht-edge {
		g.pdf.Line(x, foot, right, foot)
	}
}

// OwnTagsDoc are the tags of customers' own pieces: each stays on its piece from the day that it comes in until it goes home.
type OwnTagsDoc struct {
	Say      *i18n.Printer
	Sheet    Sheet  // "" labels
	Address  string // base URL in the QR codes
	Order    string
	Customer string // whose they are: what the tag is for
	Made     time.Time
	Tags     []OwnTag
}

// OwnTag is one of them.
type OwnTag struct {
	Ticket   plan.Code // that its ticket has, or will have
	Text     string
	Kind     orderfile.PieceKind
	Copy, Of int    // which of those that are called so
	Received string // civil date YYYY-MM-DD
	Notes    string // what the floor has to heed
}

// OwnTags writes the tags of pieces that came in, of the size of the tags of cut pieces.
func OwnTags(w io.Writer, doc OwnTagsDoc) error {
	_, err := writeOwnTags(w, doc)
	return err
}

func writeOwnTags(w io.Writer, doc OwnTagsDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Labels)
	p := newPen(w, doc.Say, sheets[sheet], doc.Say.T("paper.own.title", "Order", doc.Order), doc.Made)
	cells := newGrid(p, sheet, tagWidth, tagHeight)
	for i := range doc.Tags {
		x, y := cells.next()
		if err := p.ownTag(&doc, &doc.Tags[i], x, y); err != nil {
			return nil, err
		}
	}
	if err := p.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: tags of own pieces of %s: %w", doc.Order, err)
	}
	return p, nil
}

func (p *pen) ownTag(doc *OwnTagsDoc, t *OwnTag, x, y float64) error {
	const square = 74.0 // about the QR's side: there is room, and it hangs on its piece for weeks
	side, _, err := p.ticketSquare(x+tagWidth-tagMargin, y+tagMargin-4, square, doc.Address, t.Ticket, 9)
	if err != nil {
		return err
	}
	left, room := x+tagMargin, tagWidth-2*tagMargin-side-6
	kind := p.side("", t.Kind)
	if t.Of > 1 {
		kind = join(kind, p.nth(t.Copy, t.Of, true))
	}
	top := p.lines(left, y+tagMargin-2, room, doc.Customer, 13, bold, 1)
	top = p.lines(left, top, room, t.Text, 13, bold, 2)
	top = p.lines(left, top, room, kind, 10, plain, 1)
	top = p.lines(left, top, room, join(doc.Order, p.say.T("paper.own.received", "Date", p.say.ShortDate(t.Received))), 10, plain, 1)
	p.lines(left, top+2, room, strings.ReplaceAll(t.Notes, "\n", " · "), 9, bold, 2)
	return nil
}
