package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"tablehand/engine"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
)

type importCommand struct {
	folder
	As   string            `required:"" enum:"customers,cloths,tapes,rods,phrases" help:"${help_import_as}"`
	File string            `arg:"" name:"FILE.csv" help:"${help_import_file}"`
	Map  map[string]string `mapsep:"none" placeholder:"COLUMN=FIELD" help:"${help_import_map}"`
	Try  bool              `help:"${help_import_try}"`
}

// byImport is who brings something in by the command line.
var byImport = stations.Actor{Role: stations.Office, Name: "tablehand import", Device: "import"}

// Run takes a table into one of the shop's books, all of it or, where a cell is wrong, nothing. The folder must not be served meanwhile:
// a server takes tables itself.
func (c *importCommand) Run(e *env) (err error) {
	source, err := c.read()
	if err != nil {
		return err
	}
	dir, err := c.shop()
	if err != nil {
		return err
	}
	st, err := store.Open(e.ctx, store.Options{Dir: dir, Log: e.log()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	shop, err := desk.New(desk.Config{Store: st})
	if err != nil {
		return err
	}
	say := func(key string) string { return e.words.T(key) }
	data := books.Book(c.As).Data()
	brought, err := shop.Books.Bring(e.ctx, books.By{Actor: byImport}, data.Book, source, c.Map, data.Labels(say), c.Try)
	if err != nil {
		return err
	}
	if len(brought.Problems) > 0 {
		for _, p := range brought.Problems {
			e.complainOf(c.File, brought.Column(p), data.Label(p, say))
		}
		e.say("cli.import.nothing")
		if slices.ContainsFunc(brought.Problems, func(p engine.Problem) bool { return p.Code == "unknown_column" }) {
			e.say("cli.import.columns", "Fields", strings.Join(data.Keys(), " "))
		}
		return errNeedsPerson
	}
	_, err = fmt.Fprintf(e.stdout, "%s, %s\n", e.words.N("book.import.new", brought.New), e.words.N("book.import.changed", brought.Changed))
	return err
}

// read returns the file. The error says that it isn't there, or too_large.
func (c *importCommand) read() ([]byte, error) {
	source, err := os.ReadFile(c.File)
	var path *fs.PathError
	switch {
	case errors.As(err, &path):
		return nil, fmt.Errorf("%s: %w", c.File, path.Err)
	case len(source) > books.MaxTable:
		return nil, desk.Refuse("too_large", "file")
	}
	return source, err
}

// complainOf writes what is wrong with a cell: FILE:LINE:COLUMN: the column's name: message.
func (e *env) complainOf(file, column string, p engine.Problem) {
	if column != "" {
		column += ": "
	}
	fmt.Fprintf(e.stderr, "%s:%d:%d: %s%s\n", file, p.Line, p.Column, column, e.words.Problem(p))
}
