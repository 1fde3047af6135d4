package billing

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
)

// The published invoices' lines add up to their published line totals. Their taxes and charges are no part of this
// version's invoices.
func TestPublishedLineTotals(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "published", "invoices.json"))
	if err != nil {
		t.Fatal(err)
	}
	var examples []struct {
		ID, Source, URL string
		Inputs          struct{ Lines []string }
		Outputs         struct {
			LineTotal string `json:"line_total"`
		}
	}
	if err := json.Unmarshal(raw, &examples); err != nil || len(examples) < 2 {
		t.Fatalf("%d examples: %v", len(examples), err)
	}
	for _, e := range examples {
		t.Log(e.ID, e.Source, e.URL)
		var amounts []Money
		for _, line := range e.Inputs.Lines {
			m, err := ParseAmount(line, "EUR") // the examples name none; all have two decimals
			if err != nil {
				t.Fatal(err)
			}
			amounts = append(amounts, m)
		}
		if got := Sum("EUR", amounts).Amount(); got != e.Outputs.LineTotal {
			t.Errorf("%s: the lines add up to %s, published %s", e.ID, got, e.Outputs.LineTotal)
		}
	}
}
