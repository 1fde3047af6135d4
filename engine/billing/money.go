// Package billing has money, the shop's price list and the arithmetic of an invoice.
package billing

import (
	"encoding/json"
	"fmt"
	"regexp"

	"github.com/shopspring/decimal"
)

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

// AmountFault is why a text is no amount.
type AmountFault string

const (
	NoAmount AmountFault = "amount"   // not a plain decimal
	Negative AmountFault = "negative" // below zero
	TooLarge AmountFault = "large"    // more than ten digits before the point
	TooFine  AmountFault = "decimals" // finer than the currency's minor unit
)

// AmountError is a text that is no amount of a currency.
type AmountError struct {
	Text, Currency string
	Fault          AmountFault
}

func (e *AmountError) Error() string {
	return fmt.Sprintf("billing: %q is no amount of %s: %s", e.Text, e.Currency, e.Fault)
}

// amountForm is a plain decimal: no exponent, no grouping.
var amountForm = regexp.MustCompile(`^([-−]?)([0-9]+)(?:\.([0-9]+))?$`)

const mostDigits = 10 // before the point

// ParseAmount reads a decimal amount that its currency's minor unit can hold exactly. The error is an *AmountError.
func ParseAmount(s, currency string) (Money, error) {
	fault := func(f AmountFault) (Money, error) { return Money{}, &AmountError{s, currency, f} }
	parts := amountForm.FindStringSubmatch(s)
	switch {
	case parts == nil || len(s) > 100:
		return fault(NoAmount)
	case parts[1] != "":
		return fault(Negative)
	case len(parts[2]) > mostDigits:
		return fault(TooLarge)
	}
	d, err := decimal.NewFromString(s)
	if err != nil {
		return fault(NoAmount)
	}
	minor := d.Shift(Digits(currency))
	if !minor.IsInteger() {
		return fault(TooFine)
	}
	return Money{Minor: minor.IntPart(), Currency: currency}, nil
}

// Sum adds amounts of one currency.
func Sum(currency string, amounts []Money) Money {
	total := Money{Currency: currency}
	for _, m := range amounts {
		total.Minor += m.Minor
	}
	return total
}
