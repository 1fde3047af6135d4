package recompute

import "fmt"

func (g *reGen) conventions() {
	g.o.conv = reUnits(g.o.unit).conv
	c := &g.o.conv
	set := func(key, text string) { g.o.overrides = append(g.o.overrides, [2]string{key, text}) }
	for _, v := range []struct {
		key       string
		to        *reNum
		low, high float64
		den       int64
	}{
		{"seam", &c.seam, 0.25, 1, 8}, {"side_hem", &c.sideHem, 0.5, 3, 4}, {"bottom_hem", &c.bottomHem, 1, 6, 4},
		{"heading_fold", &c.headingFold, 1, 7, 4}, {"squaring", &c.squaring, 0, 2, 4}, {"ease_per_pleat", &c.ease, 0, 0.2, 32},
		{"edge_clear", &c.edgeClear, 0, 12, 2}, {"single_lead", &c.singleLead, 0, 6, 4}, {"seam_thickness", &c.seamThickness, 0.04, 0.2, 32},
		{"lining_lift", &c.liningLift, 0, 3, 4}, {"lining_hem", &c.liningHem, 0.5, 4, 4},
		{"lining_top", &c.liningTop, 0, 2, 4}, {"lining_trim", &c.liningTrim, 0, 2, 4},
		{"pole_ease", &c.poleEase, 0, 3, 4}, {"pocket_ease", &c.pocketEase, 0, 2, 8}, {"eyelet_clearance", &c.eyeletClear, 0, 1, 8}, {"hook_spacing", &c.hookSpacing, 1, 6, 4},
		{"lining_allowance", &c.liningAllowance, 4, 14, 2}, {"length_allowance", &c.lengthAllowance, 6, 20, 2}, {"width_allowance", &c.widthAllowance, 0, 6, 2},
	} {
		if g.chance(10) {
			l := g.length(v.low, v.high, v.den)
			*v.to = l.reNum
			set(v.key, l.text)
		}
	}
	if g.chance(3) {
		percent := int64(g.Intn(21))
		c.slack = reFrac(percent, 100)
		set("fullness_slack", fmt.Sprintf("%d%s", percent, g.pick("%", " %")))
	}
	if g.chance(8) {
		percent := int64(1 + g.Intn(9))
		c.shrink = reFrac(percent, 100)
		set("shrink", fmt.Sprintf("%d%s", percent, g.pick("%", " %")))
	}
	if g.chance(8) {
		var l reLen
		if g.inch {
			l = g.imperial(1, int64([]int{1, 2, 4, 8, 32}[g.Intn(5)]))
		} else {
			l = g.metric([]int64{2, 5, 10}[g.Intn(3)])
		}
		c.step = l.reNum
		set("step", l.text)
	}
	if g.chance(5) {
		c.pastCentre = g.chance(2)
		set("overlap_basis", map[bool]string{true: "past_centre", false: "total_lap"}[c.pastCentre])
	}
	if g.chance(5) {
		c.orderRounding = g.pick("up", "nearest", "none")
		set("order_rounding", c.orderRounding)
	}
	if g.chance(5) {
		text, step := "1/4 yd", reInt(9)
		if !g.inch {
			text, step = "0.5 m", reMM(500)
		}
		c.orderStep = step
		set("order_step", text)
	}
	if g.chance(5) {
		n := g.Intn(4)
		c.orderRepeats = reInt(int64(n))
		set("order_repeats", fmt.Sprint(n))
	}
	g.rules(set)
}

// rules picks among the named values of every rule, one in three orders stating each.
func (g *reGen) rules(set func(key, text string)) {
	c := &g.o.conv
	for _, rule := range c.named() {
		if g.chance(3) {
			*rule.to = g.pick(rule.words...)
			set(rule.key, *rule.to)
		}
	}
	if g.chance(6) {
		c.pleatsPerWidth = 3 + g.Intn(6)
		set("pleats_per_width", fmt.Sprint(c.pleatsPerWidth))
	}
}

// reRule is a convention whose values are words.
type reRule struct {
	key   string
	to    *string
	words []string
}

func (c *reConv) named() []reRule {
	return []reRule{
		{"fullness_basis", &c.fullnessBasis, []string{"finished", "track", "track_then_flat"}},
		{"widths_rounding", &c.widthsRounding, []string{"up_to_half", "up_to_whole", "nearest_whole"}},
		{"pair_split", &c.pairSplit, []string{"panel", "total"}},
		{"surplus", &c.surplus, []string{"trim", "keep", "by_heading"}},
		{"repeat_rule", &c.repeatRule, []string{"whole_repeats", "on_phase", "add_one"}},
		{"half_drop", &c.halfDrop, []string{"phases", "one_repeat_an_order", "half_repeat_a_cut", "within_spare"}},
		{"pleat_count", &c.pleatCount, []string{"best", "per_width", "ranges"}},
		{"pleat_ends", &c.pleatEnds, []string{"at_edges", "half_space"}},
		{"lining_rule", &c.liningRule, []string{"computed", "allowance"}},
		{"stack_rule", &c.stackRule, []string{"rod_share", "glass_third", "glass_30", "build", "per_width"}},
		{"pocket_rule", &c.pocketRule, []string{"circumference", "diameter"}},
		{"lining_puddle", &c.liningPuddle, []string{"follow", "stop"}},
	}
}
