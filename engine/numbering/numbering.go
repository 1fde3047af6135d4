// Package numbering is how a shop names its orders, and which name comes next.
package numbering

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"tablehand/engine/orderfile"
)

// Form is how a shop names its orders: a number with text around it. It is written with {n} for the number, {n:3} for one
// of at least three digits: "HAL-{n:3}" names HAL-007.
type Form struct {
	before, after string
	digits        int // at least; 1 to 9
}

// mostDigits a number may have.
const mostDigits = 9

var (
	written    = regexp.MustCompile(`^([^{}]*)\{n(?::([1-9]))?\}([^{}]*)$`)
	lastNumber = regexp.MustCompile(`^(.*?)([0-9]{1,9})([^0-9]*)$`)
)

// Read reads a form; ok is false for one without a number, with two, or whose names no order may have.
func Read(text string) (n Form, ok bool) {
	parts := written.FindStringSubmatch(text)
	if parts == nil {
		return Form{}, false
	}
	n = Form{before: parts[1], after: parts[3], digits: 1}
	if parts[2] != "" {
		n.digits, _ = strconv.Atoi(parts[2]) // one digit
	}
	const largest = 999_999_999
	return n, orderfile.IsName(n.Name(largest))
}

// Of is the form that a name seems to follow, by its last number; ok is false for one without any.
func Of(name string) (n Form, ok bool) {
	parts := lastNumber.FindStringSubmatch(name)
	if parts == nil {
		return Form{}, false
	}
	return Form{before: parts[1], after: parts[3], digits: len(parts[2])}, true
}

// Name is the order's name that has a number.
func (n Form) Name(number int) string {
	return fmt.Sprintf("%s%0*d%s", n.before, n.digits, number, n.after)
}

// Number returns the number of a name; ok is false for a name of another form.
func (n Form) Number(name string) (number int, ok bool) {
	digits, before := strings.CutPrefix(name, n.before)
	digits, after := strings.CutSuffix(digits, n.after)
	if !before || !after || len(digits) > mostDigits || strings.Trim(digits, "0123456789") != "" {
		return 0, false
	}
	number, err := strconv.Atoi(digits)
	return number, err == nil
}
