package sample_test

import (
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup/sample"
)

// What a number of a window hangs together with: the classes that moves names.
const (
	across = "across" // the width: pleats, widths, seams, the tape's length, cords, inserts
	down   = "down"   // the length of a panel's own cut
	face   = "face"   // cloth, by use
	backed = "backed" // lining and interlining
	trims  = "trims"  // tape, buckram and thread
	fitted = "fitted" // hooks and weights
	buying = "buying" // only what is ordered, of any cloth
)

// moves says what a convention may move, worked out from what it is; of a word every other of its words, else the values of others. A
// convention that says with counts only beside that one.
var moves = map[string]struct {
	may    []string
	values []string
	with   orderfile.Practice
}{
	"overlap_basis":   {may: []string{across, face, backed, trims, fitted}},
	"fullness_basis":  {may: []string{across, face, backed, trims, fitted}},
	"widths_rounding": {may: []string{across, face, backed, trims, fitted}},
	"pair_split":      {may: []string{across, face, backed, trims, fitted}, with: orderfile.Practice{"widths_rounding": "up_to_whole"}},
	"surplus":         {may: []string{across, face, backed, trims, fitted}},
	"width_allowance": {may: []string{across, face, backed, trims, fitted}, values: []string{"9 in"}},

	"pleat_count":      {may: []string{across, face, backed, trims, fitted}},
	"pleats_per_width": {may: []string{across, face, backed, trims, fitted}, values: []string{"4", "7"}, with: orderfile.Practice{"pleat_count": "per_width"}},
	"pleat_ends":       {may: []string{across, face, backed, trims, fitted}},
	"fullness_slack":   {may: []string{across, face, backed, trims, fitted}, values: []string{"0"}},
	"single_lead":      {may: []string{across, face, backed, trims, fitted}, values: []string{"3 in"}},
	"ease_per_pleat":   {may: []string{across, face, backed, trims, fitted}, values: []string{"0"}},
	"heading_fold":     {may: []string{down, face, trims}, values: []string{"5 in"}},

	"seam":             {may: []string{across, face, backed, trims, fitted}, values: []string{"5/8 in"}},
	"side_hem":         {may: []string{across, face, backed, trims, fitted}, values: []string{"2 in"}},
	"edge_clear":       {may: []string{across, face, backed, trims, fitted}, values: []string{"40 in"}},
	"bottom_hem":       {may: []string{down, face}, values: []string{"6 in"}},
	"squaring":         {may: []string{down, face}, values: []string{"2 in"}},
	"shrink":           {may: []string{down, face}, values: []string{"3"}},
	"length_allowance": {may: []string{down, face}, values: []string{"20 in"}},

	"repeat_rule":    {may: []string{down, face}},
	"half_drop":      {may: []string{down, face}},
	"room_phase":     {may: []string{down, face}},
	"motif_from":     {may: []string{down, face}, with: orderfile.Practice{"room_phase": "together"}},
	"lot_group":      {}, // the windows are on no bolts
	"order_repeats":  {may: []string{buying}, values: []string{"2"}},
	"order_step":     {may: []string{buying}, values: []string{"1 yd"}},
	"order_rounding": {may: []string{buying}},
	"bolt_length":    {may: []string{buying}, values: []string{"60 yd"}},

	"lining_rule":      {may: []string{backed}},
	"lining_puddle":    {may: []string{backed}},
	"lining_lift":      {may: []string{backed}, values: []string{"2 in"}},
	"lining_hem":       {may: []string{backed}, values: []string{"3 in"}},
	"lining_top":       {may: []string{backed}, values: []string{"1 in"}},
	"lining_trim":      {may: []string{backed}, values: []string{"2 in"}},
	"lining_allowance": {may: []string{backed}, values: []string{"12 in"}, with: orderfile.Practice{"lining_rule": "allowance"}},
	"lining_inset":     {may: []string{backed}, values: []string{"2 in"}},

	"band_turn": {may: []string{face}, values: []string{"1 in"}},

	"weights":      {may: []string{fitted}},
	"hook_inset":   {may: []string{fitted}, values: []string{"1 in"}},
	"hook_spacing": {may: []string{fitted}, values: []string{"4 in"}},
	"stack_rule":   {may: []string{across}},

	"pole_ease":        {may: []string{across, face, backed, trims, fitted}, values: []string{"4 in"}},
	"pocket_rule":      {may: []string{across, down, face}},
	"pocket_ease":      {may: []string{across, down, face}, values: []string{"2 in"}},
	"eyelet_clearance": {values: []string{"1 in"}}, // what is told alone

	"step":           {may: []string{across, down, face, backed, trims, fitted}, values: []string{"1/4 in"}},
	"seam_thickness": {may: []string{trims}, values: []string{"1/50 in"}},
	"stitch_density": {may: []string{trims}, values: []string{"8"}},
	"cone_length":    {may: []string{trims}, values: []string{"500 yd"}},
}

// classes says to which classes a number belongs.
func classes(c sample.Change) []string {
	ordered := slices.Contains([]string{"to_order", "bolt_length", "bolts", "bolts_come_to"}, c.Name)
	switch {
	case ordered && c.Of != "tape":
		return []string{buying, map[bool]string{true: face, false: backed}[c.Of == "face"]}
	case c.Of == "face" || strings.HasPrefix(c.Name, "band_"):
		return []string{face}
	case c.Of == "lining" || c.Of == "interlining" || strings.HasPrefix(c.Name, "lining_"):
		return []string{backed}
	case c.Of == "hooks" || c.Of == "fittings" || strings.HasPrefix(c.Name, "hook") || strings.HasPrefix(c.Name, "weight"):
		return []string{fitted}
	case c.Of == "panel" && slices.Contains([]string{"plain_length", "cut_length", "repeats_per_cut", "top_allowance", "phase"}, c.Name):
		return []string{down}
	case c.Of != "panel" || c.Name == "buckram_piece":
		return []string{trims, across}
	}
	return []string{across}
}

// TestEveryConventionMovesWhatItIsAbout: of each convention, each other word or value moves something of at least one window, and nothing
// that it isn't about.
func TestEveryConventionMovesWhatItIsAbout(t *testing.T) {
	for _, units := range []measure.Unit{measure.In, measure.CM} {
		for _, r := range orderfile.AllConventions() {
			about, known := moves[r.Key]
			if !known {
				t.Errorf("%s: say in moves what it may move", r.Key)
				continue
			}
			values := about.values
			if words := r.Words(); words != nil {
				values = words[1:]
			}
			moved := false
			before := windows(t, units, about.with)
			for _, value := range values {
				p := orderfile.Practice{r.Key: value}
				for name, with := range about.with {
					p[name] = with
				}
				for i, after := range windows(t, units, p) {
					for _, c := range sample.Compare(before[i].Work, after.Work) {
						moved = true
						if !slices.ContainsFunc(classes(c), func(class string) bool { return slices.Contains(about.may, class) }) {
							t.Errorf("%s %s: %s moves %s of %s in the window %q, from %v to %v, which it isn't about", units, r.Key, value, c.Name, c.Of, after.Name, c.Before, c.After)
						}
					}
				}
			}
			if moved != (len(about.may) > 0) {
				t.Errorf("%s %s: %q move something: %t", units, r.Key, values, moved)
			}
		}
	}
}

// windows are the windows under a practice before the shipped conventions, which must be read.
func windows(t *testing.T, units measure.Unit, p orderfile.Practice) []sample.Window {
	t.Helper()
	if _, problems := p.Read(orderfile.DefaultConventions(units), units); len(problems) > 0 {
		t.Fatalf("%v: %+v", p, problems)
	}
	list, err := sample.Of(units, func(u measure.Unit) orderfile.Conventions { return p.Over(orderfile.DefaultConventions(u), u) })
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// TestSampleIsSound: under the shipped conventions nothing is wrong with the windows, and all are worked out whole.
func TestSampleIsSound(t *testing.T) {
	for _, units := range []measure.Unit{measure.In, measure.CM, measure.MM} {
		for _, w := range windows(t, units, nil) {
			for _, p := range w.Work.Problems {
				if p.Severity == "error" {
					t.Errorf("%s, %s: %+v", units, w.Name, p)
				}
			}
			if w.Work.Totals.Incomplete || len(sample.Numbers(w.Work)) < 25 {
				t.Errorf("%s, %s: %d numbers", units, w.Name, len(sample.Numbers(w.Work)))
			}
		}
	}
}
