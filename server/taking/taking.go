// Package taking answers people who type an order: the form, what it comes to, and what a revision would change on the floor.
package taking

import (
	"cmp"
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/web"
	page "tablehand/views/page/taking"
)

// Counter is the pages where an order is typed, and what it changes on the floor is looked at.
type Counter struct{ *web.Site }

// Routes are the pages' addresses, and what their forms send.
func (k *Counter) Routes() []edge.Route {
	return []edge.Route{
		edge.Form("/taking", edge.TheOffice, k.newOrderPage, k.takeTyped),
		edge.Post("/taking/draft", edge.TheOffice, k.workOutDraft),
		edge.Form("/orders/:order/edit", edge.TheOffice, k.editOrderPage, k.takeTyped),
		edge.Post("/orders/:order/revise", edge.TheOffice, k.reviseByForm),
		edge.Post("/orders/:order/bring-up", edge.TheOffice, k.bringUpByForm),
	}
}

// The form is sent whole each time: what it does, to the form or with it, is the button's (do): check, add:LIST, copy:NAME,
// remove:NAME, ways:NAME, set:NAME:KEYS, file, save, save-file.

// newOrderPage: GET /taking.
func (k *Counter) newOrderPage(c *fiber.Ctx) error {
	d := k.draftOfFile("", nil)
	d.form.Text["units"], d.form.Text["order"] = k.Desk.Shop().Units, k.Desk.NextOrder("")
	for _, list := range []string{"fabrics", "treatments"} {
		d.form.Lists[list] = []orderfile.Form{{From: orderfile.NotInFile, Text: page.BlankText(list)}}
	}
	d.source, _ = orderfile.WithForm(nil, orderfile.Form{Text: d.form.Text})
	if err := k.workOut(d); err != nil {
		return err
	}
	return k.showTaking(c, d, "", false)
}

// editOrderPage: GET /orders/{order}/edit. With ?bolt=2 the second fabric has one bolt more to type into.
func (k *Counter) editOrderPage(c *fiber.Ctx) error {
	o, err := k.OrderAsked(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	source, err := k.Desk.Store.OrderSource(ctx, o.ID)
	if err != nil {
		return err
	}
	d := k.draftOfFile(o.ID, k.MeasuredSource(c, o.ID, source))
	if err := k.workOut(d); err != nil {
		return err
	}
	return k.showTaking(c, d, "", false)
}

// takeTyped: POST /taking, and POST /orders/{order}/edit for an order that is on the books.
func (k *Counter) takeTyped(c *fiber.Ctx) error {
	d, err := k.readDraft(c)
	if err != nil {
		return err
	}
	do, name, _ := strings.Cut(c.FormValue("do"), ":")
	switch do {
	case "save", "save-file":
		if k.onTheFloor(edge.Param(c, "order")) && k.WantsPage(c) {
			return k.review(c, d)
		}
		return k.saveTyped(c, d)
	case "add", "copy", "remove":
		d.change(do, name)
	case "set":
		d.set(name)
	case "ways":
		d.asked = name
	}
	if err := k.workOut(d); err != nil {
		return err
	}
	return k.showTaking(c, d, "", do == "check" || do == "file")
}

// saveTyped stores the draft's file, as a new order or in the place of the one that the address names. What is
// refused comes back whole.
func (k *Counter) saveTyped(c *fiber.Ctx, d *draft) error {
	script := strings.Contains(c.Get(fiber.HeaderAccept), fiber.MIMEApplicationJSON)
	to, err := k.store(c, d)
	if err == nil {
		if script {
			return c.JSON(draftAnswer{To: to})
		}
		return web.GoOn(c, to)
	}
	r, ok := edge.RefusalOf(err)
	if !ok {
		return err
	}
	refused := ""
	if r.Code != "problems" {
		refused = k.Printer(c).Refusal(r)
	}
	c.Status(edge.StatusOf(r.Code))
	if script {
		return k.sendDraft(c, d, draftAnswer{Refused: refused})
	}
	if err := k.workOut(d); err != nil {
		return err
	}
	return k.showTaking(c, d, refused, true)
}

// store takes or revises the order, and returns the page to go on to.
func (k *Counter) store(c *fiber.Ctx, d *draft) (to string, err error) {
	if d.stuck {
		return "", desk.RefuseProblems(nil) // the page tells that it can't be written
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	id := edge.Param(c, "order")
	if id == "" {
		order, _, err := k.Desk.Take(ctx, actor, "", d.source)
		return "/orders/" + url.PathEscape(order) + "?did=taken", err
	}
	if k.onTheFloor(id) {
		// What a revision changes on the floor has to be seen before it is made, which this page doesn't show.
		return "", desk.Refuse("already_released", "", "Order", id)
	}
	revision, _ := strconv.Atoi(c.FormValue("revision"))
	_, err = k.Desk.Revise(ctx, actor, id, d.source, desk.Revising{From: revision})
	return "/orders/" + url.PathEscape(id) + "?did=revised", err
}

// showTaking sends the page with the draft's form anew: its parts are numbered by their places in the file.
func (k *Counter) showTaking(c *fiber.Ctx, d *draft, refused string, tried bool) error {
	asked, _ := d.place(d.asked)
	d.places = map[string]string{}
	d.name(d.form, "", "")
	d.asked = d.places[asked]
	shown, err := k.takingPage(c, d, tried)
	if err != nil {
		return err
	}
	shown.Refused = refused
	shown.Blanks = map[string]*page.Part{}
	for _, list := range page.Lists() {
		shown.Blanks[list] = page.Blank(k.Views(c), list, d.form, page.Told{Stations: k.Desk.Shop().Fittings.Layout.Open(), Headings: d.headings()})
	}
	return k.Send(c, shown)
}

// takingPage lays a draft out. The form's fields are those of the new file, so that is what they were read from.
func (k *Counter) takingPage(c *fiber.Ctx, d *draft, tried bool) (page.Page, error) {
	p := page.Page{Frame: k.Frame(c), ID: edge.Param(c, "order"), Action: "/taking", Source: string(d.source), Tried: tried}
	if p.ID != "" {
		p.Action = "/orders/" + url.PathEscape(p.ID) + "/edit"
		if k.onTheFloor(p.ID) {
			p.Review = "/orders/" + url.PathEscape(p.ID) + "/revise"
		}
		p.Revision, _ = strconv.Atoi(c.FormValue("revision"))
		if o := k.Desk.Store.Floor().Order(p.ID); o != nil && p.Revision == 0 {
			p.Revision = o.Revision
		}
	}
	p.Base = string(d.base)
	fields, general := k.fieldProblems(c, d)
	if d.shown {
		byField := map[string][]page.FieldProblem{}
		for _, f := range fields {
			if tried || f.Code != "missing_key" && (f.Code != "customer_missing" || p.ID != "") {
				byField[f.Field] = append(byField[f.Field], f)
			}
		}
		another, _ := strconv.Atoi(c.Query("bolt"))
		ways, err := k.waysOf(c, d)
		if err != nil {
			return p, err
		}
		p.Sheet = page.Sheet(k.Views(c), d.form, page.Told{Problems: byField, Defaults: k.defaultsOf(c, d), Short: d.shortAt(), Ways: ways, Stations: k.Desk.Shop().Fittings.Layout.Open(), Headings: d.headings(), Another: another})
		for i := range p.Sheet.Fields {
			p.Sheet.Fields[i].Fixed = p.Sheet.Fields[i].Name == "order" && p.ID != ""
		}
	}
	var err error
	p.Draft, err = k.showDraft(c, d, general, c.FormValue("shown"))
	if p.Sheet != nil {
		p.Draft.First = p.Sheet.Named(func(f page.Field) bool {
			return slices.ContainsFunc(fields, func(p page.FieldProblem) bool { return p.Field == f.Name && p.Severity == engine.Error })
		})
	}
	return p, err
}

// readDraft reads what the page has sent. What nobody has typed in yet is left out of the file and stays in the form.
func (k *Counter) readDraft(c *fiber.Ctx) (*draft, error) {
	if len(c.BodyRaw()) > maxDraft {
		return nil, desk.Refuse("too_large", "form")
	}
	do := c.FormValue("do")
	id := cmp.Or(edge.Param(c, "order"), c.Query("order"))
	if c.FormValue("truth") == "file" || do == "file" || do == "save-file" {
		return k.draftOfFile(id, []byte(boxed(c.FormValue("source")))), nil
	}
	base := []byte(boxed(c.FormValue("base")))
	d := k.newDraft(id, base)
	d.shown = true
	fields, say := 0, k.Printer(c)
	root := typed{}
	for name, value := range c.Request().PostArgs().All() {
		if fields++; fields > maxFields {
			return nil, desk.Refuse("too_large", "form")
		}
		text := strings.ToValidUTF8(boxed(string(value)), "\ufffd")
		if page.IsNumber(string(name)) {
			text = say.Typed(text)
		}
		root.put(strings.Split(string(name), "."), text)
	}
	d.form = root.form(d, "", "", "order")
	d.keepConventions()
	source, ok := orderfile.WithForm(base, d.form)
	if !ok {
		source, d.stuck = base, true
	}
	d.source = source
	return d, nil
}

// boxed is a text as it was typed into a box: browsers send line ends of their own.
func boxed(text string) string { return strings.ReplaceAll(text, "\r\n", "\n") }

// typed gathers the fields of a part of the form: texts by key, and the parts of its lists by their numbers.
type typed struct {
	text  map[string]string
	lists map[string]map[int]*typed
}

// put takes a field by the parts of its name: treatments, 4, hang, clearance.
func (t *typed) put(name []string, value string) {
	if len(name) > 2 {
		if n, err := strconv.Atoi(name[1]); err == nil && n >= 0 {
			if t.lists == nil {
				t.lists = map[string]map[int]*typed{}
			}
			if t.lists[name[0]] == nil {
				t.lists[name[0]] = map[int]*typed{}
			}
			if t.lists[name[0]][n] == nil {
				t.lists[name[0]][n] = &typed{}
			}
			t.lists[name[0]][n].put(name[2:], value)
			return
		}
	}
	if t.text == nil {
		t.text = map[string]string{}
	}
	t.text[strings.Join(name, ".")] = value
}

// form returns what is typed, and names its parts in the draft by their places in the file.
func (t *typed) form(d *draft, path, name, outer string) orderfile.Form {
	f := orderfile.Form{From: orderfile.NotInFile, Text: map[string]string{}, Lists: map[string][]orderfile.Form{}}
	maps.Copy(f.Text, t.text)
	if from, err := strconv.Atoi(f.Text["was"]); err == nil {
		f.From = from
	}
	d.places[path] = name
	for within, items := range t.lists {
		list := page.ListIn(outer, within)
		for _, n := range slices.Sorted(maps.Keys(items)) {
			if items[n].blank(list) || list == "route" && items[n].text["station"] == "" || list == "treatments" && items[n].dressed() && t.has("pieces") {
				continue
			}
			place := under(path, within) + "[" + strconv.Itoa(len(f.Lists[within])) + "]"
			f.Lists[within] = append(f.Lists[within], items[n].form(d, place, under(name, within)+"."+strconv.Itoa(n), list))
		}
	}
	return f
}

// dressing are the fields of a new window that the page fills in by itself, from the window before, the one cloth, a customer's habits.
var dressing = []string{"was", "heading", "face", "lining", "tape", "draw", page.LengthBy, "fullness", "side_hem", "bottom_hem"}

// dressed reports whether a window is new and has only what the page has filled in: an order of pieces needs none.
func (t *typed) dressed() bool {
	for key, value := range t.text {
		if !slices.Contains(dressing, key) && strings.TrimSpace(value) != "" {
			return false
		}
	}
	return t.text["was"] == strconv.Itoa(orderfile.NotInFile)
}

// has reports whether somebody has typed into a part of a list.
func (t *typed) has(list string) bool {
	for _, part := range t.lists[list] {
		if !part.blank(list) {
			return true
		}
	}
	return false
}

// blank reports whether a part is new and nobody has typed into it.
func (t *typed) blank(list string) bool {
	if t.text["was"] != strconv.Itoa(orderfile.NotInFile) {
		return false
	}
	for within, parts := range t.lists {
		for _, part := range parts {
			if !part.blank(page.ListIn(list, within)) {
				return false
			}
		}
	}
	before := page.BlankText(list)
	for key, value := range t.text {
		if key != "was" && key != "length_by" && key != "use" && strings.TrimSpace(value) != "" && value != before[key] {
			return false
		}
	}
	return true
}

// change does to the form what a button asks: a new part, a copy of one behind it, or one less.
func (d *draft) change(do, name string) {
	parts := strings.Split(name, ".")
	lists, outer := d.form.Lists, ""
	for n := 2; len(parts) > n; n += 2 { // a bolt of a fabric, a flaw of a bolt
		place, i := d.place(strings.Join(parts[:n], "."))
		if within := lists[parts[n-2]]; place == "" || i >= len(within) {
			return
		}
		part := &lists[parts[n-2]][i]
		outer = parts[n-2]
		if part.Lists == nil {
			part.Lists = map[string][]orderfile.Form{}
		}
		lists = part.Lists
	}
	list := parts[(len(parts)-1)/2*2]
	if !slices.Contains(page.Lists(), list) {
		return
	}
	_, i := d.place(name)
	switch {
	case do == "add":
		lists[list] = append(lists[list], orderfile.Form{From: orderfile.NotInFile, Text: page.BlankText(page.ListIn(outer, list))})
	case i < 0 || i >= len(lists[list]):
	case do == "copy":
		twin := lists[list][i]
		twin.Text = maps.Clone(twin.Text)
		lists[list] = slices.Insert(lists[list], i+1, twin)
	case do == "remove":
		lists[list] = slices.Delete(lists[list], i, i+1)
	}
	d.settle()
}

// place returns where in the file a part of the page is, and its number in its list; -1 for none.
func (d *draft) place(name string) (path string, index int) {
	for path, of := range d.places {
		if of == name && path != "" {
			index, err := strconv.Atoi(strings.TrimSuffix(path[strings.LastIndexByte(path, '[')+1:], "]"))
			if err == nil {
				return path, index
			}
		}
	}
	return "", -1
}

// settle writes the changed form into the file and names its parts anew.
func (d *draft) settle() {
	d.places = map[string]string{}
	d.name(d.form, "", "")
	if source, ok := orderfile.WithForm(d.base, d.form); ok {
		d.source, d.stuck = source, false
		return
	}
	d.stuck = true
}
