package orderfile

import (
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
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

// TestEveryKeyIsDocumented holds the tables of server/interface.md to the keys that the order file has: no key more or less.
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
	conventions := []string{"length_allowance", "stitch_density", "tolerances"}
	for _, c := range choices {
		conventions = append(conventions, c.Name)
	}
	for _, c := range lengthsOfConventions {
		conventions = append(conventions, c.name)
	}
	for _, c := range countsOfConventions {
		conventions = append(conventions, c.name)
	}
	for _, c := range sharesOfConventions {
		conventions = append(conventions, c.name)
	}
	tables := documented(t)
	for table, want := range map[string][]string{
		"order": keysOf(schema.Properties), "fabric": keysOf(schema.Defs["fabric"].Properties), "bolt": keysOf(schema.Defs["bolt"].Properties),
		"tape": keysOf(schema.Defs["tape"].Properties), "treatment": keysOf(schema.Defs["treatment"].Properties),
		"convention": conventions, "tolerance": keysOf(DefaultConventions(measure.In).Tolerances),
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
	if conventionsOfSchema := keysOf(schema.Defs["conventions"].Properties); len(conventionsOfSchema) != len(conventions) {
		t.Errorf("the schema has %d conventions, the tables of the reader %d", len(conventionsOfSchema), len(conventions))
	}
}

// TestDocumentedDefaults holds the defaults of conventions and tolerances in server/interface.md to those in force, and each
// word of a convention to be there, the default first.
func TestDocumentedDefaults(t *testing.T) {
	tables := documented(t)
	for column, units := range []measure.Unit{measure.In, measure.MM} {
		c := DefaultConventions(units)
		written := map[string]string{}
		for _, row := range tables["convention"] {
			written[row.keys[0]] = row.cells[column]
		}
		same := func(name, text string, want measure.Length) {
			if got, err := measure.Parse(text, units); err != nil || got != want {
				t.Errorf("%s is documented as %q, it is %s", name, text, want.In(units))
			}
		}
		for _, l := range lengthsOfConventions {
			same(l.name, written[l.name], *l.of(&c))
		}
		for _, n := range countsOfConventions {
			if want := measure.Count(*n.of(&c)); written[n.name] != want {
				t.Errorf("%s is documented as %q, it is %s", n.name, written[n.name], want)
			}
		}
		for _, s := range sharesOfConventions {
			if want := s.of(&c).String(); written[s.name] != want {
				t.Errorf("%s is documented as %q, it is %s", s.name, written[s.name], want)
			}
		}
		for _, row := range tables["tolerance"] {
			minus, plus, _ := strings.Cut(row.cells[column], ", ")
			same(row.keys[0], minus, c.Tolerances[row.keys[0]].Minus)
			same(row.keys[0], plus, c.Tolerances[row.keys[0]].Plus)
		}
	}
	c := DefaultConventions(measure.In)
	for _, row := range tables["convention"] {
		i := slices.IndexFunc(choices, func(c Choice) bool { return c.Name == row.keys[0] })
		if i < 0 {
			continue
		}
		words := inCode(row.cells[0] + row.cells[2])
		for _, value := range choices[i].Values {
			if !slices.Contains(words, value) {
				t.Errorf("interface.md doesn't say that %s may be %s", row.keys[0], value)
			}
		}
		if words[0] != choices[i].Of(&c) {
			t.Errorf("%s is documented as %s, it is %s", row.keys[0], words[0], choices[i].Of(&c))
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
