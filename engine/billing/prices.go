package billing

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// PriceList is the shop's prices, in one currency.
type PriceList struct {
	Currency string     `json:"currency"`
	Rows     []PriceRow `json:"rows"`
}

// PriceRow prices a panel of one heading: Panel + Width × face widths, halves as halves. Or it prices pieces of one kind, Each.
type PriceRow struct {
	Heading string `json:"heading,omitempty"`
	Panel   string `json:"panel,omitempty"` // decimal amount, "40.00"
	Width   string `json:"width,omitempty"`

	Piece string `json:"piece,omitempty"` // "cushion"
	Each  string `json:"each,omitempty"`
}

// Rate is a heading's row in money: what a panel costs beside its widths, and what each width does.
type Rate struct {
	Panel Money `json:"panel"`
	Width Money `json:"width"`
}

// Of returns the price of a panel of so many widths, half a minor unit rounded up.
func (r Rate) Of(widths measure.Halves) Money {
	return Money{Minor: r.Panel.Minor + (r.Width.Minor*int64(widths)+1)/2, Currency: r.Panel.Currency}
}

// Rate returns the rate of a heading, and where the list has no row for it that of the one that it is like, "" of none; false where it has
// neither.
func (l PriceList) Rate(heading, like string) (Rate, bool) {
	for _, r := range l.Rows {
		if r.Heading != heading || r.Piece != "" {
			continue
		}
		panel, err := ParseAmount(r.Panel, l.Currency)
		if err != nil {
			return Rate{}, false
		}
		width, err := ParseAmount(r.Width, l.Currency)
		if err != nil {
			return Rate{}, false
		}
		return Rate{panel, width}, true
	}
	if like != "" {
		return l.Rate(like, "")
	}
	return Rate{}, false
}

// Price returns the price of a panel of that heading and face widths, half a minor unit rounded up; false where
// Rate has none.
func (l PriceList) Price(heading, like string, widths measure.Halves) (Money, bool) {
	r, ok := l.Rate(heading, like)
	if !ok {
		return Money{}, false
	}
	return r.Of(widths), true
}

// Each returns the price of a piece of that kind; false where the list has no row for it.
func (l PriceList) Each(piece string) (Money, bool) {
	for _, r := range l.Rows {
		if r.Piece == piece && piece != "" {
			m, err := ParseAmount(r.Each, l.Currency)
			return m, err == nil
		}
	}
	return Money{}, false
}

// Pieces are the kinds of pieces that a list can price, in the order in which a person is offered them.
func Pieces() []string {
	var all []string
	for _, k := range orderfile.PieceKinds() {
		all = append(all, string(k))
	}
	return all
}

// Headings are the shipped ones that a list can price, in the order in which a person is offered them.
func Headings() []string {
	var all []string
	for _, h := range orderfile.Headings() {
		all = append(all, string(h.Heading))
	}
	return all
}

// Check returns everything that is wrong with a price list, nothing when it can be used. own are the headings that the shop has made.
func (l PriceList) Check(own ...string) []engine.Problem {
	c := &checker{currency: l.Currency, own: own}
	switch {
	case l.Currency == "":
		c.wrong("missing_key", "price.missing", "currency", "Key", "currency")
	case !IsCurrency(l.Currency):
		c.wrong("bad_value", "price.currency", "currency", "Value", l.Currency)
	}
	seen := map[string]bool{}
	for i, r := range l.Rows {
		at := fmt.Sprintf("rows[%d].", i)
		if r.Piece != "" || r.Each != "" {
			c.piece(at, r, seen)
			continue
		}
		c.heading(at+"heading", r.Heading, seen)
		c.amount(at+"panel", "panel", r.Panel)
		c.amount(at+"width", "width", r.Width)
	}
	return c.problems
}

// checker gathers what is wrong with one list.
type checker struct {
	currency string
	own      []string
	problems []engine.Problem
}

func (c *checker) wrong(code, key, where string, args ...any) {
	p := engine.Problem{Severity: engine.Error, Code: code, Key: key, Where: where, Args: map[string]any{}}
	for i := 0; i+1 < len(args); i += 2 {
		p.Args[args[i].(string)] = args[i+1]
	}
	c.problems = append(c.problems, p)
}

// heading holds a row's heading against those that there are, and those of the rows before.
func (c *checker) heading(where, heading string, seen map[string]bool) {
	switch {
	case strings.TrimSpace(heading) == "":
		c.wrong("missing_key", "price.missing", where, "Key", "heading")
	case orderfile.Heading(heading).Data() == nil && !slices.Contains(c.own, heading):
		c.wrong("bad_value", "price.heading", where, "Value", heading, "Known", append(Headings(), c.own...))
	case seen[heading]:
		c.wrong("duplicate", "price.duplicate", where, "Value", heading)
	default:
		seen[heading] = true
	}
}

// piece holds a row of pieces against the kinds that there are, and those of the rows before.
func (c *checker) piece(at string, r PriceRow, seen map[string]bool) {
	key := "piece " + r.Piece
	switch {
	case strings.TrimSpace(r.Piece) == "":
		c.wrong("missing_key", "price.missing", at+"piece", "Key", "piece")
	case r.Heading != "" || r.Panel != "" || r.Width != "":
		c.wrong("bad_value", "price.piece_alone", at+"piece", "Value", r.Piece)
	case !orderfile.IsPieceKind(r.Piece):
		c.wrong("bad_value", "price.piece", at+"piece", "Value", r.Piece, "Known", Pieces())
	case seen[key]:
		c.wrong("duplicate", "price.duplicate", at+"piece", "Value", r.Piece)
	default:
		seen[key] = true
	}
	c.amount(at+"each", "each", r.Each)
}

// amount holds an amount against the currency. Where that is none, decimals can't be too many.
func (c *checker) amount(where, key, value string) {
	var fault *AmountError
	if value == "" {
		c.wrong("missing_key", "price.missing", where, "Key", key)
		return
	}
	if _, err := ParseAmount(value, c.currency); !errors.As(err, &fault) {
		return
	}
	switch fault.Fault {
	case Negative:
		c.wrong("negative", "price.negative", where, "Value", value)
	case TooLarge:
		c.wrong("absurd", "price.large", where, "Value", value)
	case TooFine:
		if IsCurrency(c.currency) {
			c.wrong("bad_value", "price.decimals", where, "Value", value, "Currency", c.currency, "Digits", int(Digits(c.currency)))
		}
	default:
		c.wrong("bad_value", "price.amount", where, "Value", value)
	}
}
