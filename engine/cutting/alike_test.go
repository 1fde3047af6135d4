package cutting_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

func cutsOf(n int, length string, start measure.Length) []cutting.Cut {
	var list []cutting.Cut
	for i := range n {
		list = append(list, cutting.Cut{ID: fmt.Sprint(length, start, i), Length: inches(length), Group: "w", Start: start})
	}
	return list
}

func freeCut(length string) cutting.Cut {
	return cutting.Cut{ID: "free " + length, Length: inches(length), Group: "w", Anywhere: true}
}

func TestAlikeBolts(t *testing.T) {
	for _, c := range []struct {
		name   string
		p      cutting.Problem
		length string
		want   int
	}{
		{"nothing to cut", cutting.Problem{}, "100", 0},
		{"too long for one", cutting.Problem{Cuts: cutsOf(2, "101", 0)}, "100", 0},
		{"just as long", cutting.Problem{Cuts: cutsOf(2, "100", 0)}, "100", 2},
		{"plain, the ends lost", cutting.Problem{Cuts: cutsOf(10, "30", 0)}, "100", 4},
		{"two lengths fill each other", cutting.Problem{Cuts: slices.Concat(cutsOf(3, "40", 0), cutsOf(3, "60", 0))}, "100", 3},
		{"on phase the last ends where it does", cutting.Problem{VerticalRepeat: inches("30"), Cuts: cutsOf(4, "40", 0)}, "100", 2},
		{"both classes on one", cutting.Problem{VerticalRepeat: inches("20"), Cuts: slices.Concat(cutsOf(2, "20", 0), cutsOf(2, "20", inches("10")))}, "90", 1},
		{"what starts anywhere in the gaps", cutting.Problem{VerticalRepeat: inches("30"), Cuts: append(cutsOf(3, "40", 0), freeCut("20"), freeCut("15"))}, "160", 1},
		{"and behind", cutting.Problem{VerticalRepeat: inches("30"), Cuts: append(cutsOf(3, "40", 0), freeCut("20"), freeCut("15"), freeCut("5"), freeCut("1"))}, "160", 2},
		{"half a repeat short", cutting.Problem{VerticalRepeat: inches("20"), Cuts: slices.Concat(cutsOf(2, "20", 0), cutsOf(2, "20", inches("10")))}, "89", 2},
	} {
		if got := cutting.AlikeBolts(c.p, inches(c.length)); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// So many bolts hold every cut as Place lays them, and with one less Place finds none; a list of windows
// of several shapes, on any cloth.
func TestAlikeBoltsDo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := cutting.Problem{VerticalRepeat: inches(fmt.Sprint(rapid.SampledFrom([]int{0, 0, 13, 25}).Draw(t, "repeat")))}
		starts := 1
		if p.VerticalRepeat > 0 {
			starts = rapid.IntRange(1, 3).Draw(t, "phases")
		}
		for g := range rapid.IntRange(1, 6).Draw(t, "windows") {
			length := inches(fmt.Sprint(rapid.IntRange(20, 130).Draw(t, "length")))
			for i := range rapid.IntRange(1, 12).Draw(t, "cuts") {
				c := cutting.Cut{ID: fmt.Sprint(g, "-", i), Length: length, Group: fmt.Sprint(g)}
				c.Start = p.VerticalRepeat / measure.Length(starts) * measure.Length(i%starts)
				p.Cuts = append(p.Cuts, c)
			}
			for i := range rapid.IntRange(0, 3).Draw(t, "anywhere") {
				p.Cuts = append(p.Cuts, cutting.Cut{ID: fmt.Sprint(g, "+", i), Length: length / 5, Group: fmt.Sprint(g), Anywhere: true})
			}
		}
		length := inches(fmt.Sprint(rapid.IntRange(200, 2400).Draw(t, "bolt")))
		n := cutting.AlikeBolts(p, length)
		if plan := on(p, n, length); plan.Short != 0 {
			t.Fatalf("%d bolts are short by %s", n, plan.Short.In(measure.In))
		}
		if n > 1 {
			if plan := on(p, n-1, length); plan.Short == 0 {
				t.Fatalf("%d bolts would do, not only %d", n-1, n)
			}
		}
	})
}

func on(p cutting.Problem, n int, length measure.Length) cutting.Plan {
	for i := range n {
		p.Bolts = append(p.Bolts, cutting.Bolt{ID: fmt.Sprint("B", i), Length: length})
	}
	return cutting.Place(p)
}

func inches(text string) measure.Length {
	l, err := measure.Parse(text, measure.In)
	if err != nil {
		panic(err)
	}
	return l
}
