package relief_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/relief"
)

func inches(text string) measure.Length {
	l, err := measure.Parse(text, measure.In)
	if err != nil {
		panic(err)
	}
	return l
}

// order is the example order: five cuts of 121½ in, nine repeats of 13½, whose plain length is 111½: 95½ finished, 8 in fold, 8 in hem.
func order(t interface {
	Helper()
	Fatal(...any)
}, bolts ...orderfile.Bolt) *orderfile.Order {
	t.Helper()
	source, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "contract", "order.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	o, problems := orderfile.Parse(source)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	o.Fabrics[0].Bolts = bolts
	return o
}

func bolt(id, lot, length string) orderfile.Bolt {
	return orderfile.Bolt{ID: id, Lot: lot, Length: inches(length)}
}

func shelved(b orderfile.Bolt) orderfile.Bolt {
	b.Shelf = b.ID
	return b
}

// asked is the order's first fabric.
func asked(o *orderfile.Order) relief.Asked {
	w := workup.Compute(o)
	return relief.Asked{Work: w, Plan: &w.Cloth[0]}
}

// told writes ways shortly.
func told(ways []relief.Way) string {
	var list []string
	for _, w := range ways {
		parts := []string{string(w.Kind)}
		if len(w.Windows) > 0 {
			parts = append(parts, strings.Join(w.Windows, "+"))
		}
		for _, s := range []string{w.Value, w.Order, w.Lot} {
			if s != "" {
				parts = append(parts, s)
			}
		}
		if w.Kind != relief.Hem && w.Length > 0 {
			parts = append(parts, w.Length.In(measure.In))
		}
		if w.Short > 0 {
			parts = append(parts, "short", w.Short.In(measure.In))
		}
		list = append(list, strings.Join(parts, " "))
	}
	return strings.Join(list, "; ")
}

// TestWays: each way out, worked out by hand. A step of cloth is 4½ in, and a repeat of 13½ is ordered for positioning.
func TestWays(t *testing.T) {
	for _, c := range []struct {
		name  string
		bolts []orderfile.Bolt
		with  func(*orderfile.Order)
		ask   func(*relief.Asked)
		ways  string
	}{
		{name: "nothing is short", bolts: []orderfile.Bolt{bolt("R1", "A", "607.5")}},
		{name: "a cut has no place; its plain length has", // 4 · 121½ + 111½ = 597½. To buy: one cut, or all five of another lot
			bolts: []orderfile.Bolt{bolt("R1", "A", "600")},
			ways:  "on_phase on_phase; buy A 135in; buy 621in"},
		{name: "half an inch too little for that as well", bolts: []orderfile.Bolt{bolt("R1", "A", "597")}, ways: "buy A 135in; buy 621in"},
		{name: "a hem that takes a repeat less", // 8 repeats are 108: 3½ less of plain length, 1¾ less of hem
			bolts: []orderfile.Bolt{bolt("R1", "A", "597")}, ask: func(a *relief.Asked) { a.LeastHem = inches("2") },
			ways: "hem 2.25in; buy A 135in; buy 621in"},
		{name: "the least hem itself", bolts: []orderfile.Bolt{bolt("R1", "A", "597")}, ask: func(a *relief.Asked) { a.LeastHem = inches("2 1/4") },
			ways: "hem 2.25in; buy A 135in; buy 621in"},
		{name: "the shop makes none so small", bolts: []orderfile.Bolt{bolt("R1", "A", "597")}, ask: func(a *relief.Asked) { a.LeastHem = inches("2 5/16") },
			ways: "buy A 135in; buy 621in"},
		{name: "one total for fold and hem", bolts: []orderfile.Bolt{bolt("R1", "A", "597")}, ask: func(a *relief.Asked) { a.LeastHem = inches("2") },
			with: func(o *orderfile.Order) { o.Conventions.LengthAllowance = new(inches("16")) },
			ways: "buy A 135in; buy 621in"},
		{name: "two lots", // three cuts on either: two more of one lot are 243, all of another 607½
			bolts: []orderfile.Bolt{bolt("R1", "A", "432"), bolt("R2", "B", "432")},
			ways:  "mixed_lots Bay, left; buy A 256.5in; buy 621in"},
		{name: "two lots, and still a cut too many", // two cuts on either, both lots cut up: one is short, three are with one lot
			bolts: []orderfile.Bolt{bolt("R1", "A", "250"), bolt("R2", "B", "250")},
			ways:  "mixed_lots Bay, left short 121.5in; buy A 378in; buy 621in"},
		{name: "no lot is known", bolts: []orderfile.Bolt{bolt("R1", "", "600")}, ways: "on_phase on_phase; buy 135in"},
		{name: "on tickets the sizes stay", bolts: []orderfile.Bolt{bolt("R1", "A", "600")}, ask: func(a *relief.Asked) { a.Cut, a.LeastHem = true, inches("1") },
			ways: "buy A 135in; buy 621in"},
		{name: "of the shelf, both ends are lost", bolts: []orderfile.Bolt{shelved(bolt("R1", "A", "597"))},
			ask:  func(a *relief.Asked) { a.Shelved, a.Ends = true, inches("3") },
			ways: "buy A 144in; buy 630in"},
		{name: "no repeats for positioning", bolts: []orderfile.Bolt{bolt("R1", "A", "597")},
			with: func(o *orderfile.Order) { o.Conventions.OrderRepeats = 0 }, ways: "buy A 121.5in; buy 607.5in"},
		{name: "whose dye lot is in doubt", bolts: []orderfile.Bolt{shelved(bolt("R1", "A", "597"))},
			ask: func(a *relief.Asked) {
				a.Held = []relief.Cloth{
					{Lot: "A", Length: inches("121"), Bolts: []orderfile.Bolt{shelved(bolt("R1", "A", "597")), shelved(bolt("R2", "A", "121"))}},
					{Lot: "B", Length: inches("700"), Bolts: []orderfile.Bolt{shelved(bolt("R1", "A", "597")), shelved(bolt("R3", "B", "700"))}},
				}
			}, ways: "held_lot B 700in; buy A 135in; buy 621in"},
		{name: "what others were promised", bolts: []orderfile.Bolt{shelved(bolt("R1", "A", "400"))},
			ask: func(a *relief.Asked) {
				a.Later = []relief.Cloth{
					{Order: "LATER", Length: inches("122"), Bolts: []orderfile.Bolt{shelved(bolt("R1", "A", "400")), shelved(bolt("R2", "A", "122"))}},
					{Order: "LATE", Length: inches("244"), Bolts: []orderfile.Bolt{shelved(bolt("R1", "A", "400")), shelved(bolt("R2", "A", "244"))}},
				}
			}, ways: "promised LATER 122in short 121.5in; promised LATE 244in; buy A 256.5in; buy 621in"},
		{name: "of the file, another lot would hold one cut more", // three of five cuts in one lot instead of two
			bolts: []orderfile.Bolt{bolt("R1", "A", "243")},
			ask: func(a *relief.Asked) {
				a.Later = []relief.Cloth{{Order: "LATER", Length: inches("364.5"), Bolts: []orderfile.Bolt{bolt("R1", "A", "243"), bolt("R2", "B", "364.5")}}}
			}, ways: "promised LATER 364.5in short 243in; buy A 378in; buy 621in"},
		{name: "patterns that hang at one height", // ten cuts are 1215; 4½ is before the first, and 5 between those of either height
			bolts: []orderfile.Bolt{bolt("R1", "A", "1224")},
			with: func(o *orderfile.Order) {
				right := o.Treatments[0]
				right.Window, right.HemHeight = "Bay, right", inches("5")
				o.Treatments = append(o.Treatments, right)
				o.Conventions.RoomPhase = orderfile.TogetherPhase
			}, ways: "on_phase on_phase; no_position each; buy A 139.5in; buy 625.5in"}, // 126 with what is before the cut, or 612
		{name: "plain cloth", // nothing is bought for positioning
			bolts: []orderfile.Bolt{bolt("R1", "A", "600")},
			with: func(o *orderfile.Order) {
				o.Fabrics[0].VerticalRepeat = 0 // five cuts of 111½: 557½
				o.Fabrics[0].Bolts[0].Length = inches("550")
			},
			ask:  func(a *relief.Asked) { a.LeastHem = inches("3") }, // 7½ less over five cuts: 1½ each, ¾ of hem
			ways: "hem 3.25in; buy A 112.5in; buy 558in"},
	} {
		o := order(t, c.bolts...)
		if c.with != nil {
			c.with(o)
		}
		a := asked(o)
		if c.ask != nil {
			c.ask(&a)
		}
		if got := told(relief.Ways(a)); got != c.ways {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.ways)
		}
	}
}

// TestGreatestHem: from whatever least hem the search begins, it ends at the greatest that fits.
func TestGreatestHem(t *testing.T) {
	for sixteenths := 16; sixteenths <= 36; sixteenths++ {
		a := asked(order(t, bolt("R1", "A", "597")))
		a.LeastHem = (measure.Inch / 16).Times(sixteenths)
		if ways := relief.Ways(a); ways[0].Kind != relief.Hem || ways[0].Length != inches("2 1/4") {
			t.Errorf("from %s: %s", a.LeastHem.In(measure.In), told(ways))
		}
	}
}

// TestWaysAreSo: each way that does, done in the order, does: as it is worked up anew, all has its place and no window is of two lots.
func TestWaysAreSo(t *testing.T) {
	did := map[relief.Kind]int{}
	rapid.Check(t, func(t *rapid.T) {
		o := order(t)
		f := &o.Fabrics[0]
		switch rapid.IntRange(0, 3).Draw(t, "pattern") {
		case 0:
			f.VerticalRepeat = 0
		case 1:
			f.Match = orderfile.HalfDrop
		case 2:
			o.Conventions.RoomPhase = orderfile.TogetherPhase
		}
		second := o.Treatments[0]
		second.Window, second.FinishedLength = "Bay, right", inches("60")+measure.Inch.Times(rapid.IntRange(0, 30).Draw(t, "length"))
		second.HemHeight = measure.Inch.Times(rapid.IntRange(0, 6).Draw(t, "height"))
		if o.Conventions.RoomPhase != orderfile.TogetherPhase {
			second.HemHeight = 0
		}
		o.Treatments = append(o.Treatments, second)
		onShelf := rapid.Bool().Draw(t, "shelf")
		some := func(id string) orderfile.Bolt {
			b := bolt(id, rapid.SampledFrom([]string{"A", "B", ""}).Draw(t, "lot"), "0")
			b.Length = measure.Inch.Times(rapid.IntRange(100, 800).Draw(t, "bolt"))
			if from := measure.Inch.Times(rapid.IntRange(0, 400).Draw(t, "flaw")); from > 100*measure.Inch {
				b.Flaws = []orderfile.Flaw{{From: from, To: from + measure.Inch}}
			}
			if onShelf {
				b = shelved(b)
			}
			return b
		}
		for i := range rapid.IntRange(1, 3).Draw(t, "bolts") {
			f.Bolts = append(f.Bolts, some(fmt.Sprint("R", i)))
		}
		if rapid.Bool().Draw(t, "nearly") { // enough of one bolt
			f.Bolts = f.Bolts[:1]
			f.Bolts[0].Length = workup.Compute(o).Totals.Fabrics[0].Length - measure.Inch.Times(rapid.IntRange(1, 60).Draw(t, "missing"))
			f.Bolts[0].Flaws = nil
		}
		a := asked(o)
		a.LeastHem, a.Shelved = inches("1"), onShelf
		more := append(slices.Clone(f.Bolts), some("H"))
		a.Held = []relief.Cloth{{Lot: "held", Bolts: more}}
		a.Later = []relief.Cloth{{Order: "LATER", Bolts: more}}
		for _, w := range relief.Ways(a) {
			now := *o
			now.Fabrics, now.Treatments = slices.Clone(o.Fabrics), slices.Clone(o.Treatments)
			switch w.Kind {
			case relief.OnPhase:
				now.Conventions.RepeatRule = orderfile.RepeatRule(w.Value)
			case relief.NoPosition:
				now.Conventions.RoomPhase = orderfile.RoomPhase(w.Value)
			case relief.Hem:
				now.Conventions.BottomHem = w.Length
			case relief.HeldLot, relief.Promised:
				now.Fabrics[0].Bolts = more
			case relief.Buy:
				b := bolt("new", w.Lot, "0")
				if b.Length = w.Length; w.Lot == "" && !slices.ContainsFunc(f.Bolts, func(b orderfile.Bolt) bool { return b.Lot == "" }) {
					b.Lot = "C"
				}
				if onShelf {
					b = shelved(b)
				}
				now.Fabrics[0].Bolts = append(slices.Clone(f.Bolts), b)
			}
			plan := workup.Compute(&now).Cloth[0]
			switch {
			case w.Kind == relief.MixedLots:
				if plan.Plan.Short != w.Short || len(plan.Plan.Mixed) != len(w.Windows) {
					t.Fatalf("%+v, but %s is short", w, plan.Plan.Short.In(measure.In))
				}
			case w.Short == 0 && (len(plan.Plan.Unplaced) > 0 || len(plan.Plan.Mixed) > 0):
				t.Fatalf("%+v, but %s is short and %v are mixed on %+v", w, plan.Plan.Short.In(measure.In), plan.Plan.Mixed, now.Fabrics[0].Bolts)
			case w.Short == 0:
				did[w.Kind]++
			}
			if w.Kind == relief.Buy && w.Short > 0 {
				t.Fatalf("bought, it is short: %+v", w)
			}
		}
	})
	for _, kind := range relief.Kinds() {
		if kind != relief.MixedLots && kind != relief.NoPosition && did[kind] == 0 {
			t.Errorf("%s was never seen", kind)
		}
	}
	t.Log(did)
}

// BenchmarkWays is what a fabric of many windows takes that is short by little, on bolts of the shelf.
func BenchmarkWays(b *testing.B) {
	for _, windows := range []int{1, 10, 50, 200} {
		b.Run(fmt.Sprint(windows), func(b *testing.B) {
			o := many(b, windows)
			a := asked(o)
			a.LeastHem, a.Shelved = inches("1"), true
			for b.Loop() {
				relief.Ways(a)
			}
			b.Log(told(relief.Ways(a)))
		})
	}
}

// many is an order of many windows that is short by little, on bolts of the shelf.
func many(t interface {
	Helper()
	Fatal(...any)
}, windows int) *orderfile.Order {
	o := order(t)
	for i := 1; i < windows; i++ {
		next := o.Treatments[0]
		next.Window, next.FinishedLength = fmt.Sprint("W", i), next.FinishedLength-measure.Inch.Times(i%20)
		o.Treatments = append(o.Treatments, next)
	}
	all := workup.Compute(o).Totals.Fabrics[0].Length
	for i := 0; all > 130*measure.Inch; i++ {
		next := shelved(bolt(fmt.Sprint("S", i), fmt.Sprint("L", i/3), "1800"))
		next.Length = min(next.Length, all-100*measure.Inch)
		all -= next.Length
		o.Fabrics[0].Bolts = append(o.Fabrics[0].Bolts, next)
	}
	return o
}

// TestWaysForManyWindows: however many windows there are, the office is told how much cloth does, and up to some hundreds which hem, and it does.
func TestWaysForManyWindows(t *testing.T) {
	o := many(t, 100)
	a := asked(o)
	a.Shelved, a.LeastHem = true, inches("1")
	helps := map[relief.Kind]bool{}
	for _, w := range relief.Ways(a) {
		now := *o
		switch w.Kind {
		case relief.Buy:
			lot := w.Lot
			if lot == "" {
				lot = "new"
			}
			now.Fabrics = slices.Clone(o.Fabrics)
			now.Fabrics[0].Bolts = append(slices.Clone(now.Fabrics[0].Bolts), shelved(bolt("N", lot, w.Length.In(measure.In))))
		case relief.Hem:
			now.Conventions.BottomHem = w.Length
		default:
			continue
		}
		helps[w.Kind] = true
		if plan := workup.Compute(&now).Cloth[0].Plan; len(plan.Unplaced)+len(plan.Mixed) > 0 {
			t.Errorf("with %+v %s is short", w, plan.Short.In(measure.In))
		}
	}
	if !helps[relief.Buy] || !helps[relief.Hem] {
		t.Errorf("there is told %s", told(relief.Ways(a)))
	}
}

// TestWaysOfBegunWindows: two cuts of 121½ in, and a repeat to place them. What a window still lacks comes from the lot that it has pieces of, so only cloth of that lot helps, unless lots are
// mixed.
func TestWaysOfBegunWindows(t *testing.T) {
	for _, on := range []func(orderfile.Bolt) orderfile.Bolt{shelved, func(b orderfile.Bolt) orderfile.Bolt { return b }} {
		o := order(t, on(bolt("A", "A", "400")), on(bolt("B", "B", "600")))
		w := workup.Compute(o)
		begun := w.Cloth[0].Relay(w.Cloth[0].Cuts[2:], map[string][]cutting.Span{"A": {{To: inches("243")}}}, map[int][]string{0: {"A"}})
		f := *begun.Fabric
		f.Bolts = slices.Clone(f.Bolts)
		f.Bolts[0].From = inches("243")
		begun.Fabric = &f
		ways := relief.Ways(relief.Asked{Work: w, Plan: begun, Cut: true, Shelved: f.Bolts[0].Shelf != ""})
		if got := told(ways); got != "mixed_lots Bay, left; buy A 256.5in" {
			t.Errorf("it says %q", got)
		}
	}
}
