package paper

import (
	"fmt"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/views/i18n"
)

// cutting prints a fabric's cutting ticket: its bolts to scale with the cuts on them, then every cut, over as many
// labels as it takes.
func (p *page) cutting() error {
	rows := p.cutRows()
	for first := 1; len(rows) > 0; first++ {
		more := ""
		if first > 1 {
			more = p.say.T("paper.cutting.continued", "Label", first)
		}
		err := p.head(
			headLine{p.doc.Order, 15, bold, 1},
			headLine{p.say.T("paper.cutting.title", "Fabric", p.ticket.Fabric), 12, bold, 2},
			headLine{p.dueLine(), 9, plain, 1},
			headLine{p.doc.Sidemark, 9, plain, 1},
			headLine{more, 9, plain, 1},
		)
		if err != nil {
			return err
		}
		if first == 1 {
			p.clothNumbers()
			p.bolts()
			p.checks()
			p.rule()
		}
		n := 0
		for n < len(rows) && p.left() >= rows[n].height {
			p.cutRow(rows[n])
			n++
		}
		if n == 0 {
			return fmt.Errorf("paper: a cut of %s does not fit a label", p.ticket.Fabric)
		}
		rows = rows[n:]
	}
	return nil
}

// clothNumbers writes the numbers of the whole cloth on a few lines.
func (p *page) clothNumbers() {
	var parts []string
	for _, s := range p.ticket.Steps {
		for _, v := range s.Values {
			if v.Name != "fabric" {
				parts = append(parts, p.say.T("value."+v.Name)+" "+p.number(v.Value))
			}
		}
	}
	p.paragraph(labelMargin, inside, strings.Join(parts, " · "), 9, plain, 3)
}

// checks writes the hand checks with boxes to tick, and the blade's caution.
func (p *page) checks() {
	for _, s := range p.ticket.Steps {
		for _, c := range s.Checks {
			p.pdf.Rect(labelMargin, p.y+1.5, 7, 7, "D")
			p.line(labelMargin+11, inside-11, p.say.T("check."+c), smallest, plain)
		}
	}
	p.paragraph(labelMargin, inside, p.say.T("caution.blade"), smallest, bold, 2)
}

// boltHeight is a bolt's in the picture.
const boltHeight = 15

// bolts draws the bolts that are cut, to scale: cuts numbered as in the list, flaws black.
func (p *page) bolts() {
	fabric := p.fabric()
	if fabric == nil {
		return
	}
	var longest measure.Length
	for _, b := range fabric.Bolts {
		if p.cutFrom(b.ID) {
			longest = max(longest, b.Length)
		}
	}
	for _, b := range fabric.Bolts {
		if p.cutFrom(b.ID) && p.left() > 120 {
			p.bolt(b, longest)
		}
	}
}

func (p *page) fabric() *orderfile.Fabric {
	for i := range p.doc.Fabrics {
		if p.doc.Fabrics[i].ID == p.ticket.Fabric {
			return &p.doc.Fabrics[i]
		}
	}
	return nil
}

func (p *page) cutFrom(bolt string) bool {
	for _, c := range p.ticket.Cuts {
		if c.Bolt == bolt {
			return true
		}
	}
	return false
}

func (p *page) bolt(b orderfile.Bolt, longest measure.Length) {
	scale := inside / float64(longest)
	name := b.ID
	if b.Lot != "" {
		name = p.say.T("paper.cutting.lot", "Bolt", b.ID, "Lot", b.Lot)
	}
	p.line(labelMargin, inside, join(name, p.number(b.Length.In(p.ticket.Units))), smallest, plain)
	p.y++
	p.pdf.Rect(labelMargin, p.y, float64(b.Length)*scale, boltHeight, "D")
	p.pdf.SetFillColor(0, 0, 0)
	for _, f := range b.Flaws {
		p.pdf.Rect(labelMargin+float64(f.From)*scale, p.y, max(1, float64(f.To-f.From)*scale), boltHeight, "F")
	}
	p.pdf.SetFillColor(228, 228, 228)
	for i, c := range p.ticket.Cuts {
		from, _, placed := i18n.ParseValue(c.From)
		length, _, ok := i18n.ParseValue(c.Length)
		if c.Bolt != b.ID || !placed || !ok {
			continue
		}
		x, width := labelMargin+float64(from)*scale, float64(length)*scale
		p.pdf.Rect(x, p.y, width, boltHeight, "FD")
		number := measure.Count(i + 1)
		if w := p.width(number, smallest, plain); w < width {
			p.text(x+(width-w)/2, p.y+boltHeight/2+3, number, smallest, plain)
		}
	}
	p.y += boltHeight + 3
}

// row is one cut of the list, broken into lines.
type row struct {
	number string
	first  string   // bolt, start, length
	more   []string // for whom
	height float64
}

const (
	rowSize   = 9.0
	rowIndent = 20.0
)

func (p *page) cutRows() []row {
	rows := make([]row, len(p.ticket.Cuts))
	for i, c := range p.ticket.Cuts {
		r := row{number: measure.Count(i + 1), first: p.cutLine(c)}
		var pieces []string
		for _, piece := range c.For {
			copies := "" // told only where the order has several such windows
			if n := p.doc.Windows[piece.Window]; n > 1 {
				copies = p.say.T("paper.ticket.copy", "Copy", piece.Copy, "Count", n)
			}
			text := p.say.T("paper.cutting.piece", "Window", piece.Window, "Copy", copies, "Panel", p.say.T("panel."+piece.Panel), "Place", piece.Place)
			if piece.Half != "" {
				text += ", " + p.say.T("half."+string(piece.Half))
			}
			pieces = append(pieces, text)
		}
		if len(pieces) == 1 && c.For[0].Half != "" {
			pieces = append(pieces, p.say.T("paper.cutting.half_left"))
		}
		r.more = p.wrap(strings.Join(pieces, "; "), inside-rowIndent, smallest, plain, 2)
		r.height = rowSize*leading + float64(len(r.more))*smallest*leading + 3
		rows[i] = r
	}
	return rows
}

// cutLine says where a cut lies and how long it is.
func (p *page) cutLine(c stations.CutLine) string {
	parts := []string{p.number(c.Length)}
	if c.Bolt == "" {
		parts = append(parts, p.say.T("paper.cutting.no_bolt"))
	} else {
		parts = append(parts, p.say.T("paper.cutting.from", "Bolt", c.Bolt, "From", p.number(c.From)))
	}
	if c.Class != "" {
		parts = append(parts, p.say.T("paper.cutting.class", "Class", c.Class))
	}
	if c.TrimBottom != "" {
		parts = append(parts, p.say.T("paper.cutting.trim_bottom", "Length", p.number(c.TrimBottom)))
	}
	return strings.Join(parts, " · ")
}

func (p *page) cutRow(r row) {
	top := p.y
	p.line(labelMargin+rowIndent, inside-rowIndent, r.first, rowSize, bold)
	p.text(labelMargin, top+rowSize, r.number, rowSize, bold)
	for _, line := range r.more {
		p.line(labelMargin+rowIndent, inside-rowIndent, line, smallest, plain)
	}
	p.y = top + r.height
}
