package books

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// fold returns a text without case and accents.
func fold(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return unicode.ToLower(r)
	}, norm.NFKD.String(text))
}

// nameKey is what two names have in common that are one: neither case nor accents nor spaces make two.
func nameKey(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, fold(name))
}

// wordsOf returns the words of a text, as they are looked for.
func wordsOf(text string) []string {
	return strings.FieldsFunc(fold(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// reserved are no ids: pages have them for addresses.
var reserved = []string{"new", "import"}

// mostID bounds an id, as an order file bounds the name of a cloth.
const mostID = 32

// slug makes an id of a name: its words with hyphens between them, "entry" where it has none in Latin letters.
func slug(name string) string {
	var b strings.Builder
	for _, r := range fold(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	id := strings.Trim(b.String(), "-")
	if len(id) > mostID-4 { // leaves room for a number behind it
		id = strings.Trim(id[:mostID-4], "-")
	}
	if id == "" || slices.Contains(reserved, id) {
		return "entry"
	}
	return id
}
