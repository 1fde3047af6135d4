package layers

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// TestMap holds the shared map against a plain one, through all its changes and mergers.
func TestMap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type pair struct {
			shared Map[int, int]
			plain  map[int]int
		}
		now := pair{plain: map[int]int{}}
		var kept []pair
		for range rapid.IntRange(1, 40).Draw(t, "changes") {
			changes := rapid.MapOfN(rapid.IntRange(0, 600), rapid.IntRange(0, 3), 0, 60).Draw(t, "change")
			next := pair{now.shared.With(changes), map[int]int{}}
			for k, v := range now.plain {
				next.plain[k] = v
			}
			for k, v := range changes {
				next.plain[k] = v
				if v == 0 {
					delete(next.plain, k)
				}
			}
			now = next
			kept = append(kept, now)
		}
		for _, p := range kept { // the older ones too: they share what later ones didn't change
			if merged := p.shared.Merged(); !reflect.DeepEqual(merged, p.plain) {
				t.Fatalf("has %v, want %v", merged, p.plain)
			}
			for k := range 600 {
				if p.shared.Get(k) != p.plain[k] {
					t.Fatalf("%d is %d, want %d", k, p.shared.Get(k), p.plain[k])
				}
			}
		}
	})
}
