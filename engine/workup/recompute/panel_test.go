package recompute

// Leaves of an expected tree. reLength, reRatio and reWord are strings in the JSON, reCount a number.
type (
	reLength struct {
		v    reNum
		unit string
		size reNum
	}
	reRatio struct{ v reNum }
	reCount int
	reWord  string
	// reMaybe marks what the documents leave open: it may be absent, but if there it must be this.
	reMaybe struct{ v any }
)

type reTree map[string]any

// length is a leaf of the tree in the order's unit.
func (u reUnit) length(v reNum) reLength { return reLength{v, u.name, u.size} }

func (u reUnit) lengths(vs []reNum) []any {
	list := []any{}
	for _, v := range vs {
		list = append(list, u.length(v))
	}
	return list
}

// reResult is what the second program makes of one treatment.
type reResult struct {
	failed   bool
	tree     reTree
	tape     string // "" for pleats set by hand
	piece    rePiece
	inserts  int // pieces of buckram a panel, insert long and height high
	insert   reNum
	height   reNum
	stitched reNum
	fabrics  []reNeed
	problems reFindings
}

// reNeed is a treatment's need of one fabric.
type reNeed struct {
	fabric, use        string
	cuts               int
	cut, plain, length reNum
	classes            [2]int // of a half-drop
}

// reFindings are problem codes with their severity; open ones may be told or not.
type reFindings struct {
	told map[string]bool
	open map[string]bool
}

func (f *reFindings) tell(severity, code string, when bool) {
	if when {
		f.told[severity+" "+code] = true
	}
}

// treatment works one treatment out.
func (o reOrder) treatment(tr reTreatment) reResult {
	heading := tr.heading
	if heading == "" {
		heading = "cartridge-tape"
	}
	out := reResult{
		tree:     reTree{"window": reWord(tr.window), "heading": reWord(heading), "quantity": reCount(tr.count())},
		problems: reFindings{told: map[string]bool{}, open: map[string]bool{}},
	}
	if tr.byHand() {
		o.handTreatment(tr, &out)
	} else {
		o.tapeTreatment(tr, &out)
	}
	return out
}

// fail leaves the panels out for the error's sake.
func (r *reResult) fail(code string) {
	r.failed = true
	r.problems.tell("error", code, true)
}

// finish puts the panels, which are alike but for their names, and the treatment's cloth into the tree.
func (o reOrder) finish(tr reTreatment, out *reResult, panel reTree, joined reJoined, flat reNum, cut reCut) {
	u := reUnits(o.unit)
	panel["widths"] = reRatio{reFrac(int64(joined.halves), 2)}
	panel["flat_width"] = u.length(flat)
	panel["plain_length"], panel["cut_length"] = u.length(cut.plain), u.length(cut.length)
	if cut.repeats > 0 {
		panel["repeats_per_cut"] = reCount(cut.repeats)
	}
	if joined.pieces == 1 {
		// Absent or 0 where nothing is joined: "a key that doesn't apply is absent" allows both.
		panel["seams_in_pleats"], panel["seams_hidden"] = reMaybe{reCount(0)}, reMaybe{reCount(0)}
	}
	var panels, rows []any
	for _, name := range reSides(tr) {
		p := reTree{"panel": reWord(name)}
		for k, v := range panel {
			p[k] = v
		}
		panels = append(panels, p)
	}
	out.fabrics = o.needs(tr, joined, flat, cut)
	for _, need := range out.fabrics {
		rows = append(rows, reTree{
			"fabric": reWord(need.fabric), "use": reWord(need.use), "cuts": reCount(need.cuts), "cut_length": u.length(need.cut), "length": u.length(need.length),
		})
	}
	out.tree["panels"], out.tree["fabrics"] = panels, rows
}

func reSides(tr reTreatment) []string {
	if tr.paired() {
		return []string{"L", "R"}
	}
	return []string{"S"}
}
