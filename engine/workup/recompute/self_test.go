package recompute

import (
	"fmt"
	"maps"
	"math/rand"
	"slices"
	"strings"
	"testing"
)

// The figures in this file are the worked cases G1 to G6 and G9 of golden_test.go in engine/workup. They check the second program
// itself, before it checks another.

func reL(num, den int64) reLen { return reLen{reNum: reFrac(num, den)} }

// reWorked is G1's order: a pair on the common tape, lined, in cloth of repeat 13½.
func reWorked() reOrder {
	return reOrder{
		id: "G1", unit: "in", conv: reUnits("in").conv,
		fabrics: []reFabric{
			{id: "reed", use: "face", usable: reL(54, 1), repeat: reL(27, 2)}, {id: "sateen", use: "lining", usable: reL(54, 1)},
		},
		tapes: []reTape{{
			id: "cart-4", period: reL(13, 2), space: reL(5, 2), height: reL(4, 1), cords: 3, topDrop: reL(1, 4),
			nominal: reL(3, 4), least: reL(1, 2), most: reL(1, 1), beyond: reL(1, 1), insert: reL(12, 1),
		}},
		treatments: []reTreatment{{
			window: "Bay", draw: "pair", faceWidth: reL(84, 1), returnTo: reL(7, 2), lap: reL(6, 1), finishedLength: reL(191, 2),
			face: "reed", lining: "sateen", quantity: 1, cordEnd: "wound",
		}},
	}
}

// reFlatten writes every leaf of a tree as "path=value".
func reFlatten(path string, v any, out map[string]string) {
	switch v := v.(type) {
	case reTree:
		for k, inner := range v {
			reFlatten(path+"."+k, inner, out)
		}
	case reFree:
		reFlatten(path, v.sample, out)
	case []any:
		out[path] = fmt.Sprint(len(v))
		for i, inner := range v {
			reFlatten(fmt.Sprintf("%s.%d", path, i), inner, out)
		}
	case reMaybe:
		reFlatten(path, v.v, out)
	default:
		out[path] = reShow(v)
	}
}

// reExpect holds figures, by their path in the JSON or in its first panel, against the second program.
func reExpect(t *testing.T, name string, o reOrder, want map[string]string) {
	t.Helper()
	got := map[string]string{}
	w := o.work()
	reFlatten("", w.tree, got)
	for i, res := range w.treatments {
		got[fmt.Sprintf("codes.%d", i)] = strings.Join(slices.Sorted(maps.Keys(res.problems.told)), ", ")
	}
	for path, v := range want {
		full := path
		if _, ok := got[full]; !ok {
			full = ".treatments.0.panels.0." + path
		}
		if got[full] != v {
			t.Errorf("%s: %s = %q, want %q", name, path, got[full], v)
		}
	}
}

func TestRecomputeWorkedCases(t *testing.T) {
	reExpect(t, "G1", reWorked(), map[string]string{
		"finished_width": "48.5in", "pleats": "19", "end_margin": "0.5in", "edge_to_pleat": "1.75in", "flat_width": "124.5in",
		"fullness": "2.5670", "pleat_positions": "19", "pleat_positions.0": "3.75in", "pleat_positions.1": "10.25in", "pleat_positions.18": "120.75in",
		"widths": "2.5000", "seams.0": "21.375in", "seams.1": "74.375in", "seams_in_pleats": "2", "seams_hidden": "1",
		"trim_return": "2.125in", "trim_leading": "0.375in", "tape_piece": "126.5in", "tape_start": "1.5in", "tape_pitch": "130in",
		"stitching": "249in", "stitch_line": "4.125in", "cord_pull_out": "76in", "cord_in_hand": "77in", "cord_total": "231in",
		"inserts": "19", "insert_turns": "3.0000", "tube_diameter": "1.273239545in", "plain_length": "111.5in", "cut_length": "121.5in", "repeats_per_cut": "9",
		".treatments.0.fabrics.0.cuts": "5", ".treatments.0.fabrics.0.length": "607.5in", ".totals.fabrics.0.to_order": "17.25yd",
		".treatments.0.fabrics.1.cut_length": "99.5in", ".treatments.0.fabrics.1.length": "497.5in", ".totals.fabrics.1.to_order": "13.875yd",
		".totals.tape.0.used": "256.5in", ".totals.tape.0.to_order": "263in",
		".totals.buckram.0.pieces": "38", ".totals.buckram.0.length": "456in", ".totals.thread.0.length": "1095.6in",
		"codes.0": "note cord_hazard, note pleat_in_lap, note stitch_below_fold",
	})

	g2 := reWorked()
	g2.treatments[0].faceWidth, g2.treatments[0].finishedWidth = reLen{}, reL(95, 2)
	reExpect(t, "G2", g2, map[string]string{
		"pleats": "18", "end_margin": "1in", "finished_width": "47.5in", "tight_width": "47in", "flat_width": "119in", "cord_pull_out": "71.5in",
	})
	g2.conv.ease = reInt(0)
	reExpect(t, "G2 without ease", g2, map[string]string{
		"pleats": "19", "end_margin": "0.5in", "finished_width": "48.5in", "deviation": "1in",
		"alternative.finished_width": "47in", "alternative.pleats": "18",
	})

	g4 := reWorked()
	g4.fabrics[0].usable, g4.treatments[0].finishedWidth = reL(55, 1), reL(61, 1)
	reExpect(t, "G4", g4, map[string]string{
		"pleats": "24", "end_margin": "0.5in", "flat_width": "157in", "widths": "3.0000", "trim_return": "0in", "trim_leading": "0in",
		"seams_in_pleats": "0", "codes.0": "note cord_hazard, note pleat_in_lap, note seam_shows, note stitch_below_fold",
	})

	g5 := reWorked()
	g5.tapes[0].period, g5.tapes[0].space = reL(9, 2), reL(1, 1)
	g5.tapes[0].least, g5.tapes[0].most, g5.tapes[0].nominal = reLen{}, reLen{}, reLen{}
	if codes := g5.work().treatments[0].problems.told; !codes["error tubes_collide"] {
		t.Errorf("G5: %v, want tubes_collide", codes)
	}
	for _, c := range []struct {
		width reLen
		code  string
	}{{reL(7, 2), "warning few_pleats"}, {reL(55, 16), "error too_narrow"}} {
		g5 := reWorked()
		g5.treatments[0].finishedWidth = c.width
		if codes := g5.work().treatments[0].problems.told; !codes[c.code] {
			t.Errorf("G5 at %v: %v, want %s", c.width, codes, c.code)
		}
	}

	g6 := reWorked()
	g6.fabrics[0].match = "half_drop"
	reExpect(t, "G6 half-drop", g6, map[string]string{".treatments.0.fabrics.0.length": "614.25in"})

	if got := reUnits("in").conv.toOrder(reFrac(1215, 2)).div(reInt(36)); !got.equal(reFrac(135, 8)) {
		t.Errorf("G9: %v yd, want 16.875", got)
	}
}

// TestRecomputeTape checks G3, and the two searches for the best order of pieces against each other.
func TestRecomputeTape(t *testing.T) {
	p := reInt(3)
	piece := func(alpha int64) rePiece { return rePiece{10, reInt(alpha), reInt(alpha)} }
	for _, c := range []struct {
		alphas []int64
		want   int64
	}{{[]int64{1, 2, 1, 2}, 132}, {[]int64{2, 1, 1, 2}, 133}, {[]int64{1, 2, 2, 1}, 134}, {[]int64{1, 1, 2, 2}, 135}} {
		var pieces []rePiece
		for _, alpha := range c.alphas {
			pieces = append(pieces, piece(alpha))
		}
		if got := p.times(40).add(reTapeInOrder(p, pieces)); !got.equal(reInt(c.want)) {
			t.Errorf("G3 %v: %v, want %d", c.alphas, got, c.want)
		}
		if got := reTapeUsed(p, pieces); !got.equal(reInt(132)) {
			t.Errorf("G3 least: %v, want 132", got)
		}
	}
	rng := rand.New(rand.NewSource(3))
	for range 200 {
		var pieces []rePiece
		var kinds []rePiece
		var counts []int
		for range 1 + rng.Intn(3) {
			kind, n := rePiece{1, reFrac(int64(rng.Intn(32)-8), 8), reFrac(int64(rng.Intn(32)-8), 8)}, 1+rng.Intn(2)
			kinds, counts = append(kinds, kind), append(counts, n)
			pieces = append(pieces, slices.Repeat([]rePiece{kind}, n)...)
		}
		if a, b := reTapeByOrders(p, pieces), reTapeByStates(p, kinds, counts); !a.equal(b) {
			t.Fatalf("%v: %v by every order, %v by states", pieces, a, b)
		}
	}
}

// reJSON writes a tree as the program should.
func reJSON(v any) any {
	switch v := v.(type) {
	case reTree:
		m := map[string]any{}
		for k, inner := range v {
			if _, laws := inner.(reLaws); !laws {
				m[k] = reJSON(inner)
			}
		}
		return m
	case reFree:
		return reJSON(v.sample)
	case reRange:
		return reJSON(v.high)
	case reOpen:
		return "0in"
	case reOpenList:
		return []any{}
	case []any:
		list := []any{}
		for _, inner := range v {
			list = append(list, reJSON(inner))
		}
		return list
	case reMaybe:
		return reJSON(v.v)
	case reLength:
		number := strings.TrimSuffix(strings.TrimRight(v.v.div(v.size).r.FloatString(reDecimals[v.unit]), "0"), ".")
		return number + v.unit
	case reRatio:
		return strings.TrimSuffix(strings.TrimRight(v.v.r.FloatString(3), "0"), ".")
	case reGrams:
		return fmt.Sprint(reNearest(v.v)) + "g"
	case reCount:
		return float64(v)
	case reWord:
		return string(v)
	}
	return v
}

// TestRecomputeCompares writes what the second program expects, sees it accepted, spoils each number of it in turn, and wants
// each to be noticed. The orders are of all headings.
func TestRecomputeCompares(t *testing.T) {
	for i := range reMany(3, 1) * len(reHeadings) {
		o, _ := reRandomOrder(7, i*149)
		w := o.work()
		tree := reJSON(w.tree).(map[string]any)
		var d reDiffs
		if d.tree("", tree, w.tree); len(d) > 0 {
			t.Fatalf("its own answer differs: %v", d)
		}
		reSpoil(tree, func(path string) {
			var d reDiffs
			if d.tree("", tree, w.tree); len(d) == 0 {
				t.Errorf("%s was changed and nothing noticed", path)
			}
		}, "")
	}
}

// reSpoil changes each number in turn, calls check, and puts it back.
func reSpoil(node any, check func(path string), path string) {
	spoil := func(v any, set func(any), path string) {
		switch v := v.(type) {
		case float64:
			set(v + 1)
			check(path)
			set(v)
		case string:
			if !reSaysNumber.MatchString(v) {
				return
			}
			set("7" + v)
			if strings.HasPrefix(v, "-") {
				set("-7" + v[1:])
			}
			check(path)
			set(v)
		default:
			reSpoil(v, check, path)
		}
	}
	switch node := node.(type) {
	case map[string]any:
		for key, v := range node {
			spoil(v, func(v any) { node[key] = v }, path+"."+key)
		}
	case []any:
		for i, v := range node {
			spoil(v, func(v any) { node[i] = v }, fmt.Sprintf("%s[%d]", path, i))
		}
	}
}
