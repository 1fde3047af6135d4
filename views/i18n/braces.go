package i18n

import "strings"

// Braced goes through a text of the catalogue: plain is given what stands outside of braces, key what stands in them.
func Braced(text string, plain, key func(string)) {
	for closed := true; closed; {
		var before, after, name string
		before, after, _ = strings.Cut(text, "{")
		plain(before)
		if name, text, closed = strings.Cut(after, "}"); closed {
			key(name)
		}
	}
}
