package measure

import (
	"fmt"
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Reason says why a text is not a length.
type Reason string

const (
	Empty       Reason = "empty"        // nothing is written
	NotANumber  Reason = "not_a_number" // a number was expected and something else stands there
	BadFraction Reason = "bad_fraction" // a fraction with no or a zero denominator
	Improper    Reason = "improper"     // a fraction that is 1 or more: 17/16 is likelier a slip of 1 7/16 than 1 1/16
	UnknownUnit Reason = "unknown_unit" // letters that name no unit
	UnitOrder   Reason = "unit_order"   // a larger unit follows a smaller one, or a unit comes twice
	UnitMissing Reason = "unit_missing" // a bare number where no unit goes without saying
	TooLong     Reason = "too_long"     // over 1,000 km, which is no measurement of cloth
)

// ParseError tells why a text is not a length; it quotes the text.
type ParseError struct {
	Text   string // what was written
	Part   string // the part that can't be read
	Reason Reason
}

func (e *ParseError) Error() string {
	return fmt.Sprintf("measure: %q is not a length: %s at %q", e.Text, e.Reason, e.Part)
}

// longest is the greatest length that Parse reads: 1,000 km, so that sums of millions of lengths fit an int64.
const longest = 1_000_000 * Metre

// Parse reads a length as people write it:
//
//	length = [ "-" ] part { [ "," ] part }    a larger unit before a smaller: 7 yd 3 in
//	part   = number [ unit ]                  a bare number takes the unit bare; after feet, inches
//	number = digits [ "." digits ]            96   2.4
//	       | [ digits ( " " | "-" ) ] n "/" d 96 1/2   96-1/2   1/2; n is under d
//	       | [ digits ] vulgar-fraction       96½
//	unit   = in inch " ″ | ft ' ′ | yd yard | mm | cm | m ...
//
// A fraction that is no whole number of nanometres (1/3 in) is rounded once, half up. bare may be empty where
// a number without a unit says nothing; then it is an error. Errors are *ParseError.
func Parse(s string, bare Unit) (Length, error) {
	text := strings.TrimSpace(s)
	p := &parser{text: s, rest: text}
	if text == "" {
		return 0, p.fail(Empty)
	}
	negative := false
	if r, n := utf8.DecodeRuneInString(p.rest); r == '-' || r == '−' {
		negative = true
		p.rest = strings.TrimSpace(p.rest[n:])
	}
	if p.rest == "" {
		return 0, p.fail(NotANumber)
	}
	total := new(big.Rat)
	last := Length(0) // the unit of the part before, 0 at the start
	for p.rest != "" {
		number, err := p.number()
		if err != nil {
			return 0, err
		}
		unit, err := p.unit(bare, last)
		if err != nil {
			return 0, err
		}
		last = unit
		total.Add(total, number.Mul(number, new(big.Rat).SetInt64(int64(unit))))
	}
	return p.nanometres(total, negative)
}

type parser struct{ text, rest string }

func (p *parser) fail(reason Reason) error {
	return &ParseError{Text: p.text, Part: p.rest, Reason: reason}
}

// nanometres rounds the sum once, half up, and bounds it.
func (p *parser) nanometres(sum *big.Rat, negative bool) (Length, error) {
	twice := new(big.Int).Mul(sum.Num(), big.NewInt(2))
	twice.Add(twice, sum.Denom())
	whole := twice.Quo(twice, new(big.Int).Mul(sum.Denom(), big.NewInt(2)))
	if whole.Cmp(big.NewInt(int64(longest))) > 0 {
		return 0, &ParseError{Text: p.text, Part: p.text, Reason: TooLong}
	}
	nm := whole.Int64()
	if negative {
		nm = -nm
	}
	return Length(nm), nil
}

const blanks = " \t\u00a0"

// maxDigits bounds a number's digits: more would only serve to make the reader work.
const maxDigits = 30

// number reads a decimal, a fraction, or a whole number with a fraction behind it.
func (p *parser) number() (*big.Rat, error) {
	start := *p
	whole := p.digits()
	if whole != "" && strings.HasPrefix(p.rest, ".") {
		p.rest = p.rest[1:]
		decimals := p.digits()
		if decimals == "" || len(whole)+len(decimals) > maxDigits {
			*p = start
			return nil, p.fail(NotANumber)
		}
		r, _ := new(big.Rat).SetString(whole + "." + decimals)
		return r, nil
	}
	if len(whole) > maxDigits {
		*p = start
		return nil, p.fail(TooLong)
	}
	if strings.HasPrefix(p.rest, ".") && whole == "" {
		p.rest = p.rest[1:]
		decimals := p.digits()
		if decimals == "" || len(decimals) > maxDigits {
			*p = start
			return nil, p.fail(NotANumber)
		}
		r, _ := new(big.Rat).SetString("0." + decimals)
		return r, nil
	}
	if whole != "" && p.slash() {
		return p.over(start, new(big.Rat), whole)
	}
	sum := new(big.Rat)
	if whole != "" {
		sum.SetString(whole)
	}
	if f := p.vulgar(); f != nil {
		return sum.Add(sum, f), nil
	}
	if whole == "" {
		return nil, p.fail(NotANumber)
	}
	return p.fractionBehind(sum)
}

// fractionBehind reads the 1/2 of "96 1/2" or "96-1/2", where one stands.
func (p *parser) fractionBehind(whole *big.Rat) (*big.Rat, error) {
	before := *p
	p.rest = strings.TrimLeft(p.rest, blanks)
	p.rest = strings.TrimPrefix(p.rest, "-")
	if f := p.vulgar(); f != nil && p.rest != before.rest {
		return whole.Add(whole, f), nil
	}
	num := p.digits()
	if num == "" || !p.slash() {
		*p = before // the digits are the next part: 7 yd 3 in
		return whole, nil
	}
	return p.over(before, whole, num)
}

// over reads the denominator and adds num/den to sum. The fraction must be under 1, also where no whole number stands before it:
// whoever writes 17/16 has as likely left out a blank as meant 1 1/16.
func (p *parser) over(start parser, sum *big.Rat, num string) (*big.Rat, error) {
	den := p.digits()
	if den == "" || strings.Trim(den, "0") == "" || len(num) > maxDigits || len(den) > maxDigits {
		*p = start
		return nil, p.fail(BadFraction)
	}
	n, _ := new(big.Int).SetString(num, 10) // in base 10: a leading nought means nothing here
	d, _ := new(big.Int).SetString(den, 10)
	if n.Cmp(d) >= 0 {
		read := strings.TrimLeft(strings.TrimSuffix(start.rest, p.rest), blanks+"-")
		return nil, &ParseError{Text: p.text, Part: read, Reason: Improper}
	}
	return sum.Add(sum, new(big.Rat).SetFrac(n, d)), nil
}

func (p *parser) digits() string {
	n := 0
	for n < len(p.rest) && p.rest[n] >= '0' && p.rest[n] <= '9' {
		n++
	}
	d := p.rest[:n]
	p.rest = p.rest[n:]
	return d
}

// slash takes a slash or the fraction slash U+2044.
func (p *parser) slash() bool {
	for _, s := range []string{"/", "⁄"} {
		if strings.HasPrefix(p.rest, s) {
			p.rest = p.rest[len(s):]
			return true
		}
	}
	return false
}

var vulgars = map[rune][2]int64{
	'½': {1, 2}, '⅓': {1, 3}, '⅔': {2, 3}, '¼': {1, 4}, '¾': {3, 4}, '⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5},
	'⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
}

func (p *parser) vulgar() *big.Rat {
	r, n := utf8.DecodeRuneInString(p.rest)
	f, ok := vulgars[r]
	if !ok {
		return nil
	}
	p.rest = p.rest[n:]
	return big.NewRat(f[0], f[1])
}

// unit reads the unit behind a number; last is the unit of the part before.
func (p *parser) unit(bare Unit, last Length) (Length, error) {
	p.rest = strings.TrimLeft(p.rest, blanks)
	word := p.word()
	u, ok := names[strings.ToLower(word)]
	switch {
	case word != "" && !ok:
		return 0, &ParseError{Text: p.text, Part: word, Reason: UnknownUnit}
	case word == "" && last == Foot:
		u = In // 8' 3 1/4
	case word == "" && last == 0 && bare != "":
		u = bare
	case word == "":
		return 0, p.fail(UnitMissing)
	}
	if last != 0 && u.Length() >= last {
		return 0, &ParseError{Text: p.text, Part: word, Reason: UnitOrder}
	}
	p.rest = strings.TrimLeft(p.rest, blanks)
	if next := strings.TrimPrefix(p.rest, ","); next != "" {
		p.rest = strings.TrimLeft(next, blanks) // 8 ft, 3 in
	}
	return u.Length(), nil
}

// word takes letters (with a closing full stop), or one of the marks of feet and inches.
func (p *parser) word() string {
	for _, mark := range []string{"''", `"`, "″", "”", "'", "′", "’"} {
		if strings.HasPrefix(p.rest, mark) {
			p.rest = p.rest[len(mark):]
			return mark
		}
	}
	n := 0
	for n < len(p.rest) {
		r, size := utf8.DecodeRuneInString(p.rest[n:])
		if !unicode.IsLetter(r) {
			break
		}
		n += size
	}
	if n > 0 && strings.HasPrefix(p.rest[n:], ".") {
		n++
	}
	w := p.rest[:n]
	p.rest = p.rest[n:]
	if w == "" && p.rest != "" {
		if r, size := utf8.DecodeRuneInString(p.rest); r < '0' || r > '9' {
			w, p.rest = p.rest[:size], p.rest[size:] // a stray mark is told as an unknown unit
		}
	}
	return w
}

// UnitOf returns the unit that the last part of a length is written in, bare where it has none: "7 yd 3 in" is in inches.
func UnitOf(s string, bare Unit) Unit {
	s = strings.ToLower(strings.TrimSpace(s))
	number := strings.LastIndexFunc(s, func(r rune) bool { return unicode.IsDigit(r) || vulgars[r] != [2]int64{} })
	if number < 0 {
		return bare
	}
	_, size := utf8.DecodeRuneInString(s[number:])
	if u, ok := names[strings.TrimSpace(s[number+size:])]; ok {
		return u
	}
	if strings.ContainsAny(s, "'′’") || strings.Contains(s, "ft") {
		return In // 8' 3 1/4
	}
	return bare
}
