package orderfile

import (
	"maps"
	"slices"
	"strings"
)

// WithForm returns the file with the form's texts in it. Only what differs is written: comments, the order of keys,
// the way values are written and the keys that the form doesn't show stay. ok is false for a file that FormOf can't
// read, and for one written so unusually that a change can't be made in place; it is to be changed by hand.
//
// A list holds the form's elements in the form's order: one with From has what that element of the file has, its
// keys outside the form included, one given twice is a copy, and one left out is removed with its comments.
func WithForm(src []byte, form Form) (file []byte, ok bool) {
	s, ok := open(src)
	if !ok {
		return nil, false
	}
	text := s.withForm(form)
	written, ok := open([]byte(text))
	if !ok || !same(s.form, form, written.form, orderShape) {
		return nil, false
	}
	return []byte(text), true
}

func (s *sheet) withForm(form Form) string {
	if s.root == nil {
		text := s.text
		if text != "" && !strings.HasSuffix(text, "\n") {
			text += "\n"
		}
		return text + s.newKeys(form, orderShape, 0)
	}
	return s.apply(s.changes(s.root, form, orderShape), 0, len(s.text))
}

// same reports whether what was written is the form, with everything beside it as it was in the file.
func same(was, form, written Form, sh *shape) bool {
	for _, name := range sh.fields() {
		if tidy(form.Text[name]) != written.Text[name] {
			return false
		}
	}
	if !slices.Equal(was.Rest, written.Rest) {
		return false
	}
	for key, items := range sh.lists {
		if len(form.Lists[key]) != len(written.Lists[key]) {
			return false
		}
		for i, item := range form.Lists[key] {
			var before Form
			if item.From >= 0 && item.From < len(was.Lists[key]) {
				before = was.Lists[key][item.From]
			}
			if !same(before, item, written.Lists[key][i], items) {
				return false
			}
		}
	}
	return true
}

// bare reports whether a form has nothing in it that would be written.
func (f Form) bare(sh *shape) bool {
	for _, name := range sh.fields() {
		if f.Text[name] != "" {
			return false
		}
	}
	return !slices.ContainsFunc(slices.Collect(maps.Values(f.Lists)), func(items []Form) bool { return len(items) > 0 })
}

// newKeys writes the form as a new block mapping, a line or more for each key.
func (s *sheet) newKeys(form Form, sh *shape, indent int) string {
	var b strings.Builder
	for _, key := range sh.keys {
		b.WriteString(s.newKey(form, sh, key, indent))
	}
	return b.String()
}

// newKey writes a key that the file doesn't have yet, with its line end, in a block mapping; "" for nothing.
func (s *sheet) newKey(form Form, sh *shape, key string, indent int) string {
	lead := strings.Repeat(" ", indent) + key + ":"
	switch {
	case sh.lists[key] != nil:
		switch {
		case len(form.Lists[key]) == 0:
			return ""
		case sh.lists[key].text:
			return lead + " " + s.newFlowList(form.Lists[key], sh.lists[key]) + "\n"
		}
		var b strings.Builder
		b.WriteString(lead + "\n")
		for _, item := range form.Lists[key] {
			b.WriteString(s.newItem(item, sh.lists[key], indent+2))
		}
		return b.String()
	case sh.groups[key] != nil:
		if group := s.newGroup(form, key, sh.groups[key]); group != "" {
			return lead + " " + group + "\n"
		}
	case sh.field(key) && form.Text[key] != "":
		return lead + " " + s.scalar(form.Text[key], indent, false) + "\n"
	}
	return ""
}

// newItem writes a new element of a block list.
func (s *sheet) newItem(form Form, sh *shape, indent int) string {
	lead := strings.Repeat(" ", indent) + "- "
	if sh.flow || form.bare(sh) {
		return lead + s.newFlow(form, sh) + "\n"
	}
	return lead + strings.TrimLeft(s.newKeys(form, sh, indent+2), " ")
}

// newFlow writes a form on one line, in braces where it is a mapping.
func (s *sheet) newFlow(form Form, sh *shape) string {
	if sh.text {
		return s.scalar(form.Text[sh.keys[0]], 0, true)
	}
	var parts []string
	for _, key := range sh.keys {
		if part := s.newFlowKey(form, sh, key); part != "" {
			parts = append(parts, part)
		}
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// newFlowList writes a list on one line, in brackets.
func (s *sheet) newFlowList(items []Form, sh *shape) string {
	var texts []string
	for _, item := range items {
		texts = append(texts, s.newFlow(item, sh))
	}
	return "[" + strings.Join(texts, ", ") + "]"
}

func (s *sheet) newFlowKey(form Form, sh *shape, key string) string {
	switch {
	case sh.lists[key] != nil && len(form.Lists[key]) > 0:
		return s.key(key) + ": " + s.newFlowList(form.Lists[key], sh.lists[key])
	case sh.groups[key] != nil:
		if group := s.newGroup(form, key, sh.groups[key]); group != "" {
			return s.key(key) + ": " + group
		}
	case sh.field(key) && form.Text[key] != "":
		return s.key(key) + ": " + s.scalar(form.Text[key], 0, true)
	}
	return ""
}

// newGroup writes the texts of a group in braces, "" where it has none.
func (s *sheet) newGroup(form Form, key string, keys []string) string {
	group := form.group(key, keys)
	if group.bare(&shape{keys: keys}) {
		return ""
	}
	return s.newFlow(group, &shape{keys: keys})
}

// group returns the texts of a group under their own keys.
func (f Form) group(key string, keys []string) Form {
	g := Form{From: NotInFile, Text: map[string]string{}}
	for _, sub := range keys {
		g.Text[sub] = f.Text[key+"."+sub]
	}
	return g
}
