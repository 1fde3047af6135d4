package orderfile

import (
	"github.com/goccy/go-yaml/token"

	"tablehand/engine"
)

// What a file may ask of the parser, which calls itself for each level, and whose work grows with the square of a
// mapping's keys and of a file's documents. An order file needs eight levels, thirty keys and one document.
const (
	deepest     = 64 // brackets, dashes and the like open inside one another
	mostKeys    = 500
	mostMarkers = 4 // --- and ...

	// mostMarks bounds the parser's memory, some 400 bytes for each mark of a file: line ends, and signs that may part
	// one value from the next. An order of 10,000 windows of ten keys has 200,000.
	mostMarks = 400_000
)

// overlong tells where a file has more marks than it may.
func overlong(text string) *engine.Problem {
	marks, line, column := 0, 1, 0
	for i := range len(text) {
		column++
		switch text[i] {
		case '\n':
			line, column = line+1, 0
			marks++
		case '[', ']', '{', '}', ',', ':', '-', '?', '&', '*', '!', '#', '|', '>', '"', '\'':
			marks++
		}
		if marks > mostMarks {
			return syntax("long", position{line, max(column, 1)}, map[string]any{"Most": mostMarks})
		}
	}
	return nil
}

// monstrous tells of the first token that makes the file too much to parse.
func monstrous(tokens token.Tokens) *engine.Problem {
	var g guard
	for _, t := range tokens {
		switch kind := g.see(t); kind {
		case "":
		case "documents":
			return syntax(kind, positionOf(t), nil)
		case "nesting":
			return syntax(kind, positionOf(t), map[string]any{"Most": deepest})
		case "keys":
			return syntax(kind, positionOf(t), map[string]any{"Most": mostKeys})
		}
	}
	return nil
}

// guard follows the tokens of a file: how deep they stand, and how many keys each block mapping has.
type guard struct {
	brackets int // open ones
	opening  int // tokens in a row that each open a level
	markers  int
	blocks   []block
	line     int  // of the token before
	start    int  // column at which a key on this line begins: of its first token behind dashes
	dash     bool // the token before is one
}

// block is an open block mapping: the column of its keys and how many it has so far.
type block struct{ column, keys int }

// see takes the next token and returns what it is too much of, "" where all is well.
func (g *guard) see(t *token.Token) string {
	switch t.Type {
	case token.CommentType:
		return ""
	case token.MappingStartType, token.SequenceStartType:
		g.brackets++
		g.opening++
	case token.MappingEndType, token.SequenceEndType:
		g.brackets--
		g.opening = 0
	case token.SequenceEntryType, token.MappingKeyType, token.AnchorType, token.AliasType, token.TagType:
		g.opening++
	case token.DocumentHeaderType, token.DocumentEndType:
		g.markers++
	case token.MappingValueType:
	default:
		g.opening = 0
	}
	most := g.keys(t)
	switch {
	case g.brackets > deepest || g.opening > deepest:
		return "nesting"
	case g.markers > mostMarkers:
		return "documents"
	case most > mostKeys:
		return "keys"
	}
	return ""
}

// keys counts the token where it makes a key of a block mapping, and returns how many that mapping has.
func (g *guard) keys(t *token.Token) int {
	column := t.Position.Column
	if t.Position.Line != g.line || g.dash {
		g.start = column
	}
	g.line, g.dash = t.Position.Line, t.Type == token.SequenceEntryType
	if g.brackets > 0 {
		return 0
	}
	explicit, implicit := t.Type == token.MappingKeyType, t.Type == token.MappingValueType
	if implicit {
		column = g.start
	}
	for len(g.blocks) > 0 && g.blocks[len(g.blocks)-1].column > column {
		g.blocks = g.blocks[:len(g.blocks)-1]
	}
	if !explicit && !implicit {
		return 0
	}
	if len(g.blocks) == 0 || g.blocks[len(g.blocks)-1].column < column {
		g.blocks = append(g.blocks, block{column: column})
	}
	b := &g.blocks[len(g.blocks)-1]
	b.keys++
	return b.keys
}
