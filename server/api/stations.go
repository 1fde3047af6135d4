package api

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations/plan"
)

// stationRow is a station of the shop. What a program sets of it stands first; the rest is the program's to know.
type stationRow struct {
	Station plan.Station    `json:"station"`
	Off     bool            `json:"off"`
	Safety  string          `json:"safety,omitempty"` // of one that is off: next
	Name    string          `json:"name"`             // the shop's own, "" as shipped
	Bench   string          `json:"bench"`
	After   []plan.Place    `json:"after,omitempty"`
	Checks  []plan.OwnCheck `json:"checks,omitempty"`
	Enter   []ownEntryDoc   `json:"enter,omitempty"`

	Label   string        `json:"label"`
	Own     bool          `json:"own"`
	Number  int           `json:"number"`
	Lies    int           `json:"lies"`
	Asks    *asksDoc      `json:"asks,omitempty"`
	Changed *desk.Changed `json:"changed,omitempty"`
}

// ownEntryDoc is what a station of the shop's own measures; lengths are in the shop's unit.
type ownEntryDoc struct {
	Target string  `json:"target"`
	Minus  *string `json:"minus,omitempty"`
	Plus   *string `json:"plus,omitempty"`
}

// asksDoc is what a station asks of the pieces that pass it.
type asksDoc struct {
	Entries []string `json:"entries"`
	Checks  []string `json:"checks"`
	Safety  []string `json:"safety"`
}

type routeDoc struct {
	Route    string         `json:"route"`
	Stations []plan.Station `json:"stations"`
}

type stationsDoc struct {
	Stations []stationRow `json:"stations"`
	Routes   []routeDoc   `json:"routes,omitempty"` // as orders that are released from now on go
	Leave    bool         `json:"leave,omitempty"`  // of a PUT: work that lies at a station that is switched off is done there
}

// showStations: GET /api/stations.
func (a *API) showStations(c *fiber.Ctx) error {
	say, shop := a.Printer(c), a.Desk.Shop()
	layout := shop.Fittings.Layout
	doc := stationsDoc{}
	for _, s := range layout.Stations() {
		row := stationRow{Station: s}
		if f := layout.Of(s); f != nil {
			row.Off, row.Safety, row.Name, row.Bench, row.After, row.Checks = f.Off, f.Safety, f.Name, f.Bench, f.After, f.Checks
			for _, e := range f.Enter {
				row.Enter = append(row.Enter, entryDocOf(e, shop.Unit()))
			}
		}
		here, _ := a.Desk.Store.Floor().LyingAt(s)
		asks := layout.ChecklistOf(s)
		row.Label, row.Own, row.Number, row.Lies = say.Station(s), plan.IsOwn(s), plan.Number(s), len(here)
		row.Asks = &asksDoc{append([]string{}, asks.Entries...), append([]string{}, asks.Checks...), append([]string{}, plan.SafetyOf(s)...)}
		if ch, changed := shop.Fittings.Changed[s]; changed {
			row.Changed = &ch
		}
		doc.Stations = append(doc.Stations, row)
	}
	for _, name := range plan.RouteNames() {
		doc.Routes = append(doc.Routes, routeDoc{name, layout.Route(name)})
	}
	return c.JSON(doc)
}

func entryDocOf(e plan.OwnEntry, unit measure.Unit) ownEntryDoc {
	doc := ownEntryDoc{Target: e.Target}
	if e.Tolerance != nil {
		minus, plus := e.Tolerance.Minus.Length().In(unit), e.Tolerance.Plus.Length().In(unit)
		doc.Minus, doc.Plus = &minus, &plus
	}
	return doc
}

// setStations: PUT /api/stations, the whole: a station that no row names is as shipped, one of the shop's own that none names is no more,
// and the station "own" is a new one. A row may be as GET has it; what it says beside what is set is the program's to know.
func (a *API) setStations(c *fiber.Ctx) error {
	var body stationsDoc
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if body.Stations == nil {
		return desk.Refuse("missing_key", "stations", "Name", "stations")
	}
	units := a.Desk.Shop().Unit()
	var layout plan.Layout
	for _, r := range body.Stations {
		f := plan.Fitting{Station: r.Station, Off: r.Off, Safety: r.Safety, Name: r.Name, Bench: r.Bench, After: r.After, Checks: r.Checks}
		for _, e := range r.Enter {
			f.Enter = append(f.Enter, plan.OwnEntry{Target: e.Target, Tolerance: desk.Sides(e.Minus, e.Plus, units)})
		}
		layout = append(layout, f)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := a.Desk.SetStations(ctx, a.Deed(c, store.SettingChanged, ""), layout, body.Leave); err != nil {
		return err
	}
	return a.showStations(c)
}

// askingRow is an entry or a check of a route's station, and when it is asked.
type askingRow struct {
	Route   string          `json:"route"`
	Station plan.Station    `json:"station"`
	Name    string          `json:"name"`
	When    plan.Occasion   `json:"when"`
	Kind    string          `json:"kind"` // entry, check
	Label   string          `json:"label"`
	Default plan.Occasion   `json:"default"` // as shipped
	Values  []plan.Occasion `json:"values"`  // that it can be set to
}

type measuringDoc struct {
	Rows []askingRow `json:"rows"`
}

// showMeasuring: GET /api/measuring.
func (a *API) showMeasuring(c *fiber.Ctx) error {
	say, shop, doc := a.Printer(c), a.Desk.Shop(), measuringDoc{}
	for _, r := range shop.Fittings.Layout.Askings(shop.Measuring) {
		doc.Rows = append(doc.Rows, askingRow{r.Route, r.Station, r.Name, r.When, r.Kind(), say.T(r.Kind() + "." + r.Name), r.Shipped, r.Choices})
	}
	return c.JSON(doc)
}

// setMeasuring: PUT /api/measuring, the whole: what it doesn't name is as shipped. A row may be as GET has it; what it says beside
// its occasion is the program's to know.
func (a *API) setMeasuring(c *fiber.Ctx) error {
	var body measuringDoc
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if body.Rows == nil {
		return desk.Refuse("missing_key", "rows", "Name", "rows")
	}
	set := make([]plan.Asking, len(body.Rows))
	for i, r := range body.Rows {
		set[i] = plan.Asking{Route: r.Route, Station: r.Station, Name: r.Name, When: r.When}
	}
	if err := a.SetMeasuring(c, set); err != nil {
		return err
	}
	return a.showMeasuring(c)
}
