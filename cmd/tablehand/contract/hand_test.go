package contract

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// handSetOrder is the order in which a hand-set panel is worked.
var handSetOrder = strings.Fields("cutting joining heading pleating tacking pressing packing")

// TestHandSetRoute takes the example order with its heading set by hand through its route: cutting joining heading
// pleating tacking pressing packing. The tape and the cord's end that the file keeps mean nothing to it.
func TestHandSetRoute(t *testing.T) {
	s := shoptest.Open(t)
	for _, heading := range []string{"pinch-2", "pinch-3"} {
		t.Run(heading, func(t *testing.T) {
			f := s.Release(t, "HAND-"+heading[6:], "heading: cartridge-tape", "heading: "+heading)
			f.CutAll(t)
			code := f.Panels[0].Ticket
			var route []string
			for _, r := range s.Look(t, code).Route {
				route = append(route, r.Station)
			}
			// Other stations may stand between them.
			passed := slices.DeleteFunc(slices.Clone(route), func(s string) bool { return !slices.Contains(handSetOrder, s) })
			if !slices.Equal(passed, handSetOrder) {
				t.Fatalf("route %v, want %v in this order", route, handSetOrder)
			}
			for _, station := range route[1:] {
				s.WorkTo(t, code, station)
				st := s.Look(t, code).Step
				for _, v := range st.Values {
					if strings.HasPrefix(v.Name, "tape") || strings.HasPrefix(v.Name, "cord") || v.Value == "" {
						t.Errorf("%s shows %s %q", station, v.Name, v.Value)
					}
				}
				if asks := st.EntryNames(); station == "packing" && asks != "finished_width finished_length" {
					t.Errorf("packing asks for %s", asks)
				}
			}
			s.WorkTo(t, code, "")
			s.Expect(t, code, "packing", "finished")
		})
	}
	s.Audit(t)
}

// TestWorkupSaysWhatEachRuleOrders: the work-up can say what each named rule would have ordered.
func TestWorkupSaysWhatEachRuleOrders(t *testing.T) {
	file := shoptest.WriteFile(t, "order.yaml", shoptest.OrderFile(t, "RULES-1"))
	out, complaint, code := shoptest.Command(t, "workup", file, "--rules", "--format", "json")
	if code != 0 {
		t.Fatal(complaint)
	}
	var doc struct {
		Rules []struct {
			Convention, Value string
			InForce           bool `json:"in_force"`
			Fabrics           []struct {
				ToOrder string `json:"to_order"`
			}
		}
	}
	if err := json.Unmarshal([]byte(out), &doc); err != nil {
		t.Fatal(err)
	}
	orders := map[string]string{}
	for _, r := range doc.Rules {
		orders[r.Value] = r.Fabrics[0].ToOrder
		if r.Value == "add_one" && r.InForce || r.Value == "whole_repeats" && !r.InForce {
			t.Errorf("%+v", r)
		}
	}
	// Five cuts: of 9 repeats; of 111½ on phase; of 111½ and 13½. One repeat for position each time.
	for rule, want := range map[string]string{"whole_repeats": "17.25yd", "on_phase": "17yd", "add_one": "17.75yd"} {
		if orders[rule] != want {
			t.Errorf("%s orders %s, want %s", rule, orders[rule], want)
		}
	}
	if out, _, _ = shoptest.Command(t, "workup", file, "--rules"); !strings.Contains(out, "17 3/4 yd") || strings.Contains(out, "half-drop") {
		t.Errorf("as text:\n%s", out)
	}
	if out, _, _ = shoptest.Command(t, "workup", file, "--format", "json"); strings.Contains(out, `"rules"`) {
		t.Error("rules nobody asked for")
	}
}
