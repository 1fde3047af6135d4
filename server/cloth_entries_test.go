package server

import (
	"fmt"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/shelf"
)

// entries are the names of what a ticket's step asks, and the target of each.
func entries(doc answer) map[string]string {
	list := map[string]string{}
	for i := 0; doc.at(fmt.Sprintf("step.enter.%d.name", i)) != ""; i++ {
		list[doc.at(fmt.Sprintf("step.enter.%d.name", i))] = doc.at(fmt.Sprintf("step.enter.%d.target", i))
	}
	return list
}

// TestTableByEntries: once a bolt is on the table its ticket asks for each cut, for what is left and for what came off, by names that programs
// know; what a finish brings of it is done as if it had been told at the table, all of it or nothing.
func TestTableByEntries(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd", "place": "3B"})
	ticket := s.linked(t, "A")
	look := func() answer {
		return s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + ticket, status: 200})
	}
	value := func(doc answer, name string) string {
		for i := 0; doc.at(fmt.Sprintf("step.values.%d.name", i)) != ""; i++ {
			if doc.at(fmt.Sprintf("step.values.%d.name", i)) == name {
				return doc.at(fmt.Sprintf("step.values.%d.value", i))
			}
		}
		return ""
	}
	before := look()
	if asked := entries(before); asked["cut.1"] != "" || before.at("step.missing.#") != "" && before.at("step.missing.#") != "0" {
		t.Errorf("with nothing told it asks %v", asked)
	}
	for name, want := range map[string]string{"bolts_to_fetch": "1", "opened": "1", "proof": "proven"} {
		if got := value(before, name); got != want {
			t.Errorf("%s is %q", name, got)
		}
	}
	if before.at("cuts.0.plan") != "1" || before.at("cuts.1.plan") != "2" || before.at("cuts.0.phase") != "A" || !strings.Contains(string(before.body), `"label_matches_bolt"`) || strings.Contains(string(before.body), `"remnants_labelled"`) {
		t.Errorf("the ticket is %s", before.body)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
	s.ask(t, s.told(bolt, "lay", "ticket", ticket))
	s.ask(t, s.told(bolt, "cut", "cut", "1"))
	s.ask(t, s.told(bolt, "flaw", "after", "1", "from", "30in", "to", "32in"))
	doc := look()
	asked := entries(doc)
	if asked["cut.1"] != "" || asked["cut.2"] != "121.5in" || asked["rest."+bolt] == "" || asked["remnant.1"] != "keep" || asked["remnant.2"] != "" || doc.at("step.missing.0") != "cut.2" || value(doc, "bolts_to_fetch") != "0" || value(doc, "opened") != "1" ||
		!strings.Contains(string(doc.body), `"remnants_labelled"`) {
		t.Errorf("told, it asks %v: %s", asked, doc.body)
	}
	was := string(s.ask(t, scene{as: stations.Bench, do: "GET /api/bolts/" + bolt, status: 200}).body)
	all := finishOf(doc, ticket, "remnant.1", "")
	s.ask(t, scene{name: "a cut lacks", as: stations.Bench, do: "POST /api/scans", send: finishOf(doc, ticket, "cut.2", ""), status: 422, code: "entries_missing",
		has: map[string]string{"missing.0": "cut.2", "missing.#": "1"}})
	s.ask(t, scene{name: "of more than comes off", as: stations.Bench, do: "POST /api/scans", send: finishOf(doc, ticket, "remnant.2", "keep"), status: 422, code: "unknown_key"})
	refused := s.ask(t, scene{name: "what comes off with the next cut", as: stations.Bench, do: "POST /api/scans", send: all, status: 422, code: "entries_missing"})
	if refused.at("missing.0") != "remnant.1" || was != string(s.ask(t, scene{as: stations.Bench, do: "GET /api/bolts/" + bolt, status: 200}).body) {
		t.Errorf("refused, the answer is %s, and the bolt is another", refused.body)
	}
	s.ask(t, scene{name: "a cut that is done", as: stations.Bench, do: "POST /api/scans", send: finishOf(doc, ticket, "cut.1", "121.5in"), status: 409, code: "cut_already"})
	s.ask(t, scene{name: "a cut that isn't there", as: stations.Bench, do: "POST /api/scans", send: finishOf(doc, ticket, "cut.77", "121.5in"), status: 422, code: "unknown_key"})
	s.ask(t, scene{name: "too short", as: stations.Bench, do: "POST /api/scans", send: finishOf(doc, ticket, "cut.2", "90in"), status: 422, code: "cut_too_short"})
	s.ask(t, s.told(bolt, "cut", "cut", "2"))
	if asked = entries(look()); asked["remnant.1"] != "keep" {
		t.Fatalf("it asks %v", asked)
	}
	s.ask(t, scene{name: "measured otherwise", as: stations.Bench, do: "POST /api/scans", send: finishOf(look(), ticket, "rest."+bolt, "100in"), status: 422, code: "rest_differs"})
	longer := finishOf(look(), ticket, "cut.3", "125in", "rest."+bolt, "600in")
	longer["again"] = true
	done := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: longer, status: 200, has: map[string]string{"state": "finished"}})
	if again := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: longer, status: 200}); string(again.body) != string(done.body) {
		t.Errorf("sent again it is answered %s", again.body)
	}
	b := s.bolted(bolt)
	if b.State() != shelf.OnShelf || !b.Measured || b.Rest != 600*measure.Inch || !b.Account().Balances() || len(b.Unlabelled()) != 0 || b.Account().Remnants != 30*measure.Inch {
		t.Errorf("finished, the bolt is %s with %s, %+v", b.State(), b.Rest.In(measure.In), b.Account())
	}
	if got := s.cutLength(ticket, "3"); got != 125*measure.Inch {
		t.Errorf("cut 3 is %s", got.In(measure.In))
	}
	s.audited(t)
	s.ask(t, scene{name: "taken back, what was told stays", as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "undo", "cutting"), status: 200})
	if back := look(); back.at("state") != "at_work" || back.at("cuts.2.done") != "true" || s.bolted(bolt).Rest != 600*measure.Inch {
		t.Errorf("taken back: %s", back.body)
	}
	s.promisedOnce(t)
	s.audited(t)
}

// TestEveryTargetFinishes: every target sent back finishes a cutting whose bolt is laid, what comes off with its cuts too; it is kept, with a label.
func TestEveryTargetFinishes(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "inspect", "key": "i", "flaws": []fields{{"from": "60in", "to": "66in"}}}, status: 200})
	ticket := s.linked(t, "A")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
	s.ask(t, s.told(bolt, "lay", "ticket", ticket))
	doc := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + ticket, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(doc, ticket), status: 200, has: map[string]string{"state": "finished"}})
	s.ask(t, scene{as: stations.Bench, do: "GET /api/bolts?cloth=reed", status: 200, has: map[string]string{"bolts.#": "2", "bolts.0.kind": "remnant", "bolts.0.rest": "60in"}})
	s.audited(t)
}
