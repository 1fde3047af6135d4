package views

import (
	"fmt"
	"html/template"
	"strconv"

	"tablehand/engine/measure"
	"tablehand/stations"
)

// PairBars are a panel's measure and its mate's, one over the other and to one scale: where they end, and how far from the mate's
// end the shop lets a panel's be.
type PairBars struct {
	stations.MateMeasure
	Own measure.Quantity // zero where it isn't measured yet
}

// The bars' drawing: how wide it is, where the mate's bar ends, how much of it the limit is, and where a bar ends at the latest.
const (
	pairWide  = 300
	pairEnd   = 200.0
	pairLimit = 30.0
	pairMost  = 296.0
	pairLeast = 20.0
)

// BarsOf returns the bars of what a panel has measured, by entry; own may lack any.
func BarsOf(list []stations.MateMeasure, own map[string]measure.Quantity) map[string]*PairBars {
	bars := map[string]*PairBars{}
	for _, m := range list {
		bars[m.Entry] = &PairBars{m, own[m.Entry]}
	}
	return bars
}

// Mirrored are the bars as the mate sees them.
func (b PairBars) Mirrored() *PairBars {
	off := b.Off(b.Own)
	b.Own, b.Mate = b.Mate, b.Own
	b.Alike = b.Own.Length() + off
	return &b
}

// end is where the panel's own bar ends: at the mate's end where the two differ by nothing.
func (b PairBars) end() float64 {
	if b.Own.IsZero() {
		return 0
	}
	off := float64(b.Off(b.Own)) / float64(max(b.Limit.Length(), 1))
	return min(pairMost, max(pairLeast, pairEnd+off*pairLimit))
}

// Apart reports whether the panel is further from its mate than the shop allows.
func (b PairBars) Apart() bool {
	return !b.Own.IsZero() && b.MateMeasure.Apart(b.Own)
}

// By is how far apart the two are.
func (b PairBars) By() measure.Quantity {
	return measure.OfLength(b.Off(b.Own).Abs(), b.Mate.Unit())
}

// Nanometres are the numbers that the page's script goes by.
func (b PairBars) Nanometres() (n struct{ Alike, Limit string }) {
	n.Alike, n.Limit = strconv.FormatInt(int64(b.Alike), 10), strconv.FormatInt(int64(b.Limit.Length()), 10)
	return n
}

// OwnSVG draws the panel's own bar, MateSVG its mate's. What they show is said beside them in words.
func (b PairBars) OwnSVG() template.HTML { return pairBar("own", b.end()) }

// MateSVG draws the mate's bar.
func (b PairBars) MateSVG() template.HTML { return pairBar("mate", pairEnd) }

func pairBar(class string, end float64) template.HTML {
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %d 26" aria-hidden="true" focusable="false"><rect class="allowed" x="%.0f" y="0" width="%.0f" height="26"/>`+
		`<rect class="%s" x="0" y="5" width="%.1f" height="16"/><path class="limit" d="M%.0f 0v26M%.0f 0v26"/></svg>`,
		pairWide, pairEnd-pairLimit, 2*pairLimit, class, end, pairEnd-pairLimit, pairEnd+pairLimit))
}
