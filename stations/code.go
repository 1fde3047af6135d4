package stations

// Code is a ticket's code: 8 symbols and a check symbol of Crockford's base32, upper case. It is no secret and
// grants nothing.
type Code string

// NewCode makes the code of a 40-bit number; the caller draws the number.
func NewCode(n uint64) Code { panic("to be written") }

// ParseCode reads a code as people type it and scanners send it: case, hyphens and spaces ignored, O is 0, I and
// L are 1; a URL is read from its end. The error is a *Refusal "bad_code" with what is wrong.
func ParseCode(s string) (Code, error) { panic("to be written") }
