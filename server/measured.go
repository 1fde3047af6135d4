package server

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/views"
)

// asMeasured returns an order's file with its cloth as it was measured at a cutting ticket, where that lies out of
// tolerance. ok is false where nothing does, and for a file that can't be changed in place (see orderfile.WithForm).
func asMeasured(source []byte, t *stations.Ticket) (file []byte, ok bool) {
	texts := map[string]string{}
	for _, name := range t.Steps[0].OutOf {
		l, err := measure.Parse(t.Steps[0].Measured[name], t.Spec.Units)
		if err != nil {
			return nil, false
		}
		switch name {
		case "usable_width":
			texts["usable_width"] = bare(l, t.Spec.Units)
		case "repeat_over_five":
			texts["vertical_repeat"] = bare(l.Div(5), t.Spec.Units)
		}
	}
	form, ok := orderfile.FormOf(source)
	i := slices.IndexFunc(form.Lists["fabrics"], func(f orderfile.Form) bool { return f.Text["id"] == t.Spec.Fabric })
	if !ok || i < 0 || len(texts) == 0 {
		return nil, false
	}
	for key, text := range texts {
		form.Lists["fabrics"][i].Text[key] = text
	}
	return orderfile.WithForm(source, form)
}

// bare writes a length as an order file in that unit has it, without the unit.
func bare(l measure.Length, unit measure.Unit) string {
	return strings.TrimSuffix(l.In(unit), string(unit))
}

// wouldBe lays out what an order would become with the cloth as it was measured, for a cutting ticket that is held
// because of it; nil for any other.
func (s *Server) wouldBe(t *stations.Ticket) (*views.WouldBe, error) {
	now := t.Current()
	if now == nil || now.State != stations.Held || t.Spec.Kind != stations.CuttingTicket || now.Cloth != nil {
		return nil, nil
	}
	ctx, cancel := waiting()
	defer cancel()
	source, err := s.Store.OrderSource(ctx, t.Order)
	if err != nil {
		return nil, err
	}
	file, ok := asMeasured(source, t)
	if !ok {
		return nil, nil
	}
	was, err := s.workupOf(s.Store.Floor().Order(t.Order))
	if err != nil {
		return nil, err
	}
	would := &views.WouldBe{Edit: "/orders/" + url.PathEscape(t.Order) + "/edit?measured=" + url.QueryEscape(string(t.Spec.Code))}
	is, problems := workOut(file, s.desk().practiceOf(t.Order))
	would.Problems = slices.DeleteFunc(problems, func(p engine.Problem) bool {
		return p.Severity == engine.Note || slices.ContainsFunc(was.Problems, func(q engine.Problem) bool { return q.Code == p.Code && q.Where == p.Where })
	})
	if is != nil {
		would.Rows = becomes(was, is, t.Spec.Fabric)
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
			row := views.WouldRow{Window: was.Treatments[i].Window, Panel: string(p.ID), Name: "widths", Was: p.Widths.String()}
			if line.Face != fabric {
				row.Name, row.Was = "lining_widths", p.LiningWidths.String()
			}
			if i < len(is.Treatments) {
				for _, q := range is.Treatments[i].Panels {
					if q.ID == p.ID && line.Face == fabric {
						row.Wants = q.Widths.String()
					} else if q.ID == p.ID {
						row.Wants = q.LiningWidths.String()
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
		rows = append(rows, views.WouldRow{Name: "cuts", Was: strconv.Itoa(b.Count), Wants: strconv.Itoa(after[k].Count)},
			views.WouldRow{Name: "length", Was: b.Length, Wants: after[k].Length},
			views.WouldRow{Name: "to_order", Was: b.ToOrder, Wants: after[k].ToOrder})
	}
	return rows
}

// measuredSource is the file that an order's form begins with: the newest, or where the address names a cutting ticket
// whose cloth was measured otherwise, that with the cloth as it is.
func (s *Server) measuredSource(c *fiber.Ctx, order string, source []byte) []byte {
	code, err := stations.ParseCode(c.Query("measured"))
	if err != nil {
		return source
	}
	t := s.Store.Floor().Ticket(code)
	if t == nil || t.Order != order || t.Spec.Kind != stations.CuttingTicket {
		return source
	}
	if file, ok := asMeasured(source, t); ok {
		return file
	}
	return source
}
