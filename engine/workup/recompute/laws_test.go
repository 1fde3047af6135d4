package recompute

import (
	"fmt"
	"slices"
	"strings"
)

// reFree is a sample of what the documents leave free: its shape is compared here, its values are judged by reLaws.
type reFree struct{ sample any }

// reOpen is a number that the second program can't work out.
type reOpen struct{}

// reLaws judges the free numbers of a panel whose pleats are set by hand.
type reLaws struct {
	u     reUnit
	h     reHand
	split reHandSplit

	atSeams bool // the hem has a weight at each seam
}

// check holds the panel's take-ups, pleats, seams and trims against the laws. Rounding each take-up to the nanometre lets
// sums stray by half a nanometre for each, and the decimals written by as much again.
func (w reLaws) check(path string, panel map[string]any, d *reDiffs) {
	takeUps, positions, seams := w.list(panel["take_ups"]), w.list(panel["pleat_positions"]), w.list(panel["seams"])
	trims := w.list([]any{panel["trim_return"], panel["trim_leading"]})
	if len(takeUps) != w.h.n || len(positions) != w.h.n || len(seams) != len(w.h.seams) || len(trims) != 2 {
		d.add(path, "can't be judged: %d take_ups, %d pleat_positions, %d seams, trims %v", len(takeUps), len(positions), len(seams), trims)
		return
	}
	near := reNanometres(w.h.n + 2)
	w.sums(path, takeUps, near, d)
	for k, want := range w.h.centres(takeUps) {
		if !positions[k].within(want, near) {
			d.add(path+".pleat_positions", "pleat %d stands at %v, its take_ups put it at %v", k, positions[k], want)
		}
	}
	w.weighted(path, w.list(panel["weight_places"]), seams, d)
	w.marks(path, w.list(panel["pleat_marks"]), takeUps, near, d)
	for i, want := range w.h.seamsAt(trims[0]) {
		if !seams[i].within(want, reNanometres(2)) {
			d.add(path+".seams", "seam %d is %v, the trim puts it at %v", i, seams[i], want)
		}
	}
	if !trims[0].add(trims[1]).within(w.h.surplus, reNanometres(5)) || !w.allowed(trims[0]) {
		d.add(path+".trim_return", "is %v, %v at the lead, want one of %v of %v", trims[0], trims[1], w.split.trims, w.h.surplus)
	}
	hidden, inside := w.hidden(takeUps, w.h.seamsAt(trims[0]), near)
	if hidden < w.split.hidden || inside < w.split.inside {
		d.add(path+".take_ups", "hide %d seams and have %d in pleats, they can hide %d and have %d", hidden, inside, w.split.hidden, w.split.inside)
	}
}

// weighted wants a weight at each seam, wherever the trim puts those, where the hem has weights at seams.
func (w reLaws) weighted(path string, places, seams []reNum, d *reDiffs) {
	if !w.atSeams {
		return
	}
	for _, x := range seams {
		if !slices.ContainsFunc(places, func(p reNum) bool { return p.within(x, reNanometres(2)) }) {
			d.add(path+".weight_places", "has none at the seam at %v", x)
		}
	}
}

// marks holds what a hand marks by against where the pleats are: each on the step, and none further than half of one off.
func (w reLaws) marks(path string, marks, takeUps []reNum, near reNum, d *reDiffs) {
	sides := w.h.sides(takeUps)
	if len(marks) != len(sides) {
		d.add(path+".pleat_marks", "are %d for %d pleats", len(marks), len(takeUps))
		return
	}
	for i, want := range sides {
		steps := marks[i].div(w.h.step)
		if !marks[i].within(want, w.h.step.half().add(near)) || !steps.within(reInt(int64(reNearest(steps))), reTolerance) {
			d.add(path+".pleat_marks", "mark %d is %v for %v, in steps of %v", i, marks[i], want, w.h.step)
		}
	}
}

func (w reLaws) sums(path string, takeUps []reNum, near reNum, d *reDiffs) {
	sum, least, most := reInt(0), takeUps[0], takeUps[0]
	for _, v := range takeUps {
		sum = sum.add(v)
		if v.less(least) {
			least = v
		}
		if most.less(v) {
			most = v
		}
	}
	if want := w.h.flat.sub(w.h.asked); !sum.within(want, near) {
		d.add(path+".take_ups", "come to %v, want %v", sum, want)
	}
	if least.sign() < 0 {
		d.add(path+".take_ups", "one takes up %v", least)
	}
	if spread := most.sub(least); !spread.within(w.split.spread, reNanometres(4)) || reMostSpread.add(reNanometres(2)).less(spread) {
		d.add(path+".take_ups", "differ by %v, want %v", spread, w.split.spread)
	}
}

func (w reLaws) allowed(trim reNum) bool {
	for _, t := range w.split.trims {
		if trim.within(t, reNanometres(2)) {
			return true
		}
	}
	return false
}

// hidden counts the seams that a pleat hides, and those that lie in a take-up, clear of both its sides.
func (w reLaws) hidden(takeUps, seams []reNum, near reNum) (hidden, inside int) {
	quarter := w.h.takeUpOf(w.h.n).div(reInt(4)).add(near)
	for _, x := range seams {
		before := reInt(0)
		for k, takeUp := range takeUps {
			start := w.h.base(k).add(before)
			end := start.add(takeUp)
			if x.between(start.add(reSeamClear).sub(near), end.sub(reSeamClear).add(near)) {
				inside++
				if w.h.row.pinched() || x.sub(start).atMost(quarter) || end.sub(x).atMost(quarter) {
					hidden++
				}
				break
			}
			before = before.add(takeUp)
		}
	}
	return hidden, inside
}

// list reads lengths of the JSON; it is nil when one can't be read.
func (w reLaws) list(v any) []reNum {
	items, _ := v.([]any)
	out := []reNum{}
	for _, item := range items {
		text, _ := item.(string)
		number, ok := strings.CutSuffix(text, w.u.name)
		value, err := reParse(number)
		if !ok || err != nil {
			return nil
		}
		out = append(out, value.mul(w.u.size))
	}
	return out
}

// reShapeDiffers compares free lengths with their sample but for the values.
func reShapeDiffers(got, sample any) string {
	if list, ok := sample.([]any); ok {
		items, _ := got.([]any)
		if len(items) != len(list) {
			return fmt.Sprintf("is %v, want %d of %v", got, len(list), reShow(sample))
		}
		for i := range list {
			if why := reShapeDiffers(items[i], list[i]); why != "" {
				return why
			}
		}
		return ""
	}
	want := sample.(reLength)
	text, _ := got.(string)
	number, ok := strings.CutSuffix(text, want.unit)
	if !ok || !reNumberText.MatchString(number) || !reTrimmed(number, reDecimals[want.unit]) {
		return fmt.Sprintf("is %v, want a length in %s, such as %v", got, want.unit, reShow(want))
	}
	return ""
}
