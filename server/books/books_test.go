package books

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/server/store"
	"tablehand/stations"
)

// byOffice sends the tests' commands.
var byOffice = By{Actor: stations.Actor{Role: stations.Office, Name: "office"}}

// open opens the books of an empty shop in a folder.
func open(t testing.TB, dir string) (*Library, *store.Store) {
	t.Helper()
	s, err := store.Open(t.Context(), store.Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	l, err := Open(t.Context(), s, func() Units { return Units{measure.In, "USD"} })
	if err != nil {
		t.Fatal(err)
	}
	return l, s
}

func draftOf(book Book, name string, more ...string) Draft {
	d := Draft{Texts: map[string]string{book.Data().Named: name}}
	for i := 0; i+1 < len(more); i += 2 {
		d.Texts[more[i]] = more[i+1]
	}
	return d
}

// TestRows: each row of a book can be a field: its key is its own, its kind reads, and a value that is kept reads as itself and has
// a form in documents.
func TestRows(t *testing.T) {
	good := map[Form][]string{
		Line: {"54", "3/4", "3", "0.5", "ann@saltmarsh.test", "HAL-{n:3}"}, Lines: {"a\nb"}, List: {"a\nb"}, Pairs: {"widths_rounding: up_to_whole"},
		Flag: {"true"}, Date: {"2026-12-18"}, Whole: {"3"}, Amount: {"12.5"},
	}
	for _, d := range All() {
		seen := map[string]bool{}
		for _, f := range append(d.Fields, Field{Key: d.IDKey, Kind: text(1), Group: "id"}) {
			if seen[f.Key] || f.Group == "" || f.Kind.read == nil {
				t.Errorf("%s: the row of %s is there twice, or lacks a group or a kind", d.Book, f.Key)
			}
			seen[f.Key] = true
			if f.Of != nil && d.Field("kind") == nil {
				t.Errorf("%s: %s is of a kind, and there are none", d.Book, f.Key)
			}
			kept := ""
			for _, typed := range append(good[f.Kind.Form], f.Kind.Words...) {
				if read, wrong := f.Kind.read(typed, Units{measure.In, "USD"}); wrong == nil && kept == "" {
					kept = read
				}
			}
			if kept == "" && f.Key != d.IDKey {
				t.Errorf("%s.%s reads nothing", d.Book, f.Key)
				continue
			}
			if kept == "" {
				continue
			}
			if again, wrong := f.Kind.read(kept, Units{measure.CM, "EUR"}); wrong != nil || again != kept {
				t.Errorf("%s.%s keeps %q, which reads as %q", d.Book, f.Key, kept, again)
			}
			if f.Kind.document(kept) == nil {
				t.Errorf("%s.%s: %q has no form in documents", d.Book, f.Key, kept)
			}
		}
		if d.Field(d.Named) == nil || !d.Field(d.Named).Required || d.Field(otherNames) == nil {
			t.Errorf("%s lacks its name or its other names", d.Book)
		}
	}
}

// TestMergingLosesNothing: however customers are added, renamed and merged, every name that one ever had by which orders go leads
// to one that is there, no name to two, and each history that there was is in the history of where it leads; and a shop that is
// opened again has the same.
func TestMergingLosesNothing(t *testing.T) {
	l, s := open(t, t.TempDir())
	defer func() { _ = s.Close() }()
	shop := 0 // each is one of its own in the same store, by the names that it has
	rapid.Check(t, func(rt *rapid.T) {
		shop++
		mine := func(id string) bool { return strings.HasPrefix(id, fmt.Sprintf("shop%d-", shop)) }
		orders := map[string]bool{}
		l.Linked(func() (names []string) {
			for name := range orders {
				names = append(names, name)
			}
			return names
		})
		mails, deeds := map[string]string{}, 0 // of each customer that ever was, by id
		name := rapid.SampledFrom([]string{"Saltmarsh Inn", "SALTMARSH  INN", "Sált marsh inn", "Reed House", "reedhouse", "Tern", "Tern Cottage", "Ebb", "Flow"})
		draw := func(what string) string { return fmt.Sprintf("Shop%d %s", shop, name.Draw(rt, what)) }
		for range rapid.IntRange(1, 15).Draw(rt, "deeds") {
			ids := idsOf(l.shelves[Customers].entries, mine)
			one := ""
			if len(ids) > 0 {
				one = rapid.SampledFrom(ids).Draw(rt, "one")
			}
			switch rapid.IntRange(0, 4).Draw(rt, "deed") {
			case 0:
				order := draw("order")
				orders[order] = true
				if had := l.Customer(order); had == nil {
					deeds++
				}
				must(rt, l.Meet(t.Context(), byOffice, order))
			case 1:
				mail := fmt.Sprintf("m%d@saltmarsh.test", len(mails))
				if done, err := l.Add(t.Context(), byOffice, Customers, draftOf(Customers, draw("name"), "contacts", mail)); err == nil {
					mails[done.ID], deeds = mail, deeds+1
				}
			case 2:
				if one != "" {
					was := l.Entry(Customers, one)
					texts := map[string]string{"name": draw("new name"), "contacts": was.Fields["contacts"], "names": was.Fields["names"]}
					if _, err := l.Change(t.Context(), byOffice, Customers, one, Draft{Texts: texts}); err == nil && l.Entry(Customers, one) != was {
						deeds++
					}
				}
			default:
				if one == "" {
					continue
				}
				if _, err := l.Merge(t.Context(), byOffice, Customers, one, rapid.SampledFrom(ids).Draw(rt, "into")); err == nil {
					deeds += 2
				}
			}
		}
		l, err := Open(t.Context(), s, l.units)
		must(rt, err)
		for order := range orders {
			if l.Customer(order) == nil {
				rt.Fatalf("%q leads to nobody", order)
			}
		}
		for id, mail := range mails {
			if e := l.Entry(Customers, id); e == nil || !strings.Contains(e.Fields["contacts"], mail) {
				rt.Fatalf("%s has lost %s: %v", id, mail, e)
			}
		}
		told, seen := 0, map[string]string{}
		for _, id := range idsOf(l.shelves[Customers].entries, mine) {
			if l.Entry(Customers, id).ID != id {
				continue // merged into another
			}
			past, err := l.History(t.Context(), Customers, id, stations.Office)
			must(rt, err)
			told += len(past)
			for _, n := range l.Entry(Customers, id).Names() {
				if other := seen[nameKey(n)]; other != "" {
					rt.Fatalf("%q is %s and %s", n, other, id)
				}
				seen[nameKey(n)] = id
			}
		}
		if told != deeds {
			rt.Fatalf("%d deeds are told of %d", told, deeds)
		}
	})
	clean(t, s)
}

// clean has the shop's audit find nothing.
func clean(t *testing.T, s *store.Store) {
	t.Helper()
	if differences, err := s.Audit(t.Context()); err != nil || len(differences) > 0 {
		t.Errorf("%v, %v", err, differences)
	}
}

// TestBooksComeBack: a copy that is restored on another machine has every book with its entries, what was merged and set aside, each
// history, and the answers to commands that had keys.
func TestBooksComeBack(t *testing.T) {
	l, s := open(t, t.TempDir())
	ctx := t.Context()
	keyed := By{Actor: stations.Actor{Role: stations.Office, Name: "office", Device: "desk"}, Key: "k1"}
	for _, d := range All() {
		for _, name := range []string{"Reed", "Tern", "Kite"} {
			if _, err := l.Add(ctx, byOffice, d.Book, draftOf(d.Book, name)); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := l.Change(ctx, byOffice, d.Book, "reed", draftOf(d.Book, "Reed stripe")); err != nil {
			t.Fatal(err)
		}
		if _, err := l.Merge(ctx, byOffice, d.Book, "tern", "reed"); err != nil {
			t.Fatal(err)
		}
		if _, err := l.SetAside(ctx, byOffice, d.Book, "kite", true); err != nil {
			t.Fatal(err)
		}
	}
	first, err := l.Add(ctx, keyed, Phrases, draftOf(Phrases, "Pins out"))
	if err != nil {
		t.Fatal(err)
	}
	says := func(l *Library) (all []string) {
		for _, d := range All() {
			entries, _ := l.Find(d.Book, Asked{Aside: true, Most: 100})
			for _, e := range entries {
				past, err := l.History(ctx, d.Book, e.ID, stations.Office)
				if err != nil {
					t.Fatal(err)
				}
				all = append(all, fmt.Sprint(d.Book, e.ID, e.Version, e.Fields, e.SetAside, past))
			}
			all = append(all, fmt.Sprint(d.Book, " tern is ", l.Entry(d.Book, "tern").ID))
		}
		return all
	}
	before, backup, elsewhere := says(l), filepath.Join(t.TempDir(), "copy.db"), filepath.Join(t.TempDir(), "another")
	if err := s.Backup(ctx, backup); err != nil {
		t.Fatal(err)
	}
	_ = s.Close()
	if _, err := store.Restore(ctx, elsewhere, backup, time.Now(), false); err != nil {
		t.Fatal(err)
	}
	l, s = open(t, elsewhere)
	defer func() { _ = s.Close() }()
	clean(t, s)
	if after := says(l); !slices.Equal(before, after) {
		t.Errorf("the books were\n%s\nand are\n%s", strings.Join(before, "\n"), strings.Join(after, "\n"))
	}
	if again, err := l.Add(ctx, keyed, Phrases, draftOf(Phrases, "Pins out")); err != nil || again.ID != first.ID {
		t.Errorf("the key answers %+v, %v", again, err)
	}
}

// idsOf are the ids of a shop's entries, those merged into others too.
func idsOf(entries map[string]*Entry, mine func(id string) bool) (all []string) {
	for id := range entries {
		if mine(id) {
			all = append(all, id)
		}
	}
	slices.Sort(all)
	return all
}

func must(t *rapid.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

const largeRows = 10_000

// largeTable is a table of customers, of whom one of so many is bad in two cells; 0: none.
func largeTable(bad int) []byte {
	var b strings.Builder
	b.WriteString("name,phone,mail,hems.bottom\n")
	for i := range largeRows {
		mail, hem := fmt.Sprintf("m%d@saltmarsh.test", i), "4 1/2"
		if bad > 0 && i%bad == 7 {
			mail, hem = "nobody", "four"
		}
		fmt.Fprintf(&b, "Customer %d,555 %d,%s,%s\n", i, i, mail, hem)
	}
	return []byte(b.String())
}

// brought takes a table into a book.
func brought(t testing.TB, l *Library, book Book, source []byte) Imported {
	t.Helper()
	read, problem := ReadTable(source)
	if problem != nil {
		t.Fatal(problem)
	}
	m, err := l.Map(t.Context(), book, read, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	done, err := l.Import(t.Context(), byOffice, book, read, m, false)
	if err != nil {
		t.Fatal(err)
	}
	return done
}

// TestLargeTable: of ten thousand lines with a hundred bad ones each problem is at its cell and nothing is taken; put right, all is.
func TestLargeTable(t *testing.T) {
	l, s := open(t, t.TempDir())
	defer func() { _ = s.Close() }()
	const rows, bad = largeRows, 100
	bring := func(source []byte) Imported { return brought(t, l, Customers, source) }
	done := bring(largeTable(bad))
	if len(done.Problems) != 2*rows/bad || done.New != 0 {
		t.Fatalf("%d problems, %d new", len(done.Problems), done.New)
	}
	for i, p := range done.Problems {
		want := struct {
			line, column int
			where        string
		}{i/2*bad + 7 + 2, 3, "mail"}
		if i%2 == 1 {
			want.column, want.where = 4, "hems.bottom"
		}
		if p.Line != want.line || p.Column != want.column || p.Where != want.where {
			t.Errorf("problem %d is at %d:%d %s, want %v", i, p.Line, p.Column, p.Where, want)
		}
	}
	if _, total := l.Find(Customers, Asked{Most: 1}); total != 0 {
		t.Errorf("%d entries are there", total)
	}
	if past, err := s.BookHistory(t.Context(), string(Customers), []string{"customer-1"}); err != nil || len(past) != 0 {
		t.Errorf("%d lines of history, %v", len(past), err)
	}
	if done := bring(largeTable(0)); done.New != rows || len(done.Problems) != 0 {
		t.Errorf("put right: %d new, %d problems", done.New, len(done.Problems))
	}
	clean(t, s)
	if done := bring(l.CSV(Customers, stations.Office)); done.New != 0 || done.Changed != 0 || len(done.Problems) != 0 {
		t.Errorf("written and taken in again: %+v", done)
	}
}

// TestTables: how spreadsheets write them.
func TestTables(t *testing.T) {
	for name, tt := range map[string]struct {
		source string
		want   []string // columns and the first line
	}{
		"commas":          {"name,phone\nReed,1\n", []string{"name", "phone", "Reed", "1"}},
		"semicolons":      {"name;phone\r\nReed, Ann;1\r\n", []string{"name", "phone", "Reed, Ann", "1"}},
		"tabs":            {"name\tphone\nReed\t1", []string{"name", "phone", "Reed", "1"}},
		"a mark before":   {"\ufeffname,phone\n\n,,\nReed,1\n", []string{"name", "phone", "Reed", "1"}},
		"Windows-1252":    {"name,phone\nMar\xeda,1\n", []string{"name", "phone", "María", "1"}},
		"a line break":    {"name,phone\n\"Reed\nHouse\",1\n", []string{"name", "phone", "Reed\nHouse", "1"}},
		"what isn't one":  {"name,phone\n'=1+1,'+1\n", []string{"name", "phone", "=1+1", "+1"}},
		"a name's quote":  {"name,phone\n'Tis,'\n", []string{"name", "phone", "'Tis", "'"}},
		"more than named": {"name,phone\nReed,1,2\n", []string{"name", "phone", "Reed", "1", "2"}},
	} {
		read, problem := ReadTable([]byte(tt.source))
		if problem != nil {
			t.Errorf("%s: %v", name, problem)
			continue
		}
		if got := append(slices.Clone(read.Columns), read.rows[0].cells...); !slices.Equal(got, tt.want) {
			t.Errorf("%s: %q, want %q", name, got, tt.want)
		}
	}
}

// TestWrittenCellsReadAsThemselves: no cell is taken for a formula, and each reads as it was.
func TestWrittenCellsReadAsThemselves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.StringMatching(`[=+\-@'a1 ]{0,6}`).Draw(t, "cell")
		written := guarded(cell)
		if written != "" && strings.Contains(formulas, written[:1]) || unguarded(written) != cell {
			t.Fatalf("%q is written %q and reads as %q", cell, written, unguarded(written))
		}
	})
}

// BenchmarkFind is a proposal for two letters among 5,000 customers and among 5,000 cloths; it may take 50 ms.
func BenchmarkFind(b *testing.B) {
	for _, book := range []Book{Customers, Cloths} {
		b.Run(string(book), func(b *testing.B) {
			l, s := open(b, b.TempDir())
			defer func() { _ = s.Close() }()
			source := "name\n"
			for i := range 5000 {
				source += fmt.Sprintf("%c%c number %d of Reed Street\n", 'A'+i%26, 'a'+i/26%26, i)
			}
			if done := brought(b, l, book, []byte(source)); done.New != 5000 {
				b.Fatalf("%+v", done)
			}
			for b.Loop() {
				if _, total := l.Find(book, Asked{Find: "re", Most: 20}); total != 5000 {
					b.Fatal(total)
				}
			}
		})
	}
}

// BenchmarkImport is a table of 10,000 customers, read, checked and kept.
func BenchmarkImport(b *testing.B) {
	source := largeTable(0)
	for b.Loop() {
		b.StopTimer()
		l, s := open(b, b.TempDir())
		b.StartTimer()
		if done := brought(b, l, Customers, source); done.New != largeRows {
			b.Fatalf("%+v", done)
		}
		b.StopTimer()
		_ = s.Close()
		b.StartTimer()
	}
}
