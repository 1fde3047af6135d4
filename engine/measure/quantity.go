package measure

import (
	"encoding/binary"
	"strings"
)

// Kind says what a Quantity is.
type Kind uint8

const (
	Nothing     Kind = iota // no number, and nothing is written
	OneLength               // "48.5in"
	Number                  // a count, a ratio, widths counted by halves: "19", "2.567", "2.5"
	Percent                 // "3%"
	Word                    // "wound", a fabric's name; whatever else an old document has
	Weight                  // a mass: "4009g"
	List                    // lengths: places along the cloth, pleat by pleat: "4in 12in 20in"
	Sum                     // lengths, or numbers, that make one: "2.5 + 3"
	Size                    // length by height: "96in × 4in"
	Alternative             // another heading that would nearly do: pleats × end margin, finished width: "19 × 1.5in, 48in"
)

// Quantity is one number of a panel, a ticket or a cut as documents have it, with its unit: worked out once, carried as it
// is, written only where it leaves the program. Quantities compare with ==, and are equal where they are written alike.
// The zero value is Nothing.
type Quantity struct {
	kind Kind
	unit Unit  // of a length, and of the parts that are lengths; of a mass that is shown in pounds In
	n    int64 // nanometres, thousandths of a number, or grams
	text string
	// text is a word itself, the parts of what has parts, eight bytes each, and of a length that isn't written as In
	// writes it what stood there.
}

// thousandths is what a Number counts in: ratios are written with three decimals.
const thousandths = 1000

// OfLength returns a length written in unit u.
func OfLength(l Length, u Unit) Quantity { return Quantity{kind: OneLength, unit: u, n: int64(l)} }

// OfLengthInFull returns a length that may be under a mark of a rule, to the thousandth of unit u: "0.031 in".
func OfLengthInFull(l Length, u Unit) Quantity {
	l = l.RoundTo(u.Length() / thousandths)
	return Quantity{kind: OneLength, n: int64(l), text: l.Number(u, 3) + " " + string(u)}
}

// OfCount returns a whole number.
func OfCount(n int) Quantity { return OfRatio(Ratio{int64(n), 1}) }

// OfRatio returns a ratio to three decimals, as it is written; one near a quadrillion is only words.
func OfRatio(r Ratio) Quantity {
	if r.Den == 0 {
		r = Ratio{0, 1}
	}
	if whole := abs(r.Num) / abs(r.Den); whole >= mostNumber {
		return OfWord(r.String())
	}
	return Quantity{kind: Number, n: int64(Length(r.Num).MulDiv(thousandths, r.Den))}
}

// mostNumber bounds a Number, whose thousandths an int64 holds.
const mostNumber = 1_000_000_000_000_000 - 1

// OfPercent returns a ratio of hundredths: 3 is 3%.
func OfPercent(r Ratio) Quantity {
	q := OfRatio(r)
	if q.kind == Number {
		q.kind = Percent
		return q
	}
	return OfWord(q.text + "%")
}

// OfMass returns a mass: in grams in documents, and for people, where lengths are in unit u, in kilograms or pounds. One that is read back is
// shown in kilograms.
func OfMass(m Mass, u Unit) Quantity {
	if u.Metric() {
		return Quantity{kind: Weight, n: int64(m)}
	}
	return Quantity{kind: Weight, unit: In, n: int64(m)}
}

// OfWord returns a word, Nothing for none.
func OfWord(word string) Quantity {
	if word == "" {
		return Quantity{}
	}
	return Quantity{kind: Word, text: word}
}

// OfLengths returns lengths in unit u, Nothing for none; one is a length like any other.
func OfLengths(list []Length, u Unit) Quantity {
	switch len(list) {
	case 0:
		return Quantity{}
	case 1:
		return OfLength(list[0], u)
	}
	packed := make([]byte, 0, len(list)*packedPart)
	for _, l := range list {
		packed = binary.LittleEndian.AppendUint64(packed, uint64(l))
	}
	return Quantity{kind: List, unit: u, text: string(packed)}
}

// OfSum returns parts that are told one by one, all lengths in one unit or all numbers.
func OfSum(parts []Quantity) Quantity {
	switch len(parts) {
	case 0:
		return Quantity{}
	case 1:
		return parts[0]
	}
	return pack(Sum, parts)
}

// OfSize returns length by height, in unit u.
func OfSize(length, height Length, u Unit) Quantity {
	return pack(Size, []Quantity{OfLength(length, u), OfLength(height, u)})
}

// OfAlternative returns another heading that would nearly do: its pleats, end margin and finished width.
func OfAlternative(pleats int, margin, width Length, u Unit) Quantity {
	q := pack(Alternative, []Quantity{OfLength(margin, u), OfLength(width, u)})
	q.n = int64(pleats) * thousandths
	return q
}

const packedPart = 8

func pack(kind Kind, parts []Quantity) Quantity {
	q := Quantity{kind: kind, unit: parts[0].unit}
	packed := make([]byte, 0, len(parts)*packedPart)
	for _, p := range parts {
		packed = binary.LittleEndian.AppendUint64(packed, uint64(p.n))
	}
	q.text = string(packed)
	return q
}

// Kind returns what q is.
func (q Quantity) Kind() Kind { return q.kind }

// IsZero reports whether q is Nothing: there is no such number. Nought is not Nothing.
func (q Quantity) IsZero() bool { return q == Quantity{} }

// Nought reports whether q is Nothing, or a length or number of 0.
func (q Quantity) Nought() bool {
	return q.kind == Nothing || q.n == 0 && (q.kind == OneLength || q.kind == Number || q.kind == Percent || q.kind == Weight)
}

// Length returns a length's nanometres, 0 where q isn't one.
func (q Quantity) Length() Length {
	if q.kind != OneLength {
		return 0
	}
	return Length(q.n)
}

// Mass returns a mass, 0 where q isn't one, and how a person reads it.
func (q Quantity) Mass() (m Mass, shown string) {
	if q.kind != Weight {
		return 0, ""
	}
	if q.unit == In {
		return Mass(q.n), Mass(q.n).Shown(In)
	}
	return Mass(q.n), Mass(q.n).Shown(MM)
}

// IsLength reports whether q is one length.
func (q Quantity) IsLength() bool { return q.kind == OneLength }

// Unit returns the unit that a length, or each length of several, is written in; "" where q has none, or
// isn't written as the program does.
func (q Quantity) Unit() Unit {
	if q.kind == Weight {
		return ""
	}
	return q.unit
}

// Count returns a number without its decimals, 0 where q isn't one.
func (q Quantity) Count() int {
	if q.kind != Number {
		return 0
	}
	return int(q.n / thousandths)
}

// Halves returns a number as widths, which go by halves; ok is false where it is no whole number of them.
func (q Quantity) Halves() (h Halves, ok bool) {
	return Halves(q.n / (thousandths / 2)), q.kind == Number && q.n%(thousandths/2) == 0
}

// Foreign reports whether q is a length that is written otherwise than In writes it: in full, or in a document from
// elsewhere.
func (q Quantity) Foreign() bool { return q.kind == OneLength && q.text != "" }

// Parts returns each of the lengths or numbers that q has, q itself where it is one, nothing for Nothing.
func (q Quantity) Parts() []Quantity {
	one := OneLength
	switch {
	case q.kind == Nothing:
		return nil
	case q.kind < List:
		return []Quantity{q}
	case q.unit == "":
		one = Number
	}
	parts := make([]Quantity, 0, len(q.text)/packedPart+1)
	if q.kind == Alternative {
		parts = append(parts, Quantity{kind: Number, n: q.n})
	}
	for at := 0; at < len(q.text); at += packedPart {
		parts = append(parts, Quantity{kind: one, unit: q.unit, n: q.part(at)})
	}
	return parts
}

func (q Quantity) part(at int) int64 {
	return int64(binary.LittleEndian.Uint64([]byte(q.text[at : at+packedPart])))
}

// between has what stands between the parts of a quantity.
var between = map[Kind]string{List: " ", Sum: " + ", Size: " × "}

// String writes q as documents have it.
func (q Quantity) String() string {
	switch {
	case q.text != "" && q.kind < List:
		return q.text
	case q.kind == OneLength:
		return Length(q.n).In(q.unit)
	case q.kind == Number:
		return decimalString(q.n, thousandths, 3)
	case q.kind == Percent:
		return decimalString(q.n, thousandths, 3) + "%"
	case q.kind == Weight:
		return decimalString(q.n, 1, 0) + "g"
	case q.kind == Alternative:
		parts := q.Parts()
		return parts[0].String() + " × " + parts[1].String() + ", " + parts[2].String()
	}
	var b strings.Builder
	for i, p := range q.Parts() {
		if i > 0 {
			b.WriteString(between[q.kind])
		}
		b.WriteString(p.String())
	}
	return b.String()
}
