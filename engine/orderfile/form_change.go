package orderfile

import (
	"cmp"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// change puts a text in the place of from to to, offsets of the file.
type change struct {
	from, to int
	text     string
}

// apply returns a stretch of the file with changes made, which lie in it and apart from each other.
func (s *sheet) apply(changes []change, from, to int) string {
	slices.SortStableFunc(changes, func(a, b change) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	var b strings.Builder
	for _, c := range changes {
		if c.from > from {
			b.WriteString(s.text[from:c.from])
		}
		b.WriteString(c.text)
		from = max(from, c.to)
	}
	if from < to {
		b.WriteString(s.text[from:to])
	}
	return b.String()
}

// changes returns what turns a mapping of the file into the form.
func (s *sheet) changes(m *ast.MappingNode, form Form, sh *shape) []change {
	if m.IsFlowStyle {
		return []change{{s.at(m.Start), s.at(m.End) + 1, s.flowMapping(m, form, sh)}}
	}
	entries := map[string]int{}
	for i, e := range m.Values {
		key, _ := scalar(e.Key)
		entries[key] = i
	}
	var all []change
	for _, key := range sh.keys {
		i, there := entries[key]
		if there {
			all = append(all, s.changeKey(m, i, form, sh, key)...)
		} else {
			all = append(all, s.addKey(m, entries, form, sh, key)...)
		}
	}
	return all
}

// changeKey returns what turns a key that the mapping has into what the form has there.
func (s *sheet) changeKey(m *ast.MappingNode, i int, form Form, sh *shape, key string) []change {
	switch {
	case sh.lists[key] != nil:
		return s.changeList(m, i, form.Lists[key], sh.lists[key])
	case sh.groups[key] != nil:
		return s.changeGroup(m, i, form.group(key, sh.groups[key]), sh.groups[key])
	case sh.field(key):
		return s.changeText(m, i, form.Text[key])
	}
	return nil
}

func (s *sheet) changeText(m *ast.MappingNode, i int, text string) []change {
	e := m.Values[i]
	text = tidy(text)
	if was, _ := formText(e.Value); was == text {
		return nil
	}
	if text == "" {
		return s.remove(m, i)
	}
	from, to := s.valueRange(m, e)
	lead := ""
	if from == to {
		lead = " "
	}
	flow := m.IsFlowStyle || strings.TrimSpace(s.restOfLine(to)) != "" // nothing may stand behind lines of text
	return []change{{from, to, lead + s.scalar(text, s.column(m), flow)}}
}

func (s *sheet) changeGroup(m *ast.MappingNode, i int, group Form, keys []string) []change {
	sh := &shape{keys: keys}
	e := m.Values[i]
	node, is := e.Value.(*ast.MappingNode)
	bare := group.bare(sh)
	switch {
	case is && bare && len(node.Values) > 0 && onlyOf(node, keys):
		return s.remove(m, i)
	case is && !(bare && len(node.Values) == 0):
		return s.changes(node, group, sh)
	case bare:
		return nil
	}
	from, to := s.valueRange(m, e)
	lead := ""
	if from == to {
		lead = " "
	}
	return []change{{from, to, lead + s.newFlow(group, sh)}}
}

// onlyOf reports whether a mapping has no keys but those.
func onlyOf(m *ast.MappingNode, keys []string) bool {
	return !slices.ContainsFunc(m.Values, func(e *ast.MappingValueNode) bool {
		key, _ := scalar(e.Key)
		return !slices.Contains(keys, key)
	})
}

func (s *sheet) changeList(m *ast.MappingNode, i int, items []Form, sh *shape) []change {
	e := m.Values[i]
	list, is := e.Value.(*ast.SequenceNode)
	switch {
	case len(items) == 0 && (!is || len(list.Values) == 0):
		return nil
	case len(items) == 0:
		return s.remove(m, i)
	case sh.text:
		return s.changeTexts(m, e, items, sh)
	case is && !list.IsFlowStyle:
		return s.changeBlockList(list, items, sh)
	}
	from, to := s.valueRange(m, e)
	if is && len(list.Values) > 0 {
		return []change{{from, to, s.flowList(list, items, sh)}}
	}
	if m.IsFlowStyle {
		return []change{{s.at(e.Start) + 1, to, " " + s.newFlowList(items, sh)}}
	}
	var b strings.Builder
	b.WriteString(strings.TrimRight(s.restOfLine(to), " \t") + "\n")
	for _, item := range items {
		b.WriteString(s.newItem(item, sh, s.column(m)+2))
	}
	return []change{{from, s.lineAfter(to), b.String()}}
}

// changeTexts writes a list of texts on one line, unless it has them already.
func (s *sheet) changeTexts(m *ast.MappingNode, e *ast.MappingValueNode, items []Form, sh *shape) []change {
	was := Form{Lists: map[string][]Form{}}
	was.readList("", e.Value, sh)
	if slices.EqualFunc(was.Lists[""], items, func(a, b Form) bool { return a.Text[sh.keys[0]] == tidy(b.Text[sh.keys[0]]) }) {
		return nil
	}
	_, to := s.valueRange(m, e)
	return []change{{s.at(e.Start) + 1, to, " " + s.newFlowList(items, sh)}}
}

// changeBlockList writes the elements in the form's order. The comments before an element go with it, but for a
// copy's: they are about the first.
func (s *sheet) changeBlockList(list *ast.SequenceNode, items []Form, sh *shape) []change {
	starts, dashes := make([]int, len(list.Values)+1), make([]int, len(list.Values))
	for i, n := range list.Values {
		dashes[i] = s.lineStart(s.at(list.Entries[i].Start))
		if i == 0 {
			starts[0] = s.commentsBefore(dashes[0], s.indentAt(list.Entries[0].Start))
		}
		starts[i+1] = s.lineAfter(s.end(n, s.indentAt(list.Entries[i].Start), false))
	}
	indent := s.indentAt(list.Entries[0].Start)
	used := map[int]bool{}
	var b strings.Builder
	for _, item := range items {
		if b.Len() > 0 && !strings.HasSuffix(b.String(), "\n") {
			b.WriteByte('\n')
		}
		if item.From < 0 || item.From >= len(list.Values) {
			b.WriteString(s.newItem(item, sh, indent))
			continue
		}
		from := starts[item.From]
		if used[item.From] {
			from = dashes[item.From]
		}
		used[item.From] = true
		m := list.Values[item.From].(*ast.MappingNode)
		b.WriteString(s.apply(s.changes(m, item, sh), from, starts[item.From+1]))
	}
	return []change{{starts[0], starts[len(list.Values)], b.String()}}
}

// remove takes a key away: its lines, or where a comment or a dash stands on them, or in braces, its value alone.
func (s *sheet) remove(m *ast.MappingNode, i int) []change {
	e := m.Values[i]
	key, colon := s.at(e.Key.GetToken()), s.at(e.Start)
	_, end := s.valueRange(m, e)
	if !m.IsFlowStyle && s.firstOnLine(key) && strings.TrimSpace(s.restOfLine(end)) == "" {
		return []change{{s.lineStart(key), s.lineAfter(end), ""}}
	}
	return []change{{colon + 1, end, ""}}
}

// addKey writes a key that the mapping lacks behind the one that it follows by its shape.
func (s *sheet) addKey(m *ast.MappingNode, entries map[string]int, form Form, sh *shape, key string) []change {
	before := -1
	for _, k := range sh.keys[:slices.Index(sh.keys, key)] {
		if i, there := entries[k]; there {
			before = i
		}
	}
	text := s.newKey(form, sh, key, s.column(m))
	if text == "" {
		return nil
	}
	if before < 0 {
		if m == s.root {
			at := s.lineStart(s.at(m.Values[0].Key.GetToken()))
			return []change{{at, at, text}}
		}
		before = len(m.Values) - 1
	}
	_, end := s.valueRange(m, m.Values[before])
	at := s.lineAfter(end)
	if at > 0 && s.text[at-1] != '\n' {
		text = "\n" + strings.TrimSuffix(text, "\n")
	}
	return []change{{at, at, text}}
}

// commentsBefore returns where the lines of comment start that stand right above a line, as far in as it.
func (s *sheet) commentsBefore(line, indent int) int {
	for line > 0 {
		above := s.lineStart(line - 1)
		if text := s.text[above:line]; strings.IndexByte(text, '#') != indent || strings.TrimLeft(text[:indent], " ") != "" {
			break
		}
		line = above
	}
	return line
}
