// Package layers has the map that a floor shares with the floors before it.
package layers

// Map is a map of which what has changed lately lies over a base that nobody changes any more. Now and then the two become
// a new base, so a change copies few entries and reads look in at most two places. The zero value is empty; a zero V means
// that the key isn't there. It is read by many and changed by nobody: With gives another.
type Map[K comparable, V comparable] struct {
	base, top map[K]V
}

// mostOnTop is how many entries the top has before it goes into the base. A change copies the top, and each
// mostOnTop changes copy the base once.
const mostOnTop = 256

// Get returns a key's value, zero where it isn't there.
func (m *Map[K, V]) Get(k K) V {
	if v, ok := m.top[k]; ok {
		return v
	}
	return m.base[k]
}

// With returns the map with the changes, which it keeps; m stays as it is.
func (m *Map[K, V]) With(changes map[K]V) Map[K, V] {
	if len(changes) == 0 {
		return *m
	}
	into := Map[K, V]{base: m.base, top: make(map[K]V, len(m.top)+len(changes))}
	for k, v := range m.top {
		into.top[k] = v
	}
	for k, v := range changes {
		into.top[k] = v
	}
	if len(into.top) <= mostOnTop {
		return into
	}
	return Map[K, V]{base: into.Merged()}
}

// IsEmpty reports whether nothing was ever put in.
func (m *Map[K, V]) IsEmpty() bool { return len(m.base)+len(m.top) == 0 }

// All returns the values in no order.
func (m *Map[K, V]) All() []V {
	merged := m.Merged()
	values := make([]V, 0, len(merged))
	for _, v := range merged {
		values = append(values, v)
	}
	return values
}

// Merged returns what is there as a map of its own.
func (m *Map[K, V]) Merged() map[K]V {
	var none V
	merged := make(map[K]V, len(m.base)+len(m.top))
	for k, v := range m.base {
		merged[k] = v
	}
	for k, v := range m.top {
		if v == none {
			delete(merged, k)
			continue
		}
		merged[k] = v
	}
	return merged
}
