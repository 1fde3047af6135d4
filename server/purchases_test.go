package server

import (
	"encoding/csv"
	"encoding/json"
	"math/big"
	"net/url"
	"slices"
	"strings"
	"testing"

	"tablehand/stations"
)

// yards reads a length of a document, in whatever unit it is, as yards.
func yards(t *testing.T, text string) *big.Rat {
	t.Helper()
	for unit, inches := range map[string]*big.Rat{"yd": big.NewRat(36, 1), "in": big.NewRat(1, 1)} {
		if number, ok := strings.CutSuffix(text, unit); ok {
			n, ok := new(big.Rat).SetString(number)
			if !ok {
				t.Fatal(text)
			}
			return n.Mul(n, inches).Quo(n, big.NewRat(36, 1))
		}
	}
	t.Fatalf("%q is in a unit that this test doesn't read", text)
	return nil
}

// TestPurchases: the list of a week is the sum of the orders that are due in it, less what their own bolts hold, worked out a second
// time from what the API says of each order; it is rounded once.
func TestPurchases(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	bare := func(name, due string) string {
		file := orderFile(t, name, "due: 2026-12-18", "due: "+due)
		var kept []string
		bolts := false
		for _, line := range strings.Split(file, "\n") { // without bolts
			switch trimmed := strings.TrimSpace(line); {
			case trimmed == "bolts:":
				bolts = true
			case bolts && strings.HasPrefix(trimmed, "- {id:"):
			default:
				bolts = false
				kept = append(kept, line)
			}
		}
		return strings.Join(kept, "\n")
	}
	for name, file := range map[string]string{
		"MON-1": bare("MON-1", "2026-12-07"), "SUN-1": bare("SUN-1", "2026-12-13"), "OUT-1": bare("OUT-1", "2026-12-14"), "OFF-1": bare("OFF-1", "2026-12-10"),
		"HAS-1": orderFile(t, "HAS-1", "due: 2026-12-18", "due: 2026-12-09"),
	} {
		s.ask(t, scene{name: name, as: office, do: "POST /api/orders", send: file, status: 201})
	}
	s.ask(t, scene{as: office, do: "POST /api/orders/OFF-1/cancel", send: fields{"reason": "House sold"}, status: 200})
	s.ask(t, scene{as: office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed stripe", "supplier": "Marsh Mill", "number": "4711"}, status: 201})
	s.ask(t, scene{as: office, do: "PUT /api/tapes/cart-4", send: fields{"name": "Cartridge 4 in", "kind": "cartridge", "supplier": "Aster Trims", "roll": "50 yd"}, status: 201})

	// The second way: from each order's document. A patterned face has one repeat for positioning beside its cuts.
	want := map[string]*big.Rat{}
	add := func(what string, n *big.Rat) {
		if want[what] == nil {
			want[what] = new(big.Rat)
		}
		want[what].Add(want[what], n)
	}
	for _, order := range []string{"MON-1", "SUN-1", "HAS-1"} {
		w := s.ask(t, scene{as: office, do: "GET /api/orders/" + order + "/workup", status: 200})
		for i, repeat := range []*big.Rat{big.NewRat(27, 2*36), new(big.Rat)} { // reed repeats every 13 1/2 in
			at := "totals.fabrics." + string(rune('0'+i)) + "."
			need := yards(t, w.at(at+"length"))
			if need.Add(need, repeat); w.at(at+"on_bolts") != "" {
				if need.Sub(need, yards(t, w.at(at+"on_bolts"))); need.Sign() < 0 {
					need.SetInt64(0)
				}
			}
			add("cloth "+w.at(at+"fabric"), need)
		}
		add("tape cart-4", yards(t, w.at("totals.tape.0.to_order")))
		add("buckram ", yards(t, w.at("totals.buckram.0.length")))
		hooks, _ := new(big.Rat).SetString(w.at("totals.hooks.0.count"))
		add("hooks ", hooks)
	}
	list := "/api/purchases?from=2026-12-07&to=2026-12-13"
	var got struct {
		Suppliers []struct {
			Supplier string
			Lines    []struct {
				Line, What, ID, Need, Unit, State string
				ToOrder                           string `json:"to_order"`
				Packs                             int
				Orders                            []string
			}
		}
	}
	if err := json.Unmarshal(s.ask(t, scene{as: office, do: "GET " + list, status: 200}).body, &got); err != nil {
		t.Fatal(err)
	}
	seen, lines := map[string]bool{}, map[string]string{}
	for _, supplier := range got.Suppliers {
		for _, l := range supplier.Lines {
			name := l.What + " " + l.ID
			lines[name] = l.Line
			if want[name] == nil {
				continue
			}
			seen[name] = true
			need, toOrder := new(big.Rat), new(big.Rat)
			if l.Unit == "pieces" {
				need.SetString(l.Need)
				toOrder.SetString(l.ToOrder)
			} else {
				need, toOrder = yards(t, l.Need), yards(t, l.ToOrder)
			}
			if off := new(big.Rat).Sub(need, want[name]); off.Abs(off).Cmp(big.NewRat(1, 1000)) > 0 {
				t.Errorf("%s: %s, the orders come to %s", name, l.Need, want[name].FloatString(4))
			}
			step := big.NewRat(1, 8) // of a yard: the step in which cloth is sold, as shipped
			over := new(big.Rat).Sub(toOrder, want[name])
			if l.What == "cloth" && (over.Cmp(big.NewRat(-1, 10000)) < 0 || over.Cmp(step) >= 0 || !new(big.Rat).Quo(toOrder, step).IsInt()) {
				t.Errorf("%s: to order %s of %s", name, l.ToOrder, want[name].FloatString(4))
			}
			if l.What == "tape" && l.Packs != 1 || l.State != "open" {
				t.Errorf("%s: %d packs, %s", name, l.Packs, l.State)
			}
			if l.ID == "reed" && (supplier.Supplier != "Marsh Mill" || !slices.Equal(l.Orders, []string{"MON-1", "SUN-1"})) {
				t.Errorf("reed is of %q for %v", supplier.Supplier, l.Orders)
			}
		}
	}
	if len(seen) != len(want) {
		t.Errorf("%d of %d things are on the list", len(seen), len(want))
	}
	reed, hooks := "/api/purchases/"+lines["cloth reed"], "/api/purchases/"+lines["hooks "]
	s.play(t, []scene{
		{name: "ordered, some on hand", as: office, do: "POST " + reed, send: fields{"state": "ordered", "on_hand": "5 yd"}, status: 200, has: map[string]string{"state": "ordered", "on_hand": "5yd"}},
		{name: "here; what is on hand stays said", as: office, do: "POST " + reed, send: fields{"state": "come"}, status: 200, has: map[string]string{"state": "come", "on_hand": "5yd"}},
		{name: "pieces", as: office, do: "POST " + hooks, send: fields{"on_hand": "10000"}, status: 200, has: map[string]string{"to_order": "0", "state": "open"}},
		{name: "no state", as: office, do: "POST " + reed, send: fields{"state": "lost"}, status: 422, code: "bad_value"},
		{name: "no length", as: office, do: "POST " + reed, send: fields{"on_hand": "some"}, status: 422, code: "bad_length"},
		{name: "less than nothing", as: office, do: "POST " + hooks, send: fields{"on_hand": "-3"}, status: 422, code: "bad_value"},
		{name: "nothing said", as: office, do: "POST " + reed, send: fields{}, status: 422, code: "missing_key"},
		{name: "no line", as: office, do: "POST /api/purchases/none", send: fields{"state": "open"}, status: 404, code: "not_found"},
		{name: "not for benches", as: stations.Bench, do: "GET " + list, status: 403},
		{name: "no day", as: office, do: "GET /api/purchases?from=monday&to=2026-12-13", status: 422, code: "bad_value"},
		{name: "backwards", as: office, do: "GET /api/purchases?from=2026-12-13&to=2026-12-07", status: 422, code: "bad_value"},
	})
	file := s.ask(t, scene{as: office, do: "GET " + strings.Replace(list, "purchases?", "purchases.csv?", 1), status: 200})
	rows, err := csv.NewReader(strings.NewReader(string(file.body))).ReadAll()
	if err != nil || len(rows) != len(lines)+1 || !strings.Contains(string(file.body), "Marsh Mill,cloth,reed,,Reed stripe,4711,") {
		t.Errorf("%v, %d rows: %s", err, len(rows), file.body)
	}
	for _, path := range []string{"/api/purchases.pdf", "/purchases.pdf"} {
		sheet := s.ask(t, scene{as: office, do: "GET " + strings.Replace(list, "/api/purchases", path, 1) + "&paper=a4", status: 200})
		if !strings.HasPrefix(string(sheet.body), "%PDF-") || !strings.Contains(sheet.header.Get("Content-Disposition"), "purchases-2026-12-07.pdf") {
			t.Errorf("%s: %v %.20q", path, sheet.header, sheet.body)
		}
	}
	s.play(t, []scene{
		{name: "no day for paper", as: office, do: "GET /api/purchases.pdf?from=monday&to=2026-12-13", status: 422, code: "bad_value"},
		{name: "no such sheet", as: office, do: "GET " + strings.Replace(list, "purchases?", "purchases.pdf?", 1) + "&paper=label", status: 422, code: "bad_value"},
	})
	page := "/purchases?from=2026-12-07&to=2026-12-13"
	s.visit(t, office, page, 200, "Marsh Mill", "Reed stripe", `value="5 yd"`)
	if got := s.post(t, office, "/purchases/"+lines["cloth reed"], url.Values{"from": {"2026-12-07"}, "to": {"2026-12-13"}, "state": {"open"}, "on_hand": {"lots"}}, false); got.status != 422 ||
		!strings.Contains(string(got.body), "is not a length") {
		t.Error(got.status)
	}
	if got := s.post(t, office, "/purchases/"+lines["cloth reed"], url.Values{"from": {"2026-12-07"}, "to": {"2026-12-13"}, "state": {"open"}, "on_hand": {""}}, false); got.header.Get("Location") != page {
		t.Error(got.status, got.header)
	}
	if strings.Contains(s.visit(t, office, page, 200), `value="5 yd"`) {
		t.Error("what is on hand no more is still said")
	}
}
