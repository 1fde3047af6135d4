package orderfile

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"tablehand/engine"
	"tablehand/engine/measure"
)

// reader walks the syntax tree of one file and keeps what is wrong with it.
type reader struct {
	text      lines
	units     measure.Unit                   // of bare numbers; "" until known, and where the file doesn't say
	onBooks   bool                           // accepted before, under the bounds of its day
	practice  func(measure.Unit) Conventions // what the file's own conventions go before
	positions map[string]position
	problems  []engine.Problem
}

// sentence is the catalogue's key of a problem; kind tells the sentences of one code apart.
func sentence(code, kind string) string {
	if kind == "" {
		return "problem." + code
	}
	return "problem." + code + "." + kind
}

func (r *reader) report(code, kind, where string, at position, args map[string]any) {
	if len(r.problems) == mostProblems {
		return
	}
	r.problems = append(r.problems, engine.Problem{
		Severity: engine.Error, Code: code, Key: sentence(code, kind), Args: args, Where: where, Line: at.line, Column: at.column,
	})
}

// told reports whether something is wrong with the value at a path.
func (r *reader) told(path string) bool {
	return slices.ContainsFunc(r.problems, func(p engine.Problem) bool { return p.Where == path })
}

// value is a scalar, mapping or list with its path and place. A nil *value is one that the file leaves out; its
// readers return zero and false.
type value struct {
	r    *reader
	key  string // its own name, for sentences
	path string
	node ast.Node
	at   position
}

// wrong reports the value; args are by turns a name and its value, beside Key and Text, which each sentence gets.
func (v *value) wrong(code, kind string, args ...any) {
	a := map[string]any{"Key": v.key, "Text": v.quoted()}
	for i := 0; i+1 < len(args); i += 2 {
		a[args[i].(string)] = args[i+1]
	}
	v.r.report(code, kind, v.path, v.at, a)
}

// quoted is the text of a scalar as far as a sentence should quote it.
func (v *value) quoted() string {
	text, _ := scalar(v.node)
	const most = 60
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}

// mapping is a value's keys; it remembers which were asked for, so that close can tell of the others.
type mapping struct {
	*value
	fields map[string]*value
	order  []*value
	asked  []string
}

// mapping returns the keys of the value, nil where it isn't a mapping.
func (v *value) mapping() *mapping {
	if v == nil {
		return nil
	}
	node, ok := v.node.(*ast.MappingNode)
	if !ok {
		v.wrong("bad_value", "mapping")
		return nil
	}
	m := &mapping{value: v, fields: make(map[string]*value, len(node.Values))}
	for _, entry := range node.Values {
		m.add(entry)
	}
	return m
}

func (m *mapping) add(entry *ast.MappingValueNode) {
	r := m.r
	key := r.key(entry.Key)
	f := &value{r: r, key: key, path: join(m.path, key), node: entry.Value, at: r.text.at(firstToken(entry.Value))}
	if empty(entry.Value) && !r.written(f.at) {
		f.at = r.text.at(entry.Key.GetToken())
	}
	switch {
	case entry.Key.IsMergeKey() || foreign(entry.Key):
		f.wrong("not_supported", "yaml")
		return
	case m.fields[key] != nil:
		f.wrong("duplicate", "key", "Line", m.fields[key].at.line)
		return
	case foreign(entry.Value):
		f.wrong("not_supported", "yaml")
		f.node = nil // the key is there, but can't be read
	}
	m.fields[key] = f
	m.order = append(m.order, f)
	r.positions[f.path] = f.at
}

// key returns the text of a mapping's key.
func (r *reader) key(n ast.MapKeyNode) string {
	var node ast.Node = n
	if explicit, ok := n.(*ast.MappingKeyNode); ok {
		node = explicit.Value
	}
	if text, ok := scalar(node); ok || node == nil {
		return text
	}
	return node.GetToken().Value
}

// written reports whether something stands at a place: an empty value may be written (~) or not.
func (r *reader) written(at position) bool {
	if at.line > len(r.text) {
		return false
	}
	line := r.text[at.line-1]
	return at.column <= len(line) && (line[at.column-1] == '~' || line[at.column-1] == 'n' || line[at.column-1] == 'N')
}

// maybe returns the value of an optional key, nil where it is left out.
func (m *mapping) maybe(key string) *value {
	m.asked = append(m.asked, key)
	f := m.fields[key]
	if f == nil || f.node == nil || empty(f.node) {
		return nil
	}
	return f
}

// need returns the value of a key that must be there.
func (m *mapping) need(key string) *value {
	v := m.maybe(key)
	if v == nil && !m.unreadable(key) {
		m.missing(key, "")
	}
	return v
}

// unreadable reports whether the key is there with a value that has been refused already.
func (m *mapping) unreadable(key string) bool {
	return m.fields[key] != nil && m.fields[key].node == nil
}

// missing reports that the mapping lacks a key, or where the key is there with nothing behind it, that.
func (m *mapping) missing(key, kind string, args ...any) {
	m.amiss(key, "missing_key", kind, args...)
}

// amiss reports what is wrong with a key that may be left out, where the mapping stands then.
func (m *mapping) amiss(key, code, kind string, args ...any) {
	a := map[string]any{"Key": key}
	for i := 0; i+1 < len(args); i += 2 {
		a[args[i].(string)] = args[i+1]
	}
	at := m.at
	if f := m.fields[key]; f != nil {
		at = f.at
	}
	m.r.report(code, kind, join(m.path, key), at, a)
}

// close tells of the keys that nothing has asked for.
func (m *mapping) close() {
	for _, f := range m.order {
		if slices.Contains(m.asked, f.key) || len(m.r.problems) == mostProblems {
			continue
		}
		if like := nearest(f.key, m.asked); like != "" {
			f.wrong("unknown_key", "like", "Like", like)
		} else {
			f.wrong("unknown_key", "")
		}
	}
}

// closeAmong tells of the keys that nothing has asked for, and names those that there are.
func (m *mapping) closeAmong() {
	for _, f := range m.order {
		if !slices.Contains(m.asked, f.key) {
			f.wrong("unknown_key", "among", "Like", nearest(f.key, m.asked), "Known", few(m.asked))
		}
	}
}

// items returns the elements of a list; none of a nil value, nor of a list of more than most.
func (v *value) items(most int) []*value {
	if v == nil {
		return nil
	}
	list, ok := v.node.(*ast.SequenceNode)
	switch {
	case !ok:
		v.wrong("bad_value", "list")
		return nil
	case len(list.Values) > most:
		v.wrong("absurd", "list", "Most", most)
		return nil
	}
	items := make([]*value, 0, len(list.Values))
	for i, n := range list.Values {
		item := &value{r: v.r, key: v.key, path: fmt.Sprintf("%s[%d]", v.path, i), node: n, at: v.r.text.at(firstToken(n))}
		v.r.positions[item.path] = item.at
		if foreign(n) {
			item.wrong("not_supported", "yaml")
			continue
		}
		items = append(items, item)
	}
	return items
}

// mappings returns the elements of a list that are mappings; the others are reported.
func (v *value) mappings(most int) []*mapping {
	var all []*mapping
	for _, item := range v.items(most) {
		if m := item.mapping(); m != nil {
			all = append(all, m)
		}
	}
	return all
}

// emptyList reports whether the value is a list of nothing.
func (v *value) emptyList() bool {
	if v == nil {
		return false
	}
	list, ok := v.node.(*ast.SequenceNode)
	return ok && len(list.Values) == 0
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// empty reports whether a value is null or not written at all.
func empty(n ast.Node) bool {
	_, null := n.(*ast.NullNode)
	return n == nil || null
}

// foreign reports whether a value is written with the parts of YAML that an order file does without: they let a
// short file stand for an endless one.
func foreign(n ast.Node) bool {
	switch n.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode, *ast.MergeKeyNode:
		return true
	}
	return false
}

// scalar returns a scalar's own text.
func scalar(n ast.Node) (string, bool) {
	switch n := n.(type) {
	case *ast.StringNode:
		return n.Value, true
	case *ast.LiteralNode:
		return n.Value.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode, *ast.NullNode:
		return n.GetToken().Value, true
	}
	return "", false
}

// nearest returns the word that was most likely meant: the one that the fewest slips of a key turn into the text,
// at most one slip for three letters. "" where none is near.
func nearest(text string, words []string) string {
	written := []rune(strings.ToLower(text))
	if len(written) > 40 {
		return ""
	}
	best, least := "", (len(written)+2)/3+1
	for _, w := range words {
		if d := slips(written, []rune(w)); d < least {
			best, least = w, d
		}
	}
	return best
}

// slips counts the letters to add, drop, change or swap with their neighbour: the optimal string alignment
// distance.
func slips(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(a)][len(b)]
}
