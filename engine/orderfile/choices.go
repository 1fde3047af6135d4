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

// choices are the conventions that take one of several words, in the order of their table in interface.md.
var choices = []Choice{
	{"overlap_basis", []string{"total_lap", "past_centre"}, func(c *Conventions) *string { return &c.OverlapBasis }},
	{"fullness_basis", []string{"finished", "track", "track_then_flat"}, func(c *Conventions) *string { return &c.FullnessBasis }},
	{"widths_rounding", []string{"up_to_half", "up_to_whole", "nearest_whole"}, func(c *Conventions) *string { return &c.WidthsRounding }},
	{"pair_split", []string{"panel", "total"}, func(c *Conventions) *string { return &c.PairSplit }},
	{"surplus", []string{"trim", "keep", "by_heading"}, func(c *Conventions) *string { return &c.Surplus }},
	{"repeat_rule", []string{"whole_repeats", "on_phase", "add_one"}, func(c *Conventions) *string { return &c.RepeatRule }},
	{"half_drop", []string{"phases", "one_repeat_an_order", "half_repeat_a_cut", "within_spare"}, func(c *Conventions) *string { return &c.HalfDrop }},
	{"order_rounding", []string{"up", "nearest", "none"}, func(c *Conventions) *string { return &c.OrderRounding }},
	{"pleat_count", []string{"best", "per_width", "ranges"}, func(c *Conventions) *string { return &c.PleatCount }},
	{"pleat_ends", []string{"at_edges", "half_space"}, func(c *Conventions) *string { return &c.PleatEnds }},
	{"lining_rule", []string{"computed", "allowance"}, func(c *Conventions) *string { return &c.LiningRule }},
	{"lining_puddle", []string{"follow", "stop"}, func(c *Conventions) *string { return &c.LiningPuddle }},
	{"weights", []string{"corners_and_seams", "corners", "every_foot", "cord", "none"}, func(c *Conventions) *string { return &c.Weights }},
}

// Choices lists the conventions that take one of several words, in the order in which a person reads them.
func Choices() []Choice { return append([]Choice(nil), choices...) }
