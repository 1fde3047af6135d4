package cutplan

// onRoom is how a room holds sets: from its front, from its back, and with the longest gap between.
type onRoom struct {
	end, start []int64
	last       []int16 // by set, the item laid last, from the front
	first      []int16
	gap        []int64 // -1: the room doesn't hold it
	behind     []int32 // what of the set lies behind the gap
}

func (s *bySets) onRoom(c *class, room room) onRoom {
	kerf, kept := int64(s.problem.Kerf), int64(s.problem.MinRemnant)
	o := onRoom{end: make([]int64, s.n), start: make([]int64, s.n), last: make([]int16, s.n), first: make([]int16, s.n), gap: make([]int64, s.n), behind: make([]int32, s.n)}
	for set := 1; set < s.n; set++ {
		o.end[set], o.start[set] = room.to+1, room.from-1
		for i, it := range s.items {
			if s.count(set, i) == 0 {
				continue
			}
			k, before := &s.kinds[it.kind], set-s.radix[i]
			at, end := room.from, room.to
			if before > 0 {
				at, end = o.end[before]+kerf, o.start[before]-kerf
			}
			if before == 0 || o.end[before] <= room.to {
				if e := room.next(c, k, at) + k.length; e < o.end[set] {
					o.end[set], o.last[set] = e, int16(i)
				}
			}
			if before == 0 || o.start[before] >= room.from {
				if b := room.latest(c, k, end); b > o.start[set] {
					o.start[set], o.first[set] = b, int16(i)
				}
			}
		}
	}
	for set := range o.gap {
		o.gap[set] = -1
	}
	for _, p := range s.pairs {
		front, back, before, behind := room.front, room.back, int64(0), int64(0)
		if p.a > 0 {
			front, before = o.end[p.a], kerf
			if o.end[p.a] > room.to {
				continue
			}
		}
		if p.b > 0 {
			back, behind = o.start[p.b], kerf
			if o.start[p.b] < room.from {
				continue
			}
		}
		if p.a > 0 && p.b > 0 && back < front+kerf {
			continue
		}
		gap := room.longest(front, back, before, behind)
		if gap < kept {
			gap = 0
		}
		if set := p.a + p.b; gap > o.gap[set] {
			o.gap[set], o.behind[set] = gap, p.b
		}
	}
	return o
}

// room is cloth between flaws that are as wide as the kerf, or ends; narrower flaws lie in it.
type room struct {
	stretch
	flaws []stretch // from front to back
}

func (s *bySets) roomsOf(c *class) []room {
	var rooms []room
	for i, st := range c.stretches {
		st.from = st.early
		if i > 0 && st.front-c.stretches[i-1].back < int64(s.problem.Kerf) {
			last := &rooms[len(rooms)-1]
			last.flaws = append(last.flaws, stretch{front: last.back, back: st.front})
			last.back, last.to = st.back, st.to
			continue
		}
		rooms = append(rooms, room{stretch: st})
	}
	return rooms
}

// next is where a cut can start at or behind a place, clear of flaws.
func (r *room) next(c *class, k *kind, at int64) int64 {
	at = c.next(k, at)
	for _, f := range r.flaws {
		if f.front < at+k.length && at < f.back {
			at = c.next(k, f.back)
		}
	}
	return at
}

// latest is the last start of a cut that ends at a place or before it, clear of flaws.
func (r *room) latest(c *class, k *kind, end int64) int64 {
	at := c.latest(k, end)
	for i := len(r.flaws) - 1; i >= 0; i-- {
		if f := r.flaws[i]; f.front < at+k.length && at < f.back {
			at = c.latest(k, f.front)
		}
	}
	return at
}

// longest is the longest clean cloth of a part of the room, where so much is lost at its ends.
func (r *room) longest(from, to, before, behind int64) (most int64) {
	at := from + before
	for _, f := range r.flaws {
		if f.back <= from || to <= f.front {
			continue
		}
		most = max(most, f.front-at)
		at = f.back
	}
	return max(most, to-behind-at)
}
