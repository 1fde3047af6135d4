package taking

import (
	"bytes"
	"cmp"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	page "tablehand/views/page/taking"
)

const (
	maxDraft  = 2 << 20 // of a form that is typed, its file twice included, in bytes
	maxFields = 40_000  // of one form
)

// draft is an order while it is typed: a form, or a file, and what it comes to. Nothing of it is stored.
type draft struct {
	base   []byte                                // the file that the form was read from
	form   orderfile.Form                        // as typed; empty where shown is false
	shown  bool                                  // the file can be shown as a form
	places map[string]string                     // the names in the page of the file's mappings: "treatments[0]" → "treatments.4"
	source []byte                                // the file as it is now
	asked  string                                // the name in the page of the window whose ways are asked for, "" for none
	stuck  bool                                  // the form's last change can't be put into the file
	shares func(*workup.Workup) []engine.Problem // tells of bolts that other orders name too
	under  desk.PracticeFor                      // what the order is worked up with
	// onShelf gives an order the bolts that the shelf has for it.
	onShelf func(*orderfile.Order) []engine.Problem
	offered func(*workup.Workup) []engine.Problem // tells of remnants that it is cut from

	problems []engine.Problem
	work     *workup.Workup   // of the windows that can be worked out, nil where none can
	worked   map[string][]int // of treatments and pieces: which of the file each of the work-up's is
}

// newDraft makes a draft of an order, "" for a new one, before it is read from a file or a form.
func (k *Counter) newDraft(order string, base []byte) *draft {
	desk := k.Desk
	return &draft{
		base: base, source: base, places: map[string]string{}, under: desk.PracticeOf(order), onShelf: desk.OnShelf, offered: desk.Offered,
		shares: func(w *workup.Workup) []engine.Problem { return desk.SharedBolts(cmp.Or(order, w.Order.ID), w) },
	}
}

// draftOfFile makes a draft of an order's file.
func (k *Counter) draftOfFile(order string, source []byte) *draft {
	d := k.newDraft(order, source)
	d.form, d.shown = orderfile.FormOf(source)
	d.name(d.form, "", "")
	return d
}

// keepConventions leaves the order those conventions of its own that the form was shown no field for; one whose field is empty goes.
func (d *draft) keepConventions() {
	const own = "conventions"
	if !bytes.Contains(d.base, []byte(own)) {
		return
	}
	was, _ := orderfile.FormOf(d.base)
	for name, text := range was.Text {
		if _, typed := d.form.Text[name]; !typed && strings.HasPrefix(name, own+".") {
			d.form.Text[name] = text
		}
	}
}

// name names the mappings of a form by their numbers in the file.
func (d *draft) name(form orderfile.Form, path, name string) {
	d.places[path] = name
	for list, items := range form.Lists {
		for i, item := range items {
			n := strconv.Itoa(i)
			d.name(item, under(path, list)+"["+n+"]", under(name, list)+"."+n)
		}
	}
}

func under(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// workOut fills in what a draft comes to; a large file waits for its turn. The error is busy.
func (k *Counter) workOut(d *draft) error {
	leave, err := k.Desk.FileTurn(d.source)
	if err != nil {
		return err
	}
	defer leave()
	d.workOut()
	d.problems = append(d.problems, k.Desk.ClosedDue(d.order())...)
	return nil
}

// headings are the rows of those that a window of the draft may have.
func (d *draft) headings() []orderfile.HeadingData {
	if d.work != nil {
		return d.work.Order.Conventions.HeadingRows(d.work.Order.Units)
	}
	return orderfile.HeadingsIn(d.source, d.under)
}

// order is the order as far as its form or file says, which may not be enough to work it out.
func (d *draft) order() *orderfile.Order {
	switch {
	case d.shown:
		return &orderfile.Order{Due: d.form.Text["due"]}
	case d.work != nil:
		return d.work.Order
	}
	return &orderfile.Order{}
}

// workOut fills in what the draft comes to. Windows with errors are left out, so that the others have their numbers
// while one is being typed.
func (d *draft) workOut() {
	order, problems := orderfile.ParseUnder(d.source, d.under)
	d.problems = problems
	whole := order != nil
	if !whole {
		order, d.worked = d.usable(problems)
	} else {
		d.worked = map[string][]int{"treatments": upTo(len(order.Treatments)), "pieces": upTo(len(order.Pieces))}
	}
	if order == nil {
		return
	}
	d.problems = append(d.problems, d.onShelf(order)...)
	d.work = workup.Compute(order)
	for _, p := range workup.Noteworthy(d.work.Problems) {
		d.problems = append(d.problems, d.inFile(p))
	}
	if whole {
		d.problems = append(d.problems, d.shares(d.work)...)
		for _, p := range d.offered(d.work) {
			d.problems = append(d.problems, d.inFile(p))
		}
	}
	if !slices.ContainsFunc(d.problems, func(p engine.Problem) bool { return p.Where == "customer" }) { // one with an error was left out
		d.problems = append(d.problems, desk.LacksCustomer(order)...)
	}
}

// inFile puts a problem of the work-up to its place in the whole file.
func (d *draft) inFile(p engine.Problem) engine.Problem {
	for list, worked := range d.worked {
		index, rest, ok := elementOf(p.Where, list)
		if ok && index < len(worked) && worked[index] != index {
			p.Where = list + "[" + strconv.Itoa(worked[index]) + "]" + rest
			p.Line, p.Column = 0, 0 // of the file without what was left out
		}
	}
	return p
}

// upTo counts from 0 to below n.
func upTo(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// usable returns the order without what has errors, and which treatments and pieces of the file are left; nil where nothing is.
func (d *draft) usable(problems []engine.Problem) (*orderfile.Order, map[string][]int) {
	if !d.shown || d.stuck {
		return nil, nil
	}
	form := d.form
	left := map[string][]int{"treatments": upTo(len(form.Lists["treatments"])), "pieces": upTo(len(form.Lists["pieces"]))}
	const rounds = 4 // a bad bolt, the fabric that names none then, the windows of that fabric
	for range rounds {
		smaller := without(form, problems, left)
		source, ok := orderfile.WithForm(d.base, smaller)
		if !ok || len(left["treatments"])+len(left["pieces"]) == 0 {
			return nil, nil
		}
		var order *orderfile.Order
		if order, problems = orderfile.ParseUnder(source, d.under); order != nil {
			return order, left
		}
		form = smaller
	}
	return nil, nil
}

// without returns a form less what the errors are about, and takes what goes off left, the treatments and pieces in it.
func without(form orderfile.Form, problems []engine.Problem, left map[string][]int) orderfile.Form {
	bad, badBolts := map[string]map[int]bool{"fabrics": {}, "tapes": {}, "rods": {}, "treatments": {}, "pieces": {}}, map[int]bool{}
	smaller := orderfile.Form{From: form.From, Rest: form.Rest, Text: map[string]string{}, Lists: map[string][]orderfile.Form{}}
	for key, text := range form.Text {
		smaller.Text[key] = text
	}
	for _, p := range problems {
		if p.Severity != engine.Error {
			continue
		}
		for list := range bad {
			switch i, rest, ok := elementOf(p.Where, list); {
			case ok && strings.HasPrefix(rest, ".bolts["):
				badBolts[i] = true
			case ok:
				bad[list][i] = true
			}
		}
		switch p.Where {
		case "order":
			smaller.Text["order"] = "new" // an order has to have a name, and here any will do
		case "customer", "sidemark", "due", "notes", "print_sidemark":
			smaller.Text[p.Where] = ""
		}
		if strings.HasPrefix(p.Where, "conventions.") {
			smaller.Text[p.Where] = ""
		}
	}
	for list, items := range form.Lists {
		for i, item := range items {
			if list == "fabrics" && badBolts[i] {
				item.Lists = nil
			}
			if !bad[list][i] {
				smaller.Lists[list] = append(smaller.Lists[list], item)
			}
		}
	}
	for list := range left {
		var still []int
		for i, of := range left[list] {
			if !bad[list][i] {
				still = append(still, of)
			}
		}
		left[list] = still
	}
	return smaller
}

// elementOf takes a path apart that lies in an element of a list of the order: "treatments[3].face".
func elementOf(path, list string) (index int, rest string, ok bool) {
	inner, ok := strings.CutPrefix(path, list+"[")
	if !ok {
		return 0, "", false
	}
	number, rest, ok := strings.Cut(inner, "]")
	index, err := strconv.Atoi(number)
	return index, rest, ok && err == nil
}

// fieldOf returns the field of the page that a path of the file is typed into, and its list; "" for none.
func (d *draft) fieldOf(path string) (name, list, key string) {
	if path == "treatments" { // no window yet: where the first is typed
		return "treatments.0.window", "treatments", "window"
	}
	if piece, ok := strings.CutSuffix(path, ".fabrics"); ok && d.places[piece] != "" { // a piece names no cloth yet
		return under(d.places[piece], "fabrics.0.fabric"), page.ListIn("pieces", "fabrics"), "fabric"
	}
	if strings.HasSuffix(path, ".route") { // the way as a whole: where it begins
		path += "[0]"
	}
	if _, whole := d.places[path]; whole && path != "" { // an element as a whole: its first field
		path += "." + page.FirstField(d.listOf(path))
	}
	within, rest := "", path
	for place := range d.places {
		if after, ok := strings.CutPrefix(path, place+"."); ok && len(place) >= len(within) && place != "" {
			within, rest = place, after
		}
	}
	list = d.listOf(within)
	if key = page.FieldAt(list, rest); key == "" {
		return "", "", ""
	}
	return under(d.places[within], key), list, key
}

// listOf returns the list of fields of a part, by its path in the file.
func (d *draft) listOf(path string) string {
	list := "order"
	for part := range strings.SplitSeq(path, ".") {
		if name, _, ok := strings.Cut(part, "["); ok {
			list = page.ListIn(list, name)
		}
	}
	return list
}
