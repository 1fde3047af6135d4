package recompute

import (
	"fmt"
	"slices"
)

// reHung is a panel as far as its hooks, weights and lining go.
type reHung struct {
	flat, finished, sideHem reNum
	first, last             reNum   // the flat from each edge to its first pleat
	stands                  []reNum // the pleats' places on the finished heading
	seams                   []reNum
	seamsFree               bool // the trim may be another, and the seams with it
}

// fit adds hooks, weights and the way the lining hangs to a panel with pleats.
func (o reOrder) fit(tr reTreatment, out *reResult, made *reMade, h reHung) {
	panel := made.tree
	c, u := o.conv, reUnits(o.unit)
	var hooks []reNum
	if c.hookInset.times(2).less(h.first) {
		hooks = append(hooks, c.hookInset)
	}
	hooks = append(hooks, h.stands...)
	if c.hookInset.times(2).less(h.last) {
		hooks = append(hooks, h.finished.sub(c.hookInset))
	}
	made.hooks, made.drop = len(hooks), tr.hookDrop.or(c.hookDrop)
	panel["hooks"], panel["hook_places"], panel["hook_drop"] = reCount(made.hooks), u.lengths(hooks), u.length(made.drop)
	out.problems.tell("note", "flat_unhooked", reInt(8).less(h.first) || reInt(8).less(h.last))

	o.fitHem(tr, made, h)
}

// fitHem adds weights and the way the lining hangs.
func (o reOrder) fitHem(tr reTreatment, made *reMade, h reHung) {
	panel, c, u := made.tree, o.conv, reUnits(o.unit)
	if weights := o.weights(tr, h); len(weights) > 0 {
		made.weights = len(weights)
		panel["weights"], panel["weight_places"] = reCount(made.weights), u.lengths(weights)
		if h.seamsFree {
			panel["weight_places"] = reFree{u.lengths(weights)}
		}
	}
	if o.weighted(tr) == "cord" {
		made.cord = h.flat
		panel["weight_cord"] = u.length(h.flat)
	}
	if tr.lining == "" {
		return
	}
	f := o.fabric(tr.lining)
	joined := o.backCloth(tr, f, h.flat)
	panel["lining_width"] = u.length(h.flat.sub(c.liningInset.times(2)))
	panel["lining_surplus"] = u.length(joined.available.sub(h.flat))
	if c.liningRule != "allowance" {
		lift := c.liningLift
		if c.liningPuddle == "stop" {
			lift = lift.add(tr.puddle.or(reInt(0)))
		}
		panel["lining_lift"], panel["lining_trim"] = u.length(lift), u.length(c.liningTrim)
	}
}

// weighted is how the hem of a window is weighted: of a sheer by a cord.
func (o reOrder) weighted(tr reTreatment) string {
	if o.fabric(tr.face).sheer && o.conv.weights != "none" {
		return "cord"
	}
	return o.conv.weights
}

// weights are the places of the weights along the hem.
func (o reOrder) weights(tr reTreatment, h reHung) []reNum {
	near := h.sideHem.half()
	far := h.flat.sub(near)
	switch o.weighted(tr) {
	case "none", "cord":
		return nil
	case "corners":
		return []reNum{near, far}
	case "every_foot":
		var places []reNum
		feet := max(1, h.flat.div(reInt(12)).ceil())
		for k := range feet + 1 {
			places = append(places, near.add(far.sub(near).times(k).div(reInt(int64(feet)))))
		}
		return places
	}
	places := append([]reNum{near, far}, h.seams...)
	slices.SortFunc(places, func(a, b reNum) int { return a.sub(b).sign() })
	return places
}

// handStands are the places of pleats set by hand: flat cloth alone lies before them.
func (h reHand) handStands() []reNum {
	var places []reNum
	for k := range h.n {
		places = append(places, h.base(k))
	}
	return places
}

// tapeStands are those of a pulled-up tape: evenly in what the margins leave of the width reached.
func (s reSolved) tapeStands() []reNum {
	var places []reNum
	for k := range s.n {
		places = append(places, s.e.add(s.reached.sub(s.e.times(2)).times(2*k+1).div(reInt(int64(2*s.n)))))
	}
	return places
}

// fittings gives an order practices and windows of its own for what this page works out.
func (g *reGen) fittings() {
	c := &g.o.conv
	set := func(key, text string) { g.o.overrides = append(g.o.overrides, [2]string{key, text}) }
	for _, v := range []struct {
		key       string
		to        *reNum
		low, high float64
	}{{"lining_inset", &c.liningInset, 0, 2}, {"hook_inset", &c.hookInset, 0, 2}} {
		if g.chance(8) {
			l := g.length(v.low, v.high, 8)
			*v.to = l.reNum
			set(v.key, l.text)
		}
	}
	if g.chance(3) {
		c.weights = g.pick("corners_and_seams", "corners", "every_foot", "cord", "none")
		set("weights", c.weights)
	}
	if g.chance(4) {
		yards := int64(100 + g.Intn(6000))
		c.coneLength = reInt(36 * yards)
		set("cone_length", fmt.Sprintf("%d yd", yards))
	}
	for i := range g.o.treatments {
		g.o.treatments[i].hookDrop = g.maybe(6, 0, 3, 8)
		g.o.treatments[i].glass = g.maybe(3, 10, 120, 8)
		if g.chance(6) {
			g.o.treatments[i].under = g.pick("Swags of the face", "cornice, 14 in deep")
		}
	}
}

// fittingTotals counts hooks by their drop, and weights.
func (o reOrder) fittingTotals(results []reResult, totals reTree) {
	l := reUnits(o.unit).length
	var drops []reNum
	var counts []int
	weights, cord := 0, reInt(0)
	for i, res := range results {
		if res.failed {
			continue
		}
		count := o.treatments[i].count()
		for _, m := range res.made {
			weights += m.weights * count
			if m.cord.given() {
				cord = cord.add(m.cord.times(count))
			}
			if m.hooks == 0 {
				continue
			}
			at := slices.IndexFunc(drops, m.drop.equal)
			if at < 0 {
				drops, counts, at = append(drops, m.drop), append(counts, 0), len(drops)
			}
			counts[at] += m.hooks * count
		}
	}
	rows := []any{}
	for i := range drops {
		rows = append(rows, reTree{"drop": l(drops[i]), "count": reCount(counts[i])})
	}
	totals["hooks"] = rows
	o.pointTotals(results, totals)
	if weights > 0 {
		totals["weights"] = reCount(weights)
	}
	if cord.sign() > 0 {
		totals["weight_cord"] = l(cord)
	}
}

// pointTotals counts eyelets by their size, rings and tabs.
func (o reOrder) pointTotals(results []reResult, totals reTree) {
	l := reUnits(o.unit).length
	counts := map[string]int{}
	var eyelets []any
	for i, res := range results {
		tr := o.treatments[i]
		if res.failed {
			continue
		}
		for _, m := range res.made {
			counts[tr.heading] += m.points * tr.count()
			if tr.heading != "eyelet" {
				continue
			}
			at := slices.IndexFunc(eyelets, func(row any) bool {
				r := row.(reTree)
				return r["inner"].(reLength).v.equal(m.eyelet.in) && r["outer"].(reLength).v.equal(m.eyelet.out)
			})
			if at < 0 {
				eyelets, at = append(eyelets, reTree{"inner": l(m.eyelet.in), "outer": l(m.eyelet.out), "count": reCount(0)}), len(eyelets)
			}
			row := eyelets[at].(reTree)
			row["count"] = row["count"].(reCount) + reCount(m.points*tr.count())
		}
	}
	if len(eyelets) > 0 {
		totals["eyelets"] = eyelets
	}
	for heading, key := range map[string]string{"ring": "rings", "tab": "tabs"} {
		if counts[heading] > 0 {
			totals[key] = reCount(counts[heading])
		}
	}
}
