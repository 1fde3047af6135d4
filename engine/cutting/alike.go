package cutting

import (
	"strconv"

	"tablehand/engine/measure"
)

// mostTried bounds the cuts for which fewer bolts than one way of placing needs are tried.
const mostTried = 2_000

// AlikeBolts returns how many bolts of one length and one lot hold all cuts, each with its first repeat at its end, as
// Place lays them: with one bolt less Place finds no way. Of an order of thousands of cuts it is the number that laying
// them one after another takes. It is 0 where a cut has no room on such a bolt, and where there is nothing to cut. The
// problem's own bolts are left out of account.
func AlikeBolts(p Problem, length measure.Length) int {
	ways := []attempt{{order: fileOrder}, {order: longestFirst}}
	if inPhases(p) {
		ways = append(ways, attempt{order: fileOrder, phases: true})
	}
	most := 0
	for _, a := range ways {
		if n := a.opened(p, length); most == 0 || n < most {
			most = n
		}
	}
	least := max(1, int(lengthOf(p.Cuts).CeilDiv(length)))
	for most > least && len(p.Cuts) <= mostTried && Place(p.on(alike(most-1, length))).Short == 0 {
		most--
	}
	return most
}

// opened is how many bolts it takes to lay the cuts one after another on the first that has room, 0 where a new one has
// none. A cut lies on no bolt before the last one of its shape, since room only shrinks.
func (a attempt) opened(p Problem, length measure.Length) int {
	groups := groupsOf(p.Cuts)
	a.order(groups)
	t := newTable(p.on(nil))
	last := map[shape]int{}
	for _, c := range cutsOf(groups, a.phases) {
		s := t.shapeOf(c)
		at := last[s]
		for at < len(t.all) && !t.placeOn(t.all[at], c) {
			at++
		}
		if at == len(t.all) {
			t.all = append(t.all, newLaid(&Bolt{ID: strconv.Itoa(at), Length: length}))
			if !t.placeOn(t.all[at], c) {
				return 0
			}
		}
		last[s] = at
	}
	return len(t.all)
}

// on is the problem on other bolts.
func (p Problem) on(bolts []Bolt) Problem {
	p.Bolts = bolts
	return p
}

func alike(n int, length measure.Length) []Bolt {
	list := make([]Bolt, n)
	for i := range list {
		list[i] = Bolt{ID: strconv.Itoa(i), Length: length}
	}
	return list
}
