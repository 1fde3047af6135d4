package cutplan

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// unit is cuts that come from one lot: a group's, or a single cut of none.
type unit struct {
	group int
	items []part
	load  int64
	key   string // units with one key are alike
}

type part struct{ item, count int }

func (j *job) unitsOf() []unit {
	var units []unit
	of := map[int]int{}
	for i, it := range j.items {
		weight := j.kinds[it.kind].weight
		if it.group < 0 {
			for range it.cuts {
				units = append(units, unit{group: -1, items: []part{{i, 1}}, load: weight})
			}
			continue
		}
		n, is := of[it.group]
		if !is {
			n = len(units)
			of[it.group] = n
			units = append(units, unit{group: it.group})
		}
		units[n].items = append(units[n].items, part{i, len(it.cuts)})
		units[n].load += weight * int64(len(it.cuts))
	}
	for i := range units {
		u := &units[i]
		var key []byte
		for _, p := range u.items {
			key = binary.AppendUvarint(binary.AppendUvarint(key, uint64(j.items[p.item].kind)), uint64(p.count))
		}
		for lot := range j.lots {
			if !j.allowed(u.group, lot) {
				key = append(key, 255, byte(lot))
			}
		}
		u.key = string(key)
	}
	slices.SortStableFunc(units, func(a, b unit) int { return cmp.Or(cmp.Compare(b.load, a.load), cmp.Compare(a.key, b.key)) })
	return units
}

// splitter deals groups to lots, and packs each lot.
type splitter struct {
	*job
	lots  []supply
	units []unit
	tries int // of packing a lot; 0 is packTries
	packs int // full dealings that are packed; 0 is splitPacks
}

const (
	splitNodes = 20_000 // dealings of one unit to one lot, at each way of opening
	splitPacks = 12     // full dealings that are packed
	packTries  = 60
)

// dealing is a search for lots for all units.
type dealing struct {
	s      *splitter
	pieces []supply
	room   []int64 // left, by lot
	lot    []int   // by unit
	nodes  int
	packs  int
	seen   map[string]bool
	found  *layout
	// inOrder gives alike units lots in their order, and stops at the first full dealing.
	inOrder bool
	full    bool // some dealing gave each unit a lot with room
	ended   bool
}

// split deals the units to the lots' pieces and packs them. none says that no dealing leaves each lot room for what it has.
func (s *splitter) split(pieces []supply) (found *layout, none bool) {
	d := s.dealing(pieces)
	d.deal(0)
	if d.found != nil || d.full || !d.ended {
		return d.found, !d.full
	}
	none = d.refuted()
	return nil, none
}

func (s *splitter) dealing(pieces []supply) *dealing {
	d := &dealing{s: s, pieces: pieces, lot: make([]int, len(s.units)), seen: map[string]bool{}}
	for _, p := range pieces {
		d.room = append(d.room, s.room(p.free)+s.room(p.whole))
	}
	return d
}

// refuted looks once more whether any dealing gives each unit a lot with room, alike units in the order of the lots.
func (d *dealing) refuted() bool {
	again := d.s.dealing(d.pieces)
	again.inOrder = true
	again.deal(0)
	return !again.full && !again.ended
}

// deal gives a unit and those behind it lots, and reports whether the search is over.
func (d *dealing) deal(n int) bool {
	d.nodes++
	d.s.meter.spend(int64(len(d.room)))
	if d.nodes > d.s.limits.nodes || d.packs >= cmp.Or(d.s.packs, splitPacks) || d.s.meter.done() {
		d.ended = true
		return true
	}
	if n == len(d.s.units) {
		d.full = true
		return d.inOrder || d.pack()
	}
	u := &d.s.units[n]
	lots := make([]int, 0, len(d.room))
	for lot := range d.room {
		if d.room[lot] >= u.load && d.s.allowed(u.group, lot) {
			lots = append(lots, lot)
		}
	}
	slices.SortStableFunc(lots, func(a, b int) int { return cmp.Compare(d.room[b], d.room[a]) })
	for _, lot := range lots {
		if d.inOrder && n > 0 && d.s.units[n-1].key == u.key && lot < d.lot[n-1] {
			continue // alike units in the order of the lots
		}
		d.room[lot] -= u.load
		d.lot[n] = lot
		if d.deal(n + 1) {
			return true
		}
		d.room[lot] += u.load
	}
	return false
}

// pack packs each lot, once for each different dealing.
func (d *dealing) pack() bool {
	s := d.s
	wants := make([][]int, len(d.pieces))
	for lot := range wants {
		wants[lot] = make([]int, len(s.kinds))
	}
	for n, u := range s.units {
		for _, p := range u.items {
			wants[d.lot[n]][s.items[p.item].kind] += p.count
		}
	}
	var key []byte
	for _, w := range wants {
		for _, n := range w {
			key = binary.AppendUvarint(key, uint64(n))
		}
	}
	if d.seen[string(key)] {
		return false
	}
	d.seen[string(key)] = true
	d.packs++
	packed := make([][]packed, len(wants))
	for lot, w := range wants {
		var ok bool
		if packed[lot], ok = s.packLot(d.pieces[lot], w); !ok {
			return false
		}
	}
	d.found = s.layoutOf(d.lot, packed)
	return true
}

// layoutOf gives the cuts of each lot's fillings to the units that are dealt to it.
func (s *splitter) layoutOf(lotOf []int, lots [][]packed) *layout {
	out := &layout{job: s.job}
	for lot, list := range lots {
		queue := make([][]int, len(s.kinds))
		for n, u := range s.units {
			if lotOf[n] != lot {
				continue
			}
			for _, p := range u.items {
				k := s.items[p.item].kind
				for range p.count {
					queue[k] = append(queue[k], p.item)
				}
			}
		}
		for _, f := range list {
			for _, l := range f.filling.lays {
				out.put(f.piece.class, f.piece.nth, queue[l.kind][0], l.from)
				queue[l.kind] = queue[l.kind][1:]
			}
		}
	}
	return out
}
