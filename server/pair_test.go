package server

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// packPair releases an order and packs its only pair: the left panel as it should be, the right one as wide as given. It
// returns their codes, and the answer to the right one's finish.
func (s *shop) packPair(t *testing.T, order, width string) (left, right string, got answer) {
	t.Helper()
	codes := s.release(t, order)
	s.cutAll(t, order)
	left, right = codes[2], codes[3]
	s.workOn(t, left, "")
	s.workOn(t, right, "packing")
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + right, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(right, "start", "packing"), status: 200})
	finish := finishOf(step, right, "finished_width", width)
	got = s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finish, status: 200})
	if again := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finish, status: 200}); string(again.body) != string(got.body) {
		t.Errorf("sent again it is answered %s, first %s", again.body, got.body)
	}
	return left, right, got
}

// TestPairDiffers: what a bench hears, what the ticket and the stream say, and that neither panel is invoiced before the
// office has decided.
func TestPairDiffers(t *testing.T) {
	s := openShop(t)
	stream := s.subscribe(t, s.listen(t)+"/api/events", "0")
	left, right, got := s.packPair(t, "SMI-1", "48 3/4 in")
	for path, want := range map[string]string{"state": "held", "next": "", "problems.#": "1", "problems.0.code": "pair_differs", "problems.0.severity": "warning",
		"problems.0.where": "measured.finished_width R 48.75in, L 48.5in"} {
		if got.at(path) != want {
			t.Errorf("%s is %q, want %q", path, got.at(path), want)
		}
	}
	if m := got.at("problems.0.message"); !strings.Contains(m, "48 3/4") || !strings.Contains(m, "48 1/2") {
		t.Errorf("it says %q", m)
	}
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + right, status: 200, has: map[string]string{"state": "held", "step.reason": "pair_differs",
		"step.pair.mate": left, "step.pair.measures.0.measured": "48.75in", "step.pair.measures.0.mate": "48.5in", "step.pair.measures.0.by": "0.25in", "step.pair.measures.0.limit": "0.125in"}})
	s.ask(t, scene{as: stations.Office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "0"}})
	draft := fields{"customer": "Saltmarsh Inn", "panels": []string{left}}
	s.ask(t, scene{as: stations.Office, do: "POST /api/invoices", send: draft, status: 409, code: "pair_differs", has: map[string]string{"where.tickets.0": right}})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(right, "start", "packing"), status: 409, code: "held"})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(right, "resume", ""), status: 409, code: "needs_decision"})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(right, "accept", "packing", "reason", "fine"), status: 403, code: "lead_only"})
	s.audited(t)
	s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(left, "send_back", "packing", "to", "pull_up", "reason", "let it out"), status: 200,
		has: map[string]string{"also.0.ticket": right, "also.0.station": "packing", "also.0.state": "finished"}})
	s.audited(t)
	s.ask(t, scene{as: stations.Office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.0.panels.#": "1", "customers.0.panels.0.ticket": right}})
	for told := stream.next(t); told.data.Reason != "pair_differs"; told = stream.next(t) {
		if told.data.Action == "send_back" {
			t.Fatal("the stream doesn't say why the panel is held")
		}
	}
	s.workOn(t, left, "packing")
	s.measureWrong(t, plan.Code(left), "finished_width", "48 5/8 in")
	s.ask(t, scene{as: stations.Office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.0.panels.#": "2"}})
}

// TestPairIsDecidedToday: the office sees both measures where it decides, and accepts the pair or sends back either.
func TestPairIsDecidedToday(t *testing.T) {
	s := openShop(t)
	for i, way := range []string{"accept", "right", "left", "billed"} {
		order := fmt.Sprint("SMI-", i)
		left, right, _ := s.packPair(t, order, "48 1/4 in")
		s.visit(t, stations.Office, "/", 200, "Bay, left\u00a0·\u00a0L</a></span> <strong", "Accept the pair", "Send its mate back instead")
		page := s.visit(t, stations.Bench, "/t/"+right, 200, "Held: it differs from its mate", "pair differs", "/t/"+left, "A lead can decide here")
		if strings.Contains(regexp.MustCompile(`(?s)<form[^>]*data-lead.*?</form>`).ReplaceAllString(page, ""), `value="accept"`) {
			t.Error("a bench is asked to decide without a lead")
		}
		s.visit(t, stations.Bench, "/t/"+left, 200, "Finished, but its mate differs", "/t/"+right)
		scan := "/station/packing/scan"
		switch way {
		case "accept":
			holds(t, way, answer{status: 200, body: []byte(s.decide(t, right, scan, url.Values{"action": {"accept"}, "reason": {"hangs behind a door"}}, 303))}, 200, []string{"is accepted"})
		case "right":
			s.decide(t, right, scan, url.Values{"action": {"send_back"}, "to": {"pull_up"}, "reason": {"draw it in"}}, 303)
			s.workOn(t, right, "")
		case "left":
			page := s.decide(t, `value="`+left, scan, url.Values{"action": {"send_back"}, "to": {"pull_up"}, "reason": {" "}}, 422)
			if !strings.Contains(page, "Send its mate back instead") {
				t.Error("refused elsewhere")
			}
			page = s.decide(t, `value="`+left, scan, url.Values{"action": {"send_back"}, "to": {"pull_up"}, "reason": {"let it out"}}, 303)
			if !strings.Contains(page, "is sent back to Pull-up") {
				t.Errorf("not said\n%s", page)
			}
			s.workOn(t, left, "packing")
			s.measureWrong(t, plan.Code(left), "finished_width", "48 1/4 in")
		case "billed": // the pair is decided before one of it can be billed, but not when it was drafted before
			s.decide(t, right, scan, url.Values{"action": {"accept"}, "reason": {"hangs behind a door"}}, 303)
			s.ask(t, scene{as: stations.Office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{left}}, status: 201})
			s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(right, "send_back", "", "to", "packing", "reason", "look again"), status: 200})
			s.measureWrong(t, plan.Code(right), "finished_width", "48 3/4 in")
			if page := s.visit(t, stations.Office, "/", 200, "Its mate is on an invoice"); strings.Contains(page, "Send its mate back") {
				t.Error("one that is billed can be sent back")
			}
			s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(right, "accept", "packing", "reason", "hangs behind a door"), status: 200})
		}
		for _, code := range []string{left, right} {
			s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + code, status: 200, has: map[string]string{"state": "finished"}})
		}
	}
	s.audited(t)
}

// TestPairAtTheBench: the bench page tells it in words, with both measures.
func TestPairAtTheBench(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	s.workOn(t, codes[2], "")
	s.workOn(t, codes[3], "packing")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[3], "start", "packing"), status: 200})
	now := s.Store.Floor().Ticket(plan.Code(codes[3])).Current()
	form := url.Values{"code": {codes[3]}, "action": {"finish"}, "key": {"k"}, "check": now.Spec.Checks, "measured.finished_width": {"48 3/4"}, "measured.finished_length": {"95 1/2"}}
	got := s.post(t, stations.Bench, "/station/packing/scan", form, true)
	if m := got.at("message"); !strings.Contains(m, "differs from its mate") || !strings.Contains(m, "48 3/4") || !strings.Contains(m, "48 1/2") {
		t.Errorf("it says %q", m)
	}
}

// TestPairBars: the bench shows what the mate measured and how far from it a panel may be before the panel is finished, with nothing
// filled in; a held panel and its mate show both bars and how far they are apart.
func TestPairBars(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	left, right := codes[2], codes[3]
	s.workOn(t, left, "packing")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(left, "start", "packing"), status: 200})
	if first := s.visit(t, stations.Bench, "/station/packing?ticket="+left, 200); strings.Contains(first, "data-pair") {
		t.Error("the first of a pair is compared with a mate that isn't measured")
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + left, status: 200}), left), status: 200})
	s.workOn(t, right, "packing")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(right, "start", "packing"), status: 200})
	// 48 1/2 in and 1/8 in in nanometres; no width of its own yet
	before := s.visit(t, stations.Bench, "/station/packing?ticket="+right, 200, `data-alike="1231900000" data-limit="3175000"`, `class="own" x="0" y="5" width="0.0"`, "Its mate is finished", `name="measured.finished_width" value=""`)
	if strings.Count(before, "data-pair") != strings.Count(before, "data-alike") || strings.Contains(before, "is-apart") {
		t.Error("a panel that isn't measured is apart from its mate")
	}
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + right, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(step, right, "finished_width", "48 3/4 in"), status: 200, has: map[string]string{"state": "held"}})
	// Apart by twice the limit, the own bar ends at 200 + 2 · 30, seen from the mate at 200 − 2 · 30.
	for code, end := range map[string]string{right: "260.0", left: "140.0"} {
		page := s.visit(t, stations.Bench, "/t/"+code, 200, `class="own" x="0" y="5" width="`+end+`"`, "is-apart")
		if !regexp.MustCompile(`(?s)class="off">.{0,400} apart</p>`).MatchString(page) {
			t.Errorf("%s doesn't say how far apart they are", code)
		}
	}
}
