package billing

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"
)

func TestParsePricesTellsEverything(t *testing.T) {
	tests := []struct {
		name, file string
		want       []string // line:column code where
	}{
		{"everything at once", `currency: UDS
rows:
  - {heading: cartridge-tape, panel: 40.00, width: 18.00}
  - heading: pinch-4
    panel: -3
    widht: 2
  - {heading: cartridge-tape, panel: 1 000, width: [18]}
color: red
`, []string{"1:11 bad_value currency", "4:5 missing_key rows[1].width", "4:14 bad_value rows[1].heading", "5:12 negative rows[1].panel", "6:5 unknown_key rows[1].widht",
			"7:15 duplicate rows[2].heading", "7:38 bad_value rows[2].panel", "7:52 bad_value rows[2].width", "8:1 unknown_key color"}},
		{"too fine for yen", "currency: JPY\nrows:\n- heading: pinch-2\n  panel: 4000.5\n  width: 1800\n", []string{"4:10 bad_value rows[0].panel"}},
		{"JSON", `{"currency":"USD","rows":[{"heading":"pinch-2","panel":"x","width":"1"}]}`, []string{"1:56 bad_value rows[0].panel"}},
		{"a key twice", "currency: USD\ncurrency: EUR\nrows: []\n", []string{"2:1 duplicate currency"}},
		{"neither rows nor none", "currency: USD\n", []string{"1:1 missing_key rows"}},
		{"no list", "currency: USD\nrows: cheap\n", []string{"2:7 bad_value rows"}},
		{"no rows", "currency: USD\nrows:\n- 40\n", []string{"3:3 bad_value rows[0]"}},
		{"no currency", "rows: []\n", []string{"1:1 missing_key currency"}},
		{"no mapping", "- 1\n", []string{"1:1 bad_value "}},
		{"an alias", "currency: USD\nrows: &a [*a]\n", []string{"2:7 bad_value rows"}},
		{"nothing", "", []string{"1:1 syntax "}},
		{"two documents", "currency: USD\n---\ncurrency: EUR\n", []string{"3:1 syntax "}},
		{"no YAML", "currency: [\n", []string{"1:11 syntax "}},
		{"no text", "currency: \xff\n", []string{"1:11 syntax "}},
		{"too long", "currency: USD\n" + strings.Repeat("#\n", LargestFile), []string{"1:1 absurd "}},
	}
	for _, tt := range tests {
		list, problems := ParsePrices([]byte(tt.file))
		var got []string
		for _, p := range problems {
			got = append(got, fmt.Sprintf("%d:%d %s %s", p.Line, p.Column, p.Code, p.Where))
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: problems\n%s\nwant\n%s", tt.name, strings.Join(got, "\n"), strings.Join(tt.want, "\n"))
		}
		if list.Currency != "" {
			t.Errorf("%s: a list with problems is used", tt.name)
		}
	}
}

// A scalar's own text counts: 40.10 is forty and ten cents, 010 is ten.
func TestParsePricesTakesTheText(t *testing.T) {
	got, problems := ParsePrices([]byte("currency: USD\nrows:\n- {heading: pinch-2, panel: 40.10, width: 010}\n"))
	want := PriceList{"USD", []PriceRow{row("pinch-2", "40.10", "010")}}
	if len(problems) > 0 || !reflect.DeepEqual(got, want) {
		t.Errorf("%v, %v", got, problems)
	}
	if m, ok := got.Price("pinch-2", "", 2); !ok || m.Amount() != "50.10" {
		t.Errorf("40.10 + 1 × 010 is %s", m.Amount())
	}
}

func priceLists() *rapid.Generator[PriceList] {
	return rapid.Custom(func(t *rapid.T) PriceList {
		list := PriceList{Rows: []PriceRow{}, Currency: rapid.SampledFrom([]string{"USD", "JPY", "KWD"}).Draw(t, "currency")}
		for _, heading := range rapid.Permutation(Headings()).Draw(t, "headings")[:rapid.IntRange(0, len(Headings())).Draw(t, "rows")] {
			amount := func(name string) string { return Money{rapid.Int64Range(0, 1e9).Draw(t, name), list.Currency}.Amount() }
			list.Rows = append(list.Rows, row(heading, amount("panel"), amount("width")))
		}
		return list
	})
}

func TestWrittenPricesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := priceLists().Draw(t, "list")
		back, problems := ParsePrices(list.YAML())
		if len(problems) > 0 || !reflect.DeepEqual(back, list) {
			t.Fatalf("%v\nwritten as\n%s\nreads back as %v, %v", list, list.YAML(), back, problems)
		}
	})
}

// FuzzParsePrices: what is read without a problem is written and read back alike, and every problem has a place in
// the file.
func FuzzParsePrices(f *testing.F) {
	f.Add([]byte("currency: USD\nrows:\n- {heading: pinch-2, panel: 40.10, width: 010}\n"))
	f.Add([]byte(`{"currency":"USD","rows":[{"heading":"pinch-2","panel":"x","width":"1"}]}`))
	f.Add([]byte("rows: &a [*a]\n"))
	f.Add([]byte("? currency\n: USD\n? [rows]\n: - heading: |\n    a\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		list, problems := ParsePrices(src)
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || p.Code == "" || p.Key == "" {
				t.Errorf("a problem without a place: %+v", p)
			}
		}
		if len(problems) > 0 {
			return
		}
		back, problems := ParsePrices(list.YAML())
		if len(problems) > 0 || !reflect.DeepEqual(back, list) {
			t.Errorf("%v reads back as %v, %v", list, back, problems)
		}
	})
}

func priceSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	s, err := jsonschema.NewCompiler().Compile("prices.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func fits(t *testing.T, s *jsonschema.Schema, src []byte) error {
	t.Helper()
	raw, err := yaml.YAMLToJSON(src)
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(v)
}

func TestExamplesFitTheSchema(t *testing.T) {
	s := priceSchema(t)
	for _, name := range []string{"prices.yaml", "prices.json"} {
		src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "contract", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := fits(t, s, src); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if _, problems := ParsePrices(src); len(problems) > 0 {
			t.Errorf("%s: %v", name, problems)
		}
	}
	for _, bad := range []string{
		"rows: []", "currency: usd\nrows: []", "currency: USD", "currency: USD\nrows: [{heading: pinch-2, panel: '1'}]",
		"currency: USD\nrows: [{heading: pinch-2, panel: '-1', width: '1'}]", "currency: USD\nrows: [{heading: Pinch-4, panel: '1', width: '1'}]",
		"currency: USD\nrows: []\ncolor: red",
	} {
		if fits(t, s, []byte(bad)) == nil {
			t.Errorf("the schema takes %q", bad)
		}
	}
}

// The schema names the headings that there are.
func TestSchemaKnowsTheHeadings(t *testing.T) {
	s := priceSchema(t)
	for _, h := range Headings() {
		if err := fits(t, s, PriceList{"USD", []PriceRow{row(h, "1.00", "1.00")}}.YAML()); err != nil {
			t.Errorf("%s: %v\ngo test ./engine/orderfile -run Documented -update writes the headings into the schema", h, err)
		}
	}
}
