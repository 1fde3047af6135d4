package orderfile

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

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

var orderID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$`)

// More than these of one kind is absurd: no order is that large, and a file could be.
const (
	mostTreatments = 10_000
	mostOthers     = 1_000 // fabrics, tapes, pieces, bolts of a fabric, flaws of a bolt
)

// order reads the whole file: the unit before all lengths, cloths and tapes before the windows that name them. It
// returns what it could read, never nil.
func (r *reader) order(root ast.Node) *Order {
	o := &Order{Units: measure.In}
	file := &value{r: r, key: "order", node: root, at: r.text.at(firstToken(root))}
	if foreign(root) {
		file.wrong("not_supported", "yaml")
		return o
	}
	m := file.mapping()
	if m == nil {
		return o
	}
	r.positions[""] = file.at
	if u, ok := choice(m.need("units"), measure.In, measure.CM, measure.MM); ok {
		o.Units, r.units = u, u
	}
	o.ID = m.orderID()
	o.Customer = m.maybe("customer").label()
	o.Sidemark = m.maybe("sidemark").label()
	o.PrintSidemark = m.maybe("print_sidemark").flag()
	o.Due = m.maybe("due").date()
	o.Notes = m.maybe("notes").notes()
	o.Conventions = readConventions(m.maybe("conventions").mapping(), r.practice(o.Units), conventions)

	ids := seen{}
	for _, f := range m.maybe("fabrics").mappings(mostOthers) {
		o.Fabrics = append(o.Fabrics, readFabric(f, ids))
	}
	ids = seen{}
	for _, t := range m.maybe("tapes").mappings(mostOthers) {
		o.Tapes = append(o.Tapes, readTape(t, ids, o.Units))
	}
	ids = seen{}
	for _, rod := range m.maybe("rods").mappings(mostOthers) {
		o.Rods = append(o.Rods, readRod(rod, ids, o.Units))
	}
	pieces := m.maybe("pieces")
	windows := m.maybe("treatments")
	if pieces == nil || pieces.emptyList() {
		windows = m.need("treatments")
	}
	for _, t := range windows.mappings(mostTreatments) {
		o.Treatments = append(o.Treatments, readTreatment(t, o))
	}
	for _, p := range pieces.mappings(mostOthers) {
		o.Pieces = append(o.Pieces, readPiece(p, o))
	}
	if windows.emptyList() && (pieces == nil || pieces.emptyList()) {
		windows.wrong("missing_key", "window")
	}
	m.close()
	return o
}

func (m *mapping) orderID() string {
	v := m.need("order")
	id, ok := v.name()
	switch {
	case ok && !orderID.MatchString(id):
		v.wrong("bad_value", "order_id")
	case ok && !IsName(id) && !m.r.onBooks:
		v.wrong("bad_value", "order_next")
	}
	return id
}

// IsName reports whether an order may have the name: 1 to 32 letters A to Z, digits, dots, hyphens and underscores, a letter or
// digit first, and not "next", which asks a shop for the name of its next order.
func IsName(name string) bool { return orderID.MatchString(name) && !strings.EqualFold(name, "next") }

// seen has the ids that a list has used, each with its line.
type seen map[string]int

// id reads the id of a list's element, which no other of the list may have.
func (m *mapping) id(ids seen) string {
	v := m.need("id")
	id, ok := v.name()
	if !ok {
		return ""
	}
	if line, twice := ids[id]; twice {
		v.wrong("duplicate", "id", "Line", line)
	} else {
		ids[id] = v.at.line
	}
	return id
}
