package api

import (
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations/plan"
)

// toleranceRow is how far a measure may lie off as the shop has it now, in the shop's unit.
type toleranceRow struct {
	Name     string           `json:"name"`
	Minus    any              `json:"minus"`
	Plus     any              `json:"plus"`
	Source   orderfile.Source `json:"source"` // of the shipped ones
	Label    string           `json:"label"`
	Stations []plan.Station   `json:"stations"` // where it is measured
	Default  *sidesDoc        `json:"default,omitempty"`
	Changed  *changedByDoc    `json:"changed,omitempty"`
}

type sidesDoc struct {
	Minus string `json:"minus"`
	Plus  string `json:"plus"`
}

type tolerancesDoc struct {
	Rows []toleranceRow `json:"rows"`
}

// showTolerances: GET /api/tolerances.
func (a *API) showTolerances(c *fiber.Ctx) error {
	shop := a.Desk.Shop()
	units := shop.Unit()
	now, shipped := shop.Practice(units), orderfile.DefaultConventions(units)
	var doc tolerancesDoc
	for _, r := range orderfile.AllTolerances() {
		is, was := now.Tolerances[r.Key], shipped.Tolerances[r.Key]
		doc.Rows = append(doc.Rows, toleranceRow{Name: r.Key, Minus: is.Minus.In(units), Plus: is.Plus.In(units), Source: r.Sources.In(units),
			Label: a.Printer(c).T("entry." + r.Entry()), Stations: plan.HeldTo(r.Key), Default: &sidesDoc{was.Minus.In(units), was.Plus.In(units)},
			Changed: changedBy(shop.Tolerances, r.Key)})
	}
	return c.JSON(doc)
}

// setTolerances: PUT /api/tolerances, the whole: what it doesn't name is as shipped, and so is a side that a row leaves out. A row may be as
// GET has it; what it says beside its sides is the program's to know.
func (a *API) setTolerances(c *fiber.Ctx) error {
	var body tolerancesDoc
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if body.Rows == nil {
		return desk.Refuse("missing_key", "rows", "Name", "rows")
	}
	set, at := map[string]any{}, map[string]int{}
	var twice []engine.Problem
	for i, r := range body.Rows {
		if _, has := set[r.Name]; has {
			twice = append(twice, engine.Problem{Severity: engine.Error, Code: "duplicate", Key: "ways.twice", Where: rowAt(i, ".name"), Args: map[string]any{"Name": r.Name}})
		}
		set[r.Name], at[r.Name] = map[string]any{"minus": r.Minus, "plus": r.Plus}, i
	}
	_, problems := a.Desk.Shop().ChangeTolerances(set)
	for i := range problems {
		problems[i].Where = whereOf(problems[i].Where, at)
	}
	if problems = append(twice, problems...); len(problems) > 0 {
		return desk.RefuseProblems(problems)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := a.Desk.SetTolerances(ctx, a.Deed(c, store.SettingChanged, ""), set); err != nil {
		return err
	}
	return a.showTolerances(c)
}

func rowAt(i int, end string) string { return "rows[" + strconv.Itoa(i) + "]" + end }

// whereOf is where in the rows a problem is that is told by a tolerance's name.
func whereOf(where string, at map[string]int) string {
	for name, i := range at {
		if where == name {
			return rowAt(i, ".name")
		}
		if side, ok := strings.CutPrefix(where, name+"."); ok && (side == "minus" || side == "plus") {
			return rowAt(i, "."+side)
		}
	}
	return where
}
