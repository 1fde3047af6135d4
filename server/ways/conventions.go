package ways

import (
	"cmp"
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/page/ways"
)

// conventionsPage: GET /settings/conventions.
func (w *Ways) conventionsPage(c *fiber.Ctx) error {
	return w.Send(c, ways.Conventions{Frame: w.Frame(c), Groups: w.groups(c, nil, nil, nil), New: newHeading(c), Answer: w.answerAfter(c)})
}

// setConventionsByForm: POST /settings/conventions: it shows what the conventions would do as they are typed; with do=save it keeps them.
func (w *Ways) setConventionsByForm(c *fiber.Ctx) error {
	typed, set, back := map[string]string{}, map[string]any{}, asShipped(c)
	units := w.Desk.Shop().Unit()
	now := w.Desk.Shop().Practice(units)
	for _, r := range now.Rows() {
		if r.Makes() && slices.Contains(back, r.Key) {
			set[r.Key] = nil // a heading that is taken off: what it is like has no field
		}
		if !c.Context().PostArgs().Has(r.Key) {
			continue
		}
		typed[r.Key] = c.FormValue(r.Key)
		set[r.Key] = withUnit(w.Printer(c).Typed(strings.TrimSpace(typed[r.Key])), r.Unit(units))
		if slices.Contains(back, r.Key) {
			set[r.Key] = nil
		}
	}
	added := newHeading(c)
	taken := slices.ContainsFunc(now.Own, func(o orderfile.OwnHeading) bool { return string(o.Heading) == added.Key })
	if added.Typed() && !taken {
		set[added.Row("like")], set[added.Row("name")] = added.Like, added.Name
	}
	tried, err := w.Desk.TryConventions(set)
	if taken && err == nil {
		err = desk.RefuseProblems([]engine.Problem{{Severity: engine.Error, Code: "bad_value", Key: "problem.bad_value.heading_shipped", Where: added.Row(""), Args: map[string]any{"Key": added.Key}}})
	}
	if err == nil && c.FormValue("do") == "save" {
		ctx, cancel := desk.Waiting()
		defer cancel()
		if err = w.Desk.SetConventions(ctx, w.Deed(c, store.SettingChanged, ""), set); err == nil {
			return c.Redirect("/settings/conventions?did=settings", fiber.StatusSeeOther)
		}
	}
	p := ways.Conventions{Frame: w.Frame(c)}
	wrong, refused := map[string]string(nil), false
	if err != nil {
		if wrong, refused = w.wrong(c, err); !refused {
			return err
		}
		c.Status(fiber.StatusUnprocessableEntity)
	} else {
		p.Tried = shown(tried, units, added)
	}
	p.New = added
	p.New.Wrong = w.newWrong(c, added, wrong)
	p.Groups = w.groups(c, typed, back, wrong)
	return w.Send(c, p)
}

// newHeading is the heading of the shop's own that is typed to be made.
func newHeading(c *fiber.Ctx) ways.NewHeading {
	typed := func(name string) string { return strings.TrimSpace(c.FormValue(name)) }
	h := ways.NewHeading{Key: typed("own_key"), Name: typed("own_name"), Like: typed("own_like")}
	for _, like := range orderfile.AllHeadings() {
		h.Likes = append(h.Likes, string(like))
	}
	return h
}

// newWrong is what is wrong with a heading that is to be made, by the field that it is told at; nil for nothing.
func (w *Ways) newWrong(c *fiber.Ctx, added ways.NewHeading, wrong map[string]string) map[string]string {
	if !added.Typed() {
		return nil
	}
	var told map[string]string
	for _, at := range []struct{ row, field string }{{"", "key"}, {"like", "like"}, {"name", "name"}} {
		says, is := wrong[added.Row(at.row)]
		if !is {
			continue
		}
		if at.field == "like" && added.Like == "" {
			says = w.Printer(c).T("ways.new.unlike")
		}
		if told == nil {
			told = map[string]string{}
		}
		told[at.field] = says
	}
	return told
}

// withUnit gives a bare number the unit that stands behind its field; "" for no length.
func withUnit(text string, unit measure.Unit) string {
	var e *measure.ParseError
	if _, err := measure.Parse(text, ""); unit != "" && errors.As(err, &e) && e.Reason == measure.UnitMissing {
		return text + " " + string(unit)
	}
	return text
}

// groups are the conventions as they are, or as they are typed.
func (w *Ways) groups(c *fiber.Ctx, typed map[string]string, back []string, wrong map[string]string) []ways.Group {
	shop := w.Desk.Shop()
	units := shop.Unit()
	now := shop.Practice(units)
	shipped := now.Shipped(units)
	var groups []ways.Group
	for _, r := range now.Rows() {
		row := rowOf(r, units, r.Text(&now, units), r.Text(&shipped, units))
		row.Typed = w.Printer(c).Decimal(row.Typed)
		if text, ok := typed[r.Key]; ok {
			row.Typed = text
		}
		row.AsShipped, row.Wrong = slices.Contains(back, r.Key), wrong[r.Key]
		if way, set := shop.Conventions[r.Key]; set {
			row.By, row.At, row.From = w.who(c, way.By), w.moment(way.At), valueOf(r, units, way.From)
		}
		if d := now.Heading(r.Heading, units); d != nil {
			row.Like, row.Plain = string(d.Like), r.Makes()
		}
		groups = filed(groups, r, row)
	}
	slices.SortStableFunc(groups, func(a, b ways.Group) int {
		return cmp.Compare(placeOf(a), placeOf(b))
	})
	return groups
}

// filed puts a row into the group that it is about: a heading's own into that of the heading.
func filed(groups []ways.Group, r orderfile.Convention, row ways.Row) []ways.Group {
	i := slices.IndexFunc(groups, func(g ways.Group) bool { return g.Name == r.Group && g.Heading == string(r.Heading) })
	if i < 0 {
		i, groups = len(groups), append(groups, ways.Group{Name: r.Group, Heading: string(r.Heading), Like: row.Like})
	}
	if r.Makes() && r.Words() != nil { // what it is like is said beside its name
		groups[i].Off = row.AsShipped
		return groups
	}
	groups[i].Rows = append(groups[i].Rows, row)
	return groups
}

// placeOf is where a group stands on the page: the headings' own come last, in their order.
func placeOf(g ways.Group) int {
	all := orderfile.ConventionGroups()
	if i := slices.Index(all, g.Name); i >= 0 {
		return i
	}
	return len(all)
}

func rowOf(r orderfile.Convention, units measure.Unit, now, shipped string) ways.Row {
	row := ways.Row{Name: r.Key, Label: r.Name(), Words: r.Words(), InForce: valueOf(r, units, now), Shipped: valueOf(r, units, shipped), Own: now != shipped,
		Source: string(r.Sources.In(units)), Optional: r.Optional()}
	if row.Words != nil || r.Makes() {
		row.Typed = now
		return row
	}
	unit := r.Unit(units)
	row.Typed, row.Unit = inField(now, unit), string(unit)
	least, most, above := r.Limits(units)
	if l, err := measure.Parse(most, ""); err != nil || l < plainly {
		row.Least, row.Most, row.Above = valueOf(r, units, least).Text, valueOf(r, units, most).Text, above
	}
	if number, share := strings.CutSuffix(now, " %"); share {
		row.Typed, row.Unit = number, "%"
	}
	return row
}

// plainly is the most that a page says of a length: beyond it nobody means it.
const plainly = 30 * measure.Metre

// valueOf is a convention's value as a person reads it: what is bought in yards or metres, what lies between the marks of a rule in decimals.
func valueOf(r orderfile.Convention, units measure.Unit, text string) ways.Value {
	const rule = 16
	if l, err := measure.Parse(text, ""); err == nil {
		unit := r.Unit(units)
		text = l.In(unit)
		if !unit.Metric() && !l.Mixed(unit, rule).Exact {
			text = l.Number(unit, 3) + " " + string(unit)
		}
		if r.NoneAt0 && l == 0 {
			text = ""
		}
	}
	return ways.Value{Kind: r.WordKind(), Text: text, Word: r.Words() != nil, Own: r.Makes()}
}

// inField writes a length as it is typed: a fraction where a rule has its mark, else decimals.
func inField(text string, unit measure.Unit) string {
	l, err := measure.Parse(text, "")
	if err != nil {
		return text
	}
	const finest = 64 // the finest mark that a rule has
	m := l.Mixed(unit, finest)
	switch {
	case unit.Metric() || !m.Exact:
		return strings.TrimSuffix(l.In(unit), string(unit))
	case m.Num == 0:
		return measure.Count(int(m.Whole))
	case m.Whole == 0:
		return measure.Count(int(m.Num)) + "/" + measure.Count(int(m.Den))
	}
	return measure.Count(int(m.Whole)) + " " + measure.Count(int(m.Num)) + "/" + measure.Count(int(m.Den))
}

// who is a name of the record as a page has it.
func (w *Ways) who(c *fiber.Ctx, name string) string {
	if name == string(stations.Office) {
		return w.Printer(c).T("devices.role.office")
	}
	return name
}

func (w *Ways) moment(at time.Time) views.Moment {
	at = at.In(w.Desk.Shop().Zone)
	return views.Moment{Date: at.Format(time.DateOnly), At: at}
}

// shown lays out what conventions would do, a heading that they would make as one thing.
func shown(t desk.Tried, units measure.Unit, added ways.NewHeading) *ways.Tried {
	p := &ways.Tried{}
	if added.Typed() {
		p.Made = &added
	}
	for _, ch := range t.Changes {
		r := ch.Row
		if added.Typed() && string(r.Heading) == added.Key {
			continue
		}
		p.Changes = append(p.Changes, ways.TriedChange{
			Heading: string(r.Heading), Label: r.Name(), From: valueOf(r, units, ch.From), To: valueOf(r, units, ch.To), Moves: ch.Moves, Sampled: ch.Sampled,
		})
	}
	for _, tried := range t.Windows {
		win := ways.Window{Name: tried.After.Name}
		for _, n := range tried.Changes {
			number := ways.Number{Of: n.Of, Name: n.Name, Before: n.Before, After: n.After}
			if ways.Foremost(n.Name) {
				win.Changes = append(win.Changes, number)
			} else {
				win.More = append(win.More, number)
			}
		}
		for _, problem := range tried.After.Work.Problems {
			if problem.Severity == engine.Error {
				win.Problems = append(win.Problems, problem)
			}
		}
		p.Windows = append(p.Windows, win)
	}
	return p
}
