package paper

import (
	"fmt"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/paper/pdf"
)

// cutting prints a fabric's cutting ticket: its bolts to scale with the cuts on them, then every cut, over as many
// labels as it takes.
func (p *page) cutting() error {
	rows := p.cutRows()
	for label := 1; len(rows) > 0; label++ {
		if err := p.cuttingHead(label); err != nil {
			return err
		}
		if label == 1 {
			p.clothNumbers()
			p.bolts()
			p.checks()
			p.rule()
		}
		p.line(labelMargin, inside, p.say.T("paper.cutting.counted"), smallest, plain)
		p.y += 2
		room := p.left() - smallest*leading // for where it goes on
		n := 0
		for n < len(rows) && room >= rows[n].height {
			room -= rows[n].height
			p.cutRow(rows[n])
			n++
		}
		if n == 0 && label > 1 {
			return fmt.Errorf("paper: a cut of %s does not fit a label", p.ticket.Fabric)
		}
		if rows = rows[n:]; len(rows) > 0 {
			p.line(labelMargin, inside, p.say.T("paper.ticket.more", "Label", label+1), smallest, bold)
		}
	}
	return nil
}

func (p *page) cuttingHead(label int) error {
	use := ""
	if f := p.fabric(); f != nil {
		use = p.say.T("use." + string(f.Use))
	}
	return p.head(func() string { return "" },
		headLine{p.doc.Order, 16, bold, 1},
		headLine{p.say.T("paper.cutting.title", "Fabric", p.ticket.Fabric), 14, bold, 2},
		headLine{use, 11, plain, 1},
		headLine{p.dueLine(), 10, bold, 1},
		headLine{p.doc.Sidemark, 9, plain, 1},
		headLine{p.continued(label), 9, plain, 1},
	)
}

// clothNumbers writes the numbers of the whole cloth.
func (p *page) clothNumbers() {
	const size, gap = 12.0, 10.0
	x, y := float64(labelMargin), p.y+capHeight*size
	for _, s := range p.ticket.Steps {
		for _, v := range s.Values {
			if v.Name == "fabric" || v.Name == "on_bolts" { // the title says the one, the picture the other
				continue
			}
			name, _ := p.fit(p.say.T("value."+v.Name), inside, smallest, plain)
			g := p.setIn(inside, []measure.Quantity{v.Value}, "", size)
			width := max(g.width, p.width(name, smallest, plain))
			if x > labelMargin && x+width > labelWidth-labelMargin {
				x, y = labelMargin, y+capHeight*size+2+smallest*leading
			}
			p.text(x, y+2+smallest, name, smallest, plain)
			p.figure(x, y, g)
			x += width + gap
		}
	}
	p.y = y + 4 + smallest*leading
}

// checks writes the hand checks with boxes to tick, and what can hurt.
func (p *page) checks() {
	for _, s := range p.ticket.Steps {
		enter, checks := askedOf(&s)
		for _, e := range enter {
			p.asked(e)
		}
		for _, c := range checks {
			p.pdf.Rect(labelMargin, p.y+1.5, 7, 7, pdf.Stroked)
			p.paragraph(labelMargin+11, inside-11, p.say.T("check."+c), smallest, plain, 2)
		}
		for _, c := range s.Cautions {
			p.warning(labelMargin, p.y+smallest, smallest)
			p.paragraph(labelMargin+11, inside-11, p.say.T("caution."+c), smallest, plain, 2)
		}
	}
}

// asked writes what is measured before the first cut, what it should be, and a line for what it is.
func (p *page) asked(e plan.Entry) {
	y := p.y + smallest
	text := p.say.T("entry."+e.Name) + ": " + p.say.Quantity(e.Target)
	text, _ = p.fit(text, inside-60, smallest, plain)
	p.text(labelMargin, y, text, smallest, plain)
	p.pdf.Line(labelMargin+p.width(text, smallest, plain)+6, y+1, labelWidth-labelMargin, y+1)
	p.y += smallest * leading
}

// bolts draws the bolts that are cut, as many as the label has room for.
func (p *page) bolts() {
	strips, more := p.doc.strips(p.pen, p.ticket, labelMargin, inside), 0
	for _, b := range strips.bolts {
		if p.left() > 120 {
			p.y = strips.draw(b, p.y)
		} else {
			more++
		}
	}
	if more > 0 {
		p.line(labelMargin, inside, p.say.N("paper.cutting.bolts_more", more), smallest, bold)
	}
}

func (p *page) fabric() *orderfile.Fabric { return p.doc.fabric(p.ticket.Fabric) }

func (d *TicketsDoc) fabric(id string) *orderfile.Fabric {
	for i := range d.Fabrics {
		if d.Fabrics[i].ID == id {
			return &d.Fabrics[i]
		}
	}
	return nil
}

// cutRow is one cut of the list, or a run of equal ones, laid out.
type cutRow struct {
	number string
	first  []told    // where it lies and how long it is
	size   float64   // of the numbers there
	pieces []string  // for whom
	run    []cutMark // of a run: its cuts, a line each
	height float64
}

// cutMark is a cut of a run: where it ends on its bolt, read off one rule laid from the bolt's begin, and for whom it is.
type cutMark struct {
	number string
	end    figure
	pieces []string
}

// told is a number with a word before it, or the word alone.
type told struct {
	word  string
	value measure.Quantity
}

const (
	rowIndent  = 20.0
	largestRow = 12.0
	leastRow   = 9.0
	wordGap    = 3.0
	toldGap    = 8.0
)

func (p *page) cutRows() []cutRow {
	var rows []cutRow
	for cuts := p.ticket.Cuts; len(cuts) > 0; {
		if r, n := p.run(cuts); n > 0 {
			rows, cuts = append(rows, r), cuts[n:]
			continue
		}
		c := cuts[0]
		cuts = cuts[1:]
		r := cutRow{number: c.Cut, first: p.cutSays(c), size: largestRow}
		for r.size > leastRow && p.toldWidth(r.first, r.size) > inside-rowIndent {
			r.size -= 0.5
		}
		for _, text := range p.pieces(c) {
			r.pieces = append(r.pieces, p.wrap(text, inside-rowIndent, smallest, plain, 2)...)
		}
		r.height = capHeight*r.size + 8 + float64(len(r.pieces))*smallest*leading
		rows = append(rows, r)
	}
	return rows
}

// A run is of at least leastRun equal cuts; where they are higher than mostRun another begins, so that one fits a label.
const (
	leastRun = 3
	mostRun  = 160.0

	runMark = 10.0 // size of a cut's mark in a run
	markEnd = 62.0 // what number and mark take
)

// runOf counts the cuts that follow one another on a bolt without a gap and are cut alike.
func runOf(cuts []plan.Cut) int {
	first := cuts[0]
	if first.Bolt == "" || !first.From.IsLength() || !first.Length.IsLength() {
		return 1
	}
	n := 1
	for n < len(cuts) {
		before, c := cuts[n-1], cuts[n]
		if c.Bolt != first.Bolt || c.Lot != first.Lot || c.Class != first.Class || c.Phase != first.Phase || c.Trimming != first.Trimming || c.Railroaded != first.Railroaded || c.Across != first.Across || c.Length != first.Length || c.TrimTop != first.TrimTop ||
			c.TrimBottom != first.TrimBottom || !c.From.IsLength() || c.From.Length() != before.From.Length()+before.Length.Length() {
			break
		}
		n++
	}
	return n
}

// run lays out the run that cuts begin with, and returns how many they are, 0 where it is none.
func (p *page) run(cuts []plan.Cut) (r cutRow, n int) {
	for n = runOf(cuts[:min(len(cuts), mostRun/runMark)]); n >= leastRun; n-- {
		if r = p.runRow(cuts[:n]); r.height <= mostRun || n == leastRun {
			return r, n
		}
	}
	return r, 0
}

// runRow lays a run out: once how long each is, then a line a cut.
func (p *page) runRow(cuts []plan.Cut) cutRow {
	first := p.cutSays(cuts[0])
	first[1].word = p.say.T("paper.cutting.run", "Count", len(cuts))
	r := cutRow{number: cuts[0].Cut + "–" + cuts[len(cuts)-1].Cut, first: first, size: largestRow}
	for r.size > leastRow && p.toldWidth(r.first, r.size) > inside-p.indent(r) {
		r.size -= 0.5
	}
	r.height = capHeight*r.size + 8 + smallest*leading
	for _, c := range cuts {
		end := measure.OfLength(c.From.Length()+c.Length.Length(), c.From.Unit())
		m := cutMark{number: c.Cut, end: p.bare(end, runMark)}
		for _, text := range p.pieces(c) {
			m.pieces = append(m.pieces, p.wrap(text, inside-markEnd, smallest, plain, 2)...)
		}
		r.run = append(r.run, m)
		r.height += m.height()
	}
	return r
}

// indent is what a row's number takes.
func (p *page) indent(r cutRow) float64 { return max(rowIndent, p.width(r.number, 11, bold)+4) }

// bare sets a length without the unit that a list of them has at its head.
func (p *pen) bare(q measure.Quantity, size float64) figure {
	var g figure
	f := p.say.Figure(q.Length(), q.Unit())
	g.length(p, f, size, false)
	g.spoken = strings.TrimSuffix(f.String(), " "+f.Unit)
	return g
}

func (m cutMark) height() float64 {
	return max(runMark*leading, float64(len(m.pieces))*smallest*leading+2)
}

// pieces says for whom a cut is, one sentence a piece. What tells pieces apart comes first: only the end of a long
// name may be lost.
func (p *pen) pieces(c plan.Cut) []string {
	var pieces []string
	for _, piece := range c.Shares() {
		half, copies := "", "" // copies are told only where the order has several such windows
		if piece.Half != "" {
			half = p.say.T("half." + string(piece.Half))
		}
		if piece.Copies > 1 {
			copies = p.nth(piece.Copy, piece.Copies, piece.Panel == "")
		}
		if piece.Panel == "" {
			pieces = append(pieces, p.say.T("paper.cutting.of_piece", "Copy", copies, "Text", piece.Window, "Place", piece.Place))
			continue
		}
		if piece.Trimming != "" {
			pieces = append(pieces, p.trimming(piece, copies))
			continue
		}
		pieces = append(pieces, p.say.T("paper.cutting.piece", "Half", half, "Copy", copies, "Window", piece.Window,
			"Panel", p.say.T("panel."+piece.Panel), "Place", piece.Place))
	}
	if c.LeavesHalf() {
		pieces = append(pieces, p.say.T("paper.cutting.half_left"))
	}
	if c.OffHalf {
		pieces = append(pieces, p.say.T("paper.cutting.off_half"))
	}
	return pieces
}

// trimming says what of a row of tabs, of facing or of bands is for a panel.
func (p *pen) trimming(s plan.Share, copies string) string {
	args := []any{"Copy", copies, "Window", s.Window, "Panel", p.say.T("panel." + s.Panel)}
	if s.Trimming == workup.ForTabs {
		return p.say.N("paper.cutting.tabs", s.Count, append(args, "Across", p.say.Quantity(s.Across))...)
	}
	if s.Trimming == workup.ForBand {
		across := ""
		if !s.Across.IsZero() {
			across = p.say.Quantity(s.Across)
		}
		return p.say.T("paper.cutting.band", append(args, "Count", s.Count, "Across", across)...)
	}
	return p.say.T("paper.cutting.facing", args...)
}

// cutSays says where a cut lies and how long it is.
func (p *page) cutSays(c plan.Cut) []told {
	says := []told{{p.say.T("paper.cutting.no_bolt"), measure.Quantity{}}}
	if c.Bolt != "" {
		says = []told{{p.say.T("paper.cutting.from", "Bolt", c.Bolt), c.From}}
	}
	if c.Railroaded {
		says = append(says, told{p.say.T("paper.cutting.turned"), c.Length}, told{p.say.T("paper.cutting.across"), c.Across})
	} else {
		says = append(says, told{p.say.T("paper.cutting.cut"), c.Length})
	}
	if !c.Phase.IsZero() {
		says = append(says, told{p.say.T("paper.cutting.phase"), c.Phase})
	}
	if !c.TrimTop.IsZero() {
		says = append(says, told{p.say.T("paper.cutting.trim_top"), c.TrimTop})
	}
	if !c.TrimBottom.IsZero() {
		says = append(says, told{p.say.T("paper.cutting.trim_bottom"), c.TrimBottom})
	}
	if c.Class != "" && c.Phase.IsZero() {
		says = append(says, told{p.say.T("paper.cutting.class", "Class", c.Class), measure.Quantity{}})
	}
	return says
}

// runLines writes the cuts of a run.
func (p *page) runLines(run []cutMark) {
	if len(run) == 0 {
		return
	}
	p.line(labelMargin+rowIndent, inside-rowIndent, p.say.T("paper.cutting.ends", "Unit", string(p.ticket.Units)), smallest, plain)
	for _, m := range run {
		base := p.y + runMark
		p.text(labelMargin, base, m.number, 9, bold)
		p.figure(labelMargin+rowIndent, base, m.end)
		for n, line := range m.pieces {
			p.text(labelMargin+markEnd, base+float64(n)*smallest*leading, line, smallest, plain)
		}
		p.y += m.height()
	}
}

func (p *page) toldWidth(says []told, size float64) float64 {
	width := -toldGap
	for _, t := range says {
		width += p.width(t.word, smallest, plain) + toldGap
		if !t.value.IsZero() {
			width += wordGap + p.set([]measure.Quantity{t.value}, "", size).width
		}
	}
	return width
}

func (p *page) cutRow(r cutRow) {
	top := p.y
	y := top + 2 + capHeight*r.size
	p.text(labelMargin, y, r.number, 11, bold)
	x := labelMargin + p.indent(r)
	for _, t := range r.first {
		word, _ := p.fit(t.word, labelWidth-labelMargin-x, smallest, plain)
		p.text(x, y, word, smallest, plain)
		x += p.width(word, smallest, plain)
		if !t.value.IsZero() {
			g := p.setIn(labelWidth-labelMargin-x-wordGap, []measure.Quantity{t.value}, "", r.size)
			p.figure(x+wordGap, y, g)
			x += wordGap + g.width
		}
		x += toldGap
	}
	p.y = y + 3
	for _, line := range r.pieces {
		p.line(labelMargin+rowIndent, inside-rowIndent, line, smallest, plain)
	}
	p.runLines(r.run)
	p.y = top + r.height
}
