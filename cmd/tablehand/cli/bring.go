package cli

import (
	"bufio"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/stock"
	"tablehand/server/store"
	"tablehand/stations"
)

type importCommand struct {
	folder
	File string            `arg:"" name:"FILE" help:"${help_import_file}"`
	As   string            `enum:"shop,bolts,customers,cloths,tapes,rods,phrases" default:"shop" help:"${help_import_as}"`
	Map  map[string]string `mapsep:"none" placeholder:"COLUMN=FIELD" help:"${help_import_map}"`
	Try  bool              `help:"${help_import_try}"`
}

// Validate refuses to say what the columns are of an export, which has none, and of a delivery, whose are named by their keys.
func (c *importCommand) Validate() error {
	if (c.As == "shop" || c.As == "bolts") && len(c.Map) > 0 {
		return errors.New("import: --map goes with a table, --as customers, cloths, tapes, rods or phrases")
	}
	return nil
}

// byImport is who brings something in by the command line.
var byImport = stations.Actor{Role: stations.Office, Name: "tablehand import", Device: "import"}

// Run takes in what a file has, all of it or, where anything is wrong, nothing. The folder must not be served meanwhile: a server
// takes tables itself.
func (c *importCommand) Run(e *env) error {
	switch c.As {
	case "shop":
		return c.readShop(e)
	case "bolts":
		return c.bring(e, c.readDelivery)
	}
	return c.bring(e, c.readTable)
}

// bring takes the file into the shop in the way of what it is.
func (c *importCommand) bring(e *env, into func(*env, *desk.Desk, []byte) error) (err error) {
	source, err := c.read()
	if err != nil {
		return err
	}
	shop, err := c.office(e)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, shop.Store.Close()) }()
	return into(e, shop, source)
}

// readDelivery takes the bolts of a delivery in, once however often the same file is brought.
func (c *importCommand) readDelivery(e *env, shop *desk.Desk, source []byte) error {
	shelf := stock.Stock{Desk: shop}
	cmd := stations.ReceiveBolts{Actor: byImport, Key: fmt.Sprintf("delivery %x", sha256.Sum256(source))}
	receive := func() (stations.Event, error) { return shelf.ReceiveTable(e.ctx, cmd, source) }
	if c.Try {
		receive = func() (stations.Event, error) { return shelf.TryTable(cmd, source) }
	}
	came, err := receive()
	var refused *stations.Refusal
	if errors.As(err, &refused) && len(refused.Problems) > 0 {
		for _, p := range refused.Problems {
			e.complainOf(c.File, "", p)
		}
		e.say("cli.import.nothing")
		return errNeedsPerson
	}
	if err != nil {
		return err
	}
	for _, bolt := range came.Shelf.Came {
		if c.Try { // it has no code yet
			bolt.Bolt = ""
		}
		if _, err := fmt.Fprintln(e.stdout, strings.Join(slices.DeleteFunc([]string{string(bolt.Bolt), bolt.Cloth, bolt.Lot, bolt.Place}, func(s string) bool { return s == "" }), "  ")); err != nil {
			return err
		}
	}
	return nil
}

// office opens the folder of a shop that isn't served.
func (c *importCommand) office(e *env) (*desk.Desk, error) {
	dir, err := c.shop()
	if err != nil {
		return nil, err
	}
	st, err := store.Open(e.ctx, store.Options{Dir: dir, Log: e.log()})
	if err != nil {
		return nil, err
	}
	shop, err := desk.New(desk.Config{Store: st})
	if err != nil {
		return nil, errors.Join(err, st.Close())
	}
	return shop, nil
}

// readShop reads an export back into a folder in which nothing has happened yet.
func (c *importCommand) readShop(e *env) error {
	dir, err := c.dir()
	if err != nil {
		return err
	}
	file, err := os.Open(c.File)
	if err != nil {
		return c.unreadable(err)
	}
	defer file.Close()
	done, err := desk.ReadExport(e.ctx, dir, bufio.NewReader(file), time.Now, c.Try)
	switch {
	case errors.Is(err, store.ErrNotEmpty):
		return errors.New(e.words.T("cli.import.not_empty", "Dir", dir))
	case err != nil:
		return err
	}
	fmt.Fprintln(e.stdout, e.words.T("cli.import.shop", "Name", done.Name, "Orders", done.Orders, "People", done.People, "Entries", done.Entries,
		"Events", done.Events, "Pictures", done.Pictures))
	if !c.Try {
		e.say("cli.import.next")
	}
	return nil
}

// readTable takes a table into one of the shop's books.
func (c *importCommand) readTable(e *env, shop *desk.Desk, source []byte) error {
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
	switch {
	case err != nil:
		return nil, c.unreadable(err)
	case len(source) > books.MaxTable:
		return nil, desk.Refuse("too_large", "file")
	}
	return source, nil
}

// unreadable says what keeps the file from being read, without what the system calls it.
func (c *importCommand) unreadable(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return fmt.Errorf("%s: %w", c.File, path.Err)
	}
	return err
}

// complainOf writes what is wrong with a cell: FILE:LINE:COLUMN: the column's name: message.
func (e *env) complainOf(file, column string, p engine.Problem) {
	if column != "" {
		column += ": "
	}
	fmt.Fprintf(e.stderr, "%s:%d:%d: %s%s\n", file, p.Line, p.Column, column, e.words.Problem(p))
}
