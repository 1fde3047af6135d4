package paper

import (
	"cmp"
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/paper/pdf"
)

// block is something that stands in one piece on a sheet: what draws it, from the top y down, once it is known where.
type block struct {
	height float64
	draw   func(y float64)
}

// keep puts blocks under one another in one column, or, where there are more than it holds, goes on in the next.
func (k *packet) keep(blocks ...block) {
	height := 0.0
	for _, b := range blocks {
		height += b.height
	}
	whole := height <= k.size.Ht-sheetMargin-footRoom-k.cols.top
	if whole {
		k.need(height)
	}
	for _, b := range blocks {
		if !whole {
			k.need(b.height)
		}
		b.draw(k.y)
		k.y += b.height
	}
}

// panel prints a panel's way: what it is, how it lies, and each station's numbers, measures and checks.
func (k *packet) panel(t *plan.Ticket) error {
	first := true
	k.part(func() error {
		defer func() { first = false }()
		return k.panelHead(t, first)
	})
	k.lies(t)
	k.split()
	k.alone = t.Panel == string(workup.Single)
	for _, s := range t.Steps {
		k.station(s)
	}
	k.holds()
	return k.err
}

// panelHead says whose sheet it is; in full on the first of a panel's.
func (k *packet) panelHead(t *plan.Ticket, full bool) error {
	square := 66.0
	if !full {
		square = 44
	}
	side, height, err := k.ticketSquare(k.size.Wd-sheetMargin, sheetMargin-4, square, k.doc.Address, t.Code, 10)
	if err != nil {
		return err
	}
	top, room := k.y, k.room()-side-8
	copies, where := "", ""
	if t.Copies > 1 {
		copies = k.nth(t.Copy, t.Copies, t.Kind == plan.PieceTicket)
	}
	if t.Room != "" {
		where = k.say.T("paper.ticket.room", "Room", t.Room)
	}
	lines := []headLine{
		{join(k.doc.Order, k.due(k.doc.Due, t.Revision)), 11, bold, 1}, {t.Window, 18, bold, 2},
		{join(k.side(t.Panel, t.Piece), copies), 14, bold, 1}, {join(where, cmp.Or(k.doc.Sidemark, k.doc.Customer)), 10, plain, 1},
		{k.makeup(t), 10, plain, 2}, {k.seen(t), smallest, plain, 1},
	}
	if !full {
		lines = lines[:3]
	}
	for _, h := range lines {
		if h.text != "" {
			k.y = k.lines(sheetMargin, k.y, room, h.text, h.size, h.style, h.most)
		}
	}
	k.y = max(k.y, top+height) + 2
	k.rule()
	k.y += 6
	return nil
}

// lies draws the panel flat, beside it the heading at the return edge where a tape sets it, and writes the notes.
func (k *packet) lies(t *plan.Ticket) {
	if panel := k.doc.drawn(t); panel != nil {
		if used := k.laidOut(t, panel); used > 0 {
			k.y += used + 6
		}
	}
	if t.Under != "" {
		k.write(k.say.T("paper.ticket.under", "What", t.Under), 10, bold, 2)
	}
	if len(t.Notes) > 0 {
		k.write(k.say.T("paper.ticket.note", "Note", strings.Join(t.Notes, " · ")), 10, bold, 4)
		k.y += 4
	}
}

// laidOut draws a panel on its sheet and returns the height that it takes.
func (k *packet) laidOut(t *plan.Ticket, panel *Panel) float64 {
	const height, beside, zoomDown, gap = 190.0, 165.0, 14.0, 20.0
	zoom, zoomed := zoomOf(t)
	if !zoomed {
		return k.flatPanel(panel, t.Units, sheetMargin, k.y, k.room(), height)
	}
	wide := 0.55 * k.room()
	k.zoom(zoom, sheetMargin+wide+gap, k.y+zoomDown, k.room()-wide-gap, beside/2)
	return max(zoomDown+beside/2, k.flatPanel(panel, t.Units, sheetMargin, k.y, wide, beside))
}

// station prints one station's work: its numbers in one column, its measures, and its checks with what can hurt.
func (k *packet) station(s plan.Step) {
	blocks := slices.Concat([]block{k.stationHead(s)}, k.values(s), k.chalk(s))
	k.keep(blocks...)
	k.cols.of = k.say.T("paper.packet.continued", "Station", k.say.Station(s.Station))
	blocks = nil
	enter, checks := askedOf(&s)
	for _, e := range enter {
		blocks = append(blocks, k.entry(e, s.When(e.Name)))
	}
	k.keep(blocks...)
	blocks = []block{k.ticks(&s, checks)}
	for _, c := range s.Cautions {
		blocks = append(blocks, k.cautionBlock(c))
	}
	k.keep(append(blocks, block{6, func(float64) {}})...)
	k.cols.of = ""
}

func (k *packet) stationHead(s plan.Step) block {
	height := 24.0
	signed := len(s.Checks)+len(s.Enter) > 0 // a panel's cutting is signed on the cut list
	if signed {
		height += signHeight
	}
	return block{height, func(y float64) {
		k.pdf.Line(k.left(), y, k.left()+k.wide(), y)
		k.mark(s.Station, k.left()+9, y+12, markRadius)
		k.fitted(k.left()+24, y+16, k.wide()-24, k.say.Station(s.Station), 13, bold)
		if signed {
			k.sign(y + 17 + signHeight)
		}
	}}
}

// signHeight is the line on which a station signs.
const signHeight = 18.0

// sign writes a box to tick when the work is done, and lines for who did it and when, on a baseline.
func (k *packet) sign(y float64) {
	x, end := k.left(), k.left()+k.wide()
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

// values lays out a step's numbers, a block a line.
func (k *packet) values(s plan.Step) []block {
	const size, gap = 13.0, 12.0
	line := capHeight*size + 4 + smallest*leading
	room := k.wide()
	var lines [][]cell
	x := 0.0
	for _, v := range s.Values {
		if toldBetter(s, v.Name) || v.Name == chalkMarks || chosen(s, v.Name) {
			continue
		}
		values := [][]measure.Quantity{v.Value.Parts()}
		between := " · "
		if v.Name == "take_ups" {
			values, between = k.alike(v.Value.Parts()), " × "
		}
		for _, list := range k.fitting(values, between, room, size) {
			c := cell{number: k.setIn(room, list, between, size)}
			c.name, _ = k.fit(k.say.Named("value", v.Name), room, smallest, plain)
			width := max(c.number.width, k.width(c.name, smallest, plain))
			if len(lines) == 0 || x+width > room {
				x, lines = 0, append(lines, nil)
			}
			c.x = x
			x += width + gap
			lines[len(lines)-1] = append(lines[len(lines)-1], c)
		}
	}
	var blocks []block
	for _, cells := range lines {
		blocks = append(blocks, block{line, func(top float64) {
			for _, c := range cells {
				k.text(k.left()+c.x, top+capHeight*size+2+smallest, c.name, smallest, plain)
				k.figure(k.left()+c.x, top+capHeight*size, c.number)
			}
		}})
	}
	return append(blocks, block{2, func(float64) {}})
}

// chosen reports whether a number is told where the station chooses it.
func chosen(s plan.Step, name string) bool {
	return slices.ContainsFunc(s.Enter, func(e plan.Entry) bool { return e.Name == name && e.Kind == plan.ChoiceEntry })
}

// chalk is the running marks of a step's pleats, a block a line.
func (k *packet) chalk(s plan.Step) []block {
	const size = 13.0
	c, ok := k.chalked(s, k.wide(), size)
	if !ok {
		return nil
	}
	blocks := []block{{c.titleRoom() + 4, func(y float64) { k.text(k.left(), y+smallest+3, c.title, smallest, plain) }}}
	for n := range c.lines {
		blocks = append(blocks, block{c.height + 2, func(y float64) { k.chalkLine(c, n, k.left(), y) }})
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
	if e.Kind == plan.ChoiceEntry {
		return k.choice(e)
	}
	const height, boxWidth = 22.0, 74.0
	return block{height, func(y float64) {
		x := k.left()
		room := k.wide() - boxWidth - 6
		k.fitted(x, y+8, room, join(k.say.T("entry."+e.Name), k.occasion(when)), 9, plain)
		g := k.setIn(room/2, []measure.Quantity{e.Target}, "", 12)
		k.figure(x, y+19, g)
		k.fitted(x+g.width+6, y+19, room-g.width-6, k.tolerance(e), 9, plain)
		k.pdf.Rect(x+k.wide()-boxWidth, y+1, boxWidth, height-3, pdf.Stroked)
	}}
}

// choice is a box for each way that a station can choose, what is ordered in bold.
func (k *packet) choice(e plan.Entry) block {
	const line = 14.0
	return block{line * float64(1+len(e.Options)), func(y float64) {
		k.fitted(k.left(), y+10, k.wide(), k.say.T("entry."+e.Name), 9, plain)
		for i, o := range e.Options {
			st := plain
			if o == e.Target.String() {
				st = bold
			}
			base := y + float64(i+1)*line + 10
			k.box(k.left(), base, 9)
			k.fitted(k.left()+13, base, k.wide()-13, k.say.Quantity(measure.OfWord(o)), 9.5, st)
		}
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

// occasion says of which panel something is asked, "" where of each, and of one that hangs alone.
func (k *packet) occasion(when plan.Occasion) string {
	if when == plan.Always || k.alone && when == plan.FirstOfPair {
		return ""
	}
	return k.say.T("paper.packet." + string(when))
}

// ticks are hand checks of a step with boxes.
func (k *packet) ticks(s *plan.Step, checks []string) block {
	const size = 9.0
	var all [][]string
	height := 0.0
	for _, c := range checks {
		lines := k.wrap(k.say.T("check."+c), k.wide()-13, size, plain, 3)
		if only := k.occasion(s.When(c)); only != "" {
			lines = append(lines, only)
		}
		all = append(all, lines)
		height += float64(len(lines))*size*leading + 2
	}
	return block{height, func(y float64) {
		for _, lines := range all {
			k.box(k.left(), y+10, 9)
			for n, line := range lines {
				k.text(k.left()+13, y+size+float64(n)*size*leading, line, size, plain)
			}
			y += float64(len(lines))*size*leading + 2
		}
	}}
}

func (k *packet) cautionBlock(c string) block {
	const size = 9.5
	lines := k.wrap(k.say.T("caution."+c), k.wide()-13, size, bold, 4)
	return block{float64(len(lines))*size*leading + 2, func(y float64) {
		k.warning(k.left(), y+size, 9)
		for n, line := range lines {
			k.text(k.left()+13, y+size+float64(n)*size*leading, line, size, bold)
		}
	}}
}

// holds leaves room to write why a panel was held, and what was decided.
func (k *packet) holds() {
	const lines, line = 2, 26.0
	k.keep(block{30 + lines*line, func(y float64) {
		k.text(k.left(), y+16, k.say.T("paper.packet.holds"), 12, bold)
		words := []string{"paper.packet.hold_where", "paper.packet.hold_why", "paper.packet.hold_decided", "paper.packet.hold_who"}
		shares := []float64{0, 0.28, 0.56, 0.84, 1}
		for i, word := range words {
			k.fitted(k.left()+shares[i]*k.wide(), y+29, (shares[i+1]-shares[i])*k.wide()-4, k.say.T(word), smallest, plain)
		}
		for n := range lines {
			for i := range words {
				below := y + 30 + float64(n+1)*line
				k.pdf.Line(k.left()+shares[i]*k.wide(), below, k.left()+shares[i+1]*k.wide()-6, below)
			}
		}
	}})
}
