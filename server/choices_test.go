package server

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
)

const someWindows = `units: in
order: SMI-7
fabrics: [{id: reed, use: face, usable_width: 54}]
treatments:
  - {window: Hall, heading: pinch-2, face_width: 60, finished_length: 80, face: reed}
  - {window: Den, heading: pinch-3, face_width: 84, finished_length: 95 1/2, face: reed}
`

// TestChoices: the ways to make a window, with cloth and price: one of two widths a panel takes a fifth of the cloth less than 2½,
// 4 cuts of 111½ in instead of 5, which is counted by hand.
func TestChoices(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "PUT /api/prices", status: 200, send: fields{"currency": "USD", "rows": []fields{{"heading": "pinch-3", "panel": "40.00", "width": "18.00"}}}})
	type choice struct {
		Set       map[string]string
		Code, Why string
		Heading   string
		Fabrics   []struct{ Length string }
		Panels    []map[string]any
		Price     *struct{ Amount, Currency string }
	}
	read := func(body any) []choice {
		var got struct{ Choices []choice }
		if err := json.Unmarshal(s.ask(t, scene{as: office, do: "POST /api/choices", send: body, status: 200}).body, &got); err != nil {
			t.Fatal(err)
		}
		return got.Choices
	}
	list := read("treatment: 1\n" + someWindows)
	if len(list) < 3 || len(list) > 5 || list[0].Code != "as_asked" || len(list[0].Set) != 0 {
		t.Fatalf("%+v", list)
	}
	if p := list[0].Price; list[0].Fabrics[0].Length != "557.5in" || p == nil || p.Amount != "170.00" || p.Currency != "USD" {
		t.Errorf("as it is asked it takes %+v at %+v", list[0].Fabrics, p) // 2 × (40 + 2½ × 18)
	}
	less := list[1]
	if less.Code != "less_cloth" || less.Set["widths"] != "2" || less.Fabrics[0].Length != "446in" || less.Price.Amount != "152.00" || !strings.Contains(less.Why, "111 1/2") && !strings.Contains(less.Why, "111½") {
		t.Errorf("with less cloth: %+v", less)
	}
	for _, c := range list {
		if (c.Heading == "pinch-3") != (c.Price != nil) {
			t.Errorf("a price without a row, or none with one: %+v", c)
		}
	}
	asJSON := read(fields{"treatment": 1, "order": "SMI-7", "units": "in", "fabrics": []fields{{"id": "reed", "use": "face", "usable_width": 54}},
		"treatments": []fields{{"window": "Hall", "heading": "pinch-2", "face_width": 60, "finished_length": 80, "face": "reed"}, {"window": "Den", "heading": "pinch-3", "face_width": 84, "finished_length": "95 1/2", "face": "reed"}}})
	if fmt.Sprint(asJSON[1].Set, asJSON[1].Why) != fmt.Sprint(less.Set, less.Why) {
		t.Errorf("as JSON %+v, as YAML %+v", asJSON[1], less)
	}
	for _, step := range []scene{
		{name: "of which window isn't said", as: office, do: "POST /api/choices", send: someWindows, status: 422, has: map[string]string{"problems.0.where": "treatment"}},
		{name: "of none that there is", as: office, do: "POST /api/choices", send: "treatment: 2\n" + someWindows, status: 422, has: map[string]string{"problems.0.where": "treatment"}},
		{name: "a file with an error keeps its lines", as: office, do: "POST /api/choices", send: "treatment: 1\n" + strings.Replace(someWindows, "84", "x", 1), status: 422, has: map[string]string{"problems.0.line": "7"}},
		{name: "not the bench's", as: stations.Bench, do: "POST /api/choices", send: "treatment: 1\n" + someWindows, status: 403, code: "forbidden"},
	} {
		s.ask(t, step)
	}
}

// TestWaysInTheForm: without script they stand under their window, and one press takes one; with script they come as HTML.
func TestWaysInTheForm(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.visit(t, office, "/taking", 200, `value="ways:treatments.0"`)
	asked := holds(t, "asked for", s.post(t, office, "/taking", with(typedOrder("SMI-1"), "do", "ways:treatments.7"), false), 200, []string{`class="way asked"`})
	if n := strings.Count(asked, `<li class="way`); n < 3 || n > 5 {
		t.Errorf("%d ways", n)
	}
	holds(t, "taken", s.post(t, office, "/taking", with(typedOrder("SMI-1"), "do", "set:treatments.7:"+url.Values{"heading": {"pinch-2"}}.Encode()), false), 200, []string{`heading: pinch-2`})
	if a := s.drafted(t, "/taking/draft", with(typedOrder("SMI-1"), "do", "ways:treatments.7"), 200); !strings.Contains(a.Ways, `value="set:treatments.7:`) {
		t.Errorf("by script: %s", a.Ways)
	}
	if a := s.drafted(t, "/taking/draft", with(typedOrder("SMI-1"), "do", "ways:treatments.7", "treatments.7.face_width", ""), 200); strings.Contains(a.Ways, "<li") {
		t.Errorf("of a window that isn't filled in: %s", a.Ways)
	}
}
