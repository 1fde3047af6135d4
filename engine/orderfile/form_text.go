package orderfile

import (
	"bytes"
	"encoding/json"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// sheet is the text of an order file with its syntax tree, to find the place of each value.
type sheet struct {
	text  string
	lines []int            // where each line starts
	root  *ast.MappingNode // nil for an empty file
	form  Form
	json  bool // everything is quoted
}

// open reads a file for its form; false where a form can't show it.
func open(src []byte) (*sheet, bool) {
	text := strings.TrimPrefix(string(src), "\ufeff")
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	s := &sheet{text: text, lines: []int{0}, form: Form{Text: map[string]string{}, Lists: map[string][]Form{}}}
	root, _, broken := document([]byte(text))
	if broken != nil {
		return s, broken.Key == sentence("syntax", "empty")
	}
	for i := range len(text) {
		if text[i] == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
	form, ok := readForm(root, orderShape, 0)
	if !ok {
		return nil, false
	}
	s.form = form
	s.root = root.(*ast.MappingNode)
	s.json = s.root.IsFlowStyle
	if len(s.root.Values) == 0 {
		return nil, false // {}: nobody writes that and then a form
	}
	return s, true
}

// at returns the offset at which a token starts. The parser may count blanks before it as its own.
func (s *sheet) at(t *token.Token) int {
	p := positionOf(t)
	if p.line > len(s.lines) {
		return len(s.text)
	}
	at := s.lines[p.line-1]
	for range p.column - 1 {
		_, size := utf8.DecodeRuneInString(s.text[at:])
		at += size
	}
	for at < len(s.text) && (s.text[at] == ' ' || s.text[at] == '\t') {
		at++
	}
	return min(at, len(s.text))
}

func (s *sheet) lineStart(at int) int { return strings.LastIndexByte(s.text[:at], '\n') + 1 }

// lineAfter returns where the line after the one at an offset starts.
func (s *sheet) lineAfter(at int) int {
	if i := strings.IndexByte(s.text[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(s.text)
}

func (s *sheet) restOfLine(at int) string {
	return strings.TrimSuffix(s.text[at:s.lineAfter(at)], "\n")
}

func (s *sheet) firstOnLine(at int) bool { return strings.TrimSpace(s.text[s.lineStart(at):at]) == "" }

// indentAt returns how far in a token stands, in bytes: before it is nothing but blanks and dashes.
func (s *sheet) indentAt(t *token.Token) int {
	at := s.at(t)
	return at - s.lineStart(at)
}

// column returns how far in the keys of a block mapping stand.
func (s *sheet) column(m *ast.MappingNode) int {
	if m.IsFlowStyle || len(m.Values) == 0 {
		return 0
	}
	return s.indentAt(m.Values[0].Key.GetToken())
}

// valueRange returns where the value of a key stands; an empty one, behind the colon.
func (s *sheet) valueRange(m *ast.MappingNode, e *ast.MappingValueNode) (from, to int) {
	behind := s.at(e.Start) + 1
	if empty(e.Value) {
		at := behind + len(s.text[behind:]) - len(strings.TrimLeft(s.text[behind:], " \t"))
		word := strings.TrimRight(strings.SplitN(s.restOfLine(at), " #", 2)[0], " \t,]}")
		if word != "~" && !strings.EqualFold(word, "null") {
			return behind, behind
		}
		return at, at + len(word)
	}
	return s.at(firstToken(e.Value)), s.end(e.Value, s.column(m), m.IsFlowStyle)
}

// end returns where a value ends, the value of a key that stands indent in.
func (s *sheet) end(n ast.Node, indent int, flow bool) int {
	switch n := n.(type) {
	case *ast.MappingNode:
		if n.IsFlowStyle {
			return s.at(n.End) + 1
		}
		last := n.Values[len(n.Values)-1]
		_, end := s.valueRange(n, last)
		return end
	case *ast.SequenceNode:
		if n.IsFlowStyle {
			return s.at(n.End) + 1
		}
		last := len(n.Values) - 1
		return s.end(n.Values[last], s.indentAt(n.Entries[last].Start), false)
	}
	return s.scalarEnd(s.at(n.GetToken()), indent, flow)
}

// scalarEnd returns where a scalar that starts at an offset ends (YAML 1.2, 7.3 and 8.1).
func (s *sheet) scalarEnd(at, indent int, flow bool) int {
	if at >= len(s.text) {
		return len(s.text)
	}
	switch s.text[at] {
	case '"':
		for i := at + 1; i < len(s.text); i++ {
			if s.text[i] == '\\' {
				i++
			} else if s.text[i] == '"' {
				return i + 1
			}
		}
	case '\'':
		for i := at + 1; i < len(s.text); i++ {
			if s.text[i] == '\'' {
				if i+1 < len(s.text) && s.text[i+1] == '\'' {
					i++
					continue
				}
				return i + 1
			}
		}
	case '|', '>':
		return s.blockEnd(at, indent)
	}
	return s.plainEnd(at, indent, flow)
}

// blockEnd returns the end of a literal or folded scalar: of its last line that has text.
func (s *sheet) blockEnd(at, indent int) int {
	end := at + len(strings.TrimRight(s.restOfLine(at), " \t"))
	for line := s.lineAfter(at); line < len(s.text); line = s.lineAfter(line) {
		text := s.restOfLine(line)
		inner := strings.TrimLeft(text, " ")
		if inner == "" {
			continue
		}
		if len(text)-len(inner) <= indent {
			break
		}
		end = line + len(text)
	}
	return end
}

// plainEnd returns the end of a scalar without quotes, over lines that are further in than its key.
func (s *sheet) plainEnd(at, indent int, flow bool) int {
	end := at
	for line := at; line < len(s.text); line = s.lineAfter(line) {
		text := s.restOfLine(line)
		inner := strings.TrimLeft(text, " \t")
		if line != at && (inner == "" || inner[0] == '#' || !flow && len(text)-len(inner) <= indent) {
			break
		}
		stop := len(text)
		if i := strings.Index(text, " #"); i >= 0 {
			stop = i
		}
		if i := strings.IndexAny(text[:stop], ",]}"); flow && i >= 0 {
			stop = i
		}
		end = line + len(strings.TrimRight(text[:stop], " \t"))
		if stop < len(text) {
			break
		}
	}
	return end
}

// key writes a key of a mapping in braces.
func (s *sheet) key(key string) string {
	if s.json {
		return quoted(key)
	}
	return key
}

// scalar writes a text as the value of a key that stands indent in; in braces, or with something behind it, on one
// line.
func (s *sheet) scalar(text string, indent int, oneLine bool) string {
	text = tidy(text)
	switch {
	case s.json:
		return quoted(text)
	case plainSafe(text, oneLine):
		return text
	case !oneLine && strings.Contains(text, "\n") && !strings.ContainsFunc(text, func(r rune) bool { return r != '\n' && !unicode.IsPrint(r) }):
		lead := "\n" + strings.Repeat(" ", indent+2)
		var b strings.Builder
		b.WriteString("|")
		for line := range strings.SplitSeq(text, "\n") {
			if line == "" {
				b.WriteString("\n")
				continue
			}
			b.WriteString(lead + line)
		}
		return b.String()
	}
	return quoted(text)
}

// plainSafe reports whether a text may stand without quotes. It says no more often than it must.
func plainSafe(text string, inBraces bool) bool {
	switch {
	case text == "", strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }):
		return false
	case strings.ContainsRune("-?:,[]{}#&*!|>'\"%@`=<~.+", rune(text[0])):
		return false
	case strings.Contains(text, ": "), strings.Contains(text, " #"), strings.HasSuffix(text, ":"):
		return false
	case inBraces && strings.ContainsAny(text, ",[]{}:"):
		return false
	case strings.EqualFold(text, "null"):
		return false
	}
	return true
}

// quoted writes a text in double quotes, whose escapes YAML and JSON share.
func quoted(text string) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	_ = e.Encode(text) // of a string into memory: never fails
	return strings.TrimSuffix(b.String(), "\n")
}
