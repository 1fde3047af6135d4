package measure

import (
	"strconv"
	"strings"
)

// Read reads what String wrote, and never fails: what is no such number is a Word, and what is written otherwise is kept
// as it stands. Read(text).String() is text, whatever it is.
func Read(text string) Quantity {
	if !numeric(text) {
		return OfWord(text)
	}
	if q, ok := readWritten(text); ok && q.String() == text {
		return q
	}
	if l, err := Parse(text, ""); err == nil {
		return Quantity{kind: OneLength, n: int64(l), text: text}
	}
	return OfWord(text)
}

// MarshalText writes q as String does: JSON has it as a string.
func (q Quantity) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText reads q as Read does; there is no error.
func (q *Quantity) UnmarshalText(text []byte) error {
	*q = Read(string(text))
	return nil
}

// numeric reports whether a text begins as a number does.
func numeric(text string) bool {
	text = strings.TrimPrefix(text, "-")
	return text != "" && (text[0] >= '0' && text[0] <= '9')
}

func readWritten(text string) (Quantity, bool) {
	if pleats, sizes, ok := strings.Cut(text, " × "); ok {
		if margin, width, ok := strings.Cut(sizes, ", "); ok {
			n, ok := readOne(pleats)
			parts, alike := readParts([]string{margin, width})
			return Quantity{kind: Alternative, unit: parts.unit, n: n.n, text: parts.text}, ok && alike && n.kind == Number
		}
		size, ok := readParts([]string{pleats, sizes})
		size.kind = Size
		return size, ok && size.unit != ""
	}
	if strings.Contains(text, " + ") {
		sum, ok := readParts(strings.Split(text, " + "))
		sum.kind = Sum
		return sum, ok
	}
	if strings.Contains(text, " ") {
		list, ok := readParts(strings.Split(text, " "))
		return list, ok && list.unit != ""
	}
	return readOne(text)
}

// readParts reads lengths in one unit, or numbers.
func readParts(texts []string) (Quantity, bool) {
	parts := make([]Quantity, len(texts))
	for i, text := range texts {
		p, ok := readOne(text)
		if !ok || p.kind == Percent || p.kind != parts[0].kind && i > 0 || p.unit != parts[0].unit && i > 0 {
			return Quantity{}, false
		}
		parts[i] = p
	}
	return pack(List, parts), true
}

// The most digits that are read here: an int64 holds the nanometres in any unit, and the thousandths of a number.
const (
	mostWholeLength = 9
	mostWholeNumber = 15
	mostDecimalsIn  = 9 // what In writes at most
)

// readOne reads a length, a number or a percentage.
func readOne(text string) (Quantity, bool) {
	unit := strings.TrimLeft(text, "-.0123456789")
	digits, negative := strings.CutPrefix(strings.TrimSuffix(text, unit), "-")
	whole, decimals, _ := strings.Cut(digits, ".")
	n, err := strconv.ParseInt(whole+decimals, 10, 64)
	if err != nil || len(decimals) > mostDecimalsIn || len(whole) > mostWholeNumber {
		return Quantity{}, false
	}
	if negative {
		n = -n
	}
	scale := int64(1)
	for range decimals {
		scale *= 10
	}
	per := Unit(unit).Length()
	switch {
	case per > 0 && len(whole) <= mostWholeLength:
		return OfLength(Length(n).MulDiv(int64(per), scale), Unit(unit)), true
	case unit == "":
		return OfRatio(Ratio{n, scale}), true
	case unit == "g":
		return OfMass(Mass(n), MM), decimals == ""
	case unit == "%":
		return OfPercent(Ratio{n, scale}), true
	}
	return Quantity{}, false
}
