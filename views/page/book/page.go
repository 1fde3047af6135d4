// Package book is the pages of the shop's books: all of them, the list of one, an entry, and a table that is brought in.
package book

import (
	"embed"

	"tablehand/engine"
	"tablehand/views"
)

// IndexPage leads to the books.
type IndexPage struct {
	views.Frame
	Shelves []Shelf
}

// Shelf is a book and how many entries it has.
type Shelf struct {
	Book  string
	Count int
}

// ListPage lists the entries of a book, a part of them.
type ListPage struct {
	views.Frame
	Book, Find         string
	Aside              bool     // those set aside too
	Keeps              bool     // whoever reads it may change it
	Columns            []string // keys of fields
	Rows               []Row
	First, Last, Total int
	Before, After      string // addresses of the parts beside it, "" for none
	Answer             *views.Answer
}

// Row is an entry in a list.
type Row struct {
	ID, Name string
	SetAside bool
	Cells    []Field
}

// EntryPage is an entry to be read and changed, or a new one.
type EntryPage struct {
	views.Frame
	Book, ID, Name string // ID "" of a new one
	Chosen         string // its id as typed, where the shop chooses them
	Keyed          bool   // the shop chooses the ids of the book
	Version        int
	Keeps          bool
	SetAside       bool
	Groups         []Group
	Told           []engine.Problem // that are of no field
	Wrong          bool
	History        []Past
	Into           string // looked for, to be merged with
	Others         []Row  // found
	Reason         string // typed: why two cloths are one
	Answer         *views.Answer
}

// Group is fields under one heading.
type Group struct {
	Name   string
	Fields []Field
}

// Field is a field with what it says, as it is typed.
type Field struct {
	Key, Form, Value string
	Words            []string // of a choice
	Required, Helped bool
	Wrong            *engine.Problem
}

// WordKind is the part of the catalogue that has the words of a choice.
func (f Field) WordKind() string { return "book." + f.Key }

// Past is a line of the history.
type Past struct {
	At      views.Moment
	Who     string // "" the program itself
	What    string
	About   string // what the other entry of a merge is called
	Changes []Change
}

// Change is what was done to a field.
type Change struct{ Before, After Field }

// ImportPage brings a table in: first the table, then what its columns are.
type ImportPage struct {
	views.Frame
	Book         string
	Source       string // the table, "" until there is one
	Columns      []Column
	Keys         []string // that a column can be
	Tried        bool
	New, Changed int
	Problems     []Cell
	More         int // problems that aren't shown
	Refused      string
}

// Column is a column of a table.
type Column struct{ Name, Sample, Key string }

// Cell is a cell of a table in which something is wrong.
type Cell struct {
	Line    int
	Column  string
	Problem engine.Problem
}

//go:embed *.html
var html embed.FS

var (
	index   = views.Template{Name: "books", HTML: html, Files: []string{"index.html"}}
	list    = views.Template{Name: "book", HTML: html, Files: []string{"list.html", "says.html"}}
	entry   = views.Template{Name: "entry", HTML: html, Files: []string{"entry.html", "says.html"}}
	bringIn = views.Template{Name: "import", HTML: html, Files: []string{"import.html"}}
)

// Template is how the page is written.
func (IndexPage) Template() *views.Template { return &index }

// Template is how the page is written.
func (ListPage) Template() *views.Template { return &list }

// Template is how the page is written.
func (EntryPage) Template() *views.Template { return &entry }

// Template is how the page is written.
func (ImportPage) Template() *views.Template { return &bringIn }
