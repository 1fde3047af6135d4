package desk

import (
	"cmp"

	"tablehand/engine/orderfile"
	"tablehand/stations"
)

// Sidemark is an order's own name for its job, with whether its tickets may show it.
type Sidemark struct {
	Name  string
	Shown bool
}

// SidemarkOf returns the sidemark in an order's newest file.
func (d *Desk) SidemarkOf(o *stations.Order) (Sidemark, error) {
	return d.sidemarks.Get(o.Digest, func() (Sidemark, error) {
		ctx, cancel := Waiting()
		defer cancel()
		source, err := d.Store.OrderSource(ctx, o.ID)
		if err != nil {
			return Sidemark{}, err
		}
		if order, _ := orderfile.Parse(source); order != nil {
			return Sidemark{order.Sidemark, order.PrintSidemark}, nil
		}
		return Sidemark{}, nil
	})
}

// Shows reports whether a sidemark may be shown: the order or the shop says so.
func (d *Desk) Shows(mark Sidemark) bool { return mark.Shown || d.Shop().PrintSidemark }

// Whose is the sidemark, or else the customer, where the shop or the order says that tickets may show it.
func (d *Desk) Whose(o *stations.Order) (string, error) {
	mark, err := d.SidemarkOf(o)
	if err != nil || !d.Shows(mark) {
		return "", err
	}
	return cmp.Or(mark.Name, o.Customer), nil
}
