package cutplan

import (
	"tablehand/engine/cutting"
)

// onLot is how the pieces of a lot hold sets: after each piece the best worth of a set, and what of it lies on the piece.
type onLot struct {
	sets  *bySets
	lot   int
	worth []worth
	steps []onPiece
	joins []int32 // what of a set comes from this lot, the rest from those before
}

type onPiece struct {
	class, nth int
	takes      []int32
}

func (s *bySets) onLot(lot int) *onLot {
	l := &onLot{sets: s, lot: lot, worth: make([]worth, s.n)}
	l.worth[0].known = true
	for i := range s.classes {
		c := &s.classes[i]
		if c.lot != lot {
			continue
		}
		for nth := range c.bolts {
			next := append([]worth(nil), l.worth...)
			step := onPiece{class: i, nth: nth, takes: make([]int32, s.n)}
			for _, p := range s.pairs {
				if p.a == 0 || !s.of[i].holds[p.a] || !l.worth[p.b].known {
					continue
				}
				w := s.with(l.worth[p.b], c, s.of[i].rest[p.a])
				if set := p.a + p.b; !next[set].known || w.compare(next[set]) < 0 {
					next[set], step.takes[set] = w, p.a
				}
			}
			better := false
			for _, take := range step.takes {
				better = better || take > 0
			}
			if !better {
				break // another piece like it changes nothing
			}
			l.worth = next
			l.steps = append(l.steps, step)
		}
	}
	return l
}

// with is a worth with one piece of a class more.
func (s *bySets) with(w worth, c *class, rest int64) worth {
	w.known = true
	if s.problem.Aim == cutting.LeastLength || s.problem.Aim == cutting.LeastCost {
		w.first += c.cost
	} else if c.opens {
		w.first++
		w.second += c.length
	}
	w.rest = max(w.rest, rest)
	w.pieces++
	return w
}

// join adds a lot to those before: a group is cut from one of them.
func (l *onLot) join(before []worth) []worth {
	s := l.sets
	all := make([]worth, s.n)
	l.joins = make([]int32, s.n)
	for _, p := range s.pairs {
		mine, theirs := l.worth[p.a], before[p.b]
		if !mine.known || !theirs.known || s.groups[p.a]&s.groups[p.b] != 0 {
			continue
		}
		w := worth{true, mine.first + theirs.first, mine.second + theirs.second, max(mine.rest, theirs.rest), mine.pieces + theirs.pieces}
		if set := p.a + p.b; !all[set].known || w.compare(all[set]) < 0 {
			all[set], l.joins[set] = w, p.a
		}
	}
	return all
}

// read lays a lot's part of a set, and returns what comes from the lots before.
func (l *onLot) read(set int, out *layout) int {
	mine := int(l.joins[set])
	left := set - mine
	for i := len(l.steps) - 1; i >= 0; i-- {
		step := &l.steps[i]
		if take := int(step.takes[mine]); take > 0 {
			l.sets.lay(step.class, step.nth, take, out)
			mine -= take
		}
	}
	return left
}
