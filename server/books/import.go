package books

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine"
	"tablehand/server/store"
	"tablehand/stations"
)

// Mapping says which column of a table is which field, by the column's name; "" leaves one out.
type Mapping map[string]string

// Imported is what a table brought, or would bring.
type Imported struct {
	New, Changed int
	Problems     []engine.Problem // nothing is taken while there are any
}

// Brought is a file that somebody brings: its table, nil where it can't be read, what its columns are, and what came of it.
type Brought struct {
	Table   *Table
	Mapping Mapping
	Imported
}

// Bring reads a CSV file and takes its entries into a book, as Import has it, with the columns settled as Map has it. Labels are what
// the book's fields are called, by key.
func (l *Library) Bring(ctx context.Context, by By, book Book, source []byte, said Mapping, labels map[string]string, try bool) (b Brought, err error) {
	var problem *engine.Problem
	if b.Table, problem = ReadTable(source); problem != nil {
		b.Problems = []engine.Problem{*problem}
		return b, nil
	}
	if b.Mapping, err = l.Map(ctx, book, b.Table, said, labels); err != nil {
		return Brought{}, err
	}
	b.Imported, err = l.Import(ctx, by, book, b.Table, b.Mapping, try)
	return b, err
}

// Column is what the column of a problem is called in the file, "" where the file names none there.
func (b Brought) Column(p engine.Problem) string {
	if b.Table == nil || p.Column > len(b.Table.Columns) {
		return ""
	}
	return b.Table.Columns[p.Column-1]
}

// listed parts the elements of a list in a cell.
const listed = ";"

// Map settles what each column of a table is: as it is said, else as it was the last time, else by the field's key or its label.
func (l *Library) Map(ctx context.Context, book Book, t *Table, said Mapping, labels map[string]string) (Mapping, error) {
	kept, err := l.store.Setting(ctx, mappingOf(book))
	if err != nil {
		return nil, err
	}
	remembered := Mapping{}
	if kept != "" {
		if err := json.Unmarshal([]byte(kept), &remembered); err != nil {
			return nil, err
		}
	}
	d, m := book.Data(), Mapping{}
	for _, column := range t.Columns {
		if key, ok := said[column]; ok {
			m[column] = key
			continue
		}
		if key, ok := remembered[column]; ok {
			m[column] = key
			continue
		}
		for _, key := range d.Keys() {
			if nameKey(key) == nameKey(column) || labels[key] != "" && nameKey(labels[key]) == nameKey(column) {
				m[column] = key
			}
		}
		if column == asideColumn || column == "" {
			m[column] = ""
		}
	}
	return m, nil
}

// asideColumn is the column of a written table that says which entries are set aside; it isn't taken in.
const asideColumn = "set_aside"

// Keys are what a table's columns can be: the id, and the fields.
func (d *Data) Keys() []string {
	keys := []string{d.IDKey}
	for _, f := range d.Fields {
		keys = append(keys, f.Key)
	}
	return keys
}

// Labels are what the fields are called, by key; say says the catalogue's words.
func (d *Data) Labels(say func(key string) string) map[string]string {
	labels := map[string]string{}
	for _, f := range d.Fields {
		labels[f.Key] = say("book." + f.Key)
	}
	return labels
}

// Label has a problem of a field say what that is called.
func (d *Data) Label(p engine.Problem, say func(key string) string) engine.Problem {
	if d.Field(p.Where) != nil {
		p.Args["Key"] = say("book." + p.Where)
	}
	return p
}

// mappingOf is the setting in which the columns of a book's tables are remembered.
func mappingOf(book Book) store.Setting { return store.Setting("import_" + string(book)) }

// Import takes a table's entries into a book, all of them or none: one whose id or name there is, is changed where a cell says
// something else, others are new. An empty cell leaves what there is. A try takes nothing. The error isn't about the table: its
// problems, each at its line and column, are in the answer.
func (l *Library) Import(ctx context.Context, by By, book Book, t *Table, m Mapping, try bool) (Imported, error) {
	l.writing.Lock()
	defer l.writing.Unlock()
	again, answer, err := l.answered(ctx, by, []any{"import", book, t.digest, m})
	if err != nil {
		return Imported{}, err
	}
	if again {
		var done Imported
		return done, json.Unmarshal(answer.Answer, &done)
	}
	i := l.importing(by, book, t, m)
	i.columns()
	if len(i.done.Problems) == 0 {
		for _, r := range t.rows {
			i.row(r)
		}
	}
	if try {
		return i.done, nil
	}
	if len(i.done.Problems) > 0 {
		return Imported{Problems: i.done.Problems}, nil
	}
	if answer.Answer, err = json.Marshal(i.done); err != nil {
		return Imported{}, err
	}
	if err := l.keep(ctx, by, i.changes, answer); err != nil {
		return Imported{}, err
	}
	kept, err := json.Marshal(m)
	if err != nil {
		return Imported{}, err
	}
	return i.done, l.store.Set(ctx, mappingOf(book), string(kept))
}

// taking is a table on its way into a book.
type taking struct {
	*shelf
	by      By
	data    *Data
	table   *Table
	keys    []string // of the columns, "" left out
	units   Units
	linked  map[string]bool
	ids     map[string]bool // given to new entries
	seen    map[string]int  // lines of entries that came before, by id or name
	called  map[string]int  // lines of names that came before
	done    Imported
	changes []change
}

func (l *Library) importing(by By, book Book, t *Table, m Mapping) *taking {
	i := &taking{shelf: l.shelves[book], by: by, data: book.Data(), table: t, units: l.units(), linked: map[string]bool{}, ids: map[string]bool{}, seen: map[string]int{}, called: map[string]int{}}
	maps.Copy(i.ids, i.data.taken)
	if book == Customers {
		i.linked = l.linkedNames()
	}
	for _, column := range t.Columns {
		key, known := m[column]
		if !known {
			key = "?"
		}
		i.keys = append(i.keys, key)
	}
	return i
}

// columns tells of columns that nobody has said what they are, or that are the same.
func (i *taking) columns() {
	for n, key := range i.keys {
		f := i.data.Field(key)
		switch {
		case key == "":
		case key == "?" || f == nil && key != i.data.IDKey:
			i.wrong(1, n, i.table.Columns[n], &fault{"unknown_column", "", map[string]any{"Column": i.table.Columns[n]}})
		case slices.Contains(i.keys[:n], key):
			i.wrong(1, n, key, wrong("bad_csv", "twice", "Column", i.table.Columns[n]))
		case f != nil && !f.SeenBy(i.by.Actor.Role):
			i.wrong(1, n, key, wrong("bad_value", "not_yours"))
		}
	}
	if len(i.done.Problems) == 0 && !slices.Contains(i.keys, i.data.Named) && !slices.Contains(i.keys, i.data.IDKey) {
		i.wrong(1, 0, i.data.Named, wrong("bad_csv", "nameless"))
	}
}

// wrong tells what is wrong with a cell of a column, from 0.
func (i *taking) wrong(line, column int, key string, f *fault) {
	text := ""
	p := problemIn(key, text, f, i.units)
	p.Line, p.Column = line, column+1
	i.done.Problems = append(i.done.Problems, p)
}

// row takes one line.
func (i *taking) row(r row) {
	texts := map[string]string{}
	for n, cell := range r.cells {
		switch {
		case n >= len(i.keys):
			if cell != "" {
				i.wrong(r.line, n, "", wrong("bad_csv", "wide"))
				return
			}
		case i.keys[n] != "" && cell != "":
			texts[i.keys[n]] = cell
		}
	}
	was, ok := i.match(r, texts)
	if !ok {
		return
	}
	draft := Draft{Texts: map[string]string{}}
	var before Fields
	if was != nil {
		before = was.Fields
		maps.Copy(draft.Texts, before)
	}
	for key, text := range texts {
		if f := i.data.Field(key); f != nil {
			draft.Texts[key] = f.Kind.ofCell(text)
		}
	}
	fields, problems := i.data.read(i.unhidden(draft), before, i.by.Actor.Role, i.units)
	for _, p := range problems {
		p.Line, p.Column = r.line, max(slices.Index(i.keys, p.Where), 0)+1
		i.done.Problems = append(i.done.Problems, p)
	}
	if len(problems) == 0 {
		i.keep(r, was, texts[i.data.IDKey], fields)
	}
}

// unhidden leaves out what who sends the table isn't shown: it stays.
func (i *taking) unhidden(draft Draft) Draft {
	for _, f := range i.data.Fields {
		if !f.SeenBy(i.by.Actor.Role) {
			delete(draft.Texts, f.Key)
		}
	}
	return draft
}

// match finds the entry that a line is about, nil for a new one; ok is false where another line was about it.
func (i *taking) match(r row, texts map[string]string) (was *Entry, ok bool) {
	id, name := texts[i.data.IDKey], texts[i.data.Named]
	if was = i.entry(id); was == nil && id == "" {
		was = i.entries[i.names[nameKey(name)]]
	}
	key, at := "name "+nameKey(name), i.data.Named
	switch {
	case was != nil:
		key = "id " + was.ID
	case name == "" && id != "":
		key, at, texts[i.data.Named] = "name "+nameKey(id), i.data.IDKey, id
	case name == "":
		return nil, true // it lacks its name, which is told
	}
	if line := i.seen[key]; line > 0 {
		i.wrong(r.line, max(slices.Index(i.keys, at), 0), at, &fault{"duplicate", "row", map[string]any{"Line": line}})
		return nil, false
	}
	i.seen[key] = r.line
	return was, true
}

// keep makes a change of a line that is right.
func (i *taking) keep(r row, was *Entry, id string, fields Fields) {
	e := Entry{Book: i.data.Book, ID: id, Version: 1, Fields: fields}
	switch {
	case was != nil:
		e.ID, e.Version, e.SetAside = was.ID, was.Version+1, was.SetAside
	case id == "":
		e.ID = i.freeID(fields[i.data.Named], i.ids)
	case i.data.idFault(id) != nil:
		i.wrong(r.line, max(slices.Index(i.keys, i.data.IDKey), 0), i.data.IDKey, i.data.idFault(id))
		return
	}
	entry := made(e)
	if was != nil {
		entry = keepingNames(entry, was, i.linked)
	}
	if refused, ok := i.namesFree(entry).(*stations.Refusal); ok {
		i.wrong(r.line, max(slices.Index(i.keys, refused.Field), 0), refused.Field, &fault{"name_taken", "", map[string]any{"Other": refused.Args["Other"]}})
		return
	}
	for _, name := range entry.Names() {
		if line := i.called[nameKey(name)]; line > 0 && line != r.line {
			i.wrong(r.line, max(slices.Index(i.keys, otherNames), 0), otherNames, &fault{"duplicate", "row", map[string]any{"Line": line}})
			return
		}
		i.called[nameKey(name)] = r.line
	}
	i.ids[entry.ID] = true
	switch {
	case was == nil:
		i.done.New++
		i.changes = append(i.changes, change{entry: entry, deed: Added})
	case !maps.Equal(was.Fields, entry.Fields):
		i.done.Changed++
		i.changes = append(i.changes, change{entry, Changed, "", was.Fields})
	}
}

// ofCell returns the text of a cell as it would be typed.
func (k Kind) ofCell(text string) string {
	if k.Form == List || k.Form == Pairs {
		return strings.ReplaceAll(text, listed, "\n")
	}
	return text
}

// toCell is the other way round.
func (k Kind) toCell(kept string) string {
	if k.Form == List || k.Form == Pairs {
		return strings.ReplaceAll(kept, "\n", listed+" ")
	}
	return kept
}

// CSV writes a book as the table that takes it in again, as far as somebody of a role is shown it.
func (l *Library) CSV(book Book, role stations.Role) []byte {
	l.reading.RLock()
	sorted := l.shelves[book].sorted
	l.reading.RUnlock()
	d := book.Data()
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	columns := []string{d.IDKey}
	for i := range d.Fields {
		if d.Fields[i].SeenBy(role) {
			columns = append(columns, d.Fields[i].Key)
		}
	}
	_ = w.Write(append(slices.Clone(columns), asideColumn)) // to memory
	for _, e := range sorted {
		cells := []string{e.ID}
		for _, key := range columns[1:] {
			cells = append(cells, guarded(d.Field(key).Kind.toCell(e.Fields[key])))
		}
		_ = w.Write(append(cells, strconv.FormatBool(e.SetAside)))
	}
	w.Flush()
	return b.Bytes()
}
