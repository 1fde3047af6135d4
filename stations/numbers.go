package stations

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// made is one panel and what it is made of, for the numbers on its ticket.
type made struct {
	panel *workup.Panel
	line  *orderfile.Treatment
	units measure.Unit
}

// number is one number of a panel that a route may show or hold an entry against; Nothing where it doesn't apply.
type number func(m made) measure.Quantity

func length(of func(*workup.Panel) measure.Length) number {
	return func(m made) measure.Quantity { return measure.OfLength(of(m.panel), m.units) }
}

func lengths(of func(*workup.Panel) []measure.Length) number {
	return func(m made) measure.Quantity { return measure.OfLengths(of(m.panel), m.units) }
}

func count(of func(*workup.Panel) int) number {
	return func(m made) measure.Quantity { return measure.OfCount(of(m.panel)) }
}

// widths are counted by halves.
func widths(of func(*workup.Panel) measure.Halves) number {
	return func(m made) measure.Quantity { return measure.OfRatio(of(m.panel).Ratio()) }
}

func word(of func(made) string) number {
	return func(m made) measure.Quantity { return measure.OfWord(of(m)) }
}

// some leaves out a number that is 0, which then means that there is no such thing.
func some(n number) number {
	return func(m made) measure.Quantity {
		if q := n(m); !q.Nought() {
			return q
		}
		return measure.Quantity{}
	}
}

// ofTape leaves out a number of a tape where the pleats are set by hand.
func ofTape(n number) number {
	return func(m made) measure.Quantity {
		if m.panel.SetByHand() {
			return measure.Quantity{}
		}
		return n(m)
	}
}

// byHand leaves out a number of pleats set by hand where a tape sets them.
func byHand(n number) number {
	return func(m made) measure.Quantity {
		if !m.panel.SetByHand() {
			return measure.Quantity{}
		}
		return n(m)
	}
}

// numbers are a panel's, by their names in the work-up's JSON or in the order file. finished_length has the puddle
// in it: it is what the tape measure finds.
var numbers = map[string]number{
	"widths":            widths(func(p *workup.Panel) measure.Halves { return p.Widths }),
	"cut_length":        length(func(p *workup.Panel) measure.Length { return p.CutLength }),
	"plain_length":      length(func(p *workup.Panel) measure.Length { return p.PlainLength }),
	"repeats_per_cut":   some(count(func(p *workup.Panel) int { return p.RepeatsPerCut })),
	"lining_widths":     some(widths(func(p *workup.Panel) measure.Halves { return p.LiningWidths })),
	"lining_cut_length": some(length(func(p *workup.Panel) measure.Length { return p.LiningCutLength })),
	"lining_hem":        some(length(func(p *workup.Panel) measure.Length { return p.LiningHem })),
	"lining_width":      some(length(func(p *workup.Panel) measure.Length { return p.LiningWidth })),
	"lining_surplus":    some(length(func(p *workup.Panel) measure.Length { return p.LiningSurplus })),
	"lining_lift":       some(length(func(p *workup.Panel) measure.Length { return p.LiningLift })),
	"lining_trim":       some(length(func(p *workup.Panel) measure.Length { return p.LiningTrim })),

	"interlining":            word(func(m made) string { return m.line.Interlining }),
	"interlining_widths":     some(widths(func(p *workup.Panel) measure.Halves { return p.InterliningWidths })),
	"interlining_cut_length": some(length(func(p *workup.Panel) measure.Length { return p.InterliningCutLength })),

	"hooks":         count(func(p *workup.Panel) int { return len(p.HookPlaces) }),
	"hook_drop":     length(func(p *workup.Panel) measure.Length { return p.HookDrop }),
	"weights":       some(count(func(p *workup.Panel) int { return len(p.WeightPlaces) })),
	"weight_places": lengths(func(p *workup.Panel) []measure.Length { return p.WeightPlaces }),
	"weight_cord":   some(length(func(p *workup.Panel) measure.Length { return p.WeightCord })),

	"seams":        lengths(func(p *workup.Panel) []measure.Length { return p.Seams }),
	"trim_return":  length(func(p *workup.Panel) measure.Length { return p.TrimReturn }),
	"trim_leading": length(func(p *workup.Panel) measure.Length { return p.TrimLeading }),
	"side_hem":     length(func(p *workup.Panel) measure.Length { return p.SideHem }),
	"bottom_hem":   length(func(p *workup.Panel) measure.Length { return p.BottomHem }),
	"flat_width":   length(func(p *workup.Panel) measure.Length { return p.FlatWidth }),

	"finished_length": length(func(p *workup.Panel) measure.Length { return p.FinishedLength }),
	"heading_fold":    length(func(p *workup.Panel) measure.Length { return p.HeadingFold }),

	"tape_piece":    ofTape(length(func(p *workup.Panel) measure.Length { return p.TapePiece })),
	"tape_start":    ofTape(length(func(p *workup.Panel) measure.Length { return p.TapeStart })),
	"tape_height":   ofTape(length(func(p *workup.Panel) measure.Length { return p.TapeHeight })),
	"top_drop":      ofTape(length(func(p *workup.Panel) measure.Length { return p.TopDrop })),
	"end_margin":    ofTape(length(func(p *workup.Panel) measure.Length { return p.EndMargin })),
	"edge_to_pleat": length(func(p *workup.Panel) measure.Length { return p.EdgeToPleat }),
	"stitch_line":   ofTape(length(func(p *workup.Panel) measure.Length { return p.StitchLine })),
	"stitching":     ofTape(length(func(p *workup.Panel) measure.Length { return p.Stitching })),
	"dots":          ofTape(count(func(p *workup.Panel) int { return p.Pleats + 1 })), // one in the middle of each space

	"pleats":         count(func(p *workup.Panel) int { return p.Pleats }),
	"finished_width": length(func(p *workup.Panel) measure.Length { return p.FinishedWidth }),
	"tight_width":    ofTape(length(func(p *workup.Panel) measure.Length { return p.TightWidth })),
	"take_up":        length(func(p *workup.Panel) measure.Length { return p.TakeUp }),
	"space":          length(func(p *workup.Panel) measure.Length { return p.Space }),
	"cords":          ofTape(count(func(p *workup.Panel) int { return p.Cords })),
	"cord_pull_out":  ofTape(length(func(p *workup.Panel) measure.Length { return p.CordPullOut })),
	"cord_in_hand":   ofTape(length(func(p *workup.Panel) measure.Length { return p.CordInHand })),
	"cord_total":     ofTape(length(func(p *workup.Panel) measure.Length { return p.CordTotal })),
	"cord_end":       ofTape(word(func(m made) string { return string(m.panel.CordEnd) })),

	"inserts":        ofTape(count(func(p *workup.Panel) int { return p.Inserts })),
	"insert_length":  ofTape(length(func(p *workup.Panel) measure.Length { return p.InsertLength })),
	"insert_height":  ofTape(length(func(p *workup.Panel) measure.Length { return p.InsertHeight })),
	"insert_turns":   ofTape(func(m made) measure.Quantity { return measure.OfRatio(m.panel.InsertTurns) }),
	"tube_diameter":  ofTape(length(func(p *workup.Panel) measure.Length { return p.TubeDiameter })),
	"turned_return":  some(length(func(p *workup.Panel) measure.Length { return p.TurnedReturn })),
	"turned_leading": some(length(func(p *workup.Panel) measure.Length { return p.TurnedLeading })),
	"lead_flat":      byHand(length(func(p *workup.Panel) measure.Length { return p.LeadFlat })),
	"pleats_in_lap":  some(count(func(p *workup.Panel) int { return p.PleatsInLap })),
	"lead_to_pleat":  byHand(length(func(p *workup.Panel) measure.Length { return p.LeadToPleat })),
	"take_ups":       byHand(takeUps),
	"pleat_marks":    byHand(lengths(func(p *workup.Panel) []measure.Length { return p.PleatMarks })),
	"buckram_length": byHand(length(func(p *workup.Panel) measure.Length { return p.BuckramLength })),
	"buckram_height": byHand(length(func(p *workup.Panel) measure.Length { return p.BuckramHeight })),
	"fingers":        some(func(m made) measure.Quantity { return measure.OfCount(fingers(m)) }),

	"stack_back": ofTape(length(func(p *workup.Panel) measure.Length { return p.StackBack })),
}

// takeUps lists each pleat's own where they differ; else the mean says it all.
func takeUps(m made) measure.Quantity {
	if slices.Max(m.panel.TakeUps)-slices.Min(m.panel.TakeUps) <= measure.Nanometre {
		return measure.Quantity{}
	}
	return lengths(func(p *workup.Panel) []measure.Length { return p.TakeUps })(m)
}

// clothNumbers are those of a fabric's cutting.
var clothNumbers = map[string]func(c cloth) measure.Quantity{
	"fabric":          func(c cloth) measure.Quantity { return measure.OfWord(c.plan.Fabric.ID) },
	"cuts":            func(c cloth) measure.Quantity { return measure.OfCount(len(c.plan.Cuts)) },
	"length":          func(c cloth) measure.Quantity { return measure.OfLength(c.total.Length, c.units) },
	"usable_width":    func(c cloth) measure.Quantity { return measure.OfLength(c.plan.Fabric.UsableWidth, c.units) },
	"match_width":     func(c cloth) measure.Quantity { return present(c.plan.Fabric.MatchWidth, c.units) },
	"vertical_repeat": func(c cloth) measure.Quantity { return present(c.plan.Fabric.VerticalRepeat, c.units) },
	// Five repeats are long enough for a tape measure to tell one that is off by a thread.
	"repeat_over_five": func(c cloth) measure.Quantity { return present(5*c.plan.Fabric.VerticalRepeat, c.units) },
	"on_bolts": func(c cloth) measure.Quantity {
		if c.total.OnBolts == nil {
			return measure.Quantity{}
		}
		return measure.OfLength(*c.total.OnBolts, c.units)
	},
}

// present is a length that there may be none of.
func present(l measure.Length, u measure.Unit) measure.Quantity {
	if l == 0 {
		return measure.Quantity{}
	}
	return measure.OfLength(l, u)
}
