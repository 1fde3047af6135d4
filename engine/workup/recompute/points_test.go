package recompute

// reSettled is a panel of which all is known.
type reSettled struct {
	reSpread
	stands           []reNum // places of the points
	reach            reNum   // of carriers: the widest that it hangs
	inFront, atPoint int     // seams
}

// settle chooses the points and the trim: of a pair that has one count the points with which the seams of both lie best.
func (o reOrder) settle(tr reTreatment, s reSpread, wave reWave) reSettled {
	var all []rePoints
	switch s.flow.holds {
	case "gather":
		all = []rePoints{{}}
	case "carriers":
		all = []rePoints{wave.rePoints}
	default:
		all = o.choices(tr, s)
	}
	low, _, best := o.pitches(tr, s.flow)
	if !low.given() {
		best = reInt(0)
	}
	look := reLook{step: o.conv.step, edgeClear: o.conv.edgeClear, clear: o.clearOf(tr), best: best}
	var out reSettled
	var least reMerit
	for i, p := range all {
		with := s
		with.rePoints = p
		trim, own := look.trim(with)
		merit := own
		if mate, ok := o.mate(tr); ok {
			beside := with
			beside.forced = o.placedTrim(mate, s.joined, s.flat)
			_, its := look.trim(beside)
			merit.nearEdge, merit.atPoint, merit.front = own.nearEdge+its.nearEdge, own.atPoint+its.atPoint, own.front+its.front
		}
		if i == 0 || merit.before(least) {
			with.trim = trim
			out, least = reSettled{reSpread: with, inFront: own.front, atPoint: own.atPoint}, merit
		}
	}
	if out.n > 0 {
		out.stands = out.places()
	}
	if wave.n > 0 {
		out.stands, out.reach = wave.stands(), wave.reach
	}
	return out
}

// pitches is the range of the pitch, and the pitch preferred.
func (o reOrder) pitches(tr reTreatment, f reFlow) (low, high, best reNum) {
	return tr.pitchLow.or(f.pitchLow), tr.pitchHigh.or(f.pitchHigh), tr.pitchBest.or(f.pitchFor)
}

// clearOf is how near a point a seam is in the way.
func (o reOrder) clearOf(tr reTreatment) reNum {
	switch tr.heading {
	case "eyelet":
		return o.eyeletOf(tr).out.half().add(reFrac(1, 2))
	case "tab":
		return o.tabOf(tr).wide.half().add(reFrac(1, 2))
	}
	return reInt(0)
}

// pointsOf are so many points: the flats outside the first and the last are what the heading wants, or half a pitch.
func (o reOrder) pointsOf(tr reTreatment, s reSpread, n int) rePoints {
	p := rePoints{n: n}
	end := reNum{}
	switch s.flow.ends {
	case "tab":
		end = o.tabOf(tr).wide.half()
	case "inset":
		end = s.flow.inset
	case "fixed":
		end = s.flow.end
	}
	if tr.pointsEnd.given() {
		end = tr.pointsEnd.reNum
	}
	p.first, p.last = end, end
	if s.ret.sign() > 0 {
		p.first = s.ret
	}
	fixed, shares := reInt(0), reInt(int64(n-1))
	for _, flat := range []reNum{p.first, p.last} {
		if flat.given() {
			fixed = fixed.add(flat)
		} else {
			shares = shares.add(reFrac(1, 2))
		}
	}
	p.pitch = s.flat.sub(fixed).div(shares)
	p.first, p.last = p.first.or(p.pitch.half()), p.last.or(p.pitch.half())
	return p
}

// choices are the numbers of points that a panel may have: the one ordered; those that put the pitch into its range; else the one
// that puts it nearest to it, the fewest of equals.
func (o reOrder) choices(tr reTreatment, s reSpread) []rePoints {
	if tr.points > 0 {
		return []rePoints{o.pointsOf(tr, s, tr.points)}
	}
	low, high, _ := o.pitches(tr, s.flow)
	var in []rePoints
	var nearest rePoints
	for n := 2; ; n++ {
		if s.flow.even && n%2 == 1 {
			continue
		}
		p := o.pointsOf(tr, s, n)
		if p.pitch.between(low, high) {
			in = append(in, p)
		}
		if nearest.n == 0 || p.pitch.beyond(low, high).less(nearest.pitch.beyond(low, high)) {
			nearest = p
		}
		if p.pitch.less(low) {
			break
		}
	}
	if len(in) == 0 {
		in = append(in, nearest)
	}
	return in
}

// reMerit is what a number of points with a trim comes to; less is better in each, one after another.
type reMerit struct {
	nearEdge, atPoint, front int
	offBest                  reNum // of the pitch
	n                        int
	atLead                   reNum
}

func (a reMerit) before(b reMerit) bool {
	for _, d := range []int{
		a.nearEdge - b.nearEdge, a.atPoint - b.atPoint, a.front - b.front, a.offBest.r.Cmp(b.offBest.r), a.n - b.n, a.atLead.r.Cmp(b.atLead.r),
	} {
		if d != 0 {
			return d < 0
		}
	}
	return false
}

// reLook tries trims.
type reLook struct{ step, edgeClear, clear, best reNum }

// trim is the best trim at the return edge of a panel with its points: of equals the greatest, which leaves least to trim at the
// leading edge.
func (k reLook) trim(s reSpread) (trim reNum, best reMerit) {
	line := rePointLine{n: s.n}
	pitch, first := reInt(1), reInt(0)
	if s.n > 0 {
		pitch, first = s.pitch, s.first
	}
	g := reGrid(append([]reNum{s.surplus, k.step, s.flat, k.edgeClear, k.clear, first, pitch, s.forced.or(reInt(0))}, s.untrimmed...)...)
	line.first, line.pitch, line.clear = g[5], g[6], g[4]
	at := int64(-1)
	from, last := int64(0), g[0]
	if s.forced.given() {
		from, last = g[7], g[7]
	}
	for t := from; t <= last; t += g[1] {
		var now reMerit
		for _, x := range g[8:] {
			if x -= t; x < g[3] || g[2]-x < g[3] {
				now.nearEdge++
			}
			atPoint, front := line.meets(x)
			now.atPoint += atPoint
			now.front += front
		}
		if at < 0 || now.nearEdge < best.nearEdge || now.nearEdge == best.nearEdge &&
			(now.atPoint < best.atPoint || now.atPoint == best.atPoint && now.front <= best.front) {
			at, best = t, now
		}
	}
	trim = s.forced.or(k.step.times(int(at / g[1])))
	best.offBest, best.n, best.atLead = pitch.sub(k.best).abs(), s.n, s.surplus.sub(trim)
	return trim, best
}

// rePointLine are points along the flat panel, in cells.
type rePointLine struct {
	n                   int
	first, pitch, clear int64
}

// meets says whether a seam is nearer to a point than clear, and whether it lies in a gap that stands to the room: between the
// first point and the second, the third and the fourth, and so on.
func (l rePointLine) meets(x int64) (atPoint, front int) {
	for k := range int64(l.n) {
		from := x - l.first - k*l.pitch
		if -l.clear < from && from < l.clear {
			atPoint = 1
		}
		if k%2 == 0 && int(k) < l.n-1 && 0 < from && from < l.pitch {
			front = 1
		}
	}
	return atPoint, front
}
