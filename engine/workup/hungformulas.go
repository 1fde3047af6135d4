package workup

import (
	"slices"

	"tablehand/engine/orderfile"
)

// Which formula a number goes by of what a panel hangs on and by, where it isn't always the same.

// stackSources are where the rules of thumb for a drawn panel come from.
var stackSources = map[orderfile.StackRule]string{
	orderfile.RodShare: "source.stack_rod", orderfile.GlassThird: "source.stack_third", orderfile.Glass30: "source.stack_30",
	orderfile.Build: "source.stack_build", orderfile.AWidth: "source.stack_width",
}

func stackRule(w *window, _ *Panel) reason {
	if w.cartridges() {
		return because("stack_back", sourcePractice, "pleats", "tube_diameter", "thickness", "edge_to_pleat")
	}
	rule := w.order.Conventions.StackRule
	formula, input := "stack_back."+string(rule), "glass_width"
	switch rule {
	case orderfile.RodShare:
		input = "face_width"
	case orderfile.AWidth:
		return because(formula, stackSources[rule], "widths")
	case orderfile.Build:
		if w.lining != nil {
			formula += ".lined"
		}
	}
	if w.line.Draw == orderfile.Pair {
		formula += ".pair"
	}
	return because(formula, stackSources[rule], input)
}

func rodWantedRule(w *window, _ *Panel) reason {
	switch {
	case w.line.Draw == orderfile.Pair && !w.alike():
		return because("rod_wanted.uneven", sourcePractice, "glass_width", "stack_back", "stack_back_other")
	case w.line.Draw == orderfile.Pair:
		return because("rod_wanted.pair", sourcePractice, "glass_width", "stack_back")
	}
	return because("rod_wanted", "source.stack_build", "glass_width", "stack_back")
}

func hooksRule(w *window, _ *Panel) reason {
	switch w.heading.Holds {
	case orderfile.Gathered:
		return because("hooks.gathered", sourcePractice, "finished_width", "return", "hook_inset", "hook_spacing")
	case orderfile.OnCarriers:
		return because("hooks.points", sourcePractice, "points", "hook_inset", "return")
	case orderfile.OnPoints:
		return because("hooks.return", sourcePractice, "return", "hook_inset")
	}
	inputs := []string{"pleats", "hook_inset", "edge_to_pleat", "lead_to_pleat"}
	if w.tape != nil && !w.pulled.atCorners() { // both edges are alike
		inputs = inputs[:3]
	}
	return because("hooks", sourcePractice, inputs...)
}

// weightsSource is the source of the shop's rule for weights.
func (w *window) weightsSource() string {
	if w.sheer() {
		return sourceSheerCord
	}
	switch w.order.Conventions.Weights {
	case orderfile.WeightsAtCornersAndSeams:
		return sourceWeights
	case orderfile.WeightsAtCorners:
		return sourceCorners
	}
	return sourcePractice
}

func hookPlacesRule(w *window, _ *Panel) reason {
	switch w.heading.Holds {
	case orderfile.Gathered:
		return because("hook_places.gathered", sourcePractice, "hooks", "finished_width", "return", "hook_inset")
	case orderfile.OnCarriers:
		return because("hook_places.points", sourcePractice, "places", "hook_inset")
	case orderfile.OnPoints:
		return because("hook_places.return", sourcePractice, "hook_inset")
	}
	return because("hook_places", sourcePractice, "pleats", "finished_width", "hook_inset")
}

// hookDropRule says why hooks, or the pins of rings, are so far down.
func hookDropRule(w *window, _ *Panel) reason {
	if w.heading.Pole == orderfile.OnRings {
		return because("hook_drop.pins", sourcePractice)
	}
	return because("hook_drop", sourceHookDrop)
}

// pointEnds are the inputs for what is flat outside of the points.
func (w *window) pointEnds() []string {
	inputs := []string{"flat_width", "points"}
	if w.ret() > 0 {
		inputs = append(inputs, "return")
	}
	switch w.pitching().Ends {
	case orderfile.FixedEnd:
		inputs = append(inputs, "point_end")
	case orderfile.InsetEnd:
		inputs = append(inputs, "point_inset")
	case orderfile.TabEnd:
		inputs = append(inputs, "tab_width")
	}
	return inputs
}

func pointsRule(w *window, _ *Panel) reason {
	switch {
	case w.heading.Holds == orderfile.OnCarriers:
		return because("points.carriers", w.cited().Count, "finished_width", "return", "carrier_pitch")
	case w.line.Points.Count != nil:
		return because("points.given", sourceOrder)
	}
	return because(w.shared("points."+string(w.pitching().Parity)), w.cited().Count, "flat_width", "pitch_min", "pitch_max", "preferred_pitch", "seams")
}

func pitchRule(w *window, _ *Panel) reason {
	if w.heading.Holds == orderfile.OnCarriers {
		return because("pitch.carriers", sourceTape, "pocket_pitch", "pockets")
	}
	return because("pitch", w.cited().Pitch, w.pointEnds()...)
}

// edgePointRule says what is flat before the first point.
func edgePointRule(w *window, p *Panel) reason {
	if w.ret() > 0 {
		return because("edge_to_point.return", sourcePractice, "return")
	}
	return leadPointRule(w, p)
}

func leadPointRule(w *window, _ *Panel) reason {
	if w.heading.Holds == orderfile.OnCarriers {
		return because("lead_to_point.half_pitch", "", "pitch")
	}
	switch ends := w.pitching().Ends; {
	case w.line.Points.End != nil:
		return because("lead_to_point.fixed", sourceOrder, "point_end")
	case ends == orderfile.FixedEnd:
		return because("lead_to_point.fixed", sourceShop, "point_end")
	case ends == orderfile.InsetEnd:
		return because("lead_to_point.inset", sourceShop, "point_inset")
	case ends == orderfile.TabEnd:
		return because("lead_to_point.tab", sourcePractice, "tab_width")
	}
	return because("lead_to_point.half_pitch", w.cited().Pitch, "pitch")
}

func pointPlacesRule(w *window, _ *Panel) reason {
	if w.heading.Holds == orderfile.OnCarriers {
		return because("places.carriers", "", "carrier_pitch", "return")
	}
	return because("places", "", "positions", "return", "finished_width", "flat_width")
}

func reachRule(*window, *Panel) reason {
	return because("reach", "", "points", "carrier_pitch", "return")
}

func topRule(w *window, _ *Panel) reason {
	switch w.heading.Top {
	case orderfile.PocketTop:
		return because("top_allowance.pocket", "", "stand", "pocket", "turn")
	case orderfile.SeamTop:
		return because("top_allowance.seam", sourcePractice, "tab_seam")
	}
	return because("top_allowance."+string(w.heading.Top), sourcePractice, "heading_fold")
}

func bearingRule(w *window, _ *Panel) reason {
	inputs := map[orderfile.PoleHold][]string{
		orderfile.InPocket: {"stand"}, orderfile.InEyelets: {"eyelet_drop", "eyelet_inner"}, orderfile.ByTabs: {"rod_diameter", "tab_gap"}, orderfile.OnRings: {"ring_drop"},
	}[w.heading.Pole]
	return because("bearing_below_top."+string(w.heading.Pole), "", inputs...)
}

func pocketRule(w *window, _ *Panel) reason {
	switch {
	case w.line.Pocket.Depth != nil:
		return because("pocket.given", sourceOrder)
	case w.order.Conventions.PocketRule == orderfile.RodAcross && w.rod().Through() > 0:
		return because("pocket.diameter", sourceShop, "rod_diameter", "pocket_ease", "step")
	}
	return because("pocket.circumference", sourceShop, "rod_around", "pocket_ease", "step")
}

func eyeletDropRule(w *window, _ *Panel) reason {
	return because("eyelet_drop", sourcePractice, "eyelet_inner")
}

func tabLoopRule(w *window, _ *Panel) reason {
	if w.line.Tab.Loop != nil {
		return because("tab_loop.given", sourceOrder)
	}
	return because("tab_loop", sourcePractice, "rod_diameter", "tab_gap", "step")
}

func weightsRule(w *window, _ *Panel) reason {
	at := w.order.Conventions.Weights
	return because("weights."+string(at), w.weightsSource(), map[orderfile.Weights][]string{
		orderfile.WeightsAtCornersAndSeams: {"seams"}, orderfile.WeightsEveryFoot: {"flat_width"},
	}[at]...)
}

func weightPlacesRule(w *window, _ *Panel) reason {
	at, inputs := w.order.Conventions.Weights, []string{"side_hem", "flat_width"}
	if at == orderfile.WeightsAtCornersAndSeams {
		inputs = append(inputs, "seams")
	}
	return because("weight_places."+string(at), w.weightsSource(), inputs...)
}

func weightCordRule(w *window, _ *Panel) reason {
	return because("weight_cord", w.weightsSource(), "flat_width")
}

// massRule says which cloths the panel's weight is of.
func massRule(w *window, p *Panel) reason {
	var inputs []string
	for _, cloth := range w.clothsOf(p) {
		switch {
		case cloth.of != "bands":
			inputs = append(inputs, cloth.of+"_mass", cloth.of+"_weighs")
		case !slices.Contains(inputs, "bands_weigh"):
			inputs = append(inputs, "bands_weigh")
		}
	}
	return because("mass", "", inputs...)
}
