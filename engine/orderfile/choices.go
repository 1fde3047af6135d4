package orderfile

// Choice is a convention on which published sources or workrooms differ, with the values it may take, the default
// first.
type Choice struct {
	Name   string
	Values []string
	of     func(*Conventions) *string
}

// Of returns the value in force.
func (c Choice) Of(conv *Conventions) string { return *c.of(conv) }

// Under returns the conventions with this one changed.
func (c Choice) Under(conv Conventions, value string) Conventions {
	*c.of(&conv) = value
	return conv
}

// choices are the conventions that take one of several words, in the order of their table in interface.md. Whose way of
// working a word is stands above it, W05 and its like being the examples of testdata/published; what no source is named for is
// common practice, from memory.
var choices = []Choice{
	{"overlap_basis", []string{"total_lap", "past_centre"}, func(c *Conventions) *string { return &c.OverlapBasis }},
	// finished: W05, W10; track: W01, M01. UFGS 12 22 00 can be read as the first or the third.
	{"fullness_basis", []string{"finished", "track", "track_then_flat"}, func(c *Conventions) *string { return &c.FullnessBasis }},
	// up_to_half: UFGS 12 22 00, full or half widths with at least the fullness asked; up_to_whole: most examples; nearest_whole: M06.
	{"widths_rounding", []string{"up_to_half", "up_to_whole", "nearest_whole"}, func(c *Conventions) *string { return &c.WidthsRounding }},
	// total: W10, M06.
	{"pair_split", []string{"panel", "total"}, func(c *Conventions) *string { return &c.PairSplit }},
	{"surplus", []string{"trim", "keep", "by_heading"}, func(c *Conventions) *string { return &c.Surplus }},
	// whole_repeats: W05, W07, W12, W14, W16; add_one: M08, W16.
	{"repeat_rule", []string{"whole_repeats", "on_phase", "add_one"}, func(c *Conventions) *string { return &c.RepeatRule }},
	// phases: ideas-for-home-decorating.com, half-drop page; one_repeat_an_order: M10; half_repeat_a_cut: Merrick & Day, curtain
	// encyclopaedia, p. 119.
	{"half_drop", []string{"phases", "one_repeat_an_order", "half_repeat_a_cut", "within_spare"}, func(c *Conventions) *string { return &c.HalfDrop }},
	// up: W09, to half a yard; nearest: homeimprovementzone.net, to half a metre.
	{"order_rounding", []string{"up", "nearest", "none"}, func(c *Conventions) *string { return &c.OrderRounding }},
	// per_width: Susan Woodcock, 2019 (P05); ranges: hers too, and Singer 102 (P01); best is of our own making.
	{"pleat_count", []string{"best", "per_width", "ranges"}, func(c *Conventions) *string { return &c.PleatCount }},
	// at_edges: P01, P03, P05.
	{"pleat_ends", []string{"at_edges", "half_space"}, func(c *Conventions) *string { return &c.PleatEnds }},
	// allowance: W10.
	{"lining_rule", []string{"computed", "allowance"}, func(c *Conventions) *string { return &c.LiningRule }},
	{"lining_puddle", []string{"follow", "stop"}, func(c *Conventions) *string { return &c.LiningPuddle }},
	// corners_and_seams: K. Stein's list of fabrication practices; corners: University of Minnesota, Territorial Hall draperies.
	{"weights", []string{"corners_and_seams", "corners", "every_foot", "cord", "none"}, func(c *Conventions) *string { return &c.Weights }},
}

// Choices lists the conventions that take one of several words, in the order in which a person reads them.
func Choices() []Choice { return append([]Choice(nil), choices...) }
