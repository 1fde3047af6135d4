package web

import (
	"encoding/json"
	"os"
	"testing"
)

// TestEveryConventionIsShown holds the page to the order file's own list of names.
func TestEveryConventionIsShown(t *testing.T) {
	raw, err := os.ReadFile("../../engine/orderfile/order.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var schema struct {
		Properties struct {
			Conventions struct{ Properties map[string]any }
		}
		Defs map[string]struct{ Properties map[string]any } `json:"$defs"`
	}
	if err := json.Unmarshal(raw, &schema); err != nil {
		t.Fatal(err)
	}
	known := schema.Properties.Conventions.Properties
	if len(known) == 0 {
		known = schema.Defs["conventions"].Properties
	}
	if len(known) < 30 {
		t.Fatalf("the schema lists %d conventions", len(known))
	}
	for _, units := range []string{"in", "cm", "mm"} {
		rows, tolerances := conventionRows(units)
		shown := map[string]bool{"tolerances": len(tolerances) > 0}
		for _, r := range rows {
			shown[r.Name] = true
		}
		for name := range known {
			if !shown[name] {
				t.Errorf("%s: %s is not shown", units, name)
			}
			delete(shown, name)
		}
		for name := range shown {
			t.Errorf("%s: %s is shown and no convention", units, name)
		}
	}
}
