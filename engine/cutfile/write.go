package cutfile

import (
	"encoding/json"
	"slices"
	"strconv"

	"tablehand/engine/cutplan"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// Document is a plan as programs read it. Value and bound are a number, or a length where the aim is one.
type Document struct {
	Placements     []placementDocument `json:"placements"`
	BoltsOpened    int                 `json:"bolts_opened"`
	Value          any                 `json:"value"`
	Bound          any                 `json:"bound"`
	Optimal        bool                `json:"optimal"`
	Proof          cutplan.Proof       `json:"proof"`
	Waste          string              `json:"waste"`
	Remnants       []remnantDocument   `json:"remnants"`
	Unplaced       []unplacedDocument  `json:"unplaced"`
	RemnantsOpened int                 `json:"remnants_opened"`
	LengthOpened   string              `json:"length_opened"`
	LongestRemnant string              `json:"longest_remnant"`
	Then           []goalDocument      `json:"then"`
	Short          string              `json:"short,omitempty"`
	ShortBound     string              `json:"short_bound,omitempty"`
	Work           int64               `json:"work"`
	CutOff         bool                `json:"cut_off"`
	Lots           []lotDocument       `json:"lots"`
	Certificate    certificateDocument `json:"certificate"`
	Problems       any                 `json:"problems"`
}

type placementDocument struct {
	Cut   string `json:"cut"`
	Bolt  string `json:"bolt"`
	Index int    `json:"index"`
	From  string `json:"from"`
	To    string `json:"to"`
}

type remnantDocument struct {
	Bolt  string `json:"bolt"`
	Index int    `json:"index"`
	From  string `json:"from"`
	To    string `json:"to"`
}

type unplacedDocument struct {
	Cut   string `json:"cut"`
	Count int    `json:"count"`
}

type goalDocument struct {
	Aim     string `json:"aim"`
	Value   string `json:"value"`
	Bound   string `json:"bound"`
	Optimal bool   `json:"optimal"`
}

type lotDocument struct {
	Group string `json:"group"`
	Lot   string `json:"lot"`
}

type certificateDocument struct {
	Weights map[string]int64  `json:"weights"`
	Bolts   []weighedDocument `json:"bolts"`
	Scale   int64             `json:"scale"`
	Bonus   map[string]int64  `json:"bonus"`
	Step    int64             `json:"step"`
}

type weighedDocument struct {
	Bolt string `json:"bolt"`
	Cost int64  `json:"cost"`
	Most int64  `json:"most"`
}

// asLength reports whether values of the file's aim are lengths.
func (f *File) asLength() bool {
	return f.Problem.Aim == cutting.LeastLength || f.Problem.Aim == cutting.LeastCost && !f.Costed
}

func (f *File) text(l measure.Length) string { return l.In(f.Units) }

func (f *File) value(n int64) any {
	if f.asLength() {
		return f.text(measure.Length(n))
	}
	return n
}

// Document writes a plan of the file's problem.
func (f *File) Document(plan *cutplan.Plan) *Document {
	d := &Document{
		Placements: []placementDocument{}, Remnants: []remnantDocument{}, Unplaced: []unplacedDocument{}, Then: []goalDocument{}, Problems: []string{},
		BoltsOpened: plan.Opened, Value: f.value(plan.Value), Bound: f.value(plan.Bound), Optimal: plan.Optimal, Proof: plan.Proof,
		Waste: f.text(plan.Waste), RemnantsOpened: plan.Kept, LengthOpened: f.text(plan.Length), LongestRemnant: f.text(plan.Longest),
		Work: plan.Work, CutOff: plan.CutOff,
	}
	for _, p := range plan.Placements {
		bolt, index := f.BoltName(p.Bolt)
		d.Placements = append(d.Placements, placementDocument{f.CutName(p.Cut), bolt, index, f.text(p.From), f.text(p.To)})
	}
	for _, r := range plan.Remnants {
		bolt, index := f.BoltName(r.Bolt)
		d.Remnants = append(d.Remnants, remnantDocument{bolt, index, f.text(r.From), f.text(r.To)})
	}
	for _, id := range plan.Unplaced {
		name := f.CutName(id)
		if n := len(d.Unplaced); n > 0 && d.Unplaced[n-1].Cut == name {
			d.Unplaced[n-1].Count++
			continue
		}
		d.Unplaced = append(d.Unplaced, unplacedDocument{name, 1})
	}
	if len(plan.Unplaced) > 0 {
		d.Short, d.ShortBound = f.text(plan.Short), f.text(plan.ShortBound)
	}
	for _, g := range plan.Then {
		d.Then = append(d.Then, goalDocument{g.Aim, f.text(g.Value), f.text(g.Bound), g.Optimal})
	}
	d.Lots = f.lots(plan)
	f.certificate(&plan.Certificate, d)
	return d
}

// lots names the lot of each group that has a cut placed, in the order of the file.
func (f *File) lots(plan *cutplan.Plan) []lotDocument {
	list := []lotDocument{}
	lotOf, on := map[string]string{}, map[string]string{}
	for _, b := range f.Problem.Bolts {
		lotOf[b.ID] = b.Lot
	}
	for _, p := range plan.Placements {
		on[p.Cut] = lotOf[p.Bolt]
	}
	told := map[string]bool{}
	for _, c := range f.Problem.Cuts {
		if lot, placed := on[c.ID]; placed && c.Group != "" && !told[c.Group] {
			told[c.Group] = true
			list = append(list, lotDocument{c.Group, lot})
		}
	}
	return list
}

// certificate writes each entry of the file once: those that it counts weigh alike.
func (f *File) certificate(c *cutplan.Certificate, d *Document) {
	doc := certificateDocument{Weights: map[string]int64{}, Bolts: []weighedDocument{}, Bonus: map[string]int64{}, Scale: c.Scale, Step: c.Step}
	for _, n := range f.cuts {
		if w, weighed := c.Weights[single(n.id, 1, n.index)]; weighed {
			doc.Weights[n.id] = w
		}
	}
	for _, n := range f.bolts {
		id := single(n.id, 1, n.index)
		if w, weighed := c.Bolts[id]; weighed {
			doc.Bolts = append(doc.Bolts, weighedDocument{n.id, w.Cost, w.Most})
		}
		if bonus := c.Bonus[id]; bonus != 0 {
			doc.Bonus[n.id] = bonus
		}
	}
	d.Certificate = doc
}

// Faults reads a plan of the file's problem and returns what is wrong with it; the error is of a plan that can't be read. Lots that aren't
// those of the bolts that groups lie on are mixed up.
func (f *File) Faults(data []byte) ([]cutting.Finding, error) {
	plan, err := f.ReadPlan(data)
	if err != nil {
		return nil, err
	}
	faults := cutplan.Verify(f.Problem, *plan)
	var told Document
	if err := json.Unmarshal(data, &told); err != nil {
		return nil, err
	}
	if !slices.Equal(told.Lots, f.lots(plan)) {
		faults = append(faults, cutting.Finding{Fault: cutting.LotsMixed})
	}
	return faults, nil
}

// ReadPlan reads a plan of the file's problem back, to be checked. What isn't there, a cut or a bolt, stays as it is named.
func (f *File) ReadPlan(data []byte) (*cutplan.Plan, error) {
	var d Document
	if err := json.Unmarshal(data, &d); err != nil {
		return nil, err
	}
	r := planReader{file: f, next: map[string]int{}}
	plan := r.plan(&d)
	return plan, r.err
}

type planReader struct {
	file *File
	next map[string]int // by the file's name of a cut, how many were read
	err  error
}

func (r *planReader) plan(d *Document) *cutplan.Plan {
	f := r.file
	plan := &cutplan.Plan{Aim: f.Problem.Aim, Optimal: d.Optimal, Proof: d.Proof, Opened: d.BoltsOpened, Kept: d.RemnantsOpened, Work: d.Work, CutOff: d.CutOff,
		Value: r.value(d.Value), Bound: r.value(d.Bound), Waste: r.length(d.Waste), Length: r.length(d.LengthOpened), Longest: r.length(d.LongestRemnant)}
	for _, p := range d.Placements {
		plan.Placements = append(plan.Placements, cutting.Placement{Cut: r.cut(p.Cut), Bolt: r.bolt(p.Bolt, p.Index), From: r.length(p.From), To: r.length(p.To)})
	}
	for _, u := range d.Unplaced {
		for range min(u.Count, most) {
			id := r.cut(u.Cut)
			plan.Unplaced = append(plan.Unplaced, id)
		}
	}
	if d.Short != "" {
		plan.Short, plan.ShortBound = r.length(d.Short), r.length(d.ShortBound)
	}
	for _, x := range d.Remnants {
		plan.Remnants = append(plan.Remnants, cutplan.Remnant{Bolt: r.bolt(x.Bolt, x.Index), From: r.length(x.From), To: r.length(x.To)})
	}
	for _, g := range d.Then {
		plan.Then = append(plan.Then, cutplan.Goal{Aim: g.Aim, Value: r.length(g.Value), Bound: r.length(g.Bound), Optimal: g.Optimal})
	}
	plan.Certificate = r.certificate(&d.Certificate)
	return plan
}

func (r *planReader) length(text string) measure.Length {
	if text == "" {
		return 0
	}
	l, err := measure.Parse(text, r.file.Units)
	if err != nil && r.err == nil {
		r.err = err
	}
	return l
}

func (r *planReader) value(v any) int64 {
	switch v := v.(type) {
	case float64:
		return int64(v)
	case string:
		return int64(r.length(v))
	}
	return 0
}

// cut is the next single one of a name: which is which, nobody can tell.
func (r *planReader) cut(name string) string {
	r.next[name]++
	for _, n := range r.file.cuts {
		if n.id == name {
			return single(name, min(r.next[name], n.index), n.index)
		}
	}
	return name
}

func (r *planReader) bolt(name string, index int) string {
	for _, n := range r.file.bolts {
		if n.id == name {
			return single(name, index, n.index)
		}
	}
	return name + "\x1f" + strconv.Itoa(index)
}

func (r *planReader) certificate(d *certificateDocument) cutplan.Certificate {
	c := cutplan.Certificate{Weights: map[string]int64{}, Bolts: map[string]cutplan.Weighed{}, Bonus: map[string]int64{}, Scale: d.Scale, Step: max(1, d.Step)}
	for _, n := range r.file.cuts {
		if w, weighed := d.Weights[n.id]; weighed {
			for i := range n.index {
				c.Weights[single(n.id, i+1, n.index)] = w
			}
		}
	}
	for _, n := range r.file.bolts {
		for i := range n.index {
			id := single(n.id, i+1, n.index)
			for _, w := range d.Bolts {
				if w.Bolt == n.id {
					c.Bolts[id] = cutplan.Weighed{Cost: w.Cost, Most: w.Most}
				}
			}
			if bonus := d.Bonus[n.id]; bonus != 0 {
				c.Bonus[id] = bonus
			}
		}
	}
	return c
}
