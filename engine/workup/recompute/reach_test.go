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
		"turned", "by hand turned", "eyelet turned", "flat ends turned", "turned lining", "turned of an uneven pair", "a phase", "by hand a phase",
		"two phases of one cloth", "mirrored", "by hand mirrored", "eyelet mirrored", "flat ends mirrored", "centred_on", "by hand centred_between",
		"wave-tape centred_on", "uneven mirrored", "half a width mirrored", "marching", "leading joined", "leading applied", "return joined",
		"by hand return joined", "eyelet leading joined", "bottom joined", "bottom applied", "mirrored beside a band", "banded of other cloth", "grown",
		"weighed", "by hand weighed", "eyelet warning hardware_heavy", "weight not known", "error railroad_short", "error railroad_one_way",
		"error railroad_pattern", "note sheer_lined", "note sheer_seams", "note price_by_width", "warning puddle_draws", "shrunk in width",
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
	reSeeCloth(func(what string) { seen[prefix+what]++ }, o, tr, res)
	if o.conv.roomPhase == "together" && f.patterned() && len(o.phases(f, o.needsOf(f.id))) > 1 && !f.dropped() {
		seen["two phases of one cloth"]++
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

// reSeeCloth says what of its cloth a treatment that is made reaches.
func reSeeCloth(saw func(string), o reOrder, tr reTreatment, res reResult) {
	if len(res.made) == 0 || res.failed {
		return
	}
	f := o.fabric(tr.face)
	for what, is := range map[string]bool{
		"turned": tr.railroad, "turned lining": tr.railroadLining && tr.lining != "", "turned of an uneven pair": tr.railroad && tr.uneven(),
		"a phase": o.phaseOf(tr).sign() > 0, "uneven mirrored": o.placed(tr) && tr.motif == "mirrored" && tr.uneven(),
		"half a width mirrored":  o.placed(tr) && tr.motif == "mirrored" && res.made[0].joined.halves == 1,
		"mirrored beside a band": o.placed(tr) && tr.motif == "mirrored" && tr.banded("leading") != nil,
		"grown":                  f.growth.share().sign() > 0, "shrunk in width": f.shrinkWide.share().sign() > 0,
		"weighed": o.grams(tr, res.made).given(), "weight not known": res.weightless,
	} {
		if is {
			saw(what)
		}
	}
	if o.sidewise(tr) {
		saw(cmp.Or(tr.motif, "marching"))
	}
	for _, b := range tr.bands {
		saw(b.edge + " " + cmp.Or(b.method, "joined"))
		if b.fabric != tr.face {
			saw("banded of other cloth")
		}
	}
}

// needsOf are the needs of one fabric.
func (o reOrder) needsOf(fabric string) (own []reNeed) {
	for _, res := range o.results {
		for _, need := range res.fabrics {
			if need.fabric == fabric {
				own = append(own, need)
			}
		}
	}
	return own
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
