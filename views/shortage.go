package views

import (
	"fmt"
	"html/template"
	"net/url"
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
)

// Shortage is a fabric whose bolts don't do for an order: too little cloth, or enough only from several dye lots.
type Shortage struct {
	Fabric  string
	Index   int              // among the order's fabrics
	Cloth   string           // of the shop, whose shelf it is cut from; "" where the order has bolts of its own
	Cuts    int              // that the order takes of it
	Fit     int              // of them that have a place on the bolts
	Short   measure.Quantity // the length that lacks, Nothing where only lots mix
	Order   []CutsToOrder    // what to buy, lot by lot; of the shop's cloth its own page says that
	Missing []MissingCuts
	Mixed   []string // windows that can only be cut from several lots
	More    int      // of both, that a page doesn't show
	OnHand  []BoltOnHand
}

// MissingCuts are the cuts of one window that no bolt has room for.
type MissingCuts struct {
	Window string
	Count  int
	Length measure.Quantity // of the longest
	All    measure.Quantity // of them together
	Lot    string           // from which the window's other cuts come, "" where none is placed or its bolt has no lot
}

// CutsToOrder are the cuts of one dye lot that no bolt has room for.
type CutsToOrder struct {
	Lot    string // "" where any lot will do
	Count  int
	Length measure.Quantity // of all of them as cloth is bought, up to the order step
}

// BoltOnHand is a bolt that the order lists.
type BoltOnHand struct {
	ID, Lot string
	Length  measure.Quantity
}

// ShortagesOf tells which fabrics of an order don't do, what they lack and what there is.
func ShortagesOf(w *workup.Workup) []Shortage {
	var list []Shortage
	for _, plan := range w.Cloth {
		if len(plan.Plan.Unplaced) == 0 && len(plan.Plan.Mixed) == 0 {
			continue
		}
		s := Shortage{
			Fabric: plan.Fabric.ID, Cuts: len(plan.Cuts), Fit: len(plan.Cuts) - len(plan.Plan.Unplaced),
			Missing: missingOf(w, &plan), Mixed: mixedOf(w, &plan),
		}
		s.Order = toOrder(w, s.Missing)
		s.Index = w.Order.FabricIndex(plan.Fabric.ID)
		if plan.Plan.Short > 0 {
			s.Short = measure.OfLength(plan.Plan.Short, w.Order.Units)
		}
		for _, b := range plan.Fabric.Bolts {
			if b.Half {
				continue
			}
			s.OnHand = append(s.OnHand, BoltOnHand{b.ID, b.Lot, measure.OfLength(b.OnHand(), ClothUnit(w.Order.Units))})
		}
		s.shorten()
		list = append(list, s)
	}
	return list
}

// AnotherBolt is where the office takes in one bolt more of the fabric: onto the shelf, or into the order.
func (s Shortage) AnotherBolt(order string) string {
	if s.Cloth != "" {
		return "/shelf/receive?cloth=" + url.QueryEscape(s.Cloth)
	}
	return fmt.Sprintf("/orders/%s/edit?bolt=%d#f-fabrics.%d.bolts.%d.id", url.PathEscape(order), s.Index+1, s.Index, len(s.OnHand))
}

// linesAtOnce is of how many windows a page says what they lack.
const linesAtOnce = 6

func (s *Shortage) shorten() {
	all := len(s.Missing) + len(s.Mixed)
	s.Missing = s.Missing[:min(len(s.Missing), linesAtOnce)]
	s.Mixed = s.Mixed[:min(len(s.Mixed), linesAtOnce)]
	s.More = all - len(s.Missing) - len(s.Mixed)
}

// missingOf gathers the cuts without a place by window or piece, in the order of the file.
func missingOf(w *workup.Workup, plan *workup.ClothPlan) []MissingCuts {
	bolts := map[string]string{} // by cut
	for _, p := range plan.Plan.Placements {
		bolts[p.Cut] = p.Bolt
	}
	lots := map[string]string{} // by bolt
	for _, b := range plan.Fabric.Bolts {
		lots[b.ID] = b.Lot
	}
	unplaced := map[string]bool{}
	for _, id := range plan.Plan.Unplaced {
		unplaced[id] = true
	}
	lines := len(w.Treatments) + len(w.Pieces)
	of := make([]MissingCuts, lines)
	longest, together := make([]measure.Length, lines), make([]measure.Length, lines)
	for _, c := range plan.Cuts {
		if c.Treatment < 0 || c.Treatment >= len(of) {
			continue
		}
		switch m := &of[c.Treatment]; {
		case unplaced[c.ID]:
			m.Count++
			together[c.Treatment] += c.Length
			longest[c.Treatment] = max(longest[c.Treatment], c.Length)
		case m.Lot == "":
			m.Lot = lots[bolts[c.ID]]
		}
	}
	var list []MissingCuts
	for i, m := range of {
		if m.Count > 0 {
			m.Window, _ = w.Line(i)
			m.Length, m.All = measure.OfLength(longest[i], w.Order.Units), measure.OfLength(together[i], w.Order.Units)
			list = append(list, m)
		}
	}
	return list
}

// toOrder gathers what lacks by dye lot, in the order of the windows.
func toOrder(w *workup.Workup, missing []MissingCuts) []CutsToOrder {
	var list []CutsToOrder
	var lengths []measure.Length
	for _, m := range missing {
		i := slices.IndexFunc(list, func(o CutsToOrder) bool { return o.Lot == m.Lot })
		if i < 0 {
			i = len(list)
			list, lengths = append(list, CutsToOrder{Lot: m.Lot}), append(lengths, 0)
		}
		list[i].Count += m.Count
		lengths[i] += m.All.Length()
	}
	for i := range list {
		list[i].Length = measure.OfLength(lengths[i].CeilTo(w.Order.Conventions.OrderStep), ClothUnit(w.Order.Units))
	}
	return list
}

func mixedOf(w *workup.Workup, plan *workup.ClothPlan) []string {
	var windows []string
	for _, i := range plan.MixedTreatments() {
		window, _ := w.Line(i)
		windows = append(windows, window)
	}
	return windows
}

// Shortage says what a fabric's bolts lack and what to buy: "7 of 8 cuts fit; order one more cut, 3⅝ yd, of lot 9".
func (v *Views) Shortage(s Shortage) template.HTML {
	var says []string
	if s.Fit < s.Cuts {
		says = append(says, template.HTMLEscapeString(v.Say.N("short.fit", s.Cuts, "Fit", s.Fit)))
	}
	if len(s.Order) == 0 && !s.Short.Nought() {
		says = append(says, v.withNumber(measure.OfLength(s.Short.Length(), ClothUnit(s.Short.Unit())), func(number string) string {
			return v.Say.T("short.lacks", "Length", number)
		}))
	}
	for _, o := range s.Order {
		says = append(says, v.withNumber(o.Length, func(number string) string {
			return v.Say.N("short.order", o.Count, "Length", number, "Lot", o.Lot)
		}))
	}
	if len(s.Mixed) > 0 {
		says = append(says, template.HTMLEscapeString(v.Say.T("short.mixed", "Windows", strings.Join(s.Mixed, ", "))))
	}
	return template.HTML(strings.Join(says, "; "))
}

// withNumber is a sentence as HTML, a number in it set as one.
func (v *Views) withNumber(q measure.Quantity, sentence func(number string) string) string {
	const place = "\ufffc" // no text has it
	return strings.Replace(template.HTMLEscapeString(sentence(place)), place, string(v.Number(q)), 1)
}
