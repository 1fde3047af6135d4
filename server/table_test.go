package server

import (
	"fmt"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestCuttingTable: two cuts, a flaw where the third would lie, a spoilt one, what is left; the answers carry the new
// lines, a key sent again is answered alike, the label prints no flaw over a cut, and finish asks for each cut.
func TestCuttingTable(t *testing.T) {
	s := openShop(t)
	s.releaseTwo(t, "SMI-1", r1, "    bolts: [{id: R1, length: 40 yd, lot: A}]\n")
	code := s.ticketOf(t, "SMI-1", "", "reed")
	bench := stations.Bench
	told := func(action string, status int, refused string, more ...any) answer {
		t.Helper()
		return s.ask(t, scene{as: bench, do: "POST /api/scans", send: scanOf(code, action, "", more...), status: status, code: refused})
	}
	told("cut", 409, "not_started", "cut", "1")
	s.ask(t, scene{as: bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
	told("cut", 422, "cut_too_short", "cut", "1", "length", "111in")
	told("cut", 422, "bad_value", "cut", "1", "after", "2")
	told("flaw", 404, "unknown_bolt", "bolt", "R9", "from", "10", "to", "12")
	told("flaw", 422, "bad_length", "bolt", "R1", "from", "ten", "to", "12")
	told("flaw", 422, "off_bolt", "bolt", "R1", "from", "1430", "to", "1450")
	told("cut", 200, "", "cut", "1", "length", "121.5in")
	if got := told("cut", 200, "", "cut", "2"); got.at("lines.0.ticket") != "" || got.at("state") != "at_work" {
		t.Errorf("cut as planned: %s", got.body)
	}
	flaw := scanOf(code, "flaw", "", "bolt", "R1", "from", "262in", "to", "7 yd 14 in")
	first := s.ask(t, scene{as: bench, do: "POST /api/scans", send: flaw, status: 200})
	if first.at("lines.0.ticket") != code || first.at("lines.0.cuts.2.from") != "270in" || first.at("lines.0.cuts.1.done") != "true" {
		t.Errorf("a flaw: %s", first.body)
	}
	if again := s.ask(t, scene{as: bench, do: "POST /api/scans", send: flaw, status: 200}); string(again.body) != string(first.body) {
		t.Errorf("sent again: %s, first %s", again.body, first.body)
	}
	flaw["to"] = "270in"
	s.ask(t, scene{as: bench, do: "POST /api/scans", send: flaw, status: 409, code: "key_reused"})
	told("spoil", 422, "reason_missing", "cut", "2")
	if got := told("spoil", 200, "", "cut", "2", "reason", "scissors slipped"); got.at("lines.0.cuts.1.done") != "" {
		t.Errorf("spoilt: %s", got.body)
	}
	told("spoil", 409, "not_cut", "cut", "2", "reason", "again")
	told("rest", 200, "", "bolt", "R1", "length", "33 yd")
	doc := s.ask(t, scene{as: bench, do: "GET /api/tickets/" + code, status: 200})
	if doc.at("cuts.0.done") != "true" || doc.at("off.0.as") != "flaw" || doc.at("off.1.as") != "spoilt" || doc.at("off.2.as") != "rest" {
		t.Errorf("the ticket: %s", doc.body)
	}
	var missing []string
	refused := s.ask(t, scene{as: bench, do: "POST /api/scans", send: finishOf(doc, code), status: 422, code: "entries_missing"})
	for i := 0; refused.at(fmt.Sprintf("missing.%d", i)) != ""; i++ {
		missing = append(missing, refused.at(fmt.Sprintf("missing.%d", i)))
	}
	if got := strings.Join(missing, " "); !strings.HasPrefix(got, "cut.") || strings.Count(got, "cut.") != 7 {
		t.Errorf("missing %q", got)
	}
	for _, name := range missing {
		told("cut", 200, "", "cut", strings.TrimPrefix(name, "cut."))
	}
	s.ask(t, scene{as: bench, do: "POST /api/scans", send: finishOf(doc, code), status: 200})
	s.audited(t)
}

// TestCuttingTableHeld: where the cloth no longer suffices, the answer says so and by how much; the office goes on.
func TestCuttingTableHeld(t *testing.T) {
	s := openShop(t)
	s.releaseTwo(t, "SMI-1", r1, "    bolts: [{id: R1, length: 27 yd, lot: A}]\n")
	code := s.ticketOf(t, "SMI-1", "", "reed")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
	got := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "flaw", "", "bolt", "R1", "from", "60", "to", "63"), status: 200})
	if got.at("state") != "held" || got.at("problems.0.code") != "cloth_short" || !strings.Contains(got.at("problems.0.message"), "short") {
		t.Errorf("short: %s", got.body)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "resume", ""), status: 403, code: "lead_only"})
	got = s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(code, "resume", "", "override", true, "reason", "from the next bolt"), status: 200})
	if got.at("state") != "at_work" {
		t.Errorf("gone on: %s", got.body)
	}
	s.audited(t)
}
