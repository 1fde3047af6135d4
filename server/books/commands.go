package books

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tablehand/server/store"
	"tablehand/stations"
)

// Deed is what was done to an entry.
type Deed string

const (
	Added    Deed = "added"
	Changed  Deed = "changed"
	Aside    Deed = "set_aside"
	Back     Deed = "brought_back"
	Merged   Deed = "merged"    // into another, which goes on in its place
	TookOver Deed = "took_over" // another one
)

// change is an entry as it is from now on, and what was done to it.
type change struct {
	entry *Entry
	deed  Deed
	about string
	was   Fields
}

// Done is the answer to a command: the entry as it is now, for whom asked.
type Done struct {
	ID       string
	New      bool   // it was added
	Document []byte // JSON
}

// Add puts a new entry into a book. The error is problems, or name_taken with the other's id.
func (l *Library) Add(ctx context.Context, by By, book Book, draft Draft) (Done, error) {
	return l.do(ctx, by, []any{Added, book, draft}, func() ([]change, error) { return l.add(by, book, draft) })
}

func (l *Library) add(by By, book Book, draft Draft) ([]change, error) {
	d, s := book.Data(), l.shelves[book]
	if draft.Texts[d.Named] == "" && draft.ID != "" {
		draft.Texts = maps.Clone(draft.Texts)
		draft.Texts[d.Named] = draft.ID
	}
	fields, problems := d.read(draft, nil, by.Actor.Role, l.units())
	if f := d.idFault(draft.ID); draft.ID != "" && f != nil {
		problems = append(problems, problemOf(d.IDKey, draft.ID, f))
	}
	if len(problems) > 0 {
		return nil, &stations.Refusal{Code: "problems", Problems: problems}
	}
	id := draft.ID
	switch {
	case id == "":
		id = s.freeID(fields[d.Named], d.taken)
	case s.entries[id] != nil:
		return nil, nameTaken(d.IDKey, s.entry(id))
	}
	e := made(Entry{Book: book, ID: id, Version: 1, Fields: fields})
	if err := s.namesFree(e); err != nil {
		return nil, err
	}
	return []change{{entry: e, deed: Added}}, nil
}

// idFault is what speaks against an id that somebody chose, nil for nothing.
func (d *Data) idFault(id string) *fault {
	switch {
	case d.taken[id]:
		return wrong("bad_value", "id_taken", "Text", id)
	case slug(id) != id:
		return wrong("bad_value", "id", "Text", id)
	}
	return nil
}

// freeID makes an id of a name that no entry has, nor one of those that are taken otherwise.
func (s *shelf) freeID(name string, taken map[string]bool) string {
	base := slug(name)
	for n, id := 1, base; ; n++ {
		if s.entries[id] == nil && !taken[id] {
			return id
		}
		id = fmt.Sprintf("%s-%d", base, n+1)
	}
}

// namesFree refuses an entry one of whose names is another's.
func (s *shelf) namesFree(e *Entry) error {
	for i, name := range e.Names() {
		if id := s.names[nameKey(name)]; id != "" && id != e.ID {
			field := otherNames
			if i == 0 {
				field = e.Book.Data().Named
			}
			return nameTaken(field, s.entries[id])
		}
	}
	return nil
}

func nameTaken(field string, other *Entry) *stations.Refusal {
	r := stations.NewRefusal("name_taken", field, "Other", other.Name())
	r.Where = &stations.Place{Key: other.ID}
	return r
}

// Change replaces an entry's fields but for those that who asks isn't shown, and adds an entry where the shop chooses a book's ids
// and has none of that one. A name by which an order goes stays one of its names. The error is not_found, problems, name_taken, or
// changed_meanwhile where the draft was made from an older version.
func (l *Library) Change(ctx context.Context, by By, book Book, id string, draft Draft) (Done, error) {
	return l.do(ctx, by, []any{Changed, book, id, draft}, func() ([]change, error) {
		d, was := book.Data(), l.shelves[book].entry(id)
		switch {
		case draft.ID != "" && draft.ID != id:
			return nil, stations.NewRefusal("bad_value", d.IDKey, "Name", d.IDKey, "Value", draft.ID)
		case was == nil && d.Keyed:
			draft.ID = id
			return l.add(by, book, draft)
		case was == nil:
			return nil, stations.NewRefusal("not_found", d.IDKey)
		case draft.Version != 0 && draft.Version != was.Version:
			return nil, stations.NewRefusal("changed_meanwhile", "version", "Entry", was.Name())
		}
		return l.change(by, was, draft)
	})
}

func (l *Library) change(by By, was *Entry, draft Draft) ([]change, error) {
	fields, problems := was.Book.Data().read(draft, was.Fields, by.Actor.Role, l.units())
	if len(problems) > 0 {
		return nil, &stations.Refusal{Code: "problems", Problems: problems}
	}
	e := made(Entry{Book: was.Book, ID: was.ID, Version: was.Version + 1, Fields: fields, SetAside: was.SetAside})
	if was.Book == Customers {
		e = keepingNames(e, was, l.linkedNames())
	}
	if err := l.shelves[was.Book].namesFree(e); err != nil {
		return nil, err
	}
	if maps.Equal(was.Fields, e.Fields) {
		return []change{{entry: was}}, nil
	}
	return []change{{e, Changed, "", was.Fields}}, nil
}

// keepingNames returns the entry with those names of before by which orders go.
func keepingNames(e, was *Entry, linked map[string]bool) *Entry {
	fields := e.Fields
	for _, name := range was.Names() {
		if key := nameKey(name); linked[key] && !slices.ContainsFunc(e.Names(), func(own string) bool { return nameKey(own) == key }) {
			fields = withName(fields, name)
		}
	}
	return made(Entry{Book: e.Book, ID: e.ID, Version: e.Version, Fields: fields, SetAside: e.SetAside})
}

// withName returns fields with one more name.
func withName(fields Fields, name string) Fields {
	fields = maps.Clone(fields)
	fields[otherNames] = strings.TrimPrefix(fields[otherNames]+"\n"+name, "\n")
	return fields
}

// SetAside has forms and lists propose an entry no more, or again. What it was used for stays.
func (l *Library) SetAside(ctx context.Context, by By, book Book, id string, aside bool) (Done, error) {
	deed := Aside
	if !aside {
		deed = Back
	}
	return l.do(ctx, by, []any{deed, book, id}, func() ([]change, error) {
		was := l.shelves[book].entry(id)
		switch {
		case was == nil:
			return nil, stations.NewRefusal("not_found", book.Data().IDKey)
		case was.SetAside == aside:
			return []change{{entry: was}}, nil
		}
		e := *was
		e.SetAside, e.Version = aside, was.Version+1
		return []change{{&e, deed, "", was.Fields}}, nil
	})
}

// Merge has one entry go on in the place of another that is the same: names, history and links move, and what only the other
// one says. The error is not_found or bad_value.
func (l *Library) Merge(ctx context.Context, by By, book Book, id, into string) (Done, error) {
	return l.do(ctx, by, []any{Merged, book, id, into}, func() ([]change, error) {
		d, s := book.Data(), l.shelves[book]
		from, to := s.entry(id), s.entry(into)
		switch {
		case from == nil:
			return nil, stations.NewRefusal("not_found", d.IDKey)
		case to == nil, to == from:
			return nil, stations.NewRefusal("bad_value", "into", "Name", "into", "Value", into)
		}
		gone, stays := *from, made(Entry{Book: book, ID: to.ID, Version: to.Version + 1, Fields: d.merge(from, to), SetAside: to.SetAside && from.SetAside})
		gone.MergedInto, gone.Version = to.ID, from.Version+1
		return []change{{stays, TookOver, from.ID, to.Fields}, {&gone, Merged, to.ID, from.Fields}}, nil
	})
}

// merge returns what an entry says with what another one says beside it: lists have what both have, notes follow each other, and
// what only the other one says is taken over. Where both say something else, the history has it.
func (d *Data) merge(from, to *Entry) Fields {
	fields := maps.Clone(to.Fields)
	for _, f := range d.Fields {
		mine, theirs := fields[f.Key], from.Fields[f.Key]
		switch {
		case theirs == "" || mine == theirs || f.Key == d.Named:
		case mine == "":
			fields[f.Key] = theirs
		case f.Kind.Form == List:
			fields[f.Key] = union(mine, theirs)
		case f.Group == "notes":
			fields[f.Key] = mine + "\n" + theirs
		}
	}
	for _, name := range from.Names() {
		fields = withName(fields, name)
	}
	d.tidyNames(fields)
	return fields
}

// tidyNames leaves each name that an entry has beside its own there once.
func (d *Data) tidyNames(fields Fields) {
	seen, names := map[string]bool{nameKey(fields[d.Named]): true}, []string{}
	for name := range strings.Lines(fields[otherNames]) {
		name = strings.TrimSpace(name)
		if key := nameKey(name); key != "" && !seen[key] {
			seen[key] = true
			names = append(names, name)
		}
	}
	if delete(fields, otherNames); len(names) > 0 {
		fields[otherNames] = strings.Join(names, "\n")
	}
}

// union is a list of what two lists have, the first one's first.
func union(a, b string) string {
	var all []string
	for one := range strings.Lines(a + "\n" + b) {
		if one = strings.TrimSpace(one); one != "" && !slices.Contains(all, one) {
			all = append(all, one)
		}
	}
	return strings.Join(all, "\n")
}

// do carries a command out, one at a time: decides it, keeps it, and only then shows it. The first change is of the entry that
// is answered. A key that was used for the same wish gets the first answer again.
func (l *Library) do(ctx context.Context, by By, wish []any, decide func() ([]change, error)) (Done, error) {
	l.writing.Lock()
	defer l.writing.Unlock()
	again, answer, err := l.answered(ctx, by, wish)
	if err != nil {
		return Done{}, err
	}
	if again {
		var answered struct {
			ID, Cloth string
			Version   int
		}
		err := json.Unmarshal(answer.Answer, &answered)
		return Done{answered.ID + answered.Cloth, answered.Version == 1, answer.Answer}, err
	}
	changes, err := decide()
	if err != nil {
		return Done{}, err
	}
	first := changes[0]
	document, err := json.Marshal(first.entry.Document(by.Actor.Role))
	if err != nil {
		return Done{}, err
	}
	answer.Answer = document
	return Done{first.entry.ID, first.deed == Added, document}, l.keep(ctx, by, changes, answer)
}

// answered looks up what a command with that key was answered, if it was; else the answer is yet to be filled in.
func (l *Library) answered(ctx context.Context, by By, wish []any) (again bool, answer store.BookAnswer, err error) {
	if by.Key == "" {
		return false, noAnswer, nil
	}
	asked, err := json.Marshal(wish)
	if err != nil {
		return false, noAnswer, err
	}
	hash := sha256.Sum256(asked)
	kept, err := l.store.BookAnswer(ctx, by.Actor.Device, by.Key)
	switch {
	case err != nil:
		return false, noAnswer, err
	case kept.Key == "":
		return false, store.BookAnswer{Device: by.Actor.Device, Key: by.Key, Hash: hash[:]}, nil
	case !bytes.Equal(kept.Hash, hash[:]):
		return false, noAnswer, &stations.Refusal{Code: "key_reused", Field: "key", Args: map[string]any{"Key": by.Key}}
	}
	return true, kept, nil
}

// keep puts changes onto disk and then into memory. One without a deed changes nothing.
func (l *Library) keep(ctx context.Context, by By, changes []change, answer store.BookAnswer) error {
	changes = slices.DeleteFunc(slices.Clone(changes), func(c change) bool { return c.deed == "" })
	entries, history := make([]store.BookEntry, len(changes)), make([]store.BookChange, len(changes))
	for i, c := range changes {
		e := c.entry
		fields, err := json.Marshal(e.Fields)
		if err != nil {
			return err
		}
		entries[i] = store.BookEntry{Book: string(e.Book), ID: e.ID, Version: e.Version, Fields: fields, SetAside: e.SetAside, MergedInto: e.MergedInto}
		told, err := json.Marshal(differing(e.Book.Data(), c.was, e.Fields))
		if err != nil {
			return err
		}
		history[i] = store.BookChange{Book: string(e.Book), Entry: e.ID, Who: by.Actor.Name, What: string(c.deed), About: c.about, Changes: told}
	}
	if len(entries) == 0 && answer.Key == "" {
		return nil
	}
	if err := l.store.KeepBook(ctx, entries, history, answer); err != nil {
		return err
	}
	l.reading.Lock()
	defer l.reading.Unlock()
	for _, c := range changes {
		l.shelves[c.entry.Book].entries[c.entry.ID] = c.entry
	}
	for _, d := range all {
		if slices.ContainsFunc(changes, func(c change) bool { return c.entry.Book == d.Book }) {
			l.shelves[d.Book].index()
		}
	}
	return nil
}
