package workup

import (
	"tablehand/engine/measure"
)

// Sources, as catalogue keys: where a rule comes from that is no plain geometry.
const (
	sourceOrder    = "source.order"            // the order says so
	sourceTape     = "source.tape"             // the tape's own data
	sourceShop     = "source.convention"       // a convention of the shop, common practice by default
	sourceWidths   = "source.ufgs_widths"      // UFGS 12 22 00: full or half widths, at least the fullness asked
	sourceReached  = "source.ufgs_tolerance"   // UFGS 12 22 00: ±6 mm on the tabled size
	sourceRepeats  = "source.whole_repeats"    // W05, W07, W12, W14, W16
	sourceAddOne   = "source.add_one"          // M08, W16
	sourceDrop     = "source.half_drop"        // M10
	sourcePhases   = "source.half_drop_phases" // ideas-for-home-decorating.com, half-drop page
	sourceThread   = "source.thread"           // T03
	sourceHalf     = "source.half_repeat"      // Merrick & Day, p. 119
	sourceNearest  = "source.nearest_whole"    // M06
	sourceTotal    = "source.pair_total"       // W10, M06
	sourceHookDrop = "source.hook_drop"        // University of Minnesota, Territorial Hall draperies
	sourceWeights  = "source.weights"          // K. Stein's list of fabrication practices
	sourceCorners  = "source.corner_weights"   // University of Minnesota, Territorial Hall draperies
	sourcePractice = "source.common_practice"  // no published source
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
