package books

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"tablehand/engine"
)

// Bounds of a table that is taken in; our own choice: several times the customers of a large shop.
const (
	MaxTable    = 8 << 20 // bytes
	mostRows    = 20_000
	mostColumns = 200
)

// Table is a CSV file: a line of names above, an entry a line below.
type Table struct {
	Columns []string
	rows    []row
	digest  string // of the file
}

// row is one line of a table: its cells, and the line of the file where it begins, from 1.
type row struct {
	cells []string
	line  int
}

// Sample returns the first line's cell of a column, "" where there is none.
func (t *Table) Sample(column int) string {
	if len(t.rows) == 0 || column >= len(t.rows[0].cells) {
		return ""
	}
	return t.rows[0].cells[column]
}

// Row is the n-th line below the names: its cells, and the line of the file where it begins, from 1.
func (t *Table) Row(n int) (cells []string, line int) { return t.rows[n].cells, t.rows[n].line }

// Rows is how many entries a table has.
func (t *Table) Rows() int { return len(t.rows) }

// ReadTable reads a CSV file as spreadsheets write them: with commas, semicolons or tabs, in UTF-8 or as Windows writes Western
// languages. The problem says why it can't be read, and where.
func ReadTable(source []byte) (*Table, *engine.Problem) {
	text := TableText(source)
	t := &Table{digest: fmt.Sprintf("%x", sha256.Sum256(source))}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord = commaOf(text), -1
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, unreadable(err)
		}
		line, _ := r.FieldPos(0)
		for i := range cells {
			cells[i] = unguarded(strings.TrimSpace(cells[i]))
		}
		switch {
		case strings.Join(cells, "") == "":
		case t.Columns == nil:
			t.Columns = cells
		default:
			t.rows = append(t.rows, row{cells, line})
		}
	}
	switch {
	case t.Columns == nil:
		return nil, cellProblem(1, 1, wrong("bad_csv", "empty"))
	case len(t.Columns) > mostColumns:
		return nil, cellProblem(1, mostColumns+1, wrong("bad_csv", "columns", "Most", mostColumns))
	case len(t.rows) > mostRows:
		return nil, cellProblem(t.rows[mostRows].line, 1, wrong("bad_csv", "rows", "Most", mostRows))
	}
	return t, nil
}

// TableText returns a file's text without the mark that some programs put before it.
func TableText(source []byte) string {
	source = bytes.TrimPrefix(source, []byte("\ufeff"))
	if !utf8.Valid(source) {
		if text, err := charmap.Windows1252.NewDecoder().Bytes(source); err == nil {
			source = text
		}
	}
	return string(source)
}

// commaOf is what parts the cells: whichever the first line has most of.
func commaOf(text string) rune {
	first, _, _ := strings.Cut(strings.TrimLeft(text, "\r\n"), "\n")
	comma := ','
	for _, other := range []rune{';', '\t'} {
		if strings.Count(first, string(other)) > strings.Count(first, string(comma)) {
			comma = other
		}
	}
	return comma
}

func unreadable(err error) *engine.Problem {
	var at *csv.ParseError
	if !errors.As(err, &at) {
		return cellProblem(1, 1, wrong("bad_csv", "quote"))
	}
	return cellProblem(at.Line, 1, wrong("bad_csv", "quote"))
}

// cellProblem tells what is wrong with a cell: the line of the file and the column of the table, from 1.
func cellProblem(line, column int, f *fault) *engine.Problem {
	p := problemOf("", "", f)
	p.Line, p.Column = line, column
	return &p
}

// A spreadsheet takes a cell that begins with one of these for a formula.
const formulas = "=+-@\t"

// guarded writes a cell that no spreadsheet takes for a formula; unguarded reads it back.
func guarded(cell string) string {
	if cell != "" && (strings.Contains(formulas, cell[:1]) || strings.HasPrefix(cell, "'")) {
		return "'" + cell
	}
	return cell
}

func unguarded(cell string) string {
	if rest, ok := strings.CutPrefix(cell, "'"); ok && rest != "" && (strings.Contains(formulas, rest[:1]) || rest[0] == '\'') {
		return rest
	}
	return cell
}
