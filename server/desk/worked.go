package desk

import (
	"fmt"
	"slices"

	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/paper"
)

// mostWorked is how many orders' work-ups are kept: those that people look at, not all of a year's. A station page draws a panel
// on every change of the floor. A work-up is kept by its order and revision, so it is never old.
const mostWorked = 64

// mostSidemarks is how many orders' sidemarks are kept: some years'.
const mostSidemarks = 10_000

// WorkupOf returns an order worked out; it is shared and must not be changed.
func (d *Desk) WorkupOf(o *stations.Order) (*workup.Workup, error) {
	if floor := d.Store.Floor(); o.State == stations.OrderTaken && !floor.Shelf().IsEmpty() {
		ctx, cancel := Waiting()
		defer cancel()
		key := fmt.Sprintf("%s on the floor %d", revisionOf(o.ID, o.Revision), floor.Seq()) // what of the shelf is free changes with it
		return d.worked.Get(key, func() (*workup.Workup, error) { return d.workupAt(ctx, o.ID, o.Revision) })
	}
	return d.workedAt(o.ID, o.Revision)
}

// workedAt is an order worked out as it was, or is, at a revision.
func (d *Desk) workedAt(order string, revision int) (*workup.Workup, error) {
	return d.worked.Get(revisionOf(order, revision), func() (*workup.Workup, error) {
		ctx, cancel := Waiting()
		defer cancel()
		return d.workupAt(ctx, order, revision)
	})
}

// revisionOf names a work-up among those that are kept.
func revisionOf(order string, revision int) string {
	return fmt.Sprintf("%s revision %d", order, revision)
}

// DrawnAs returns the work-up, and the treatment in it, that a ticket's panel is made by: in an older file of the order,
// where it stands in that.
func (d *Desk) DrawnAs(o *stations.Order, t *plan.Ticket) (*workup.Workup, int, error) {
	if t.Drawn == nil {
		w, err := d.WorkupOf(o)
		return w, t.Treatment, err
	}
	w, err := d.workedAt(o.ID, t.Drawn.Revision)
	return w, t.Drawn.Treatment, err
}

// outdated is whether an order's tickets keep numbers of their release, and for which tickets that was found.
type outdated struct {
	work     *workup.Workup
	tickets  []*plan.Ticket
	outdated bool
}

// Outdated is o.Outdated(w), found again only where its tickets have other numbers: to work out hundreds of panels takes longer
// than to show their page.
func (d *Desk) Outdated(o *stations.Order, w *workup.Workup) bool {
	var now []*plan.Ticket
	for _, t := range o.Tickets {
		if t.Cancelled {
			now = append(now, nil)
		} else {
			now = append(now, t.Spec)
		}
	}
	kept, _ := d.outdated.Get(o.ID, func() (outdated, error) { return outdated{}, nil })
	if kept.work != w || !slices.Equal(kept.tickets, now) {
		kept = outdated{w, now, o.Outdated(w)}
		d.outdated.Put(o.ID, kept)
	}
	return kept.outdated
}

// PanelOf is the panel of a ticket in the work-up that it is drawn by, nil where that gives other numbers than the
// ticket has: the rules of the calculation have changed since its release, and no drawing is better than a wrong one.
func PanelOf(w *workup.Workup, treatment int, t *plan.Ticket) *paper.Panel {
	if t.Drawn == nil && !t.MadeBy(w, treatment) {
		return nil
	}
	return paper.PanelOf(w, treatment, t.Panel)
}
