package orderfile

import (
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// documented are the rows of the tables of keys in server/interface.md, by what the table is of.
func documented(t *testing.T) map[string][]documentedKeys {
	t.Helper()
	page, err := os.ReadFile("../../server/interface.md")
	if err != nil {
		t.Fatal(err)
	}
	_, text, _ := strings.Cut(string(page), "\n## Every key\n")
	text, _, _ = strings.Cut(text, "\n## ")
	tables, table := map[string][]documentedKeys{}, ""
	for line := range strings.Lines(text) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		switch keys := inCode(cells[0]); {
		case !strings.HasPrefix(line, "|"):
			table = ""
		case table == "":
			table = cells[0]
		case len(keys) > 0:
			tables[table] = append(tables[table], documentedKeys{keys, cells[1:]})
		}
	}
	return tables
}

// documentedKeys are a row: the keys of its first cell, and the other cells.
type documentedKeys struct {
	keys  []string
	cells []string
}

func inCode(text string) []string {
	var words []string
	for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(text, -1) {
		words = append(words, m[1])
	}
	return words
}

// TestEveryKeyIsDocumented holds the tables of server/interface.md to the keys that the order file has: no key more or less. The
// tables of conventions are written from their rows (TestConventionsAreDocumented).
func TestEveryKeyIsDocumented(t *testing.T) {
	raw, err := os.ReadFile("order.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	type object struct{ Properties map[string]any }
	var schema struct {
		object
		Defs map[string]object `json:"$defs"`
	}
	if err := json.Unmarshal(raw, &schema); err != nil {
		t.Fatal(err)
	}
	tables := documented(t)
	for table, want := range map[string][]string{
		"order": keysOf(schema.Properties), "fabric": keysOf(schema.Defs["fabric"].Properties), "bolt": keysOf(schema.Defs["bolt"].Properties),
		"tape": keysOf(schema.Defs["tape"].Properties), "treatment": keysOf(schema.Defs["treatment"].Properties),
	} {
		var have []string
		for _, row := range tables[table] {
			have = append(have, row.keys...)
		}
		for _, key := range want {
			if !slices.Contains(have, key) {
				t.Errorf("interface.md has no %s %s", table, key)
			}
		}
		for i, key := range have {
			if !slices.Contains(want, key) || slices.Contains(have[:i], key) {
				t.Errorf("interface.md has %s %s, which is none or twice", table, key)
			}
		}
	}
}

func keysOf[V any](m map[string]V) []string {
	var keys []string
	for key := range m {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	return keys
}
