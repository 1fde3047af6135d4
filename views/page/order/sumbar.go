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

// term is a part of a sum of lengths: an input, or the number itself, so many times over so many, as often as another input
// counts.
type term struct {
	input string // itself for the number that the sum is about
	times int    // less than 0: taken off
	count string // the input that says how often, "" for none
	less  int    // as many fewer than it counts
	over  int    // divided by, 0 for 1
}

// sum is a bar: its parts, which come to the number, or to the input that it shares out.
type sum struct {
	parts []term
	of    string // the input that the parts come to, "" for the number itself
	rest  bool   // what rounding up adds is the last part
}

const itself = "="

func once(input string) term           { return term{input: input, times: 1} }
func times(n int, input string) term   { return term{input: input, times: n} }
func half(input string) term           { return term{input: input, times: 1, over: 2} }
func each(count, input string) term    { return term{input: input, times: 1, count: count} }
func off(input string) term            { return times(-1, input) }
func plain(parts ...term) sum          { return sum{parts: parts} }
func sharing(of string, p ...term) sum { return sum{parts: p, of: of} }
func roundedUp(parts ...term) sum      { return sum{parts: parts, rest: true} }

// heading is what pleats and their spaces take of a tape's panel.
var heading = []term{each("pleats", "space"), each("pleats", "pleat_base"), times(2, "end_margin")}

// margins share out what the pleats leave of the width asked.
var margins = sharing("finished_width_asked", once(itself), each("pleats", "space"), each("pleats", "pleat_base"), once(itself))

// hems are the parts of a cut's length that are there whichever way they are allowed for.
var hems = []term{once("finished_length"), once("puddle"), times(2, "heading_fold"), times(2, "bottom_hem"), once("length_allowance"), once("squaring")}

// sums are the formulas that are sums of lengths, in the order in which their sentences name the parts.
var sums = map[string]sum{
	"formula.asked.one_way":                      plain(once("face_width"), once("return"), once("return_other")),
	"formula.asked.total_lap":                    plain(half("face_width"), half("overlap"), once("return")),
	"formula.asked.past_centre":                  plain(half("face_width"), once("overlap"), once("return")),
	"formula.tight_width":                        plain(heading...),
	"formula.reached.above":                      plain(heading...),
	"formula.end_margin.fits":                    margins,
	"formula.end_margin.given":                   margins,
	"formula.edge_to_pleat":                      plain(once("end_margin"), half("space")),
	"formula.edge_to_pleat.half_space":           plain(once("return"), half("space")),
	"formula.space.half_space":                   sharing("finished_width", once("return"), each("pleats", itself), once("lead_flat")),
	"formula.space.at_edges":                     sharing("finished_width", once("return"), term{input: itself, times: 1, count: "pleats", less: 1}, once("lead_flat")),
	"formula.flat_width":                         plain(each("pleats", "period"), times(2, "end_margin")),
	"formula.flat_width.fuller":                  plain(once("finished_width"), each("pleats", "take_up_min")),
	"formula.flat_width.leaner":                  plain(once("finished_width"), each("pleats", "take_up_max")),
	"formula.take_up":                            plain(once("period"), off("space")),
	"formula.take_up.hand":                       sharing("flat_width", once("finished_width"), each("pleats", itself)),
	"formula.trim_leading":                       plain(once("surplus"), off("trim_return")),
	"formula.turned_leading":                     plain(once("surplus"), off("turned_return")),
	"formula.plain_length.hems":                  roundedUp(hems...),
	"formula.plain_length.allowance":             roundedUp(hems...),
	"formula.cut_length.whole_repeats":           roundedUp(once("plain_length")),
	"formula.cut_length.whole_repeats.half_drop": roundedUp(once("plain_length"), half("vertical_repeat")),
	"formula.cut_length.on_phase.half_drop":      roundedUp(once("plain_length"), half("vertical_repeat")),
	"formula.cut_length.add_one":                 roundedUp(once("plain_length"), once("vertical_repeat")),
	"formula.cut_length.add_one.half_drop":       roundedUp(once("plain_length"), term{input: "vertical_repeat", times: 3, over: 2}),
	"formula.tape_piece":                         plain(once("flat_width"), times(2, "trim_beyond")),
	"formula.tape_start":                         plain(once("end_margin"), once("trim_beyond")),
	"formula.tape_pitch":                         roundedUp(once("tape_piece")),
	"formula.cord_pull_out":                      plain(once("flat_width"), off("finished_width")),
	"formula.cord_in_hand":                       plain(once("cord_pull_out"), once("trim_beyond")),
	"formula.tube_gap":                           plain(once("space"), once("pleat_base"), off("tube_diameter"), off("thickness")),
	"formula.stack_back":                         plain(each("pleats", "tube_diameter"), each("pleats", "thickness"), times(2, "edge_to_pleat")),
	"formula.corner_to_pleat.hand":               plain(once("edge_to_pleat"), off("return")),
	"formula.lining_width":                       plain(once("flat_width"), times(-2, "lining_inset")),
	"formula.lining_surplus":                     plain(once("lining_joined"), off("flat_width")),
	"formula.lining_lift.stop":                   plain(once("lining_lift_usual"), once("puddle")),
}

// Sums are the formulas that can be drawn as a bar.
func Sums() []string { return slices.Sorted(maps.Keys(sums)) }

// Segment is a part of a bar.
type Segment struct {
	Length measure.Length // less than 0: taken off
	Itself bool           // the number that the bar is about, in what it shares out
	Added  bool           // what rounding up adds
}

// crumb is more than the whole nanometres of a hundred pleats can be out by.
const crumb = measure.Length(1000)

// Bar is a step's sum: its parts, and what they come to.
type Bar struct {
	Segments []Segment
	Whole    measure.Length
}

// BarOf is the bar of a step's sum; ok is false where the step is no sum of lengths, or something beside its parts, such as
// shrinkage, is in the number.
func BarOf(step *workup.Step) (bar Bar, ok bool) {
	s, known := sums[step.Formula]
	inputs := map[string]measure.Quantity{itself: step.Value}
	for _, in := range step.Inputs {
		inputs[in.Name] = in.Value
	}
	if bar.Whole = step.Value.Length(); s.of != "" {
		bar.Whole = inputs[s.of].Length()
	}
	var all measure.Length
	for _, t := range s.parts {
		if l := t.length(inputs); l != 0 {
			bar.Segments = append(bar.Segments, Segment{Length: l, Itself: t.input == itself})
			all += l
		}
	}
	if rest := bar.Whole - all; s.rest && rest > crumb {
		bar.Segments = append(bar.Segments, Segment{Length: rest, Added: true})
		all += rest
	}
	return bar, known && len(bar.Segments) > 1 && (all-bar.Whole).Abs() <= crumb
}

func (t term) length(inputs map[string]measure.Quantity) measure.Length {
	l := inputs[t.input].Length().Times(t.times)
	if t.count != "" {
		l = l.Times(inputs[t.count].Count() - t.less)
	}
	return l.Div(int64(max(t.over, 1)))
}

// HTML draws the bar to scale: its parts side by side, the number itself strongest, what rounding adds dotted, what is taken off
// hatched at the end. The sentence beside it says it to those who don't see it.
func (b Bar) HTML() template.HTML {
	var whole, added measure.Length
	for _, s := range b.Segments {
		whole += max(s.Length, 0)
	}
	var svg strings.Builder
	svg.WriteString(`<svg class="sum-bar" width="100%" height="16" aria-hidden="true">`)
	at := whole
	for i, s := range b.Segments {
		from := added
		if s.Length < 0 {
			at += s.Length
			from = at
		}
		added += max(s.Length, 0)
		x, wide := 100*float64(from)/float64(whole), 100*float64(s.Length.Abs())/float64(whole)
		fmt.Fprintf(&svg, `<rect class="%s" x="%.2f%%" width="%.2f%%" height="16"/>`, s.class(i), x, wide)
		if s.Length < 0 {
			fmt.Fprintf(&svg, `<svg x="%.2f%%" width="%.2f%%" height="16" viewBox="0 0 40 10" preserveAspectRatio="none">`+
				`<path class="hatch" d="M0 10 10 0M10 10 20 0M20 10 30 0M30 10 40 0"/></svg>`, x, wide)
		}
	}
	svg.WriteString(`</svg>`)
	return template.HTML(svg.String())
}

// class is how the part at a place of its bar is filled.
func (s Segment) class(at int) string {
	switch {
	case s.Length < 0:
		return "off"
	case s.Itself:
		return "itself"
	case s.Added:
		return "added"
	}
	return string("ab"[at%2])
}
