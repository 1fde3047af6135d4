package recompute

// rePocket is the tunnel of a rod pocket, from the top edge down: the stand above it, the tunnel, and what is turned in below.
type rePocket struct{ stand, depth, turn reNum }

func (o reOrder) pocketOf(tr reTreatment) rePocket {
	u, rod := reUnits(o.unit), o.rodOf(tr)
	p := rePocket{stand: tr.stand.or(reInt(0)), depth: tr.pocketDeep.reNum, turn: tr.turn.or(u.small(reFrac(1, 2), 15))}
	if p.depth.given() {
		return p
	}
	p.depth = rod.round().add(o.conv.pocketEase).half()
	if o.conv.pocketRule == "diameter" && rod.across().given() {
		p.depth = rod.across().add(o.conv.pocketEase)
	}
	p.depth = reUp(p.depth, o.conv.step)
	return p
}

// round is how far it is around a rod, across how thick it is; absent where nothing of it is known.
func (r reRod) round() reNum {
	if r.circumference.given() || !r.diameter.given() {
		return r.circumference.reNum
	}
	return r.diameter.mul(rePi)
}

func (r reRod) across() reNum {
	if r.diameter.given() || !r.circumference.given() || r.kind == "flat" { // how high a flat rod is nobody says
		return r.diameter.reNum
	}
	return r.circumference.div(rePi)
}

// reEyelet is an eyelet: its hole, its rim, and how far its middle is below the top edge.
type reEyelet struct{ in, out, at reNum }

func (o reOrder) eyeletOf(tr reTreatment) reEyelet {
	u := reUnits(o.unit)
	e := reEyelet{in: tr.eyeletIn.or(u.small(reFrac(25, 16), 40)), out: tr.eyeletOut.or(u.small(reFrac(5, 2), 66))}
	e.at = tr.eyeletAt.or(e.in.half().add(u.small(reInt(1), 25)))
	return e
}

// reTab is a tab: how wide, how far its panel hangs below the pole, the strip that goes round, and the facing behind the top.
type reTab struct{ wide, gap, loop, cutLong, cutWide, facing reNum }

func (o reOrder) tabSeam() reNum { return reUnits(o.unit).small(reFrac(1, 2), 15) }

func (o reOrder) tabOf(tr reTreatment) reTab {
	u, turned := reUnits(o.unit), o.tabSeam().times(2)
	t := reTab{wide: tr.tabWide.or(u.small(reInt(2), 50)), gap: tr.tabGap.or(u.small(reInt(2), 50)), facing: tr.tabFacing.or(u.small(reInt(3), 75))}
	t.loop = tr.tabLoop.reNum
	if d := o.rodOf(tr).across(); !t.loop.given() && d.given() {
		t.loop = reUp(d.mul(rePi.half().add(reInt(1))).add(t.gap.times(2)), o.conv.step)
	}
	t.cutLong, t.cutWide = t.loop.add(turned), t.wide.times(2).add(turned)
	return t
}

// reTrimmings are pieces cut from the face's cloth beside the panels, where no pattern has to meet.
type reTrimmings struct {
	what        string
	pieces      int
	cuts        int // of the cloth: rows of tabs, strips of facing
	length, cut reNum
}

// trimmings are the tabs of a treatment and their facings. Tabs lie lengthwise, side by side across the cloth; facings across it,
// each of as many strips as make it long enough.
func (o reOrder) trimmings(tr reTreatment, made []reMade) []reTrimmings {
	if tr.heading != "tab" {
		return nil
	}
	tab, usable := o.tabOf(tr), o.fabric(tr.face).across()
	tabs, strips := 0, 0
	for _, m := range made {
		tabs += m.points * tr.count()
		k := 1
		for usable.times(k).sub(o.conv.seam.times(2 * (k - 1))).less(m.flat.add(o.tabSeam().times(2))) {
			k++
		}
		strips += k * tr.count()
	}
	rows := (tabs + usable.div(tab.cutWide).floor() - 1) / usable.div(tab.cutWide).floor()
	return []reTrimmings{
		{"tabs", tabs, rows, tab.cutLong.times(rows), tab.cutLong}, {"facing", strips, strips, tab.facing.times(strips), tab.facing},
	}
}

// tooTight says whether a pocket doesn't go over its rod.
func (o reOrder) tooTight(tr reTreatment) bool {
	round := o.rodOf(tr).round()
	return tr.heading == "rod-pocket" && round.given() && o.pocketOf(tr).depth.less(round.half())
}

// collide says whether eyelets or tabs have no room beside each other.
func (o reOrder) collide(tr reTreatment, pitch reNum) bool {
	switch tr.heading {
	case "eyelet":
		return pitch.less(o.eyeletOf(tr).out.add(reFrac(1, 2)))
	case "tab":
		return pitch.less(o.tabOf(tr).wide)
	}
	return false
}

// poleKeys adds what the pole and the heading's own parts come to, and tells what doesn't go together.
func (o reOrder) poleKeys(tr reTreatment, s reSpread, made *reMade, p *reFindings) {
	l, panel, rod := reUnits(o.unit).length, made.tree, o.rodOf(tr)
	if at := o.bearing(tr); at.given() {
		panel["bearing_below_top"] = l(at)
		apart := reInt(0)
		if tr.toFloor.given() {
			apart = o.hung(tr).sub(at).abs()
		}
		p.tell("warning", "hang_differs", reFrac(1, 8).less(apart))
	}
	clearance := func(inner, by reNum) bool { return rod.across().given() && inner.less(rod.across().add(by)) }
	switch tr.heading {
	case "rod-pocket":
		at := o.pocketOf(tr)
		panel["pocket"], panel["stand"], panel["turn"] = l(at.depth), l(at.stand), l(at.turn)
		made.tunnel = s.flat
		if at.stand.sign() > 0 {
			made.tunnel = s.flat.times(2)
		}
		panel["stitching"] = reMaybe{l(made.tunnel)}
		if round := rod.round(); round.given() {
			p.tell("warning", "pocket_tight", at.depth.less(round.half().add(reFrac(1, 4))))
		}
		p.tell("note", "stand_flops", reInt(5).less(at.stand))
	case "eyelet":
		e, fold := o.eyeletOf(tr), o.foldOf(tr)
		panel["eyelet_drop"] = l(e.at)
		made.eyelet = e
		p.tell("warning", "eyelet_tight", clearance(e.in, o.conv.eyeletClear))
		p.tell("warning", "eyelet_off_band", fold.sub(reFrac(1, 4)).less(e.at.add(e.out.half())) || e.at.less(e.out.half().add(reFrac(1, 4))))
	case "tab":
		tab := o.tabOf(tr)
		panel["tab_loop"] = l(tab.loop)
		panel["tab_cut"] = reTree{"length": l(tab.cutLong), "width": l(tab.cutWide)}
		panel["facing_piece"] = reTree{"length": l(s.flat.add(o.tabSeam().times(2))), "height": l(tab.facing)}
		p.tell("note", "tabs_drag", tr.draw != "stationary" && tr.draw != "stationary_pair")
	case "ring":
		p.tell("warning", "ring_tight", rod.ringIn.given() && clearance(rod.ringIn.reNum, reFrac(1, 2)))
	}
}
