package books

import (
	"context"
	"encoding/json"
	"time"

	"tablehand/stations"
)

// Difference is what was done to one field: what it said before and after, "" nothing.
type Difference struct {
	Field  string `json:"field"`
	Before string `json:"before"`
	After  string `json:"after"`
}

// differing are the fields that differ, in the order of the book's.
func differing(d *Data, was, is Fields) []Difference {
	list := []Difference{}
	for _, f := range d.Fields {
		if was[f.Key] != is[f.Key] {
			list = append(list, Difference{f.Key, was[f.Key], is[f.Key]})
		}
	}
	return list
}

// Past is one line of an entry's history.
type Past struct {
	At      time.Time    `json:"at"`
	Who     string       `json:"who"`
	What    Deed         `json:"what"`
	Entry   string       `json:"entry"`           // to which it was done: another one that was merged into this later
	About   string       `json:"about,omitempty"` // the other one of a merge
	Changes []Difference `json:"changes"`
}

// History returns what was done to an entry and to those merged into it, the oldest first, as far as somebody of a role is
// shown it. The error is not_found.
func (l *Library) History(ctx context.Context, book Book, id string, role stations.Role) ([]Past, error) {
	e := l.Entry(book, id)
	if e == nil {
		return nil, stations.NewRefusal("not_found", book.Data().IDKey)
	}
	kept, err := l.store.BookHistory(ctx, string(book), l.merged(e))
	if err != nil {
		return nil, err
	}
	past := make([]Past, len(kept))
	for i, c := range kept {
		past[i] = Past{At: c.At, Who: c.Who, What: Deed(c.What), Entry: c.Entry, About: c.About, Changes: []Difference{}}
		var told []Difference
		if err := json.Unmarshal(c.Changes, &told); err != nil {
			return nil, err
		}
		for _, t := range told {
			if f := book.Data().Field(t.Field); f == nil || f.SeenBy(role) {
				past[i].Changes = append(past[i].Changes, t)
			}
		}
	}
	return past, nil
}

// merged are the ids that mean an entry: its own, and those of what was merged into it.
func (l *Library) merged(into *Entry) []string {
	l.reading.RLock()
	defer l.reading.RUnlock()
	s, ids := l.shelves[into.Book], []string{into.ID}
	for id, e := range s.entries {
		if e.MergedInto != "" && s.entry(id) == into {
			ids = append(ids, id)
		}
	}
	return ids
}
