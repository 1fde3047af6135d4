package cutplan

import "slices"

// tryTo does something, and takes it back where more is loose then.
func (r *repacking) tryTo(do func()) {
	before := *r
	r.on, r.lotOf = slices.Clone(r.on), slices.Clone(r.lotOf)
	r.loose = slices.Clone(r.loose)
	for lot := range r.loose {
		r.loose[lot] = slices.Clone(r.loose[lot])
	}
	if do(); r.over > before.over {
		before.random = r.random
		*r = before
	}
}

const refills = 4 // after a change, of each lot that it is of

// another gives a unit another lot.
func (r *repacking) another() {
	n := r.random.Below(len(r.units))
	from, to := r.lotOf[n], r.random.Below(len(r.lots))
	if from < 0 || to == from || !r.allowed(r.units[n].group, to) {
		return
	}
	for _, p := range r.units[n].items {
		k := r.items[p.item].kind
		for range p.count {
			if r.loose[from][k] == 0 && !r.takeOff(from, k) {
				return
			}
			r.loose[from][k]--
			r.loose[to][k]++
		}
	}
	r.lotOf[n] = to
	for range refills {
		r.refill(from)
		r.refill(to)
	}
}

// takeOff makes a cut of a kind loose that lies on a piece of a lot.
func (r *repacking) takeOff(lot, kind int) bool {
	first := r.random.Below(len(r.on))
	for i := range r.on {
		on := &r.on[(first+i)%len(r.on)]
		if r.classes[on.piece.class].lot != lot || on.filling.take[kind] == 0 {
			continue
		}
		f := filling{take: slices.Clone(on.filling.take)}
		f.take[kind]--
		at := slices.IndexFunc(on.filling.lays, func(l lay) bool { return l.kind == kind })
		f.lays = slices.Delete(slices.Clone(on.filling.lays), at, at+1)
		on.filling = f
		r.loose[lot][kind]++
		r.over += r.kinds[kind].length
		return true
	}
	return false
}

// exchange takes one piece for another that isn't used.
func (r *repacking) exchange() {
	if len(r.on) == 0 {
		return
	}
	i, q := r.random.Below(len(r.on)), r.unused()
	cost := int64(0)
	for _, on := range r.on {
		cost += r.classes[on.piece.class].cost
	}
	p := r.on[i].piece
	if q == (piece{-1, 0}) || r.classes[p.class].cost == 0 || cost-r.classes[p.class].cost+r.classes[q.class].cost > r.most {
		return
	}
	r.take(p, &r.on[i].filling, 1)
	r.over += r.lengthOn(&r.on[i].filling)
	r.on[i] = packed{q, filling{take: make([]int, len(r.kinds))}}
	for range refills {
		r.refill(r.classes[p.class].lot)
		r.refill(r.classes[q.class].lot)
	}
}

// unused is a piece that nothing lies on and that costs something.
func (r *repacking) unused() piece {
	all := r.everyPiece()
	first := r.random.Below(len(all))
	for i := range all {
		p := all[(first+i)%len(all)]
		if r.classes[p.class].cost > 0 && !slices.ContainsFunc(r.on, func(on packed) bool { return on.piece == p }) {
			return p
		}
	}
	return piece{-1, 0}
}
