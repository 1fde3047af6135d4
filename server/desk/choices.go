package desk

import (
	"tablehand/engine/billing"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/choices"
)

// Choice is one way to make a window, and what it costs.
type Choice struct {
	choices.Way
	Price *billing.Money // of all its panels; nil without one
}

// Choices returns the ways to make a window of an order, the one that is asked first, each with its price by the shop's list.
func (d *Desk) Choices(o *orderfile.Order, treatment int) []Choice {
	var list []Choice
	for _, w := range choices.Of(o, treatment) {
		list = append(list, Choice{w, priceOf(d.Store.Floor().Prices(), w.Treatment())})
	}
	return list
}

// priceOf is the price of all panels of a window, nil where the list has none for its heading.
func priceOf(prices billing.PriceList, t *workup.Treatment) *billing.Money {
	var each []billing.Money
	for i := range t.Panels {
		price, ok := prices.Price(string(t.Heading), string(t.HeadingLike), t.Panels[i].Widths)
		if !ok {
			return nil
		}
		for range t.Quantity {
			each = append(each, price)
		}
	}
	sum := billing.Sum(prices.Currency, each)
	return &sum
}
