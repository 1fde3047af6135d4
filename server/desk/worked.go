package desk

import (
	"context"
	"fmt"
	"sync"

	"tablehand/engine/workup"
	"tablehand/stations"
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
	ctx, cancel := Waiting()
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

// WorkupOf returns an order worked out; it is shared and must not be changed.
func (d *Desk) WorkupOf(o *stations.Order) (*workup.Workup, error) {
	return d.worked.of(o.Digest, func(ctx context.Context) (*workup.Workup, error) { return d.Workup(ctx, o.ID) })
}

// DrawnAs returns the work-up, and the treatment in it, that a ticket's panel is made by: in an older file of the order,
// where it stands in that.
func (d *Desk) DrawnAs(o *stations.Order, t *stations.TicketSpec) (*workup.Workup, int, error) {
	if t.Drawn == nil {
		w, err := d.WorkupOf(o)
		return w, t.Treatment, err
	}
	w, err := d.worked.of(fmt.Sprintf("%s revision %d", o.ID, t.Drawn.Revision), func(ctx context.Context) (*workup.Workup, error) {
		return d.workupAt(ctx, o.ID, t.Drawn.Revision)
	})
	return w, t.Drawn.Treatment, err
}

// PanelOf is the panel of a ticket in the work-up that it is drawn by, nil where that gives other numbers than the
// ticket has: the rules of the calculation have changed since its release, and no drawing is better than a wrong one.
func PanelOf(w *workup.Workup, treatment int, t *stations.TicketSpec) *workup.Panel {
	if t.Drawn == nil && !t.MadeBy(w, treatment) {
		return nil
	}
	return paper.PanelOf(w, treatment, t.Panel)
}
