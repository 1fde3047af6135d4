package orderfile_test

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// entry is one key of a mapping in an order file, or (with no key) one element of a list.
type entry struct {
	key  string
	text string  // of a scalar
	keys []entry // of a mapping
	list []entry // of a list
}

func (e entry) isScalar() bool { return e.keys == nil && e.list == nil }

// writer writes entries as YAML in one of the many ways that it may be written, and notes where each value starts.
type writer struct {
	t    *rapid.T
	b    strings.Builder
	json bool              // with quotes, brackets and nothing else
	at   map[string][2]int // line and column of the value at a path
}

func (w *writer) chance(label string) bool { return rapid.Float64().Draw(w.t, label) < 0.2 }

// place returns the line and column, in runes from 1, of what is written next.
func (w *writer) place() [2]int {
	text := w.b.String()
	return [2]int{strings.Count(text, "\n") + 1, utf8.RuneCountInString(text[strings.LastIndex(text, "\n")+1:]) + 1}
}

func (w *writer) file(e entry) string {
	if w.json {
		w.flow("", e)
	} else {
		if w.chance("head") {
			w.b.WriteString("# é head\n\n---\n")
		}
		w.block("", e.keys, 0)
	}
	text := w.b.String()
	if !w.json && w.chance("crlf") {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	if w.chance("bom") {
		text = "\ufeff" + text
	}
	return text
}

// block writes a mapping, a line for each key.
func (w *writer) block(path string, keys []entry, indent int) {
	w.at[path] = w.place()
	for i, e := range keys {
		if i > 0 {
			w.b.WriteString(strings.Repeat(" ", indent))
		}
		w.b.WriteString(w.keyText(e.key) + ":")
		sub := under(path, e.key)
		switch {
		case e.isScalar() || w.chance("flow") || len(e.keys)+len(e.list) == 0:
			w.b.WriteString(strings.Repeat(" ", 1+rapid.IntRange(0, 2).Draw(w.t, "blanks")))
			w.flow(sub, e)
			if w.chance("comment") {
				w.b.WriteString("  # ½ é")
			}
			w.b.WriteString("\n")
		case e.list != nil:
			w.b.WriteString("\n")
			w.blockList(sub, e.list, indent+2*rapid.IntRange(0, 1).Draw(w.t, "dash indent"))
		default:
			w.b.WriteString("\n" + strings.Repeat(" ", indent+2))
			w.block(sub, e.keys, indent+2)
		}
	}
}

func (w *writer) blockList(path string, list []entry, indent int) {
	for i, e := range list {
		w.b.WriteString(strings.Repeat(" ", indent))
		if i == 0 {
			w.at[path] = w.place()
		}
		w.b.WriteString("- ")
		sub := fmt.Sprintf("%s[%d]", path, i)
		if e.isScalar() || w.chance("flow") {
			w.flow(sub, e)
			w.b.WriteString("\n")
		} else {
			w.block(sub, e.keys, indent+2)
		}
		if w.chance("blank line") {
			w.b.WriteString("\n")
		}
	}
}

// flow writes a scalar, or a mapping or list in brackets.
func (w *writer) flow(path string, e entry) {
	w.at[path] = w.place()
	switch {
	case e.isScalar():
		w.b.WriteString(w.scalar(e.text))
	case e.list != nil:
		w.b.WriteString("[")
		for i, item := range e.list {
			w.comma(i)
			w.flow(fmt.Sprintf("%s[%d]", path, i), item)
		}
		w.b.WriteString("]")
	default:
		w.b.WriteString("{")
		for i, f := range e.keys {
			w.comma(i)
			w.b.WriteString(w.keyText(f.key) + ": ")
			w.flow(under(path, f.key), f)
		}
		w.b.WriteString("}")
	}
}

func (w *writer) comma(i int) {
	if i > 0 {
		w.b.WriteString(", ")
	}
}

func (w *writer) keyText(key string) string {
	if w.json || w.chance("quoted key") {
		return strconv.Quote(key)
	}
	return key
}

// scalar writes a text plain where YAML lets it, and in quotes now and then.
func (w *writer) scalar(text string) string {
	style := rapid.SampledFrom([]string{"plain", "plain", "single", "double"}).Draw(w.t, "style")
	plain := text != "" && text == strings.TrimSpace(text) && !strings.ContainsAny(text, ",[]{}#:&*!|>%@`\"'\n\\") && !strings.HasPrefix(text, "-")
	switch {
	case w.json && (text == "true" || text == "false"):
		return text
	case w.json:
		return strconv.Quote(text)
	case plain && style == "plain":
		return text
	case style == "single" && !strings.Contains(text, "\n"):
		return "'" + strings.ReplaceAll(text, "'", "''") + "'"
	}
	return strconv.Quote(text)
}

func under(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
