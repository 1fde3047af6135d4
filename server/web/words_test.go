package web

import "testing"

// TestFold holds the comparison of words to examples.
func TestFold(t *testing.T) {
	for text, want := range map[string]string{
		"Café MÜLLER": " cafe muller", "SMI-014": " smi 014 14", "Brewer's  loft": " brewer s loft", "": "", " — ": "", "0": " 0", "Ñandú": " nandu", "10": " 10",
	} {
		if got := fold(text); got != want {
			t.Errorf("fold(%q) = %q, want %q", text, got, want)
		}
	}
}
