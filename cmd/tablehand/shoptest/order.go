package shoptest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// ExampleFile is the path of the example order.
var ExampleFile = filepath.Join(moduleRoot(), "testdata/contract/order.yaml")

// moduleRoot is the folder of go.mod, above the package whose tests run.
func moduleRoot() string {
	at := "."
	for range 9 {
		if _, err := os.Stat(filepath.Join(at, "go.mod")); err == nil {
			return at
		}
		at = filepath.Join("..", at)
	}
	panic("the tests run outside of the module")
}

// OrderFile returns the example order under another name, changed by pairs of old and new text.
func OrderFile(t *testing.T, name string, changes ...string) string {
	t.Helper()
	raw, err := os.ReadFile(ExampleFile)
	if err != nil {
		t.Fatal(err)
	}
	file := string(raw)
	changes = append([]string{"order: SMI-014", "order: " + name}, changes...)
	for i := 0; i < len(changes); i += 2 {
		if strings.Count(file, changes[i]) != 1 {
			t.Fatalf("the example order has %q %d times, the test changes one", changes[i], strings.Count(file, changes[i]))
		}
		file = strings.Replace(file, changes[i], changes[i+1], 1)
	}
	// No other example is cut from its bolts.
	return strings.NewReplacer("{id: R1,", "{id: R1-"+name+",", "{id: S1,", "{id: S1-"+name+",").Replace(file)
}

// ManyWindows are the changes that make the example an order of n such windows, with cloth for up to twenty.
func ManyWindows(n string) []string {
	return []string{"quantity: 1", "quantity: " + n, "length: 40 yd", "length: 400 yd", "length: 20 yd", "length: 300 yd"}
}

// Position returns line and column, in runes from 1, of the part inside the whole text that holds it once in the file.
func Position(t *testing.T, file, whole, part string) (line, column int) {
	t.Helper()
	at := strings.Index(file, whole)
	if at < 0 || !strings.Contains(whole, part) {
		t.Fatalf("no %q with %q in the file", whole, part)
	}
	before := file[:at+strings.Index(whole, part)]
	lineStart := strings.LastIndex(before, "\n") + 1
	return strings.Count(before, "\n") + 1, utf8.RuneCountInString(before[lineStart:]) + 1
}

// Floor is an order released to the floor of a shop.
type Floor struct {
	*Shop
	Order           string
	Cutting, Panels []Row
	Taken           int
}

// Row is a ticket as lists show it.
type Row struct {
	Ticket, Kind, Window, Panel, Fabric, Station, State string
	Copy                                                int
}

// Release takes the order file in and releases it.
func (s *Shop) Release(t *testing.T, name string, changes ...string) *Floor {
	t.Helper()
	s.Ask(t, Request{As: s.Office, Do: "POST /api/orders", Send: OrderFile(t, name, changes...), Status: 201})
	released := s.Ask(t, Request{As: s.Office, Do: "POST /api/orders/" + name + "/release", Send: Fields{}, Status: 200,
		Has: map[string]string{"order": name, "state": "released"}})
	f := &Floor{Shop: s, Order: name}
	var got struct{ Tickets []Row }
	released.Into(t, &got)
	for _, r := range got.Tickets {
		if r.Kind == "cutting" {
			f.Cutting = append(f.Cutting, r)
		} else {
			f.Panels = append(f.Panels, r)
		}
	}
	return f
}

// NextPanel returns the code of a panel that no other part of the test has touched.
func (f *Floor) NextPanel(t *testing.T) string {
	t.Helper()
	if f.Taken == len(f.Panels) {
		t.Fatalf("order %s has no more than %d panels", f.Order, len(f.Panels))
	}
	f.Taken++
	return f.Panels[f.Taken-1].Ticket
}

// State returns the state of the order.
func (f *Floor) State(t *testing.T) string {
	t.Helper()
	return f.Ask(t, Request{As: f.Office, Do: "GET /api/orders/" + f.Order, Status: 200}).At("state")
}

// WriteFile puts a file into a folder of the test's own and returns its path.
func WriteFile(t *testing.T, name, content string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// Revised is the answer to a revision.
type Revised struct {
	Order    string
	Revision int
	Changed  []struct {
		Ticket    string
		Values    []string
		Protected bool
	}
}

// Put sends an order's file anew.
func (s *Shop) Put(t *testing.T, order, query, file string) (got Revised) {
	t.Helper()
	s.Ask(t, Request{As: s.Office, Do: "PUT /api/orders/" + order + query, Send: file, Status: 200}).Into(t, &got)
	return got
}

// Protects says whether a revision tells of a ticket, and whether as protected.
func (r Revised) Protects(code string) (told, protected bool) {
	for _, c := range r.Changed {
		if c.Ticket == code {
			return len(c.Values) > 0, c.Protected
		}
	}
	return false, false
}
