package paper

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// TestPlanLettersHaveRoom: of any places the first is lettered and, where there are two, none stands on another; nothing is lettered
// that isn't a place, and a place by itself always is.
func TestPlanLettersHaveRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := lettering{units: measure.In, say: i18n.For("en"), width: 100 * measure.Inch, gap: rapid.SampledFrom([]float64{7, 9, 12}).Draw(t, "gap")}
		var places []measure.Length
		for _, n := range rapid.SliceOfDistinct(rapid.IntRange(0, 1000), rapid.ID[int]).Draw(t, "tenths") {
			places = append(places, measure.Length(n)*measure.Inch/10)
		}
		slices.Sort(places)
		kept := l.roomy(places)
		if len(places) > 0 && (len(kept) == 0 || kept[0] != places[0]) {
			t.Fatalf("the first of %v isn't lettered: %v", places, kept)
		}
		for i, x := range kept {
			if !slices.Contains(places, x) || i > 0 && l.stand(x)-l.stand(kept[i-1]) < l.gap {
				t.Fatalf("%v of %v", kept, places)
			}
		}
		if last := len(places) - 1; last > 0 && l.stand(places[last])-l.stand(places[0]) >= l.gap && kept[len(kept)-1] != places[last] {
			t.Fatalf("the last of %v isn't lettered: %v", places, kept)
		}
	})
}

// TestPlanLettersStayInTheDrawing: a place near an end is lettered beside its mark, within the drawing on the smallest
// phone; one away from the ends at its mark.
func TestPlanLettersStayInTheDrawing(t *testing.T) {
	l := lettering{units: measure.In, say: i18n.For("en"), width: 100 * measure.Inch, gap: 10}
	for _, c := range []struct {
		at   measure.Length
		want int
	}{{0, 10}, {3 * measure.Inch, 4}, {5 * measure.Inch, 0}, {50 * measure.Inch, 0}, {97 * measure.Inch, -4}, {100 * measure.Inch, -10}} {
		if got := l.inward(c.at); got != c.want {
			t.Errorf("lettering of %v of 100 in stands %d px off its mark, want %d", c.at, got, c.want)
		}
	}
}

// TestPlanIsToScale: letters stand where the cloth's own pleats and seams are, whatever the page's width.
func TestPlanIsToScale(t *testing.T) {
	p := &Panel{Panel: &workup.Panel{ID: workup.Left, FlatWidth: 120 * measure.Inch, FinishedLength: 90 * measure.Inch, SideHem: measure.Inch, BottomHem: 4 * measure.Inch,
		TapeHeight: 4 * measure.Inch, TakeUp: 4 * measure.Inch, Pleats: 2,
		PleatPositions: []measure.Length{30 * measure.Inch, 90 * measure.Inch}, Seams: []measure.Length{54 * measure.Inch}}}
	var b bytes.Buffer
	if err := PlanHTML(&b, Plan{Panel: p, Letters: "L", Units: measure.In}, i18n.For("en")); err != nil {
		t.Fatal(err)
	}
	var at []float64
	for _, m := range regexp.MustCompile(`<svg x="([0-9.]+)%"`).FindAllStringSubmatch(b.String(), -1) {
		x, _ := strconv.ParseFloat(m[1], 64)
		at = append(at, x*120/100)
	}
	if want := []float64{30, 90, 54}; !slices.Equal(at, want) {
		t.Errorf("lettered at %v, want %v", at, want)
	}
	for _, want := range []string{`viewBox="0 0 120 90"`, `<rect class="cloth" x="0" y="0" width="120" height="90"/>`, `class="seam" x1="54"`} {
		if !bytes.Contains(b.Bytes(), []byte(want)) {
			t.Errorf("lacks %s in %s", want, b.String())
		}
	}
	b.Reset()
	if err := PlanHTML(&b, Plan{Panel: &Panel{Panel: &workup.Panel{}}}, i18n.For("en")); err != nil || b.Len() > 0 {
		t.Errorf("a panel of nothing is drawn: %s", b.String())
	}
}
