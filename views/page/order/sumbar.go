package order

import (
	"fmt"
	"html/template"
	"maps"
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
)

// term is a part of a sum of lengths: an input, so many times, or as often as another input counts.
type term struct {
	input string
	times int    // less than 0: taken off
	count string // the input that says how often, "" for none
}

// sums are the formulas that are sums of lengths, in the order in which their sentences name the parts.
var sums = map[string][]term{
	"formula.asked.one_way":        {{"face_width", 1, ""}, {"return", 1, ""}, {"return_other", 1, ""}},
	"formula.flat_width":           {{"period", 1, "pleats"}, {"end_margin", 2, ""}},
	"formula.take_up":              {{"period", 1, ""}, {"space", -1, ""}},
	"formula.trim_leading":         {{"surplus", 1, ""}, {"trim_return", -1, ""}},
	"formula.turned_leading":       {{"surplus", 1, ""}, {"turned_return", -1, ""}},
	"formula.plain_length.hems":    {{"finished_length", 1, ""}, {"puddle", 1, ""}, {"heading_fold", 2, ""}, {"bottom_hem", 2, ""}, {"squaring", 1, ""}},
	"formula.tape_piece":           {{"flat_width", 1, ""}, {"trim_beyond", 2, ""}},
	"formula.tape_start":           {{"end_margin", 1, ""}, {"trim_beyond", 1, ""}},
	"formula.cord_pull_out":        {{"flat_width", 1, ""}, {"finished_width", -1, ""}},
	"formula.cord_in_hand":         {{"cord_pull_out", 1, ""}, {"trim_beyond", 1, ""}},
	"formula.corner_to_pleat.hand": {{"edge_to_pleat", 1, ""}, {"return", -1, ""}},
	"formula.lining_width":         {{"flat_width", 1, ""}, {"lining_inset", -2, ""}},
	"formula.lining_surplus":       {{"lining_joined", 1, ""}, {"flat_width", -1, ""}},
}

// Sums are the formulas that can be drawn as a bar.
func Sums() []string { return slices.Sorted(maps.Keys(sums)) }

// Segments are the parts of a step's sum, each part that is taken off less than 0; none where the step is no sum of lengths, or
// something beside its parts, such as shrinkage, is in the number.
func Segments(step *workup.Step) []measure.Length {
	inputs := map[string]measure.Quantity{}
	for _, in := range step.Inputs {
		inputs[in.Name] = in.Value
	}
	var list []measure.Length
	var all measure.Length
	for _, t := range sums[step.Formula] {
		l := inputs[t.input].Length().Times(t.times)
		if t.count != "" {
			l = l.Times(inputs[t.count].Count())
		}
		if l != 0 {
			list, all = append(list, l), all+l
		}
	}
	if all != step.Value.Length() || len(list) < 2 {
		return nil
	}
	return list
}

// Bar draws a step's sum to scale: its parts side by side, what is taken off hatched at the end; "" where it is none. The
// sentence beside it says it to those who don't see it.
func Bar(step *workup.Step) template.HTML {
	segments := Segments(step)
	var whole, added measure.Length
	for _, l := range segments {
		whole += max(l, 0)
	}
	if whole <= 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(`<svg class="sum-bar" width="100%" height="16" aria-hidden="true">`)
	at := whole
	for i, l := range segments {
		class, from := "a", added
		switch {
		case l < 0:
			at += l
			class, from = "off", at
		case i%2 == 1:
			class = "b"
		}
		added += max(l, 0)
		x, wide := 100*float64(from)/float64(whole), 100*float64(max(l, -l))/float64(whole)
		fmt.Fprintf(&b, `<rect class="%s" x="%.2f%%" width="%.2f%%" height="16"/>`, class, x, wide)
		if l < 0 {
			fmt.Fprintf(&b, `<svg x="%.2f%%" width="%.2f%%" height="16" viewBox="0 0 40 10" preserveAspectRatio="none">`+
				`<path class="hatch" d="M0 10 10 0M10 10 20 0M20 10 30 0M30 10 40 0"/></svg>`, x, wide)
		}
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}
