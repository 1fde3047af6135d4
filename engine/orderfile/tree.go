package orderfile

import (
	"github.com/goccy/go-yaml/ast"

	"tablehand/engine"
)

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
