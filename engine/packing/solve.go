package packing

// Work that the stages take, in units.
const (
	firstRepack = 600_000
	firstCover  = 20_000_000
	nearly      = 2 // pieces
	manyKinds   = 150
	rootWork    = 1 << 40
	countsWork  = 100_000_000
	mostRounds  = 40
)

// solve goes through the stages until the best solution is proven, or the work is done.
func (s *solver) solve() {
	w := s.lengthWeights()
	s.prove(w)
	s.fit()
	if s.proven() || s.meter.Done() {
		return
	}
	if s.single() && s.best.Fillings != nil {
		if s.repackDown(); s.proven() {
			return
		}
		if s.unused(&w, s.best.Bound)*200 <= w.Scale*s.Classes[0].Cost {
			s.coverWith(s.best.Bound, firstCover, 200_000)
		}
	}
	if s.proven() || s.meter.Done() {
		return
	}
	s.linear()
}

// repackDown repacks for as few pieces as the bound says, and where that fails for half as many less, and so on. Where the best is
// nearly there, and where there are few kinds, the linear problem soon says more.
func (s *solver) repackDown() {
	cost := s.Classes[0].Cost
	least := s.best.Bound / cost
	if s.best.Cost/cost-least > nearly && len(s.Kinds) < manyKinds {
		return
	}
	for target := least; target < s.best.Cost/cost && !s.meter.Done(); {
		if s.offer(s.repack(int(target), firstRepack, 60)) {
			target = least
			continue
		}
		if s.best.Cost/cost-target <= nearly {
			return
		}
		target = (target + s.best.Cost/cost + 1) / 2
	}
}

// prove takes weights, and their bound where it is better.
func (s *solver) prove(w Weights) {
	s.weights = append(s.weights, w)
	if len(s.weights) == 1 || w.Bound >= s.best.Weights.Bound {
		s.best.Weights = w
	} else {
		n := len(s.weights)
		s.weights[n-1], s.weights[n-2] = s.weights[n-2], s.weights[n-1]
	}
	if w.Bound > s.best.Bound {
		s.best.Bound, s.best.Searched = w.Bound, false
	}
}

// fit offers what best fit and completion find with each class.
func (s *solver) fit() {
	s.offer(s.bestFit(s.wants(), s.thriftiest()))
	for class := range s.Classes {
		if s.proven() || s.meter.Done() {
			return
		}
		s.offer(s.complete(s.wants(), class, 2000))
	}
}

// coverWith offers what a cover of a cost finds; where there is none the bound rises.
func (s *solver) coverWith(cost, work, restart int64) (settled bool) {
	found, none := s.cover(cost, work, restart)
	if none && cost >= s.best.Bound {
		s.best.Bound, s.best.Searched = cost+s.step, true
	}
	return s.offer(found) || none
}

// linear solves the linear problem, takes its weights, and goes on by dives, covers and repacking in turn, each with more work.
func (s *solver) linear() {
	m := newMaster(s)
	target := float64(1 << 60)
	if s.best.Fillings != nil {
		target = float64(s.best.Cost-s.step)/s.unit + 1e-6
	}
	_, duals, solved := m.generate(target, rootWork)
	if duals != nil {
		if w, ok := s.weigh(m, duals); ok {
			s.prove(w)
		}
	}
	if !solved {
		return
	}
	if !s.single() {
		s.newCounting(countsWork).count(duals)
	}
	number := 0
	for round := 0; round < mostRounds && !s.proven() && !s.meter.Done(); round++ {
		if s.coverRound(m, round) {
			continue
		}
		if s.single() && round > 0 && s.offer(s.repack(int(s.best.Bound/s.Classes[0].Cost), int64(3e6)<<min(round, 12), 60*min(round, 10))) {
			continue
		}
		for range 4 {
			if s.proven() || s.meter.Done() {
				return
			}
			goal := s.best.Cost - s.step
			if s.best.Fillings == nil {
				goal = 1 << 60
			}
			s.offer(s.dive(m, goal, number, 1<<40))
			number++
		}
	}
}

// coverRound looks for a cover of the bound where little weight may be left unused, in later rounds wherever.
func (s *solver) coverRound(m *master, round int) bool {
	w := &s.weights[len(s.weights)-1]
	little := float64(s.unused(w, s.best.Bound)) < 0.02*float64(w.Scale*s.step)
	if round == 0 && !little {
		return false
	}
	work := int64(2_000_000) << (2 * min(round, 6))
	if round > 1 {
		found, none := s.branch(m, s.best.Bound, work*2)
		if none {
			s.best.Bound, s.best.Searched = s.best.Bound+s.step, true
		}
		if s.offer(found) || none {
			return true
		}
	}
	if round > 0 && round%2 == 0 {
		return s.coverWith(s.best.Bound, work, 200_000)
	}
	return s.coverWith(s.best.Bound, work, 0)
}
