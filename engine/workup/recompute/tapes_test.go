package recompute

import "slices"

// reWave are the points of a wave tape: a hook for each carrier.
type reWave struct {
	rePoints
	each, apart reNum // cloth from hook to hook, and from carrier to carrier when they are open
	outside     reNum // from the return edge to the first carrier
	flat, reach reNum
}

// waveOf is the fewest carriers, in pairs, on which the panel reaches its width.
func (o reOrder) waveOf(tr reTreatment, s reSpread) reWave {
	tape, rod := o.tapeOf(tr), o.rodOf(tr)
	w := reWave{each: tape.pocketPitch.times(tape.pockets), apart: rod.carriers.reNum}
	w.pitch, w.first, w.last, w.outside = w.each, w.each.half(), w.each.half(), w.apart.half()
	if s.ret.sign() > 0 {
		w.first, w.outside = s.ret, s.ret
	}
	for w.n = 2; ; w.n += 2 {
		if w.reach = w.outside.add(w.apart.times(w.n-1), w.apart.half()); s.asked.atMost(w.reach) {
			break
		}
	}
	w.flat = w.first.add(w.each.times(w.n-1), w.each.half())
	return w
}

// stands are the carriers' places when they are open.
func (w reWave) stands() []reNum {
	var places []reNum
	for k := range w.n {
		places = append(places, w.outside.add(w.apart.times(k)))
	}
	return places
}

// onTape adds what a tape without pleats comes to: a pencil tape's cords and fold, a wave tape's pockets.
func (o reOrder) onTape(tr reTreatment, s reSettled, made *reMade, out *reResult) {
	l, tape, panel, p := reUnits(o.unit).length, o.tapeOf(tr), made.tree, &out.problems
	u := reUnits(o.unit)
	beyond, drop, eighth := tape.beyond.or(u.beyond), tape.topDrop.or(u.topDrop), reFrac(1, 8)
	piece, line := s.flat.add(beyond.times(2)), drop.add(tape.height.reNum).sub(eighth)
	out.tape, made.stitched, made.pitch = tape.id, s.flat.times(2), piece
	panel["tape_piece"], panel["stitching"], panel["stitch_line"] = l(piece), l(made.stitched), l(line)
	p.tell("warning", "fold_outside_tape", !o.foldOf(tr).between(drop.add(reFrac(1, 2)), line))
	if s.flow.holds == "carriers" {
		made.pitch = reUp(piece, tape.pocketPitch.reNum)
		panel["tape_pitch"], panel["reach"] = l(made.pitch), l(s.reach)
		return
	}
	pull := s.flat.sub(s.asked)
	inHand := pull.add(beyond)
	panel["cord_pull_out"], panel["cord_in_hand"], panel["cords"] = l(pull), l(inHand), reCount(tape.cords)
	panel["cord_total"], panel["cord_end"] = l(inHand.times(tape.cords)), reWord(reCordEnd(tr))
	p.tell("warning", "tail_short", inHand.less(reInt(4)))
	p.tell("note", "cord_hazard", reCordEnd(tr) == "wound")
}

// hooksOf adds the hooks of a panel without pleats: along a gathered tape at even distances, at each carrier of a wave tape. What a
// pole goes through has none.
func (o reOrder) hooksOf(tr reTreatment, s reSettled, made *reMade) {
	c, u := o.conv, reUnits(o.unit)
	made.drop = tr.hookDrop.or(c.hookDrop)
	if tr.heading == "ring" { // of its pins
		made.drop = tr.hookDrop.or(u.small(reFrac(3, 8), 10))
	}
	var hooks []reNum
	switch {
	case s.flow.holds == "carriers":
		hooks = s.stands
	case tr.heading == "pencil-tape":
		hooks = s.gatheredHooks(c.hookInset, c.hookSpacing)
	}
	if s.n > 0 && c.hookInset.times(2).less(s.ret) { // the flat runs to the wall
		hooks = slices.Insert(hooks, 0, c.hookInset)
	}
	if tr.heading == "ring" {
		made.tree["hook_drop"] = u.length(made.drop)
	}
	if len(hooks) == 0 {
		return
	}
	made.hooks = len(hooks)
	made.tree["hooks"], made.tree["hook_places"], made.tree["hook_drop"] = reCount(made.hooks), u.lengths(hooks), u.length(made.drop)
}

// gatheredHooks stand from the rod's corner to the leading edge, and one more at the wall's edge where the return is no mere edge.
func (s reSpread) gatheredHooks(inset, spacing reNum) []reNum {
	var hooks []reNum
	from := inset
	if inset.times(2).less(s.ret) {
		hooks, from = append(hooks, inset), s.ret
	}
	room := s.asked.sub(inset).sub(from)
	gaps := room.div(spacing).ceil()
	if gaps < 1 {
		return append(hooks, from)
	}
	for k := range gaps + 1 {
		hooks = append(hooks, from.add(room.times(k).div(reInt(int64(gaps)))))
	}
	return hooks
}
