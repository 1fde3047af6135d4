package taking

import (
	"cmp"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
)

// Part is a part of the form: the order's own fields, or those of a fabric, bolt, tape, window or piece.
type Part struct {
	Name   string // of its fields' names: "", "treatments.0"
	List   string // "order", "fabrics", "bolts", "flaws", "tapes", "rods", "treatments", "bands", "pieces", "piece_fabrics", "route"
	Number int    // among its kind, from 1
	From   int
	Fields []Field // asked each time
	More   []Field // asked seldom
	Open   bool    // More has something in it
	Bolts  []*Part
	Flaws  []*Part            // of a bolt
	Bands  []*Part            // of a window: told with what is asked seldom
	Cloths []*Part            // of a piece
	Route  []*Part            // of a piece: the stations that it passes, and a place for one more
	Parts  map[string][]*Part // of the order: by list
	Own    []Field            // of the order: its own conventions
	Rest   []orderfile.Unshown
	Sum    *views.HangSum
	Short  *views.Shortage // of a bolt: its fabric's, told here
	Ways   *Ways           // of a window: to make it, where somebody asks for them
}

// Ways are those to make one window, beside each other.
type Ways struct {
	Window string // its group's name in the form
	Each   []Way  // the one that is asked first
}

// Way is one of them.
type Way struct {
	Changes []Change // none of the one that is asked
	Why     string
	Drawing views.Drawing
	Numbers []views.NumberRow
	Cloth   []views.ClothRow
	Price   *billing.Money
}

// Change is a field of the window's form that a way sets, with what it shows then.
type Change struct{ Key, Label, Value, Shown string }

// Query is what the button that takes the way sends.
func (w Way) Query() string {
	set := url.Values{}
	for _, c := range w.Changes {
		set.Set(c.Key, c.Value)
	}
	return set.Encode()
}

// Field is one thing that the form asks.
type Field struct {
	Name, Label, Value string
	Key                string // in the order file
	Kind               string // text, length, count, number, date, notes, choice
	Size               string // "wide", "short" or ""
	When               string // the script shows it only then
	List               string // "fabrics", "tapes" or "rods": the choice is among those of the form
	Use                string // and among the fabrics of that use
	Options            []Option
	Default            string // what stands for it where it is left out
	Unit               string // that a bare number of a length has: the order's
	OwnUnit            bool   // the text says its unit itself
	Fixed              bool   // can't be typed
	Needed             bool
	Passed             bool // by Enter
	Problems           []FieldProblem
}

// Option is one of a choice; Traits are a heading's.
type Option struct{ Value, Label, Traits string }

// ownUnit finds a unit in a length: 60 yd, 8' 3". The script of the form goes by the same.
var ownUnit = regexp.MustCompile(`[\p{L}'"′″’”]`)

// ID is the field's own in the page.
func (f Field) ID() string { return "f-" + f.Name }

// Wrong reports whether the field has an error.
func (f Field) Wrong() bool {
	return slices.ContainsFunc(f.Problems, func(p FieldProblem) bool { return p.Severity == engine.Error })
}

// FieldProblem is a problem at its field. Missing is one that says no more than that it isn't filled in yet.
type FieldProblem struct {
	Field    string          `json:"field"`
	Severity engine.Severity `json:"severity"`
	Code     string          `json:"code"`
	Text     string          `json:"text"`
	Offers   []Offer         `json:"offers,omitempty"` // of which one is meant, to be taken by a press
}

// Offer is what a field takes by a press, and what the button says.
type Offer struct {
	Value string `json:"value"`
	Text  string `json:"text"`
}

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

// parts are the lists of an order that have a part of the form, in the order in which they stand there.
var parts = []string{"fabrics", "tapes", "rods", "treatments", "pieces"}

// takesTape reports whether a window has a heading that takes a tape, or nothing is said of what is made yet.
func (s sheetMaker) takesTape() bool {
	windows := s.order.Lists["treatments"]
	return len(windows) == 0 && len(s.order.Lists["pieces"]) == 0 || slices.ContainsFunc(windows, func(w orderfile.Form) bool {
		i := slices.IndexFunc(s.told.Headings, func(d orderfile.HeadingData) bool { return string(d.Heading) == w.Text["heading"] })
		return i < 0 || s.told.Headings[i].Tape != ""
	})
}

// Named returns the name of the first field in the sheet's order of which so much is true, "" for none.
func (p *Part) Named(is func(Field) bool) string {
	for _, f := range slices.Concat(p.Fields, p.More) {
		if is(f) {
			return f.Name
		}
	}
	within := [][]*Part{p.Bolts, p.Flaws, p.Bands, p.Cloths, p.Route}
	for _, list := range parts {
		within = append(within, p.Parts[list])
	}
	for _, list := range within {
		for _, part := range list {
			if name := part.Named(is); name != "" {
				return name
			}
		}
	}
	return ""
}

// UnitWord is the order's unit as its choice names it.
func (p *Part) UnitWord() string {
	for _, f := range p.Fields {
		for _, o := range f.Options {
			if f.Name == "units" && o.Value == f.Value {
				return o.Label
			}
		}
	}
	return ""
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

// choices offers words. The first stands for none given; what the form has is always among them.
func (s sheetMaker) choices(list string, a ask, value string) []Option {
	var options []Option
	known := value == ""
	words := a.words
	if a.key == "station" {
		words = []string{""}
		for _, station := range s.told.Stations {
			words = append(words, string(station))
		}
	}
	for i, word := range words {
		o := Option{Value: word}
		switch {
		case a.key == "station" && word != "":
			o.Label = s.v.Say.Station(plan.Station(word))
		case word != "":
			o.Label = s.v.Say.T(wordKey(a.key, word))
		}
		switch {
		case word == "":
			o.Label = s.v.Say.T("taking.none." + a.key)
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

// wordKey is the catalogue's key of a choice: that of the floor's own words, or of the books', where they have them.
func wordKey(field, word string) string {
	for _, key := range []string{field + "." + word, "book." + field + "." + word} {
		if i18n.Has(key) {
			return key
		}
	}
	if own := "taking.choice." + field + "." + word; !slices.Contains(flags, word) || i18n.Has(own) {
		return own
	}
	return "taking.choice.flag." + word
}

func (s sheetMaker) headings(value string) []Option {
	var options []Option
	known := value == ""
	if known {
		options = append(options, Option{Label: s.v.Say.T("taking.choose")})
	}
	for _, h := range s.told.Headings {
		options = append(options, Option{string(h.Heading), s.v.Say.Heading(string(h.Heading), h.Name), traitsOf(h)})
		known = known || string(h.Heading) == value
	}
	if !known {
		options = append(options, Option{Value: value, Label: value})
	}
	return options
}

// traitsOf are the rules by which the form asks what a heading takes.
func traitsOf(d orderfile.HeadingData) string {
	var traits []string
	for _, trait := range []struct {
		name string
		has  bool
	}{
		{"tape", d.Tape != ""}, {"cord", d.Tape != "" && d.Tape != orderfile.WaveKind}, {"hand", d.Family == orderfile.SetByHand},
		{"full", d.Fullness.Num > 0}, {"pleats", d.Family != orderfile.Continuous}, {"filled", len(d.Fillings) > 1},
		{"rod", d.Pole != "" || d.Holds == orderfile.OnCarriers}, {"points", d.Holds == orderfile.OnPoints},
		{"eyelet", d.Pole == orderfile.InEyelets}, {"tab", d.Pole == orderfile.ByTabs}, {"pocket", d.Pole == orderfile.InPocket},
		{"fold", d.Top == orderfile.DoubleTop || d.Top == orderfile.SingleTop}, {"hooks", d.Pole != orderfile.InPocket}, // of tabs and eyelets at a return
	} {
		if trait.has {
			traits = append(traits, trait.name)
		}
	}
	return strings.Join(traits, " ")
}

// wayNumbers are those by which ways are told apart.
var wayNumbers = []string{"fullness", "pleats", "space", "widths"}

// WayOf shows a way to make a window by its numbers, and the fields that it sets.
func WayOf(v *views.Views, t workup.Treatment, set map[string]string) Way {
	w := Way{}
	for _, row := range views.NumbersOf(t) {
		if slices.Contains(wayNumbers, row.Name) {
			w.Numbers = append(w.Numbers, row)
		}
	}
	for _, a := range asked["treatments"] {
		value, ok := set[a.key]
		if !ok {
			continue
		}
		c := Change{Key: a.key, Label: v.Say.T("taking.field.treatments." + a.key), Value: value, Shown: v.Say.Decimal(value)}
		switch {
		case a.key == "heading":
			c.Shown = v.Say.Heading(value, t.HeadingName)
		case a.kind == "choice":
			c.Shown = v.Say.T(wordKey(a.key, value))
		}
		w.Changes = append(w.Changes, c)
	}
	return w
}

// references offers the fabrics or tapes that the form has.
func (s sheetMaker) references(a ask, value string) []Option {
	options := []Option{{Label: s.v.Say.T("taking.none." + a.key)}}
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
