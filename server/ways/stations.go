package ways

import (
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations/plan"
	"tablehand/views/page/ways"
)

// stationsPage: GET /settings/stations.
func (w *Ways) stationsPage(c *fiber.Ctx) error {
	shop := w.Desk.Shop()
	p := w.stationsOf(c, shop.Fittings.Layout, nil)
	p.Answer = w.answerAfter(c)
	return w.Send(c, p)
}

// setStationsByForm: POST /settings/stations: it shows the routes as they would be; with do=save it keeps what is typed.
func (w *Ways) setStationsByForm(c *fiber.Ctx) error {
	typed := w.typedStations(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	leave := c.FormValue("leave") == desk.Yes
	if c.FormValue("do") != "save" {
		problems := w.Desk.CheckStations(typed)
		if len(problems) == 0 {
			p := w.stationsOf(c, typed, nil)
			p.Tried, p.Routes = true, w.routesOf(c, typed.Placed())
			return w.Send(c, p)
		}
		return w.refuseStations(c, typed, desk.RefuseProblems(problems))
	}
	err := w.Desk.SetStations(ctx, w.Deed(c, store.SettingChanged, ""), typed, leave)
	if err != nil {
		return w.refuseStations(c, typed, err)
	}
	return c.Redirect("/settings/stations?did=settings", fiber.StatusSeeOther)
}

// refuseStations shows the form as it was typed, with what is wrong at its station.
func (w *Ways) refuseStations(c *fiber.Ctx, typed plan.Layout, err error) error {
	r, refused := edge.RefusalOf(err)
	if !refused || len(r.Problems) == 0 {
		return err // station_used is a page of its own
	}
	wrong := map[plan.Station]map[string]string{}
	for _, problem := range r.Problems {
		row, field, _ := strings.Cut(strings.TrimPrefix(problem.Where, "stations["), "].")
		i, err := strconv.Atoi(row)
		if err != nil || i >= len(typed) {
			continue
		}
		at := typed[i].Station
		if wrong[at] == nil {
			wrong[at] = map[string]string{}
		}
		wrong[at][field] = w.Printer(c).Problem(problem)
	}
	c.Status(edge.StatusOf(r.Code))
	p := w.stationsOf(c, typed, wrong)
	p.Leave = r.Code == "station_busy"
	return w.Send(c, p)
}

// typedStations reads the form. A shipped station of which nothing is said is left out; so is one of the shop's own that is taken away, and
// a new one without a name or anything else.
func (w *Ways) typedStations(c *fiber.Ctx) (layout plan.Layout) {
	now := w.Desk.Shop().Fittings.Layout
	text := func(key plan.Station, field string) string {
		return strings.TrimSpace(c.FormValue(string(key) + "-" + field))
	}
	for _, s := range append(now.Stations(), plan.NewStation) {
		own := plan.IsOwn(s) || s == plan.NewStation
		f := plan.Fitting{Station: s, Off: text(s, "off") == desk.Yes, Name: text(s, "name"), Bench: text(s, "bench")}
		if text(s, "next") == desk.Yes {
			f.Safety = plan.SafetyNext
		}
		if own {
			w.typedOwn(c, &f)
		}
		said := f.Off || f.Name != "" || f.Bench != "" || f.Safety != "" || len(f.After)+len(f.Checks)+len(f.Enter) > 0
		if said && text(s, "remove") != desk.Yes {
			layout = append(layout, f)
		}
	}
	return layout
}

// typedOwn reads the fields of a station of the shop's own.
func (w *Ways) typedOwn(c *fiber.Ctx, f *plan.Fitting) {
	key, units := string(f.Station), w.Desk.Shop().Unit()
	for _, route := range plan.RouteNames() {
		if at := c.FormValue(key + "-after-" + route); at != "" {
			f.After = append(f.After, plan.Place{Route: route, Station: plan.Station(at)})
		}
	}
	for _, k := range w.checkFields(f.Station) {
		if label := strings.TrimSpace(c.FormValue(k.Field)); label != "" {
			f.Checks = append(f.Checks, plan.OwnCheck{Name: k.Name, Label: label})
		}
	}
	side := func(name string) *string {
		text := withUnit(w.Printer(c).Typed(strings.TrimSpace(c.FormValue(name))), units)
		if text == "" {
			return nil
		}
		return &text
	}
	for _, target := range c.Context().PostArgs().PeekMulti(key + "-enter") {
		name := key + "-" + string(target)
		f.Enter = append(f.Enter, plan.OwnEntry{Target: string(target), Tolerance: desk.Sides(side(name+"-minus"), side(name+"-plus"), units)})
	}
}

// newChecks is how many empty fields for further checks a station has: our own choice.
const newChecks = 3

// checkFields are the fields of the checks of a station of the shop's own: those that it has, then empty ones.
func (w *Ways) checkFields(s plan.Station) (fields []ways.Check) {
	if f := w.Desk.Shop().Fittings.Layout.Of(s); f != nil {
		for _, k := range f.Checks {
			fields = append(fields, ways.Check{Field: k.Name, Name: k.Name, Label: k.Label})
		}
	}
	for n := range newChecks {
		if len(fields) < plan.MaxOwnChecks {
			fields = append(fields, ways.Check{Field: string(s) + "-check-" + strconv.Itoa(n+1)})
		}
	}
	return fields
}

// stationsOf is the page of a layout, as it is or as it is typed.
func (w *Ways) stationsOf(c *fiber.Ctx, layout plan.Layout, wrong map[plan.Station]map[string]string) ways.Stations {
	now := w.Desk.Shop().Fittings
	p := ways.Stations{Frame: w.Frame(c), Routes: w.routesOf(c, now.Layout)}
	for _, s := range now.Layout.Stations() {
		row := w.stationOf(s, layout.Of(s), wrong[s])
		row.Removes = row.Own && layout.Of(s) == nil
		here, coming := w.Desk.Store.Floor().LyingAt(s)
		row.Lies, row.Coming = len(here), coming
		if ch, changed := now.Changed[s]; changed {
			row.By, row.At = w.who(c, ch.By), w.moment(ch.At)
		}
		p.Rows = append(p.Rows, row)
	}
	if taken := (plan.Layout{{Station: plan.NewStation}}); append(slices.Clone(now.Layout), taken...).Placed()[len(now.Layout)].Station != plan.NewStation {
		row := w.stationOf(plan.NewStation, layout.Of(plan.NewStation), wrong[plan.NewStation])
		row.Station = ""
		p.New = &row
	}
	return p
}

// stationOf is the fields of a station, of which the layout says f; nil: nothing.
func (w *Ways) stationOf(s plan.Station, f *plan.Fitting, wrong map[string]string) ways.Station {
	layout := plan.Layout{}
	row := ways.Station{Key: string(s), Station: s, Own: plan.IsOwn(s) || s == plan.NewStation, Fixed: s == plan.Cutting, Safety: plan.SafetyOf(s), Wrong: wrong}
	if f != nil {
		layout = plan.Layout{*f}
		row.Off, row.Next, row.Name, row.Bench = f.Off, f.Safety == plan.SafetyNext, f.Name, f.Bench
	} else {
		f = &plan.Fitting{}
	}
	row.Asks = layout.ChecklistOf(s)
	if !row.Own {
		return row
	}
	for _, route := range plan.RouteNames() {
		after := ways.After{Route: route, Stations: plan.Layout(nil).Route(route)}
		if i := slices.IndexFunc(f.After, func(at plan.Place) bool { return at.Route == route }); i >= 0 {
			after.Chosen = f.After[i].Station
		}
		row.After = append(row.After, after)
	}
	row.Checks = w.checkFields(s)
	w.fill(row.Checks, f.Checks)
	units := w.Desk.Shop().Unit()
	for _, m := range plan.Measurable() {
		field := ways.Measure{Measure: m}
		if m.Kind == plan.LengthEntry {
			field.Unit = string(units)
		}
		if i := slices.IndexFunc(f.Enter, func(e plan.OwnEntry) bool { return e.Target == m.Target }); i >= 0 {
			field.On = true
			if t := f.Enter[i].Tolerance; t != nil {
				field.Minus, field.Plus = sideIn(t.Minus, units), sideIn(t.Plus, units)
			}
		}
		row.Measures = append(row.Measures, field)
	}
	return row
}

// fill puts checks as they are typed into their fields, new ones into those that are empty.
func (w *Ways) fill(fields []ways.Check, typed []plan.OwnCheck) {
	for i := range fields {
		fields[i].Label = ""
	}
	for _, k := range typed {
		i := slices.IndexFunc(fields, func(f ways.Check) bool { return f.Name == k.Name && f.Label == "" })
		if i >= 0 {
			fields[i].Label = k.Label
		}
	}
}

// sideIn writes a side of a tolerance as its field has it; what is no length as it was typed.
func sideIn(q measure.Quantity, units measure.Unit) string {
	if !q.IsLength() {
		return q.String()
	}
	return inField(q.Length().In(units), units)
}

// routesOf are the routes of a layout, and what nobody asks on them.
func (w *Ways) routesOf(c *fiber.Ctx, layout plan.Layout) (routes []ways.Route) {
	for _, name := range plan.RouteNames() {
		r := ways.Route{Name: name}
		for _, s := range layout.Route(name) {
			passed := ways.Passed{Station: s, Name: w.Printer(c).Station(s)}
			if f := layout.Of(s); f != nil && f.Name != "" {
				passed.Name = f.Name
			}
			r.Stations = append(r.Stations, passed)
		}
		for _, s := range plan.Layout(nil).Route(name) {
			if !layout.Off(s) {
				continue
			}
			list, safety := plan.AskedOn(name, s), plan.SafetyOf(s)
			un := ways.Unasked{Station: s, Checklist: list}
			un.Checks = slices.DeleteFunc(slices.Clone(list.Checks), func(k string) bool { return slices.Contains(safety, k) })
			un.Moved = slices.DeleteFunc(slices.Clone(list.Checks), func(k string) bool { return !slices.Contains(safety, k) })
			if len(un.Entries)+len(un.Checks)+len(un.Moved) > 0 {
				r.Unasked = append(r.Unasked, un)
			}
		}
		routes = append(routes, r)
	}
	return routes
}
