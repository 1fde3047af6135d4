package packing

// thriftiest is the class that costs least for its length.
func (s *solver) thriftiest() int {
	best := 0
	for i, c := range s.Classes {
		if b := s.Classes[best]; float64(c.Cost)*float64(b.Length) < float64(b.Cost)*float64(c.Length) {
			best = i
		}
	}
	return best
}

// bestFit lays lengths, the longest first, on the piece of a class where each leaves the least.
func (s *solver) bestFit(wants []int, class int) []Filling {
	length := s.Classes[class].Length
	var list []Filling
	var rooms []int64
	for k, kind := range s.Kinds {
		if wants[k] > 0 && kind.Length > length {
			return nil
		}
		for range wants[k] {
			best := -1
			for i, room := range rooms {
				if room >= kind.Length && (best < 0 || room < rooms[best]) {
					best = i
				}
			}
			if best < 0 {
				best = len(list)
				list, rooms = append(list, Filling{Class: class}), append(rooms, length)
			}
			rooms[best] -= kind.Length
			list[best].take(k, 1)
		}
	}
	s.meter.Spend(int64(len(list)) * 8)
	return s.cheapest(list)
}

// completion fills one piece of a class after the other as full as can be, each from the longest that is left.
type completion struct {
	*solver
	left     []int
	shortest []int64
	now      []int
	best     []int
	room     int64
	steps    int
	most     int
}

func (s *solver) complete(wants []int, class, steps int) []Filling {
	n := len(s.Kinds)
	c := &completion{solver: s, left: append([]int(nil), wants...), shortest: make([]int64, n+1), now: make([]int, n), best: make([]int, n), most: steps}
	var list []Filling
	for first := range n {
		for c.left[first] > 0 {
			if s.Kinds[first].Length > s.Classes[class].Length || s.meter.Done() {
				return nil
			}
			list = append(list, c.fill(first, class))
		}
	}
	return s.cheapest(list)
}

func (c *completion) fill(first, class int) Filling {
	n := len(c.Kinds)
	c.shortest[n] = 1 << 62
	for k := n - 1; k >= 0; k-- {
		c.shortest[k] = c.shortest[k+1]
		if c.left[k] > 0 {
			c.shortest[k] = c.Kinds[k].Length
		}
	}
	clear(c.now)
	c.room, c.steps = c.Classes[class].Length+1, 0
	c.now[first] = 1
	c.from(first, c.Classes[class].Length-c.Kinds[first].Length)
	c.meter.Spend(int64(c.steps))
	f := Filling{Class: class}
	for k, count := range c.best {
		if count > 0 {
			f.take(k, count)
			c.left[k] -= count
		}
	}
	return f
}

// from goes on with the kinds from one on; true ends the search.
func (c *completion) from(k int, room int64) bool {
	if room < c.room {
		c.room = room
		copy(c.best, c.now)
	}
	if c.steps++; room == 0 || c.steps > c.most {
		return true
	}
	for ; k < len(c.Kinds) && room >= c.shortest[k]; k++ {
		length := c.Kinds[k].Length
		if c.left[k] == 0 || length > room {
			continue
		}
		had := c.now[k]
		for n := min(c.left[k]-had, int(room/length)); n > 0; n-- {
			c.now[k] = had + n
			if c.from(k+1, room-int64(n)*length) {
				c.now[k] = had
				return true
			}
		}
		c.now[k] = had
	}
	return false
}
