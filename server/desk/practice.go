package desk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup/sample"
	"tablehand/server/store"
	"tablehand/stations"
)

// Ways are what a shop has set of its conventions or tolerances, by name. One that is set back to the shipped value stays, without a
// value, to say by whom.
type Ways map[string]Way

// Way is one that a shop has set.
type Way struct {
	Value any       `json:"value,omitempty"` // as an order file has it; nil: as shipped again
	By    string    `json:"by"`
	At    time.Time `json:"at"`
	From  string    `json:"from"` // what was in force before, as the record has it, like To
	To    string    `json:"to"`
}

// Own is what the shop has otherwise than shipped, by name.
func (w Ways) Own() map[string]any {
	own := map[string]any{}
	for name, way := range w {
		if way.Value != nil {
			own[name] = way.Value
		}
	}
	return own
}

// practiceOf is a shop's own conventions and tolerances in the form of an order file's conventions.
func practiceOf(conventions, tolerances Ways) orderfile.Practice {
	p := orderfile.Of(conventions.Own())
	if own := tolerances.Own(); len(own) > 0 {
		p["tolerances"] = own
	}
	return p
}

// Practice returns the shop's conventions for orders in that unit which say nothing of their own.
func (s *Settings) Practice(units measure.Unit) orderfile.Conventions {
	return practiceOf(s.Conventions, s.Tolerances).Over(orderfile.DefaultConventions(units), units)
}

// Unit is the unit of the shop's own lengths.
func (s *Settings) Unit() measure.Unit { return measure.Unit(s.Units) }

// WayChange is a convention or tolerance that is set otherwise than it was: what was in force, and what is.
type WayChange struct {
	Name     string
	From, To string               // as an order file writes them, "" for none
	Row      orderfile.Convention // of a convention that ChangeConventions has
	way      any                  // as Way.Value
}

// ChangeConventions works out what is otherwise once set is set: values by name as an order file has them, of which nil and "" are the
// shipped ones; without what it is like a heading of the shop's own is one no more. A bare length is in the shop's unit. The problems are
// all that is wrong, each where its name stands.
func (s *Settings) ChangeConventions(set map[string]any) ([]WayChange, []engine.Problem) {
	units, asked, back := s.Unit(), map[string]any{}, map[string]bool{}
	shipped, now := orderfile.DefaultConventions(units), s.Practice(units)
	var wrong []engine.Problem
	known := map[string]bool{}
	for _, r := range now.Rows() {
		known[r.Key] = true
	}
	for name, value := range set {
		text, isText := value.(string)
		blank := value == nil || isText && strings.TrimSpace(text) == ""
		switch {
		case blank && known[name]:
			back[name] = true
		case name == "tolerances", name == "headings": // they have settings, and names, of their own
			wrong = append(wrong, engine.Problem{Severity: engine.Error, Code: "unknown_key", Where: name, Args: map[string]any{"Key": name}})
		default:
			asked[name] = value
		}
	}
	remade(&now, asked, back)
	next, problems := orderfile.Of(s.Conventions.beside(asked, back)).Read(shipped, units)
	if problems = append(wrong, problems...); len(problems) > 0 {
		return nil, problems
	}
	shipped = next.Shipped(units)
	var changes []WayChange
	for _, r := range rowsOf(&now, &next) {
		if _, named := asked[r.Key]; !named && !back[r.Key] {
			continue
		}
		c := WayChange{Name: r.Key, Row: r, From: r.Text(&now, units), To: r.Text(&next, units)}
		if c.To != "" && (r.Makes() || c.To != r.Text(&shipped, units)) {
			c.way = c.To
		}
		if c.From != c.To {
			changes = append(changes, c)
		}
	}
	return changes, nil
}

// remade takes back what is set of an own heading that is to be one no more, or like another than it is: it had the other's figures.
func remade(now *orderfile.Conventions, asked map[string]any, back map[string]bool) {
	for _, r := range now.Rows() {
		if r.Heading == "" {
			continue
		}
		like := "headings." + string(r.Heading) + ".like"
		to, otherwise := asked[like]
		d := now.Heading(r.Heading, measure.In)
		switch _, set := asked[r.Key]; {
		case d.Like == "":
		case back[like]:
			back[r.Key] = true
			delete(asked, r.Key)
		case otherwise && to != string(d.Like) && !set && !r.Makes():
			back[r.Key] = true
		}
	}
}

// rowsOf are the rows of either of two conventions.
func rowsOf(a, b *orderfile.Conventions) []orderfile.Convention {
	rows := a.Rows()
	for _, r := range b.Rows() {
		if !slices.ContainsFunc(rows, func(known orderfile.Convention) bool { return known.Key == r.Key }) {
			rows = append(rows, r)
		}
	}
	return rows
}

// ChangeTolerances works out what is otherwise once set is all that the shop has of its own: by name a length for both sides, or minus and
// plus, of which one left out is as shipped. The problems are all that is wrong, each where it stands: "drop.plus".
func (s *Settings) ChangeTolerances(set map[string]any) ([]WayChange, []engine.Problem) {
	units := s.Unit()
	shipped, now := orderfile.DefaultConventions(units), s.Practice(units)
	next, problems := orderfile.Practice{"tolerances": set}.Read(shipped, units)
	if len(problems) > 0 {
		for i := range problems {
			problems[i].Where = strings.TrimPrefix(problems[i].Where, "tolerances.")
		}
		return nil, problems
	}
	var changes []WayChange
	for _, r := range orderfile.AllTolerances() {
		was, is := now.Tolerances[r.Key], next.Tolerances[r.Key]
		if was == is {
			continue
		}
		c := WayChange{Name: r.Key, From: sides(was, units), To: sides(is, units)}
		if is != shipped.Tolerances[r.Key] {
			c.way = map[string]any{"minus": is.Minus.In(units), "plus": is.Plus.In(units)}
		}
		changes = append(changes, c)
	}
	return changes, nil
}

// beside is what the shop has of its own once some is set and some is back as shipped: figures that are set have to go together with
// those that stay.
func (w Ways) beside(set map[string]any, back map[string]bool) map[string]any {
	all := w.Own()
	maps.DeleteFunc(all, func(name string, _ any) bool { return back[name] })
	maps.Copy(all, set)
	return all
}

// sides writes a tolerance for the record.
func sides(t orderfile.Tolerance, units measure.Unit) string {
	if t.Minus == t.Plus {
		return "±" + t.Plus.In(units)
	}
	return "−" + t.Minus.In(units) + " +" + t.Plus.In(units)
}

// after returns the ways with changes made by somebody at some time.
func (w Ways) after(changes []WayChange, by string, at time.Time) Ways {
	next := maps.Clone(w)
	if next == nil {
		next = Ways{}
	}
	for _, c := range changes {
		next[c.Name] = Way{Value: c.way, By: by, At: at, From: c.From, To: c.To}
	}
	return next
}

// SetConventions keeps what ChangeConventions works out; orders that are taken from now on go by it. Each change is noted in the record,
// as the entry by has it. The error is problems where something in set is wrong, and nothing changes.
func (d *Desk) SetConventions(ctx context.Context, by store.Entry, set map[string]any) error {
	return d.setWays(ctx, store.Conventions, by, func(s *Settings) (Ways, []WayChange, []engine.Problem) {
		changes, problems := s.ChangeConventions(set)
		return s.Conventions, changes, problems
	})
}

// SetTolerances keeps what ChangeTolerances works out, as SetConventions does.
func (d *Desk) SetTolerances(ctx context.Context, by store.Entry, set map[string]any) error {
	return d.setWays(ctx, store.Tolerances, by, func(s *Settings) (Ways, []WayChange, []engine.Problem) {
		changes, problems := s.ChangeTolerances(set)
		return s.Tolerances, changes, problems
	})
}

// setWays keeps what changes of the ways that the shop has, one at a time.
func (d *Desk) setWays(ctx context.Context, setting store.Setting, by store.Entry, change func(*Settings) (Ways, []WayChange, []engine.Problem)) error {
	d.saving.Lock()
	defer d.saving.Unlock()
	was, changes, problems := change(d.Shop())
	if len(problems) > 0 {
		return RefuseProblems(problems)
	}
	return d.keepWays(ctx, setting, was, changes, by)
}

func (d *Desk) keepWays(ctx context.Context, setting store.Setting, was Ways, changes []WayChange, by store.Entry) error {
	if len(changes) == 0 {
		return nil
	}
	text, err := json.Marshal(was.after(changes, by.Who, d.Clock().UTC().Truncate(time.Second)))
	if err != nil {
		return err
	}
	notes := make([]store.Entry, len(changes))
	for i, c := range changes {
		notes[i] = by
		notes[i].What, notes[i].About = store.SettingChanged, fmt.Sprintf("%s: %s %s → %s", setting, c.Name, orNone(c.From), orNone(c.To))
	}
	if err := d.Store.SetNoting(ctx, map[store.Setting]string{setting: string(text)}, notes...); err != nil {
		return err
	}
	return d.readSettings()
}

func orNone(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

// aConvention and aTolerance are practices of one. With one of an own heading goes what makes that.
func aConvention(all Ways, name string) orderfile.Practice {
	set := map[string]any{name: all[name].Value}
	if heading, _, own := orderfile.OfHeading(name); own {
		for _, field := range []string{"like", "name"} {
			key := "headings." + heading + "." + field
			if way, has := all[key]; has {
				set[key] = way.Value
			}
		}
	}
	return orderfile.Of(set)
}

func aTolerance(all Ways, name string) orderfile.Practice {
	return orderfile.Practice{"tolerances": map[string]any{name: all[name].Value}}
}

// waysOf reads what is kept of them, each as the practice that of makes of it. What this version doesn't know, or can't read, is left
// out: work goes on as shipped.
func waysOf(kept string, of func(all Ways, name string) orderfile.Practice) (Ways, error) {
	if kept == "" {
		return nil, nil
	}
	var ways Ways
	if err := json.Unmarshal([]byte(kept), &ways); err != nil {
		return nil, err
	}
	var wrong []error
	all := maps.Clone(ways)
	for name, way := range all {
		if way.Value == nil {
			continue // as shipped again, or a heading that was taken off
		}
		_, problems := of(all, name).Read(orderfile.DefaultConventions(measure.In), measure.In)
		if problems = slices.DeleteFunc(problems, orderfile.Disagrees); len(problems) > 0 { // with the shop's others it may agree
			delete(ways, name)
			wrong = append(wrong, fmt.Errorf("%s: %s", name, problems[0].Code))
		}
	}
	return ways, errors.Join(wrong...)
}

// Tried is what conventions would do to the windows of a sample.
type Tried struct {
	Changes []TriedChange
	Windows []TriedWindow
}

// TriedChange is a convention that would be set otherwise. Moves says that it moves something in one of the windows by itself, Sampled
// that one of them could show it: a heading's own shows only in a window with that heading.
type TriedChange struct {
	WayChange
	Moves   bool
	Sampled bool
}

// TriedWindow is a window of the sample before and after.
type TriedWindow struct {
	Before, After sample.Window
	Changes       []sample.Change
}

// TryConventions works out what SetConventions would do, and keeps nothing. The error is as its.
func (d *Desk) TryConventions(set map[string]any) (Tried, error) {
	shop := d.Shop()
	changes, problems := shop.ChangeConventions(set)
	if len(problems) > 0 {
		return Tried{}, RefuseProblems(problems)
	}
	before, err := sample.Of(shop.Unit(), shop.Practice)
	if err != nil {
		return Tried{}, err
	}
	var tried Tried
	for _, c := range changes {
		one, err := shop.trying(before, []WayChange{c})
		if err != nil {
			return Tried{}, err
		}
		moves := false
		for _, w := range one {
			moves = moves || len(w.Changes) > 0
		}
		tried.Changes = append(tried.Changes, TriedChange{c, moves, sampled(before, c.Name)})
	}
	tried.Windows, err = shop.trying(before, changes)
	return tried, err
}

// sampled reports whether a window of the sample can show what a convention does.
func sampled(windows []sample.Window, name string) bool {
	heading, _, own := orderfile.OfHeading(name)
	return !own || slices.ContainsFunc(windows, func(w sample.Window) bool { return string(w.Work.Order.Treatments[0].Heading) == heading })
}

// trying works the sample out as it is once changes are made.
func (s *Settings) trying(before []sample.Window, changes []WayChange) ([]TriedWindow, error) {
	next := practiceOf(s.Conventions.after(changes, "", time.Time{}), s.Tolerances)
	after, err := sample.Of(s.Unit(), func(u measure.Unit) orderfile.Conventions { return next.Over(orderfile.DefaultConventions(u), u) })
	if err != nil {
		return nil, err
	}
	windows := make([]TriedWindow, len(before))
	for i := range before {
		windows[i] = TriedWindow{before[i], after[i], sample.Compare(before[i].Work, after[i].Work)}
	}
	return windows, nil
}

// Behind lists what of an order is worked up otherwise than the shop's conventions of today would have it: what a revision with Today
// changes, from the order's to the shop's. It lists nothing of an order that takes no revision any more.
func (d *Desk) Behind(o *stations.Order, units measure.Unit) []WayChange {
	if o.State != stations.OrderTaken && o.State != stations.OrderReleased {
		return nil
	}
	return differing(orderfile.Kept(o.Practice), d.Shop().Practice, units)
}

// differing lists what two practices have otherwise, from the one to the other. A heading that only the other has is nothing that an order
// under the one goes by; of one that it has no more the name says so.
func differing(was, is PracticeFor, units measure.Unit) []WayChange {
	before, after := was(units), is(units)
	var list []WayChange
	for _, r := range before.Rows() {
		if r.Group == orderfile.InShelf { // no order's
			continue
		}
		gone := r.Heading != "" && after.Heading(r.Heading, units) == nil
		if c := (WayChange{Name: r.Key, From: r.Text(&before, units), To: r.Text(&after, units)}); c.From != c.To && (!gone || r.Field == "name") {
			list = append(list, c)
		}
	}
	for _, r := range orderfile.AllTolerances() {
		if was, is := before.Tolerances[r.Key], after.Tolerances[r.Key]; was != is {
			list = append(list, WayChange{Name: "tolerances." + r.Key, From: sides(was, units), To: sides(is, units)})
		}
	}
	return list
}

// BringUp revises an order to the shop's conventions of today, by the file that it has, and returns what was otherwise with it. The
// error is as Revise's, and up_to_date where nothing is: then there is no revision. A key that was used gives its first answer again.
func (d *Desk) BringUp(ctx context.Context, actor stations.Actor, o *stations.Order, how Revising) (Revised, []WayChange, error) {
	source, err := d.Store.OrderSource(ctx, o.ID)
	if err != nil {
		return Revised{}, nil, err
	}
	w, err := d.WorkupOf(o)
	if err != nil {
		return Revised{}, nil, err
	}
	how.Today = true
	got, err := d.Revise(ctx, actor, o.ID, source, how)
	if err != nil || how.DryRun {
		return got, d.Behind(o, w.Order.Units), err
	}
	now := d.Store.Floor().Order(o.ID)
	return got, differing(orderfile.Kept(now.PracticeAt(got.Revision-1)), orderfile.Kept(now.PracticeAt(got.Revision)), w.Order.Units), nil
}
