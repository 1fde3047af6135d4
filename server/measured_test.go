package server

import (
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestClothMeasuredAtTheStart: the answer to a start whose cloth isn't as ordered, and both ways on.
func TestClothMeasuredAtTheStart(t *testing.T) {
	s := openShop(t)
	reed := s.release(t, "SMI-1")[0]
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + reed, status: 200, has: map[string]string{"step.enter.#": "2",
		"step.enter.0.name": "usable_width", "step.enter.0.target": "54in", "step.enter.0.at_start": "true", "step.enter.0.tolerance.minus": "0.25in", "step.enter.0.tolerance.plus": "1in",
		"step.enter.1.name": "repeat_over_five", "step.enter.1.target": "67.5in", "step.enter.1.tolerance.minus": "0.125in"}})
	start := scanOf(reed, "start", "cutting", "measured", fields{"usable_width": "53 1/2", "repeat_over_five": "67 1/2"})
	got := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: start, status: 200, has: map[string]string{"state": "held", "next": "",
		"problems.#": "1", "problems.0.code": "out_of_tolerance", "problems.0.where": "measured.usable_width"}})
	if again := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: start, status: 200}); string(again.body) != string(got.body) {
		t.Errorf("sent again it is answered %s, first %s", again.body, got.body)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(reed, "start", "cutting"), status: 409, code: "held"})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(reed, "resume", ""), status: 409, code: "needs_decision"})
	s.audited(t)
	s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(reed, "accept", "cutting", "reason", "turn in less"), status: 200, has: map[string]string{"state": "at_work"}})
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + reed, status: 200, has: map[string]string{"state": "at_work", "step.measured.usable_width": "53.5in"}})
	finish := finishOf(step, reed)
	delete(finish, "measured")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finish, status: 200, has: map[string]string{"state": "finished"}})
	s.audited(t)
}

// TestOfficeSeesWhatTheOrderWouldBecome: with a narrower cloth, and with another repeat; the order's form begins with the
// cloth as measured, and the revision frees the cutting.
func TestOfficeSeesWhatTheOrderWouldBecome(t *testing.T) {
	s := openShop(t)
	const cloth = "usable_width: 54\n    match_width: 53\n    vertical_repeat: 13 1/2\n"
	reed := s.release(t, "SMI-1", "length: 40 yd", "length: 90 yd", cloth, "usable_width: 54\n    vertical_repeat: 13 1/2\n")[0]
	measured := fields{"usable_width": "48", "repeat_over_five": "70"}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(reed, "start", "cutting", "measured", measured), status: 200, has: map[string]string{"problems.#": "2"}})
	edit := "/orders/SMI-1/edit?measured=" + reed
	for _, path := range []string{"/", "/t/" + reed} {
		page := s.visit(t, stations.Office, path, 200, "What the order would become", `href="`+edit+`"`, "Bay, left", "Widths", "Cuts", "Cloth in all", "To order")
		row := regexp.MustCompile(`(?s)<th scope="row">Cuts</th>.*?</tr>`).FindString(page)
		if numbers := regexp.MustCompile(`\d+`).FindAllString(regexp.MustCompile(`<[^>]+>`).ReplaceAllString(row, " "), -1); !slices.Equal(numbers, []string{"5", "6"}) {
			t.Errorf("5 cuts of 54 in are not 6 of 48: %s", row)
		}
	}
	if page := s.visit(t, stations.Bench, "/t/"+reed, 200, "Held, out of tolerance"); strings.Contains(page, "would become") {
		t.Error("a bench is asked to decide")
	}
	page := s.visit(t, stations.Office, edit, 200, `value="48"`, `value="14"`)
	if !strings.Contains(page, "usable_width: 48") {
		t.Error("the form's file is not the one with the cloth as measured")
	}
	for _, odd := range []string{"nonsense", s.release(t, "SMI-2")[2]} {
		s.visit(t, stations.Office, "/orders/SMI-1/edit?measured="+odd, 200, "usable_width: 54")
	}
	file := orderFile(t, "SMI-1", "length: 40 yd", "length: 90 yd", cloth, "usable_width: 48\n    vertical_repeat: 14\n")
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-1", send: file, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + reed, status: 200, has: map[string]string{"state": "ready", "step.enter.0.target": "48in", "step.measured.usable_width": "48in"}})
	s.audited(t)
}

// TestClothNarrowerThanItsMatch: no width is left at which its pattern meets. The office sees what the order becomes
// without, is told that it can't be made otherwise, and the form has it so.
func TestClothNarrowerThanItsMatch(t *testing.T) {
	s := openShop(t)
	const says = "narrower than the 53"
	reed := s.release(t, "SMI-1", "length: 40 yd", "length: 90 yd")[0]
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", status: 200, send: scanOf(reed, "start", "cutting", "measured", fields{"usable_width": "48", "repeat_over_five": "67 1/2"})})
	edit := "/orders/SMI-1/edit?measured=" + reed
	for _, path := range []string{"/", "/t/" + reed} {
		page := s.visit(t, stations.Office, path, 200, says, "send it back", "What the order would become", `href="`+edit+`"`, "Widths", "To order")
		if strings.Contains(page, "wider than the usable width") {
			t.Errorf("%s: an error of a file that nobody has written", path)
		}
		row := regexp.MustCompile(`(?s)<th scope="row">Cuts</th>.*?</tr>`).FindString(page)
		if numbers := regexp.MustCompile(`\d+`).FindAllString(regexp.MustCompile(`<[^>]+>`).ReplaceAllString(row, " "), -1); !slices.Equal(numbers, []string{"5", "6"}) {
			t.Errorf("5 cuts of 54 in are not 6 of 48: %s", row)
		}
	}
	if page := s.visit(t, stations.Office, edit, 200, "usable_width: 48"); strings.Contains(page, "match_width: 53") {
		t.Error("the form has a match width wider than the cloth")
	}
	other := s.release(t, "SMI-2", "length: 40 yd", "length: 90 yd", "R1", "R9")[0]
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", status: 200, send: scanOf(other, "start", "cutting", "measured", fields{"usable_width": "53 1/4", "repeat_over_five": "67 1/2"})})
	if page := s.visit(t, stations.Office, "/t/"+other, 200, "What the order would become"); strings.Contains(page, says) {
		t.Error("cloth as wide as its match is called narrower")
	}
}

// TestCuttingPageAsksFirst: neither a scan, nor the button for the next, nor Start begins a cutting on the page before its
// cloth is measured; what is out of tolerance holds it there.
func TestCuttingPageAsksFirst(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	state := func(code string) stations.State { return s.Store.Floor().Ticket(plan.Code(code)).State() }
	send := func(status int, code string, add ...string) answer {
		t.Helper()
		form := url.Values{"code": {code}, "key": {code[:4] + strconv.Itoa(len(add)) + add[1]}}
		for i := 0; i+1 < len(add); i += 2 {
			form.Set(add[i], add[i+1])
		}
		got := s.post(t, stations.Bench, "/station/cutting/scan", form, true)
		if got.status != status {
			t.Fatalf("%v: %d\n%s", add, got.status, got.body)
		}
		return got
	}
	s.visit(t, stations.Bench, "/station/cutting", 200, `name="action" value="scan">Start next`)
	if got := send(200, codes[0], "action", "scan"); !strings.Contains(got.at("message"), "measure the cloth first") || got.at("open") != "/station/cutting?ticket="+codes[0] || state(codes[0]) != stations.Ready {
		t.Errorf("a scan: %s", got.body)
	}
	s.visit(t, stations.Bench, "/station/cutting?ticket="+codes[0], 200, `name="measured.usable_width"`, `name="measured.repeat_over_five"`, `value="start"`)
	if got := send(422, codes[0], "action", "start", "measured.usable_width", "54"); got.at("missing.0") != "repeat_over_five" || state(codes[0]) != stations.Ready {
		t.Errorf("half of it: %s", got.body)
	}
	send(200, codes[0], "action", "start", "measured.usable_width", "54", "measured.repeat_over_five", "67 1/2")
	if state(codes[0]) != stations.AtWork {
		t.Error("measured, it isn't begun")
	}
	page := s.visit(t, stations.Bench, "/station/cutting?ticket="+codes[0], 200, `value="finish"`)
	if strings.Contains(page, `name="measured.usable_width"`) {
		t.Error("it asks again for what was measured")
	}
	if got := send(200, codes[1], "action", "scan", "measured.usable_width", "52"); !strings.Contains(got.at("message"), "out of tolerance") || state(codes[1]) != stations.Held {
		t.Errorf("too narrow: %s", got.body)
	}
}
