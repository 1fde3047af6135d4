package recompute

import (
	"cmp"
	"fmt"
	"testing"
)

// TestRecomputeReach wants the random orders to reach every combination that they are for, every value of every convention
// with either family of headings, and every code.
func TestRecomputeReach(t *testing.T) {
	seen := map[string]int{}
	for i := range 450 * len(reHeadings) {
		o, _ := reRandomOrder(*reSeed, i)
		for k, res := range o.work().treatments {
			reSee(seen, o, o.treatments[k], res)
		}
	}
	wanted := reCombinations()
	for _, rule := range new(reConv).named() {
		for _, word := range rule.words {
			for _, family := range []string{"tape", "by hand", "without pleats"} {
				wanted = append(wanted, rule.key+" "+word+" "+family)
			}
		}
	}
	for _, key := range wanted {
		if seen[key] == 0 {
			t.Errorf("no order has %s", key)
		}
	}
	for _, code := range []string{
		"error too_narrow", "error tubes_collide", "error pleat_out_of_range", "warning few_pleats", "warning insert_turns", "warning tail_short",
		"warning tubes_close", "note width_not_reached", "warning width_not_reached", "note seam_shows", "note stitch_below_fold",
		"note pleat_in_hem", "note pleat_in_lap", "note cord_hazard", "warning implausible", "error bad_value", "unequal pair",
		"warning pleat_out_of_range", "warning seam_narrow", "error seam_narrow", "by hand warning widths_out_of_range",
		"by hand error too_narrow", "by hand warning pleat_out_of_range", "by hand warning few_pleats",
		"by hand error tubes_collide", "by hand warning tubes_close", "by hand error pleats_overlap", "by hand warning pleats_overlap",
		"by hand warning pleat_over_edge", "by hand in a pleat but in view", "by hand left empty",
		"flat ends", "flat ends warning width_not_reached", "flat ends error too_narrow", "flat ends note seam_shows", "flat ends of given pleats",
		"pencil-tape error gather_too_tight", "pencil-tape warning fold_outside_tape", "pencil-tape warning tail_short", "pencil-tape note cord_hazard",
		"rod-pocket error pocket_tight", "rod-pocket warning pocket_tight", "rod-pocket note stand_flops", "eyelet error points_collide",
		"eyelet warning eyelet_tight", "eyelet warning eyelet_off_band", "eyelet note seam_at_point", "tab error points_collide", "tab note seam_at_point",
		"tab note tabs_drag", "ring warning ring_tight", "wave-tape error too_narrow", "eyelet warning pitch_out_of_range", "eyelet warning few_pleats",
		"eyelet warning folds_touch_wall", "rod-pocket warning hang_differs", "eyelet warning hang_differs", "tab warning hang_differs", "ring warning hang_differs",
		"eyelet warning support_blocks", "tab warning rod_span", "eyelet note stack_covers_glass", "by hand note stack_covers_glass", "note stack_covers_glass",
		"ring error too_narrow", "wave-tape warning fullness_out_of_range", "pencil-tape warning fullness_out_of_range", "eyelet unequal pair", "eyelet points with a return",
		"eyelet a seam in front", "tab an odd number of points", "rod-pocket hung as it hangs",
		"by hand warning implausible", "by hand unequal pair", "by hand note seam_shows", "by hand note pleat_in_hem", "by hand note pleat_in_lap",
	} {
		if seen[code] < 5 {
			t.Errorf("%s is met %d times only", code, seen[code])
		}
	}
}

// reSee counts what a treatment reaches.
func reSee(seen map[string]int, o reOrder, tr reTreatment, res reResult) {
	cloth, f := "plain", o.fabric(tr.face)
	if f.patterned() {
		cloth = "straight"
	}
	if f.dropped() {
		cloth = "half_drop"
	}
	draw := tr.draw
	if draw == "" {
		draw = "pair"
	}
	family, prefix, heading := "tape", "", cmp.Or(tr.heading, "cartridge-tape")
	if tr.continuous() {
		family, prefix = "without pleats", heading+" "
	} else if tr.byHand() {
		family, prefix = "by hand", "by hand "
	} else if o.tapeOf(tr).ends == "flat" {
		prefix = "flat ends "
		seen["flat ends"]++
		if tr.pleats > 0 {
			seen["flat ends of given pleats"]++
		}
	}
	seen[reCombination(heading, draw, o.unit, cloth, tr.count(), tr.lining != "")]++
	for _, rule := range o.conv.named() {
		seen[rule.key+" "+*rule.to+" "+family]++
	}
	seen[res.ofCloth]++
	for code := range res.problems.told {
		seen[prefix+code]++
	}
	if tr.continuous() {
		reSeePoints(seen, heading, o, tr, res)
	}
	if tr.inserts == "none" {
		seen[prefix+"left empty"]++
	}
	for _, m := range res.made {
		if inside, _ := m.tree["seams_in_pleats"].(reCount); m.tree["seams_hidden"] != inside && tr.byHand() {
			seen[prefix+"in a pleat but in view"]++
		}
	}
	if len(res.made) > 1 && res.made[0].joined.halves != res.made[1].joined.halves {
		seen[prefix+"unequal pair"]++
	}
}

// reSeePoints counts what points and hangs come to.
func reSeePoints(seen map[string]int, heading string, o reOrder, tr reTreatment, res reResult) {
	if tr.toFloor.given() && !tr.above.given() && !tr.below.given() {
		seen[heading+" hung as it hangs"]++
	}
	for _, m := range res.made {
		if m.points > 0 && o.retOf(tr).sign() > 0 {
			seen[heading+" points with a return"]++
		}
		if front, _ := m.tree["seams_in_front"].(reCount); front > 0 {
			seen[heading+" a seam in front"]++
		}
		if m.points%2 == 1 {
			seen[heading+" an odd number of points"]++
		}
	}
}

func reCombination(heading, draw, unit, cloth string, quantity int, lined bool) string {
	return fmt.Sprintf("%s %s %s %s %d %t", heading, draw, unit, cloth, quantity, lined)
}

// reCombinations are those that the first treatments go through.
func reCombinations() []string {
	var all []string
	for _, heading := range reHeadings {
		for _, draw := range reDraws {
			for _, unit := range reUnitNames {
				for _, cloth := range reCloths {
					for quantity := 1; quantity <= 5; quantity++ {
						all = append(all, reCombination(heading, draw, unit, cloth, quantity, true), reCombination(heading, draw, unit, cloth, quantity, false))
					}
				}
			}
		}
	}
	return all
}
