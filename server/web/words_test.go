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

// TestWordsAreFoundByTheirBeginning: a word is found by how it begins, not by what is somewhere in it.
func TestWordsAreFoundByTheirBeginning(t *testing.T) {
	name := fold("Saltmarsh Inn, SMI-014")
	for word, want := range map[string]bool{"salt": true, "saltmarsh": true, "inn": true, "14": true, "marsh": false, "nn": false, "4": false, "saltmarshes": false} {
		if got := has(name, word); got != want {
			t.Errorf("%q in %q: %t", word, name, got)
		}
	}
}
