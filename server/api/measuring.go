package api

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations/plan"
)

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
	say, doc := a.Printer(c), measuringDoc{}
	for _, r := range plan.Askings(a.Desk.Shop().Measuring) {
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
