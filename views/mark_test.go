package views

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"tablehand/stations/plan"
	"tablehand/views/mark"
)

// TestEveryStationHasItsColour: a station's mark has the colour that its row names and its number, its place among the rows.
func TestEveryStationHasItsColour(t *testing.T) {
	seen := map[int]bool{}
	for _, s := range plan.Stations() {
		n := plan.Number(s)
		if n < 1 || n > len(plan.Stations()) || seen[n] {
			t.Errorf("%s is number %d, which is none or another's", s, n)
		}
		seen[n] = true
		colour, _ := mark.ColourOf(s)
		if svg := string(markOf(s)); !strings.Contains(svg, `fill="`+colour.Fill.String()+`"`) || !strings.Contains(svg, fmt.Sprintf(">%d</text>", n)) {
			t.Errorf("%s: %s", s, svg)
		}
	}
}

// A page that has a mark many times defines it once and points to it; what no sprite can have defined is drawn whole.
func TestMarkDefinedOnce(t *testing.T) {
	for _, s := range plan.Stations() {
		again := string(MarkAgain(s))
		if id := fmt.Sprintf("mark-of-%s", s); !strings.Contains(string(markOnce(s)), `id="`+id+`"`) || !strings.Contains(again, `href="#`+id+`"`) {
			t.Errorf("%s: %s points to nothing in %s", s, again, markOnce(s))
		}
		if len(again) >= len(markOf(s)) {
			t.Errorf("%s: %s is no shorter than the mark", s, again)
		}
	}
	if got := MarkAgain("beading"); got != markOf("beading") {
		t.Error(got)
	}
}

// A station that only an old ledger knows has a plain mark, without a number that is another's.
func TestMarkOfAnUnknownStation(t *testing.T) {
	if svg := string(markOf("bea<ding")); !strings.Contains(svg, `class="mark mark-bea&lt;ding"`) || !strings.Contains(svg, "<path") || strings.Contains(svg, "<text") {
		t.Error(svg)
	}
}

// TestUsedDrawingsAreStyledByThemselves: what a page draws by <use> has no ancestor outside of its own group, so that a rule by
// one is lost on it; black letters on a dark board were so.
func TestUsedDrawingsAreStyledByThemselves(t *testing.T) {
	css, err := assetFiles.ReadFile("assets/tablehand.css")
	if err != nil {
		t.Fatal(err)
	}
	for _, rule := range regexp.MustCompile(`(?m)(?:^|[,{}])\s*svg(?:\.sprite)? [^{]*\{`).FindAllString(string(css), -1) {
		t.Errorf("%q doesn't reach what is drawn by <use>", rule)
	}
}

// TestClassesAreStyledInOnePlace: a class has one rule of its own, so that a new page can't restyle another's by a name that both
// like. What depends on where it stands or how broad the page is says so in its selector.
func TestClassesAreStyledInOnePlace(t *testing.T) {
	css, err := assetFiles.ReadFile("assets/tablehand.css")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, rule := range regexp.MustCompile(`(?m)^(\.[a-z][\w-]*) \{`).FindAllStringSubmatch(string(css), -1) {
		if seen[rule[1]] {
			t.Errorf("%s has two rules of its own", rule[1])
		}
		seen[rule[1]] = true
	}
	if len(seen) < 100 {
		t.Errorf("only %d classes were read", len(seen))
	}
}
