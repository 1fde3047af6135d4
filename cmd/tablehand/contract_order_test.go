package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

const exampleFile = "../../testdata/contract/order.yaml"

// orderFile returns the contract's example order under another name, changed by pairs of old and new text.
func orderFile(t *testing.T, name string, changes ...string) string {
	t.Helper()
	raw, err := os.ReadFile(exampleFile)
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
	return file
}

// manyWindows are the changes that make the example an order of n such windows, with cloth for up to twenty.
func manyWindows(n string) []string {
	return []string{"quantity: 1", "quantity: " + n, "length: 40 yd", "length: 400 yd", "length: 20 yd", "length: 300 yd"}
}

// position returns line and column, in runes from 1, of the part inside the whole text that holds it once in the file.
func position(t *testing.T, file, whole, part string) (line, column int) {
	t.Helper()
	at := strings.Index(file, whole)
	if at < 0 || !strings.Contains(whole, part) {
		t.Fatalf("no %q with %q in the file", whole, part)
	}
	before := file[:at+strings.Index(whole, part)]
	lineStart := strings.LastIndex(before, "\n") + 1
	return strings.Count(before, "\n") + 1, utf8.RuneCountInString(before[lineStart:]) + 1
}

// floor is an order released to the floor of a shop.
type floor struct {
	*shop
	order           string
	cutting, panels []row
	taken           int
}

// row is a ticket as lists show it.
type row struct {
	Ticket, Kind, Window, Panel, Fabric, Station, State string
	Copy                                                int
}

// release takes the order file in and releases it.
func (s *shop) release(t *testing.T, name string, changes ...string) *floor {
	t.Helper()
	s.ask(t, request{as: s.office, do: "POST /api/orders", send: orderFile(t, name, changes...), status: 201})
	released := s.ask(t, request{as: s.office, do: "POST /api/orders/" + name + "/release", send: fields{}, status: 200,
		has: map[string]string{"order": name, "state": "released"}})
	f := &floor{shop: s, order: name}
	var got struct{ Tickets []row }
	released.into(t, &got)
	for _, r := range got.Tickets {
		if r.Kind == "cutting" {
			f.cutting = append(f.cutting, r)
		} else {
			f.panels = append(f.panels, r)
		}
	}
	return f
}

// nextPanel returns the code of a panel that no other part of the test has touched.
func (f *floor) nextPanel(t *testing.T) string {
	t.Helper()
	if f.taken == len(f.panels) {
		t.Fatalf("order %s has no more than %d panels", f.order, len(f.panels))
	}
	f.taken++
	return f.panels[f.taken-1].Ticket
}

// state returns the state of the order.
func (f *floor) state(t *testing.T) string {
	t.Helper()
	return f.ask(t, request{as: f.office, do: "GET /api/orders/" + f.order, status: 200}).at("state")
}

// writeFile puts a file into a folder of the test's own and returns its path.
func writeFile(t *testing.T, name, content string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}
