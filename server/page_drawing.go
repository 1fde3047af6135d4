package server

import (
	"bytes"
	"context"
	"fmt"
	"sync"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/paper"
)

// mostWorked is how many orders' work-ups are kept: those that people look at, not all of a year's.
const mostWorked = 64

// workups keeps orders worked out, since a station page draws a panel on every change of the floor. A work-up is
// kept by its file, its digest or its order and revision, so it is never old.
type workups struct {
	mu     sync.Mutex
	byFile map[string]*workup.Workup
}

// of returns the work-up of a file, which work works out where it is not kept.
func (k *workups) of(file string, work func(context.Context) (*workup.Workup, error)) (*workup.Workup, error) {
	k.mu.Lock()
	w := k.byFile[file]
	k.mu.Unlock()
	if w != nil {
		return w, nil
	}
	ctx, cancel := waiting()
	defer cancel()
	w, err := work(ctx)
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.byFile == nil || len(k.byFile) >= mostWorked {
		k.byFile = map[string]*workup.Workup{}
	}
	k.byFile[file] = w
	return w, nil
}

// workupOf returns an order worked out; it is shared and must not be changed.
func (s *Server) workupOf(o *stations.Order) (*workup.Workup, error) {
	return s.worked.of(o.Digest, func(ctx context.Context) (*workup.Workup, error) { return s.desk().Workup(ctx, o.ID) })
}

// drawnAs returns the work-up, and the treatment in it, that a ticket's panel is made by: in an older file of the order,
// where it stands in that.
func (s *Server) drawnAs(o *stations.Order, t *stations.TicketSpec) (*workup.Workup, int, error) {
	if t.Drawn == nil {
		w, err := s.workupOf(o)
		return w, t.Treatment, err
	}
	w, err := s.worked.of(fmt.Sprintf("%s revision %d", o.ID, t.Drawn.Revision), func(ctx context.Context) (*workup.Workup, error) {
		return s.desk().workupAt(ctx, o.ID, t.Drawn.Revision)
	})
	return w, t.Drawn.Treatment, err
}

// drawingOf draws a ticket's panel as it is being made.
func (s *Server) drawingOf(o *stations.Order, t *stations.TicketSpec, say *i18n.Printer) (views.Drawing, error) {
	w, treatment, err := s.drawnAs(o, t)
	if err != nil {
		return views.Drawing{}, err
	}
	return drawn(panelOf(w, treatment, t), w.Order.Units, say)
}

// panelOf is the panel of a ticket in the work-up that it is drawn by, nil where that gives other numbers than the
// ticket has: the rules of the calculation have changed since its release, and no drawing is better than a wrong one.
func panelOf(w *workup.Workup, treatment int, t *stations.TicketSpec) *workup.Panel {
	if t.Drawn == nil && !t.MadeBy(w, treatment) {
		return nil
	}
	return paper.PanelOf(w, treatment, t.Panel)
}

// spotsOf draws where each number and entry of a ticket's present step is on its panel.
func (s *Server) spotsOf(o *stations.Order, t *stations.Ticket, say *i18n.Printer) (map[string]views.Drawing, error) {
	w, treatment, err := s.drawnAs(o, t.Spec)
	if err != nil {
		return nil, err
	}
	p := panelOf(w, treatment, t.Spec)
	now := t.Current()
	if p == nil || now == nil {
		return nil, nil
	}
	var names []string
	for _, v := range now.Spec.Values {
		names = append(names, v.Name)
	}
	for _, e := range now.Spec.Enter {
		names = append(names, e.Name)
	}
	spots := map[string]views.Drawing{}
	for _, name := range names {
		var b bytes.Buffer
		if ok, err := paper.SpotSVG(&b, p, name, w.Order.Units, say); err != nil {
			return nil, err
		} else if ok {
			spots[name] = views.Drawing{SVG: b.String()}
		}
	}
	return spots, nil
}

// drawing draws a panel of a treatment, flat and to scale; none where the work-up has no such panel.
func drawing(w *workup.Workup, treatment int, panel string, say *i18n.Printer) (views.Drawing, error) {
	return drawn(paper.PanelOf(w, treatment, panel), w.Order.Units, say)
}

func drawn(p *workup.Panel, units measure.Unit, say *i18n.Printer) (views.Drawing, error) {
	if p == nil {
		return views.Drawing{}, nil
	}
	var b bytes.Buffer
	err := paper.PanelSVG(&b, p, units, say)
	return views.Drawing{SVG: b.String()}, err
}
