// Package engine holds what every calculation of the program shares: the form in which it tells that something
// is wrong. The calculations themselves are its sub-packages. Nothing below engine reads a clock, a file or a
// random source; words come from the catalogue at the edge.
package engine

import "tablehand/engine/measure"

// Severity says what a problem stops.
type Severity string

const (
	Error   Severity = "error"   // the work can't go on with this value
	Warning Severity = "warning" // it can, but a person should look first
	Note    Severity = "note"    // worth knowing at the table
)

// Day is a civil date, YYYY-MM-DD, "" for none.
type Day string

// Problem is one thing that is wrong, or worth knowing: a code that programs rely on, where it is, and the
// arguments that the catalogue puts into its sentence.
type Problem struct {
	Severity Severity
	Code     string // snake_case, a promise: "bad_length", "too_narrow", ...
	// Key is the catalogue's key of the sentence; empty means "problem." + Code. One code may have several
	// sentences ("bad_value" of a date and of a draw).
	Key string
	// Args fill the sentence. Values are string, int, measure.Length (written in Units), measure.Ratio, Day or
	// []string.
	Args  map[string]any
	Units measure.Unit // the order's unit, for lengths in Args; zero where no length is told
	// Where is the path of the value, counting from 0: "treatments[0].face".
	Where string
	// Line and Column are those of the value in the order file, from 1, in runes; of the mapping for a missing
	// key; 0 where there is no file.
	Line, Column int
}

// MessageKey returns the catalogue's key of the problem's sentence.
func (p Problem) MessageKey() string {
	if p.Key != "" {
		return p.Key
	}
	return "problem." + p.Code
}

// AnyError reports whether one of the problems is an error.
func AnyError(problems []Problem) bool {
	for _, p := range problems {
		if p.Severity == Error {
			return true
		}
	}
	return false
}
