package paper

import (
	"slices"
	"strings"
	"testing"

	"tablehand/views/i18n"
)

// TestLabelOfClothThatGrows: what a panel measures on the table and how it hangs stand on its label under their own names, and nothing is called
// its finished length there.
func TestLabelOfClothThatGrows(t *testing.T) {
	source := strings.Replace(readContract(t), "usable_width: 54\n", "usable_width: 54\n    relax: 4\n", 1)
	_, l := render(t, ticketsDoc(t, worked(t, source)))
	say := i18n.For("en")
	for name, want := range map[string]bool{"table_length": true, "hung_length": true, "finished_length": false} {
		words := say.T("paper.value." + name)
		if told := slices.ContainsFunc(l.log, func(p printed) bool { return p.text == words }); told != want {
			t.Errorf("%q is written: %t", words, told)
		}
	}
}
