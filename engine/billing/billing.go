// Package billing has money, the shop's price list and the arithmetic of an invoice.
package billing

import "tablehand/engine/measure"

// Money is an amount in minor units of a currency (cents; digits by ISO 4217).
type Money struct {
	Minor    int64
	Currency string
}

// PriceList is the shop's prices, one currency.
type PriceList struct {
	Currency string     `json:"currency"`
	Rows     []PriceRow `json:"rows"`
}

// PriceRow prices a panel of one heading: Panel + Width × widths, halves as halves.
type PriceRow struct {
	Heading string `json:"heading"`
	Panel   string `json:"panel"` // decimal amount, "40.00"
	Width   string `json:"width"`
}

// Price returns the price of a panel of that heading and face widths; false where the list has no row for it.
func (l PriceList) Price(heading string, widths measure.Halves) (Money, bool) {
	panic("billing: to be written")
}
