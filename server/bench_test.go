package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// benchOf is a device with several stations, as a browser without script works at its page.
type benchOf struct {
	shop   *shop
	cookie string
}

func (s *shop) benchOf(t *testing.T, own ...string) benchOf {
	t.Helper()
	_, _, cookie := s.letIn(t, fields{"name": "Long table", "kind": "bench", "stations": own})
	return benchOf{s, cookie}
}

// page asks for a page.
func (b benchOf) page(t *testing.T, path string) answer {
	t.Helper()
	return b.shop.try(t, scene{do: "GET " + path, header: map[string]string{"Cookie": b.cookie, "Accept": "text/html"}})
}

// send posts a form, as a page (accept text/html) or as its script (application/json).
func (b benchOf) send(t *testing.T, accept, station string, form url.Values) answer {
	t.Helper()
	form.Set("form_token", formTokenOf(b.cookie))
	return b.shop.try(t, scene{do: "POST /station/" + station + "/scan", send: form.Encode(), header: map[string]string{"Cookie": b.cookie,
		"Content-Type": "application/x-www-form-urlencoded", "Accept": accept, "Sec-Fetch-Site": "same-origin"}})
}

// finishing is a form that measures every target and ticks every check of a ticket's step.
func (s *shop) finishing(t *testing.T, code string) url.Values {
	t.Helper()
	ticket := s.Store.Floor().Ticket(plan.Code(code))
	form := url.Values{"code": {code}, "action": {"finish"}, "check": s.Store.Floor().Asked(ticket, ticket.At).Checks}
	for _, e := range s.Store.Floor().Asked(ticket, ticket.At).Enter {
		form.Set("measured."+e.Name, e.Target.String())
	}
	return form
}

// TestOneBenchOfSeveralStations: a bench with several stations has one page for all of them. A ticket that is scanned there opens
// at the one where it is, and after its finish at the next, without another scan; without script too.
func TestOneBenchOfSeveralStations(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	panel, mate := codes[2], codes[3]
	b := s.benchOf(t, "joining", "fold", "tape")
	const page = "/station/joining"
	for path, want := range map[string]string{"/": page, "/station/fold": page, "/STATION/TAPE": page, "/station/tape?ticket=" + panel: page + "?ticket=" + panel} {
		if got := b.page(t, path); got.status != 303 || got.header.Get("Location") != want {
			t.Errorf("%s leads to %d %s, want %s", path, got.status, got.header.Get("Location"), want)
		}
	}
	empty := b.page(t, page)
	holds(t, "the page", empty, 200, []string{"<title>Joining", `action="/station/joining/scan"`, `href="/station/joining?ticket=` + panel})
	for _, name := range []string{"Joining &amp; hems", "Heading fold", "Tape sewing"} {
		if strings.Count(string(empty.body), name) < 3 {
			t.Errorf("title, head and scan box don't all say %s\n%s", name, empty.body)
		}
	}

	scanned := b.send(t, "text/html", "joining", url.Values{"code": {panel}, "action": {"scan"}})
	for i, station := range []string{"joining", "fold", "tape"} {
		if scanned.status != 303 || scanned.header.Get("Location") != page+"?ticket="+panel {
			t.Fatalf("%s: answered %d %s\n%s", station, scanned.status, scanned.header.Get("Location"), scanned.body)
		}
		if i > 0 { // the page has gone on: its button starts what is next
			ready := b.page(t, page+"?ticket="+panel)
			holds(t, station+" after the one before", ready, 200, []string{`data-station="` + station + `"`, `data-state="ready"`, `action="/station/` + station + `/scan"`, `value="start"`, `value="undo"`})
			scanned = b.send(t, "text/html", station, url.Values{"code": {panel}, "action": {"start"}})
		}
		holds(t, station, b.page(t, page+"?ticket="+panel), 200, []string{`data-station="` + station + `"`, `data-state="at_work"`, `aria-current="step"`})
		scanned = b.send(t, "text/html", station, s.finishing(t, panel))
	}
	holds(t, "after the last", b.page(t, page+"?ticket="+panel), 200, []string{`href="/station/pull_up?ticket=` + panel})
	undone := b.send(t, "application/json", "joining", url.Values{"code": {panel}, "action": {"undo"}})
	if undone.status != 200 || undone.at("open") != page+"?ticket="+panel || s.Store.Floor().Ticket(plan.Code(panel)).Station() != plan.Tape {
		t.Errorf("undone: %d %s", undone.status, undone.body)
	}
	if got := b.send(t, "application/json", "tape", s.finishing(t, panel)); got.status != 200 {
		t.Errorf("finished once more: %d %s", got.status, got.body)
	}

	refused := b.send(t, "application/json", "joining", url.Values{"code": {panel}, "action": {"scan"}})
	if refused.status != 409 || refused.at("code") != "finished" || refused.at("open") != "" {
		t.Errorf("a ticket that waits at none of them: %d %s", refused.status, refused.body)
	}
	shown := b.send(t, "text/html", "joining", url.Values{"code": {panel}, "action": {"scan"}})
	holds(t, "refused on the page", shown, 409, []string{"Heading fold", "Tape sewing", "said refused"})
	if at := s.Store.Floor().Ticket(plan.Code(mate)).Station(); at != plan.Joining {
		t.Fatalf("the mate is at %s", at)
	}
	queue := string(b.page(t, page).body)
	if !strings.Contains(queue, `href="/station/joining?ticket=`+mate) || strings.Contains(queue, `?ticket=`+panel) {
		t.Error("the queue isn't of what waits at the bench's stations")
	}
}

// TestAScanReadTwiceAtABench: a scan of the open ticket says at which station it lies open, so that one that is read twice, or sent
// again after its answer was lost, doesn't begin the bench's next station.
func TestAScanReadTwiceAtABench(t *testing.T) {
	s := openShop(t)
	panel := s.release(t, "SMI-1")[2]
	s.cutAll(t, "SMI-1")
	b := s.benchOf(t, "joining", "fold")
	b.send(t, "application/json", "joining", url.Values{"code": {panel}, "action": {"scan"}})
	form := s.finishing(t, panel)
	form.Set("action", "scan")
	form.Set("open", panel)
	form.Set("at_station", "joining")
	form.Set("key", "first")
	once := b.send(t, "application/json", "joining", form)
	again := b.send(t, "application/json", "joining", form) // the same, sent again
	if once.status != 200 || again.status != 200 {
		t.Errorf("finished by a scan: %d, sent again: %d %s", once.status, again.status, again.body)
	}
	form.Set("key", "second")
	if twice := b.send(t, "application/json", "joining", form); twice.status != 409 || twice.at("code") != "finished" {
		t.Errorf("read twice: %d %s", twice.status, twice.body)
	}
	if ticket := s.Store.Floor().Ticket(plan.Code(panel)); ticket.Station() != plan.Fold || ticket.State() != stations.Ready {
		t.Errorf("it is %s at %s", ticket.State(), ticket.Station())
	}
	card := b.send(t, "application/json", "joining", url.Values{"code": {"DO START"}, "action": {"scan"}, "open": {panel}})
	if ticket := s.Store.Floor().Ticket(plan.Code(panel)); card.status != 200 || ticket.Station() != plan.Fold || ticket.State() != stations.AtWork {
		t.Errorf("the card to start: %d %s", card.status, card.body)
	}
}
