package paper

import (
	"cmp"
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// cover writes what the order is, what it takes, and how to work from the packet.
func (k *packet) cover() {
	k.part(func() error {
		k.write(k.say.T("paper.packet.head"), 11, plain, 1)
		k.write(k.doc.Order, 28, bold, 1)
		return nil
	})
	k.write(cmp.Or(k.due(k.doc.Due, k.doc.Revision), k.say.T("paper.packet.no_due")), 15, bold, 1)
	k.write(join(k.doc.Customer, k.doc.Sidemark), 12, plain, 2)
	k.write(k.doc.Workup.Order.Notes, 11, plain, 6)
	k.y += 8
	for _, how := range []string{"paper.packet.how_cut", "paper.packet.how_panel", "paper.packet.how_back"} {
		k.box(sheetMargin, k.y+10, 7)
		k.y = k.lines(sheetMargin+13, k.y, k.room()-13, k.say.T(how), 10, plain, 3) + 2
	}
	k.windows()
	k.others()
	k.cloth()
	k.weighed()
}

// others lists the pieces that are no panels, with their sizes.
func (k *packet) others() {
	w := k.doc.Workup
	if len(w.Pieces) == 0 {
		return
	}
	k.title(k.say.T("paper.packet.pieces_of"), 60)
	var rows [][]string
	for i := range w.Pieces {
		line := &w.Order.Pieces[w.Pieces[i].Index]
		var sizes []string
		for _, s := range line.Sizes {
			if s.Length > 0 {
				sizes = append(sizes, k.say.Named("value", plan.SizePrefix+s.Name)+" "+k.length(s.Length))
			}
		}
		rows = append(rows, []string{line.Text, k.say.T("piece." + string(line.Kind)), measure.Count(line.Quantity), strings.Join(sizes, ", ")})
	}
	k.table([]column{{k.say.T("paper.packet.piece"), 0.34}, {"", 0.16}, {k.say.T("paper.packet.alike"), 0.1}, {k.say.T("paper.packet.sizes"), 0.4}}, rows)
}

func (k *packet) windows() {
	if len(k.doc.Workup.Treatments) == 0 {
		return
	}
	k.title(k.say.T("paper.packet.windows"), 60)
	var rows [][]string
	for i := range k.doc.Workup.Treatments {
		t := &k.doc.Workup.Treatments[i]
		var sizes []string
		for n := range t.Panels {
			p := &t.Panels[n]
			size := k.length(p.FinishedWidth) + " × " + k.length(p.FinishedLength)
			if len(sizes) == 0 || sizes[len(sizes)-1] != size {
				sizes = append(sizes, size)
			}
		}
		line := &k.doc.Workup.Order.Treatments[t.Index]
		rows = append(rows, []string{t.Window, t.Room, k.say.Heading(string(t.Heading), t.HeadingName), k.say.T("draw." + string(line.Draw)),
			measure.Count(t.Quantity), measure.Count(len(t.Panels) * t.Quantity), strings.Join(sizes, ", ")})
	}
	k.table([]column{
		{k.say.T("paper.packet.window"), 0.24}, {k.say.T("paper.packet.room"), 0.09}, {k.say.T("paper.packet.heading"), 0.17},
		{k.say.T("paper.packet.draw"), 0.12}, {k.say.T("paper.packet.alike"), 0.07}, {k.say.T("paper.packet.panels"), 0.08},
		{k.say.T("paper.packet.finished"), 0.23},
	}, rows)
}

func (k *packet) length(l measure.Length) string { return k.say.Length(l, k.doc.Workup.Order.Units) }

// threads are the words for a thread, by what it sews.
var threads = map[string]string{"heading": "paper.packet.thread", "pocket": "paper.packet.thread.pocket"}

// cloth lists what the order takes, beside what is there.
func (k *packet) cloth() {
	k.title(k.say.T("paper.packet.cloth"), 60)
	totals := &k.doc.Workup.Totals
	bought := k.doc.Workup.Order.Units.Purchase()
	var rows [][]string
	for _, f := range totals.Fabrics {
		onHand := k.say.T("paper.packet.not_known")
		if f.OnBolts != nil {
			onHand = join(k.length(*f.OnBolts), k.lots(f.Fabric))
		}
		rows = append(rows, []string{f.Fabric, k.say.T("use." + string(f.Use)), measure.Count(f.Cuts), k.length(f.Length), k.bought(f, bought), onHand})
		rows = append(rows, k.trimmings(f.Fabric)...)
	}
	for _, t := range totals.Tape {
		rows = append(rows, []string{t.Tape, k.say.T("paper.packet.tape"), measure.Count(t.Pieces), k.length(t.Used), k.length(t.ToOrder), ""})
	}
	for _, b := range totals.Buckram {
		rows = append(rows, []string{k.length(b.Height), k.say.T("paper.packet.buckram"), measure.Count(b.Pieces), k.length(b.Length), "", ""})
	}
	for _, t := range totals.Thread {
		cones := ""
		if t.Cones > 0 {
			cones = k.say.N("paper.packet.cones", t.Cones)
		}
		rows = append(rows, []string{"", k.say.T(threads[t.For]), "", k.length(t.Length), cones, ""})
	}
	for _, e := range totals.Eyelets {
		size := k.say.Quantity(measure.OfSize(e.Inner, e.Outer, k.doc.Workup.Order.Units))
		rows = append(rows, []string{size, k.say.T("paper.packet.eyelets"), measure.Count(e.Count), "", "", ""})
	}
	for _, p := range []struct {
		of    string
		count int
	}{{"paper.packet.rings", totals.Rings}, {"paper.packet.tabs", totals.Tabs}} {
		if p.count > 0 {
			rows = append(rows, []string{"", k.say.T(p.of), measure.Count(p.count), "", "", ""})
		}
	}
	for _, h := range totals.Hooks {
		rows = append(rows, []string{k.length(h.Drop), k.say.T("paper.packet.hooks"), measure.Count(h.Count), "", "", ""})
	}
	if totals.Weights > 0 {
		rows = append(rows, []string{"", k.say.T("paper.packet.weights"), measure.Count(totals.Weights), "", "", ""})
	}
	if totals.WeightCord > 0 {
		rows = append(rows, []string{"", k.say.T("paper.packet.weight_cord"), "", k.length(totals.WeightCord), "", ""})
	}
	k.table([]column{
		{k.say.T("paper.packet.material"), 0.2}, {"", 0.13}, {k.say.T("paper.packet.pieces"), 0.09}, {k.say.T("paper.packet.used"), 0.16},
		{k.say.T("paper.packet.to_order"), 0.16}, {k.say.T("paper.packet.on_hand"), 0.26},
	}, rows)
}

// trimmings are what of a fabric's length is cut beside the panels: a row for each kind, with how many pieces it gives.
func (k *packet) trimmings(fabric string) (rows [][]string) {
	for _, of := range []workup.TrimmingUse{workup.ForTabs, workup.ForFacing, workup.ForBand} {
		pieces, length := 0, measure.Length(0)
		for i := range k.doc.Workup.Treatments {
			for _, u := range k.doc.Workup.Treatments[i].Fabrics {
				for _, t := range u.Trimmings {
					if u.Fabric == fabric && t.For == of {
						pieces, length = pieces+t.Pieces, length+t.Length()
					}
				}
			}
		}
		if pieces > 0 {
			rows = append(rows, []string{"", k.say.T("paper.packet.of_it." + string(of)), measure.Count(pieces), k.length(length), "", ""})
		}
	}
	return rows
}

// weighed says what hangs on each rod, and what that carries.
func (k *packet) weighed() {
	totals := k.doc.Workup.Totals.Mass
	if len(totals) == 0 {
		return
	}
	k.title(k.say.T("paper.packet.weighed"), 40)
	var rows [][]string
	for i := range totals {
		m := &totals[i]
		limit := ""
		if m.Limit > 0 {
			limit = k.say.Quantity(measure.OfMass(m.Limit, k.doc.Workup.Order.Units))
		}
		rows = append(rows, []string{m.Window, k.say.Quantity(measure.OfMass(m.Mass, k.doc.Workup.Order.Units)), limit})
	}
	k.table([]column{{k.say.T("paper.packet.window"), 0.5}, {k.say.T("paper.packet.weighs"), 0.25}, {k.say.T("paper.packet.carries"), 0.25}}, rows)
}

// bought is what to order of a fabric, and in how many bolts of the usual length.
func (k *packet) bought(f workup.FabricTotal, unit measure.Unit) string {
	toOrder := k.say.Length(f.ToOrder, unit)
	if f.Bolts == 0 {
		return toOrder
	}
	return join(toOrder, k.say.N("cloth.bolts", f.Bolts, "Length", k.say.Length(f.BoltLength, unit), "Sum", k.say.Length(f.BoltsComeTo, unit)))
}

// lots names the lots of a fabric's bolts, each once.
func (k *packet) lots(fabric string) string {
	var lots []string
	seen := map[string]bool{}
	for _, f := range k.doc.Fabrics {
		for _, b := range f.Bolts {
			if f.ID == fabric && b.Lot != "" && !seen[b.Lot] {
				seen[b.Lot] = true
				lots = append(lots, k.say.T("paper.tag.lot", "Lot", b.Lot))
			}
		}
	}
	return strings.Join(lots, ", ")
}

// cutList lists a fabric's cuts with boxes to tick, and where to say who cut them.
func (k *packet) cutList(t *plan.Ticket) {
	k.part(func() error {
		k.write(join(k.doc.Order, k.say.T("paper.cutting.title", "Fabric", t.Fabric)), 16, bold, 1)
		k.y += 4
		return nil
	})
	k.sign(k.y + 12)
	k.y += 22
	for _, c := range t.Steps[0].Cautions {
		k.keep(k.cautionBlock(c))
	}
	enter, checks := askedOf(&t.Steps[0])
	for _, e := range enter {
		k.keep(k.entry(e, plan.Always))
	}
	k.y += 4
	strips := k.doc.strips(k.pen, t, sheetMargin, k.room())
	for _, b := range strips.bolts {
		k.need(2*smallest*leading + boltHeight + 6)
		k.y = strips.draw(b, k.y)
	}
	k.table(k.cutTable(t))
	k.y += 6
	k.keep(k.ticks(&t.Steps[0], checks))
}

// cutTable has a column for trims and one for a half-drop's class only where a cut has one.
func (k *packet) cutTable(t *plan.Ticket) ([]column, [][]string) {
	columns := []column{
		{k.say.T("paper.packet.cut"), 0.08}, {k.say.T("paper.packet.at"), 0.25}, {k.say.T("paper.packet.cut_" + plan.Along(t.Cuts)), 0.13},
		{k.say.T("paper.packet.trim"), 0.16}, {"", 0.08}, {k.say.T("paper.packet.for"), 0},
	}
	rows := make([][]string, len(t.Cuts))
	for i, c := range t.Cuts {
		at := k.say.T("paper.cutting.no_bolt")
		if c.Bolt != "" {
			at = k.say.T("paper.packet.from", "Bolt", c.Bolt, "From", k.say.Quantity(c.From))
		}
		if c.Lot != "" {
			at = join(at, k.say.T("paper.tag.lot", "Lot", c.Lot))
		}
		class, trim := "", ""
		if c.Railroaded {
			trim = k.say.T("paper.packet.turned", "Length", k.say.Quantity(c.Across))
		}
		if c.Class != "" {
			class = k.say.T("paper.cutting.class", "Class", c.Class)
		}
		for _, t := range []told{{"top", c.TrimTop}, {"bottom", c.TrimBottom}} {
			if !t.value.IsZero() {
				trim = join(trim, k.say.T("paper.packet.trim_"+t.word, "Length", k.say.Quantity(t.value)))
			}
		}
		rows[i] = []string{"□ " + measure.Count(i+1), at, k.say.Quantity(c.Length), trim, class, strings.Join(k.pieces(c), "; ")}
	}
	for i := len(columns) - 2; i > 2; i-- {
		if slices.ContainsFunc(rows, func(row []string) bool { return row[i] != "" }) {
			continue
		}
		columns = slices.Delete(columns, i, i+1)
		for n := range rows {
			rows[n] = slices.Delete(rows[n], i, i+1)
		}
	}
	last := &columns[len(columns)-1].width
	*last = 1
	for _, c := range columns[:len(columns)-1] {
		*last -= c.width
	}
	return columns, rows
}
