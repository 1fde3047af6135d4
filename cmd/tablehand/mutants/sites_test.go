// Package mutants breaks the program on purpose, one small change at a time, and asks the tests of the package that it
// broke whether they notice. A break that they don't notice is a hole in them, or changes nothing that anybody could see.
package mutants

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// mutant is one break of one file.
type mutant struct {
	File   string // as it was given
	Line   int
	What   string // what is broken: "< for <=", "a call left out"
	Before string // the code at that place
	Again  int    // how many times the file has the same before it

	at, end int    // what is broken, as offsets in the file
	instead string // what stands there then
	in      *body  // nil: outside any function
}

// body is the body of a function that is in no other.
type body struct {
	from, to int    // the offsets of its braces
	results  string // as they are written, "" for none
}

// broken is a part of a file, by offsets, with the break in it.
func (m mutant) broken(source []byte, from, to int) []byte {
	return slices.Concat(source[from:m.at], []byte(m.instead), source[m.end:to])
}

// name tells mutants apart and stays the same while the code around stays: a survivor is known by it.
func (m mutant) name() string {
	name := fmt.Sprintf("%s: %s: %s", filepath.ToSlash(m.File), m.What, m.Before)
	if m.Again > 0 {
		name += fmt.Sprintf(" (%d more before it)", m.Again)
	}
	return name
}

// mutantsOf returns every mutant of a file, in the order of the file. The error is of reading it.
func mutantsOf(path string) ([]mutant, error) {
	source, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, path, source, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	b := breaker{path: path, source: source, fset: fset}
	ast.Inspect(file, b.look)
	bodies := b.bodies(file)
	for i, m := range b.mutants {
		if at := slices.IndexFunc(bodies, func(f *body) bool { return f.from < m.at && m.end <= f.to }); at >= 0 {
			b.mutants[i].in = bodies[at]
		}
	}
	return b.mutants, nil
}

// breaker walks through a file and notes each way to break it.
type breaker struct {
	path    string
	source  []byte
	fset    *token.FileSet
	mutants []mutant
}

// bodies are the outermost functions' of a file.
func (b *breaker) bodies(file *ast.File) (all []*body) {
	ast.Inspect(file, func(n ast.Node) bool {
		var of *ast.FuncType
		var block *ast.BlockStmt
		switch n := n.(type) {
		case *ast.FuncDecl:
			of, block = n.Type, n.Body
		case *ast.FuncLit:
			of, block = n.Type, n.Body
		}
		if block == nil {
			return true
		}
		one := &body{from: b.fset.Position(block.Lbrace).Offset, to: b.fset.Position(block.Rbrace).Offset}
		if of.Results != nil {
			one.results = b.text(of.Results.Pos(), of.Results.End())
		}
		all = append(all, one)
		return false
	})
	return all
}

// otherOperators are what an operator is mistaken for: a boundary moved, an operand's sign turned, a condition loosened.
var otherOperators = map[token.Token][]token.Token{
	token.LSS: {token.LEQ}, token.LEQ: {token.LSS}, token.GTR: {token.GEQ}, token.GEQ: {token.GTR},
	token.EQL: {token.NEQ}, token.NEQ: {token.EQL},
	token.ADD: {token.SUB}, token.SUB: {token.ADD}, token.MUL: {token.QUO}, token.QUO: {token.MUL},
	token.LAND: {token.LOR}, token.LOR: {token.LAND},
}

func (b *breaker) look(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.GenDecl:
		return n.Tok == token.VAR // constants, types and imports would mostly not compile
	case *ast.BinaryExpr:
		b.binary(n)
	case *ast.IfStmt:
		b.condition(n.Cond)
	case *ast.ExprStmt:
		if call, ok := n.X.(*ast.CallExpr); ok {
			b.note(n.Pos(), n.End(), "a call left out", b.discard(call))
		}
	case *ast.IncDecStmt:
		if n.Tok == token.INC {
			b.note(n.TokPos, n.TokPos+2, "-- for ++", "--")
		} else {
			b.note(n.TokPos, n.TokPos+2, "++ for --", "++")
		}
	case *ast.AssignStmt:
		if n.Tok == token.ADD_ASSIGN && !b.ofText(n.Rhs[0]) {
			b.note(n.TokPos, n.TokPos+2, "-= for +=", "-=")
		}
		if n.Tok == token.SUB_ASSIGN {
			b.note(n.TokPos, n.TokPos+2, "+= for -=", "+=")
		}
	case *ast.SelectorExpr:
		b.rounding(n.Sel)
	case *ast.BranchStmt:
		if n.Tok == token.CONTINUE && n.Label == nil {
			b.note(n.Pos(), n.End(), "break for continue", "break")
		}
	}
	return true
}

func (b *breaker) binary(n *ast.BinaryExpr) {
	for _, other := range otherOperators[n.Op] {
		if n.Op == token.ADD && (b.ofText(n.X) || b.ofText(n.Y)) {
			continue // texts can't be subtracted
		}
		b.noteAs(n.OpPos, n.OpPos+token.Pos(len(n.Op.String())), other.String()+" for "+n.Op.String(), other.String(), b.text(n.Pos(), n.End()))
	}
	if n.Op == token.SUB || n.Op == token.QUO {
		b.note(n.Pos(), n.End(), "operands swapped", "("+b.text(n.Y.Pos(), n.Y.End())+") "+n.Op.String()+" ("+b.text(n.X.Pos(), n.X.End())+")")
	}
}

// condition breaks what a branch hangs on: it is always taken, or never. What it would have worked out is still used, so that it
// compiles.
func (b *breaker) condition(cond ast.Expr) {
	text := b.text(cond.Pos(), cond.End())
	b.note(cond.Pos(), cond.End(), "always", "("+text+") || true")
	b.note(cond.Pos(), cond.End(), "never", "("+text+") && false")
}

// roundings are the calls that round, and what each is mistaken for.
var roundings = map[string]string{"CeilTo": "FloorTo", "FloorTo": "CeilTo", "RoundTo": "FloorTo", "Ceil": "Floor", "Floor": "Ceil", "Round": "Floor"}

func (b *breaker) rounding(name *ast.Ident) {
	if other, ok := roundings[name.Name]; ok {
		b.note(name.Pos(), name.End(), other+" for "+name.Name, other)
	}
}

// discard uses the arguments of a call that is left out, so that nothing is unused.
func (b *breaker) discard(call *ast.CallExpr) string {
	var uses []string
	for _, arg := range call.Args {
		if id, ok := arg.(*ast.Ident); ok && id.Name != "nil" && id.Name != "true" && id.Name != "false" {
			uses = append(uses, "_ = "+id.Name)
		}
	}
	return "{" + strings.Join(uses, "; ") + "}"
}

// ofText reports whether an expression is a text on its face.
func (b *breaker) ofText(e ast.Expr) bool {
	text := false
	ast.Inspect(e, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			text = true
		}
		return !text
	})
	return text
}

func (b *breaker) text(from, to token.Pos) string {
	return string(b.source[b.fset.Position(from).Offset:b.fset.Position(to).Offset])
}

func (b *breaker) note(from, to token.Pos, what, instead string) {
	b.noteAs(from, to, what, instead, b.text(from, to))
}

func (b *breaker) noteAs(from, to token.Pos, what, instead, before string) {
	at, end := b.fset.Position(from).Offset, b.fset.Position(to).Offset
	m := mutant{
		File: b.path, Line: b.fset.Position(from).Line, What: what, Before: strings.Join(strings.Fields(before), " "),
		at: at, end: end, instead: instead,
	}
	for _, earlier := range b.mutants {
		if earlier.What == m.What && earlier.Before == m.Before {
			m.Again++
		}
	}
	b.mutants = append(b.mutants, m)
}
