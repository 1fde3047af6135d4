package desk

import (
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
)

// AsMeasured returns an order's file with its cloth as it was measured at a cutting ticket, where that lies out of
// tolerance. Cloth narrower than its match width has none any more: its pattern meets at no join. ok is false where
// nothing lies out of tolerance, and for a file that can't be changed in place (see orderfile.WithForm).
func AsMeasured(source []byte, t *stations.Ticket) (file []byte, ok bool) {
	texts, width := map[string]string{}, measure.Length(0)
	for _, name := range t.Steps[0].OutOf {
		measured := t.Steps[0].Measured[name]
		if !measured.IsLength() {
			return nil, false
		}
		l := measured.Length()
		switch name {
		case "usable_width":
			texts["usable_width"], width = bare(l, t.Spec.Units), l
		case "repeat_over_five":
			texts["vertical_repeat"] = bare(l.Div(5), t.Spec.Units)
		}
	}
	form, ok := orderfile.FormOf(source)
	i := slices.IndexFunc(form.Lists["fabrics"], func(f orderfile.Form) bool { return f.Text["id"] == t.Spec.Fabric })
	if !ok || i < 0 || len(texts) == 0 {
		return nil, false
	}
	if match, err := measure.Parse(form.Lists["fabrics"][i].Text["match_width"], t.Spec.Units); err == nil && width > 0 && match > width {
		texts["match_width"] = ""
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
