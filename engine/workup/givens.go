package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

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
	{"puddle", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.Puddle })},
	{"finished_length", "order", inWindow((*window).finishedLength)}, // without the puddle
	{"bearing_to_floor", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.Hang.BearingToFloor })},
	{"heading_above_bearing", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.Hang.HeadingAboveBearing })},
	{"clearance", "order", inLine(func(t *orderfile.Treatment) measure.Length { return t.Hang.Clearance })},
	{"return", "usual", inWindow((*window).ret)},
	{"return_other", "usual", inLine((*orderfile.Treatment).OtherReturn)},
	{"overlap", "usual", inLine(func(t *orderfile.Treatment) measure.Length { return t.Overlap })},

	{"usable_width", "fabric", inWindow(func(w *window) measure.Length { return w.face.UsableWidth })},
	{"vertical_repeat", "fabric", inWindow(func(w *window) measure.Length { return w.face.VerticalRepeat })},
	{"thickness", "fabric", inWindow(func(w *window) measure.Length { return w.face.Thickness })},
	{"join_loss", "join", inWindow((*window).joinLoss)},

	{"period", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.Period })},
	{"pleat_base", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.PleatBase })},
	{"end_margin_min", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.EndMargin.Min })},
	{"end_margin_max", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.EndMargin.Max })},
	{"end_margin_nominal", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.EndMargin.Nominal })},
	{"trim_beyond", "tape", inTape(func(t *orderfile.Tape) measure.Length { return t.TrimBeyond })},
	{"ease_per_pleat", "window", inWindow((*window).easePerPleat)},

	{"space_min", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.Space.Min })},
	{"space_max", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.Space.Max })},
	{"preferred_space", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.PreferredSpace })},
	{"take_up_min", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.TakeUp.Min })},
	{"take_up_max", "heading", inHeading(func(d *orderfile.HeadingData) measure.Length { return d.TakeUp.Max })},
	{"count_width", "heading", inWindow(func(*window) measure.Length { return ofWidth })},

	{"width_allowance", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.WidthAllowance })},
	{"squaring", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.Squaring })},
	{"step", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.Step })},
	{"edge_clear", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.EdgeClear })},
	{"hook_inset", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.HookInset })},
	{"single_lead", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.SingleLead })},
	{"lining_inset", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.LiningInset })},
	{"lining_lift_usual", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return c.LiningLift })},
	{"length_allowance", "shop", inShop(func(c *orderfile.Conventions) measure.Length { return *c.LengthAllowance })},
	{"shrink", "shop", percent(func(c *orderfile.Conventions) orderfile.Percent { return c.Shrink })},
	{"fullness_slack", "shop", percent(func(c *orderfile.Conventions) orderfile.Percent { return c.FullnessSlack })},
	{"pleats_per_width", "shop", func(w *window, _ *Panel) measure.Quantity { return measure.OfCount(w.order.Conventions.PleatsPerWidth) }},

	{"flat_asked", "asked", inWindow((*window).wantedFlat)},
	{"surplus", "rest", inPanel(func(p *Panel) measure.Length { return p.TrimReturn + p.TurnedReturn + p.TrimLeading + p.TurnedLeading })},
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

func inHeading(of func(*orderfile.HeadingData) measure.Length) func(*window, *Panel) measure.Quantity {
	return inWindow(func(w *window) measure.Length { return of(w.heading) })
}

func inShop(of func(*orderfile.Conventions) measure.Length) func(*window, *Panel) measure.Quantity {
	return inWindow(func(w *window) measure.Length { return of(&w.order.Conventions) })
}

func inPanel(of func(*Panel) measure.Length) func(*window, *Panel) measure.Quantity {
	return func(w *window, p *Panel) measure.Quantity { return measure.OfLength(of(p), w.order.Units) }
}

func percent(of func(*orderfile.Conventions) orderfile.Percent) func(*window, *Panel) measure.Quantity {
	return func(w *window, _ *Panel) measure.Quantity {
		return measure.OfPercent(measure.Ratio{Num: int64(of(&w.order.Conventions)), Den: 100})
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
