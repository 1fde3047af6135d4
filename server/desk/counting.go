package desk

import (
	"context"
	"crypto/rand"
	"strings"

	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// CountOf is a count of what lies at a station, as it stands.
type CountOf struct {
	store.FloorCount
	Seen            []*stations.Ticket // the last first
	Expected, There int                // how many belong there, and how many of those were seen
	Missing, Astray []*stations.Ticket // once it has ended
}

// BeginCount begins a count of what lies at a station. The error is bad_value for a station that there isn't.
func (d *Desk) BeginCount(ctx context.Context, actor stations.Actor, key string, at plan.Station) (store.FloorCount, error) {
	if !d.Shop().Fittings.Layout.Has(at) {
		return store.FloorCount{}, Refuse("bad_value", "station", "Value", string(at))
	}
	var expected []plan.Code
	for _, o := range d.Store.Floor().Orders() {
		for _, t := range o.Tickets {
			if t.LiesAt(at) {
				expected = append(expected, t.Spec.Code)
			}
		}
	}
	c := store.FloorCount{ID: strings.ToLower(rand.Text()[:12]), Station: at, Device: actor.Device, Key: key, Who: actor.Name}
	return d.Store.BeginCount(ctx, c, expected)
}

// CountSeen notes that a ticket lies where a count is made. The error is not_found for a count that there isn't, count_ended for
// one that has ended.
func (d *Desk) CountSeen(ctx context.Context, id string, t *stations.Ticket) (CountOf, error) {
	c, _, err := d.Store.Count(ctx, id)
	if err != nil {
		return CountOf{}, err
	}
	if !c.Ended.IsZero() {
		return CountOf{}, Refuse("count_ended", "ticket")
	}
	if err := d.Store.SeeCounted(ctx, id, t.Spec.Code); err != nil {
		return CountOf{}, err
	}
	return d.Count(ctx, id)
}

// EndCount ends a count. A ticket is missing that belonged there when the count began, belongs there now, and wasn't seen; astray
// that was seen and belongs elsewhere now: what went on with its work meanwhile is neither. The error is not_found.
func (d *Desk) EndCount(ctx context.Context, id string) (CountOf, error) {
	c, counted, err := d.Store.Count(ctx, id)
	if err != nil {
		return CountOf{}, err
	}
	floor, outcomes := d.Store.Floor(), map[plan.Code]store.CountOutcome{}
	for _, n := range counted {
		switch here := floor.Ticket(n.Ticket).LiesAt(c.Station); {
		case n.Seen.IsZero() && here:
			outcomes[n.Ticket] = store.Missing
		case !n.Seen.IsZero() && !here && !n.Expected:
			outcomes[n.Ticket] = store.Astray
		}
	}
	if err := d.Store.EndCount(ctx, id, outcomes); err != nil {
		return CountOf{}, err
	}
	return d.Count(ctx, id)
}

// Count returns a count as it stands. The error is not_found.
func (d *Desk) Count(ctx context.Context, id string) (CountOf, error) {
	c, counted, err := d.Store.Count(ctx, id)
	if err != nil {
		return CountOf{}, err
	}
	of, floor := CountOf{FloorCount: c}, d.Store.Floor()
	for _, n := range counted {
		t := floor.Ticket(n.Ticket)
		if n.Expected {
			of.Expected++
		}
		if !n.Seen.IsZero() {
			of.Seen = append(of.Seen, t)
			if n.Expected {
				of.There++
			}
		}
		switch n.Outcome {
		case store.Missing:
			of.Missing = append(of.Missing, t)
		case store.Astray:
			of.Astray = append(of.Astray, t)
		}
	}
	return of, nil
}
