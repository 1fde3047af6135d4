package server

import (
	"bytes"
	"sync"

	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/paper"
)

// mostWorked is how many orders' work-ups are kept: those that people look at, not all of a year's.
const mostWorked = 64

// workups keeps orders worked out, since a station page draws a panel on every change of the floor. A work-up is
// kept by its file's digest, so it is never old.
type workups struct {
	mu     sync.Mutex
	byFile map[string]*workup.Workup
}

// workupOf returns an order worked out; it is shared and must not be changed.
func (s *Server) workupOf(o *stations.Order) (*workup.Workup, error) {
	kept := &s.pages.worked
	kept.mu.Lock()
	w := kept.byFile[o.Digest]
	kept.mu.Unlock()
	if w != nil {
		return w, nil
	}
	ctx, cancel := waiting()
	defer cancel()
	w, err := s.desk().Workup(ctx, o.ID)
	if err != nil {
		return nil, err
	}
	kept.mu.Lock()
	defer kept.mu.Unlock()
	if kept.byFile == nil || len(kept.byFile) >= mostWorked {
		kept.byFile = map[string]*workup.Workup{}
	}
	kept.byFile[o.Digest] = w
	return w, nil
}

// drawing draws a panel of a treatment, flat and to scale; none where the work-up has no such panel.
func drawing(w *workup.Workup, treatment int, panel string, say *i18n.Printer) (views.Drawing, error) {
	p := paper.PanelOf(w, treatment, panel)
	if p == nil {
		return views.Drawing{}, nil
	}
	var b bytes.Buffer
	err := paper.PanelSVG(&b, p, w.Order.Units, say)
	return views.Drawing{SVG: b.String()}, err
}
