package ways

import (
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations/plan"
	"tablehand/views/page/ways"
)

// tolerancesPage: GET /settings/tolerances.
func (w *Ways) tolerancesPage(c *fiber.Ctx) error {
	return w.Send(c, ways.Tolerances{Frame: w.Frame(c), Stations: w.measured(c, nil, nil), Answer: w.answerAfter(c)})
}

// setTolerancesByForm: POST /settings/tolerances, all of them. A field that is left empty, or whose row is asked back, is as shipped.
func (w *Ways) setTolerancesByForm(c *fiber.Ctx) error {
	back := asShipped(c)
	units := w.Desk.Shop().Unit()
	typed, set := map[string]string{}, map[string]any{}
	for _, r := range orderfile.AllTolerances() {
		sides := map[string]any{}
		for _, side := range sidesOf(r) {
			name := r.Key + "-" + side
			typed[name] = c.FormValue(name)
			text := withUnit(w.Printer(c).Typed(strings.TrimSpace(typed[name])), units)
			switch {
			case text == "":
			case side == bothSides:
				sides["minus"], sides["plus"] = text, text
			default:
				sides[side] = text
			}
		}
		if !slices.Contains(back, r.Key) {
			set[r.Key] = sides
		}
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	err := w.Desk.SetTolerances(ctx, w.Deed(c, store.SettingChanged, ""), set)
	if err == nil {
		return c.Redirect("/settings/tolerances?did=settings", fiber.StatusSeeOther)
	}
	wrong, refused := w.wrong(c, err)
	if !refused {
		return err
	}
	c.Status(fiber.StatusUnprocessableEntity)
	return w.Send(c, ways.Tolerances{Frame: w.Frame(c), Stations: w.measured(c, typed, wrong)})
}

// bothSides is the one field of what has no sides.
const bothSides = "both"

// sidesOf are the fields of a tolerance: the panels of a pair lie apart, whichever is the wider.
func sidesOf(r orderfile.ToleranceRow) []string {
	if strings.Contains(r.Key, ".pair_") {
		return []string{bothSides}
	}
	return []string{"minus", "plus"}
}

// measured are the tolerances as they are, or as they are typed, by the stations where they are measured.
func (w *Ways) measured(c *fiber.Ctx, typed, wrong map[string]string) []ways.Measured {
	shop := w.Desk.Shop()
	units := shop.Unit()
	now, shipped := shop.Practice(units), orderfile.DefaultConventions(units)
	var list []ways.Measured
	for _, r := range orderfile.AllTolerances() {
		is, was := now.Tolerances[r.Key], shipped.Tolerances[r.Key]
		row := ways.Tolerance{Name: r.Key, Entry: r.Entry(), InForce: sides(is, units), Shipped: sides(was, units), Own: is != was, Source: string(r.Sources.In(units))}
		for _, side := range sidesOf(r) {
			l, told := is.Plus, "plus"
			if side == "minus" {
				l, told = is.Minus, side
			}
			f := ways.Side{Name: r.Key + "-" + side, About: r.Key + "-about", Side: side, Typed: w.Printer(c).Decimal(inField(l.In(units), units)), Unit: string(units),
				Wrong: wrong[r.Key+"."+told]}
			if text, ok := typed[f.Name]; ok {
				f.Typed = text
			}
			row.Fields = append(row.Fields, f)
		}
		if way, set := shop.Tolerances[r.Key]; set {
			row.By, row.At, row.From, row.To = w.who(c, way.By), w.moment(way.At), way.From, way.To
		}
		at := plan.HeldTo(r.Key)
		i := slices.IndexFunc(list, func(m ways.Measured) bool { return slices.Equal(m.Stations, at) })
		if i < 0 {
			i, list = len(list), append(list, ways.Measured{Stations: at})
		}
		list[i].Rows = append(list[i].Rows, row)
	}
	return list
}

func sides(t orderfile.Tolerance, units measure.Unit) ways.Sides {
	return ways.Sides{Minus: measure.OfLength(t.Minus, units), Plus: measure.OfLength(t.Plus, units)}
}
