package views

import (
	"strconv"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/views/i18n"
)

// Sheet lays a form out for the page, its parts numbered as in the form. What is told of fields, and what stands for
// those that are left out, go to them by name.
func (v *Views) Sheet(form orderfile.Form, told map[string][]FieldProblem, defaults map[string]string) *Part {
	s := sheetMaker{v: v, told: told, defaults: defaults, order: form}
	root := s.group("", "order", form, 1)
	root.Parts = map[string][]*Part{}
	for _, list := range []string{"fabrics", "tapes", "treatments"} {
		root.Parts[list] = s.list("", list, form.Lists[list])
	}
	return root
}

// Blank lays out a new fabric, bolt, tape or window; its number in the names is N, for the script to put in.
func (v *Views) Blank(list string, order orderfile.Form) *Part {
	s := sheetMaker{v: v, order: order}
	name := list + ".N"
	if list == "bolts" {
		name = "fabrics.N.bolts.N"
	}
	return s.group(name, list, orderfile.Form{From: orderfile.NotInFile, Text: BlankText(list)}, 0)
}

// BlankText is what a new fabric, tape or window has before anybody types.
func BlankText(list string) map[string]string {
	switch list {
	case "fabrics":
		return map[string]string{"use": string(orderfile.Face)}
	case "treatments":
		return map[string]string{"heading": string(orderfile.CartridgeTape)}
	}
	return map[string]string{}
}

// sheetMaker lays out the fields of one form.
type sheetMaker struct {
	v        *Views
	order    orderfile.Form
	told     map[string][]FieldProblem
	defaults map[string]string
}

func (s sheetMaker) list(within, list string, forms []orderfile.Form) []*Part {
	var groups []*Part
	for i, f := range forms {
		groups = append(groups, s.group(within+list+"."+strconv.Itoa(i), list, f, i+1))
	}
	return groups
}

func (s sheetMaker) group(name, list string, form orderfile.Form, number int) *Part {
	g := &Part{Name: name, List: list, Number: number, From: form.From}
	for _, u := range form.Rest {
		if strings.Trim(u.Text, "{}[] ") != "" { // something is in it
			g.Rest = append(g.Rest, u)
		}
	}
	for _, a := range asked[list] {
		f := s.field(name, list, a, form)
		if !a.more {
			g.Fields = append(g.Fields, f)
			continue
		}
		g.More = append(g.More, f)
		g.Open = g.Open || f.Value != "" || f.Wrong()
	}
	if list == "fabrics" {
		g.Bolts = s.list(name+".", "bolts", form.Lists["bolts"])
	}
	if list == "treatments" {
		g.Sum = SumOf(form.Text, measure.Unit(s.order.Text["units"]))
	}
	return g
}

func (s sheetMaker) field(group, list string, a ask, form orderfile.Form) Field {
	name := a.key
	if group != "" {
		name = group + "." + a.key
	}
	f := Field{
		Name: name, Label: s.v.say.T("taking.field." + list + "." + a.key), Value: form.Text[a.key], Kind: a.kind, Size: a.size,
		When: a.when, List: a.list, Use: a.use, Default: s.defaults[name], Needed: a.need, Problems: s.told[name],
	}
	switch {
	case a.key == lengthBy:
		f.Value = lengthByOf(form.Text)
		f.Options = s.choices(list, a, f.Value)
	case a.list != "":
		f.Options = s.references(a, f.Value)
	case a.key == "heading":
		f.Options = s.headings(f.Value)
	case a.kind == "choice":
		f.Options = s.choices(list, a, f.Value)
	case a.kind == "date" && f.Value != "" && !isDate(f.Value):
		f.Kind = "text" // a browser's date box would lose it
	}
	return f
}

// lengthBy is the form's own choice between a finished length and a hang; the file has one or the other.
const lengthBy = "length_by"

func lengthByOf(text map[string]string) string {
	if text[lengthBy] != "" {
		return text[lengthBy]
	}
	for key, value := range text {
		if strings.HasPrefix(key, "hang.") && value != "" {
			return "hang"
		}
	}
	return "finished_length"
}

func isDate(text string) bool {
	return len(text) == len("2026-12-18") && strings.Count(text, "-") == 2 && strings.Trim(text, "0123456789-") == ""
}

// choices offers words. The first stands for none given; what the form has is always among them.
func (s sheetMaker) choices(list string, a ask, value string) []Option {
	var options []Option
	known := value == ""
	for i, word := range a.words {
		o := Option{Value: word, Label: s.v.say.T(wordKey(a.key, word))}
		switch {
		case word == "":
			o.Label = s.v.say.T("taking.none." + a.key)
		case i == 0 && !a.need && value == "":
			o.Value = ""
		}
		known = known || word == value
		options = append(options, o)
	}
	if !known {
		options = append(options, Option{Value: value, Label: value})
	}
	return options
}

// wordKey is the catalogue's key of a choice: that of the floor's own words where it has them.
func wordKey(field, word string) string {
	if key := field + "." + word; i18n.Has(key) {
		return key
	}
	return "taking.choice." + field + "." + word
}

func (s sheetMaker) headings(value string) []Option {
	var options []Option
	known := value == ""
	if known {
		options = append(options, Option{Label: s.v.say.T("taking.choose")})
	}
	for _, h := range orderfile.Headings() {
		options = append(options, Option{string(h.Heading), s.v.named("heading", string(h.Heading)), string(h.Family)})
		known = known || string(h.Heading) == value
	}
	if !known {
		options = append(options, Option{Value: value, Label: value})
	}
	return options
}

// references offers the fabrics or tapes that the form has.
func (s sheetMaker) references(a ask, value string) []Option {
	options := []Option{{Label: s.v.say.T("taking.none." + a.key)}}
	known := value == ""
	for _, f := range s.order.Lists[a.list] {
		id := f.Text["id"]
		if id == "" || a.use != "" && f.Text["use"] != a.use {
			continue
		}
		options = append(options, Option{Value: id, Label: id})
		known = known || id == value
	}
	if !known {
		options = append(options, Option{Value: value, Label: value})
	}
	return options
}
