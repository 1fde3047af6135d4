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
	Window   string                `json:"window"`
	Heading  orderfile.Heading     `json:"heading"`
	Quantity int                   `json:"quantity"`
	Panels   []PanelDocument       `json:"panels,omitempty"`
	Fabrics  []FabricTotalDocument `json:"fabrics,omitempty"`
}

// PanelDocument is one panel's.
type PanelDocument struct {
	Panel              PanelID              `json:"panel"`
	FinishedWidthAsked string               `json:"finished_width_asked"`
	FinishedWidth      string               `json:"finished_width"`
	TightWidth         string               `json:"tight_width,omitempty"`
	Deviation          string               `json:"deviation"`
	Alternative        *AlternativeDocument `json:"alternative,omitempty"`
	Pleats             int                  `json:"pleats"`
	EndMargin          string               `json:"end_margin,omitempty"`
	EdgeToPleat        string               `json:"edge_to_pleat"`
	LeadFlat           string               `json:"lead_flat,omitempty"`
	TakeUp             string               `json:"take_up"`
	TakeUps            []string             `json:"take_ups,omitempty"`
	Space              string               `json:"space"`
	FlatWidth          string               `json:"flat_width"`
	Fullness           string               `json:"fullness"`
	FullnessAsked      string               `json:"fullness_asked,omitempty"`
	Widths             string               `json:"widths"`
	Seams              []string             `json:"seams"`
	SeamsInPleats      int                  `json:"seams_in_pleats"`
	SeamsHidden        int                  `json:"seams_hidden"`
	TrimReturn         string               `json:"trim_return"`
	TrimLeading        string               `json:"trim_leading"`
	TurnedReturn       string               `json:"turned_return,omitempty"`
	TurnedLeading      string               `json:"turned_leading,omitempty"`
	PleatPositions     []string             `json:"pleat_positions"`
	PleatMarks         []string             `json:"pleat_marks,omitempty"`
	PlainLength        string               `json:"plain_length"`
	CutLength          string               `json:"cut_length"`
	RepeatsPerCut      int                  `json:"repeats_per_cut,omitempty"`
	TapePiece          string               `json:"tape_piece,omitempty"`
	TapeStart          string               `json:"tape_start,omitempty"`
	TapePitch          string               `json:"tape_pitch,omitempty"`
	Stitching          string               `json:"stitching,omitempty"`
	StitchLine         string               `json:"stitch_line,omitempty"`
	CordPullOut        string               `json:"cord_pull_out,omitempty"`
	CordInHand         string               `json:"cord_in_hand,omitempty"`
	Cords              int                  `json:"cords,omitempty"`
	CordTotal          string               `json:"cord_total,omitempty"`
	CordEnd            orderfile.CordEnd    `json:"cord_end,omitempty"`
	Inserts            int                  `json:"inserts,omitempty"`
	InsertPiece        *PieceDocument       `json:"insert_piece,omitempty"`
	InsertTurns        string               `json:"insert_turns,omitempty"`
	TubeDiameter       string               `json:"tube_diameter,omitempty"`
	TubeGap            string               `json:"tube_gap,omitempty"`
	BuckramPiece       *PieceDocument       `json:"buckram_piece,omitempty"`
	StackBack          string               `json:"stack_back,omitempty"`
	CornerToPleat      string               `json:"corner_to_pleat"`
	LiningWidth        string               `json:"lining_width,omitempty"`
	LiningSurplus      string               `json:"lining_surplus,omitempty"`
	LiningLift         string               `json:"lining_lift,omitempty"`
	LiningTrim         string               `json:"lining_trim,omitempty"`
	Hooks              int                  `json:"hooks"`
	HookPlaces         []string             `json:"hook_places"`
	HookDrop           string               `json:"hook_drop"`
	Weights            int                  `json:"weights,omitempty"`
	WeightPlaces       []string             `json:"weight_places,omitempty"`
	WeightCord         string               `json:"weight_cord,omitempty"`

	Trail map[string]StepDocument `json:"trail,omitempty"`
}

// AlternativeDocument is the other way to come near the width asked.
type AlternativeDocument struct {
	Pleats        int    `json:"pleats"`
	EndMargin     string `json:"end_margin"`
	FinishedWidth string `json:"finished_width"`
}

// PieceDocument is a piece of buckram: one pleat's insert, or the strip of a heading set by hand.
type PieceDocument struct {
	Length string `json:"length"`
	Height string `json:"height"`
}

// StepDocument explains a number.
type StepDocument struct {
	Value   string            `json:"value"`
	Formula string            `json:"formula"`
	Inputs  map[string]string `json:"inputs"`
	Source  string            `json:"source,omitempty"`
}

// FabricTotalDocument is a fabric's cloth, of a treatment (with its cut length) or of the order (with what to order).
type FabricTotalDocument struct {
	Fabric    string        `json:"fabric"`
	Use       orderfile.Use `json:"use"`
	Cuts      int           `json:"cuts"`
	CutLength string        `json:"cut_length,omitempty"`
	Length    string        `json:"length"`
	ToOrder   string        `json:"to_order,omitempty"`
	OnBolts   string        `json:"on_bolts,omitempty"`
	// How many bolts of the usual length would do, and what they come to; Bolts is absent where a cut is too long for one.
	BoltLength  string `json:"bolt_length,omitempty"`
	Bolts       int    `json:"bolts,omitempty"`
	BoltsComeTo string `json:"bolts_come_to,omitempty"`

	Trail map[string]StepDocument `json:"trail,omitempty"` // each number explained, where that is asked for
}

// TotalsDocument is the order's.
type TotalsDocument struct {
	Fabrics    []FabricTotalDocument  `json:"fabrics"`
	Tape       []TapeTotalDocument    `json:"tape"`
	Buckram    []BuckramTotalDocument `json:"buckram"`
	Thread     []ThreadTotalDocument  `json:"thread"`
	Hooks      []HookTotalDocument    `json:"hooks"`
	Weights    int                    `json:"weights,omitempty"`
	WeightCord string                 `json:"weight_cord,omitempty"`
	Incomplete bool                   `json:"incomplete,omitempty"`

	Trail map[string]StepDocument `json:"trail,omitempty"` // of weights and their cord, which have no rows
}

// TapeTotalDocument is one tape's pieces.
type TapeTotalDocument struct {
	Tape    string `json:"tape"`
	Pieces  int    `json:"pieces"`
	Used    string `json:"used"`
	ToOrder string `json:"to_order"`

	Trail map[string]StepDocument `json:"trail,omitempty"` // each number explained, where that is asked for
}

// BuckramTotalDocument is the stiffening of one height.
type BuckramTotalDocument struct {
	Height string `json:"height"`
	Pieces int    `json:"pieces"`
	Length string `json:"length"`

	Trail map[string]StepDocument `json:"trail,omitempty"` // each number explained, where that is asked for
}

// ThreadTotalDocument is the thread of one kind of seam.
type ThreadTotalDocument struct {
	For    string `json:"for"`
	Length string `json:"length"`
	Cones  int    `json:"cones,omitempty"`

	Trail map[string]StepDocument `json:"trail,omitempty"` // each number explained, where that is asked for
}

// HookTotalDocument is the hooks of one drop.
type HookTotalDocument struct {
	Drop  string `json:"drop"`
	Count int    `json:"count"`

	Trail map[string]StepDocument `json:"trail,omitempty"` // each number explained, where that is asked for
}

// ProblemDocument is a problem with its sentence. Line and Column are absent where there is no file.
type ProblemDocument struct {
	Severity engine.Severity `json:"severity"`
	Code     string          `json:"code"`
	Where    string          `json:"where"`
	Message  string          `json:"message"`
	Line     int             `json:"line,omitempty"`
	Column   int             `json:"column,omitempty"`
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
		docs[i] = ProblemDocument{p.Severity, p.Code, p.Where, say(p), p.Line, p.Column}
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
	if explain {
		w.explain(&doc, d)
	}
	return doc
}

// explain gives the rows of a document's treatments and totals their trails.
func (w *Workup) explain(doc *Document, d writer) {
	for i := range w.Treatments {
		for j := range w.Treatments[i].Fabrics {
			doc.Treatments[i].Fabrics[j].Trail = d.trail(w.UseTrail(&w.Treatments[i], &w.Treatments[i].Fabrics[j]))
		}
	}
	for i := range w.Totals.Fabrics {
		doc.Totals.Fabrics[i].Trail = d.trail(w.FabricTrail(&w.Totals.Fabrics[i]))
	}
	for i := range w.Totals.Tape {
		doc.Totals.Tape[i].Trail = d.trail(w.TapeTrail(&w.Totals.Tape[i]))
	}
	for i := range w.Totals.Buckram {
		doc.Totals.Buckram[i].Trail = d.trail(w.BuckramTrail(&w.Totals.Buckram[i]))
	}
	for i := range w.Totals.Thread {
		doc.Totals.Thread[i].Trail = d.trail(w.ThreadTrail(&w.Totals.Thread[i]))
	}
	for i := range w.Totals.Hooks {
		doc.Totals.Hooks[i].Trail = d.trail(w.HookTrail(&w.Totals.Hooks[i]))
	}
	if steps := w.WeightTrail(); len(steps) > 0 {
		doc.Totals.Trail = d.trail(steps)
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

func (d writer) length(l measure.Length) string { return l.In(d.units) }

func (d writer) lengths(list []measure.Length) []string {
	texts := make([]string, len(list))
	for i, l := range list {
		texts[i] = d.length(l)
	}
	return texts
}

func (d writer) treatment(t *Treatment) TreatmentDocument {
	doc := TreatmentDocument{Window: t.Window, Heading: t.Heading, Quantity: t.Quantity}
	for i := range t.Panels {
		doc.Panels = append(doc.Panels, d.panel(&t.Panels[i]))
	}
	for _, f := range t.Fabrics {
		doc.Fabrics = append(doc.Fabrics, FabricTotalDocument{
			Fabric: f.Fabric, Use: f.Use, Cuts: f.Cuts, CutLength: d.length(f.CutLength), Length: d.length(f.Length),
		})
	}
	return doc
}

// panel writes what all panels have, then what only those of a tape or those set by hand do.
func (d writer) panel(p *Panel) PanelDocument {
	doc := PanelDocument{
		Panel: p.ID, FinishedWidthAsked: d.length(p.FinishedWidthAsked), FinishedWidth: d.length(p.FinishedWidth),
		Deviation: d.length(p.Deviation), Pleats: p.Pleats, EdgeToPleat: d.length(p.EdgeToPleat), TakeUp: d.length(p.TakeUp),
		Space: d.length(p.Space), FlatWidth: d.length(p.FlatWidth), Fullness: p.Fullness.String(),
		Widths: p.Widths.String(), Seams: d.lengths(p.Seams), SeamsInPleats: p.SeamsInPleats, SeamsHidden: p.SeamsHidden,
		TrimReturn: d.length(p.TrimReturn), TrimLeading: d.length(p.TrimLeading),
		PleatPositions: d.lengths(p.PleatPositions), PlainLength: d.length(p.PlainLength),
		CutLength: d.length(p.CutLength), RepeatsPerCut: p.RepeatsPerCut, CornerToPleat: d.length(p.CornerToPleat),
	}
	if p.SetByHand() {
		d.hand(&doc, p)
	} else {
		d.tape(&doc, p)
	}
	d.fittings(&doc, p)
	if d.explain {
		doc.Trail = d.trail(p.Trail)
	}
	return doc
}

func (d writer) hand(doc *PanelDocument, p *Panel) {
	doc.LeadFlat, doc.TakeUps, doc.FullnessAsked = d.length(p.LeadFlat), d.lengths(p.TakeUps), p.FullnessAsked.String()
	doc.PleatMarks = d.lengths(p.PleatMarks)
	doc.BuckramPiece = &PieceDocument{d.length(p.BuckramLength), d.length(p.BuckramHeight)}
}

func (d writer) tape(doc *PanelDocument, p *Panel) {
	doc.TightWidth, doc.EndMargin = d.length(p.TightWidth), d.length(p.EndMargin)
	doc.TapePiece, doc.TapeStart, doc.TapePitch = d.length(p.TapePiece), d.length(p.TapeStart), d.length(p.TapePitch)
	doc.Stitching, doc.StitchLine = d.length(p.Stitching), d.length(p.StitchLine)
	doc.CordPullOut, doc.CordInHand = d.length(p.CordPullOut), d.length(p.CordInHand)
	doc.Cords, doc.CordTotal, doc.CordEnd = p.Cords, d.length(p.CordTotal), p.CordEnd
	doc.Inserts, doc.InsertTurns = p.Inserts, p.InsertTurns.String()
	doc.InsertPiece = &PieceDocument{d.length(p.InsertLength), d.length(p.InsertHeight)}
	doc.TubeDiameter, doc.TubeGap, doc.StackBack = d.length(p.TubeDiameter), d.length(p.TubeGap), d.length(p.StackBack)
	if p.Turned {
		doc.TurnedReturn, doc.TurnedLeading = d.length(p.TurnedReturn), d.length(p.TurnedLeading)
	}
	if a := p.Alternative; a != nil {
		doc.Alternative = &AlternativeDocument{a.Pleats, d.length(a.EndMargin), d.length(a.FinishedWidth)}
	}
}

// fittings writes how a lining hangs, and the hooks and weights of any panel.
func (d writer) fittings(doc *PanelDocument, p *Panel) {
	if p.LiningWidths > 0 {
		doc.LiningWidth, doc.LiningSurplus = d.length(p.LiningWidth), d.length(p.LiningSurplus)
		if p.LiningComputed {
			doc.LiningLift, doc.LiningTrim = d.length(p.LiningLift), d.length(p.LiningTrim)
		}
	}
	doc.Hooks, doc.HookPlaces, doc.HookDrop = len(p.HookPlaces), d.lengths(p.HookPlaces), d.length(p.HookDrop)
	if doc.Weights = len(p.WeightPlaces); doc.Weights > 0 {
		doc.WeightPlaces = d.lengths(p.WeightPlaces)
	}
	if p.WeightCord > 0 {
		doc.WeightCord = d.length(p.WeightCord)
	}
}

func (d writer) trail(steps []Step) map[string]StepDocument {
	trail := make(map[string]StepDocument, len(steps))
	for _, s := range steps {
		doc := StepDocument{Value: s.Value.String(), Formula: d.formula(s.Formula), Inputs: map[string]string{}}
		for _, in := range s.Inputs {
			doc.Inputs[in.Name] = in.Value.String()
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
			Fabric: f.Fabric, Use: f.Use, Cuts: f.Cuts, Length: d.length(f.Length), ToOrder: f.ToOrder.In(d.units.Purchase()),
		}
		if f.OnBolts != nil {
			rows[i].OnBolts = d.length(*f.OnBolts)
		}
		if f.BoltLength > 0 {
			rows[i].BoltLength = f.BoltLength.In(d.units.Purchase())
		}
		if f.Bolts > 0 {
			rows[i].Bolts, rows[i].BoltsComeTo = f.Bolts, f.BoltsComeTo.In(d.units.Purchase())
		}
	}
	return rows
}

func (d writer) totals(t *Totals) TotalsDocument {
	doc := TotalsDocument{
		Fabrics: d.fabrics(t.Fabrics), Tape: []TapeTotalDocument{}, Buckram: []BuckramTotalDocument{},
		Thread: []ThreadTotalDocument{}, Hooks: []HookTotalDocument{}, Weights: t.Weights, Incomplete: t.Incomplete,
	}
	for _, x := range t.Hooks {
		doc.Hooks = append(doc.Hooks, HookTotalDocument{Drop: d.length(x.Drop), Count: x.Count})
	}
	if t.WeightCord > 0 {
		doc.WeightCord = d.length(t.WeightCord)
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
