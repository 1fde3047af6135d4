package workup_test

import (
	"fmt"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// A sheer has its own hems, fullness and weights where its window says nothing, before the shop's conventions; what its window says stands.
func TestSheers(t *testing.T) {
	for _, c := range []struct {
		name, window string
		units        measure.Unit
		want         map[string]string
		side, bottom string
	}{
		{"set by hand", "heading: pinch-3, draw: stationary, finished_width: 40", measure.In, map[string]string{"fullness_asked": "3", "weight_cord": "120in", "weights": ""}, "1in", "5in"},
		{"gathered", "heading: rod-pocket, draw: stationary, finished_width: 40, pocket: {depth: 2}", measure.In, map[string]string{"fullness_asked": "3", "plain_length": "96.5in"}, "1in", "5in"},
		{"on points", "heading: eyelet, draw: stationary, finished_width: 40", measure.In, map[string]string{"fullness_asked": "2"}, "1in", "5in"},
		{"in metric units", "heading: goblet, draw: stationary, finished_width: 1000", measure.MM, map[string]string{"fullness_asked": "3"}, "25mm", "125mm"},
		{"its own", "heading: pinch-3, draw: stationary, finished_width: 40, fullness: 2.5, side_hem: 1 1/2, bottom_hem: 3", measure.In, map[string]string{"fullness_asked": "2.5"}, "1.5in", "3in"},
	} {
		usable, finished := "usable_width: 107", ", finished_length: 84"
		if c.units == measure.MM {
			usable, finished = "usable_width: 2800", ", finished_length: 2400"
		}
		o := unpleated(t, c.units, usable, ", side_hem: 2, bottom_hem: 6, weights: corners_and_seams", "", c.window+finished)
		o.Fabrics[0].Sheer = true
		w := workup.Compute(o)
		p := &w.Treatments[0].Panels[0]
		checkPanel(t, p, c.want)
		if p.SideHem.In(c.units) != c.side || p.BottomHem.In(c.units) != c.bottom || len(p.WeightPlaces) > 0 || p.WeightCord != p.FlatWidth {
			t.Errorf("%s: hems of %s and %s, a cord of %s", c.name, p.SideHem.In(c.units), p.BottomHem.In(c.units), p.WeightCord.In(c.units))
		}
	}
}

// A tape's fullness and the weights of a shop that has none are as ever.
func TestSheersLeaveTheRest(t *testing.T) {
	o := inchOrder()
	before := onePanel(t, o)
	o.Fabrics[0].Sheer, o.Conventions.Weights = true, orderfile.NoWeights
	if p := onePanel(t, o); p.FlatWidth != before.FlatWidth || p.WeightCord != 0 || len(p.WeightPlaces) != 0 {
		t.Errorf("%+v", p)
	}
}

// What is told of the cloth of a window, at the edge of each rule and beside it.
func TestClothIsTold(t *testing.T) {
	sheer := func(o *orderfile.Order) { o.Fabrics[0].Sheer = true }
	for _, c := range []struct {
		name, window, told string
		change             func(o *orderfile.Order)
	}{
		{"a sheer at 4", "draw: stationary, finished_width: 20, fullness: 4", "", sheer},
		{"a sheer over 4", "draw: stationary, finished_width: 20, fullness: 4.1", "warning fullness_out_of_range treatments[0].fullness", sheer},
		{"cloth over 3", "draw: stationary, finished_width: 20, fullness: 3.1", "warning fullness_out_of_range treatments[0].fullness", func(*orderfile.Order) {}},
		{"a sheer joined", "draw: stationary, finished_width: 40", "note sheer_seams treatments[0].face", sheer},
		{"a sheer lined", "draw: stationary, finished_width: 20, lining: sateen", "note sheer_lined treatments[0].lining", sheer},
		{"a puddle of 6 that is drawn", "face_width: 40, puddle: 6", "", func(*orderfile.Order) {}},
		{"a puddle over 6 that is drawn", "face_width: 40, puddle: 6 1/16", "warning puddle_draws treatments[0].puddle", func(*orderfile.Order) {}},
		{"a puddle over 6 that hangs still", "draw: stationary, finished_width: 20, puddle: 20", "", func(*orderfile.Order) {}},
	} {
		o := unpleated(t, measure.In, "usable_width: 100}, {id: sateen, use: lining, usable_width: 100", "", "rods: [{id: r, diameter: 1}]", "heading: rod-pocket, finished_length: 84, "+c.window)
		c.change(o)
		var told []string
		for _, p := range workup.Compute(o).Problems {
			if p.Code != "cloth_not_known" {
				told = append(told, fmt.Sprintf("%s %s %s", p.Severity, p.Code, p.Where))
			}
		}
		if got := strings.Join(told, ", "); got != c.told {
			t.Errorf("%s: told %q, want %q", c.name, got, c.told)
		}
	}
}

// Cloth with a pile has a top: the halves of a width that a pair shares aren't alike, so that nothing is turned over.
func TestPileIsOneWay(t *testing.T) {
	cuts := func(pile orderfile.Pile) int {
		o := headed(t, "usable_width: 54", "", "heading: pinch-3, draw: stationary, finished_width: 48 1/2, fullness: 2.5, quantity: 2")
		o.Fabrics[0].Pile = pile
		w := workup.Compute(o)
		if p := w.Treatments[0].Panels[0]; p.Pile != pile {
			t.Errorf("the panel has a pile %q", p.Pile)
		}
		return w.Treatments[0].Fabrics[0].Cuts
	}
	if plain, up := cuts(""), cuts(orderfile.PileUp); plain != 5 || up != 6 {
		t.Errorf("%d cuts, %d with a pile", plain, up)
	}
}
