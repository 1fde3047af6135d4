package stations

// layers is a map that a floor shares with the floors before it: what has changed lately lies over a base that
// nobody changes any more. Now and then the two become a new base, so a change copies few entries and reads look
// in at most two places. The zero value is empty; a zero V means that the key isn't there.
type layers[K comparable, V comparable] struct {
	base, top map[K]V
}

// mostOnTop is how many entries the top has before it goes into the base. A change copies the top, and each
// mostOnTop changes copy the base once.
const mostOnTop = 256

func (l *layers[K, V]) get(k K) V {
	if v, ok := l.top[k]; ok {
		return v
	}
	return l.base[k]
}

// with returns the map with the changes, which it keeps; l stays as it is.
func (l *layers[K, V]) with(changes map[K]V) layers[K, V] {
	if len(changes) == 0 {
		return *l
	}
	into := layers[K, V]{base: l.base, top: make(map[K]V, len(l.top)+len(changes))}
	for k, v := range l.top {
		into.top[k] = v
	}
	for k, v := range changes {
		into.top[k] = v
	}
	if len(into.top) <= mostOnTop {
		return into
	}
	return layers[K, V]{base: into.merged()}
}

// all returns the values in no order.
func (l *layers[K, V]) all() []V {
	merged := l.merged()
	values := make([]V, 0, len(merged))
	for _, v := range merged {
		values = append(values, v)
	}
	return values
}

func (l *layers[K, V]) merged() map[K]V {
	var none V
	m := make(map[K]V, len(l.base)+len(l.top))
	for k, v := range l.base {
		m[k] = v
	}
	for k, v := range l.top {
		if v == none {
			delete(m, k)
			continue
		}
		m[k] = v
	}
	return m
}
