package plan

import (
	"strings"
	"unicode"
)

// Code is a ticket's code: 8 symbols and a check symbol of Crockford's base32, upper case. It is no secret and
// grants nothing.
type Code string

// The symbols of Crockford's base32 (crockford.com/base32.html): no I, L, O or U.
const symbols = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

const (
	bodySymbols = 8
	codeSymbols = bodySymbols + 1
)

// NewCode makes the code of a 40-bit number (higher bits are left out); the caller draws the number.
func NewCode(n uint64) Code {
	var digits [codeSymbols]byte
	for i := bodySymbols - 1; i >= 0; i-- {
		digits[i] = byte(n & 31)
		n >>= 5
	}
	digits[bodySymbols] = weighedSum(digits[:])
	for i, d := range digits {
		digits[i] = symbols[d]
	}
	return Code(digits[:])
}

// weighedSum is the sum over GF(32) of the digits, the last one weighing 1 and each before it x times more, where
// x⁵ = x² + 1. It is 0 for a valid code. x has order 31, so up to 31 digits all weigh differently: changing one
// digit, or swapping any two, changes the sum.
func weighedSum(digits []byte) byte {
	sum := byte(0)
	for _, d := range digits {
		sum <<= 1
		if sum&32 != 0 {
			sum ^= 0b100101
		}
		sum ^= d
	}
	return sum
}

// ParseCode reads a code as people type it and scanners send it: case, hyphens and spaces ignored, O is 0, I and
// L are 1. A URL is read from its end, a query or fragment behind it left out; it may have gone through the wrong
// keyboard layout, which spoils its colons and slashes but not its letters and digits. The error is a *CodeError.
func ParseCode(s string) (Code, error) {
	text := strings.ToUpper(strings.TrimSpace(s))
	if i := strings.IndexAny(text, "?#"); i >= 0 {
		text = text[:i]
	}
	before, found := lastSymbols(strings.TrimRight(text, "/ "))
	if len(found) != codeSymbols || isTyped(before) {
		return "", &CodeError{s, "length"}
	}
	var digits [codeSymbols]byte
	for i := range digits {
		d := strings.IndexByte(symbols, lookalike(found[i]))
		if d < 0 {
			return "", &CodeError{s, "symbol"}
		}
		digits[i] = byte(d)
	}
	if weighedSum(digits[:]) != 0 {
		return "", &CodeError{s, "check"}
	}
	for i, d := range digits {
		digits[i] = symbols[d]
	}
	return Code(digits[:]), nil
}

// lastSymbols takes the letters and digits at the end of a text, as many as a code has; hyphens and spaces don't
// count. before is what stands in front of them.
func lastSymbols(text string) (before, found string) {
	var taken []byte
	i := len(text)
	for ; i > 0 && len(taken) < codeSymbols; i-- {
		c := text[i-1]
		if c == '-' || c == ' ' {
			continue
		}
		if !isSymbol(c) {
			break
		}
		taken = append(taken, c)
	}
	for a, b := 0, len(taken)-1; a < b; a, b = a+1, b-1 {
		taken[a], taken[b] = taken[b], taken[a]
	}
	return text[:i], string(taken)
}

// isTyped reports whether what stands before nine symbols makes them too many: more symbols right before them, or
// nothing but symbols, which is no address.
func isTyped(before string) bool {
	if before == "" {
		return false
	}
	if isSymbol(before[len(before)-1]) {
		return true
	}
	return !strings.ContainsFunc(before, func(r rune) bool {
		return r != '-' && r != ' ' && (r > unicode.MaxASCII || !isSymbol(byte(r)))
	}) && strings.Trim(before, "- ") != ""
}

func isSymbol(c byte) bool { return '0' <= c && c <= '9' || 'A' <= c && c <= 'Z' }

func lookalike(c byte) byte {
	switch c {
	case 'O':
		return '0'
	case 'I', 'L':
		return '1'
	}
	return c
}

// CodeError is a text that is no code. Reason is length, symbol or check.
type CodeError struct{ Text, Reason string }

func (e *CodeError) Error() string { return "plan: no ticket's code: " + e.Reason }
