package orderfile

import (
	"encoding/json"
	"math/big"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
)

// Practice is conventions in the form of an order file's own: by name, with lengths, words and shares as they are
// written there, tolerances by their names within. It has only what differs from some other conventions, so that it can
// be kept, shown, and pasted into a file.
type Practice map[string]any

// Differing returns what of the conventions isn't as in others, nil for nothing. Lengths are written in units.
func (c *Conventions) Differing(from Conventions, units measure.Unit) Practice {
	p := Practice{}
	for _, r := range conventions {
		if value := r.text(c, units); value != "" && value != r.text(&from, units) {
			p[r.Key] = value
		}
	}
	differing := map[string]any{}
	for name, t := range c.Tolerances {
		if t != from.Tolerances[name] {
			differing[name] = map[string]any{"minus": t.Minus.In(units), "plus": t.Plus.In(units)}
		}
	}
	if len(differing) > 0 {
		p["tolerances"] = differing
	}
	if len(p) == 0 {
		return nil
	}
	return p
}

// decimals writes a number as an order file takes it, to 9 places.
func decimals(r measure.Ratio) string {
	return strings.TrimSuffix(strings.TrimRight(big.NewRat(r.Num, r.Den).FloatString(9), "0"), ".")
}

// String writes the share as an order file takes it: "2.5 %".
func (p Percent) String() string {
	return decimals(measure.Ratio{Num: int64(p), Den: 100}) + " %"
}

// Over returns conventions with the practice before them. What can't be read of it leaves theirs.
func (p Practice) Over(c Conventions, units measure.Unit) Conventions {
	c, _ = p.Read(c, units)
	return c
}

// Read returns conventions with the practice before them, read as an order file's own are: a bare length is in units. The problems are
// all that is wrong in it, each where its name stands: "seam", "tolerances.drop.plus". What is wrong leaves the conventions' own.
func (p Practice) Read(c Conventions, units measure.Unit) (Conventions, []engine.Problem) {
	if len(p) == 0 {
		return c, nil
	}
	text, err := json.Marshal(p)
	if err != nil {
		return c, []engine.Problem{{Severity: engine.Error, Code: "syntax", Args: map[string]any{"Reason": err.Error()}}}
	}
	root, lines, broken := document(text)
	if broken != nil {
		return c, []engine.Problem{*broken}
	}
	r := &reader{text: lines, units: units, positions: map[string]position{}}
	c = readConventions((&value{r: r, node: root}).mapping(), c)
	for i := range r.problems {
		r.problems[i].Units, r.problems[i].Line, r.problems[i].Column = units, 0, 0 // there is no file
	}
	return c, r.problems
}

// An order keeps the conventions that it was worked up with. What its record has of them is what differs from the first
// release's, which never change: an order of that release, whose record has none, goes on with those.

// Kept is the conventions of an order whose record keeps that practice, nil for none.
func Kept(p Practice) func(measure.Unit) Conventions {
	return func(units measure.Unit) Conventions { return p.Over(FirstReleaseConventions(units), units) }
}

// ToKeep is what the record of an order in that unit keeps of the conventions that it is worked up with.
func ToKeep(c Conventions, units measure.Unit) Practice {
	return c.Differing(FirstReleaseConventions(units), units)
}
