package measure

import "math/big"

// Mass is a weight in grams.
type Mass int64

// Shown is the mass as a person reads it where lengths are in unit u: kilograms to the hundredth, or pounds to the tenth, 453.592 37 g
// each (international yard and pound agreement, 1959).
func (m Mass) Shown(u Unit) string {
	if u.Metric() {
		return decimalString(int64(m), 1000, 2) + " kg"
	}
	return decimalString(int64(m)*100_000, 45_359_237, 1) + " lb"
}

// Weighing adds up what stretches of cloth weigh, exactly. The zero value weighs nothing.
type Weighing struct{ sum big.Int } // micrograms for a square metre × half a square nanometre

// Add takes in cloth of so many micrograms for a square metre, half as wide as doubled and as long as length.
func (w *Weighing) Add(perArea int64, doubled, length Length) {
	area := new(big.Int).Mul(big.NewInt(int64(doubled)), big.NewInt(int64(length)))
	w.sum.Add(&w.sum, area.Mul(area, big.NewInt(perArea)))
}

// AddAll takes in all that another weighs.
func (w *Weighing) AddAll(other *Weighing) { w.sum.Add(&w.sum, &other.sum) }

// Mass is all of it, rounded once, halves up.
func (w *Weighing) Mass() Mass {
	gram := new(big.Int).Exp(big.NewInt(10), big.NewInt(18+6), nil) // square nanometres in a square metre × micrograms in a gram
	half := new(big.Int).Add(&w.sum, gram)
	return Mass(half.Div(half, gram.Lsh(gram, 1)).Int64())
}
