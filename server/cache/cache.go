// Package cache keeps what is costly to make again.
package cache

import "sync"

// Cache keeps values by key, at most so many; when one more comes, all are forgotten, which is simpler than to know which were
// used last and costs one making each. Values are shared and must not be changed. The zero Cache keeps nothing: see New.
type Cache[K comparable, V any] struct {
	most int
	mu   sync.Mutex
	kept map[K]V
}

// New returns a cache of at most so many values, which is at least one.
func New[K comparable, V any](most int) *Cache[K, V] {
	return &Cache[K, V]{most: max(1, most), kept: map[K]V{}}
}

// Get returns the value of a key, which produce makes where it is not kept. Two that ask at once may both make it. An error of
// produce is returned, and nothing is kept.
func (c *Cache[K, V]) Get(key K, produce func() (V, error)) (V, error) {
	c.mu.Lock()
	value, ok := c.kept[key]
	c.mu.Unlock()
	if ok {
		return value, nil
	}
	value, err := produce()
	if err != nil {
		return value, err
	}
	c.Put(key, value)
	return value, nil
}

// Put keeps a value.
func (c *Cache[K, V]) Put(key K, value V) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if _, had := c.kept[key]; !had && len(c.kept) >= c.most {
		clear(c.kept)
	}
	c.kept[key] = value
}
