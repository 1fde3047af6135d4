package workup

import (
	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Document is the work-up as JSON: the keys of workup.schema.json in its order, lengths in the order's unit.
type Document struct {
	Order      string              `json:"order"`
	Units      measure.Unit        `json:"units"`
	Practice   orderfile.Practice  `json:"practice,omitempty"` // of an order on the books: what the file doesn't say, and isn't the shipped one
	Treatments []TreatmentDocument `json:"treatments"`
	Pieces     []PieceDocument     `json:"pieces,omitempty"`
	Totals     TotalsDocument      `json:"totals"`
	Problems   []ProblemDocument   `json:"problems"`
	Rules      []OutcomeDocument   `json:"rules,omitempty"` // only where asked for
}

// OutcomeDocument is the cloth that one named rule would order.
type OutcomeDocument struct {
	Convention string                `json:"convention"`
	Value      string                `json:"value"`
	InForce    bool                  `json:"in_force"`
	Fabrics    []FabricTotalDocument `json:"fabrics"`
	Incomplete bool                  `json:"incomplete,omitempty"`
}

// TreatmentDocument is one window's. Panels and Fabrics are absent where an error left it out.
type TreatmentDocument struct {
	Window  string            `json:"window"`
	Heading orderfile.Heading `json:"heading"`
	orderfile.Made
	Quantity int                   `json:"quantity"`
	Panels   []PanelDocument       `json:"panels,omitempty"`
	Fabrics  []FabricTotalDocument `json:"fabrics,omitempty"`
}

// StepDocument explains a number.
type StepDocument struct {
	Value   measure.Quantity            `json:"value"`
	Formula string                      `json:"formula"`
	Inputs  map[string]measure.Quantity `json:"inputs"`
	Source  string                      `json:"source,omitempty"`
}

// Explained has each number of a row explained, where that is asked for.
type Explained struct {
	Trail map[string]StepDocument `json:"trail,omitempty"`
}

func (e *Explained) explain(trail map[string]StepDocument) { e.Trail = trail }

// FabricTotalDocument is a fabric's cloth, of a treatment (with its cut length) or of the order (with what to order).
type FabricTotalDocument struct {
	Fabric    string           `json:"fabric"`
	Use       orderfile.Use    `json:"use"`
	Cuts      int              `json:"cuts"`
	CutLength measure.Quantity `json:"cut_length,omitzero"`
	Length    measure.Quantity `json:"length"`
	ToOrder   measure.Quantity `json:"to_order,omitzero"`
	OnBolts   measure.Quantity `json:"on_bolts,omitzero"`
	// How many bolts of the usual length would do, and what they come to; Bolts is absent where a cut is too long for one.
	BoltLength  measure.Quantity `json:"bolt_length,omitzero"`
	Bolts       int              `json:"bolts,omitempty"`
	BoltsComeTo measure.Quantity `json:"bolts_come_to,omitzero"`

	Trimmings []TrimmingDocument `json:"trimmings,omitempty"` // of a treatment; their cloth is in Length

	Explained
}

// TrimmingDocument is what is cut from a face besides the panels.
type TrimmingDocument struct {
	For       TrimmingUse      `json:"for"`
	Pieces    int              `json:"pieces"` // tabs, or strips
	Cuts      int              `json:"cuts"`   // right across the cloth
	Length    measure.Quantity `json:"length"`
	CutLength measure.Quantity `json:"cut_length"`

	Explained
}

// EyeletTotalDocument is the eyelets of one size.
type EyeletTotalDocument struct {
	Inner measure.Quantity `json:"inner"`
	Outer measure.Quantity `json:"outer"`
	Count int              `json:"count"`

	Explained
}

// TotalsDocument is the order's.
type TotalsDocument struct {
	Fabrics    []FabricTotalDocument  `json:"fabrics"`
	Tape       []TapeTotalDocument    `json:"tape"`
	Buckram    []BuckramTotalDocument `json:"buckram"`
	Thread     []ThreadTotalDocument  `json:"thread"`
	Hooks      []HookTotalDocument    `json:"hooks"`
	Eyelets    []EyeletTotalDocument  `json:"eyelets,omitempty"`
	Rings      int                    `json:"rings,omitempty"`
	Tabs       int                    `json:"tabs,omitempty"`
	Weights    int                    `json:"weights,omitempty"`
	WeightCord measure.Quantity       `json:"weight_cord,omitzero"`
	Mass       []MassTotalDocument    `json:"mass,omitempty"`
	Incomplete bool                   `json:"incomplete,omitempty"`

	Explained // of rings, tabs, weights and their cord, which have no rows
}

// TapeTotalDocument is one tape's pieces.
type TapeTotalDocument struct {
	Tape    string           `json:"tape"`
	Pieces  int              `json:"pieces"`
	Used    measure.Quantity `json:"used"`
	ToOrder measure.Quantity `json:"to_order"`

	Explained
}

// BuckramTotalDocument is the stiffening of one height.
type BuckramTotalDocument struct {
	Height measure.Quantity `json:"height"`
	Pieces int              `json:"pieces"`
	Length measure.Quantity `json:"length"`

	Explained
}

// ThreadTotalDocument is the thread of one kind of seam.
type ThreadTotalDocument struct {
	For    string           `json:"for"`
	Length measure.Quantity `json:"length"`
	Cones  int              `json:"cones,omitempty"`

	Explained
}

// HookTotalDocument is the hooks of one drop.
type HookTotalDocument struct {
	Drop  measure.Quantity `json:"drop"`
	Count int              `json:"count"`

	Explained
}

// MassTotalDocument is what the panels of one window weigh on their rod, and what that carries where the order says.
type MassTotalDocument struct {
	Window string           `json:"window"`
	Mass   measure.Quantity `json:"mass"`
	Limit  measure.Quantity `json:"limit,omitzero"`

	Explained
}

// BandDocument is a strip of another cloth along an edge of a panel, as it is cut: its width, at the lower edge its height, and its length.
type BandDocument struct {
	Edge   orderfile.BandEdge   `json:"edge"`
	Method orderfile.BandMethod `json:"method"`
	Cut    measure.Quantity     `json:"cut"`
	Length measure.Quantity     `json:"length"`
	Pieces int                  `json:"pieces"`
}

// ProblemDocument is a problem with its sentence. Line and Column are absent where there is no file.
type ProblemDocument struct {
	Severity engine.Severity `json:"severity"`
	Code     string          `json:"code"`
	Where    string          `json:"where"`
	Message  string          `json:"message"`
	Line     int             `json:"line,omitempty"`
	Column   int             `json:"column,omitempty"`
	ShortDocument
}

// ShortDocument is what fabric_short says beside its sentence: how much of the shop's cloth is free for the order, is promised to others and
// is held, where the fabric is one, and how much is short at least however it is cut, where that is proven.
type ShortDocument struct {
	Free     measure.Quantity   `json:"free,omitzero"`
	Promised []PromisedDocument `json:"promised,omitempty"`
	Held     measure.Quantity   `json:"held,omitzero"`
	Least    measure.Quantity   `json:"least,omitzero"`
}

// PromisedDocument is how much of a fabric's cloth another order is to be cut from, by their due dates.
type PromisedDocument struct {
	Order  string           `json:"order"`
	Due    string           `json:"due,omitempty"`
	Length measure.Quantity `json:"length"`
}

// Promised is cloth that another order is to be cut from.
type Promised struct {
	Order, Due string // "" without a date
	Length     measure.Length
}

// ShortOf is what a problem says of short cloth; nothing of others.
func ShortOf(p engine.Problem) (d ShortDocument) {
	if p.Code != "fabric_short" {
		return d
	}
	in := func(name string) measure.Quantity {
		l, known := p.Args[name].(measure.Length)
		if !known || name == "Least" && l == 0 {
			return measure.Quantity{}
		}
		return measure.OfLength(l, p.Units)
	}
	d.Free, d.Held, d.Least = in("Free"), in("Held"), in("Least")
	promised, _ := p.Args["Promised"].([]Promised)
	for _, to := range promised {
		d.Promised = append(d.Promised, PromisedDocument{to.Order, to.Due, measure.OfLength(to.Length, p.Units)})
	}
	return d
}

// RefusedDocument is what a file that can't be used gives: its problems alone.
func RefusedDocument(problems []engine.Problem, say func(engine.Problem) string) any {
	return struct {
		Problems []ProblemDocument `json:"problems"`
	}{ProblemDocuments(problems, say)}
}

// ProblemDocuments writes problems with their sentences.
func ProblemDocuments(problems []engine.Problem, say func(engine.Problem) string) []ProblemDocument {
	docs := make([]ProblemDocument, len(problems))
	for i, p := range problems {
		docs[i] = ProblemDocument{p.Severity, p.Code, p.Where, say(p), p.Line, p.Column, ShortOf(p)}
	}
	return docs
}

// Document writes the work-up for programs. say gives a problem's sentence, formula the words of a formula's or a
// source's key; with explain each panel and each row of cloth, tape, buckram and
// thread has its trail.
func (w *Workup) Document(explain bool, say func(engine.Problem) string, formula func(key string) string) Document {
	d := writer{units: w.Order.Units, explain: explain, formula: formula}
	doc := Document{
		Order: w.Order.ID, Units: w.Order.Units, Treatments: []TreatmentDocument{}, Totals: d.totals(&w.Totals),
		Problems: ProblemDocuments(w.Problems, say),
	}
	for i := range w.Treatments {
		doc.Treatments = append(doc.Treatments, d.treatment(&w.Treatments[i]))
	}
	for i := range w.Pieces {
		doc.Pieces = append(doc.Pieces, d.piece(&w.Pieces[i]))
	}
	if explain {
		w.explain(&doc, d)
	}
	return doc
}

// explain gives the rows of a document's treatments, pieces and totals their trails.
func (w *Workup) explain(doc *Document, d writer) {
	for i := range w.Treatments {
		t, rows := &w.Treatments[i], doc.Treatments[i].Fabrics
		explainRows(d, rows, t.Fabrics, func(u *FabricUse) []Step { return w.UseTrail(t, u) })
		for j := range t.Fabrics {
			u := &t.Fabrics[j]
			explainRows(d, rows[j].Trimmings, u.Trimmings, func(trim *Trimming) []Step { return w.TrimmingTrail(t, u, trim) })
		}
	}
	explainRows(d, doc.Pieces, w.Pieces, w.PieceTrail)
	for i := range w.Pieces {
		p := &w.Pieces[i]
		explainRows(d, doc.Pieces[i].Fabrics, p.Fabrics, func(u *FabricUse) []Step { return w.PieceUseTrail(p, u) })
	}
	explainRows(d, doc.Totals.Fabrics, w.Totals.Fabrics, w.FabricTrail)
	explainRows(d, doc.Totals.Tape, w.Totals.Tape, w.TapeTrail)
	explainRows(d, doc.Totals.Buckram, w.Totals.Buckram, w.BuckramTrail)
	explainRows(d, doc.Totals.Thread, w.Totals.Thread, w.ThreadTrail)
	explainRows(d, doc.Totals.Eyelets, w.Totals.Eyelets, w.EyeletTrail)
	explainRows(d, doc.Totals.Hooks, w.Totals.Hooks, w.HookTrail)
	explainRows(d, doc.Totals.Mass, w.Totals.Mass, w.MassTrail)
	if steps := w.FittingTrail(); len(steps) > 0 {
		doc.Totals.Trail = d.trail(steps)
	}
}

// explainRows gives rows of a document the trails of what they are written from.
func explainRows[D, R any, E interface {
	*D
	explain(map[string]StepDocument)
}](d writer, rows []D, of []R, trail func(*R) []Step) {
	for i := range of {
		E(&rows[i]).explain(d.trail(trail(&of[i])))
	}
}

// OutcomeDocuments writes what each rule would order.
func OutcomeDocuments(list []Outcome, units measure.Unit) []OutcomeDocument {
	d := writer{units: units}
	docs := make([]OutcomeDocument, len(list))
	for i, o := range list {
		docs[i] = OutcomeDocument{o.Convention, o.Value, o.InForce, d.fabrics(o.Fabrics), o.Incomplete}
	}
	return docs
}

// writer writes the parts of a document.
type writer struct {
	units   measure.Unit
	explain bool
	formula func(string) string
}

func (d writer) length(l measure.Length) measure.Quantity { return measure.OfLength(l, d.units) }

// bought is a length in the unit in which cloth is bought.
func (d writer) bought(l measure.Length) measure.Quantity {
	return measure.OfLength(l, d.units.Purchase())
}

func (d writer) treatment(t *Treatment) TreatmentDocument {
	doc := TreatmentDocument{Window: t.Window, Heading: t.Heading, Made: t.Made, Quantity: t.Quantity}
	for i := range t.Panels {
		doc.Panels = append(doc.Panels, d.panel(&t.Panels[i]))
	}
	if len(t.Fabrics) > 0 {
		doc.Fabrics = d.used(t.Fabrics)
	}
	return doc
}

// used writes the cloth that a line takes.
func (d writer) used(list []FabricUse) []FabricTotalDocument {
	rows := make([]FabricTotalDocument, len(list))
	for i, f := range list {
		rows[i] = FabricTotalDocument{Fabric: f.Fabric, Use: f.Use, Cuts: f.Cuts, CutLength: d.length(f.CutLength), Length: d.length(f.Length)}
		for _, t := range f.Trimmings {
			rows[i].Trimmings = append(rows[i].Trimmings, TrimmingDocument{For: t.For, Pieces: t.Pieces, Cuts: t.Rows, Length: d.length(t.Length()), CutLength: d.length(t.CutLength)})
		}
	}
	return rows
}

func (d writer) panel(p *Panel) PanelDocument {
	doc := PanelDocument{Panel: p.ID, Numbers: make([]NumberDocument, 0, len(numbers))}
	for i := range numbers {
		if n := &numbers[i]; n.Explained() && !n.listed && n.has(p) {
			doc.Numbers = append(doc.Numbers, NumberDocument{n, n.of(p, d.units)})
		}
	}
	for _, b := range p.Bands {
		doc.Bands = append(doc.Bands, BandDocument{b.Edge, b.Method, d.length(b.Cut), d.length(b.Length), b.Pieces})
	}
	if d.explain {
		doc.Trail = d.trail(p.Trail)
	}
	return doc
}

func (d writer) trail(steps []Step) map[string]StepDocument {
	trail := make(map[string]StepDocument, len(steps))
	for _, s := range steps {
		doc := StepDocument{Value: s.Value, Formula: d.formula(s.Formula), Inputs: map[string]measure.Quantity{}}
		for _, in := range s.Inputs {
			doc.Inputs[in.Name] = in.Value
		}
		if s.Source != "" {
			doc.Source = d.formula(s.Source)
		}
		trail[s.Name] = doc
	}
	return trail
}

func (d writer) fabrics(list []FabricTotal) []FabricTotalDocument {
	rows := make([]FabricTotalDocument, len(list))
	for i, f := range list {
		rows[i] = FabricTotalDocument{
			Fabric: f.Fabric, Use: f.Use, Cuts: f.Cuts, Length: d.length(f.Length), ToOrder: d.bought(f.ToOrder),
		}
		if f.OnBolts != nil {
			rows[i].OnBolts = d.length(*f.OnBolts)
		}
		if f.BoltLength > 0 {
			rows[i].BoltLength = d.bought(f.BoltLength)
		}
		if f.Bolts > 0 {
			rows[i].Bolts, rows[i].BoltsComeTo = f.Bolts, d.bought(f.BoltsComeTo)
		}
	}
	return rows
}

func (d writer) totals(t *Totals) TotalsDocument {
	doc := TotalsDocument{
		Fabrics: d.fabrics(t.Fabrics), Tape: []TapeTotalDocument{}, Buckram: []BuckramTotalDocument{},
		Thread: []ThreadTotalDocument{}, Hooks: []HookTotalDocument{}, Weights: t.Weights, Incomplete: t.Incomplete,
		Rings: t.Rings, Tabs: t.Tabs,
	}
	for _, x := range t.Eyelets {
		doc.Eyelets = append(doc.Eyelets, EyeletTotalDocument{Inner: d.length(x.Inner), Outer: d.length(x.Outer), Count: x.Count})
	}
	for _, x := range t.Hooks {
		doc.Hooks = append(doc.Hooks, HookTotalDocument{Drop: d.length(x.Drop), Count: x.Count})
	}
	if t.WeightCord > 0 {
		doc.WeightCord = d.length(t.WeightCord)
	}
	for _, x := range t.Mass {
		row := MassTotalDocument{Window: x.Window, Mass: measure.OfMass(x.Mass, d.units)}
		if x.Limit > 0 {
			row.Limit = measure.OfMass(x.Limit, d.units)
		}
		doc.Mass = append(doc.Mass, row)
	}
	for _, x := range t.Tape {
		doc.Tape = append(doc.Tape, TapeTotalDocument{Tape: x.Tape, Pieces: x.Pieces, Used: d.length(x.Used), ToOrder: d.length(x.ToOrder)})
	}
	for _, x := range t.Buckram {
		doc.Buckram = append(doc.Buckram, BuckramTotalDocument{Height: d.length(x.Height), Pieces: x.Pieces, Length: d.length(x.Length)})
	}
	for _, x := range t.Thread {
		doc.Thread = append(doc.Thread, ThreadTotalDocument{For: x.For, Length: d.length(x.Length), Cones: x.Cones})
	}
	return doc
}
