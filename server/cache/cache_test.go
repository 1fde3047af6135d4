package cache

import (
	"errors"
	"testing"
)

// TestCache: what is kept isn't made again, a failure isn't kept, and there are never more than so many.
func TestCache(t *testing.T) {
	c := New[int, string](3)
	produced := 0
	get := func(key int) {
		t.Helper()
		value, err := c.Get(key, func() (string, error) { produced++; return string(rune('a' + key)), nil })
		if err != nil || value != string(rune('a'+key)) {
			t.Errorf("%d is %q, %v", key, value, err)
		}
	}
	for _, step := range []struct{ key, produced int }{{0, 1}, {0, 1}, {1, 2}, {2, 3}, {0, 3}, {3, 4}, {3, 4}, {0, 5}} {
		get(step.key)
		if produced != step.produced {
			t.Errorf("after %d: %d made, want %d", step.key, produced, step.produced)
		}
		if len(c.kept) > 3 {
			t.Errorf("%d are kept", len(c.kept))
		}
	}
	broken := errors.New("the disk")
	for range 2 {
		if _, err := c.Get(9, func() (string, error) { return "", broken }); !errors.Is(err, broken) {
			t.Errorf("a failure gives %v", err)
		}
	}
	get(9)
}
