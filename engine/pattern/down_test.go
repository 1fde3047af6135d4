package pattern_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/pattern"
)

// window is published example W12 (Workroom Threads, August 2011): 100 long with 16 for fold and hem, a repeat of 25; half of the 16 is the
// heading's.
func window(long, hem measure.Length) pattern.Fall {
	return pattern.Fall{Repeat: 25 * in, Top: 8 * in, Length: long, Hem: hem}
}

// Worked by hand: W12's window, and beside it one of 84 whose hem hangs 12 higher. −108 is 17 over −125, −104 is 21; from the top both
// are −8, 17.
func TestFall(t *testing.T) {
	first, second := window(100*in, 0), window(84*in, 12*in)
	for _, c := range []struct {
		name      string
		got, want measure.Length
	}{
		{"first from the hem", first.FromHem(), 17 * in},
		{"second from the hem", second.FromHem(), 21 * in},
		{"first from the top", first.FromTop(), 17 * in},
		{"second from the top", second.FromTop(), 17 * in},
		{"a motif 3 above the hem", pattern.Fall{Repeat: 25 * in, Length: 100 * in, Motif: 3 * in}.FromHem(), 3 * in},
		{"a motif 3 below the top", pattern.Fall{Repeat: 25 * in, Length: 100 * in, Motif: 3 * in}.FromTop(), 22 * in},
		{"shrinking by a twentieth", pattern.Fall{Repeat: 25 * in, Length: 95 * in, Kept: measure.Ratio{Num: 95, Den: 100}}.FromHem(), 0},
		{"shrinking by a half", pattern.Fall{Repeat: 25 * in, Top: in, Length: 9 * in, Kept: measure.Ratio{Num: 1, Den: 2}}.FromHem(), 5 * in},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s, want %s", c.name, c.got.In(measure.In), c.want.In(measure.In))
		}
	}
}

// Worked by hand: 17 and 21 are 4 apart one way and 21 the other; with half of 25 more each there are 4½, 8½, 17, 21, of which the widest
// way is 8½.
func TestLost(t *testing.T) {
	at := func(behind measure.Length, dropped bool) pattern.Start {
		return pattern.Start{Behind: behind, Dropped: dropped}
	}
	for _, c := range []struct {
		name        string
		starts      []pattern.Start
		lost, first measure.Length
	}{
		{"one", []pattern.Start{at(17*in, false), at(17*in, false)}, 0, 17 * in},
		{"two", []pattern.Start{at(21*in, false), at(17*in, false)}, 4 * in, 17 * in},
		{"half-drop", []pattern.Start{at(0, true), at(0, false)}, 25 * in / 2, 0},
		{"two, half-drop", []pattern.Start{at(17*in, false), at(17*in, true), at(21*in, false), at(21*in, true)}, 16*in + half, 4*in + half},
		{"none", nil, 0, 0},
	} {
		if got := pattern.Lost(25*in, c.starts); got != c.lost {
			t.Errorf("%s: lost %s, want %s", c.name, got.In(measure.In), c.lost.In(measure.In))
		}
		if got := pattern.First(25*in, c.starts); got != c.first {
			t.Errorf("%s: begins at %s, want %s", c.name, got.In(measure.In), c.first.In(measure.In))
		}
	}
	// A repeat of an odd count of nanometres loses what half of it is rounded to.
	if got := pattern.Lost(5, []pattern.Start{{}, {Dropped: true}}); got != 3 {
		t.Errorf("half of 5 nm is %d", got)
	}
}

// TestLostIsWhatTheCutsLose: cuts of whole repeats, laid one after another by height from First on, end so much later than they are long;
// beginning with any other height they end no earlier.
func TestLostIsWhatTheCutsLose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := grain.Times(2 * rapid.IntRange(1, 40).Draw(t, "repeat"))
		starts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) pattern.Start {
			return pattern.Start{Behind: grain.Times(rapid.IntRange(0, int(v/grain)-1).Draw(t, "behind")), Dropped: rapid.Bool().Draw(t, "dropped")}
		}), 1, 6).Draw(t, "starts")
		runFrom := func(first measure.Length) (lost measure.Length) {
			from := func(s pattern.Start) measure.Length { return (s.On(v) - first + v) % v }
			sorted := slices.Clone(starts)
			slices.SortFunc(sorted, func(a, b pattern.Start) int { return int(from(a) - from(b)) })
			end := sorted[0].On(v)
			for _, s := range sorted {
				at := s.On(v) + (end - s.On(v)).CeilTo(v)
				end = at + 3*v
			}
			return end - sorted[0].On(v) - (3 * v).Times(len(starts))
		}
		want := pattern.Lost(v, starts)
		if got := runFrom(pattern.First(v, starts)); got != want {
			t.Fatalf("lost %v, said %v", got, want)
		}
		for _, s := range starts {
			if got := runFrom(s.On(v)); got < want {
				t.Fatalf("from %v on only %v is lost, said %v", s.On(v), got, want)
			}
		}
	})
}

// TestStepIsTheLeast: the next cut begins no earlier than the one before it ends, at its own height, and no repeat later than it has to.
func TestStepIsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := grain.Times(2 * rapid.IntRange(1, 400).Draw(t, "repeat"))
		start := rapid.Custom(func(t *rapid.T) pattern.Start {
			return pattern.Start{Behind: grain.Times(rapid.IntRange(0, int(v/grain)-1).Draw(t, "behind")), Dropped: rapid.Bool().Draw(t, "dropped")}
		})
		from, next := start.Draw(t, "from"), start.Draw(t, "next")
		long := grain.Times(rapid.IntRange(1, 2000).Draw(t, "length"))
		step := pattern.Step(v, long, from, next)
		if step < long || step-v >= long || (from.On(v)+step-next.On(v))%v != 0 {
			t.Fatalf("%v behind a cut of %v", step, long)
		}
	})
}

// TestFallIsThePattern: on the bolt, where the pattern begins every repeat, a full pattern begins at the height asked.
func TestFallIsThePattern(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		some := func(name string, most int) measure.Length { return grain.Times(rapid.IntRange(0, most).Draw(t, name)) }
		f := pattern.Fall{Repeat: grain + some("repeat", 600), Top: some("top", 200), Length: some("length", 2000), Hem: some("hem", 300), Motif: some("motif", 300)}
		at := f.FromHem()
		if at < 0 || at >= f.Repeat || (at+f.Top+f.Length+f.Hem-f.Motif)%f.Repeat != 0 {
			t.Fatalf("from the hem: %v", at)
		}
		if at = f.FromTop(); at < 0 || at >= f.Repeat || (at+f.Top+f.Motif)%f.Repeat != 0 {
			t.Fatalf("from the top: %v", at)
		}
	})
}
