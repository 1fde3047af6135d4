// Package sample works out a few windows by which a shop sees what a convention does, before it goes by it.
package sample

import (
	"fmt"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Window is one of the windows, an order by itself, so that its totals are its own.
type Window struct {
	Name string // catalogue: sample.window.<name>
	Work *workup.Workup
}

// Of works the windows out for a shop that measures in units, under its conventions.
func Of(units measure.Unit, under func(measure.Unit) orderfile.Conventions) ([]Window, error) {
	file := inches
	if units.Metric() {
		file = metric
	}
	windows := make([]Window, 0, len(file.windows))
	for _, w := range file.windows {
		o, problems := orderfile.ParseUnder(fmt.Appendf(nil, "{order: SAMPLE, units: %s, %s, treatments: [%s]}", units, file.cloth, w.treatment), under)
		if o == nil {
			return nil, fmt.Errorf("sample: the window %q can't be read: %+v", w.name, problems)
		}
		windows = append(windows, Window{w.name, workup.Compute(o)})
	}
	return windows, nil
}

// file is the windows in one system of units, with the cloth that they share.
type file struct {
	cloth   string
	windows []struct{ name, treatment string }
}

// The windows have something of all that conventions decide, between them: a tape and pleats set by hand, gathers, eyelets and a pocket, pairs and a panel that meets no
// other, cloth plain, with a repeat and dropped by half, linings, an interlining, a puddle and a band. The metric ones are the same in round figures.
var (
	inches = file{
		cloth: `fabrics: [{id: face, use: face, usable_width: 54 in, vertical_repeat: 13 1/2 in}, {id: leaf, use: face, usable_width: 54 in, vertical_repeat: 25 1/4 in, match: half_drop},
			{id: plain, use: face, usable_width: 54 in}, {id: lining, use: lining, usable_width: 54 in}, {id: interlining, use: interlining, usable_width: 48 in}],
			tapes: [{id: tape, period: 6 1/2 in, space: 2 1/2 in, height: 4 in, cords: 3, end_margin: {nominal: 3/4 in, min: 3/4 in, max: 7/8 in}}, {id: pencil, kind: pencil, height: 3 in, cords: 3}],
			rods: [{id: pole, diameter: 1 3/8 in}]`,
		windows: []struct{ name, treatment string }{
			{"tape", `{window: S, heading: cartridge-tape, tape: tape, face_width: 84 in, overlap: 4 in, finished_length: 95 in, puddle: 2 in, face: face, lining: lining, interlining: interlining}`},
			{"hand", `{window: S, heading: pinch-3, face_width: 70 in, finished_length: 84 in, face: leaf, lining: lining}`},
			{"single", `{window: S, heading: pinch-2, draw: one_way_left, face_width: 57 in, finished_length: 90 in, face: plain, lining: lining, bands: [{edge: leading, width: 3 in, fabric: plain, method: applied}]}`},
			{"gathered", `{window: S, heading: pencil-tape, tape: pencil, face_width: 84 in, glass_width: 60 in, finished_length: 90 in, face: plain, lining: lining}`},
			{"eyelets", `{window: S, heading: eyelet, face_width: 90 in, glass_width: 60 in, finished_length: 90 in, face: plain, lining: lining, eyelet: {inner: 2 in, outer: 3 in}}`},
			{"pocket", `{window: S, heading: rod-pocket, draw: stationary, finished_width: 40 in, finished_length: 48 in, face: plain}`},
		},
	}
	metric = file{
		cloth: `fabrics: [{id: face, use: face, usable_width: 137 cm, vertical_repeat: 34 cm}, {id: leaf, use: face, usable_width: 137 cm, vertical_repeat: 64 cm, match: half_drop},
			{id: plain, use: face, usable_width: 137 cm}, {id: lining, use: lining, usable_width: 137 cm}, {id: interlining, use: interlining, usable_width: 122 cm}],
			tapes: [{id: tape, period: 165 mm, space: 65 mm, height: 10 cm, cords: 3, end_margin: {nominal: 19 mm, min: 19 mm, max: 22 mm}}, {id: pencil, kind: pencil, height: 75 mm, cords: 3}],
			rods: [{id: pole, diameter: 35 mm}]`,
		windows: []struct{ name, treatment string }{
			{"tape", `{window: S, heading: cartridge-tape, tape: tape, face_width: 215 cm, overlap: 10 cm, finished_length: 240 cm, puddle: 5 cm, face: face, lining: lining, interlining: interlining}`},
			{"hand", `{window: S, heading: pinch-3, face_width: 178 cm, finished_length: 213 cm, face: leaf, lining: lining}`},
			{"single", `{window: S, heading: pinch-2, draw: one_way_left, face_width: 145 cm, finished_length: 229 cm, face: plain, lining: lining, bands: [{edge: leading, width: 75 mm, fabric: plain, method: applied}]}`},
			{"gathered", `{window: S, heading: pencil-tape, tape: pencil, face_width: 215 cm, glass_width: 150 cm, finished_length: 230 cm, face: plain, lining: lining}`},
			{"eyelets", `{window: S, heading: eyelet, face_width: 230 cm, glass_width: 150 cm, finished_length: 230 cm, face: plain, lining: lining, eyelet: {inner: 5 cm, outer: 75 mm}}`},
			{"pocket", `{window: S, heading: rod-pocket, draw: stationary, finished_width: 100 cm, finished_length: 120 cm, face: plain}`},
		},
	}
)
