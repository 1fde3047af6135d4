package server

import (
	"regexp"
	"strings"
	"testing"

	"tablehand/stations"
)

const r1 = "    bolts:\n      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n"

// TestClothHold: cloth that becomes known after the release and is short holds its cutting ticket. The bench learns why,
// Today and the order's page let the office decide, and what is decided is in the ledger.
func TestClothHold(t *testing.T) {
	s := openShop(t)
	office, bench := stations.Office, stations.Bench
	s.releaseTwo(t, "SMI-1", r1, "")
	code := s.ticketOf(t, "SMI-1", "", "reed")
	short := twoWindows(t, "SMI-1", r1, "    bolts: [{id: R1, length: 10 yd, lot: A}]\n")
	if got := s.ask(t, scene{as: office, do: "PUT /api/orders/SMI-1?try=true", send: short, status: 200}); got.at("held.0") != code {
		t.Errorf("a try tells %s", got.body)
	}
	got := s.ask(t, scene{as: office, do: "PUT /api/orders/SMI-1", send: short, status: 200})
	if got.at("held.0") != code || !strings.Contains(string(got.body), `"cloth_short"`) || !strings.Contains(string(got.body), `"fabric_short"`) {
		t.Errorf("the revision answers %s", got.body)
	}
	if got := s.ask(t, scene{as: bench, do: "GET /api/tickets/" + code, status: 200}); got.at("step.reason") != "cloth_short" || got.at("step.state") != "held" || got.at("step.lacks.short") != "580.5in" {
		t.Errorf("the ticket says %s", got.body)
	}
	s.ask(t, scene{as: bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 409, code: "held"})
	resume := scanOf(code, "resume", "")
	s.ask(t, scene{as: bench, do: "POST /api/scans", send: resume, status: 403, code: "lead_only"})
	resume["override"], resume["reason"] = true, "it comes tomorrow"
	s.ask(t, scene{as: bench, do: "POST /api/scans", send: resume, status: 403, code: "lead_only"})
	for path, as := range map[string]stations.Role{"/": office, "/orders/SMI-1": office, "/station/cutting?ticket=" + code: bench, "/t/" + code: office} {
		page := string(s.ask(t, scene{as: as, do: "GET " + path, header: map[string]string{"Accept": "text/html"}, status: 200}).body)
		if !strings.Contains(page, "short: no bolt has room for cuts 4, 5, 6, 7, 8") {
			t.Errorf("%s doesn't say what is lacking", path)
		}
		alone := regexp.MustCompile(`(?s)<form[^>]*data-lead.*?</form>`).ReplaceAllString(page, "") // where no lead is asked for
		if decides := strings.Contains(alone, `name="override" value="yes"`); decides != (as == office) {
			t.Errorf("%s lets decide: %v", path, decides)
		}
	}
	if got := s.ask(t, scene{as: office, do: "POST /api/scans", send: resume, status: 200}); got.at("state") != "ready" {
		t.Errorf("resumed: %s", got.body)
	}
	s.ask(t, scene{as: bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
	s.audited(t)
}

// TestClothHoldByLots: of mixed lots likewise, and the office may decide with the file.
func TestClothHoldByLots(t *testing.T) {
	s := openShop(t)
	s.releaseTwo(t, "SMI-1", r1, "")
	code := s.ticketOf(t, "SMI-1", "", "reed")
	mixed := twoWindows(t, "SMI-1", r1, "    bolts: [{id: R1, length: 14 yd, lot: A}, {id: R2, length: 13 yd, lot: B}]\n")
	got := s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-1", send: mixed, status: 200})
	if got.at("held.0") != code || strings.Count(string(got.body), `"lots_mixed"`) != 1 {
		t.Errorf("the revision answers %s", got.body)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 409, code: "held"})
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-1?override=true", send: mixed, status: 422, code: "reason_missing"})
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-1?override=true&reason=hidden+by+the+sofa", send: mixed, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
	s.audited(t)
}
