package workup

import (
	"fmt"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pieces counts the strips that so many half widths are sewn from: 2½ widths are 3.
func pieces(h measure.Halves) int { return (int(h) + 1) / 2 }

// joined is the width of cloth that h half widths of usable width give when each join takes loss.
func joined(h measure.Halves, usable, loss measure.Length) doubled {
	return doubled(usable.Times(int(h))) - twice(loss.Times(pieces(h)-1))
}

// fewest returns the least widths whose joined cloth is at least wanted, in halves or whole; 0 where joins eat
// every width up.
func fewest(wanted, usable, loss measure.Length, halves bool) measure.Halves {
	whole := int64(1)
	if wanted > usable {
		if usable <= loss {
			return 0
		}
		whole = (wanted - loss).CeilDiv(usable - loss) // k widths give k·(usable − loss) + loss
	}
	h := measure.Halves(2 * whole)
	if halves && joined(h-1, usable, loss) >= twice(wanted) {
		h--
	}
	return h
}

// halvesServe reports whether the other half of a split width serves a panel of the same treatment: always in a
// pair; else on plain cloth without a direction when there are at least two such windows.
func (w *window) halvesServe(f *orderfile.Fabric) bool {
	if w.line.Draw.Paired() {
		return true
	}
	return !Sided(f) && w.line.Quantity >= 2
}

// Sided reports whether the halves of a split width aren't alike: a pattern goes on from one of them, and cloth with a
// direction can't be turned to bring the other's selvedge over.
func Sided(f *orderfile.Fabric) bool { return !f.Plain() || f.HorizontalRepeat > 0 || oneWay(f) }

// kept is what shrinking leaves of a length.
type kept measure.Ratio

func (k kept) of(l measure.Length) measure.Length { return l.MulDiv(k.Num, k.Den) }

// keptAcross is what is left of a fabric's width, from selvedge to selvedge: cloth is shrunk after it is cut.
func keptAcross(f *orderfile.Fabric) kept { return kept{whole - int64(f.ShrinkWidth), whole} }

// usable is the width of a fabric's widths when they are joined.
func usable(f *orderfile.Fabric) measure.Length { return keptAcross(f).of(f.UsableWidth) }

// MatchWidth is the pitch at which the pattern of a face meets itself sideways on its bolt, 0 where that isn't known: the cloth's own, or as
// many whole motifs as leave the shop's seams on either side of a join; one, where not even that does.
func MatchWidth(c *orderfile.Conventions, f *orderfile.Fabric) measure.Length {
	if f.MatchWidth > 0 || f.HorizontalRepeat == 0 {
		return f.MatchWidth
	}
	motifs := (usable(f) - 2*c.Seam).FloorDiv(max(1, keptAcross(f).of(f.HorizontalRepeat)))
	return f.HorizontalRepeat.Times(max(1, int(motifs)))
}

// joinLoss is the cloth that a join of face widths takes: both seam allowances, or what the pattern doesn't use
// where it meets itself, for a pattern joined elsewhere is off at every join.
func (w *window) joinLoss() measure.Length {
	match := MatchWidth(&w.order.Conventions, w.face)
	if match == 0 {
		return 2 * w.order.Conventions.Seam
	}
	return usable(w.face) - keptAcross(w.face).of(match)
}

// leastJoin is the least cloth that can be sewn into a join, both sides together (common practice).
const leastJoin = quarter

// joins tells of joins that a match width makes narrower than the shop's, and refuses those that can't be sewn.
func (w *window) joins(p *Panel) bool {
	seams, loss := 2*w.order.Conventions.Seam, w.joinLoss()
	if pieces(p.Widths) == 1 || loss >= seams {
		return true
	}
	key := "match_width"
	if w.face.MatchWidth == 0 {
		key = "horizontal_repeat"
	}
	where := fmt.Sprintf("fabrics[%d].%s", w.order.FabricIndex(w.face.ID), key)
	args := map[string]any{
		"Fabric": w.face.ID, "Usable": usable(w.face), "Match": usable(w.face) - loss, "Loss": loss, "Seams": seams, "Least": leastJoin,
	}
	if loss < leastJoin {
		w.tellAt(engine.Error, "seam_narrow.error", where, args)
		return false
	}
	w.tellAt(engine.Warning, "seam_narrow", where, args)
	return true
}

// liningLoss is the cloth that a join of lining takes: its joins need not meet the face's.
func (w *window) liningLoss() measure.Length { return 2 * w.order.Conventions.Seam }

// countsHalves reports whether a panel of the cloth may take a half width: where the other half serves and the shop
// rounds to halves, or where a pair's total is whole and its half need not be (W10, M06).
func (w *window) countsHalves(f *orderfile.Fabric) bool {
	return w.order.Conventions.WidthsRounding == orderfile.UpToHalf && w.halvesServe(f) || w.splitsTotal()
}

// splitsTotal reports whether a pair's widths are rounded together and halved.
func (w *window) splitsTotal() bool {
	return w.order.Conventions.PairSplit == orderfile.SplitTotal && w.line.Draw.Paired()
}

// joinable reports whether joins leave anything of the widths that the order gives.
func (w *window) joinable(h measure.Halves, f *orderfile.Fabric, loss measure.Length, key string) bool {
	if pieces(h) > 1 && usable(f) <= loss {
		w.eatenByJoins(f, loss, key)
		return false
	}
	return true
}

// widths rounds the widths that give the cloth wanted, or fewer that give the least of it; 0 and false, with the
// reason told, where the joins take the whole cloth. A tape fixes its flat width, so its widths always suffice.
func (w *window) widths(f *orderfile.Fabric, wanted, least, loss measure.Length, key string, suffice bool) (measure.Halves, bool) {
	h := fewest(least, usable(f), loss, w.countsHalves(f))
	if h == 0 {
		w.eatenByJoins(f, loss, key)
		return 0, false
	}
	if w.tooManyPieces(f, h) {
		return 0, false
	}
	if w.order.Conventions.WidthsRounding != orderfile.NearestWhole || usable(f) <= loss {
		return h, true
	}
	near := w.nearest(wanted, usable(f), loss)
	if suffice {
		return max(near, h), true
	}
	return min(near, h), true
}

// nearest rounds to the nearest whole width, halves up, at least one (published example M06): of a pair's total, or
// of the panel. k whole widths give k·(usable − loss) + loss.
func (w *window) nearest(wanted, usable, loss measure.Length) measure.Halves {
	joined := usable - loss
	if w.splitsTotal() {
		return measure.Halves(max(1, (4*(wanted-loss) + joined).FloorDiv(2*joined)))
	}
	return measure.Halves(2 * max(1, (2*(wanted-loss)+joined).FloorDiv(2*joined)))
}

// backing is the widths of a lining or an interlining: the fewest that cover the flat width. Their joins need not
// meet the face's.
func (w *window) backing(f *orderfile.Fabric, flat measure.Length, key string) (measure.Halves, bool) {
	loss := w.liningLoss()
	h := fewest(flat, usable(f), loss, w.countsHalves(f))
	if h == 0 {
		w.eatenByJoins(f, loss, key)
		return 0, false
	}
	return h, !w.tooManyPieces(f, h)
}

func (w *window) eatenByJoins(f *orderfile.Fabric, loss measure.Length, key string) {
	w.fail("bad_value.joins", key, map[string]any{"Fabric": f.ID, "Usable": usable(f), "Loss": loss})
}

// atRight reports whether a panel's return edge hangs at the right: a pair's right one, and a single that is drawn to the right.
func (w *window) atRight(id PanelID) bool { return id == Right || w.line.Draw == orderfile.OneWayRight }

// layPieces lists a panel's strips from the return edge, the half first. Of a split width the right half goes to a
// return edge at the left and the left half to one at the right, so that a pattern runs on. A half-drop's
// class counts from the leading edge: both leads show the same height, and both halves of a width agree.
func layPieces(h measure.Halves, atRight, halfDrop bool) []Piece {
	list := make([]Piece, pieces(h))
	for i := range list {
		if halfDrop {
			list[i].Class = (len(list) - 1 - i) % 2
		}
	}
	if h%2 == 1 {
		list[0].Half = RightHalf
		if atRight {
			list[0].Half = LeftHalf
		}
	}
	return list
}

// joint is everything that decides where the joins of a panel fall. A half width and the middle of a join are halves.
type joint struct {
	halves  measure.Halves
	usable  measure.Length
	loss    measure.Length // λ, cloth that a join takes
	hems    doubled        // cloth beyond the return edge, see window.beyond
	flat    doubled        // H
	first   doubled        // e + s/2, the flat before the first take-up
	period  doubled
	takeUp  doubled
	pleats  int
	clear   doubled // a seam nearer a finished edge than this is avoided
	surplus doubled
	step    measure.Length
	shut    bool // a pleat hides a seam anywhere in it

	settled bool           // motifs have their places, so that nothing is left to choose:
	at      measure.Length // this is trimmed at the return edge
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
	worst, sum        doubled
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
	if j.settled {
		return j.trimmed(j.at)
	}
	step := j.trimStep()
	best, at := j.look(0), measure.Length(0)
	if pieces(j.halves) > 1 {
		for t := step; twice(t) <= j.surplus; t += step {
			if l := j.look(t); !l.worseThan(best) {
				best, at = l, t
			}
		}
	} else {
		at = measure.Length(j.surplus / 2).FloorTo(step)
	}
	return j.trimmed(at)
}

// trimStep is the shop's step, or a coarser one where it would make too many trials.
func (j joint) trimStep() measure.Length {
	step := j.step
	if step <= 0 {
		step = measure.Inch / 16
	}
	if least := measure.Length(j.surplus / (2 * maxTrials)); step < least {
		return least.CeilTo(step)
	}
	return step
}

// nearEdge reports whether a seam at x lies too near a finished edge.
func (j joint) nearEdge(x doubled) bool { return x < j.clear || j.flat-x < j.clear }

// seam is the middle of join i (from 1), from the return edge, when t is trimmed there.
func (j joint) seam(i int, t measure.Length) doubled {
	strips := measure.Halves(2 * i) // the half lies first
	if j.halves%2 == 1 {
		strips--
	}
	return doubled(j.usable.Times(int(strips))-j.loss.Times(2*i-1)) - twice(t) - j.hems
}

// visible tells how far a seam at x is seen, and whether it lies in a space. It lies in a pleat when it is an
// eighth of an inch clear of its sides (from memory: less, and the fold shows it).
func (j *joint) visible(x doubled) (doubled, bool) {
	k := (x - j.first).floorDiv(j.period)
	into := x - j.first - j.period*doubled(k)
	aside := min(into, j.takeUp-into)
	switch {
	case k < 0 || k >= int64(j.pleats) || aside < twice(eighth):
		return j.takeUp, true
	case j.shut:
		return 0, false
	}
	return aside, false
}

func (j *joint) look(t measure.Length) look {
	var l look
	for i := 1; i < pieces(j.halves); i++ {
		x := j.seam(i, t)
		if j.nearEdge(x) {
			l.nearEdge++
		}
		v, space := j.visible(x)
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
	r := trimming{atReturn: t, atLeading: (j.surplus - twice(t)).half(), seams: []measure.Length{}}
	for i := 1; i < pieces(j.halves); i++ {
		x := j.seam(i, t)
		r.seams = append(r.seams, x.half())
		v, space := j.visible(x)
		if space {
			continue
		}
		r.inPleats++
		if 4*v <= j.takeUp {
			r.hidden++
		}
	}
	return r
}

// joint gathers what decides where the joins of the face fall.
func (w *window) joint(p *Panel) joint {
	conv := &w.order.Conventions
	j := joint{
		halves: p.Widths, usable: usable(w.face), loss: w.joinLoss(), hems: twice(w.beyond(orderfile.BandReturn)), flat: twice(p.FlatWidth),
		clear: twice(conv.EdgeClear), step: conv.Step, shut: w.heading.Seams == orderfile.HiddenInFold,
	}
	if w.heading.Family == orderfile.SetByTape {
		j.first, j.period = w.pulled.first()+doubled(w.tape.Space), twice(w.tape.Period)
		j.takeUp, j.pleats = twice(p.TakeUp), p.Pleats
	}
	return j
}

// joinedFace is the cloth that the joined widths of the face give, or what shrinking leaves of the run of one that is railroaded.
func (w *window) joinedFace(p *Panel) doubled {
	if p.Railroaded() {
		return doubled((2 * p.Run).MulDiv(w.keptAlong(), whole))
	}
	return joined(p.Widths, usable(w.face), w.joinLoss())
}

// mostFlat is what the panel's widths may lie flat, hems taken off.
func (w *window) mostFlat(p *Panel) doubled {
	if w.placed() {
		return w.widest(p.Widths)
	}
	return w.joinedFace(p) - twice(w.besides())
}

// widest is what so many widths may lie flat, hems taken off and motifs in their places.
func (w *window) widest(h measure.Halves) doubled {
	return doubled(w.placing().Widest(w.motifs(h), measure.Length(joined(h, usable(w.face), w.joinLoss()))))
}

// roomy adds what placing the motifs of a flat panel takes to widths that it would do without.
func (w *window) roomy(h measure.Halves, flat measure.Length, key string) (measure.Halves, bool) {
	if !w.placed() {
		return h, true
	}
	by := measure.Halves(2)
	if w.countsHalves(w.face) {
		by = 1
	}
	rest := w.besides() + w.order.Conventions.WidthAllowance
	for joined(h, usable(w.face), w.joinLoss()) < twice(flat+rest+w.motifCost(h, flat)) {
		if h += by; !w.joinable(h, w.face, w.joinLoss(), key) || w.tooManyPieces(w.face, h) {
			return 0, false
		}
	}
	return h, true
}

// over is the cloth that the panel's widths have over its flat width and its hems.
func (w *window) over(p *Panel, flat measure.Length) doubled {
	return max(0, w.joinedFace(p)-twice(flat+w.besides()))
}

// settle says of a joint whose panel has its motifs placed where its surplus is trimmed.
func (w *window) settle(side PanelID, j *joint) {
	if !w.placed() {
		return
	}
	trim, leading := w.motifTrim(side, j.halves, j.flat.half())
	if leading {
		trim = max(0, (j.surplus - twice(trim)).half())
	}
	j.settled, j.at = true, trim
}
