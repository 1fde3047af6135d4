package billing

import (
	"encoding/json"
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

func TestParseAmount(t *testing.T) {
	tests := []struct {
		text, currency string
		minor          int64
		ok             bool
	}{
		{"40.00", "USD", 4000, true},
		{"40", "USD", 4000, true},
		{"0.5", "EUR", 50, true},
		{"1200", "JPY", 1200, true}, // ISO 4217: no minor unit
		{"1.250", "KWD", 1250, true},
		{"1.5", "JPY", 0, false},
		{"0.001", "USD", 0, false},
		{"-1.00", "USD", 0, false},
		{"1e3", "USD", 0, false},
		{"1,000.00", "USD", 0, false},
		{"", "USD", 0, false},
		{"99999999999", "USD", 0, false},
		{"1200", "UGX", 1200, true},
		{"0.0001", "CLF", 1, true},
		{"0.00001", "CLF", 0, false},
		{"40.00000000", "USD", 4000, true}, // zeros after the last minor unit are nothing
	}
	for _, tt := range tests {
		m, err := ParseAmount(tt.text, tt.currency)
		if (err == nil) != tt.ok || m.Minor != tt.minor {
			t.Errorf("ParseAmount(%q, %s) = %v, %v", tt.text, tt.currency, m, err)
		}
	}
}

func TestPrice(t *testing.T) {
	list := PriceList{Currency: "USD", Rows: []PriceRow{{Heading: "cartridge-tape", Panel: "40.00", Width: "18.05"}}}
	tests := []struct {
		widths measure.Halves
		want   string
	}{
		{2, "58.05"},
		{5, "85.13"}, // 40 + 2.5 × 18.05 = 85.125, half a cent up
		{0, "40.00"},
	}
	for _, tt := range tests {
		got, ok := list.Price("cartridge-tape", "", tt.widths)
		if !ok || got.Amount() != tt.want {
			t.Errorf("%s widths: %s, want %s", tt.widths, got.Amount(), tt.want)
		}
	}
	if _, ok := list.Price("pinch-2", "", 2); ok {
		t.Error("a heading without a row has a price")
	}
}

// TestPriceIsOfTheHeading: each heading's price is its own row's, wherever that stands; one whose amounts can't be read has none.
func TestPriceIsOfTheHeading(t *testing.T) {
	list := PriceList{Currency: "USD", Rows: []PriceRow{
		{Heading: "cartridge-tape", Panel: "40", Width: "0"}, {Heading: "pinch-3", Panel: "50", Width: "0"}, {Heading: "pinch-2", Panel: "60", Width: "dear"},
		{Heading: "goblet", Panel: "dear", Width: "1"}, {Heading: "grommet", Panel: "70", Width: "0"},
	}}
	for heading, want := range map[string]string{"cartridge-tape": "40.00", "pinch-3": "50.00", "grommet": "70.00", "pinch-2": "", "goblet": "", "": ""} {
		got, ok := list.Price(heading, "", 2)
		if ok != (want != "") || ok && got.Amount() != want {
			t.Errorf("%s: %s, %t, want %q", heading, got.Amount(), ok, want)
		}
	}
}

func TestPriceAgainstRationals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		panel := Money{rapid.Int64Range(0, 1_000_000).Draw(t, "panel"), "USD"}
		width := Money{rapid.Int64Range(0, 1_000_000).Draw(t, "width"), "USD"}
		widths := measure.Halves(rapid.IntRange(1, 60).Draw(t, "half widths"))
		list := PriceList{"USD", []PriceRow{row("h", panel.Amount(), width.Amount())}}
		got, ok := list.Price("h", "", widths)
		exact := new(big.Rat).Add(big.NewRat(panel.Minor, 1), big.NewRat(width.Minor*int64(widths), 2))
		over := new(big.Rat).Sub(big.NewRat(got.Minor, 1), exact)
		if !ok || over.Sign() < 0 || over.Cmp(big.NewRat(1, 2)) > 0 {
			t.Fatalf("price %d of exactly %s", got.Minor, exact)
		}
	})
}

func TestMoneyJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Money{rapid.Int64Range(0, 1e9).Draw(t, "minor"), rapid.SampledFrom([]string{"USD", "JPY", "KWD"}).Draw(t, "currency")}
		b, err := json.Marshal(m)
		var back Money
		if err != nil || json.Unmarshal(b, &back) != nil || back != m {
			t.Fatalf("%v written as %s reads back as %v", m, b, back)
		}
	})
}

// row is a row of a heading.
func row(heading, panel, width string) PriceRow {
	return PriceRow{Heading: heading, Panel: panel, Width: width}
}

// TestPieceRows: a kind of piece has one price each, and nothing of a heading beside it.
func TestPieceRows(t *testing.T) {
	list := PriceList{"USD", []PriceRow{row("pinch-2", "40.00", "18.00"), {Piece: "cushion", Each: "48.00"}, {Piece: "repair", Each: "0.00"}}}
	if p := list.Check(); len(p) > 0 {
		t.Fatal(p)
	}
	if m, ok := list.Each("cushion"); !ok || m.Amount() != "48.00" {
		t.Errorf("a cushion is %v", m)
	}
	for _, none := range []string{"valance", "", "pinch-2"} {
		if m, ok := list.Each(none); ok {
			t.Errorf("%q is %v", none, m)
		}
	}
	if _, ok := list.Rate("", ""); ok {
		t.Error("no heading has a rate")
	}
	read, problems := ParsePrices(list.YAML())
	if len(problems) > 0 || !slices.Equal(read.Rows, list.Rows) {
		t.Errorf("%v %v", read, problems)
	}
	wrong := PriceList{"USD", []PriceRow{{Piece: "pelmet", Each: "1.00"}, {Piece: "cushion"}, {Piece: "cushion", Each: "2.00"}, {Each: "1.00"},
		{Piece: "valance", Each: "1.00", Heading: "pinch-2"}}}
	var told []string
	for _, p := range wrong.Check() {
		told = append(told, p.Code+" "+p.Where)
	}
	if want := []string{"bad_value rows[0].piece", "missing_key rows[1].each", "duplicate rows[2].piece", "missing_key rows[3].piece", "bad_value rows[4].piece"}; !slices.Equal(told, want) {
		t.Errorf("%q, want %q", told, want)
	}
}

func TestCheckTellsEverything(t *testing.T) {
	tests := []struct {
		list PriceList
		want []string
	}{
		{PriceList{"dollars", []PriceRow{row("cartridge-tape", "x", "1.00"), row("cartridge-tape", "1.00", "-1"), row("", "1.00", "1.00")}},
			[]string{"bad_value currency", "bad_value rows[0].panel", "duplicate rows[1].heading", "negative rows[1].width", "missing_key rows[2].heading"}},
		{PriceList{"UDS", nil}, []string{"bad_value currency"}},
		{PriceList{"", nil}, []string{"missing_key currency"}},
		{PriceList{"JPY", []PriceRow{row("pinch-4", "4000", "1800.5"), row("pinch-2", "99999999999", "")}},
			[]string{"bad_value rows[0].heading", "bad_value rows[0].width", "absurd rows[1].panel", "missing_key rows[1].width"}},
		{PriceList{"KWD", []PriceRow{row("pinch-2", "1.250", "0.5"), row("pinch-3", "1.2505", "1e2")}},
			[]string{"bad_value rows[1].panel", "bad_value rows[1].width"}},
	}
	for _, tt := range tests {
		var where []string
		for _, p := range tt.list.Check() {
			where = append(where, p.Code+" "+p.Where)
		}
		if !slices.Equal(where, tt.want) {
			t.Errorf("%v: problems %q, want %q", tt.list, where, tt.want)
		}
	}
	good := PriceList{Currency: "USD", Rows: []PriceRow{row("cartridge-tape", "40.00", "18.00")}}
	if p := good.Check(); len(p) > 0 {
		t.Errorf("a good list has problems: %v", p)
	}
}
