package recompute

import (
	"cmp"
	"slices"
)

// Leaves of an expected tree. reLength, reRatio and reWord are strings in the JSON, reCount a number.
type (
	reLength struct {
		v     reNum
		unit  string
		size  reNum
		loose bool // many times a length that is rounded to the nanometre
	}
	reRatio struct{ v reNum }
	reCount int
	reWord  string
	// reRange is a length from low to high: pieces without a pattern may lie where the cuts of one leave gaps.
	reRange struct{ low, high reLength }
	// reOpenList is a list of numbers that the second program can't work out.
	reOpenList struct{}
	// reMaybe marks what the documents leave open: it may be absent, but if there it must be this.
	reMaybe struct{ v any }
)

type reTree map[string]any

// length is a leaf of the tree in the order's unit.
func (u reUnit) length(v reNum) reLength { return reLength{v: v, unit: u.name, size: u.size} }

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
	tape     string   // "" for pleats set by hand
	made     []reMade // the panels of one window
	fabrics  []reNeed
	problems reFindings
	ofCloth  string // what is told of its face, not of itself

	weightless bool // its rod's limit asks what a cloth weighs that doesn't say
}

// reMade is one panel.
type reMade struct {
	tree     reTree
	joined   reJoined
	flat     reNum
	cut      reCut
	piece    rePiece // of tape
	buckram  []reStrip
	stitched reNum
	tunnel   reNum // stitched beside a pole
	pitch    reNum // what it takes of the roll
	points   int
	eyelet   reEyelet
	hooks    int
	drop     reNum
	weights  int
	cord     reNum
}

// reStrip is so many pieces of buckram of one size.
type reStrip struct {
	pieces         int
	length, height reNum
}

// reNeed is a treatment's need of one fabric.
type reNeed struct {
	fabric, use        string
	cuts               int
	cut, plain, length reNum
	classes            [2]int // of a half-drop
	phase              reNum  // how far behind a repeat they start; absent is 0
	turned             bool   // runs along the bolt for the width
	trimmings          []reTrimmings
}

// trimmed is the length of what is cut beside the panels.
func (n reNeed) trimmed() reNum {
	length := reInt(0)
	for _, t := range n.trimmings {
		length = length.add(t.length)
	}
	return length
}

// trimmings are the cuts beside the panels that all windows take of a fabric, and the length of those and of turned panels, which all
// start wherever there is room.
func (f reFabric) trimmings(results []reResult) (cuts int, length reNum) {
	length = reInt(0)
	for _, res := range results {
		for _, need := range res.fabrics {
			if need.fabric != f.id {
				continue
			}
			length = length.add(need.trimmed())
			if need.turned && f.patterned() {
				length = length.add(need.length)
			}
			for _, t := range need.trimmings {
				cuts += t.cuts
			}
		}
	}
	return cuts, length
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
	out := reResult{
		tree:     reTree{"window": reWord(tr.window), "heading": reWord(o.keyOf(tr.heading)), "quantity": reCount(tr.count())},
		problems: reFindings{told: map[string]bool{}, open: map[string]bool{}},
	}
	if like := cmp.Or(tr.heading, "cartridge-tape"); o.renamed[like] {
		out.tree["heading_like"], out.tree["heading_name"] = reWord(like), reWord(reName(like))
	}
	byPanel := o.byPanel(tr)
	if tr.uneven() && o.conv.pairSplit == "total" && !o.retOf(tr).equal(tr.returnOther.reNum) {
		out.fail("bad_value")
		return out
	}
	for _, one := range byPanel {
		switch {
		case tr.byHand():
			o.handTreatment(one, &out)
		case tr.continuous():
			o.continuousTreatment(one, &out)
		default:
			o.tapeTreatment(one, &out)
		}
	}
	if tr.lining != "" && slices.ContainsFunc(out.made, func(m reMade) bool { return m.flat.atMost(o.conv.liningInset.times(2)) }) {
		out.failed, out.ofCloth = true, "error not_positive" // nothing is left of the lining
		out.problems = reFindings{told: map[string]bool{}, open: out.problems.told}
	}
	if slices.ContainsFunc(out.made, func(m reMade) bool { return o.cantBand(tr, m) }) {
		out.failed, out.ofCloth, out.problems = true, "", reFindings{told: map[string]bool{}, open: out.problems.told}
		out.problems.tell("error", "bad_value", true)
	}
	if why := o.cantTurn(tr); why != "" {
		out.failed, out.ofCloth, out.problems = true, "", reFindings{told: map[string]bool{}, open: out.problems.told}
		out.problems.tell("error", why, true)
	}
	if !out.failed {
		o.stacks(tr, &out)
		o.ofFace(tr, &out)
		o.load(tr, &out)
		o.finish(tr, &out)
	}
	if out.problems.told["warning width_not_reached"] { // of one panel, a note of the other: told once, as the graver
		delete(out.problems.told, "note width_not_reached")
	}
	out.problems.tell("warning", "implausible", o.implausible(tr))
	return out
}

// byPanel is the treatment as each of its panels has it: a pair with another return at its right panel makes two that differ, and so
// does one of cloth whose motifs stand side by side; all others make panels that are alike.
func (o reOrder) byPanel(tr reTreatment) []reTreatment {
	left, right := tr, tr
	left.side, right.side = "L", "R"
	if tr.uneven() {
		left.evened = o.retOf(tr).equal(tr.returnOther.reNum)
		right.evened = left.evened
		right.returnTo = tr.returnOther
	}
	if tr.uneven() || tr.paired() && o.sidewise(tr) {
		return []reTreatment{left, right}
	}
	left.side = reSides(tr)[0]
	return []reTreatment{left}
}

func (tr reTreatment) uneven() bool {
	return (tr.draw == "pair" || tr.draw == "") && tr.returnOther.given()
}

// implausible says whether a return or the overlap is over half the face, or a fold or hem over a third of the finished
// length or a foot.
func (o reOrder) implausible(tr reTreatment) bool {
	limit := o.drop(tr).div(reInt(3))
	turns := []reNum{o.bottomHem(tr), o.sideHem(tr)}
	if fold := o.foldOf(tr); fold.given() {
		turns = append(turns, fold)
	}
	for _, turn := range turns {
		if limit.less(turn) || reInt(12).less(turn) {
			return true
		}
	}
	if !tr.faceWidth.given() {
		return false
	}
	beside := []reNum{o.retOf(tr), tr.returnOther.or(reInt(0))}
	if tr.paired() {
		beside = append(beside, tr.lap.or(o.usualLap(tr)))
	}
	for _, width := range beside {
		if tr.faceWidth.half().less(width) {
			return true
		}
	}
	return false
}

// fail leaves the panels out for the error's sake.
func (r *reResult) fail(code string) {
	r.failed = true
	r.problems.tell("error", code, true)
}

// add takes one more of the treatment's panels up.
func (o reOrder) add(out *reResult, m reMade) {
	u, panel, joined, cut := reUnits(o.unit), m.tree, m.joined, m.cut
	panel["widths"] = reRatio{reFrac(int64(joined.halves), 2)}
	panel["flat_width"] = u.length(m.flat)
	panel["plain_length"], panel["cut_length"] = u.length(cut.plain), u.length(cut.length)
	if cut.repeats > 0 {
		panel["repeats_per_cut"] = reCount(cut.repeats)
	}
	if joined.pieces == 1 {
		// Absent or 0 where nothing is joined: "a key that doesn't apply is absent" allows both.
		panel["seams_in_pleats"], panel["seams_hidden"] = reMaybe{reCount(0)}, reMaybe{reCount(0)}
	}
	out.made = append(out.made, m)
}

// finish puts the panels and the treatment's cloth into the tree.
func (o reOrder) finish(tr reTreatment, out *reResult) {
	u := reUnits(o.unit)
	var panels, rows []any
	for i, name := range reSides(tr) {
		if i == len(out.made) {
			out.made = append(out.made, out.made[0]) // alike but for its name
		}
		p := reTree{"panel": reWord(name)}
		for k, v := range out.made[i].tree {
			p[k] = v
		}
		one := tr
		one.side = name
		o.clothKeys(one, out.made[i], p)
		panels = append(panels, p)
	}
	out.fabrics = o.needs(tr, out.made)
	for _, need := range out.fabrics {
		row := reTree{
			"fabric": reWord(need.fabric), "use": reWord(need.use), "cuts": reCount(need.cuts), "cut_length": u.length(need.cut),
			"length": u.length(need.length.add(need.trimmed())),
		}
		var pieces []any
		for _, t := range need.trimmings {
			pieces = append(pieces, reTree{"for": reWord(t.what), "pieces": reCount(t.pieces), "cuts": reCount(t.cuts), "length": u.length(t.length), "cut_length": u.length(t.cut)})
		}
		if len(pieces) > 0 {
			row["trimmings"] = pieces
		}
		rows = append(rows, row)
	}
	out.tree["panels"], out.tree["fabrics"] = panels, rows
}

func reSides(tr reTreatment) []string {
	if tr.paired() {
		return []string{"L", "R"}
	}
	return []string{"S"}
}
