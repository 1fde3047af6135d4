package orderfile

import (
	"cmp"
	"slices"

	"github.com/goccy/go-yaml/ast"

	"tablehand/engine"
	"tablehand/engine/measure"
)

// mostProblems bounds what one file is told: mending a thousand places comes before the next thousand.
const mostProblems = 1000

// Parse reads an order file: one YAML document (so JSON too), whose root is a mapping. The order has every default
// filled in, and the values as the file says them. Problems tell everything that is wrong at once, in the order of
// the file, each with line and column; a file that isn't readable YAML is told of that alone (code "syntax"). The
// order is nil when any problem is an error.
//
// Scalars count by their own text, whatever type YAML would give them: 010 is ten, room 014 keeps its nought. A key
// with no value, or with null, counts as left out. Anchors, aliases, merge keys and tags are refused.
//
// The conventions are those of a shop that has set none, unless the file says others.
func Parse(src []byte) (*Order, []engine.Problem) { return ParseUnder(src, DefaultConventions) }

// ParseUnder is Parse for an order under other conventions than the shipped ones: the file's own go before them.
func ParseUnder(src []byte, practice func(measure.Unit) Conventions) (*Order, []engine.Problem) {
	return parseFile(src, &reader{practice: practice})
}

// Reread is ParseUnder for the file of an order that is on the books: a length that a later release finds absurd is read
// all the same, since the order is being made to it.
func Reread(src []byte, practice func(measure.Unit) Conventions) (*Order, []engine.Problem) {
	return parseFile(src, &reader{practice: practice, onBooks: true})
}

func parseFile(src []byte, r *reader) (*Order, []engine.Problem) {
	root, text, broken := document(src)
	if broken != nil {
		return nil, []engine.Problem{*broken}
	}
	r.text, r.positions = text, map[string]position{}
	order := r.order(root)
	slices.SortStableFunc(r.problems, func(a, b engine.Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	for i := range r.problems {
		r.problems[i].Units = order.Units
	}
	if engine.AnyError(r.problems) {
		return nil, r.problems
	}
	order.positions = r.positions
	return order, r.problems
}

// Tree parses a file that is no order, such as a price list, with the care that an order file gets: the root of its
// one document, and where a value of it starts; or why there is none.
func Tree(src []byte) (root ast.Node, at func(ast.Node) (line, column int), problem *engine.Problem) {
	root, text, problem := document(src)
	if problem != nil {
		return nil, nil, problem
	}
	return root, func(n ast.Node) (line, column int) {
		p := text.at(firstToken(n))
		return p.line, p.column
	}, nil
}
