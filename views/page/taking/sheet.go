package taking

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
	"tablehand/views"
)

// Told is what goes to the parts and fields of a form by their names.
type Told struct {
	Problems map[string][]FieldProblem  // of fields
	Defaults map[string]string          // what stands for fields that are left out
	Short    map[string]*views.Shortage // beside bolts
	Ways     *Ways                      // of the window that they are asked of
	Stations []plan.Station             // those that the shop has, for a piece's way
	Headings []orderfile.HeadingData    // those that a window may have; nil: as shipped
	Another  int                        // the number of the fabric that is to have one bolt more to type into, 0 for none
}

// Sheet lays a form out for the page, its parts numbered as in the form. A fabric without a bolt, an order without a tape and a
// new one without a lining have an empty one to type into, which Enter leads to and past.
func Sheet(v *views.Views, form orderfile.Form, told Told) *Part {
	s := makerOf(v, form, told)
	root := s.group("", "order", form, 1)
	root.Parts = map[string][]*Part{}
	for _, list := range parts {
		forms := form.Lists[list]
		switch {
		case list == "tapes" && len(forms) == 0 && s.takesTape():
			forms = []orderfile.Form{empty(list)}
		case list == "fabrics" && len(forms) == 1 && forms[0].From == orderfile.NotInFile:
			lining := empty(list)
			lining.Text["use"] = string(orderfile.Lining)
			forms = append(slices.Clone(forms), lining)
		}
		root.Parts[list] = s.list(list, list, forms)
	}
	return root
}

// takesTape reports whether a window has a heading that takes a tape, or nothing is said of what is made yet.
func (s sheetMaker) takesTape() bool {
	windows := s.order.Lists["treatments"]
	return len(windows) == 0 && len(s.order.Lists["pieces"]) == 0 || slices.ContainsFunc(windows, func(w orderfile.Form) bool {
		i := slices.IndexFunc(s.told.Headings, func(d orderfile.HeadingData) bool { return string(d.Heading) == w.Text["heading"] })
		return i < 0 || s.told.Headings[i].Tape != ""
	})
}

// empty is a part of the form that nobody has typed into.
func empty(list string) orderfile.Form {
	return orderfile.Form{From: orderfile.NotInFile, Text: BlankText(list)}
}

// makerOf is what lays out a form with what is told to it.
func makerOf(v *views.Views, form orderfile.Form, told Told) sheetMaker {
	if told.Headings == nil {
		told.Headings = orderfile.Headings()
	}
	return sheetMaker{v: v, told: told, order: form}
}

// Blank lays out a new part of a list; its number in the names is N, for the script to put in.
func Blank(v *views.Views, list string, order orderfile.Form, told Told) *Part {
	s := makerOf(v, order, told)
	name := list + ".N"
	switch list {
	case "bolts":
		name = "fabrics.N.bolts.N"
	case "flaws":
		name = "fabrics.N.bolts.N.flaws.N"
	case "bands":
		name = "treatments.N.bands.N"
	case pieceFabrics:
		name = "pieces.N.fabrics.N"
	case "route":
		name = "pieces.N.route.N"
	}
	return s.group(name, list, empty(list), 0)
}

// BlankText is what a new part of a list has before anybody types.
func BlankText(list string) map[string]string {
	switch list {
	case "fabrics":
		return map[string]string{"use": string(orderfile.Face)}
	case "treatments":
		return map[string]string{"heading": string(orderfile.CartridgeTape)}
	case "bands":
		return map[string]string{"edge": string(orderfile.BandLeading)}
	case "pieces":
		return map[string]string{"piece": string(orderfile.Cushion)}
	}
	return map[string]string{}
}

// sheetMaker lays out the fields of one form.
type sheetMaker struct {
	v     *views.Views
	order orderfile.Form
	told  Told
}

// list lays out a list's parts under its name in the form.
func (s sheetMaker) list(name, list string, forms []orderfile.Form) []*Part {
	var groups []*Part
	for i, f := range forms {
		groups = append(groups, s.group(name+"."+strconv.Itoa(i), list, f, i+1))
	}
	return groups
}

func (s sheetMaker) group(name, list string, form orderfile.Form, number int) *Part {
	g := &Part{Name: name, List: list, Number: number, From: form.From, Short: s.told.Short[name]}
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
	if list == "order" {
		g.Own = s.conventions(form)
	}
	if list == "fabrics" {
		bolts := form.Lists["bolts"]
		if len(bolts) == 0 || s.told.Another == number {
			bolts = append(slices.Clone(bolts), empty("bolts"))
		}
		g.Bolts = s.list(name+".bolts", "bolts", bolts)
	}
	if list == "bolts" {
		g.Flaws = s.list(name+".flaws", "flaws", form.Lists["flaws"])
	}
	if list == "pieces" {
		cloths := form.Lists["fabrics"]
		if len(cloths) == 0 {
			cloths = []orderfile.Form{empty(pieceFabrics)}
		}
		g.Cloths = s.list(name+".fabrics", pieceFabrics, cloths)
		g.Route = s.list(name+".route", "route", append(slices.Clone(form.Lists["route"]), empty("route")))
	}
	if list == "treatments" {
		if s.told.Ways != nil && s.told.Ways.Window == name {
			g.Ways = s.told.Ways
		}
		g.Bands = s.list(name+".bands", "bands", form.Lists["bands"])
		g.Open = g.Open || len(g.Bands) > 0
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
		Name: name, Key: a.key, Label: s.v.Say.T(LabelKey(list, a.key)), Value: form.Text[a.key], Kind: a.kind, Size: a.size,
		When: a.when, List: a.list, Use: a.use, Default: s.told.Defaults[name], Needed: a.need, Passed: a.pass, Problems: s.told.Problems[name],
	}
	if a.kind == "length" {
		f.Unit, f.OwnUnit = cmp.Or(s.order.Text["units"], string(measure.In)), ownUnit.MatchString(f.Value)
	}
	switch {
	case a.key == LengthBy:
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

// conventions are fields for those that the order has of its own. One that is emptied is the shop's again.
func (s sheetMaker) conventions(form orderfile.Form) (fields []Field) {
	for _, c := range orderfile.AllConventions() {
		name := ofConventions + c.Key
		value := form.Text[name]
		if value == "" {
			continue
		}
		f := Field{Name: name, Key: name, Label: s.v.Say.T("convention." + c.Key), Value: value, Kind: "text", Problems: s.told.Problems[name]}
		if c.Words() != nil {
			f.Kind, f.Size = "choice", "wide"
			f.Options = []Option{{Label: s.v.Say.T("taking.conventions.shop")}}
			for _, word := range c.Words() {
				f.Options = append(f.Options, Option{Value: word, Label: s.v.Say.T("convention." + c.Key + "." + word)})
			}
			if !slices.Contains(c.Words(), value) {
				f.Options = append(f.Options, Option{Value: value, Label: value})
			}
		}
		fields = append(fields, f)
	}
	return fields
}

// LengthBy is the key of the form's own choice between a finished length and a hang; the file has one or the other.
const LengthBy = "length_by"

func lengthByOf(text map[string]string) string {
	if text[LengthBy] != "" {
		return text[LengthBy]
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
