package workup

import (
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/pattern"
	"tablehand/engine/roll"
)

// addUp sums the order. A treatment or piece that an error left out is missing from every total, and Incomplete says so.
func addUp(w *Workup) Totals {
	var t Totals
	for i := range w.Treatments {
		if len(w.Treatments[i].Panels) == 0 {
			t.Incomplete = true
		}
	}
	for i := range w.Pieces {
		t.Incomplete = t.Incomplete || w.Pieces[i].Failed
	}
	t.Fabrics = fabricTotals(w)
	t.Tape = tapeTotals(w)
	t.Buckram = buckramTotals(w)
	t.Thread = threadTotals(w)
	fittingTotals(w, &t)
	t.Mass = massTotals(w)
	return t
}

// each calls f for every panel of one window, with how many of it the order makes.
func (w *Workup) each(f func(p *Panel, quantity int)) {
	for i := range w.Treatments {
		t := &w.Treatments[i]
		for j := range t.Panels {
			f(&t.Panels[j], t.Quantity)
		}
	}
}

// fabricTotals lists the fabrics used, in the order of the file.
func fabricTotals(w *Workup) []FabricTotal {
	o, sums := w.Order, map[string]FabricTotal{}
	w.uses(func(u *FabricUse) {
		sum := sums[u.Fabric]
		sum.Cuts += u.AllCuts()
		sum.Length += u.Length
		sums[u.Fabric] = sum
	})
	for i := range w.Cloth {
		plan := &w.Cloth[i]
		sum := sums[plan.Fabric.ID]
		sum.Length = orderLength(w, plan, sum.Length)
		sum.usualBolts(o, plan)
		sums[plan.Fabric.ID] = sum
	}
	var list []FabricTotal
	for i := range o.Fabrics {
		f := &o.Fabrics[i]
		sum, used := sums[f.ID]
		if !used {
			continue
		}
		sum.Fabric, sum.Use = f.ID, f.Use
		sum.ToOrder = toOrder(&o.Conventions, f, sum.Length)
		if len(f.Bolts) > 0 {
			var onBolts measure.Length
			for i := range f.Bolts {
				if !f.Bolts[i].Half {
					onBolts += f.Bolts[i].OnHand()
				}
			}
			sum.OnBolts = &onBolts
		}
		list = append(list, sum)
	}
	return list
}

// usualBolts says how many bolts of a usual length the cuts of a fabric take: cloth comes on bolts, whose ends are lost,
// so that the length to order doesn't do by itself.
func (t *FabricTotal) usualBolts(o *orderfile.Order, plan *ClothPlan) {
	if t.BoltLength = first(o.Conventions.BoltLength, plan.Fabric.BoltLength); t.BoltLength > 0 {
		t.Bolts = cutting.AlikeBolts(Placing(plan), t.BoltLength)
		t.BoltsComeTo = t.BoltLength.Times(t.Bolts)
	}
}

// inPhases is what all cuts of whole repeats take, height by height: of a half-drop half a repeat is lost once a fabric.
func (plan *ClothPlan) inPhases() measure.Length {
	var sum measure.Length
	for i := range plan.Cuts {
		sum += plan.Cuts[i].Length
	}
	return sum + plan.lost(true)
}

// lost is the cloth between cuts that start at several heights, those of one all cut before those of the next.
func (plan *ClothPlan) lost(classes bool) measure.Length {
	if plan.pitch == 0 {
		return 0
	}
	return pattern.Lost(plan.pitch, plan.heights(classes))
}

// orderLength is the cloth that all of an order's cuts take. On phase it is their least run, and of a half-drop's whole
// repeats both classes one after the other; else the treatments' sum, with what rooms of several heights lose, and with a repeat for the whole order where the shop allows for a half-drop so (published example M10): always,
// or only where a cut has too little to spare.
func orderLength(w *Workup, plan *ClothPlan, sum measure.Length) measure.Length {
	c, f := &w.Order.Conventions, plan.Fabric
	if f.Use != orderfile.Face || f.Plain() {
		return sum
	}
	if runs(c, f) {
		return plan.run
	}
	if halfDropped(f) && c.HalfDrop == orderfile.DropPhases && c.RepeatRule == orderfile.WholeRepeats {
		return plan.inPhases()
	}
	sum += plan.lost(false)
	byOrder := c.HalfDrop == orderfile.OneRepeatAnOrder || c.HalfDrop == orderfile.NothingIfWithinSpare
	if !halfDropped(f) || !byOrder {
		return sum
	}
	lost := false
	w.uses(func(u *FabricUse) {
		enough := c.HalfDrop == orderfile.NothingIfWithinSpare && spares(f, u.CutLength, u.PlainLength)
		lost = lost || u.Fabric == f.ID && u.Classes[0] > 0 && u.Classes[1] > 0 && !enough
	})
	if lost {
		sum += f.VerticalRepeat
	}
	return sum
}

// toOrder is the length to buy: with whole repeats for positioning on a patterned face (one is the published rule
// of W14), rounded to the step in which cloth is sold. A lining is cut without regard to a repeat.
func toOrder(c *orderfile.Conventions, f *orderfile.Fabric, length measure.Length) measure.Length {
	if f.Use == orderfile.Face {
		length += f.VerticalRepeat.Times(c.OrderRepeats)
	}
	switch c.OrderRounding {
	case orderfile.OrderAsItFell:
		return length
	case orderfile.OrderNearest:
		return length.RoundTo(c.OrderStep)
	}
	return length.CeilTo(c.OrderStep)
}

// tapeTotals lists the tapes used, in the order of the file. One period more is ordered than is used: the first
// dot of a roll lies anywhere in its first period.
func tapeTotals(w *Workup) []TapeTotal {
	kinds := map[string][]roll.Piece{}
	w.each(func(p *Panel, quantity int) {
		if p.Family != orderfile.SetByTape {
			return
		}
		kinds[p.TapeID] = append(kinds[p.TapeID], roll.Piece{Pleats: p.Pleats, Start2: measure.Length(p.startOfTape), End2: measure.Length(p.endOfTape), Count: quantity})
	})
	var list []TapeTotal
	for i := range w.Order.Tapes {
		tape := &w.Order.Tapes[i]
		pieces := kinds[tape.ID]
		if !tape.Kind.Pleats() {
			if total := w.plainTape(tape); total.Pieces > 0 {
				list = append(list, total)
			}
			continue
		}
		if len(pieces) == 0 {
			continue
		}
		total := TapeTotal{Tape: tape.ID, Used: roll.Used(tape.Period, pieces)}
		for _, piece := range pieces {
			total.Pieces += piece.Count
		}
		total.ToOrder = total.Used + tape.Period
		list = append(list, total)
	}
	return list
}

// plainTape is a tape's total whose pieces have no pleats to begin with: one after the other, those of a wave tape whole pockets apart and
// one pocket more, since the first of a roll lies anywhere in its first pitch.
func (w *Workup) plainTape(tape *orderfile.Tape) TapeTotal {
	total := TapeTotal{Tape: tape.ID}
	w.each(func(p *Panel, quantity int) {
		if p.TapeID == tape.ID {
			total.Pieces += quantity
			total.Used += max(p.TapePiece, p.TapePitch).Times(quantity)
		}
	})
	total.ToOrder = total.Used + tape.PocketPitch
	return total
}

// buckramTotals sums the inserts of tapes and the strips of headings by height, in the order in which
// heights first come up.
func buckramTotals(w *Workup) []BuckramTotal {
	var list []BuckramTotal
	add := func(pieces int, height, length measure.Length) {
		i := slices.IndexFunc(list, func(b BuckramTotal) bool { return b.Height == height })
		if i < 0 {
			i = len(list)
			list = append(list, BuckramTotal{Height: height})
		}
		list[i].Pieces += pieces
		list[i].Length += length.Times(pieces)
	}
	w.each(func(p *Panel, quantity int) {
		if p.BuckramLength > 0 {
			add(quantity, p.BuckramHeight, p.BuckramLength)
		}
		if p.InsertLength > 0 {
			add(p.Inserts*quantity, p.InsertHeight, p.InsertLength)
		}
	})
	return list
}

// threadTotals is the thread of the heading's stitch lines: a lockstitch (301) takes 2 + 2·T·S of its seam, T the
// thickness sewn through and S stitches to the same unit (published example T03). Rounded once, from the order's sum.
func threadTotals(w *Workup) (list []ThreadTotal) {
	c := &w.Order.Conventions
	for _, seam := range []string{"heading", "pocket"} {
		stitching := w.stitching(seam)
		if stitching == 0 {
			continue
		}
		total := ThreadTotal{For: seam, Length: thread(c, stitching)}
		if c.ConeLength > 0 {
			total.Cones = int(total.Length.CeilDiv(c.ConeLength))
		}
		list = append(list, total)
	}
	return list
}

// stitching is the order's seams of one kind: a heading's stitch lines, or those of rods' pockets.
func (w *Workup) stitching(of string) (sum measure.Length) {
	w.each(func(p *Panel, quantity int) {
		if of == "pocket" {
			sum += p.PocketStitching.Times(quantity)
		} else {
			sum += p.Stitching.Times(quantity)
		}
	})
	return sum
}

// fittingTotals counts the order's hooks, by the drop that they are pinned at, and its weights.
func fittingTotals(w *Workup, t *Totals) {
	for i := range w.Treatments {
		w.points(&w.Treatments[i], t)
	}
	w.each(func(p *Panel, quantity int) {
		if len(p.HookPlaces) == 0 {
			t.Weights += len(p.WeightPlaces) * quantity
			t.WeightCord += p.WeightCord.Times(quantity)
			return
		}
		i := slices.IndexFunc(t.Hooks, func(h HookTotal) bool { return h.Drop == p.HookDrop })
		if i < 0 {
			i = len(t.Hooks)
			t.Hooks = append(t.Hooks, HookTotal{Drop: p.HookDrop})
		}
		t.Hooks[i].Count += len(p.HookPlaces) * quantity
		t.Weights += len(p.WeightPlaces) * quantity
		t.WeightCord += p.WeightCord.Times(quantity)
	})
}

// massTotals are what hangs on the rods, window by window, where it is known.
func massTotals(w *Workup) (list []MassTotal) {
	for i := range w.Treatments {
		t := &w.Treatments[i]
		rod := w.Order.Rod(w.Order.Treatments[t.Index].Rod)
		if mass := massOf(t.Panels); rod != nil && mass > 0 {
			list = append(list, MassTotal{Treatment: t.Index, Window: t.Window, Mass: mass, Limit: measure.Mass(rod.Limit)})
		}
	}
	return list
}

// points counts a treatment's eyelets by their size, its rings and its tabs.
func (w *Workup) points(t *Treatment, totals *Totals) {
	for i := range t.Panels {
		p := &t.Panels[i]
		n := p.Points * t.Quantity
		switch {
		case p.Ringed:
			totals.Rings += n
		case tabbed(p):
			totals.Tabs += n
		case eyeleted(p):
			size := w.Order.Treatments[t.Index].Eyelet
			k := slices.IndexFunc(totals.Eyelets, func(e EyeletTotal) bool { return e.Inner == size.Inner && e.Outer == size.Outer })
			if k < 0 {
				k = len(totals.Eyelets)
				totals.Eyelets = append(totals.Eyelets, EyeletTotal{Inner: size.Inner, Outer: size.Outer})
			}
			totals.Eyelets[k].Count += n
		}
	}
}

func thread(c *orderfile.Conventions, seam measure.Length) measure.Length {
	density := c.StitchDensity // stitches an inch
	inch := int64(measure.Inch) * max(1, density.Den)
	return seam.MulDiv(2*(inch+int64(c.SeamThickness)*density.Num), inch)
}
