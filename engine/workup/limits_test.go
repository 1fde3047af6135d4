package workup_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// limitOrder is a file of one window with keys of its own, and conventions.
func limitOrder(t testing.TB, conventions, window string) *orderfile.Order {
	t.Helper()
	src := `{order: L, units: in, conventions: {` + conventions + `},
fabrics: [{id: reed, use: face, usable_width: 54}, {id: narrow, use: face, usable_width: 10}, {id: sateen, use: lining, usable_width: 54}],
tapes: [{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}],
treatments: [{` + window + `}]}`
	o, problems := orderfile.Parse([]byte(src))
	if engine.AnyError(problems) {
		t.Fatalf("%+v\n%s", problems, src)
	}
	return o
}

func TestLimits(t *testing.T) {
	for _, c := range []struct{ window, kind, where string }{
		{"window: A, heading: pinch-3, face: narrow, face_width: 400, finished_length: 90, quantity: 999", "absurd.cuts", "treatments"},
		{"window: A, heading: pinch-3, face: narrow, finished_width: 400, finished_length: 90, quantity: 999", "absurd.pieces", "treatments[0].finished_width"},
		{"window: A, heading: cartridge-tape, face: narrow, face_width: 400, finished_length: 90, quantity: 999", "absurd.cuts", "treatments"},
		{"window: A, heading: pinch-3, face: reed, draw: stationary, finished_width: 1180, fullness: 3, finished_length: 90", "absurd.pieces", "treatments[0].finished_width"},
		{"window: A, heading: pinch-3, face: reed, draw: stationary, finished_width: 1100, fullness: 2.5, finished_length: 90", "", ""},
		{"window: A, heading: cartridge-tape, face: reed, draw: stationary, finished_width: 1005, finished_length: 90", "absurd.pleats", "treatments[0].finished_width"},
		{"window: A, heading: cartridge-tape, face: reed, draw: pair, face_width: 96, finished_length: 90, pleats: 401", "absurd.pleats", "treatments[0].pleats"},
		{"window: A, heading: pinch-3, face: reed, draw: pair, face_width: 96, finished_length: 90, pleats: 401", "absurd.pleats", "treatments[0].pleats"},
	} {
		w := workup.Compute(limitOrder(t, "", c.window))
		var told []string
		for _, p := range w.Problems {
			if p.Severity == engine.Error {
				told = append(told, strings.TrimPrefix(p.Key, "problem.")+" at "+p.Where)
			}
		}
		if c.kind == "" && len(told) > 0 || c.kind != "" && !slices.Contains(told, c.kind+" at "+c.where) {
			t.Errorf("%s: %v, want %s at %s", c.window, told, c.kind, c.where)
		}
		if c.kind != "" && (len(w.Treatments[0].Panels) > 0 || len(w.Cloth) > 0 || !w.Totals.Incomplete) {
			t.Errorf("%s is worked out all the same", c.window)
		}
	}
}

// An order of just as many cuts as may be is worked out, of one more not.
func TestMostCuts(t *testing.T) {
	o := limitOrder(t, "", "window: W, heading: cartridge-tape, face: reed, draw: pair, face_width: 84, finished_length: 90") // 2½ widths a panel
	line := o.Treatments[0]
	o.Treatments = nil
	for i := range 40 {
		line.Window, line.Quantity = fmt.Sprint("W", i), 500
		o.Treatments = append(o.Treatments, line)
	}
	if w := workup.Compute(o); has(w, "absurd") || w.Totals.Fabrics[0].Cuts != 100_000 {
		t.Errorf("100,000 cuts: %+v", w.Totals)
	}
	o.Treatments[0].Quantity++
	if p := problem(t, workup.Compute(o), "absurd"); p.Args["Count"] != 100_005 {
		t.Errorf("%+v", p)
	}
}

// A lining that its lift leaves nothing of is refused with the key that does it, whatever its cut would come to.
func TestNotPositive(t *testing.T) {
	const window = "window: A, heading: pinch-3, face: reed, lining: sateen, face_width: 60, finished_length: "
	for length, refused := range map[string]bool{"11": true, "12": true, "12 1/16": false} {
		w := workup.Compute(limitOrder(t, "lining_lift: 12", window+length))
		if has(w, "not_positive") != refused {
			t.Errorf("%s in: %+v", length, w.Problems)
		}
		if p := w.Problems[slices.IndexFunc(w.Problems, func(p engine.Problem) bool { return p.Code == "not_positive" || !refused })]; refused &&
			(p.Where != "conventions.lining_lift" || p.Line != 1 || p.Severity != engine.Error || len(w.Treatments[0].Panels) > 0) {
			t.Errorf("%+v", p)
		}
	}
	if w := workup.Compute(limitOrder(t, "lining_lift: 12, lining_rule: allowance", window+"11")); has(w, "not_positive") {
		t.Errorf("by allowance: %+v", w.Problems)
	}
	if w := workup.Compute(limitOrder(t, "lining_lift: 12", window+"11, puddle: 2")); has(w, "not_positive") {
		t.Errorf("puddled: %+v", w.Problems)
	}
}

// Each pair of lengths that hardly go together, at the edge of its rule.
func TestImplausible(t *testing.T) {
	const pinch = "window: A, heading: pinch-3, face: reed, finished_length: 90, "
	for _, c := range []struct{ with, without, kind, where string }{
		{pinch + "face_width: 20, overlap: 0, return: 10 1/16", pinch + "face_width: 20, overlap: 0, return: 10", "half", "return"},
		{pinch + "face_width: 20, overlap: 0, return: 0, return_other: 10 1/16", pinch + "face_width: 20, overlap: 0, return_other: 10", "half", "return_other"},
		{pinch + "face_width: 20, overlap: 10 1/16", pinch + "face_width: 20, overlap: 10", "half", "overlap"},
		{pinch + "face_width: 20, overlap: 12", pinch + "face_width: 20, overlap: 12, draw: one_way_left", "half", "overlap"},
		{pinch + "face_width: 96, bottom_hem: 12 1/16", pinch + "face_width: 96, bottom_hem: 12", "deep", "bottom_hem"},
		{pinch + "face_width: 96, side_hem: 30 1/16", pinch + "face_width: 96, side_hem: 12", "third", "side_hem"},
		{pinch + "face_width: 96, heading_fold: 13", pinch + "face_width: 96, heading_fold: 12", "deep", "heading_fold"},
		{"window: A, heading: pinch-3, face: reed, face_width: 96, finished_length: 11 15/16", "window: A, heading: pinch-3, face: reed, face_width: 96, finished_length: 12", "third", "finished_length"},
	} {
		p := problem(t, workup.Compute(limitOrder(t, "", c.with)), "implausible")
		if p.Severity != engine.Warning || p.Key != "problem.implausible."+c.kind || p.Where != "treatments[0]."+c.where {
			t.Errorf("%s: %+v", c.with, p)
		}
		if w := workup.Compute(limitOrder(t, "", c.without)); has(w, "implausible") {
			t.Errorf("%s: %+v", c.without, w.Problems)
		}
	}
}

// One name twice in a room is told of the second, whatever its case; in two rooms it is two windows.
func TestImplausibleNames(t *testing.T) {
	const rest = "heading: pinch-3, face: reed, face_width: 96, finished_length: 90"
	two := "window: Bay, room: 1, " + rest + "}, {window: bay, room: %s, " + rest
	p := problem(t, workup.Compute(limitOrder(t, "", fmt.Sprintf(two, "1"))), "implausible")
	if p.Where != "treatments[1].window" || p.Line == 0 || p.Args["Nth"] != 1 || p.Units != measure.In {
		t.Errorf("%+v", p)
	}
	if w := workup.Compute(limitOrder(t, "", fmt.Sprintf(two, "2"))); has(w, "implausible") {
		t.Errorf("%+v", w.Problems)
	}
}

// BenchmarkAbsurd refuses the order that once took over a minute.
func BenchmarkAbsurd(b *testing.B) {
	o := limitOrder(b, "", "window: A, heading: pinch-3, face: narrow, finished_width: 400, finished_length: 90, quantity: 999")
	for b.Loop() {
		workup.Compute(o)
	}
}
