package packing

import (
	"math"
	"slices"
)

// Demand is what the stock of any solution must hold together: by some weights all lengths weigh Need, and no filling of a class more than
// its Most.
type Demand struct {
	Of   []int64 // by kind
	Most []int64 // by class
	Need int64
}

// numbers looks for how many pieces of each class to take, so that they meet all demands for least: a problem in whole numbers of few
// unknowns, which is split where its linear problem has them in parts.
type numbers struct {
	classes []Class
	step    int64
	lengths int   // all of them
	dear    int64 // what costs more isn't looked at
	demands []Demand
	passed  [][]int // that aren't wanted
	meter   Meter

	budget int64
	next   int64 // what numbers beyond the budget cost at least
	found  []int
	nodes  int
	over   bool
	table  [][]float64 // of the simplex method, the last row what is to grow
	basis  []int
}

const mostNodes = 20_000

// least are the numbers that cost least, where that is no more than a budget. Where there are none, next is what any cost at least. sure is
// false where the search was cut short.
func (q *numbers) least(budget int64) (found []int, next int64, sure bool) {
	q.budget, q.next, q.found, q.nodes, q.over = budget, math.MaxInt64, nil, 0, false
	q.search(q.ends())
	return q.found, max(budget+q.step, (q.next-1)/q.step*q.step+q.step), !q.over
}

// ends are the least and the most of each class.
func (q *numbers) ends() (low, high []int) {
	low, high = make([]int, len(q.classes)), make([]int, len(q.classes))
	for i, c := range q.classes {
		high[i] = q.lengths
		if c.Supply >= 0 {
			high[i] = min(high[i], c.Supply)
		}
		if c.Cost > 0 {
			high[i] = int(min(int64(high[i]), q.dear/c.Cost))
		}
	}
	return low, high
}

// search looks through the numbers from low to high.
func (q *numbers) search(low, high []int) {
	if q.nodes++; q.nodes > mostNodes || q.meter.Done() {
		q.over = true
	}
	if q.over {
		return
	}
	prices, parts := q.relaxed(low, high)
	if q.refuted(prices, low, high) {
		return
	}
	whole := make([]int, len(parts))
	at, far := -1, 1e-6
	for i, n := range parts {
		whole[i] = min(max(int(math.Round(n)), low[i]), high[i])
		if d := math.Abs(n - math.Round(n)); d > far && low[i] < high[i] {
			at, far = i, d
		}
	}
	if at < 0 && q.meets(whole) {
		q.found, q.budget = whole, q.costOf(whole)-q.step
		return
	}
	if at < 0 { // not wanted, or short by what is rounded: any that is open is split
		for i := range low {
			if low[i] < high[i] {
				at = i
				break
			}
		}
		if at < 0 {
			return
		}
		parts[at] = float64(whole[at])
	}
	split := min(max(int(math.Floor(parts[at])), low[at]), high[at]-1)
	below, above := slices.Clone(high), slices.Clone(low)
	below[at], above[at] = split, split+1
	if parts[at]-float64(split) > 0.5 {
		q.search(above, high)
		q.search(low, below)
		return
	}
	q.search(low, below)
	q.search(above, high)
}

func (q *numbers) costOf(n []int) (sum int64) {
	for i, c := range q.classes {
		sum += c.Cost * int64(n[i])
	}
	return sum
}

// meets reports whether numbers are within the budget, wanted, and meet all demands.
func (q *numbers) meets(n []int) bool {
	short := func(d Demand) bool {
		sum := int64(0)
		for i, most := range d.Most {
			sum += most * int64(n[i])
		}
		return sum < d.Need
	}
	return q.costOf(n) <= q.budget && !slices.ContainsFunc(q.passed, func(p []int) bool { return slices.Equal(p, n) }) && !slices.ContainsFunc(q.demands, short)
}

// relaxed are numbers in parts that meet the demands for least, and prices of the demands that show that: the simplex method on the dual
// problem, in which no class is worth more by the prices than it costs, but for what its upper end takes off.
func (q *numbers) relaxed(low, high []int) (prices, parts []float64) {
	rows, d := len(q.classes), len(q.demands)
	q.begin(low, high)
	last, end := q.table[rows], d+2*rows
	prices, parts = make([]float64, d), make([]float64, rows)
	for range 40 * rows {
		enter, most := -1, 1e-9
		for x, v := range last[:end] {
			if v > most {
				enter, most = x, v
			}
		}
		if enter < 0 {
			break
		}
		leave, least := -1, math.Inf(1)
		for i := range rows {
			if p := q.table[i][enter]; p > 1e-9 && q.table[i][end]/p < least {
				leave, least = i, q.table[i][end]/p
			}
		}
		if leave < 0 { // no numbers meet the demands: prices grow without end
			far := 2 * (float64(q.budget) + 1) / most
			if enter < d {
				prices[enter] = far
			}
			for i, b := range q.basis {
				if b < d {
					prices[b] = -q.table[i][enter] * far
				}
			}
			break
		}
		q.pivot(leave, enter)
	}
	for i, b := range q.basis {
		if b < d {
			prices[b] += q.table[i][end]
		}
	}
	for i := range parts {
		parts[i] = float64(low[i]) - last[d+rows+i]
	}
	return prices, parts
}

// begin is the table where nothing has a price: a row for each class, and a column for each demand, each upper end, each class's slack, and
// what the classes cost.
func (q *numbers) begin(low, high []int) {
	rows, d := len(q.classes), len(q.demands)
	end := d + 2*rows
	if len(q.table) == 0 || len(q.table[0]) != end+1 {
		q.table, q.basis = make([][]float64, rows+1), make([]int, rows)
		for i := range q.table {
			q.table[i] = make([]float64, end+1)
		}
	}
	last := q.table[rows]
	clear(last)
	for t := range q.demands {
		last[t] = 1
	}
	for i, c := range q.classes {
		row := q.table[i]
		clear(row)
		for t := range q.demands {
			row[t] = float64(q.demands[t].Most[i]) / float64(q.demands[t].Need)
			last[t] -= row[t] * float64(low[i])
		}
		row[d+i], row[d+rows+i], row[end] = -1, 1, float64(c.Cost)
		last[d+i] = -float64(high[i] - low[i])
		q.basis[i] = d + rows + i
	}
	q.meter.Spend(int64(rows * end))
}

func (q *numbers) pivot(leave, enter int) {
	row := q.table[leave]
	by := 1 / row[enter]
	for x := range row {
		row[x] *= by
	}
	for i, other := range q.table {
		if p := other[enter]; i != leave && p != 0 {
			for x := range other {
				other[x] -= p * row[x]
			}
		}
	}
	q.basis[leave] = enter
	q.meter.Spend(int64(len(q.table) * len(row) / 4))
}

// refuted makes the prices whole. They show what numbers from low to high that meet all demands cost at least, and so whether any are within
// the budget.
func (q *numbers) refuted(prices []float64, low, high []int) bool {
	sum := float64(q.budget) + 1
	for _, p := range prices {
		sum += max(0, p)
	}
	scale := max(1, int64((1<<58)/sum))
	need, worth := int64(0), make([]int64, len(q.classes))
	for t, d := range q.demands {
		price := max(0, int64(math.Round(prices[t]*float64(scale)/float64(d.Need))))
		need += price * d.Need
		for i, most := range d.Most {
			worth[i] += price * most
		}
	}
	for i, c := range q.classes {
		if over := worth[i] - scale*c.Cost; over > 0 {
			need -= over * int64(high[i])
		} else {
			need -= over * int64(low[i])
		}
	}
	if need <= scale*q.budget {
		return false
	}
	q.next = min(q.next, (need-1)/scale+1)
	return true
}
