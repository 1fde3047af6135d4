package taking

import (
	"testing"

	"tablehand/engine/workup"
)

// TestKeyNumbersAreNumbers: what an order is typed by is what the work-up gives.
func TestKeyNumbersAreNumbers(t *testing.T) {
	for _, key := range keyNumbers {
		if n := workup.NumberOf(key); n == nil || !n.Explained() {
			t.Errorf("no number that is worked out is called %s (engine/workup/numbers.go)", key)
		}
	}
}
