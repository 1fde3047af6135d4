package paper

import (
	"cmp"
	"strings"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/views/paper/pdf"
)

// block is something that stands in one piece on a sheet: what draws it, from the top y down, once it is known where.
type block struct {
	height float64
	draw   func(y float64)
}

// keep puts blocks under one another on one sheet.
func (k *packet) keep(blocks ...block) {
	height := 0.0
	for _, b := range blocks {
		height += b.height
	}
	k.need(height)
	for _, b := range blocks {
		b.draw(k.y)
		k.y += b.height
	}
}

// panel prints a panel's way: what it is, how it lies, and each station's numbers, measures and checks.
func (k *packet) panel(t *plan.Ticket) error {
	k.part(func() error { return k.panelHead(t) })
	k.lies(t)
	for _, s := range t.Steps {
		k.station(s)
	}
	k.holds()
	return k.err
}

func (k *packet) panelHead(t *plan.Ticket) error {
	side, height, err := k.ticketSquare(k.size.Wd-sheetMargin, sheetMargin-4, 66, k.doc.Address, t.Code, 10)
	if err != nil {
		return err
	}
	top, room := k.y, k.room()-side-8
	copies, where := "", ""
	if t.Copies > 1 {
		copies = k.say.T("paper.ticket.copy", "Copy", t.Copy, "Count", t.Copies)
	}
	if t.Room != "" {
		where = k.say.T("paper.ticket.room", "Room", t.Room)
	}
	for _, h := range []headLine{
		{join(k.doc.Order, k.due(k.doc.Due, t.Revision)), 11, bold, 1}, {t.Window, 18, bold, 2},
		{join(k.say.T("paper.ticket.panel."+t.Panel), copies), 14, bold, 1}, {join(where, cmp.Or(k.doc.Sidemark, k.doc.Customer)), 10, plain, 1},
		{k.makeup(t), 10, plain, 2}, {k.say.T("paper.ticket.seen"), smallest, plain, 1},
	} {
		if h.text != "" {
			k.y = k.lines(sheetMargin, k.y, room, h.text, h.size, h.style, h.most)
		}
	}
	k.y = max(k.y, top+height) + 2
	k.rule()
	k.y += 6
	return nil
}

// lies draws the panel flat, beside it the heading at the return edge, and writes the notes.
func (k *packet) lies(t *plan.Ticket) {
	const height, gap = 215.0, 20.0
	zoom, zoomed := zoomOf(t)
	if panel := k.doc.drawn(t); panel != nil {
		wide := k.room()
		if zoomed {
			wide = 0.55 * k.room()
		}
		k.flatPanel(panel, t.Units, sheetMargin, k.y, wide, height)
		if zoomed {
			k.zoom(zoom, sheetMargin+wide+gap, k.y+14, k.room()-wide-gap, height/2)
		}
		k.y += height + 4
	}
	if t.Under != "" {
		k.write(k.say.T("paper.ticket.under", "What", t.Under), 10, bold, 2)
	}
	if len(t.Notes) > 0 {
		k.write(k.say.T("paper.ticket.note", "Note", strings.Join(t.Notes, " · ")), 10, bold, 4)
		k.y += 4
	}
}

// station prints one station's work. It is kept on one sheet, but for running marks that would fill it.
func (k *packet) station(s plan.Step) {
	blocks := append([]block{k.stationHead(s), k.values(s)}, k.chalk(s)...)
	for len(blocks) > mostKept {
		k.keep(blocks[:mostKept]...)
		blocks = blocks[mostKept:]
	}
	enter, checks := askedOf(&s)
	for _, e := range enter {
		blocks = append(blocks, k.entry(e, s.When(e.Name)))
	}
	blocks = append(blocks, k.ticks(&s, checks))
	for _, c := range s.Cautions {
		blocks = append(blocks, k.cautionBlock(c))
	}
	k.keep(append(blocks, block{6, func(float64) {}})...)
}

func (k *packet) stationHead(s plan.Step) block {
	return block{24, func(y float64) {
		k.pdf.Line(sheetMargin, y, k.size.Wd-sheetMargin, y)
		k.mark(s.Station, sheetMargin+9, y+12, markRadius)
		k.fitted(sheetMargin+24, y+16, 0.36*k.room(), k.say.Station(s.Station), 13, bold)
		if len(s.Checks)+len(s.Enter) > 0 { // a panel's cutting is signed on the cut list
			k.sign(y + 17)
		}
	}}
}

// sign writes a box to tick when the work is done, and lines for who did it and when, on a baseline.
func (k *packet) sign(y float64) {
	x := sheetMargin + 0.45*k.room()
	end := k.size.Wd - sheetMargin
	k.box(x, y, 11)
	x += 15
	for i, word := range []string{"paper.packet.done", "paper.packet.name", "paper.packet.time"} {
		text := k.say.T(word)
		k.text(x, y, text, 9, plain)
		x += k.width(text, 9, plain) + 3
		if i == 0 {
			x += 10
			continue
		}
		to := x + (end-x)*0.45
		if i == 2 {
			to = end
		}
		k.pdf.Line(x, y+1, to, y+1)
		x = to + 8
	}
}

// values lays out a step's numbers in lines.
func (k *packet) values(s plan.Step) block {
	const size, gap = 14.0, 14.0
	line := capHeight*size + 6 + smallest*leading
	left, room := sheetMargin+24, k.room()-24
	var cells []cell
	x, y := 0.0, 0.0
	for _, v := range s.Values {
		if toldBetter(s, v.Name) || v.Name == chalkMarks {
			continue
		}
		values := [][]measure.Quantity{v.Value.Parts()}
		between := " · "
		if v.Name == "take_ups" {
			values, between = k.alike(v.Value.Parts()), " × "
		}
		for _, list := range k.fitting(values, between, room, size) {
			c := cell{number: k.setIn(room, list, between, size)}
			c.name, _ = k.fit(k.say.T("value."+v.Name), room, smallest, plain)
			width := max(c.number.width, k.width(c.name, smallest, plain))
			if x > 0 && x+width > room {
				x, y = 0, y+line
			}
			c.x, c.y = x, y+capHeight*size
			x += width + gap
			cells = append(cells, c)
		}
	}
	height := y + line + 2
	if len(cells) == 0 {
		height = 0
	}
	return block{height, func(top float64) {
		for _, c := range cells {
			k.text(left+c.x, top+c.y+2+smallest, c.name, smallest, plain)
			k.figure(left+c.x, top+c.y, c.number)
		}
	}}
}

// mostKept is how many of a station's blocks are kept together: running marks of some hundred pleats are more.
const mostKept = 24

// chalk is the running marks of a step's pleats, a block a line.
func (k *packet) chalk(s plan.Step) []block {
	const size = 13.0
	left := sheetMargin + 24
	c, ok := k.chalked(s, k.room()-24, size)
	if !ok {
		return nil
	}
	blocks := []block{{c.titleRoom() + 4, func(y float64) { k.text(left, y+smallest+3, c.title, smallest, plain) }}}
	for n := range c.lines {
		blocks = append(blocks, block{c.height + 2, func(y float64) { k.chalkLine(c, n, left, y) }})
	}
	return blocks
}

// fitting breaks lists that are too long for a line.
func (k *packet) fitting(lists [][]measure.Quantity, between string, room, size float64) (fit [][]measure.Quantity) {
	for _, list := range lists {
		for len(list) > 0 {
			n := len(list)
			for n > 1 && k.set(list[:n], between, size).width > room {
				n--
			}
			fit, list = append(fit, list[:n]), list[n:]
		}
	}
	return fit
}

// entry is a line for what is measured: what, the target and how far off it may be, and a box to write in.
func (k *packet) entry(e plan.Entry, when plan.Occasion) block {
	const height, boxWidth = 22.0, 110.0
	left := sheetMargin + 24
	return block{height, func(y float64) {
		base := y + 15
		name := base
		if only := k.occasion(when); only != "" {
			name -= 5
			k.fitted(left, base+5, 0.36*k.room(), only, smallest, plain)
		}
		k.fitted(left, name, 0.36*k.room(), k.say.T("entry."+e.Name), 10, plain)
		x := left + 0.38*k.room()
		if e.Kind == plan.ChoiceEntry {
			x = left + 0.2*k.room()
			for _, o := range e.Options {
				st := plain
				if o == e.Target.String() {
					st = bold
				}
				k.box(x, base, 9)
				text := k.say.Quantity(measure.OfWord(o))
				k.text(x+12, base, text, 9, st)
				x += 22 + k.width(text, 9, st)
			}
			return
		}
		g := k.setIn(90, []measure.Quantity{e.Target}, "", 13)
		k.figure(x, base, g)
		k.fitted(x+g.width+6, base, 130, k.tolerance(e), 9, plain)
		k.pdf.Rect(k.size.Wd-sheetMargin-boxWidth, y+1, boxWidth, height-3, pdf.Stroked)
	}}
}

// tolerance says how far a measure may be from its target.
func (k *packet) tolerance(e plan.Entry) string {
	switch {
	case e.Tolerance == nil:
		return k.say.T("paper.packet.exactly")
	case e.Tolerance.Minus == e.Tolerance.Plus:
		return "± " + k.say.Quantity(e.Tolerance.Plus)
	}
	return "− " + k.say.Quantity(e.Tolerance.Minus) + ", + " + k.say.Quantity(e.Tolerance.Plus)
}

// askedOf returns what a step asks of its ticket, always or perhaps: paper is made before anybody knows which panel comes first.
func askedOf(s *plan.Step) (enter []plan.Entry, checks []string) {
	for _, e := range s.Enter {
		if s.When(e.Name) != plan.Never {
			enter = append(enter, e)
		}
	}
	for _, c := range s.Checks {
		if s.When(c) != plan.Never {
			checks = append(checks, c)
		}
	}
	return enter, checks
}

// occasion says of which panel something is asked, "" where of each.
func (k *packet) occasion(when plan.Occasion) string {
	if when == plan.Always {
		return ""
	}
	return k.say.T("paper.packet." + string(when))
}

// ticks are hand checks of a step with boxes, two beside each other.
func (k *packet) ticks(s *plan.Step, checks []string) block {
	const size = 9.5
	left, wide := sheetMargin+24, (k.room()-24)/2
	type tick struct {
		lines []string
		x, y  float64
	}
	var all []tick
	y, row := 0.0, 0.0
	for i, c := range checks {
		t := tick{lines: k.wrap(join(k.say.T("check."+c), k.occasion(s.When(c))), wide-22, size, plain, 3), x: left + wide*float64(i%2)}
		if i%2 == 0 {
			y, row = y+row, 0
		}
		t.y = y
		row = max(row, float64(len(t.lines))*size*leading+3)
		all = append(all, t)
	}
	return block{y + row, func(top float64) {
		for _, t := range all {
			k.box(t.x, top+t.y+10, 9)
			for n, line := range t.lines {
				k.text(t.x+13, top+t.y+size+float64(n)*size*leading, line, size, plain)
			}
		}
	}}
}

func (k *packet) cautionBlock(c string) block {
	const size = 9.5
	left := sheetMargin + 24
	lines := k.wrap(k.say.T("caution."+c), k.room()-40, size, bold, 3)
	return block{float64(len(lines))*size*leading + 2, func(y float64) {
		k.warning(left, y+size, 9)
		for n, line := range lines {
			k.text(left+13, y+size+float64(n)*size*leading, line, size, bold)
		}
	}}
}

// holds leaves room to write why a panel was held, and what was decided.
func (k *packet) holds() {
	const lines, line = 3, 26.0
	k.keep(block{30 + lines*line, func(y float64) {
		k.text(sheetMargin, y+16, k.say.T("paper.packet.holds"), 12, bold)
		words := []string{"paper.packet.hold_where", "paper.packet.hold_why", "paper.packet.hold_decided", "paper.packet.hold_who"}
		shares := []float64{0, 0.18, 0.5, 0.82, 1}
		for i, word := range words {
			k.fitted(sheetMargin+shares[i]*k.room(), y+29, (shares[i+1]-shares[i])*k.room()-6, k.say.T(word), smallest, plain)
		}
		for n := range lines {
			for i := range words {
				below := y + 30 + float64(n+1)*line
				k.pdf.Line(sheetMargin+shares[i]*k.room(), below, sheetMargin+shares[i+1]*k.room()-8, below)
			}
		}
	}})
}
