package cutplan

import "context"

// meter counts the work and says when it is done. Work is reckoned from what is looked at, so that two runs do the same.
type meter struct {
	ctx    context.Context
	left   int64
	since  int64 // the clock was looked at
	cutOff bool
}

func (m *meter) spend(units int64) {
	m.left -= units
	if m.since += units; m.since > 100_000 {
		m.since = 0
		if m.ctx.Err() != nil {
			m.cutOff = true
		}
	}
}

// Spend and Done are for who knows a meter only.
func (m *meter) Spend(units int64) { m.spend(units) }

// Done is as done.
func (m *meter) Done() bool { return m.done() }

// within does something with at most so much of the work that is left.
func (m *meter) within(units int64, do func()) {
	rest := max(0, m.left-units)
	m.left -= rest
	do()
	m.left += rest
}

// done reports whether no work is left.
func (m *meter) done() bool { return m.cutOff || m.left <= 0 }
