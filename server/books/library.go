// Package books keeps the shop's books: customers, cloths, tapes, rods, and lines of text. A book is a table of fields (rows.go),
// from which reading, checking, documents, CSV, history and pages follow. Entries are looked up in memory; the store has them on
// disk. A book fills a form, and an order keeps its own copy: nothing here changes an order.
package books

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"sync"

	"tablehand/server/store"
	"tablehand/stations"
)

// Library is the shop's books. All methods may be called at once from many goroutines.
type Library struct {
	store  *store.Store
	units  func() Units
	linked func() []string // names by which orders go

	writing sync.Mutex   // one command at a time
	reading sync.RWMutex // guards what follows
	shelves map[Book]*shelf
}

// noAnswer is that of a command without a key.
var noAnswer store.BookAnswer

// shelf is one book's entries.
type shelf struct {
	entries map[string]*Entry // by id, also those merged into others
	names   map[string]string // id by nameKey
	sorted  []*Entry          // as a list shows them, without those merged into others
}

// Open reads the books of a shop. Units are what goes without saying where something is typed.
func Open(ctx context.Context, s *store.Store, units func() Units) (*Library, error) {
	l := &Library{store: s, units: units, shelves: map[Book]*shelf{}}
	for _, d := range all {
		l.shelves[d.Book] = &shelf{map[string]*Entry{}, map[string]string{}, nil}
	}
	rows, err := s.BookEntries(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		e := Entry{Book: Book(r.Book), ID: r.ID, Version: r.Version, SetAside: r.SetAside, MergedInto: r.MergedInto}
		if err := json.Unmarshal(r.Fields, &e.Fields); err != nil || e.Book.Data() == nil {
			return nil, &store.DamagedError{Says: fmt.Sprintf("entry %s of the book %s", r.ID, r.Book)}
		}
		l.shelves[e.Book].entries[e.ID] = made(e)
	}
	for _, s := range l.shelves {
		s.index()
	}
	return l, nil
}

// index works out names and the list of a shelf's entries.
func (s *shelf) index() {
	s.names, s.sorted = make(map[string]string, len(s.entries)), make([]*Entry, 0, len(s.entries))
	for _, e := range s.entries {
		if e.MergedInto != "" {
			continue
		}
		for _, name := range e.Names() {
			s.names[nameKey(name)] = e.ID
		}
		s.sorted = append(s.sorted, e)
	}
	slices.SortFunc(s.sorted, func(a, b *Entry) int { return cmp.Or(cmp.Compare(a.sort, b.sort), cmp.Compare(a.ID, b.ID)) })
}

// Entry returns an entry, or that into which it was merged; nil where there is none.
func (l *Library) Entry(book Book, id string) *Entry {
	l.reading.RLock()
	defer l.reading.RUnlock()
	return l.shelves[book].entry(id)
}

func (s *shelf) entry(id string) *Entry {
	e := s.entries[id]
	for e != nil && e.MergedInto != "" {
		e = s.entries[e.MergedInto]
	}
	return e
}

// Named returns the entry of a name, nil where there is none: neither case nor accents nor spaces make two.
func (l *Library) Named(book Book, name string) *Entry {
	l.reading.RLock()
	defer l.reading.RUnlock()
	s := l.shelves[book]
	return s.entries[s.names[nameKey(name)]]
}

// Asked says which entries of a book somebody wants to see.
type Asked struct {
	Find  string // beginnings of words
	Aside bool   // those set aside too
	From  int    // how many to pass over
	Most  int
}

// Find returns the entries that are asked for, those first whose name begins as asked, and how many there are in all.
func (l *Library) Find(book Book, asked Asked) (entries []*Entry, total int) {
	l.reading.RLock()
	sorted := l.shelves[book].sorted
	l.reading.RUnlock()
	words := wordsOf(asked.Find)
	var first, then []*Entry
	for _, e := range sorted {
		switch {
		case e.SetAside && !asked.Aside, !e.has(words):
		case len(words) > 0 && len(e.sort) >= len(words[0]) && e.sort[:len(words[0])] == words[0]:
			first = append(first, e)
		default:
			then = append(then, e)
		}
	}
	matching := append(first, then...)
	from := min(max(asked.From, 0), len(matching))
	return matching[from:min(from+asked.Most, len(matching))], len(matching)
}

// By is who sends a command, and with which key ("" none), as of a scan.
type By struct {
	Actor stations.Actor
	Key   string
}
