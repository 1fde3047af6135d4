package billing

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"tablehand/engine"
	"tablehand/engine/orderfile"
)

// LargestFile is how long a file of prices may be, in bytes. A row takes about seventy.
const LargestFile = 32 << 10

// ParsePrices reads a price list as a file has it (YAML; JSON is accepted, being YAML), or tells everything that is
// wrong with it, each problem with line and column; a file that is none alone. A scalar's own text counts. own is as Check has it.
func ParsePrices(src []byte, own ...string) (PriceList, []engine.Problem) {
	if len(src) > LargestFile {
		return PriceList{}, []engine.Problem{{Severity: engine.Error, Code: "absurd", Key: "price.long", Line: 1, Column: 1}}
	}
	root, where, problem := orderfile.Tree(src)
	if problem != nil {
		return PriceList{}, []engine.Problem{*problem}
	}
	r := &priceReader{where: where, at: map[string]place{}, told: map[string]bool{}}
	list := r.list(root)
	problems := append(r.problems, list.Check(own...)...)
	problems = slices.DeleteFunc(problems, func(p engine.Problem) bool { return p.Line == 0 && r.told[p.Where] })
	for i := range problems {
		r.place(&problems[i])
	}
	slices.SortStableFunc(problems, func(a, b engine.Problem) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	if len(problems) > 0 {
		return PriceList{}, problems
	}
	return list, nil
}

// priceReader walks a file's tree. It keeps where each value stands, so that what is wrong with the list can be told
// at its line.
type priceReader struct {
	where    func(ast.Node) (line, column int)
	at       map[string]place
	told     map[string]bool // values that are refused for their form already
	problems []engine.Problem
}

type place struct{ line, column int }

func (r *priceReader) start(n ast.Node) place {
	line, column := r.where(n)
	return place{line, column}
}

func (r *priceReader) list(root ast.Node) PriceList {
	var list PriceList
	values := r.mapping(root, "", "currency", "rows")
	if n := values["currency"]; n != nil {
		list.Currency = r.text(n, "currency")
	}
	switch rows := values["rows"].(type) {
	case nil:
		if !r.told["rows"] {
			r.wrong("missing_key", "price.missing", "rows", root, map[string]any{"Key": "rows"})
		}
	case *ast.SequenceNode:
		list.Rows = []PriceRow{}
		for i, n := range rows.Values {
			list.Rows = append(list.Rows, r.row(n, fmt.Sprintf("rows[%d]", i)))
		}
	default:
		r.wrong("bad_value", "price.list", "rows", rows, nil)
	}
	return list
}

func (r *priceReader) row(n ast.Node, path string) PriceRow {
	var row PriceRow
	values := r.mapping(n, path, "heading", "panel", "width", "piece", "each")
	for key, to := range map[string]*string{"heading": &row.Heading, "panel": &row.Panel, "width": &row.Width, "piece": &row.Piece, "each": &row.Each} {
		if v := values[key]; v != nil {
			*to = r.text(v, path+"."+key)
		}
	}
	return row
}

// mapping returns the values of a mapping's known keys; the others are told.
func (r *priceReader) mapping(n ast.Node, path string, known ...string) map[string]ast.Node {
	r.at[path] = r.start(n)
	var entries []*ast.MappingValueNode
	switch n := n.(type) {
	case *ast.MappingNode:
		entries = n.Values
	case *ast.MappingValueNode:
		entries = []*ast.MappingValueNode{n}
	default:
		r.wrong("bad_value", "price.mapping", path, n, nil)
		for _, key := range known {
			r.told[join(path, key)] = true
		}
		return nil
	}
	values := map[string]ast.Node{}
	for _, e := range entries {
		key := e.Key.GetToken().Value
		where := join(path, key)
		switch {
		case !slices.Contains(known, key):
			r.wrong("unknown_key", "price.unknown_key", where, e.Key, map[string]any{"Key": key, "Known": known})
		case values[key] != nil:
			r.wrong("duplicate", "price.key_twice", where, e.Key, map[string]any{"Key": key})
		default:
			values[key] = e.Value
			r.at[where] = r.start(e.Value)
		}
	}
	return values
}

// text returns a scalar's own text; "" for none, which is told where the list is checked.
func (r *priceReader) text(n ast.Node, path string) string {
	switch n := n.(type) {
	case *ast.StringNode:
		return strings.TrimSpace(n.Value)
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return n.GetToken().Value
	case *ast.NullNode:
		return ""
	}
	r.wrong("bad_value", "price.scalar", path, n, nil)
	return ""
}

func (r *priceReader) wrong(code, key, path string, n ast.Node, args map[string]any) {
	at := r.start(n)
	r.problems = append(r.problems, engine.Problem{Severity: engine.Error, Code: code, Key: key, Args: args, Where: path, Line: at.line, Column: at.column})
	r.told[path] = true
}

// place gives a problem of the list the place of its value, of the mapping where the value is missing.
func (r *priceReader) place(p *engine.Problem) {
	for path := p.Where; p.Line == 0; path = path[:max(0, strings.LastIndexByte(path, '.'))] {
		if at, ok := r.at[path]; ok || path == "" {
			p.Line, p.Column = max(at.line, 1), max(at.column, 1)
		}
	}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// YAML writes a list that Check finds nothing wrong with as a file that ParsePrices reads back.
func (l PriceList) YAML() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "currency: %s\nrows:", l.Currency)
	if len(l.Rows) == 0 {
		b.WriteString(" []")
	}
	b.WriteByte('\n')
	for _, r := range l.Rows {
		if r.Piece != "" {
			fmt.Fprintf(&b, "  - {piece: %s, each: %q}\n", r.Piece, r.Each)
			continue
		}
		fmt.Fprintf(&b, "  - {heading: %s, panel: %q, width: %q}\n", r.Heading, r.Panel, r.Width)
	}
	return []byte(b.String())
}
