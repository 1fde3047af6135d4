package workup

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Sources, as catalogue keys: where a rule comes from that is no plain geometry.
const (
	sourceOrder     = "source.order"            // the order says so
	sourceTape      = "source.tape"             // the tape's own data
	sourceShop      = "source.convention"       // a convention of the shop, common practice by default
	sourceWidths    = "source.ufgs_widths"      // UFGS 12 22 00: full or half widths, at least the fullness asked
	sourceReached   = "source.ufgs_tolerance"   // UFGS 12 22 00: ±6 mm on the tabled size
	sourceRepeats   = "source.whole_repeats"    // W05, W07, W12, W14, W16
	sourceAddOne    = "source.add_one"          // M08, W16
	sourceDrop      = "source.half_drop"        // M10
	sourcePhases    = "source.half_drop_phases" // ideas-for-home-decorating.com, half-drop page
	sourceThread    = "source.thread"           // T03
	sourceHalf      = "source.half_repeat"      // Merrick & Day, p. 119
	sourceNearest   = "source.nearest_whole"    // M06
	sourceTotal     = "source.pair_total"       // W10, M06
	sourceHookDrop  = "source.hook_drop"        // University of Minnesota, Territorial Hall draperies
	sourceWeights   = "source.weights"          // K. Stein's list of fabrication practices
	sourceCorners   = "source.corner_weights"   // University of Minnesota, Territorial Hall draperies
	sourceSheerHem  = "source.sheer_hem"        // P. Damour's handout on panels
	sourceSheerCord = "source.sheer_cord"       // eHow UK, on drapery weights
	sourceTurned    = "source.railroaded"       // M03
	sourceFace      = "source.stage"            // sewwhatinc.com, 2010: faces of 3 and 6 in at 12 in on centre
	sourceHem       = "source.motif_hem"        // Merrick & Day, p. 119
	sourceTop       = "source.motif_top"        // K. Stein's list of fabrication practices
	sourcePractice  = "source.common_practice"  // no published source
)

// Step explains one number: what it is, by which formula (a catalogue key) from which inputs, and the published
// source or convention that set it.
type Step struct {
	Name    string // the JSON key of the number
	Value   measure.Quantity
	Formula string // catalogue key, "formula.pleats"
	Inputs  []Input
	Source  string // catalogue key of the source or convention, "" where the formula is plain geometry
}

// Input is one named input of a step; its own step, where it has one, has the same name.
type Input struct {
	Name  string
	Value measure.Quantity
}

// Named is one number under its JSON key.
type Named struct {
	Name  string
	Value measure.Quantity
}

// Values returns every number of the panel in the order of the JSON.
func (p *Panel) Values() []Named {
	list := make([]Named, len(p.Trail))
	for i, s := range p.Trail {
		list[i] = Named{s.Name, s.Value}
	}
	return list
}

// reason is a formula, the source of its rule, and the numbers and givens that it is worked out from.
type reason struct {
	formula, source string // catalogue keys
	inputs          []string
}

func because(formula, source string, inputs ...string) reason {
	return reason{"formula." + formula, source, inputs}
}

// how is how a number is worked out: always alike, or by a rule that the panel chooses.
type how struct {
	always reason
	choose func(*window, *Panel) reason
}

func by(formula, source string, inputs ...string) how {
	return how{always: because(formula, source, inputs...)}
}

func chosen(choose func(*window, *Panel) reason) how { return how{choose: choose} }

func (h how) worked() bool { return h.choose != nil || h.always.formula != "" }

func (h how) reason(w *window, p *Panel) reason {
	if h.choose != nil {
		return h.choose(w, p)
	}
	return h.always
}

// trail explains every number of a panel, in the order of the JSON.
func (w *window) trail(p *Panel) []Step {
	values := make([]measure.Quantity, len(numbers))
	for i := range numbers {
		values[i] = numbers[i].Of(p, w.order.Units)
	}
	steps := make([]Step, 0, len(numbers))
	for i := range numbers {
		n := &numbers[i]
		if !n.Explained() || !n.has(p) {
			continue
		}
		r := n.how.reason(w, p)
		step := Step{Name: n.Key, Value: values[i], Formula: r.formula, Source: r.source, Inputs: make([]Input, len(r.inputs))}
		for k, name := range r.inputs {
			step.Inputs[k] = Input{name, w.input(p, name, values)}
		}
		steps = append(steps, step)
	}
	return steps
}

// input is a given, or one of the panel's numbers.
func (w *window) input(p *Panel, name string, values []measure.Quantity) measure.Quantity {
	if g, ok := byName[name]; ok {
		return g.of(w, p)
	}
	if i, ok := byKey[name]; ok {
		return values[i]
	}
	return measure.Quantity{}
}

// sheet gathers the steps of totals and what they were worked out from.
type sheet struct {
	units measure.Unit
	known map[string]measure.Quantity // values by name: what was given, and every step so far
	steps []Step
}

func (s *sheet) length(l measure.Length) measure.Quantity { return measure.OfLength(l, s.units) }

// given notes an input that no step works out.
func (s *sheet) given(name string, l measure.Length) { s.known[name] = s.length(l) }

// step notes a number, its formula, and its inputs by name.
func (s *sheet) step(name string, value measure.Quantity, formula, source string, inputs ...string) {
	s.because(name, value, because(formula, source, inputs...))
}

func (s *sheet) because(name string, value measure.Quantity, r reason) {
	st := Step{Name: name, Value: value, Formula: r.formula, Source: r.source, Inputs: make([]Input, len(r.inputs))}
	for i, in := range r.inputs {
		st.Inputs[i] = Input{in, s.known[in]}
	}
	s.known[name] = value
	s.steps = append(s.steps, st)
}

// given is what a panel's numbers are worked out from and none of them is.
type given struct {
	name   string // in the trail
	origin string // catalogue: trail.origin.<origin>; "" of what is between two numbers
	of     func(*window, *Panel) measure.Quantity
}

// givens are what the order, its fabrics and tapes, the heading's row and the shop's conventions bring.
var givens = []given{
	{"face_width", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.FaceWidth })},
	{"ordered_width", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.FinishedWidth })},
	{"glass_width", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.GlassWidth })},
	{"puddle", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.Puddle })},
	{"finished_length", "order", inWindow((*window).finishedLength)}, // without the puddle
	{"bearing_to_floor", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.Hang.BearingToFloor })},
	{"heading_above_bearing", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.Hang.HeadingAboveBearing })},
	{"heading_below_bearing", "order", inLine(func(t *orderfile.Treatment) measure.Length { return -t.Hang.HeadingAboveBearing })},
	{"clearance", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.Hang.Clearance })},
	{"return", "usual", inWindow((*window).ret)},
	{"return_other", "usual", inLine((*orderfile.Treatment).OtherReturn)},
	{"overlap", "usual", inLine(func(t *orderfile.Treatment) measure.Length { return t.Overlap })},

	{"usable_width", "fabric", inWindow(func(w *window) measure.Length { return usable(w.face) })},
	{"vertical_repeat", "fabric", inWindow(func(w *window) measure.Length { return w.face.VerticalRepeat })},
	{"length_on_table", "", inWindow((*window).tableLength)}, // without the puddle
	{"motif_height", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.MotifHeight })},
	{"hem_height", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.HemHeight })},
	{"relax", "fabric", percent(func(w *window) orderfile.Percent { return w.face.Relax })},
	{"shrink_width", "fabric", percent(func(w *window) orderfile.Percent { return w.face.ShrinkWidth })},
	{"shrink", "cloth", percent((*window).shrink)},
	{"shrink_along", "cloth", percent((*window).shrinkAlong)}, // of one whose cloth is turned
	{"face_mass", "fabric", perArea("face")},
	{"lining_mass", "fabric", perArea("lining")},
	{"interlining_mass", "fabric", perArea("interlining")},
	{"face_weighs", "", weighs("face")},
	{"lining_weighs", "", weighs("lining")},
	{"interlining_weighs", "", weighs("interlining")},
	{"bands_weigh", "", weighs("bands")},
	{"band_leading_width", "order", inBand(orderfile.BandLeading)},
	{"band_return_width", "order", inBand(orderfile.BandReturn)},
	{"band_bottom_width", "order", inBand(orderfile.BandBottom)},
	{"band_reach", "", inPanel(func(p *Panel) measure.Length { return p.Band(orderfile.BandBottom).Length })},
	{"whole_length", "", inWindow((*window).wholeLength)},
	{"edge_cloth", "", inWindow((*window).besides)},
	{"edge_inside", "", inWindow(func(w *window) measure.Length { return -w.beyond(orderfile.BandReturn) })},
	{"horizontal_repeat", "fabric", inWindow(func(w *window) measure.Length { return keptAcross(w.face).of(w.face.HorizontalRepeat) })},
	{"motif_offset", "fabric", inWindow(func(w *window) measure.Length { return keptAcross(w.face).of(w.face.MotifOffset) })},
	{"motif_lead", "usual", inWindow((*window).motifLead)},
	{"thickness", "fabric", inWindow(func(w *window) measure.Length { return w.face.Thickness })},
	{"join_loss", "join", inWindow((*window).joinLoss)},

	{"period", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.Period })},
	{"pleat_base", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.PleatBase })},
	{"end_margin_min", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.EndMargin.Min })},
	{"end_margin_max", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.EndMargin.Max })},
	{"end_margin_nominal", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.EndMargin.Nominal })},
	{"trim_beyond", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.TrimBeyond })},
	{"ease_per_pleat", "window", inWindow((*window).easePerPleat)},

	{"pocket_pitch", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.PocketPitch })},
	{"pockets", "tape", func(w *window, _ *Panel) measure.Quantity { return measure.OfCount(w.tape.Pockets) }},

	{"carrier_pitch", "rod", inRod(func(r *orderfile.Rod) measure.Length { return r.CarrierPitch })},
	{"rod_diameter", "rod", inRod((*orderfile.Rod).Through)},
	{"rod_around", "rod", inRod((*orderfile.Rod).Around)},
	{"ring_drop", "rod", inRod(func(r *orderfile.Rod) measure.Length { return r.RingDrop })},
	{"eyelet_inner", "window", inLine(func(t *orderfile.Treatment) measure.Length { return t.Eyelet.Inner })},
	{"tab_width", "window", inLine(func(t *orderfile.Treatment) measure.Length { return t.Tab.Width })},
	{"tab_gap", "window", inLine(func(t *orderfile.Treatment) measure.Length { return t.Tab.Gap })},
	{"facing", "window", inLine(func(t *orderfile.Treatment) measure.Length { return t.Tab.Facing })},
	{"tab_seam", "usual", inWindow((*window).tabSeam)},

	{"pitch_min", "heading", inWindow(func(w *window) measure.Length { return w.pitching().Pitch.Min })},
	{"pitch_max", "heading", inWindow(func(w *window) measure.Length { return w.pitching().Pitch.Max })},
	{"preferred_pitch", "heading", inWindow(func(w *window) measure.Length { return w.pitching().PreferredPitch })},
	{"point_end", "heading", inWindow(func(w *window) measure.Length { return w.pitching().End })},
	{"point_inset", "heading", inWindow(func(w *window) measure.Length { return w.pitching().Inset })},
	{"space_min", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.Space.Min })},
	{"space_max", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.Space.Max })},
	{"preferred_space", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.PreferredSpace })},
	{"take_up_min", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.TakeUp.Min })},
	{"take_up_max", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.TakeUp.Max })},
	{"count_width", "heading", inWindow(func(*window) measure.Length { return ofWidth })},

	{"seam", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.Seam })},
	{"band_turn", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.BandTurn })},
	{"width_allowance", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.WidthAllowance })},
	{"squaring", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.Squaring })},
	{"step", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.Step })},
	{"edge_clear", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.EdgeClear })},
	{"pole_ease", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.PoleEase })},
	{"pocket_ease", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.PocketEase })},
	{"hook_spacing", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.HookSpacing })},
	{"hook_inset", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.HookInset })},
	{"single_lead", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.SingleLead })},
	{"lining_inset", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.LiningInset })},
	{"lining_lift_usual", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.LiningLift })},
	{"length_allowance", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return *c.LengthAllowance })},
	{"fullness_slack", "shop", percent(func(w *window) orderfile.Percent { return w.order.Conventions.FullnessSlack })},
	{"pleats_per_width", "shop", func(w *window, _ *Panel) measure.Quantity { return measure.OfCount(w.heading.PleatsPerWidth) }},

	{"flat_asked", "asked", inWindow((*window).wantedFlat)},
	{"surplus", "rest", inPanel(func(p *Panel) measure.Length { return p.TrimReturn + p.TurnedReturn + p.TrimLeading + p.TurnedLeading })},
	{"motif_cost", "", func(w *window, p *Panel) measure.Quantity {
		return measure.OfLength(w.motifCost(p.Widths, p.FlatWidth), w.order.Units)
	}},
	{"stack_back_other", "", func(w *window, p *Panel) measure.Quantity { return measure.OfLength(w.otherStack(p), w.order.Units) }},
	{"lining_joined", "", inPanel(func(p *Panel) measure.Length { return p.LiningSurplus + p.FlatWidth })},
}

func inWindow(of func(*window) measure.Length) func(*window, *Panel) measure.Quantity {
	return func(w *window, _ *Panel) measure.Quantity { return measure.OfLength(of(w), w.order.Units) }
}

func inLine(of func(*orderfile.Treatment) measure.Length) func(*window, *Panel) measure.Quantity {
	return inWindow(func(w *window) measure.Length { return of(w.line) })
}

func inTape(of func(*orderfile.Tape) measure.Length) func(*window, *Panel) measure.Quantity {
	return inWindow(func(w *window) measure.Length { return of(w.tape) })
}

func inRod(of func(*orderfile.Rod) measure.Length) func(*window, *Panel) measure.Quantity {
	return inWindow(func(w *window) measure.Length { return of(w.rod()) })
}

func inHeading(of func(*orderfile.HeadingData) measure.Length) func(*window, *Panel) measure.Quantity {
	return inWindow(func(w *window) measure.Length { return of(w.heading) })
}

func inShop(of func(*orderfile.Conventions) measure.Length) func(*window, *Panel) measure.Quantity {
	return inWindow(func(w *window) measure.Length { return of(&w.order.Conventions) })
}

func inPanel(of func(*Panel) measure.Length) func(*window, *Panel) measure.Quantity {
	return func(w *window, p *Panel) measure.Quantity { return measure.OfLength(of(p), w.order.Units) }
}

// inBand is how wide a band is seen.
func inBand(edge orderfile.BandEdge) func(*window, *Panel) measure.Quantity {
	return inWindow(func(w *window) measure.Length {
		i := slices.IndexFunc(w.line.Bands, func(b orderfile.Band) bool { return b.Edge == edge })
		return w.line.Bands[i].Width
	})
}

// weighs is what a panel has of a cloth in weight, Nothing where it has none.
func weighs(of string) func(*window, *Panel) measure.Quantity {
	return func(w *window, p *Panel) measure.Quantity {
		var all measure.Weighing
		for _, cloth := range w.clothsOf(p) {
			if cloth.of == of {
				all.AddAll(&cloth.Weighing)
			}
		}
		return measure.OfMass(all.Mass(), w.order.Units)
	}
}

// perArea is what a square metre of a cloth weighs, Nothing where the panel has none.
func perArea(of string) func(*window, *Panel) measure.Quantity {
	return func(w *window, p *Panel) measure.Quantity {
		for _, cloth := range w.clothsOf(p) {
			if cloth.of == of {
				return measure.OfWord(measure.Ratio{Num: int64(cloth.fabric.Mass), Den: 1_000_000}.String() + " g/m²")
			}
		}
		return measure.Quantity{}
	}
}

func percent(of func(*window) orderfile.Percent) func(*window, *Panel) measure.Quantity {
	return func(w *window, _ *Panel) measure.Quantity {
		return measure.OfPercent(measure.Ratio{Num: int64(of(w)), Den: 100})
	}
}

// byName are the givens by name.
var byName = func() map[string]*given {
	named := make(map[string]*given, len(givens))
	for i := range givens {
		named[givens[i].name] = &givens[i]
	}
	return named
}()

// Origin says where a step's input comes from, as the end of a catalogue key, trail.origin.<origin>; "" of one that a step of its own
// works out, or that says nothing by itself.
func Origin(input string) string {
	if g, ok := byName[input]; ok {
		return g.origin
	}
	if n := NumberOf(input); n != nil {
		return n.Origin
	}
	return ""
}
