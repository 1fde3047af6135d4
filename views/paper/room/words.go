package room

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/views/i18n"
)

// Said is what is drawn of windows in words, for those who don't see the drawing and for those who want to read it.
type Said struct {
	Names []string // of the windows that it is said of
	Words []string // sentences
}

// Words says what is drawn of each window; of several that hang alike once.
func (r *Room) Words(say *i18n.Printer) []Said {
	var all []Said
	for i := range r.Windows {
		w := &r.Windows[i]
		words := w.words(r.Units, say)
		if at := slices.IndexFunc(all, func(s Said) bool { return slices.Equal(s.Words, words) }); at >= 0 {
			all[at].Names = append(all[at].Names, w.Name)
			continue
		}
		all = append(all, Said{Names: []string{w.Name}, Words: words})
	}
	return all
}

func (w *Window) words(units measure.Unit, say *i18n.Printer) []string {
	length := func(l measure.Length) string { return say.Length(l, units) }
	says := []string{say.T("room.says.kind", "Heading", say.Heading(string(w.Heading), w.Called), "Draw", say.T("draw."+string(w.Draw)))}
	if w.Sheer {
		says[0] += ", " + say.T("room.says.sheer")
	}
	if w.Quantity > 1 {
		says[0] += ", " + say.N("page.order.quantity", w.Quantity)
	}
	for i := range w.Panels {
		p := &w.Panels[i]
		name := say.T("paper.ticket.panel." + string(p.ID))
		if len(w.Panels) > 1 && w.alike() {
			if i > 0 {
				break
			}
			name = say.T("room.says.each")
		}
		args := []any{"Panel", name, "Width", length(p.Width), "Length", length(p.Length), "Widths", say.N("room.says.widths", int(p.Widths+1)/2, "Widths", i18n.Widths(p.Widths))}
		by := p.By
		if by == "hook" {
			by = "carrier"
		}
		switch {
		case p.Gathered:
			says = append(says, say.T("room.says.gathered", args...))
		case len(p.Points) > 0:
			says = append(says, say.T("room.says.panel", append(args, "Pleats", say.N("room.says."+by+"s", len(p.Points)))...))
		default:
			says = append(says, say.T("room.says.panel", append(args, "Pleats", say.N("room.says.pleats", p.Pleats))...))
		}
	}
	says = append(append(says, w.rodWords(length, say)...), w.patternWords(length, say)...)
	for i := range w.Bands {
		b := &w.Bands[i]
		says = append(says, say.T("room.says.band."+string(b.Edge), "Width", length(b.Width)))
	}
	return says
}

// rodWords says how wide and how high the rod is, as far as the order does.
func (w *Window) rodWords(length func(measure.Length) string, say *i18n.Printer) []string {
	rod := say.T("room.says.no_rod")
	if w.Rod > 0 {
		rod = say.T("room.says.rod", "Length", length(w.Rod))
	}
	if left, right := w.Panels[0].ReturnLeft, w.last().ReturnRight; left > 0 && left == right {
		rod += say.T("room.says.returns", "Length", length(left))
	} else {
		for _, of := range []struct {
			key   string
			turns measure.Length
		}{{"left", left}, {"right", right}, {"one", w.Return}} {
			if of.turns > 0 {
				rod += say.T("room.says.return."+of.key, "Length", length(of.turns))
			}
		}
	}
	if w.Overlap > 0 {
		rod += say.T("room.says.overlap", "Length", length(w.Overlap))
	}
	hung := say.T("room.says.no_hang")
	if h := w.Hang; h != nil {
		key := "room.says.hang"
		if h.HeadingAboveBearing < 0 {
			key = "room.says.hang.below"
		}
		if h.Clearance == 0 {
			key += ".to_floor"
		}
		hung = say.T(key, "Rod", length(h.BearingToFloor), "Heading", length(h.HeadingAboveBearing.Abs()), "Clearance", length(h.Clearance))
	}
	says := []string{rod, hung}
	if w.Puddle > 0 {
		says = append(says, say.T("room.says.puddle", "Length", length(w.Puddle)))
	}
	return says
}

// patternWords says how the pattern runs, and where it begins where that is known.
func (w *Window) patternWords(length func(measure.Length) string, say *i18n.Printer) []string {
	var across []string
	if w.Across > 0 {
		across = []string{say.T("room.says.across", "Length", length(w.Across))}
		if w.Motif != "" && w.Motif != orderfile.Marching {
			across[0] += say.T("room.says.across." + string(w.Motif))
		}
	}
	if w.Repeat == 0 {
		return across
	}
	says := say.T("room.says.repeat", "Length", length(w.Repeat))
	first, last := measure.Length(0), measure.Length(0)
	for i := range w.Panels {
		for _, m := range w.Panels[i].Motifs {
			if len(m.At) > 0 {
				first, last = min(cmp.Or(first, m.At[0]), m.At[0]), max(last, m.At[0])
			}
		}
	}
	switch {
	case first == 0:
	case last > first: // of a half-drop
		says += say.T("room.says.motifs", "First", length(first), "Other", length(last))
	default:
		says += say.T("room.says.motif", "First", length(first))
	}
	return append([]string{says}, across...)
}
