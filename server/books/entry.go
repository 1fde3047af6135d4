package books

import (
	"encoding/json"
	"slices"
	"strings"

	"tablehand/stations"
)

// Entry is one entry of a book. Nobody changes one: what is kept takes the place of the one before.
type Entry struct {
	Book       Book
	ID         string
	Version    int // how often it was changed
	Fields     Fields
	SetAside   bool
	MergedInto string // the entry that goes on in its place, "" none

	sort  string   // by which a list is sorted
	words []string // that it is found by
}

// Name is what the entry is called.
func (e *Entry) Name() string { return e.Fields[e.Book.Data().Named] }

// Names are all that it is called: its name first.
func (e *Entry) Names() []string {
	return slices.Concat([]string{e.Name()}, strings.FieldsFunc(e.Fields[otherNames], func(r rune) bool { return r == '\n' }))
}

// otherNames is the field of the names that an entry has beside its own: earlier ones, and those of what was merged into it.
const otherNames = "names"

// found are fields whose words an entry is found by, beside its names.
var found = []string{"supplier", "number", "colour"}

// made returns an entry with what is worked out of its fields.
func made(e Entry) *Entry {
	e.sort = fold(e.Name())
	texts := e.Names()
	for _, key := range found {
		texts = append(texts, e.Fields[key])
	}
	e.words = wordsOf(strings.Join(texts, " "))
	return &e
}

// has reports whether each word begins one of the entry's.
func (e *Entry) has(words []string) bool {
	return !slices.ContainsFunc(words, func(word string) bool {
		return !slices.ContainsFunc(e.words, func(own string) bool { return strings.HasPrefix(own, word) })
	})
}

// Document is the entry as programs read it, as far as somebody of a role is shown it.
func (e *Entry) Document(role stations.Role) map[string]any {
	d := e.Book.Data()
	doc := map[string]any{d.IDKey: e.ID, "version": e.Version, otherNames: []string{}}
	if e.SetAside {
		doc["set_aside"] = true
	}
	for i := range d.Fields {
		f := &d.Fields[i]
		if kept := e.Fields[f.Key]; kept != "" && f.SeenBy(role) {
			put(doc, f.Key, f.Kind.document(kept))
		}
	}
	return doc
}

// put puts a value where a key with dots leads.
func put(doc map[string]any, key string, value any) {
	for {
		outer, rest, within := strings.Cut(key, ".")
		if !within {
			doc[key] = value
			return
		}
		inner, _ := doc[outer].(map[string]any)
		if inner == nil {
			inner = map[string]any{}
			doc[outer] = inner
		}
		doc, key = inner, rest
	}
}

// document is a value as programs read it.
func (k Kind) document(kept string) any {
	switch k.Form {
	case List:
		return strings.Split(kept, "\n")
	case Pairs:
		pairs, _ := pairsOf(kept)
		return pairs
	case Flag:
		return kept == "true"
	case Whole:
		return json.Number(kept)
	case Amount:
		amount, currency, _ := strings.Cut(kept, " ")
		return map[string]string{"amount": amount, "currency": currency}
	}
	if k.plain != nil {
		return k.plain(kept)
	}
	return kept
}
