// Package billing has money, the shop's price list and the arithmetic of an invoice.
package billing

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"

	"github.com/shopspring/decimal"

	"tablehand/engine"
	"tablehand/engine/measure"
)

// digits of minor units by ISO 4217, where they aren't 2 (from memory; the maintenance agency's list is the
// source to check against).
var digits = map[string]int32{
	"JPY": 0, "KRW": 0, "VND": 0, "CLP": 0, "ISK": 0, "XAF": 0, "XOF": 0, "XPF": 0,
	"KWD": 3, "BHD": 3, "OMR": 3, "JOD": 3, "TND": 3, "IQD": 3, "LYD": 3, "CLF": 4,
}

// Digits returns how many decimals the minor unit of a currency stands for.
func Digits(currency string) int32 {
	if d, ok := digits[currency]; ok {
		return d
	}
	return 2
}

// Money is an amount in minor units of a currency (cents; digits by ISO 4217).
type Money struct {
	Minor    int64
	Currency string
}

// Amount writes the amount with its currency's decimals: "12.50".
func (m Money) Amount() string {
	d := Digits(m.Currency)
	return decimal.New(m.Minor, -d).StringFixed(d)
}

// MarshalJSON writes {"amount":"12.50","currency":"USD"}.
func (m Money) MarshalJSON() ([]byte, error) {
	return json.Marshal(moneyDocument{m.Amount(), m.Currency})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (m *Money) UnmarshalJSON(b []byte) error {
	var doc moneyDocument
	if err := json.Unmarshal(b, &doc); err != nil {
		return err
	}
	amount, err := ParseAmount(doc.Amount, doc.Currency)
	if err != nil {
		return err
	}
	*m = amount
	return nil
}

type moneyDocument struct {
	Amount   string `json:"amount"`
	Currency string `json:"currency"`
}

// amountForm is a plain decimal: no exponent, no sign, no grouping, at most 10 digits before the point.
var amountForm = regexp.MustCompile(`^[0-9]{1,10}(\.[0-9]{1,6})?$`)

// ParseAmount reads a decimal amount that its currency's minor unit can hold exactly.
func ParseAmount(s, currency string) (Money, error) {
	if !amountForm.MatchString(s) {
		return Money{}, fmt.Errorf("billing: %q is not an amount", s)
	}
	d, err := decimal.NewFromString(s)
	if err != nil {
		return Money{}, fmt.Errorf("billing: %q is not an amount: %w", s, err)
	}
	minor := d.Shift(Digits(currency))
	if !minor.IsInteger() {
		return Money{}, fmt.Errorf("billing: %q has more decimals than %s has", s, currency)
	}
	return Money{Minor: minor.IntPart(), Currency: currency}, nil
}

// PriceList is the shop's prices, in one currency.
type PriceList struct {
	Currency string     `json:"currency"`
	Rows     []PriceRow `json:"rows"`
}

// PriceRow prices a panel of one heading: Panel + Width × face widths, halves as halves.
type PriceRow struct {
	Heading string `json:"heading"`
	Panel   string `json:"panel"` // decimal amount, "40.00"
	Width   string `json:"width"`
}

// currencyForm is that of an ISO 4217 code; which codes are in use is not checked.
var currencyForm = regexp.MustCompile(`^[A-Z]{3}$`)

// Check returns everything that is wrong with a price list, nothing when it can be used.
func (l PriceList) Check() []engine.Problem {
	var problems []engine.Problem
	bad := func(code, key, where, value string) {
		problems = append(problems, engine.Problem{
			Severity: engine.Error, Code: code, Key: key, Where: where, Args: map[string]any{"Value": value, "Currency": l.Currency},
		})
	}
	if !currencyForm.MatchString(l.Currency) {
		bad("bad_value", "price.currency", "currency", l.Currency)
	}
	seen := map[string]bool{}
	for i, r := range l.Rows {
		at := fmt.Sprintf("rows[%d].", i)
		if strings.TrimSpace(r.Heading) == "" {
			bad("missing_key", "price.heading", at+"heading", "")
		}
		if seen[r.Heading] {
			bad("duplicate", "price.duplicate", at+"heading", r.Heading)
		}
		seen[r.Heading] = true
		if _, err := ParseAmount(r.Panel, l.Currency); err != nil {
			bad("bad_value", "price.amount", at+"panel", r.Panel)
		}
		if _, err := ParseAmount(r.Width, l.Currency); err != nil {
			bad("bad_value", "price.amount", at+"width", r.Width)
		}
	}
	return problems
}

// Price returns the price of a panel of that heading and face widths, half a minor unit rounded up; false where
// the list has no row for the heading.
func (l PriceList) Price(heading string, widths measure.Halves) (Money, bool) {
	for _, r := range l.Rows {
		if r.Heading != heading {
			continue
		}
		panel, err := ParseAmount(r.Panel, l.Currency)
		if err != nil {
			return Money{}, false
		}
		width, err := ParseAmount(r.Width, l.Currency)
		if err != nil {
			return Money{}, false
		}
		minor := panel.Minor + (width.Minor*int64(widths)+1)/2
		return Money{Minor: minor, Currency: l.Currency}, true
	}
	return Money{}, false
}

// Sum adds amounts of one currency.
func Sum(currency string, amounts []Money) Money {
	total := Money{Currency: currency}
	for _, m := range amounts {
		total.Minor += m.Minor
	}
	return total
}
