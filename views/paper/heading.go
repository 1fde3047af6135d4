package paper

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/paper/room"
)

// Panel is a panel as it was worked out, with what it hangs by and from.
type Panel struct {
	*workup.Panel
	room.Hardware
}

// PanelOf finds a panel of a work-up by its treatment, from 0, and its id; nil where there is none.
func PanelOf(w *workup.Workup, treatment int, panel string) *Panel {
	for i := range w.Treatments {
		t := &w.Treatments[i]
		for k := range t.Panels {
			if t.Index == treatment && string(t.Panels[k].ID) == panel {
				return hungOf(w, t, k)
			}
		}
	}
	return nil
}

func hungOf(w *workup.Workup, t *workup.Treatment, k int) *Panel {
	return &Panel{Panel: &t.Panels[k], Hardware: room.HardwareOf(w.Order, &w.Order.Treatments[t.Index])}
}

// rises is how far what holds the panel stands above its top edge.
func (p *Panel) rises() measure.Length { return p.Rises(p.Panel) }

// band is the strip along the top, from below the top edge.
func (p *Panel) band() (top, height measure.Length) { return room.Band(p.Panel) }

// ink is what a heading is drawn with. Lengths are the cloth's own; a class names what a thing is.
type ink interface {
	rect(class string, x, y, width, height measure.Length)
	line(class string, x1, y1, x2, y2 measure.Length)
	circle(class string, x, y, radius measure.Length)
}

// heading draws what is at the top of a panel lying flat, its top edge at y: the band with its pleats, each as wide as it takes up, and
// the tape's dots, so large; or what holds a panel without pleats.
func (p *Panel) heading(c ink, y, dot measure.Length) {
	from, height := p.band()
	top := y + from
	c.rect(p.bandClass(), 0, top, p.FlatWidth, height)
	if !p.Pleated() {
		p.fronts(c, top, height)
		p.held(c, y)
		return
	}
	for k, centre := range p.PleatPositions {
		takes := p.takes(k)
		c.rect("pleat", centre-takes/2, top, takes, height)
	}
	for _, x := range p.PleatMarks {
		c.line("mark", x, top, x, top+height)
	}
	if p.SetByHand() {
		return
	}
	for k := 0; k <= p.Pleats; k++ {
		c.circle("dot", p.EndMargin+(p.TakeUp+p.Space).Times(k), top+height/2, min(dot, height/4))
	}
}

// bandClass is the style of the band: a tunnel's edges are the lines that it is sewn along.
func (p *Panel) bandClass() string {
	if p.Pocket > 0 {
		return "tunnel"
	}
	return "tape"
}

// takes is what the pleat k takes up.
func (p *Panel) takes(k int) measure.Length {
	if k < len(p.TakeUps) {
		return p.TakeUps[k]
	}
	return p.TakeUp
}

// fronts shades the folds of the band that stand to the room: the first between two points, and every second after it.
func (p *Panel) fronts(c ink, y, height measure.Length) {
	if !room.Lettered(p.Panel) {
		return
	}
	for k := 0; k+1 < len(p.Positions); k += 2 {
		c.rect("front", p.Positions[k], y, p.Positions[k+1]-p.Positions[k], height)
	}
}

// held draws what holds a panel without pleats, and its rod.
func (p *Panel) held(c ink, y measure.Length) {
	switch {
	case p.Pocket > 0:
		p.tunnel(c, y)
	case p.EyeletDrop > 0:
		p.rod(c, y)
		for _, x := range p.Positions {
			c.circle("eyelet", x, y+p.EyeletDrop, p.Eyelet.Outer.Div(2))
			c.circle("hole", x, y+p.EyeletDrop, p.Eyelet.Inner.Div(2))
		}
	case p.TabLoop > 0:
		p.rod(c, y)
		for _, x := range p.Positions {
			c.rect("tab", x-p.TabWidth.Div(2), y-p.rises(), p.TabWidth, p.rises())
		}
	case p.Ringed:
		p.rod(c, y)
		middle, radius := p.Ring(p.Panel)
		for _, x := range p.Positions {
			c.circle("ring", x, y-middle, radius)
		}
	}
	p.hooks(c, y)
	p.tail(c, y)
}

// rod draws the pole where it bears the panel, its top at the bearing; of one whose size the order doesn't say that line alone.
func (p *Panel) rod(c ink, y measure.Length) {
	switch {
	case !p.BearingKnown:
	case p.Pole > 0:
		c.rect("rod", 0, y+p.Bearing, p.FlatWidth, p.Pole)
	default:
		c.line("rod", 0, y+p.Bearing, p.FlatWidth, y+p.Bearing)
	}
}

// tunnel draws the lines that a rod's tunnel is sewn along, and the rod in it, cut through, at the return edge.
func (p *Panel) tunnel(c ink, y measure.Length) {
	if p.Stand > 0 {
		c.line("pocket", 0, y+p.Stand, p.FlatWidth, y+p.Stand)
	}
	c.line("pocket", 0, y+p.Stand+p.Pocket, p.FlatWidth, y+p.Stand+p.Pocket)
	if r := p.Pole.Div(2); r > 0 {
		c.circle("rod", p.SideHem+2*r, y+p.Stand+p.Pocket.Div(2), r)
	}
}

// hooks draws each hook where it is on the flat panel: at a carrier's point, on a return that stays flat, or, of a top that is drawn up
// evenly, so far along as it stands when that is done.
func (p *Panel) hooks(c ink, y measure.Length) {
	from, height := p.band()
	carried := len(p.HookPlaces) - len(p.Positions)
	for k, x := range p.HookPlaces {
		switch {
		case p.Holds == orderfile.Gathered:
			x = p.FlatWidth.MulDiv(int64(x), int64(p.FinishedWidth))
		case p.Holds == orderfile.OnCarriers && k >= carried:
			x = p.Positions[k-carried]
		}
		c.line("hook", x, y+p.HookDrop, x, y+from+height)
	}
}

// tail draws the ends of the cords at the return edge, where they are drawn out and tied.
func (p *Panel) tail(c ink, y measure.Length) {
	from, height := p.band()
	for k := range p.Cords {
		at := y + from + height.Times(k+1)/measure.Length(p.Cords+1)
		c.line("tail", -height.Div(2), at, 0, at)
	}
}

// hanging is the panel as flat as it hangs: so wide, its points and hooks where they stand then.
func (p *Panel) hanging(width measure.Length) *Panel {
	flat := *p.Panel
	flat.FlatWidth, flat.FinishedWidth = width, width
	flat.Positions, flat.HookPlaces = room.HungPlaces(p.Panel, width), nil
	if p.Holds == orderfile.Gathered {
		for _, x := range p.HookPlaces {
			flat.HookPlaces = append(flat.HookPlaces, x.MulDiv(int64(width), int64(p.FinishedWidth)))
		}
	} else if p.Holds == orderfile.OnCarriers {
		flat.HookPlaces = flat.Positions
	}
	return &Panel{&flat, p.Hardware}
}
