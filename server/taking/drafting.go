package taking

import (
	"bytes"
	"cmp"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/server/web"
	"tablehand/views"
	"tablehand/views/i18n"
	page "tablehand/views/page/taking"
)

// fieldProblems sorts the draft's problems: those of fields, with the field's label in place of the file's key, and others.
func (k *Counter) fieldProblems(c *fiber.Ctx, d *draft) (fields []page.FieldProblem, general []engine.Problem) {
	say := k.Printer(c)
	for _, p := range d.problems {
		name, list, key := "", "", ""
		if d.shown && (p.Code == "fabric_short" || p.Code == "lots_mixed") { // told beside a bolt
			continue
		}
		if d.shown {
			name, list, key = d.fieldOf(p.Where)
			if name == "" && p.Code == "bolt_shared" { // fieldProblems where the bolt is named
				name, list, key = d.fieldOf(p.Where + ".id")
			}
		}
		if name == "" {
			general = append(general, p)
			continue
		}
		text := say.T("taking.missing")
		if p.MessageKey() != "problem.missing_key" && p.Where != "treatments" {
			p.Args = page.InWords(say, list, key, p.Args)
			text = say.Problem(p)
		}
		fields = append(fields, page.FieldProblem{Field: name, Severity: p.Severity, Code: p.Code, Text: text, Offers: daysOf(say, p)})
	}
	return append(fields, k.boltUnits(c, d)...), general
}

// daysOf offers the open days around a due date that is asked about.
func daysOf(say *i18n.Printer, p engine.Problem) (offers []page.Offer) {
	for _, name := range []string{"Before", "After"} {
		if day, _ := p.Args[name].(engine.Day); day != "" {
			offers = append(offers, page.Offer{Value: string(day), Text: say.ShortDate(string(day))})
		}
	}
	return offers
}

// mostYards is how many yards a bolt has at most: an order file takes a thousand metres.
const mostYards = 1093

// boltUnits asks of a bolt's bare number in an order by inches whether yards are meant, which nobody writes on a bolt's label.
func (k *Counter) boltUnits(c *fiber.Ctx, d *draft) (fields []page.FieldProblem) {
	if !d.shown || d.form.Text["units"] != string(measure.In) {
		return nil
	}
	for i, f := range d.form.Lists["fabrics"] {
		for j, b := range f.Lists["bolts"] {
			number := strings.TrimSpace(b.Text["length"])
			if n, err := strconv.ParseFloat(number, 64); err != nil || n <= 0 || n > mostYards {
				continue
			}
			name := d.places["fabrics["+strconv.Itoa(i)+"].bolts["+strconv.Itoa(j)+"]"]
			fields = append(fields, page.FieldProblem{Field: under(name, "length"), Severity: engine.Warning, Code: "bolt_unit",
				Text: k.Printer(c).T("taking.bolt_unit", "Number", number), Offers: []page.Offer{{Value: number + " yd", Text: number + " yd"}, {Value: number + " in", Text: number + " in"}}})
		}
	}
	return fields
}

// showDraft is what a draft comes to, for its page; shown is the name of the window that is drawn.
func (k *Counter) showDraft(c *fiber.Ctx, d *draft, general []engine.Problem, shown string) (page.Draft, error) {
	v := page.Draft{Order: d.form.Text["order"], General: web.BySeverity(general), Unwritable: d.stuck}
	for _, p := range d.problems {
		switch {
		case p.Severity == engine.Error:
			v.Errors++
		case p.Severity == engine.Warning && p.Code != "fabric_short" && p.Code != "lots_mixed":
			v.Warnings++
		}
	}
	byFile := map[int]int{} // treatment of the file → of the work-up
	for i, of := range d.worked["treatments"] {
		byFile[of] = i
	}
	if d.work != nil {
		v.Short = views.ShortagesOf(d.work)
		v.Cloth, v.Incomplete = views.ClothOf(d.work), d.work.Totals.Incomplete || d.leavesOut()
		v.Pieces = views.PieceLinesOf(d.work)
	}
	for i, t := range d.form.Lists["treatments"] {
		field := d.places["treatments["+strconv.Itoa(i)+"]"]
		w := page.DraftWindow{Field: field, Name: t.Text["window"]}
		if of, ok := byFile[i]; ok && d.work != nil && len(d.work.Treatments[of].Panels) > 0 {
			w = page.DraftWindowOf(d.work.Treatments[of], field)
			if field == shown || shown == "" {
				shown = field
				w.Panel = string(d.work.Treatments[of].Panels[0].ID)
				drawn, err := web.Drawing(d.work, of, w.Panel, k.Printer(c))
				if err != nil {
					return v, err
				}
				w.Drawing = &drawn
			}
		}
		v.Windows = append(v.Windows, w)
	}
	return v, nil
}

// shortAt says at which bolt of the page it is told what a fabric's bolts lack, by the bolt's name there: the last of the dye
// lot that is wanted, or the fabric's last.
func (d *draft) shortAt() map[string]*views.Shortage {
	at := map[string]*views.Shortage{}
	if d.work == nil {
		return at
	}
	for _, short := range views.ShortagesOf(d.work) {
		for i, f := range d.form.Lists["fabrics"] {
			bolts := f.Lists["bolts"]
			if f.Text["id"] != short.Fabric || len(bolts) == 0 {
				continue
			}
			last := len(bolts) - 1
			for j := range bolts {
				if len(short.Order) > 0 && short.Order[0].Lot != "" && bolts[j].Text["lot"] == short.Order[0].Lot {
					last = j
				}
			}
			at[d.places["fabrics["+strconv.Itoa(i)+"].bolts["+strconv.Itoa(last)+"]"]] = &short
		}
	}
	return at
}

// defaultsOf are what stands for fields that are left out, by their names; of what could be worked out.
func (k *Counter) defaultsOf(c *fiber.Ctx, d *draft) map[string]string {
	defaults := map[string]string{}
	if d.work == nil {
		return defaults
	}
	o, say := d.work.Order, k.Printer(c)
	put := func(group, key string, l measure.Length) {
		figure := say.Figure(l, o.Units)
		figure.Unit = "" // stands beside the field
		defaults[under(group, key)] = strings.TrimSpace(figure.String())
	}
	d.pieceDefaults(defaults, say)
	for i := range o.Treatments {
		group := d.places["treatments["+strconv.Itoa(d.worked["treatments"][i])+"]"]
		t := &o.Treatments[i]
		put(group, "return", t.Return)
		put(group, "return_other", t.OtherReturn())
		put(group, "overlap", t.Overlap)
		defaults[under(group, "quantity")] = strconv.Itoa(t.Quantity)
		if len(d.work.Treatments[i].Panels) > 0 {
			p := &d.work.Treatments[i].Panels[0]
			put(group, "heading_fold", p.HeadingFold)
			put(group, "bottom_hem", p.BottomHem)
			put(group, "side_hem", p.SideHem)
			if p.Pleated() {
				defaults[under(group, "pleats")] = strconv.Itoa(p.Pleats)
			}
			if p.Points > 0 {
				defaults[under(group, "points.count")] = strconv.Itoa(p.Points)
			}
		}
		d.hardwareDefaults(i, group, put)
		if h := o.HeadingOf(t); h != nil && h.Fullness.Num > 0 {
			defaults[under(group, "fullness")] = h.Fullness.String()
		}
	}
	return defaults
}

// hardwareDefaults are what stands for what a window doesn't say of what it hangs by.
func (d *draft) hardwareDefaults(i int, group string, put func(group, key string, l measure.Length)) {
	t := &d.work.Order.Treatments[i]
	heading := d.work.Order.Heading(t.Heading)
	if heading == nil {
		return
	}
	switch heading.Pole {
	case orderfile.InEyelets:
		put(group, "eyelet.inner", t.Eyelet.Inner)
		put(group, "eyelet.outer", t.Eyelet.Outer)
		put(group, "eyelet.drop", t.Eyelet.Drop)
	case orderfile.ByTabs:
		put(group, "tab.width", t.Tab.Width)
		put(group, "tab.gap", t.Tab.Gap)
		put(group, "tab.facing", t.Tab.Facing)
	case orderfile.InPocket:
		put(group, "pocket.stand", t.Pocket.Stand)
		put(group, "pocket.turn", t.Pocket.Turn)
	}
	if len(d.work.Treatments[i].Panels) == 0 {
		return
	}
	switch p := &d.work.Treatments[i].Panels[0]; heading.Pole {
	case orderfile.ByTabs:
		put(group, "tab.loop", p.TabLoop)
	case orderfile.InPocket:
		put(group, "pocket.depth", p.Pocket)
	}
}

// pieceDefaults are those of pieces: a cloth without cuts is worked out for a kind that the program knows.
func (d *draft) pieceDefaults(defaults map[string]string, say *i18n.Printer) {
	for i := range d.work.Order.Pieces {
		p := &d.work.Order.Pieces[i]
		path := "pieces[" + strconv.Itoa(d.worked["pieces"][i]) + "]"
		group := d.places[path]
		defaults[under(group, "quantity")] = strconv.Itoa(p.Quantity)
		switch p.Kind {
		case orderfile.Cushion:
			defaults[under(group, "sizes.thickness")], defaults[under(group, "sizes.welt")] = "0", "0"
		case orderfile.Valance:
			defaults[under(group, "sizes.fullness")] = "1"
		}
		if p.Kind.Computed() {
			defaults[under(group, "fabrics.0.cuts")] = say.T("taking.pieces.computed")
		}
	}
}

// leavesOut reports whether something that is typed has no part in what the draft comes to.
func (d *draft) leavesOut() bool {
	return len(d.worked["treatments"]) < len(d.form.Lists["treatments"]) || len(d.worked["pieces"]) < len(d.form.Lists["pieces"])
}

// draftAnswer is what the page's script gets for each change.
type draftAnswer struct {
	Source   string              `json:"source"`
	Form     bool                `json:"form"`
	Fields   []page.FieldProblem `json:"fields"`
	Results  string              `json:"results"`
	Sheet    string              `json:"sheet,omitempty"` // of a file that was typed, and of what was typed before
	Ways     string              `json:"ways,omitempty"`  // to make the window that they are asked of
	Own      string              `json:"own"`             // the order's own conventions
	Sums     map[string]string   `json:"sums"`
	Shorts   map[string]string   `json:"shorts"` // beside bolts
	Defaults map[string]string   `json:"defaults"`
	Errors   int                 `json:"errors"`
	Told     string              `json:"told"`
	Refused  string              `json:"refused,omitempty"`
	To       string              `json:"to,omitempty"` // the page to go on to: it is saved
}

// workOutDraft: POST /taking/draft, the form as it is typed, or the file (truth: file), with ?order= of an order that is
// on the books. It stores nothing.
func (k *Counter) workOutDraft(c *fiber.Ctx) error {
	d, err := k.readDraft(c)
	if err != nil {
		return err
	}
	if do, name, _ := strings.Cut(c.FormValue("do"), ":"); do == "ways" {
		d.asked = name
	}
	return k.sendDraft(c, d, draftAnswer{})
}

func (k *Counter) sendDraft(c *fiber.Ctx, d *draft, a draftAnswer) error {
	if err := k.workOut(d); err != nil {
		return err
	}
	again := c.FormValue("sheet") != "" // what was typed before comes back: its parts are numbered by their places
	if again {
		d.places = map[string]string{}
		d.name(d.form, "", "")
	}
	shown, err := k.takingPage(c, d, false)
	if err != nil {
		return err
	}
	v := k.Views(c)
	a.Source, a.Form, a.Errors = shown.Source, d.shown, shown.Draft.Errors
	a.Fields, _ = k.fieldProblems(c, d)
	a.Fields = slices.Grow(a.Fields, 0)
	a.Sums, a.Shorts, a.Defaults = map[string]string{}, map[string]string{}, k.defaultsOf(c, d)
	var failed error
	part := func(name string, data any) string {
		var b bytes.Buffer
		failed = cmp.Or(failed, page.RenderPart(v, &b, name, data))
		return b.String()
	}
	if shown.Sheet != nil {
		a.Own = part("taking-conventions", shown.Sheet)
	}
	a.Results, a.Told = part("taking-results", shown.Draft), part("taking-told", shown.Draft)
	for bolt, short := range d.shortAt() {
		a.Shorts[bolt] = part("bolt-short", short)
	}
	for i, t := range d.form.Lists["treatments"] {
		a.Sums[d.places["treatments["+strconv.Itoa(i)+"]"]] = part("hang-sum", page.SumOf(t.Text, measure.Unit(d.form.Text["units"])))
	}
	if d.asked != "" {
		ways, err := k.waysOf(c, d)
		if err != nil {
			return err
		}
		a.Ways = part("taking-ways", ways)
	}
	if (again || c.FormValue("truth") == "file") && d.shown {
		a.Sheet = part("taking-sheet", shown)
	}
	if failed != nil {
		return failed
	}
	return k.SendJSON(c, a)
}
