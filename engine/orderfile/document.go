package orderfile

import (
	"errors"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"tablehand/engine"
)

// lines are the file's lines without their ends, so that positions can be held against what stands there.
type lines [][]rune

// document returns the root of the file's one document and its lines, or why there is none.
func document(src []byte) (ast.Node, lines, *engine.Problem) {
	text := strings.TrimPrefix(string(src), "\ufeff")
	if p := unreadable(text); p != nil {
		return nil, nil, p
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	if p := overlong(text); p != nil {
		return nil, nil, p
	}
	tokens := lexer.Tokenize(text)
	if p := monstrous(tokens); p != nil {
		return nil, nil, p
	}
	file, err := parse(tokens)
	if err != nil {
		return nil, nil, syntaxError(err)
	}
	root, p := only(file.Docs)
	if p != nil {
		return nil, nil, p
	}
	return root, split(text), nil
}

// unreadable tells of the first byte that is no text: YAML 1.2 (5.1) takes UTF-8 without control characters.
func unreadable(text string) *engine.Problem {
	at := position{1, 1}
	for i, r := range text {
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(text[i:], string(utf8.RuneError)):
			return syntax("encoding", at, nil)
		case r < ' ' && r != '\t' && r != '\n' && r != '\r', r == 0x7f:
			return syntax("control", at, nil)
		case r == '\n':
			at = position{at.line + 1, 1}
		default:
			at.column++
		}
	}
	return nil
}

// parse builds the syntax tree. A fault of the parser itself must not take the program down with the file: it
// counts as a file that can't be read.
func parse(tokens token.Tokens) (file *ast.File, err error) {
	defer func() {
		if recover() != nil {
			err = errors.New("orderfile: the parser gave up")
		}
	}()
	return parser.Parse(tokens, 0, parser.AllowDuplicateMapKey()) // duplicates are told beside everything else
}

// syntaxError turns the parser's error into a problem; its words are the parser's own.
func syntaxError(err error) *engine.Problem {
	var e yaml.Error
	if !errors.As(err, &e) {
		return syntax("parser", position{1, 1}, nil)
	}
	return syntax("", positionOf(e.GetToken()), map[string]any{"Reason": e.GetMessage()})
}

// only returns the root of the one document that a file should have.
func only(docs []*ast.DocumentNode) (ast.Node, *engine.Problem) {
	var root ast.Node
	for _, d := range docs {
		if _, directive := d.Body.(*ast.DirectiveNode); directive || d.Body == nil {
			continue
		}
		if root != nil {
			return nil, syntax("documents", positionOf(firstToken(d.Body)), nil)
		}
		root = d.Body
	}
	if root == nil {
		return nil, syntax("empty", position{1, 1}, nil)
	}
	return root, nil
}

func syntax(kind string, at position, args map[string]any) *engine.Problem {
	return &engine.Problem{Severity: engine.Error, Code: "syntax", Key: sentence("syntax", kind), Args: args, Line: at.line, Column: at.column}
}

func split(text string) lines {
	var l lines
	for _, s := range strings.Split(text, "\n") {
		l = append(l, []rune(s))
	}
	return l
}

// firstToken returns the token at which a value starts: of a block mapping its first key.
func firstToken(n ast.Node) *token.Token {
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		return m.Values[0].Key.GetToken()
	}
	return n.GetToken()
}

func positionOf(t *token.Token) position {
	if t == nil || t.Position == nil {
		return position{1, 1}
	}
	return position{max(t.Position.Line, 1), max(t.Position.Column, 1)}
}

// at returns where a value starts. The parser counts a tab before it for nothing; the line itself knows better.
func (l lines) at(t *token.Token) position {
	p := positionOf(t)
	if p.line > len(l) {
		return p
	}
	line := l[p.line-1]
	start := p
	for p.column <= len(line) && (line[p.column-1] == ' ' || line[p.column-1] == '\t') {
		p.column++
	}
	if p.column > len(line) {
		return start
	}
	return p
}
