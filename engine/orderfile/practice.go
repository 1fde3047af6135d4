package orderfile

import (
	"encoding/json"
	"math/big"
	"slices"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
)

// Practice is conventions in the form of an order file's own: by name, with lengths, words and shares as they are
// written there, figures of headings and tolerances by their names within. It has only what differs from some other conventions, so that it can
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
	if headings := c.headingsDiffering(&from, units); len(headings) > 0 {
		p[headingsKey] = headings
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

// Of returns a practice of values by the names of ShopConventions' rows, of which those of a heading stand within it.
func Of(values map[string]any) Practice {
	p, headings := Practice{}, map[string]map[string]any{}
	for name, value := range values {
		heading, field, own := OfHeading(name)
		switch {
		case !own:
			p[name] = value
		case headings[heading] == nil:
			headings[heading] = map[string]any{field: value}
		default:
			headings[heading][field] = value
		}
	}
	if len(headings) > 0 {
		p[headingsKey] = headings
	}
	return p
}

// OfHeading splits the name of a heading's own convention; ok is false of another's.
func OfHeading(name string) (heading, field string, ok bool) {
	parts := strings.Split(name, ".")
	if len(parts) != 3 || parts[0] != headingsKey {
		return "", "", false
	}
	return parts[1], parts[2], true
}

// decimals writes a number as an order file takes it, to 9 places.
func decimals(r measure.Ratio) string {
	return strings.TrimSuffix(strings.TrimRight(big.NewRat(r.Num, r.Den).FloatString(9), "0"), ".")
}

// String writes the share as an order file takes it: "2.5 %".
func (p Percent) String() string {
	return decimals(measure.Ratio{Num: int64(p), Den: 100}) + " %"
}

// Of is so much of a length, rounded half up.
func (p Percent) Of(l measure.Length) measure.Length { return l.MulDiv(int64(p), 10_000) }

// Over returns conventions with the practice before them. What can't be read of it leaves theirs.
func (p Practice) Over(c Conventions, units measure.Unit) Conventions {
	c, _ = p.Read(c, units)
	return c
}

// Read returns conventions with the practice before them, read as an order file's own are, and those of the shop's shelf: a bare length is in units. The problems are
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
	c = readConventions((&value{r: r, node: root}).mapping(), c, slices.Concat(conventions, shelfRows))
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
