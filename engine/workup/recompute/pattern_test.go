package recompute

import (
	"slices"
	"testing"
)

// Patterns that repeat sideways, one height for a room, and how wide a band is cut.

// mod is what is left of a over whole v, never below nothing.
func (a reNum) mod(v reNum) reNum { return a.sub(v.times(a.div(v).floor())) }

// reMotifs is a pattern that repeats sideways: its pitch, and its first middle from the left usable edge.
type reMotifs struct{ pitch, first reNum }

// matchWidth is the pitch of joins where the cloth doesn't say: as many whole motifs as leave a seam on either side.
func (m reMotifs) matchWidth(usable, seam reNum) reNum {
	return m.pitch.times(max(1, usable.sub(seam.times(2)).div(m.pitch).floor()))
}

// mirrored is what is trimmed at the leading edge of either panel of a pair so that the first motif's middle stands so far from
// both.
func (m reMotifs) mirrored(usable, sideHem, lead reNum) (left, right reNum) {
	off := sideHem.times(2).add(lead)
	return usable.sub(m.first).mod(m.pitch).sub(off).mod(m.pitch), m.first.mod(m.pitch).sub(off).mod(m.pitch)
}

// centred is what is trimmed at the left edge of a panel so that a motif, or the middle between two, stands in its middle.
func (m reMotifs) centred(flat, sideHem reNum, between bool) reNum {
	t := m.first.sub(sideHem.times(2)).sub(flat.half())
	if between {
		t = t.sub(m.pitch.half())
	}
	return t.mod(m.pitch)
}

// across are the middles of the motifs on a hemmed panel, from the edge that so much was trimmed at.
func (m reMotifs) across(flat, sideHem, trim reNum) []reNum {
	var at []reNum
	for x := m.first.sub(sideHem.times(2)).sub(trim).mod(m.pitch); x.atMost(flat); x = x.add(m.pitch) {
		at = append(at, x)
	}
	return at
}

// reHeight is where a window's pattern starts: what its heading takes above, its finished length, and how far its hem, and its
// motif, are above the room's.
type reHeight struct{ top, finished, hem, motif reNum }

// phase is where in the repeat a cut of it starts, by the hem or by the top edge.
func (h reHeight) phase(v reNum, byTop bool) reNum {
	if byTop {
		return reInt(0).sub(h.top).sub(h.motif).mod(v)
	}
	return h.motif.sub(h.hem).sub(h.top).sub(h.finished).mod(v)
}

// reLost is what cuts of several phases lose once a fabric: all of a repeat but the widest gap between two of them.
func reLost(v reNum, phases []reNum) reNum {
	phases = slices.Clone(phases)
	slices.SortFunc(phases, func(a, b reNum) int { return a.r.Cmp(b.r) })
	widest := v.sub(phases[len(phases)-1]).add(phases[0])
	for i := 1; i < len(phases); i++ {
		if gap := phases[i].sub(phases[i-1]); widest.less(gap) {
			widest = gap
		}
	}
	return v.sub(widest)
}

// reBand is a band along an edge: so wide, sewn to the face's edge or laid over it.
type reBand struct {
	wide    reNum
	applied bool
}

// cut is how wide a band of it is cut. turned is the side or bottom hem's depth, turn what an applied one turns in.
func (b reBand) cut(seam, turned, turn reNum) reNum {
	if b.applied {
		return b.wide.add(turn.times(2))
	}
	return b.wide.add(seam, turned.times(2))
}

// reSame wants numbers to be as they were printed or worked out by hand.
func reSame(t *testing.T, name string, got, want reNum) {
	t.Helper()
	if !got.within(want, reFrac(1, 10_000_000)) {
		t.Errorf("%s: %v, want %v", name, got, want)
	}
}

func TestRecomputePatterns(t *testing.T) {
	turned := reTreatment{face: "voile", sideHem: reLen{reNum: reInt(0)}}
	o := reOrder{conv: reConv{widthAllowance: reInt(40), step: reFrac(1, 10), shrink: reInt(0)}, fabrics: []reFabric{{id: "voile"}}}
	reSame(t, "curtains of 200 cm at 2½, run sideways", o.runOf(turned, reInt(500)), reInt(540))
	o.conv.shrink = reFrac(1, 10)
	reSame(t, "the same of cloth that shrinks by 10 %", o.runOf(turned, reInt(500)), reInt(600))

	m := reMotifs{reInt(13), reInt(4)}
	left, right := m.mirrored(reInt(53), reFrac(3, 2), reFrac(13, 2))
	reSame(t, "trim of the left panel", left, reFrac(1, 2))
	reSame(t, "trim of the right panel", right, reFrac(15, 2))
	for _, lead := range [][]reNum{m.across(reInt(50), reFrac(3, 2), right), reMotifs{m.pitch, reInt(53).sub(m.first)}.across(reInt(50), reFrac(3, 2), left)} {
		reSame(t, "first motif from the lead", lead[0], reFrac(13, 2))
		reSame(t, "second motif from the lead", lead[1], reFrac(39, 2))
	}
	on, between := m.centred(reInt(40), reFrac(3, 2), false), m.centred(reInt(40), reFrac(3, 2), true)
	reSame(t, "centred on a motif", on, reInt(7))
	reSame(t, "centred between two", between, reFrac(1, 2))
	for i, want := range []int64{7, 20, 33} {
		reSame(t, "motif", m.across(reInt(40), reFrac(3, 2), on)[i], reInt(want))
	}
	reSame(t, "joins of a print of 53", m.matchWidth(reInt(53), reFrac(1, 2)), reInt(52))

	v := reInt(25)
	first, second := reHeight{reInt(8), reInt(100), reInt(0), reInt(0)}, reHeight{reInt(8), reInt(84), reInt(12), reInt(0)}
	a, b := first.phase(v, false), second.phase(v, false)
	reSame(t, "phase of the first window", a, reInt(17))
	reSame(t, "phase of the second", b, reInt(21))
	reSame(t, "lost", reLost(v, []reNum{a, b}), reInt(4))
	reSame(t, "cloth of both", reUp(reInt(116), v).times(4).add(reUp(reInt(100), v).times(2), reLost(v, []reNum{a, b})), reInt(704))
	reSame(t, "lost with a half-drop", reLost(v, []reNum{a, b, a.add(v.half()).mod(v), b.add(v.half()).mod(v)}), reFrac(33, 2))
	reSame(t, "lost of one phase", reLost(v, []reNum{a}), reInt(0))
	reSame(t, "lost of a plain half-drop", reLost(v, []reNum{a, a.add(v.half()).mod(v)}), v.half())
	for _, h := range []reHeight{first, second} {
		reSame(t, "phase by the top", h.phase(v, true), reInt(17))
	}

	shrunk := func(length int64) reNum { return reUp(reInt(length).div(reFrac(97, 100)), reFrac(1, 16)) }
	reSame(t, "100 that shrinks by 3 %", shrunk(100), reFrac(825, 8))
	reSame(t, "118 that shrinks by 3 %", shrunk(118), reFrac(1947, 16))
	reSame(t, "104 that grows by 4 %", reInt(104).div(reFrac(104, 100)).add(reInt(16)), reInt(116))

	joined, applied := reBand{reInt(3), false}, reBand{reInt(3), true}
	reSame(t, "joined band", joined.cut(reFrac(1, 2), reFrac(3, 2), reFrac(3, 8)), reFrac(13, 2))
	reSame(t, "applied band", applied.cut(reFrac(1, 2), reFrac(3, 2), reFrac(3, 8)), reFrac(15, 4))
	o.conv = reConv{seam: reFrac(1, 2), sideHem: reFrac(3, 2)}
	for method, want := range map[string]struct {
		face   reNum
		halves int
	}{"joined": {reFrac(209, 2), 4}, "applied": {reInt(110), 5}} {
		tr := reTreatment{face: "voile", reOfWindow: reOfWindow{bands: []reBanded{{edge: "leading", method: method, wide: reLen{reNum: reInt(3)}}}}}
		face := reInt(104).add(o.hems(tr))
		reSame(t, "face beside a band that is "+method, face, want.face)
		if got := reWidths(reInt(54), reInt(1), face, true).halves; got != want.halves {
			t.Errorf("%v of face are %d half widths, want %d", face, got, want.halves)
		}
	}
	if strips := reInt(54).div(joined.cut(reFrac(1, 2), reFrac(3, 2), reFrac(3, 8))).floor(); strips != 8 {
		t.Errorf("%d strips of a band across, want 8", strips)
	}
}
