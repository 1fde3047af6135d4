package workup_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// TestLotGroups: by the order's convention the cuts of a window, of a room or of the whole order come from one lot, on bolts of the file too. Of a
// group that no lot holds all its windows are told. A window without a room, and a piece, are each for themselves.
func TestLotGroups(t *testing.T) {
	o := inchOrder()
	bay := o.Treatments[0] // 5 cuts of 121½ in
	o.Treatments = nil
	for _, of := range [][2]string{{"Bay", "14"}, {"Hall", ""}, {"Door", "14"}, {"Stair", ""}} {
		line := bay
		line.Window, line.Room = of[0], of[1]
		o.Treatments = append(o.Treatments, line)
	}
	o.Pieces = []orderfile.Piece{{Kind: orderfile.OtherPiece, Text: "Tie-backs", Quantity: 1, Fabrics: []orderfile.PieceFabric{{Fabric: "reed", Cuts: 1, CutLength: inches("20")}}}}
	one := 5 * inches("121 1/2")
	bolts := func(lengths ...measure.Length) {
		o.Fabrics[0].Bolts = nil
		for i, l := range lengths {
			o.Fabrics[0].Bolts = append(o.Fabrics[0].Bolts, orderfile.Bolt{ID: string(rune('1' + i)), Lot: string(rune('A' + i)), Length: l})
		}
	}
	for _, tt := range []struct {
		by     orderfile.LotGroup
		groups []int
		lots   []string // by line, where each lot but the last holds a window
		mixed  []int
	}{
		{orderfile.WindowLot, []int{0, 1, 2, 3, 4}, []string{"A", "B", "C", "D", "C"}, nil},
		{orderfile.RoomLot, []int{0, 1, 0, 3, 4}, []string{"E", "A", "E", "B", "C"}, nil},
		{orderfile.OrderLot, []int{0, 0, 0, 0, 0}, nil, []int{0, 2, 1, 3, 4}},
	} {
		o.Conventions.LotGroup = tt.by
		bolts(one+inches("5"), one+inches("5"), one+inches("25"), one+inches("5"), 2*one+inches("5"))
		w := workup.Compute(o)
		plan := &w.Cloth[0]
		if len(plan.Plan.Unplaced) > 0 {
			t.Errorf("%s: without a place are %v", tt.by, plan.Plan.Unplaced)
		}
		lines := map[string]int{} // by cut
		for _, c := range plan.Cuts {
			lines[c.ID] = c.Treatment
		}
		for line, want := range tt.groups {
			if got := w.LotGroup(line); got != want {
				t.Errorf("%s: line %d is in the group of %d, not %d", tt.by, line, got, want)
			}
		}
		for _, p := range plan.Plan.Placements {
			if lot := o.Fabrics[0].Bolts[p.Bolt[0]-'1'].Lot; tt.lots != nil && lot != tt.lots[lines[p.Cut]] {
				t.Errorf("%s: cut %s of line %d is of lot %s, not %s", tt.by, p.Cut, lines[p.Cut], lot, tt.lots[lines[p.Cut]])
			}
		}
		if got := plan.MixedTreatments(); len(got) != len(tt.mixed) || len(tt.mixed) > 0 && !slices.Equal(plan.MixedGroups(), []int{0}) {
			t.Errorf("%s: lines %v are mixed, want %v", tt.by, got, tt.mixed)
		}
	}

	o.Conventions.LotGroup = orderfile.RoomLot
	bolts(4*one, 4*one)
	plan := &workup.Compute(o).Cloth[0]
	for _, p := range plan.Relay(plan.Cuts, nil, map[int][]string{0: {"B"}}).Plan.Placements {
		var line int
		for _, c := range plan.Cuts {
			if c.ID == p.Cut {
				line = c.Treatment
			}
		}
		if (p.Bolt == "2") != (line == 0 || line == 2) {
			t.Errorf("with cloth of lot B for the room, cut %s of line %d lies on %s", p.Cut, line, p.Bolt)
		}
	}
}

// TestWindowsStayWhole: a room, or an order, that no lot of the shelf holds is cut from several, but each of its windows from one, where the
// bolts let that be.
func TestWindowsStayWhole(t *testing.T) {
	for _, by := range []orderfile.LotGroup{orderfile.RoomLot, orderfile.OrderLot} {
		for _, kerf := range []measure.Length{0, inches("1")} {
			o := inchOrder()
			o.Conventions.LotGroup = by
			second := o.Treatments[0] // 5 cuts of 121½ in
			second.Window = "Bay, right"
			o.Treatments = append(o.Treatments, second)
			cut := inches("121 1/2")
			if kerf > 0 {
				cut += inches("13 1/2") // the next repeat behind it
			}
			o.Fabrics[0].Bolts = []orderfile.Bolt{{ID: "1", Shelf: "1", Lot: "A", Length: 7 * cut, Kerf: kerf}, {ID: "2", Shelf: "2", Lot: "B", Length: 5 * cut, Kerf: kerf}}
			plan := &workup.Compute(o).Cloth[0]
			if len(plan.Plan.Unplaced) > 0 || len(plan.Plan.Mixed) != 1 {
				t.Fatalf("by %s, with a kerf of %s: %+v", by, kerf.In(measure.In), plan.Plan)
			}
			on := map[int]map[string]bool{0: {}, 1: {}}
			for i, c := range plan.Cuts {
				at := slices.IndexFunc(plan.Plan.Placements, func(p cutting.Placement) bool { return p.Cut == c.ID })
				on[plan.Cuts[i].Treatment][plan.Plan.Placements[at].Bolt] = true
			}
			if len(on[0]) != 1 || len(on[1]) != 1 {
				t.Errorf("by %s, with a kerf of %s: the windows are cut from %v", by, kerf.In(measure.In), on)
			}
		}
	}
}

// TestAnotherLotThanBefore: what is left of a window that has pieces of one lot is mixed where it all lies on another.
func TestAnotherLotThanBefore(t *testing.T) {
	for _, kerf := range []measure.Length{0, inches("1")} {
		o := inchOrder()
		o.Fabrics[0].Bolts = []orderfile.Bolt{{ID: "1", Shelf: "1", Lot: "A", Length: inches("400"), Kerf: kerf}, {ID: "2", Shelf: "2", Lot: "B", Length: inches("900"), Kerf: kerf}}
		plan := &workup.Compute(o).Cloth[0] // five cuts of 121½ in
		laid := plan.Relay(plan.Cuts[2:], map[string][]cutting.Span{"1": {{To: inches("300")}}}, map[int][]string{0: {"A"}})
		for _, p := range laid.Plan.Placements {
			if p.Bolt != "2" {
				t.Fatalf("with a kerf of %s there is room for %+v", kerf.In(measure.In), p)
			}
		}
		if len(laid.Plan.Placements) != 3 || !slices.Equal(laid.Plan.Mixed, []string{"0"}) {
			t.Errorf("with a kerf of %s it is laid as %+v", kerf.In(measure.In), laid.Plan)
		}
		as := *laid
		as.AsLaid(laid.Plan.Placements)
		if !slices.Equal(as.Plan.Mixed, []string{"0"}) {
			t.Errorf("as it lies, mixed are %v", as.Plan.Mixed)
		}
	}
}

// TestListedBoltsSuffice: the bolts of the file are filled as they are listed; where that leaves a cut without a place, or a window to two
// lots, though there is a way, the way is taken.
func TestListedBoltsSuffice(t *testing.T) {
	for name, tt := range map[string]struct {
		pieces []orderfile.Piece
		bolts  []orderfile.Bolt
	}{
		"a place for all":  {pieces("40:1 40:1 30:1 30:1 30:1 30:1"), []orderfile.Bolt{{ID: "1", Length: inches("100")}, {ID: "2", Length: inches("100")}}},
		"one lot for each": {pieces("30:1 30:2 10:2 10:2 30:1 20:2"), []orderfile.Bolt{{ID: "1", Lot: "A", Length: inches("100")}, {ID: "2", Lot: "B", Length: inches("100")}}},
	} {
		o := inchOrder()
		o.Treatments, o.Pieces, o.Fabrics[0].Bolts, o.Fabrics[0].VerticalRepeat = nil, tt.pieces, tt.bolts, 0
		plan := &workup.Compute(o).Cloth[0]
		if listed := cutting.Place(workup.Placing(plan)); len(listed.Unplaced)+len(listed.Mixed) == 0 {
			t.Errorf("%s: as listed they suffice", name)
		}
		if len(plan.Plan.Unplaced)+len(plan.Plan.Mixed) > 0 {
			t.Errorf("%s: %+v", name, plan.Plan)
		}
	}
}

// pieces are those of an order, by the length of their cuts in inches and how many there are of each.
func pieces(list string) (all []orderfile.Piece) {
	for i, of := range strings.Fields(list) {
		length, n, _ := strings.Cut(of, ":")
		cuts, err := strconv.Atoi(n)
		if err != nil {
			panic(err)
		}
		cloth := []orderfile.PieceFabric{{Fabric: "reed", Cuts: cuts, CutLength: inches(length)}}
		all = append(all, orderfile.Piece{Kind: orderfile.OtherPiece, Text: strconv.Itoa(i), Quantity: 1, Fabrics: cloth})
	}
	return all
}
