package web

import (
	"net/url"
	"slices"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
)

// wouldBe lays out what an order would become with the cloth as it was measured, for a cutting ticket that is held
// because of it; nil for any other.
func (s *Site) wouldBe(t *stations.Ticket) (*views.WouldBe, error) {
	now := t.Current()
	if now == nil || now.State != stations.Held || t.Spec.Kind != plan.CuttingTicket || now.Cloth != nil {
		return nil, nil
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	source, err := s.Desk.Store.OrderSource(ctx, t.Order)
	if err != nil {
		return nil, err
	}
	file, ok := desk.AsMeasured(source, t)
	if !ok {
		return nil, nil
	}
	was, err := s.Desk.WorkupOf(s.Desk.Store.Floor().Order(t.Order))
	if err != nil {
		return nil, err
	}
	would := &views.WouldBe{Edit: "/orders/" + url.PathEscape(t.Order) + "/edit?measured=" + url.QueryEscape(string(t.Spec.Code))}
	is, problems, err := s.Desk.WorkOut(file, s.Desk.PracticeOf(t.Order))
	if err != nil {
		return nil, err
	}
	would.Problems = slices.DeleteFunc(problems, func(p engine.Problem) bool {
		return p.Severity == engine.Note || slices.ContainsFunc(was.Problems, func(q engine.Problem) bool { return q.Code == p.Code && q.Where == p.Where })
	})
	if is != nil {
		would.Rows = becomes(was, is, t.Spec.Fabric)
		if match := was.Order.Fabric(t.Spec.Fabric).MatchWidth; match > 0 && is.Order.Fabric(t.Spec.Fabric).MatchWidth == 0 {
			would.Match = measure.OfLength(match, t.Spec.Units)
		}
	}
	return would, nil
}

// becomes puts the widths of each window that uses a fabric, and the fabric's cuts and length, beside what they would be.
func becomes(was, is *workup.Workup, fabric string) []views.WouldRow {
	var rows []views.WouldRow
	for i := range was.Treatments {
		line := &was.Order.Treatments[was.Treatments[i].Index]
		if line.Face != fabric && line.Lining != fabric && line.Interlining != fabric {
			continue
		}
		for _, p := range was.Treatments[i].Panels {
			row := views.WouldRow{Window: was.Treatments[i].Window, Panel: string(p.ID), Name: "widths", Was: measure.OfRatio(p.Widths.Ratio())}
			if line.Face != fabric {
				row.Name, row.Was = "lining_widths", measure.OfRatio(p.LiningWidths.Ratio())
			}
			if i < len(is.Treatments) {
				for _, q := range is.Treatments[i].Panels {
					if q.ID == p.ID && line.Face == fabric {
						row.Wants = measure.OfRatio(q.Widths.Ratio())
					} else if q.ID == p.ID {
						row.Wants = measure.OfRatio(q.LiningWidths.Ratio())
					}
				}
			}
			rows = append(rows, row)
		}
	}
	before, after := views.ClothOf(was), views.ClothOf(is)
	for _, b := range before {
		k := slices.IndexFunc(after, func(r views.ClothRow) bool { return r.Name == fabric })
		if b.Name != fabric || k < 0 {
			continue
		}
		rows = append(rows, views.WouldRow{Name: "cuts", Was: measure.OfCount(b.Count), Wants: measure.OfCount(after[k].Count)},
			views.WouldRow{Name: "length", Was: b.Length, Wants: after[k].Length},
			views.WouldRow{Name: "to_order", Was: b.ToOrder, Wants: after[k].ToOrder})
	}
	return rows
}

// MeasuredSource is the file that an order's form begins with: the newest, or where the address names a cutting ticket
// whose cloth was measured otherwise, that with the cloth as it is.
func (s *Site) MeasuredSource(c *fiber.Ctx, order string, source []byte) []byte {
	code, err := stations.ParseCode(c.Query("measured"))
	if err != nil {
		return source
	}
	t := s.Desk.Store.Floor().Ticket(code)
	if t == nil || t.Order != order || t.Spec.Kind != plan.CuttingTicket {
		return source
	}
	if file, ok := desk.AsMeasured(source, t); ok {
		return file
	}
	return source
}
