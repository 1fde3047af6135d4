package taking

import (
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

	problems []engine.Problem
	work     *workup.Workup // of the windows that can be worked out, nil where none can
	worked   []int          // which treatment of the file each treatment of the work-up is
}

// newDraft makes a draft of an order, "" for a new one, before it is read from a file or a form.
func (k *Counter) newDraft(order string, base []byte) *draft {
	desk := k.Desk
	return &draft{
		base: base, source: base, places: map[string]string{}, under: desk.PracticeOf(order),
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
	return nil
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
		for i := range order.Treatments {
			d.worked = append(d.worked, i)
		}
	}
	if order == nil {
		return
	}
	d.work = workup.Compute(order)
	for _, p := range workup.Noteworthy(d.work.Problems) {
		d.problems = append(d.problems, d.inFile(p))
	}
	if whole {
		d.problems = append(d.problems, d.shares(d.work)...)
	}
	if !slices.ContainsFunc(d.problems, func(p engine.Problem) bool { return p.Where == "customer" }) { // one with an error was left out
		d.problems = append(d.problems, desk.LacksCustomer(order)...)
	}
}

// inFile puts a problem of the work-up to its place in the whole file.
func (d *draft) inFile(p engine.Problem) engine.Problem {
	index, rest, ok := elementOf(p.Where, "treatments")
	if ok && index < len(d.worked) && d.worked[index] != index {
		p.Where = "treatments[" + strconv.Itoa(d.worked[index]) + "]" + rest
		p.Line, p.Column = 0, 0 // of the file without what was left out
	}
	return p
}

// usable returns the order without what has errors, and which treatments of the file are left; nil where nothing is.
func (d *draft) usable(problems []engine.Problem) (*orderfile.Order, []int) {
	if !d.shown || d.stuck {
		return nil, nil
	}
	form := d.form
	var left []int
	for i := range form.Lists["treatments"] {
		left = append(left, i)
	}
	const rounds = 4 // a bad bolt, the fabric that names none then, the windows of that fabric
	for range rounds {
		smaller := without(form, problems, &left)
		source, ok := orderfile.WithForm(d.base, smaller)
		if !ok || len(left) == 0 {
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

// without returns a form less what the errors are about, and takes what goes off left, the treatments in it.
func without(form orderfile.Form, problems []engine.Problem, left *[]int) orderfile.Form {
	bad, badBolts := map[string]map[int]bool{"fabrics": {}, "tapes": {}, "treatments": {}}, map[int]bool{}
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
	var still []int
	for i, of := range *left {
		if !bad["treatments"][i] {
			still = append(still, of)
		}
	}
	*left = still
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
	within, rest := "", path
	for place := range d.places {
		if after, ok := strings.CutPrefix(path, place+"."); ok && len(place) >= len(within) && place != "" {
			within, rest = place, after
		}
	}
	list = "order"
	if within != "" {
		parts := strings.Split(within, ".")
		list, _, _ = strings.Cut(parts[len(parts)-1], "[")
	}
	if key = page.FieldAt(list, rest); key == "" {
		return "", "", ""
	}
	return under(d.places[within], key), list, key
}
