package bolt

import (
	"fmt"
	"html"
	"io"
	"slices"
	"strings"

	"tablehand/engine/cutfile"
	"tablehand/engine/cutplan"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// How a plan is drawn, in parts of the longest bolt: each bolt a strip, one below the other.
const (
	stripOf = 30 // its height
	gapOf   = 22 // between two, where the writing is
	inkOf   = 90 // the height of the writing
)

// picture draws a plan in the units of its file.
type picture struct {
	file *cutfile.File
	unit float64 // of the writing and strips
	out  strings.Builder
}

// PlanSVG draws a plan to scale, in the units of its file: the bolts that are cut from one below the other, their cuts, flaws and
// remnants, and where a pattern stands. It has no words but the names in the file.
func PlanSVG(w io.Writer, f *cutfile.File, plan *cutplan.Plan) error {
	p := &picture{file: f}
	on := map[string][]cutting.Placement{}
	for _, pl := range plan.Placements {
		on[pl.Bolt] = append(on[pl.Bolt], pl)
	}
	longest, used := measure.Length(0), 0
	for _, b := range f.Problem.Bolts {
		if len(on[b.ID]) > 0 {
			longest, used = max(longest, b.Length), used+1
		}
	}
	width := p.in(longest)
	p.unit = width
	height := width * (1/float64(stripOf) + 1/float64(gapOf)) * float64(used)
	fmt.Fprintf(&p.out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s">`+"\n", num(width), num(height))
	p.out.WriteString(`<style>rect{stroke:#222;stroke-width:1;vector-effect:non-scaling-stroke}.gone{fill:#fff}.cut{fill:#dfe8ee}.flaw{fill:#222}.remnant{fill:#f3e6c4}.repeat{stroke:#a33;stroke-width:1;vector-effect:non-scaling-stroke}text{font-family:sans-serif;fill:#222}</style>` + "\n")
	top := width / gapOf
	for i := range f.Problem.Bolts {
		b := &f.Problem.Bolts[i]
		if len(on[b.ID]) > 0 {
			p.bolt(b, on[b.ID], plan, top)
			top += width * (1/float64(stripOf) + 1/float64(gapOf))
		}
	}
	p.out.WriteString("</svg>\n")
	_, err := io.WriteString(w, p.out.String())
	return err
}

func (p *picture) in(l measure.Length) float64 { return float64(l) / float64(p.file.Units.Length()) }

// num writes a number without noughts at its end.
func num(x float64) string {
	text := fmt.Sprintf("%.4f", x)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

func (p *picture) bolt(b *cutting.Bolt, cuts []cutting.Placement, plan *cutplan.Plan, top float64) {
	name, index := p.file.BoltName(b.ID)
	said := name
	if index > 1 {
		said += fmt.Sprint(" · ", index)
	}
	if b.Lot != "" {
		said += " · " + b.Lot
	}
	ink := p.unit / inkOf
	fmt.Fprintf(&p.out, `<g class="bolt" data-bolt="%s" data-index="%d"><text x="0" y="%s" font-size="%s">%s</text>`+"\n", html.EscapeString(name), index, num(top-ink/2), num(ink), html.EscapeString(said))
	high := p.unit / stripOf
	rect := func(class, more string, from, to measure.Length) {
		fmt.Fprintf(&p.out, `<rect class="%s"%s x="%s" y="%s" width="%s" height="%s"/>`+"\n", class, more, num(p.in(from)), num(top), num(p.in(to-from)), num(high))
	}
	rect("gone", "", 0, b.Length)
	for _, r := range plan.Remnants {
		if r.Bolt == b.ID {
			rect("remnant", "", r.From, r.To)
		}
	}
	for _, c := range cuts {
		cut := p.file.CutName(c.Cut)
		rect("cut", fmt.Sprintf(` data-cut="%s"`, html.EscapeString(cut)), c.From, c.To)
		fmt.Fprintf(&p.out, `<text x="%s" y="%s" font-size="%s">%s</text>`+"\n", num(p.in(c.From)+ink/3), num(top+high/2+ink/3), num(ink), html.EscapeString(cut))
	}
	for _, f := range b.Flaws {
		if !slices.Contains(p.file.Gone[b.ID], f) {
			rect("flaw", "", max(0, f.From), min(f.To, b.Length))
		}
	}
	if repeat, _ := p.file.Problem.Pattern(b, 0); repeat > 0 {
		for at := b.FirstRepeat; at <= b.Length; at += repeat {
			fmt.Fprintf(&p.out, `<line class="repeat" x1="%[1]s" x2="%[1]s" y1="%[2]s" y2="%[3]s"/>`+"\n", num(p.in(at)), num(top), num(top+high/6))
		}
	}
	p.out.WriteString("</g>\n")
}
