package books

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"tablehand/engine"
	"tablehand/stations"
)

// Draft is an entry as it is typed or sent, before anybody has looked at it: texts by key.
type Draft struct {
	ID      string // "" none said
	Version int    // of the entry that it was made from; 0 not said
	Texts   map[string]string
}

// ReadDraft reads a document as Document writes it, strictly; what it also has that is no field is the program's to know. Key is
// as of other commands. Everything wrong is told at once.
func (d *Data) ReadDraft(body []byte) (draft Draft, key string, problems []engine.Problem) {
	var doc map[string]any
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.UseNumber()
	if err := decoder.Decode(&doc); err != nil || doc == nil {
		return draft, "", []engine.Problem{problemOf("body", "", wrong("bad_value", "mapping"))}
	}
	if _, err := decoder.Token(); err != io.EOF {
		return draft, "", []engine.Problem{problemOf("body", "", wrong("bad_value", "mapping"))}
	}
	draft.Texts = map[string]string{}
	d.flatten("", doc, func(at string, value any) {
		text, ok := textOf(value)
		switch {
		case !ok:
			problems = append(problems, problemOf(at, "", wrong("bad_value", "scalar")))
		case at == d.IDKey:
			draft.ID = text
		case at == "version":
			draft.Version, _ = strconv.Atoi(text)
		case at == "key":
			key = text
		case at == "set_aside", slices.Contains(d.Counted, at): // as it was read
		case d.Field(at) == nil:
			problems = append(problems, problemOf(at, "", &fault{code: "unknown_key"}))
		default:
			draft.Texts[at] = text
		}
	})
	return draft, key, problems
}

// flatten tells the values of a document by their keys, dots for what lies within.
func (d *Data) flatten(above string, doc map[string]any, tell func(at string, value any)) {
	for _, name := range slices.Sorted(maps.Keys(doc)) {
		at := above + name
		inner, isObject := doc[name].(map[string]any)
		f := d.Field(at)
		if isObject && f == nil && slices.ContainsFunc(d.Fields, func(f Field) bool { return strings.HasPrefix(f.Key, at+".") }) {
			d.flatten(at+".", inner, tell)
			continue
		}
		tell(at, doc[name])
	}
}

// textOf writes a value of a document as it would be typed.
func textOf(value any) (text string, ok bool) {
	switch v := value.(type) {
	case nil:
		return "", true
	case string:
		return v, true
	case bool:
		return strconv.FormatBool(v), true
	case json.Number:
		return v.String(), true
	case []any:
		var all []string
		for _, one := range v {
			text, ok := one.(string)
			if !ok {
				return "", false
			}
			all = append(all, strings.ReplaceAll(text, "\n", " "))
		}
		return strings.Join(all, "\n"), true
	case map[string]any:
		if amount, ok := v["amount"].(string); ok && len(v) == 2 {
			currency, ok := v["currency"].(string)
			return amount + " " + currency, ok
		}
		pairs := map[string]string{}
		for name, one := range v {
			text, ok := textOf(one)
			if !ok || strings.ContainsAny(name+text, "\n") {
				return "", false
			}
			pairs[name] = text
		}
		return pairsText(pairs), true
	}
	return "", false
}

// read reads what was typed, and tells everything that is wrong with it. Whoever may not see a field can't say it; it stays as
// it was.
func (d *Data) read(draft Draft, was Fields, role stations.Role, in Units) (Fields, []engine.Problem) {
	fields, problems := Fields{}, []engine.Problem{}
	for i := range d.Fields {
		f := &d.Fields[i]
		text := strings.TrimSpace(draft.Texts[f.Key])
		switch {
		case !f.SeenBy(role):
			if text != "" {
				problems = append(problems, problemOf(f.Key, text, wrong("bad_value", "not_yours")))
			}
			text = was[f.Key]
		case text == "" && f.Required:
			problems = append(problems, problemOf(f.Key, "", &fault{code: "missing_key"}))
		}
		if text == "" {
			continue
		}
		kept, wrong := f.Kind.read(text, in)
		switch {
		case wrong != nil:
			problems = append(problems, problemIn(f.Key, text, wrong, in))
		case f.Kind.plain != nil && was[f.Key] != "" && f.Kind.plain(kept) == f.Kind.plain(was[f.Key]):
			fields[f.Key] = was[f.Key] // the same, written as programs read it
		case kept != "":
			fields[f.Key] = kept
		}
	}
	d.tidyNames(fields)
	if len(problems) == 0 {
		misfits := d.ofKind(fields)
		if d.together != nil {
			misfits = append(misfits, d.together(fields)...)
		}
		for _, m := range misfits {
			problems = append(problems, problemIn(m.key, fields[m.key], m.fault, in))
		}
	}
	return fields, problems
}

func problemIn(key, text string, f *fault, in Units) engine.Problem {
	p := problemOf(key, text, f)
	p.Units = in.Length
	return p
}

// problemOf tells what is wrong with the field of a key.
func problemOf(key, text string, f *fault) engine.Problem {
	const quoted = 60 // letters
	if utf8.RuneCountInString(text) > quoted {
		text = string([]rune(text)[:quoted]) + "…"
	}
	p := engine.Problem{Severity: engine.Error, Code: f.code, Where: key, Args: map[string]any{"Key": key, "Text": text}}
	maps.Copy(p.Args, f.args)
	if f.sentence != "" {
		p.Key = fmt.Sprintf("problem.%s.%s", f.code, f.sentence)
	}
	return p
}
