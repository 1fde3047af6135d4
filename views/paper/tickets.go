// Package paper puts the work on paper and into pictures: tickets and invoices as PDF, flat panels to scale as SVG,
// and QR codes. It reads no clock: what a document says of its making comes from the caller.
package paper

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/views/i18n"
)

// TicketsDoc is an order's tickets as they are printed, one or more labels each.
type TicketsDoc struct {
	Say      *i18n.Printer
	Sheet    Sheet  // "" labels
	Address  string // base URL in the QR codes
	Order    string
	Revision int
	Due      string // YYYY-MM-DD or ""
	Sidemark string // "" unless the shop or the order says that it may be printed: it often is a name
	Made     time.Time
	Tickets  []*stations.TicketSpec
	Fabrics  []orderfile.Fabric // with their bolts, for the picture on a cutting ticket
	Windows  map[string]int     // how many of each window (by name) the order has, for "2 of 5"
}

// Tickets writes the tickets on 4 × 6 in labels, or on sheets of two. Nothing on them is set smaller than 8 points, nothing stands
// outside the label, and no price is on them.
func Tickets(w io.Writer, doc TicketsDoc) error {
	_, err := writeTickets(w, doc)
	return err
}

func writeTickets(w io.Writer, doc TicketsDoc) (*label, error) {
	l := newLabel(doc.Say, cmp.Or(doc.Sheet, Labels))
	l.pdf.SetCreationDate(doc.Made)
	l.pdf.SetModificationDate(doc.Made)
	l.pdf.SetTitle(doc.Say.T("paper.ticket.title", "Order", doc.Order), true)
	for _, t := range doc.Tickets {
		p := page{label: l, doc: &doc, ticket: t}
		var err error
		if t.Kind == stations.CuttingTicket {
			err = p.cutting()
		} else {
			err = p.panel()
		}
		if err != nil {
			return nil, err
		}
	}
	l.end()
	if err := l.pdf.Output(w); err != nil {
		return nil, fmt.Errorf("paper: tickets of %s: %w", doc.Order, err)
	}
	return l, nil
}

// page is one ticket being printed.
type page struct {
	*label
	doc    *TicketsDoc
	ticket *stations.TicketSpec
}

// head writes what the ticket is about beside its QR.
func (p *page) head(lines ...headLine) error {
	p.begin()
	side, err := p.qr(TicketURL(p.doc.Address, p.ticket.Code), p.ticket.Code)
	if err != nil {
		return err
	}
	room := inside - side - 6
	for _, h := range lines {
		if h.text != "" {
			p.paragraph(labelMargin, room, h.text, h.size, h.style, h.most)
		}
	}
	p.y = max(p.y, labelMargin+side+12)
	p.rule()
	return nil
}

type headLine struct {
	text  string
	size  float64
	style style
	most  int
}

// dueLine says when the order is due, and its revision where it has been revised.
func (p *page) dueLine() string {
	due, revision := "", ""
	if p.doc.Due != "" {
		due = p.say.T("paper.ticket.due", "Date", p.say.Date(p.doc.Due))
	}
	if p.doc.Revision > 1 {
		revision = p.say.T("paper.ticket.revision", "Revision", p.doc.Revision)
	}
	return join(due, revision)
}

// stationNumbers are the key numbers of each station on a panel's ticket; the station's screen shows all of them.
var stationNumbers = map[stations.Station][]string{
	stations.Cutting:  {"widths", "cut_length", "lining_widths", "lining_cut_length"},
	stations.Joining:  {"flat_width", "trim_return", "trim_leading", "seams", "side_hem", "bottom_hem"},
	stations.Fold:     {"finished_length", "heading_fold"},
	stations.Tape:     {"tape_piece", "tape_start", "end_margin", "top_drop"},
	stations.PullUp:   {"pleats", "finished_width", "cord_in_hand", "cord_total"},
	stations.Inserts:  {"inserts", "insert_length", "insert_height"},
	stations.Pressing: {"heading_fold"},
	stations.Packing:  {"finished_width", "finished_length"},
}

// panel prints a panel's ticket: what it is, each station's numbers, and what can hurt.
func (p *page) panel() error {
	t := p.ticket
	which := p.say.T("paper.ticket.panel."+t.Panel, "Window", t.Window)
	copies := ""
	if n := p.doc.Windows[t.Window]; n > 1 {
		copies = p.say.T("paper.ticket.copy", "Copy", t.Copy, "Count", n)
	}
	room := ""
	if t.Room != "" {
		room = p.say.T("paper.ticket.room", "Room", t.Room)
	}
	err := p.head(
		headLine{p.doc.Order, 15, bold, 1},
		headLine{which, 12, bold, 2},
		headLine{join(room, copies), 10, plain, 1},
		headLine{p.dueLine(), 9, plain, 1},
		headLine{p.doc.Sidemark, 9, plain, 1},
	)
	if err != nil {
		return err
	}
	for _, s := range t.Steps {
		p.station(s)
	}
	p.rule()
	p.warnings()
	return nil
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + " · " + b
}

// station writes one station's row: its mark and name, and its key numbers beside them.
func (p *page) station(s stations.StepSpec) {
	const names, size, gap = 92.0, 10.5, 9.0
	top := p.y
	p.mark(s.Station, labelMargin+8, top+9)
	name, fitted := p.fit(p.say.Station(s.Station), names-20, 9, bold)
	p.text(labelMargin+19, top+12, name, fitted, bold)

	x, baseline := float64(labelMargin)+names, top+11
	for _, it := range p.items(s) {
		width := p.width(it.what, smallest, plain) + p.width(it.value, size, bold)
		if x > labelMargin+names && x+width > labelWidth-labelMargin {
			x, baseline = labelMargin+names, baseline+size*leading
		}
		p.text(x, baseline, it.what, smallest, plain)
		x += p.width(it.what, smallest, plain)
		value, fitted := p.fit(it.value, labelWidth-labelMargin-x, size, bold)
		p.text(x, baseline, value, fitted, bold)
		x += p.width(value, fitted, bold) + gap
	}
	p.y = max(baseline+4, top+18)
}

// item is one number on a station's row, with its short name before it.
type item struct{ what, value string }

// items are a station's key numbers; each place of a list is an item, so that it can go on on the next line.
func (p *page) items(s stations.StepSpec) []item {
	var items []item
	for _, name := range stationNumbers[s.Station] {
		i := slices.IndexFunc(s.Values, func(v stations.Value) bool { return v.Name == name })
		if i < 0 {
			continue
		}
		what := p.say.T("paper.value."+name) + " "
		for _, value := range strings.Fields(s.Values[i].Value) {
			items = append(items, item{what, p.number(value)})
			what = ""
		}
	}
	return items
}

// warnings writes what can hurt, what becomes of the cords, and the notes, as far as there is room.
func (p *page) warnings() {
	p.paragraph(labelMargin, inside, p.say.T("paper.caution.cord"), smallest, bold, 2)
	if p.ticket.CordEnd != "" {
		p.paragraph(labelMargin, inside, p.say.T("paper.cord_end."+string(p.ticket.CordEnd)), smallest, plain, 2)
	}
	p.paragraph(labelMargin, inside, p.say.T("paper.caution.work"), smallest, plain, 2)
	for i, n := range p.ticket.Notes {
		lines := int(p.left()/(smallest*leading)) / (len(p.ticket.Notes) - i)
		if lines > 0 {
			p.paragraph(labelMargin, inside, p.say.T("paper.ticket.note", "Note", n), smallest, bold, lines)
		}
	}
}
