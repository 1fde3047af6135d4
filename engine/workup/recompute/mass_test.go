package recompute

// reGrams is a leaf of the tree: whole grams.
type reGrams struct{ v reNum }

// layers are the cloths of a panel: its face without what is trimmed off, as wide as it is bought; lining and interlining as wide as it
// lies flat; its bands. The last value is the cloth of each.
func (o reOrder) layers(tr reTreatment, m reMade) (layers []reLayer, of []*reFabric) {
	add := func(id string, width, length reNum) {
		f := o.fabric(id)
		layers, of = append(layers, reLayer{f.mass.reNum, width, length}), append(of, f)
	}
	wide := o.fabric(tr.face).usable.half().times(m.joined.halves)
	if tr.railroad {
		wide = m.cut.length
	}
	for _, key := range []string{"trim_return", "trim_leading"} {
		switch trim := m.tree[key].(type) {
		case reLength:
			wide = wide.sub(trim.v)
		case reFree:
			wide = wide.sub(trim.sample.(reLength).v)
		}
	}
	add(tr.face, wide, m.cut.plain)
	if tr.lining != "" {
		add(tr.lining, m.flat, o.liningLength(tr))
	}
	if tr.interlining != "" {
		add(tr.interlining, m.flat, o.backed(tr))
	}
	for _, b := range o.bandsOf(tr, m) {
		add(b.fabric, b.across, b.long.times(b.pieces))
	}
	return layers, of
}

// mass is what a panel weighs; absent where a cloth of it doesn't say.
func (o reOrder) mass(tr reTreatment, m reMade) reNum {
	layers, _ := o.layers(tr, m)
	for _, l := range layers {
		if !l.grams.given() {
			return reNum{}
		}
	}
	return reMass(layers...)
}

// grams is what the panels of a window weigh, each to the gram; absent where one isn't known.
func (o reOrder) grams(tr reTreatment, made []reMade) reNum {
	sum := reInt(0)
	for _, m := range reEach(tr, made) {
		mass := o.mass(tr, m)
		if !mass.given() {
			return reNum{}
		}
		sum = sum.add(reInt(int64(reNearest(mass))))
	}
	return sum
}

// load holds what a window weighs against what its rod carries.
func (o reOrder) load(tr reTreatment, out *reResult) {
	limit := o.rodOf(tr).limit
	if !limit.given() {
		return
	}
	for _, m := range out.made {
		_, of := o.layers(tr, m)
		for _, f := range of {
			out.weightless = out.weightless || !f.mass.given()
		}
	}
	mass := o.grams(tr, out.made)
	out.problems.tell("warning", "hardware_heavy", mass.given() && limit.times(1000).less(mass))
}

// massTotals are what hangs on each rod that a window names.
func (o reOrder) massTotals(results []reResult, totals reTree) {
	var rows []any
	for i, res := range results {
		tr := o.treatments[i]
		rod := o.rodOf(tr)
		if res.failed || rod.id == "" {
			continue
		}
		if mass := o.grams(tr, res.made); mass.given() {
			row := reTree{"window": reWord(tr.window), "mass": reGrams{mass}}
			if rod.limit.given() {
				row["limit"] = reGrams{rod.limit.times(1000)}
			}
			rows = append(rows, row)
		}
	}
	if len(rows) > 0 {
		totals["mass"] = rows
	}
}
