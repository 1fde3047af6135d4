package server

import (
	"fmt"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// boltOrder is an order of two widths cut from a bolt: 2 × 111½ and 2 × 111½ for a pair, on plain cloth.
func boltOrder(id, bolt string) string {
	return fmt.Sprintf(`order: %s
customer: Saltmarsh Inn
units: in
fabrics:
  - {id: reed, use: face, usable_width: 54, bolts: [%s]}
treatments:
  - {window: Bay, heading: pinch-2, face_width: 60, finished_length: 95 1/2, face: reed}
`, id, bolt)
}

// TestSharedBolts: a bolt that two unfinished orders name alike is told at taking and refused at release, unless each
// says which part of it is its own, or the office that it is two.
func TestSharedBolts(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	post := func(id, bolt string) answer {
		t.Helper()
		return s.ask(t, scene{as: office, do: "POST /api/orders", send: boltOrder(id, bolt), status: 201})
	}
	put := func(id, bolt string, status int, code string) answer {
		t.Helper()
		return s.ask(t, scene{as: office, do: "PUT /api/orders/" + id, send: boltOrder(id, bolt), status: status, code: code})
	}
	release := func(id string, body fields, status int, code string) answer {
		t.Helper()
		return s.ask(t, scene{as: office, do: "POST /api/orders/" + id + "/release", send: body, status: status, code: code})
	}
	told := func(a answer) string {
		for i := range 20 {
			at := fmt.Sprintf("problems.%d.", i)
			if a.at(at+"code") == "bolt_shared" {
				return a.at(at+"severity") + " " + a.at(at+"where") + ": " + a.at(at+"message")
			}
		}
		return ""
	}
	const whole = "{id: R1, length: 40 yd, lot: A}"
	if got := told(post("ONE", whole)); got != "" {
		t.Errorf("alone: %s", got)
	}
	release("ONE", fields{}, 200, "")
	end := s.Store.Floor().SharedBolts("TWO", []plan.NamedBolt{{Fabric: "reed", Bolt: "R1", Lot: "A"}})[0].Taken

	if got := told(post("OTHER-LOT", "{id: R1, length: 40 yd, lot: B}")); got != "" {
		t.Errorf("of another lot: %s", got)
	}
	release("OTHER-LOT", fields{}, 200, "")

	if got := told(post("TWO", whole)); !strings.HasPrefix(got, "warning fabrics[0].bolts[0]: reed: bolt R1 of lot A is in ONE too. It is free after ") {
		t.Errorf("named alike: %q", got)
	}
	refused := release("TWO", fields{}, 409, "bolt_shared")
	if refused.at("where.orders.0") != "ONE" || refused.at("where.orders.#") != "1" {
		t.Errorf("refused: %s", refused.body)
	}
	release("TWO", fields{"override": true, "reason": " "}, 422, "missing_key")
	page := string(s.ask(t, scene{as: office, do: "GET /orders/TWO", status: 200}).body)
	for _, text := range []string{"A bolt is planned for two orders", "is in ONE too", `name="override"`} {
		if !strings.Contains(page, text) {
			t.Errorf("the order's page lacks %q", text)
		}
	}

	if got := told(put("TWO", "{id: R1, length: 40 yd, lot: A, from: 2 yd}", 200, "")); !strings.Contains(got, "both are cut from the same part of it") {
		t.Errorf("overlapping parts: %q", got)
	}
	release("TWO", fields{}, 409, "bolt_shared")
	if got := told(put("TWO", "{id: R1, length: 40 yd, lot: A, from: "+end.String()+"}", 200, "")); got != "" {
		t.Errorf("from where the other ends: %s", got)
	}
	release("TWO", fields{}, 200, "")
	work := s.ask(t, scene{as: office, do: "GET /api/orders/TWO/workup", status: 200})
	if got := work.at("totals.fabrics.0.on_bolts"); got == "1440in" {
		t.Errorf("all of the bolt counts for the order")
	}
	cutting := s.Store.Floor().Ticket(plan.Code(s.ticketOf(t, "TWO", "", "reed"))).Spec
	if cutting.Cuts[0].From != end || cutting.Parts[0].Bolt != "R1" {
		t.Errorf("the first cut starts at %s, not %s; %+v", cutting.Cuts[0].From, end, cutting.Parts)
	}
	if page := string(s.ask(t, scene{as: office, do: "GET /t/" + string(cutting.Code), status: 200}).body); !strings.Contains(page, "Measure from the bolt’s first end") {
		t.Error("the cutting ticket doesn't say where the order's part begins")
	}

	// A revision may not grow into the other's part.
	longer := strings.Replace(boltOrder("ONE", whole), "finished_length: 95 1/2", "finished_length: 99", 1)
	s.ask(t, scene{as: office, do: "PUT /api/orders/ONE", send: longer, status: 409, code: "bolt_shared"})
	if got := s.ask(t, scene{as: office, do: "PUT /api/orders/ONE?try=true", send: longer, status: 200}); got.at("shared.0") != "TWO" {
		t.Errorf("a try tells %s", got.body)
	}

	// What is laid out anew keeps clear of it.
	s.cutAll(t, "ONE")
	panel := s.ticketOf(t, "ONE", "Bay", "L")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(panel, "hold", "", "reason", "scorched"), status: 200})
	again := s.ask(t, scene{as: office, do: "POST /api/scans", send: scanOf(panel, "remake", "", "reason", "scorched"), status: 200})
	span := func(l plan.Cut) (from, to float64) {
		var length float64
		if n, err := fmt.Sscanf(l.From.String()+" "+l.Length.String(), "%fin %fin", &from, &length); n != 2 {
			t.Fatal(l, err)
		}
		return from, from + length
	}
	last := cutting.Cuts[len(cutting.Cuts)-1]
	_, theirs := span(last)
	for _, also := range s.Store.Floor().Order("ONE").Tickets {
		if also.Spec.Kind == plan.CuttingTicket && also.State() != stations.Finished {
			for _, l := range also.Spec.Cuts {
				if from, _ := span(l); from < theirs {
					t.Errorf("the remake is cut from %s, TWO from %s to %v", l.From, cutting.Cuts[0].From, theirs)
				}
			}
		}
	}
	if again.at("new") == "" {
		t.Errorf("remade: %s", again.body)
	}

	// Two bolts, says the office, and that is kept.
	post("THREE", whole)
	release("THREE", fields{}, 409, "bolt_shared")
	release("THREE", fields{"override": true, "reason": "another bolt of the name"}, 200, "")
	if got := told(put("THREE", whole, 200, "")); got != "" {
		t.Errorf("told again: %s", got)
	}

	// An order that is cancelled or finished gives its bolts free.
	post("FOUR", "{id: R9, length: 40 yd}")
	s.ask(t, scene{as: office, do: "POST /api/orders/FOUR/cancel", send: fields{"reason": "sold"}, status: 200})
	if got := told(post("FIVE", "{id: R9, length: 40 yd}")); got != "" {
		t.Errorf("of a cancelled order: %s", got)
	}
	release("FIVE", fields{}, 200, "")
	s.cutAll(t, "FIVE")
	for _, side := range []string{"L", "R"} {
		s.workOn(t, s.ticketOf(t, "FIVE", "Bay", side), "")
	}
	if got := told(post("SIX", "{id: R9, length: 40 yd}")); got != "" {
		t.Errorf("of a finished order: %s", got)
	}
	release("SIX", fields{}, 200, "")
	s.audited(t)
}

// TestBoltFrom: where an order's part of a bolt begins lies on the bolt, and can be typed into the form.
func TestBoltFrom(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	past := s.ask(t, scene{as: office, do: "POST /api/orders", send: boltOrder("PAST", "{id: R1, length: 40 yd, from: 40 yd}"), status: 422})
	if past.at("problems.0.where") != "fabrics[0].bolts[0].from" || past.at("problems.0.code") != "bad_value" {
		t.Errorf("past the bolt's end: %s", past.body)
	}
	s.ask(t, scene{as: office, do: "POST /api/orders", send: boltOrder("ONE", "{id: R1, length: 40 yd, from: 12 yd}"), status: 201})
	form := string(s.ask(t, scene{as: office, do: "GET /orders/ONE/edit", status: 200}).body)
	if !strings.Contains(form, `name="fabrics.0.bolts.0.from" value="12 yd"`) {
		t.Errorf("the form has no field of it: %s", form[strings.Index(form, "bolts.0"):][:2000])
	}
}
