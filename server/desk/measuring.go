package desk

import (
	"context"
	"encoding/json"
	"slices"

	"tablehand/server/store"
	"tablehand/stations/plan"
)

// SetMeasuring keeps what the shop asks when, of each route, station, entry or check that set names; of all others it is as
// shipped. Orders released from now on go by it. It returns what is otherwise than it was, for the record. The error is
// problems where something in set is wrong, and nothing changes.
func (d *Desk) SetMeasuring(ctx context.Context, set []plan.Asking) (changed []plan.Asking, err error) {
	d.saving.Lock()
	defer d.saving.Unlock()
	layout := d.Shop().Fittings.Layout
	if problems := layout.CheckAsked(set); len(problems) > 0 {
		return nil, RefuseProblems(problems)
	}
	now := layout.With(set)
	was, is := layout.Askings(d.Shop().Measuring), layout.Askings(now)
	for i := range is {
		if is[i].When != was[i].When {
			changed = append(changed, is[i].Asking)
		}
	}
	if len(changed) == 0 {
		return nil, nil
	}
	text, err := json.Marshal(ownAskings(layout, now))
	if err != nil {
		return nil, err
	}
	if err := d.Store.Set(ctx, store.Measuring, string(text)); err != nil {
		return nil, err
	}
	return changed, d.readSettings()
}

// ownAskings is what is asked otherwise than shipped.
func ownAskings(l plan.Layout, m plan.Measuring) (own []plan.Asking) {
	for _, row := range l.Askings(m) {
		if row.When != row.Shipped {
			own = append(own, row.Asking)
		}
	}
	return own
}

// measuringOf reads what is kept of it, for a shop with that layout. What a shop has set of an entry, check or station that there is no more, or to an
// occasion that this version doesn't know, is left out: work goes on as shipped.
func measuringOf(kept string, l plan.Layout) (plan.Measuring, error) {
	var set []plan.Asking
	if kept == "" {
		return l.With(nil), nil
	}
	err := json.Unmarshal([]byte(kept), &set)
	return l.With(slices.DeleteFunc(set, func(a plan.Asking) bool { return len(l.CheckAsked([]plan.Asking{a})) > 0 })), err
}
