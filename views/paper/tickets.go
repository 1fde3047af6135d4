// Package paper puts the work on paper and into pictures: tickets and invoices as PDF, flat panels to scale as SVG,
// and QR codes. It reads no clock: what a document says of its making comes from the caller.
package paper

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"

	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// TicketsDoc is an order's tickets as they are printed, one or more labels each.
type TicketsDoc struct {
	Say      *i18n.Printer
	Sheet    Sheet  // "" labels
	Address  string // base URL in the QR codes
	Order    string
	Due      string // YYYY-MM-DD or ""
	Sidemark string // "" unless the shop or the order says that it may be printed: it often is a name
	Customer string // likewise
	Made     time.Time
	Tickets  []*plan.Ticket
	Fabrics  []orderfile.Fabric // with their bolts, for the picture on a cutting ticket
	// Panel tells how a ticket's panel lies, for its drawing; it may know none. nil: no drawings.
	Panel func(*plan.Ticket) *Panel
}

// Tickets writes the tickets on 4 × 6 in labels, or on sheets of two. Nothing on them is set smaller than 8 points, nothing stands
// outside the label, and no price is on them.
func Tickets(w io.Writer, doc TicketsDoc) error {
	_, err := writeTickets(w, doc)
	return err
}

func writeTickets(w io.Writer, doc TicketsDoc) (*label, error) {
	sheet := cmp.Or(doc.Sheet, Labels)
	if sheet == TagStock {
		return nil, fmt.Errorf("paper: a ticket does not fit a tag")
	}
	l := newLabel(newPen(w, doc.Say, sheets[sheet], doc.Say.T("paper.ticket.title", "Order", doc.Order), doc.Made), sheet)
	if err := l.tickets(&doc, doc.Tickets); err != nil {
		return nil, err
	}
	if err := l.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: tickets of %s: %w", doc.Order, err)
	}
	return l, nil
}

// tickets prints tickets of a document.
func (l *label) tickets(doc *TicketsDoc, tickets []*plan.Ticket) error {
	for _, t := range tickets {
		p := page{label: l, doc: doc, ticket: t, laid: map[rowAt]row{}}
		print := p.panel
		if t.Kind == plan.CuttingTicket {
			print = p.cutting
		}
		if err := print(); err != nil {
			return err
		}
	}
	l.end()
	return nil
}

// page is one ticket being printed.
type page struct {
	*label
	doc    *TicketsDoc
	ticket *plan.Ticket
	laid   map[rowAt]row
}

// head writes what the ticket is about beside its QR, and under both a line as wide as the label.
func (p *page) head(under func() string, lines ...headLine) error {
	p.begin()
	side, height, err := p.qr(p.doc.Address, p.ticket.Code)
	if err != nil {
		return err
	}
	room := inside - side - 6
	for _, h := range lines {
		if h.text != "" {
			p.paragraph(labelMargin, room, h.text, h.size, h.style, h.most)
		}
	}
	p.y = max(p.y, labelMargin+height)
	if says := under(); says != "" {
		p.paragraph(labelMargin, inside, says, smallest, plain, mostMakeup)
	}
	p.rule()
	return nil
}

type headLine struct {
	text  string
	size  float64
	style style
	most  int
}

// dueLine says when the order is due, and since which revision of it the ticket has its numbers.
func (p *page) dueLine() string { return p.due(p.doc.Due, p.ticket.Revision) }

func (p *pen) due(date string, revision int) string {
	due := ""
	if date != "" {
		due = p.say.T("paper.ticket.due", "Date", p.say.Date(date))
	}
	return join(due, p.revision(revision))
}

// revision names a revision, "" for the first.
func (p *pen) revision(n int) string {
	if n < 2 {
		return ""
	}
	return p.say.T("paper.ticket.revision", "Revision", n)
}

// panel prints a panel's ticket: what it is, each station's numbers, what can hurt, and where its numbers can stay
// large the heading at the return edge. All of it stands on one label, but for a panel of very many seams, which goes
// on on a second.
func (p *page) panel() error {
	if err := p.panelHead(1); err != nil {
		return err
	}
	foot := p.foot(mostNotes)
	zoom, zoomed := zoomOf(p.ticket)
	var rows []row
	if zoomed {
		rows, zoomed = p.rows(p.left()-foot.height-zoomHeight-ruleRoom, largeNumber)
	}
	fits := zoomed
	for notes := mostNotes; !fits && notes > 0; notes-- {
		foot = p.foot(notes)
		rows, fits = p.rows(p.left()-foot.height, smallestNumber)
	}
	label := 1
	anew := func() error {
		label++
		return p.panelHead(label)
	}
	for _, r := range rows {
		if p.left() < r.height {
			if err := anew(); err != nil {
				return err
			}
		}
		p.station(r)
		if err := p.marks(r.chalk, anew); err != nil {
			return err
		}
	}
	if p.left() < foot.height {
		if err := anew(); err != nil {
			return err
		}
	}
	foot.draw(p.label)
	if zoomed {
		height := min(p.left()-ruleRoom, 1.6*zoomHeight)
		p.zoom(zoom, labelMargin, p.y+ruleRoom, inside, height)
		p.y += ruleRoom + height
	}
	if drawn := p.doc.drawn(p.ticket); drawn != nil && p.left() > flatHeight {
		p.flatPanel(drawn, p.ticket.Units, labelMargin, p.y+2*ruleRoom, inside, p.left()-2*ruleRoom)
	}
	return nil
}

// flatHeight is the least that a flat drawing needs on a ticket, in points: tickets on sheets have it, labels don't.
const flatHeight = 140

// drawn returns a ticket's panel as it lies, nil where the document has no drawing of it.
func (d *TicketsDoc) drawn(t *plan.Ticket) *Panel {
	if d.Panel == nil {
		return nil
	}
	return d.Panel(t)
}

func (p *page) panelHead(label int) error {
	t := p.ticket
	copies := ""
	if t.Copies > 1 {
		copies = p.nth(t.Copy, t.Copies, t.Kind == plan.PieceTicket)
	}
	room := ""
	if t.Room != "" {
		room = p.say.T("paper.ticket.room", "Room", t.Room)
	}
	return p.head(p.makeupThatFits,
		headLine{p.doc.Order, 16, bold, 1},
		headLine{t.Window, 14, bold, 2},
		headLine{join(p.side(t.Panel, t.Piece), copies), 12, bold, 1},
		headLine{p.seen(t), smallest, plain, 1},
		headLine{p.dueLine(), 10, bold, 1},
		headLine{join(room, cmp.Or(p.doc.Sidemark, p.doc.Customer)), 9, plain, 2},
		headLine{p.continued(label), 9, plain, 1},
	)
}

// side names which panel of its window one is, or what a piece is.
func (p *pen) side(panel string, piece orderfile.PieceKind) string {
	switch {
	case piece != "":
		return p.say.T("piece." + string(piece))
	case panel == "":
		return ""
	}
	return p.say.T("paper.ticket.panel." + panel)
}

// nth says which of so many windows, or pieces, one is.
func (p *pen) nth(copy, copies int, piece bool) string {
	if piece {
		return p.say.T("paper.ticket.nth", "Copy", copy, "Count", copies)
	}
	return p.say.T("paper.ticket.copy", "Copy", copy, "Count", copies)
}

// seen says from where left and right are seen, of what has them.
func (p *pen) seen(t *plan.Ticket) string {
	if t.Kind == plan.PieceTicket {
		return ""
	}
	return p.say.T("paper.ticket.seen")
}

// mostMakeup is how many lines a ticket has at most for what its panel is made of.
const mostMakeup = 2

// makeupThatFits is what a panel is made of, "" where it would push the last station off the label: the packet and the
// station's page say it.
func (p *page) makeupThatFits() string {
	says := p.makeup(p.ticket)
	room := p.left() - ruleRoom - p.foot(1).height
	takes := float64(len(p.wrap(says, inside, smallest, plain, mostMakeup))) * smallest * leading
	_, without := p.rows(room, smallestNumber)
	if _, fits := p.rows(room-takes, smallestNumber); without && !fits {
		return ""
	}
	return says
}

// makeup names a panel's heading and what it is made of. Tickets of the first release don't know their tape.
func (p *pen) makeup(t *plan.Ticket) string {
	if t.Kind == plan.PieceTicket {
		return p.madeOf(t)
	}
	says := p.say.Heading(string(t.Heading), t.HeadingName)
	for _, part := range []struct{ use, name string }{{"face", t.Face()}, {"lining", t.Lining}, {"interlining", t.Interlining}, {"tape", t.Tape}} {
		if part.name != "" {
			says = join(says, p.say.T("paper.ticket."+part.use, "Name", part.name))
		}
	}
	return says
}

// madeOf names the cloths of a piece, and who outside the shop works on it.
func (p *pen) madeOf(t *plan.Ticket) string {
	says := strings.Join(t.Fabrics, ", ")
	if t.Outside != nil {
		back := ""
		if t.Outside.Back != "" {
			back = p.say.ShortDate(t.Outside.Back)
		}
		says = join(says, p.say.T("paper.ticket.outside", "Who", t.Outside.Who, "Back", back))
	}
	return says
}

// continued tells the labels of one ticket apart, from the second on.
func (p *page) continued(label int) string {
	if label == 1 {
		return ""
	}
	return p.say.T("paper.ticket.continued", "Label", label)
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + " · " + b
}

// foot is what stands under the stations, laid out.
type foot struct {
	paragraphs []paragraph
	height     float64
}

type paragraph struct {
	lines []string
	style style
}

// mostNotes is how many lines of notes a ticket has at most; the station's screen shows all of them.
const mostNotes = 3

// foot says how the cords end and what follows from it, that a loose one can kill, and the notes.
func (p *page) foot(notes int) foot {
	f := foot{height: ruleRoom}
	add := func(text string, st style, most int) {
		lines := p.wrap(text, inside, smallest, st, most)
		f.paragraphs = append(f.paragraphs, paragraph{lines, st})
		f.height += float64(len(lines)) * smallest * leading
	}
	if p.ticket.Under != "" {
		add(p.say.T("paper.ticket.under", "What", p.ticket.Under), bold, 2)
	}
	if p.ticket.CordEnd != "" {
		add(p.say.T("paper.cord_end."+string(p.ticket.CordEnd)), bold, 2)
		add(p.say.T("paper.caution.loose"), plain, 2)
	}
	if len(p.ticket.Notes) > 0 {
		add(p.say.T("paper.ticket.note", "Note", strings.Join(p.ticket.Notes, " · ")), plain, notes)
	}
	return f
}

func (f foot) draw(l *label) {
	l.rule()
	for _, p := range f.paragraphs {
		for _, text := range p.lines {
			l.line(labelMargin, inside, text, smallest, p.style)
		}
	}
}
