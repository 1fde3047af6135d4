package relief_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

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
func order(t testing.TB, bolts ...orderfile.Bolt) *orderfile.Order {
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
			ask:  func(a *relief.Asked) { a.Shelved, a.Ends = true, inches("2") },
			ways: "buy A 139.5in; buy 625.5in"},
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
		{name: "a lining is cut without regard to a pattern", // cuts of 95½ − 1 lift … : plain, so nothing for positioning
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

var _ = fmt.Sprint
var _ = slices.Contains[[]int]
