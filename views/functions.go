package views

import (
	"fmt"
	"html/template"
	"strings"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/views/i18n"
)

// functions are what every template may call.
func (v *Views) functions() template.FuncMap {
	return template.FuncMap{
		"token":     tokenField,
		"asset":     v.Assets.Path,
		"lang":      v.Say.Language,
		"t":         v.Say.T,
		"n":         v.Say.N,
		"station":   v.Say.Station,
		"date":      v.Say.Date,
		"shortDate": v.Say.ShortDate,
		"due":       v.Say.Due,
		"clock":     v.Say.Clock,
		"money":     func(m billing.Money) string { return v.Say.Money(m) },
		"problem":   func(p engine.Problem) string { return v.Say.Problem(p) },
		"value":     v.value,
		"number":    v.number,
		"named":     v.Named,
		"heading":   v.Say.Heading,
		"pieceName": v.PieceName,
		"mark":      markOf,
		"markOnce":  markOnce,
		"markAgain": MarkAgain,
		"strip":     strip,
		"why":       v.why,
		"lacks":     v.Lacks,
		"shortage":  v.Shortage,
	}
}

// Named returns the catalogue's word for a name of a kind ("value", "entry", "check").
func (v *Views) Named(kind, name string) string {
	return v.Say.Named(kind, name)
}

// PieceName names a piece as people call it: "Bay, left · L", "Bay, left 2 · R", "Cutting · reed".
func (v *Views) PieceName(p Piece) string {
	if p.IsCutting() {
		return v.Say.T("page.piece.cutting", "Fabric", p.Fabric)
	}
	name := p.Window
	if p.Copy > 0 {
		name += fmt.Sprintf(" %d", p.Copy)
	}
	if !p.Side() {
		return name
	}
	return name + "\u00a0·\u00a0" + v.Say.T("page.panel."+p.Panel) // a side never stands on a line by itself
}

// why says why a piece is held, "" where nobody said.
func (v *Views) why(p Piece) string {
	if p.Cloth != nil {
		return v.Lacks(p.Cloth)
	}
	if p.ForOffice { // a code, which its flag tells
		return ""
	}
	return p.Reason
}

// Lacks says what the bolts lack for a cutting ticket.
func (v *Views) Lacks(h *stations.ClothHold) string {
	var says []string
	if !h.Short.IsZero() {
		says = append(says, v.Say.T("page.ticket.cloth.short", "Short", v.Say.Quantity(h.Short), "Count", len(h.Cuts), "Cuts", strings.Join(h.Cuts, ", ")))
	}
	if len(h.Windows) > 0 {
		says = append(says, v.Say.T("page.ticket.cloth.mixed", "Windows", strings.Join(h.Windows, ", ")))
	}
	return strings.Join(says, ". ")
}

// Number writes a quantity as people read it from a metre away: the fraction as one, the unit small.
func (v *Views) Number(q measure.Quantity) template.HTML {
	parts := q.Parts()
	halves, widths := q.Halves()
	switch {
	case q.Kind() == measure.List:
		return v.Numbers(parts, " ")
	case q.Kind() == measure.Sum:
		return v.Numbers(parts, " + ")
	case q.Kind() == measure.Size:
		return v.Numbers(parts, " × ")
	case q.Kind() == measure.Alternative: // another heading that would nearly do
		return template.HTML(template.HTMLEscapeString(v.Say.T("trail.alternative",
			"Pleats", v.Say.Quantity(parts[0]), "Margin", v.Say.Quantity(parts[1]), "Width", v.Say.Quantity(parts[2]))))
	case q.IsLength() && !q.Foreign():
		return figure(v.Say.Figure(q.Length(), q.Unit()))
	case widths && halves > 0 && halves%2 == 1: // widths go by halves
		f := i18n.Figure{Num: 1, Den: 2}
		if halves > 1 {
			f.Whole = measure.Count(int(halves / 2))
		}
		return figure(f)
	case q.IsZero() || q.Kind() == measure.Number:
		return template.HTML(`<span class="num">` + template.HTMLEscapeString(v.Say.Quantity(q)) + `</span>`)
	}
	return template.HTML(`<span class="num text">` + template.HTMLEscapeString(v.Say.Quantity(q)) + `</span>`)
}

// Numbers writes several quantities with something between them.
func (v *Views) Numbers(list []measure.Quantity, between string) template.HTML {
	written := make([]string, len(list))
	for i, q := range list {
		written[i] = string(v.Number(q))
	}
	return template.HTML(strings.Join(written, between))
}

// number is Number of what a template has.
func (v *Views) number(value any) template.HTML { return v.Number(v.quantity(value)) }

// value writes what a template has on one line of letters.
func (v *Views) value(value any) string { return v.Say.Quantity(v.quantity(value)) }

// quantity is what a template has: a number of the program's, or what a file has as text, such as a price of 45.50.
func (v *Views) quantity(value any) measure.Quantity {
	if q, ok := value.(measure.Quantity); ok {
		return q
	}
	q := measure.Read(fmt.Sprint(value))
	if number, _, _ := strings.Cut(q.String(), " "); q.Kind() == measure.Word && strings.Trim(number, "0123456789.") == "" {
		return measure.OfWord(v.Say.Decimal(q.String()))
	}
	return q
}

// figure sets a figure as HTML; read aloud or copied it is "96 1⁄2 in".
func figure(f i18n.Figure) template.HTML {
	var b strings.Builder
	b.WriteString(`<span class="num">` + f.Lead())
	if f.Den != 0 {
		if f.Whole != "" {
			b.WriteString(" ")
		}
		fmt.Fprintf(&b, `<span class="fraction"><sup>%d</sup>⁄<sub>%d</sub></span>`, f.Num, f.Den)
	}
	if f.Unit != "" {
		b.WriteString(` <small>` + template.HTMLEscapeString(f.Unit) + `</small>`)
	}
	b.WriteString(`</span>`)
	return template.HTML(b.String())
}
