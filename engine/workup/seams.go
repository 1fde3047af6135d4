package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// joint is everything that decides where the joins of a panel fall, in doubled units: a half width and the middle
// of a join are halves.
type joint struct {
	halves   measure.Halves
	usable   measure.Length
	loss     measure.Length // λ, cloth that a join takes
	hems2    measure.Length // 2·(2·side hem), off the return edge
	flat2    measure.Length // 2H
	first2   measure.Length // 2·(e + s/2), the flat before the first take-up
	period2  measure.Length
	takeUp2  measure.Length
	pleats   int
	clear2   measure.Length // a seam nearer a finished edge than this is avoided
	surplus2 measure.Length
	step     measure.Length
	rule     orderfile.SeamRule
}

// trimming says where the surplus is trimmed and where the joins lie then.
type trimming struct {
	atReturn  measure.Length
	atLeading measure.Length
	seams     []measure.Length
	inPleats  int
	hidden    int
}

// look is how well a trim hides its seams. Visibility is counted in halves of a take-up's nanometre: 0 at the base
// of a tube, a take-up on its nose, two take-ups in a space.
type look struct {
	nearEdge, inSpace int
	worst, sum        measure.Length
}

func (a look) worseThan(b look) bool {
	switch {
	case a.nearEdge != b.nearEdge:
		return a.nearEdge > b.nearEdge
	case a.inSpace != b.inSpace:
		return a.inSpace > b.inSpace
	case a.worst != b.worst:
		return a.worst > b.worst
	}
	return a.sum > b.sum
}

// maxTrials bounds the trims tried where a shop's step is finer than any table's mark.
const maxTrials = 1 << 16

// hide tries every trim at the return edge, in steps, and keeps the one that hides the seams best: a cartridge is
// an open tube, its middle in full view, so the order is no seam near a finished edge, none in a space, the worst
// one nearest the base of its tube, then all together; last the smaller trim at the leading edge.
func (j joint) hide() trimming {
	step := j.trimStep()
	best, at := j.look(0), measure.Length(0)
	if pieces(j.halves) > 1 {
		for t := step; 2*t <= j.surplus2; t += step {
			if l := j.look(t); !l.worseThan(best) {
				best, at = l, t
			}
		}
	} else {
		at = (j.surplus2 / 2).FloorTo(step)
	}
	return j.trimmed(at)
}

// trimStep is the shop's step, or a coarser one where it would make too many trials.
func (j joint) trimStep() measure.Length {
	step := j.step
	if step <= 0 {
		step = measure.Inch / 16
	}
	if least := j.surplus2 / (2 * maxTrials); step < least {
		return least.CeilTo(step)
	}
	return step
}

// nearEdge reports whether a seam at x2/2 lies too near a finished edge.
func (j joint) nearEdge(x2 measure.Length) bool { return x2 < j.clear2 || j.flat2-x2 < j.clear2 }

// seam2 is twice the middle of join i (from 1), from the return edge, when t is trimmed there.
func (j joint) seam2(i int, t measure.Length) measure.Length {
	strips := measure.Halves(2 * i) // the half lies first
	if j.halves%2 == 1 {
		strips--
	}
	return j.usable.Times(int(strips)) - j.loss.Times(2*i-1) - 2*t - j.hems2
}

// visible tells how far a seam at x2/2 is seen, and whether it lies in a space. It lies in a pleat when it is an
// eighth of an inch clear of its sides (from memory: less, and the fold shows it).
func (j joint) visible(x2 measure.Length) (measure.Length, bool) {
	k := (x2 - j.first2).FloorDiv(j.period2)
	into2 := x2 - j.first2 - j.period2*measure.Length(k)
	aside2 := min(into2, j.takeUp2-into2)
	switch {
	case k < 0 || k >= int64(j.pleats) || aside2 < 2*eighth:
		return j.takeUp2, true
	case j.rule == orderfile.HiddenInFold:
		return 0, false
	}
	return aside2, false
}

func (j joint) look(t measure.Length) look {
	var l look
	for i := 1; i < pieces(j.halves); i++ {
		x2 := j.seam2(i, t)
		if j.nearEdge(x2) {
			l.nearEdge++
		}
		v, space := j.visible(x2)
		if space {
			l.inSpace++
		}
		l.worst = max(l.worst, v)
		l.sum += v
	}
	return l
}

// trimmed lists the seams of a trim; in the back half of its tube (visibility up to ½) a seam counts as hidden.
func (j joint) trimmed(t measure.Length) trimming {
	r := trimming{atReturn: t, atLeading: (j.surplus2 - 2*t).Div(2), seams: []measure.Length{}}
	for i := 1; i < pieces(j.halves); i++ {
		x2 := j.seam2(i, t)
		r.seams = append(r.seams, x2.Div(2))
		v, space := j.visible(x2)
		if space {
			continue
		}
		r.inPleats++
		if 4*v <= j.takeUp2 {
			r.hidden++
		}
	}
	return r
}
