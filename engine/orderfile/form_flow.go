package orderfile

import (
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// slot is a key or an element in braces or brackets, with what stands before it: a comma and blanks, or line ends.
type slot struct {
	lead, text string
	had        bool // the file has it
}

// joined writes slots between the brackets of a node that had some: commas and line ends stay as they are.
func (s *sheet) joined(slots []slot, lead, between string, tail string) string {
	var b strings.Builder
	for i, sl := range slots {
		switch {
		case i == 0:
			b.WriteString(lead)
		case sl.had && strings.Contains(sl.lead, ","):
			b.WriteString(sl.lead)
		default:
			b.WriteString(between)
		}
		b.WriteString(sl.text)
	}
	return b.String() + tail
}

// leads returns what stands before each of some stretches of the file, from the offset behind the opening bracket,
// and what to put between new ones.
func (s *sheet) leads(opened int, stretches [][2]int) (leads []string, between string) {
	between = ", "
	for i, st := range stretches {
		leads = append(leads, s.text[min(opened, st[0]):st[0]])
		opened = st[1]
		if i == 1 && strings.Contains(leads[1], ",") && !strings.Contains(leads[1], "#") {
			between = leads[1]
		}
	}
	return leads, between
}

// flowMapping writes a mapping in braces as the form has it. Keys keep their places; new ones come behind the key
// that they follow by their shape.
func (s *sheet) flowMapping(m *ast.MappingNode, form Form, sh *shape) string {
	if len(m.Values) == 0 {
		return s.newFlow(form, sh)
	}
	var stretches [][2]int
	var keys []string
	for _, e := range m.Values {
		_, end := s.valueRange(m, e)
		stretches = append(stretches, [2]int{s.at(e.Key.GetToken()), end})
		key, _ := scalar(e.Key)
		keys = append(keys, key)
	}
	opened := s.at(m.Start) + 1
	leads, between := s.leads(opened, stretches)
	var slots []slot
	var names []string // of the slots
	for i, key := range keys {
		if s.gone(form, sh, key, m.Values[i].Value) && !emptyList(m.Values[i].Value) {
			continue
		}
		text := s.apply(s.changeKey(m, i, form, sh, key), stretches[i][0], stretches[i][1])
		slots, names = append(slots, slot{leads[i], text, i > 0}), append(names, key)
	}
	for n, key := range sh.keys {
		if slices.Contains(keys, key) {
			continue
		}
		text := s.newFlowKey(form, sh, key)
		if text == "" {
			continue
		}
		at := 0
		for i, name := range names {
			if slices.Contains(sh.keys[:n], name) {
				at = i + 1
			}
		}
		slots, names = slices.Insert(slots, at, slot{text: text}), slices.Insert(names, at, key)
	}
	last := stretches[len(stretches)-1][1]
	return "{" + s.joined(slots, leads[0], between, s.text[last:s.at(m.End)+1])
}

// gone reports whether the form has nothing left of a key that it shows. A group that has other keys in the file stays for those.
func (s *sheet) gone(form Form, sh *shape, key string, in ast.Node) bool {
	switch {
	case sh.lists[key] != nil:
		return len(form.Lists[key]) == 0
	case sh.groups[key] != nil:
		group, is := in.(*ast.MappingNode)
		return form.group(key, sh.groups[key]).bare(&shape{keys: sh.groups[key]}) && (!is || onlyOf(group, sh.groups[key]))
	}
	was, _ := formText(in)
	return sh.field(key) && form.Text[key] == "" && was != "" // what had no text before stays as it is written
}

// emptyList reports whether a list has nothing in it: it stays as it is written.
func emptyList(n ast.Node) bool {
	list, ok := n.(*ast.SequenceNode)
	return ok && len(list.Values) == 0
}

// flowList writes a list in brackets, each element as the file has it but for its changes.
func (s *sheet) flowList(list *ast.SequenceNode, items []Form, sh *shape) string {
	var stretches [][2]int
	for _, n := range list.Values {
		m := n.(*ast.MappingNode)
		stretches = append(stretches, [2]int{s.at(firstToken(m)), s.end(m, 0, true)})
	}
	leads, between := s.leads(s.at(list.Start)+1, stretches)
	var slots []slot
	for _, item := range items {
		if item.From < 0 || item.From >= len(list.Values) {
			slots = append(slots, slot{text: s.newFlow(item, sh)})
			continue
		}
		st := stretches[item.From]
		text := s.apply(s.changes(list.Values[item.From].(*ast.MappingNode), item, sh), st[0], st[1])
		slots = append(slots, slot{leads[item.From], text, item.From > 0})
	}
	last := stretches[len(stretches)-1][1]
	return "[" + s.joined(slots, leads[0], between, s.text[last:s.at(list.End)+1])
}
