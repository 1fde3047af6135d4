package views

import (
	"fmt"
	"html/template"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// Scale is a measured length against what it should be: the range that passes in the middle, the value where it lies,
// but never beyond the ends. Places are in the drawing's own unit, scaleWide across.
type Scale struct {
	Low, High, Target, Value float64
	Beyond                   bool             // the value lies further out than the drawing reaches
	Long                     bool             // the value is over the higher limit, not under the lower
	Off                      measure.Quantity // by how much it is beyond the limit
}

const (
	scaleWide   = 300.0
	scaleMargin = 12.0 // that the mark needs at the ends
)

// ScaleOf places a measured value. The drawing reaches three times as far as the tolerance; where there is none,
// as far as the value is off.
func ScaleOf(out OutOf) *Scale {
	target := out.Entry.Target
	if out.Entry.Kind != plan.LengthEntry || !target.IsLength() || !out.Measured.IsLength() {
		return nil
	}
	low, high := out.Entry.Between()
	minus, plus := target.Length()-low, high-target.Length()
	off := out.Measured.Length() - target.Length()
	s := &Scale{Long: off > 0}
	beyond := off - plus
	if !s.Long {
		beyond = -minus - off
	}
	s.Off = measure.OfLength(beyond, out.Measured.Unit())
	reach := 3 * max(minus, plus)
	if reach == 0 {
		reach = 2 * off.Abs()
	}
	at := func(l measure.Length) float64 {
		half := scaleWide/2 - scaleMargin
		return scaleWide/2 + half*float64(max(-reach, min(reach, l)))/float64(max(reach, 1))
	}
	s.Beyond = off.Abs() > reach
	s.Low, s.High, s.Target, s.Value = at(-minus), at(plus), at(0), at(off)
	return s
}

// SVG draws the scale. What it shows is told beside it in words.
func (s *Scale) SVG() template.HTML {
	return template.HTML(fmt.Sprintf(`<svg class="scale" viewBox="0 0 300 22" aria-hidden="true" focusable="false"><line class="rule" x1="0" y1="15" x2="300" y2="15"/>`+
		`<rect class="allowed" x="%.1f" y="10" width="%.1f" height="10"/><line class="wanted" x1="%.1f" y1="6" x2="%.1f" y2="22"/><path class="found" d="M%.1f 13l-7 -11h14z"/></svg>`,
		s.Low, max(s.High-s.Low, 1), s.Target, s.Target, s.Value))
}
