package server

import (
	"encoding/json"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestExport: everything is in it, each order file as it was sent and each event of the ledger in its place; nothing by which
// somebody comes in is.
func TestExport(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	_, badge := s.addPerson(t, fields{"name": "Ada Brook", "floor": "lead"})
	s.ask(t, scene{as: office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed stripe"}, status: 201})
	first := orderFile(t, "SMI-1")
	s.ask(t, scene{as: office, do: "POST /api/orders", send: first, status: 201})
	second := orderFile(t, "SMI-1", "finished_length: 95 1/2", "finished_length: 93")
	s.ask(t, scene{as: office, do: "PUT /api/orders/SMI-1", send: second, status: 200})
	s.release(t, "SMI-2")
	s.cutAll(t, "SMI-2")
	got := s.ask(t, scene{as: office, do: "GET /api/export.json", status: 200})
	var whole struct {
		Shop   struct{ Name string }
		People []struct{ Name string }
		Books  map[string][]struct {
			ID     string
			Fields map[string]string
		}
		Orders []struct {
			Order string
			Files []struct {
				Revision int
				Text     string
			}
		}
		Events []struct{ Seq int64 }
	}
	if err := json.Unmarshal(got.body, &whole); err != nil {
		t.Fatal(err)
	}
	if whole.Shop.Name != "Saltmarsh Workroom" || len(whole.People) != 1 || whole.Books["cloths"][0].Fields["name"] != "Reed stripe" || len(whole.Books["customers"]) != 1 {
		t.Errorf("%+v %+v %+v", whole.Shop, whole.People, whole.Books)
	}
	if len(whole.Orders) != 2 || len(whole.Orders[0].Files) != 2 || whole.Orders[0].Files[0].Text != first || whole.Orders[0].Files[1].Text != second {
		t.Errorf("the orders are %+v", whole.Orders)
	}
	if int64(len(whole.Events)) != s.Store.Floor().Seq() {
		t.Errorf("%d of %d events", len(whole.Events), s.Store.Floor().Seq())
	}
	for i, e := range whole.Events {
		if e.Seq != int64(i+1) {
			t.Fatalf("event %d stands at %d", e.Seq, i)
		}
	}
	for _, secret := range []string{badge, s.tokens[office], testPassphrase} {
		if strings.Contains(string(got.body), secret) {
			t.Error("a secret is in it")
		}
	}
	var any any
	if err := json.Unmarshal(got.body, &any); err != nil {
		t.Fatal(err)
	}
	keysOf(any, func(key string) {
		for _, bad := range []string{"passphrase", "pin", "token", "secret", "hash", "badge"} {
			if strings.EqualFold(key, bad) {
				t.Errorf("a key is called %q", key)
			}
		}
	})
	s.ask(t, scene{as: stations.Accounts, do: "GET /api/export.json", status: 403})
	if record := s.ask(t, scene{as: office, do: "GET /api/record", status: 200}); !strings.Contains(string(record.body), `"what":"shop_copied","about":"export.json"`) {
		t.Error("nobody can tell that it was exported")
	}
}

// keysOf calls f with every key of every object in a document.
func keysOf(v any, f func(key string)) {
	switch v := v.(type) {
	case map[string]any:
		for key, value := range v {
			f(key)
			keysOf(value, f)
		}
	case []any:
		for _, value := range v {
			keysOf(value, f)
		}
	}
}
