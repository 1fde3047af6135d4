package paper

import (
	"cmp"
	"fmt"
	"io"

	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/paper/pdf"
)

// PacketDoc is an order's job packet.
type PacketDoc struct {
	TicketsDoc
	Revision int            // of the order
	Workup   *workup.Workup // of its newest file, for the cover
}

// Packet writes all that an order needs to be made with nothing but paper, while the network is gone: a cover with its
// windows and cloth, the cuts of each fabric, every panel's way through the stations with boxes to tick and to write
// in, the cutting tickets, and the piece tags. No price is in it. The error is for labels, which are too small.
func Packet(w io.Writer, doc PacketDoc) error {
	_, err := writePacket(w, doc)
	return err
}

func writePacket(w io.Writer, doc PacketDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Letter)
	if sheet == Labels || sheet == TagStock {
		return nil, fmt.Errorf("paper: a job packet does not fit labels or tags")
	}
	p := newPen(w, doc.Say, sheets[sheet], doc.Say.T("paper.packet.title", "Order", doc.Order), doc.Made)
	k := &packet{flow: flow{pen: p, size: sheets[sheet]}, doc: &doc}
	k.cover()
	var cutting []*plan.Ticket
	for _, t := range doc.Tickets {
		if t.Kind == plan.CuttingTicket {
			cutting = append(cutting, t)
			k.cutList(t)
		}
	}
	for _, t := range doc.Tickets {
		if t.Kind != plan.CuttingTicket {
			if err := k.panel(t); err != nil {
				return nil, err
			}
		}
	}
	if err := newLabel(p, sheet).tickets(&doc.TicketsDoc, cutting); err != nil {
		return nil, err
	}
	if err := p.tags(&doc.TicketsDoc, sheet); err != nil {
		return nil, err
	}
	k.numberSheets(join(doc.Order, p.revision(doc.Revision)))
	if err := p.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: packet of %s: %w", doc.Order, err)
	}
	return p, nil
}

// packet is a job packet as it is written.
type packet struct {
	flow
	doc   *PacketDoc
	alone bool // the panel in hand hangs alone
}

// flow lays sheets out from the top down.
type flow struct {
	*pen
	size pdf.Size
	y    float64
	head func() error // what every sheet of a part begins with
	cols columns      // of a part that is set in columns
	feet []sheetFoot  // of the sheets that are laid out here; the others are cut apart
	tall int          // lines of a table's cell at most; 0: 3
	err  error        // of a head
}

// sheetFoot is the place of a sheet's foot, which says how many sheets there are.
type sheetFoot struct {
	place pdf.Place
	sheet int
}

// footRoom is what a sheet's foot takes, in points.
const footRoom = 16.0

// columns are two beside each other, below what stands over the sheet's whole width.
type columns struct {
	on  bool
	top float64 // where both begin
	now int     // the one that is being filled
	of  string  // what goes on where another begins, "" at the begin of something
}

// columnGap is what lies between two columns.
const columnGap = 18.0

// part begins a part on a sheet of its own.
func (k *flow) part(head func() error) {
	k.head, k.cols = head, columns{}
	k.begin()
}

// split has what follows set in columns.
func (k *flow) split() { k.cols = columns{on: true, top: k.y} }

// left is where what is laid out begins, wide how wide it may be.
func (k *flow) left() float64 {
	if k.cols.now == 1 {
		return sheetMargin + k.wide() + columnGap
	}
	return sheetMargin
}

func (k *flow) wide() float64 {
	if k.cols.on {
		return (k.room() - columnGap) / 2
	}
	return k.room()
}

func (k *flow) begin() {
	k.pdf.AddPage()
	k.page++
	k.feet = append(k.feet, sheetFoot{k.pdf.Reserve(), k.pdf.Pages()})
	k.y = sheetMargin
	k.err = cmp.Or(k.err, k.head())
}

// need begins another sheet, or column, where so much height is not left, and reports whether it did.
func (k *flow) need(height float64) bool {
	if k.y+height <= k.size.Ht-sheetMargin-footRoom {
		return false
	}
	if k.cols.on && k.cols.now == 0 {
		k.cols.now, k.y = 1, k.cols.top
	} else {
		k.cols.now = 0
		k.begin()
		k.cols.top = k.y
	}
	if k.cols.of != "" {
		k.fitted(k.left(), k.y+10, k.wide(), k.cols.of, 9, bold)
		k.y += 14
	}
	return true
}

func (k *flow) room() float64 { return k.size.Wd - 2*sheetMargin }

// write writes a text over at most most lines and moves on below it.
func (k *flow) write(text string, size float64, st style, most int) {
	if text != "" {
		k.y = k.lines(sheetMargin, k.y, k.room(), text, size, st, most)
	}
}

// title begins a section that has at least so much height below its title.
func (k *flow) title(text string, below float64) {
	k.need(below + 34)
	k.y += 10
	k.write(text, 13, bold, 1)
	k.y += 2
}

func (k *flow) rule() {
	k.pdf.Line(sheetMargin, k.y, k.size.Wd-sheetMargin, k.y)
}

// numberSheets writes the foot of every sheet, what they are and which it is, once it is known how many there are.
func (k *flow) numberSheets(what string) {
	last := k.pdf.Pages()
	for _, f := range k.feet {
		k.page = f.sheet
		k.pdf.Fill(f.place, func() {
			y := k.size.Ht - sheetMargin
			k.text(sheetMargin, y, what, smallest, plain)
			k.right(k.size.Wd-sheetMargin, y, k.say.T("paper.packet.sheet", "Sheet", f.sheet, "Sheets", last), smallest, plain)
		})
	}
}

// column is one of a table.
type column struct {
	name  string
	width float64 // a share of the table's
}

// table writes rows under their columns' names, each row in as many lines as it needs, some columns in bold.
func (k *flow) table(columns []column, rows [][]string, inBold ...int) {
	styles := make([]style, len(columns))
	for _, i := range inBold {
		styles[i] = bold
	}
	names := func() {
		x := sheetMargin
		for _, c := range columns {
			k.fitted(x, k.y+smallest, c.width*k.room()-6, c.name, smallest, plain)
			x += c.width * k.room()
		}
		k.y += smallest * leading
		k.rule()
	}
	names()
	for _, row := range rows {
		const size = 10.0
		var cells [][]string
		most := 1
		for i, text := range row {
			lines := k.wrap(text, columns[i].width*k.room()-6, size, styles[i], cmp.Or(k.tall, 3))
			cells = append(cells, lines)
			most = max(most, len(lines))
		}
		height := float64(most)*size*leading + 5
		if k.need(height) {
			names()
		}
		x := sheetMargin
		for i, lines := range cells {
			y := k.y + 2
			for _, line := range lines {
				k.fitted(x, y+size, columns[i].width*k.room()-6, line, size, styles[i])
				y += size * leading
			}
			x += columns[i].width * k.room()
		}
		k.y += height
		k.pdf.SetLineWidth(ruleWidth / 2)
		k.rule()
		k.pdf.SetLineWidth(ruleWidth)
	}
}
