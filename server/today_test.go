package server

import (
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// measureWrong finishes a panel's step with one measure out of tolerance, so that the office has to decide.
func (s *shop) measureWrong(t testing.TB, code plan.Code, name, value string) {
	t.Helper()
	now := s.Store.Floor().Ticket(code).Current()
	cmd := stations.Scan{Actor: stations.Actor{Role: stations.Bench, Device: "b"}, Ticket: code, Station: now.Spec.Station, Action: stations.Start, Key: "ws" + string(code)}
	if err := s.Do(cmd); err != nil {
		t.Fatal(err)
	}
	cmd.Action, cmd.Key, cmd.Checks, cmd.Measured = stations.Finish, "wf"+string(code), now.Spec.Checks, map[string]string{}
	for _, e := range now.Spec.Enter {
		cmd.Measured[e.Name] = e.Target.String()
	}
	cmd.Measured[name] = value
	if err := s.Do(cmd); err != nil {
		t.Fatal(err)
	}
}

// decide sends the form of one matter of the page: the hidden fields as the page has them, and what somebody adds.
func (s *shop) decide(t testing.TB, about, path string, add url.Values, status int) string {
	t.Helper()
	page := s.visit(t, stations.Office, "/", 200)
	form := url.Values{}
	for _, m := range regexp.MustCompile(`(?s)<form method="post" action="`+regexp.QuoteMeta(path)+`"[^>]*>.*?</form>`).FindAllString(page, -1) {
		if !strings.Contains(m, about) {
			continue
		}
		for _, f := range regexp.MustCompile(`<input\s+type="hidden"\s+name="([^"]+)"\s+value="([^"]*)">`).FindAllStringSubmatch(m, -1) {
			form.Add(f[1], f[2])
		}
	}
	if len(form) == 0 {
		t.Fatalf("no form to %s about %s\n%s", path, about, page)
	}
	for name, values := range add {
		form[name] = values
	}
	got := s.post(t, stations.Office, path, form, false)
	page = holds(t, "POST "+path, got, status, nil)
	if status != 303 {
		return page
	}
	return s.visit(t, stations.Office, got.header.Get("Location"), 200)
}

// TestToday decides each matter where it stands, and hears what was done.
func TestToday(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1", "quantity: 1", "quantity: 2", "length: 40 yd", "length: 400 yd", "length: 20 yd", "length: 200 yd")
	s.cutAll(t, "SMI-1")
	var panels []plan.Code
	for _, ticket := range s.Store.Floor().Order("SMI-1").Tickets[2:] {
		panels = append(panels, ticket.Spec.Code)
		s.workOn(t, string(ticket.Spec.Code), "pull_up")
	}
	state := func(i int) (plan.Station, stations.State) {
		ticket := s.Store.Floor().Ticket(panels[i])
		return ticket.Station(), ticket.State()
	}
	says := func(page string, wants ...string) {
		t.Helper()
		for _, want := range wants {
			if !strings.Contains(page, want) {
				t.Errorf("%q is not said\n%s", want, page)
			}
		}
	}
	for _, code := range panels[:3] {
		s.measureWrong(t, code, "finished_width", "50in")
	}
	if err := s.Do(stations.Scan{Actor: stations.Actor{Role: stations.Bench, Device: "b"}, Ticket: panels[3], Action: stations.Hold, Key: "h", Reason: "Scorched at the iron"}); err != nil {
		t.Fatal(err)
	}
	s.visit(t, stations.Office, "/", 200, "4 decisions to make", "Out of tolerance", `class="scale"`, "over the limit", "Scorched at the iron", "Bay, left 1\u00a0·\u00a0L")
	if page := s.visit(t, stations.Bench, "/", 200); strings.Contains(page, "Scorched") || strings.Contains(page, "decision") {
		t.Error("a bench is asked to decide")
	}

	scan := "/station/pull_up/scan"
	says(s.decide(t, string(panels[0]), scan, url.Values{"action": {"accept"}}, 422), `class="said refused"`, "Out of tolerance")
	says(s.decide(t, string(panels[0]), scan, url.Values{"action": {"accept"}, "reason": {"hangs behind a door"}}, 303), "is accepted; it is now at Inserts")
	if at, now := state(0); at != plan.Inserts || now != stations.Ready {
		t.Errorf("accepted: %s %s", at, now)
	}
	says(s.decide(t, string(panels[1]), scan, url.Values{"action": {"send_back"}, "reason": {"cords not drawn"}, "to": {"tape"}}, 303), "is sent back to Tape sewing")
	if at, now := state(1); at != plan.Tape || now != stations.Ready {
		t.Errorf("sent back: %s %s", at, now)
	}
	says(s.decide(t, string(panels[2]), scan, url.Values{"action": {"remake"}, "reason": {"cut into"}}, 303), "will be made again. Its new ticket is "+string(s.Store.Floor().Ticket(panels[2]).RemadeAs))
	if ticket := s.Store.Floor().Ticket(panels[2]); !ticket.Cancelled || ticket.RemadeAs == "" {
		t.Errorf("remade: %+v", ticket)
	}
	says(s.decide(t, string(panels[3]), scan, url.Values{"action": {"resume"}}, 303), "at Pull-up")
	s.visit(t, stations.Office, "/", 200, "Nothing waits for a decision", "Due next: SMI-1")
	if page := s.visit(t, stations.Office, "/?did=accept&about=00000000A", 200); strings.Contains(page, "is accepted") {
		t.Error("the page says what nobody did")
	}
}

// TestTodayReleases: an order whose cloth is short is released with a reason, from where it says what it lacks.
func TestTodayReleases(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SHORT-1", "length: 40 yd", "length: 8 yd"), status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "FINE-2"), status: 201})
	s.visit(t, stations.Office, "/", 200, "Not released", "reed: 2 of 5 cuts fit; order 3 more cuts, ", `href="/orders/SHORT-1/edit?bolt=1#f-fabrics.0.bolts.1.id"`)
	page := s.decide(t, "SHORT-1", "/orders/SHORT-1/release", url.Values{}, 409)
	if !strings.Contains(page, "The cloth on hand is short for SHORT-1") || !strings.Contains(page, `id="today-release"`) {
		t.Errorf("refused elsewhere\n%s", page)
	}
	page = s.decide(t, "SHORT-1", "/orders/SHORT-1/release", url.Values{"override": {"yes"}, "reason": {" "}}, 422)
	if !strings.Contains(page, `id="today-release"`) {
		t.Errorf("refused elsewhere\n%s", page)
	}
	if page = s.decide(t, "SHORT-1", "/orders/SHORT-1/release", url.Values{"override": {"yes"}, "reason": {"the rest comes tomorrow"}}, 303); !strings.Contains(page, "SHORT-1 is on the floor") {
		t.Errorf("not said\n%s", page)
	}
	if page = s.decide(t, "back", "/orders/FINE-2/release", url.Values{}, 303); !strings.Contains(page, "FINE-2 is on the floor") {
		t.Errorf("not said\n%s", page)
	}
	for _, id := range []string{"SHORT-1", "FINE-2"} {
		if o := s.Store.Floor().Order(id); o.State != stations.OrderReleased {
			t.Errorf("%s: %s", id, o.State)
		}
	}
}

// TestTodayBillsAndPresses: what is finished is drafted in one step; what is late or near says where its panels are;
// what an order's newest file has otherwise is told.
func TestTodayBillsAndPresses(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1", "due: 2026-12-18", "due: 2026-12-02")
	s.visit(t, stations.Office, "/", 200, "Late and due soon", "due soon", `class="own-rod"`, "Cutting</b>\n<span class=\"soft\">4</span>", `href="/board?find=SMI-1"`)
	s.clock.Add(3 * 24 * 60 * 60 * 1e9)
	s.visit(t, stations.Office, "/", 200, "▼</span> late", "0 of 2 finished")
	s.workThrough(t, codes)
	page := s.decide(t, "Saltmarsh Inn", "/ready", url.Values{}, 303)
	if !strings.Contains(page, "Saltmarsh Inn") || len(s.Store.Floor().Ready()) != 0 || len(s.Store.Floor().Invoices()) != 1 {
		t.Errorf("not drafted\n%s", page)
	}

	s.releaseTwo(t, "SMI-2")
	s.cutAll(t, "SMI-2")
	s.workOn(t, s.ticketOf(t, "SMI-2", "Bay, left", "L"), "tape")
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-2", send: twoWindows(t, "SMI-2", "finished_length: 95 1/2", "finished_length: 93"), status: 200})
	s.visit(t, stations.Office, "/", 200, "Changed after they were cut", "Bay, left\u00a0·\u00a0L", "cut length")
}

// TestAWindowIsBilledWhole: a finished panel whose mate is still being made isn't offered for an invoice by itself; on the page of
// invoices it can be ticked all the same. When the mate is finished, or won't be made, it is ready.
func TestAWindowIsBilledWhole(t *testing.T) {
	for name, ends := range map[string]func(s *shop, mate string){
		"finished": func(s *shop, mate string) { s.workOn(t, mate, "") },
		"ended": func(s *shop, mate string) {
			s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: fields{"ticket": mate, "action": "scrap", "key": "end", "billable": false, "reason": "House sold"}, status: 200})
		},
	} {
		s := openShop(t)
		s.release(t, "SMI-1")
		s.cutAll(t, "SMI-1")
		tickets := s.Store.Floor().Order("SMI-1").Tickets
		left, right := string(tickets[2].Spec.Code), string(tickets[3].Spec.Code)
		box := `name="panel" value="` + left + `"`
		s.workOn(t, left, "")
		if page := s.visit(t, stations.Office, "/", 200); strings.Contains(page, box) || strings.Contains(page, "Ready to invoice") {
			t.Errorf("%s: Today bills half a window", name)
		}
		if page := s.visit(t, stations.Office, "/ready", 200); !strings.Contains(page, box+">") || strings.Contains(page, box+" checked") {
			t.Errorf("%s: half a window is ticked, or can't be", name)
		}
		if got := s.ask(t, scene{as: stations.Office, do: "GET /api/ready", status: 200}); got.at("customers.0.panels.0.ticket") != left {
			t.Errorf("%s: programs no longer see what is finished: %s", name, got.body)
		}
		ends(s, right)
		if page := s.visit(t, stations.Office, "/", 200); !strings.Contains(page, `name="panel" value="`+left) {
			t.Errorf("%s: Today doesn't bill a whole window", name)
		}
		if page := s.visit(t, stations.Office, "/ready", 200); !strings.Contains(page, box+" checked") {
			t.Errorf("%s: a whole window isn't ticked", name)
		}
	}
}
