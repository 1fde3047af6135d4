package store

import (
	"slices"
	"testing"
)

// bookShop is a shop with a customer who was renamed, one who was merged into that one and set aside before, and an order of the
// first one's first name.
func bookShop(t *testing.T) *Store {
	t.Helper()
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2) // of Saltmarsh Inn
	keep := func(entries []BookEntry, changes ...BookChange) {
		t.Helper()
		if err := s.KeepBook(t.Context(), entries, changes, BookAnswer{}); err != nil {
			t.Fatal(err)
		}
	}
	entry := func(id string, version int, fields string) BookEntry {
		return BookEntry{Book: "customers", ID: id, Version: version, Fields: []byte(fields)}
	}
	change := func(id, what, about, changes string) BookChange {
		return BookChange{Book: "customers", Entry: id, Who: "office", What: what, About: about, Changes: []byte(changes)}
	}
	keep([]BookEntry{entry("inn", 1, `{"name":"Saltmarsh Inn","phone":"555"}`), entry("tern", 1, `{"name":"Tern"}`)},
		change("inn", "added", "", `[{"field":"name","before":"","after":"Saltmarsh Inn"},{"field":"phone","before":"","after":"555"}]`),
		change("tern", "added", "", `[{"field":"name","before":"","after":"Tern"}]`))
	keep([]BookEntry{entry("inn", 2, `{"name":"The Hotel","names":"Saltmarsh Inn"}`)},
		change("inn", "changed", "", `[{"field":"name","before":"Saltmarsh Inn","after":"The Hotel"},{"field":"names","before":"","after":"Saltmarsh Inn"},{"field":"phone","before":"555","after":""}]`))
	aside := entry("tern", 2, `{"name":"Tern"}`)
	aside.SetAside = true
	keep([]BookEntry{aside}, change("tern", "set_aside", "", `[]`))
	gone := aside
	gone.Version, gone.MergedInto = 3, "inn"
	keep([]BookEntry{entry("inn", 3, `{"name":"The Hotel","names":"Saltmarsh Inn\nTern"}`), gone},
		change("inn", "took_over", "tern", `[{"field":"names","before":"Saltmarsh Inn","after":"Saltmarsh Inn\nTern"}]`), change("tern", "merged", "inn", `[]`))
	return s
}

// TestAuditLooksThroughBooks: an entry that isn't what its history makes of it, one that was merged into nothing, and an order whose
// customer's name leads nowhere any more are seen; a shop whose orders have no customer in the books yet is sound.
func TestAuditLooksThroughBooks(t *testing.T) {
	mustAudit(t, bookShop(t))
	for name, change := range map[string]string{
		"a field":          `UPDATE book_entries SET fields = json_set(fields, '$.name', 'Another') WHERE id = 'inn'`,
		"a field more":     `UPDATE book_entries SET fields = json_set(fields, '$.phone', '555') WHERE id = 'inn'`,
		"a version":        `UPDATE book_entries SET version = 2 WHERE id = 'inn'`,
		"set aside":        `UPDATE book_entries SET set_aside = 1 WHERE id = 'inn'`,
		"brought back":     `UPDATE book_entries SET set_aside = 0 WHERE id = 'tern'`,
		"merged no more":   `UPDATE book_entries SET merged_into = '' WHERE id = 'tern'`,
		"gone":             `DELETE FROM book_entries WHERE id = 'inn'`,
		"out of nowhere":   `INSERT INTO book_entries VALUES ('customers', 'new', 1, '{}', 0, '')`,
		"a line of it":     `DROP TRIGGER book_changes_no_delete; DELETE FROM book_changes WHERE id = 3`,
		"of another book":  `UPDATE book_entries SET book = 'cloths' WHERE id = 'tern'`,
		"round in circles": `INSERT INTO book_entries VALUES ('rods', 'a', 2, '{}', 0, 'b'), ('rods', 'b', 2, '{}', 0, 'a'); INSERT INTO book_changes (book, entry, at, who, what, about, changes) VALUES ('rods', 'a', 0, '', 'added', '', '[]'), ('rods', 'b', 0, '', 'added', '', '[]'), ('rods', 'b', 0, '', 'merged', 'a', '[]'), ('rods', 'a', 0, '', 'merged', 'b', '[]')`,
		"a name of orders": `UPDATE book_entries SET fields = '{"name":"The Hotel"}', version = 4 WHERE id = 'inn';
			INSERT INTO book_changes (book, entry, at, who, what, about, changes) VALUES ('customers', 'inn', 0, '', 'changed', '', '[{"field":"names","after":""}]')`,
	} {
		t.Run(name, func(t *testing.T) {
			s := bookShop(t)
			pool, err := s.write.DB()
			if err != nil {
				t.Fatal(err)
			}
			if _, err := pool.Exec(change); err != nil {
				t.Fatal(err)
			}
			differences, err := s.Audit(t.Context())
			if err != nil || !slices.ContainsFunc(differences, func(d Difference) bool { return d.Table == bookEntries }) {
				t.Errorf("it goes unseen: %v, %v", differences, err)
			}
		})
	}
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	mustAudit(t, s)
}
