package order

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views"
	"tablehand/views/i18n"
)

// Trail is how one number of a window came about, told to somebody who never saw a formula.
type Trail struct {
	What   string        // what the number is, and why it matters
	Sum    template.HTML // the sum in words, with its figures
	Bar    template.HTML // and to scale, "" where it is no sum of lengths
	From   []TrailInput  // the figures other than zero that nothing on the page works out
	Source string        // the rule's, "" where it is plain geometry
}

// TrailInput is a figure that a sum begins with.
type TrailInput struct {
	Name   string
	Value  measure.Quantity
	Origin string // catalogue: where it comes from
}

// TrailOf tells how a panel's number came about, nil where the order or a convention gives it as it is.
func TrailOf(v *views.Views, w Window, p views.PanelValue) *Trail {
	if p.Trail == nil {
		return nil
	}
	step := p.Trail
	t := &Trail{Sum: sumOf(v, w, step)}
	if bar, ok := BarOf(step); ok {
		t.Bar = bar.HTML()
	}
	if key := "trail.what." + step.Name; i18n.Has(key) {
		t.What = v.Say.T(key)
	}
	if step.Source != "" {
		t.Source = v.Say.T(step.Source)
	}
	for _, in := range step.Inputs {
		if origin := workup.Origin(in.Name); origin != "" && !w.works(in.Name) && !in.Value.Nought() {
			t.From = append(t.From, TrailInput{in.Name, in.Value, "trail.origin." + origin})
		}
	}
	return t
}

// works reports whether the window's page has a number with its own trail under that name.
func (w Window) works(name string) bool {
	return slices.ContainsFunc(w.Groups, func(g Group) bool {
		return slices.ContainsFunc(g.Rows, func(r views.NumberRow) bool { return r.Name == name && r.Values[0].Trail != nil })
	})
}

// Anchor is the id, on the page, of the trail of a window's number.
func (w Window) Anchor(name string) string { return fmt.Sprintf("w%d-%s", w.Index, name) }

// sumOf writes a step's sum: the sentence of its formula, each {input} set as a figure that leads to its own sum, {=} as
// the result. A part in [ ] is left out where an input in it is missing or zero. A formula without such a sentence
// is told in its own words.
func sumOf(v *views.Views, w Window, step *workup.Step) template.HTML {
	key := strings.Replace(step.Formula, "formula.", "trail.sum.", 1)
	if !i18n.Has(key) {
		key = step.Formula
	}
	inputs := map[string]measure.Quantity{}
	for _, in := range step.Inputs {
		inputs[in.Name] = in.Value
	}
	set := func(part string) string { return setFigures(v, w, part, step, inputs) }
	var b strings.Builder
	rest := v.Say.T(key)
	for {
		always, after, opens := strings.Cut(rest, "[")
		b.WriteString(set(always))
		perhaps, behind, closes := strings.Cut(after, "]")
		if !opens || !closes {
			return template.HTML(b.String())
		}
		if applies(perhaps, inputs) {
			b.WriteString(set(perhaps))
		}
		rest = behind
	}
}

// applies reports whether all inputs that a part asks for are there and none is zero.
func applies(part string, inputs map[string]measure.Quantity) bool {
	all := true
	i18n.Braced(part, func(string) {}, func(name string) {
		all = all && (name == "=" || !inputs[strings.TrimPrefix(name, "?")].Nought())
	})
	return all
}

func setFigures(v *views.Views, w Window, part string, step *workup.Step, inputs map[string]measure.Quantity) string {
	var b strings.Builder
	i18n.Braced(part, func(plain string) { b.WriteString(template.HTMLEscapeString(plain)) }, func(name string) {
		switch value, ok := inputs[name]; {
		case name == "=":
			result := figures(v, step.Value)
			if sofar, isSum := strings.CutSuffix(b.String(), "= "); isSum && strings.Contains(result, "≈") { // which says that it isn't quite
				b.Reset()
				b.WriteString(sofar)
			}
			b.WriteString("<strong>" + result + "</strong>")
		case strings.HasPrefix(name, "?"): // a condition only
		case !ok:
			b.WriteString("⟨" + template.HTMLEscapeString(name) + "⟩")
		case w.works(name):
			fmt.Fprintf(&b, `<a href="#%s">%s</a>`, w.Anchor(name), figures(v, value))
		default:
			b.WriteString(figures(v, value))
		}
	})
	return b.String()
}

// figures sets a value, a list of places with points between, and what is no value in a word.
func figures(v *views.Views, q measure.Quantity) string {
	switch {
	case q.IsZero():
		return template.HTMLEscapeString(v.Say.T("trail.none"))
	case q.Kind() == measure.List:
		return string(v.Numbers(q.Parts(), " · "))
	}
	return string(v.Number(q))
}
