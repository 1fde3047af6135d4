package views

import (
	"fmt"
	"html/template"
	"strings"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/views/i18n"
)

// functions are what the templates may call.
func (v *Views) functions() template.FuncMap {
	return template.FuncMap{
		"asset":     v.Assets.Path,
		"lang":      v.say.Language,
		"t":         v.say.T,
		"n":         v.say.N,
		"station":   v.say.Station,
		"date":      v.say.Date,
		"shortDate": v.say.ShortDate,
		"clock":     v.say.Clock,
		"money":     func(m billing.Money) string { return v.say.Money(m) },
		"problem":   func(p engine.Problem) string { return v.say.Problem(p) },
		"value":     v.say.Value,
		"what":      v.say.BilledWhat,
		"panels":    v.say.BilledPanels,
		"rate":      v.say.BilledRate,
		"number":    v.Number,
		"named":     v.named,
		"trail":     v.Trail,
		"pieceName": v.PieceName,
		"mark":      mark,
		"strip":     strip,
		"stations":  stations.Stations,
		"keypad":    v.keypad,
		"point":     v.say.Mark,
		"reasons":   HoldReasons,
		"minus":     func(value string) bool { return strings.HasPrefix(value, "-") },
		"hung":      boardStrip,
		"opened":    v.opened,
		"why":       v.why,
		"lacks":     v.Lacks,
	}
}

// named returns the catalogue's word for a name of a kind ("value", "entry", "check"); a name that no catalogue
// has is shown as it is written in files, with spaces.
func (v *Views) named(kind, name string) string {
	if key := kind + "." + name; i18n.Has(key) {
		return v.say.T(key)
	}
	return strings.ReplaceAll(name, "_", " ")
}

// PieceName names a piece as people call it: "Bay, left · L", "Bay, left 2 · R", "Cutting · reed".
func (v *Views) PieceName(p Piece) string {
	if p.IsCutting() {
		return v.say.T("page.piece.cutting", "Fabric", p.Fabric)
	}
	name := p.Window
	if p.Copy > 0 {
		name += fmt.Sprintf(" %d", p.Copy)
	}
	if p.Panel == string(workup.Single) {
		return name
	}
	return name + "\u00a0·\u00a0" + v.say.T("page.panel."+p.Panel) // a side never stands on a line by itself
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
	if h.Short != "" {
		says = append(says, v.say.T("page.ticket.cloth.short", "Short", v.say.Value(h.Short), "Count", len(h.Cuts), "Cuts", strings.Join(h.Cuts, ", ")))
	}
	if len(h.Windows) > 0 {
		says = append(says, v.say.T("page.ticket.cloth.mixed", "Windows", strings.Join(h.Windows, ", ")))
	}
	return strings.Join(says, ". ")
}

// Number writes a value of the JSON's form as people read it from a metre away: the fraction as one, the unit
// small. What is no length is written as it is.
func (v *Views) Number(value string) template.HTML {
	values := strings.Fields(value)
	if len(values) > 1 && allLengths(values) {
		var b strings.Builder
		for _, one := range values {
			b.WriteString(string(v.Number(one)))
			b.WriteByte(' ')
		}
		return template.HTML(strings.TrimSpace(b.String()))
	}
	if length, height, ok := strings.Cut(value, " × "); ok {
		if margin, width, both := strings.Cut(height, ", "); both { // another heading that would nearly do
			return template.HTML(template.HTMLEscapeString(v.say.T("trail.alternative", "Pleats", length, "Margin", v.say.Value(margin), "Width", v.say.Value(width))))
		}
		return v.Number(length) + " × " + v.Number(height)
	}
	l, unit, ok := i18n.ParseValue(value)
	if whole, half := strings.CutSuffix(value, ".5"); !ok && half && strings.Trim(whole, "0123456789") == "" {
		return figure(i18n.Figure{Whole: strings.TrimLeft(whole, "0"), Num: 1, Den: 2}) // widths go by halves
	}
	if !ok && strings.Trim(value, "0123456789.") != "" {
		return template.HTML(`<span class="num text">` + template.HTMLEscapeString(v.say.Value(value)) + `</span>`)
	}
	if !ok {
		return template.HTML(`<span class="num">` + template.HTMLEscapeString(v.say.Value(value)) + `</span>`)
	}
	return figure(v.say.Figure(l, unit))
}

func allLengths(values []string) bool {
	for _, one := range values {
		if _, _, ok := i18n.ParseValue(one); !ok {
			return false
		}
	}
	return true
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
