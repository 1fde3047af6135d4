package server

import (
	"encoding/json"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// visit asks for a page as a browser does.
func (s *shop) visit(t testing.TB, as stations.Role, path string, status int, has ...string) string {
	t.Helper()
	got := s.try(t, scene{as: as, do: "GET " + path, header: map[string]string{"Accept": "text/html"}})
	return holds(t, "GET "+path, got, status, has)
}

// post sends a form as a browser does; script says that the page's script sends it.
func (s *shop) post(t testing.TB, as stations.Role, path string, form url.Values, script bool) answer {
	t.Helper()
	accept := "text/html"
	if script {
		accept = "application/json"
	}
	req := s.request(scene{as: as, do: "POST " + path, send: form.Encode()}, []byte(form.Encode()))
	req.Header = http.Header{"Content-Type": {"application/x-www-form-urlencoded"}, "Accept": {accept}, "Authorization": req.Header["Authorization"]}
	res, err := s.app.Test(req, -1)
	if err != nil {
		t.Fatal(err)
	}
	return read(t, res)
}

func holds(t testing.TB, what string, got answer, status int, has []string) string {
	t.Helper()
	page := string(got.body)
	if got.status != status {
		t.Fatalf("%s: status %d, want %d\n%s", what, got.status, status, page)
	}
	for _, want := range has {
		if !strings.Contains(page, want) {
			t.Errorf("%s: %q is not there\n%s", what, want, page)
		}
	}
	if strings.Contains(page, "⟨") || regexp.MustCompile(`(?i)\sstyle=|<style|<script>`).MatchString(page) {
		t.Errorf("%s: an untranslated key, or something inline\n%s", what, page)
	}
	return page
}

// TestPagesOfAShop asks for every page of an empty shop and of one at work.
func TestPagesOfAShop(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	for _, path := range []string{"/", "/board", "/screen", "/orders", "/ready", "/prices", "/station/tape"} {
		s.visit(t, office, path, 200, `id="main"`)
	}
	codes := s.release(t, "SMI-014")
	for _, path := range []string{"/", "/board", "/screen", "/orders", "/orders/SMI-014", "/ready", "/station/cutting",
		"/station/cutting?ticket=" + codes[0], "/station/tape?ticket=" + codes[2], "/t/" + codes[0], "/T/" + strings.ToLower(codes[2])} {
		s.visit(t, office, path, 200, `id="main"`)
	}
	s.visit(t, office, "/t/"+string(plan.NewCode(1)), 404, "No ticket has this code")
	s.visit(t, office, "/t/00000000X", 422, "One character of “00000000X” is wrong")
	s.visit(t, office, "/t/0000", 422, "type all nine")
	s.visit(t, office, "/station/weaving", 404)
	s.visit(t, stations.Screen, "/orders", 403)
	s.visit(t, "", "/board?x=1", 401, `action="/sign-in"`, `name="next" value="/board?x=1"`)
}

// TestAssetsAreKept: an asset's address has its hash, so it is kept for ever; another hash is another address.
func TestAssetsAreKept(t *testing.T) {
	s := openShop(t)
	page := s.visit(t, "", "/sign-in", 200)
	address := regexp.MustCompile(`/assets/[^"]+/tablehand\.css`).FindString(page)
	got := s.try(t, scene{do: "GET " + address, header: map[string]string{"Accept-Encoding": "gzip"}})
	if got.status != 200 || !strings.Contains(got.header.Get("Cache-Control"), "immutable") || got.header.Get("Content-Encoding") != "gzip" {
		t.Errorf("%s: %d %v", address, got.status, got.header)
	}
	if got := s.try(t, scene{do: "GET /assets/000000000000/tablehand.css"}); got.status == 200 {
		t.Error("an address with an old hash gives the new file")
	}
}

// TestUploadLosesNothing: a file with errors comes back whole, each problem at its line.
func TestUploadLosesNothing(t *testing.T) {
	s := openShop(t)
	file := orderFile(t, "SMI-2", "face: reed", "face: weed")
	got := s.post(t, stations.Office, "/orders", url.Values{"source": {file}}, false)
	page := holds(t, "POST /orders", got, 422, []string{"face: weed", `class="wrong"`, "Saltmarsh Inn"})
	if line := regexp.MustCompile(`(?s)<li id="L(\d+)" class="wrong">.*?</code>`).FindString(page); !strings.Contains(line, "weed") {
		t.Errorf("the problem is at another line: %s", line)
	}
	got = s.post(t, stations.Office, "/orders", url.Values{"source": {orderFile(t, "SMI-2")}}, false)
	if got.status != 303 || got.header.Get("Location") != "/orders/SMI-2?did=taken" {
		t.Errorf("taken: %d to %s", got.status, got.header.Get("Location"))
	}
}

// TestOrderPageTellsWhatIsWorthALook: what comes with every such heading stands on the ticket where it matters, not
// among what the office should look at, before the release and after it.
func TestOrderPageTellsWhatIsWorthALook(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-1"), status: 201})
	look := func() {
		t.Helper()
		page := s.visit(t, stations.Office, "/orders/SMI-1", 200, "heading fold: it will show")
		for _, standing := range []string{"the cords are wound, not cut", "overlap, where the two panels meet"} {
			if strings.Contains(page, standing) {
				t.Errorf("the order's page tells of what always comes: %q", standing)
			}
		}
	}
	look()
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/SMI-1/release", send: fields{}, status: 200})
	look()
}

// received are a cutting ticket's measures of its cloth as received, all as they should be, as the bench's form sends
// them with the start.
func received(t *stations.Ticket) url.Values {
	form := url.Values{}
	for _, entry := range t.Steps[0].Spec.Enter {
		form.Set("measured."+entry.Name, entry.Target.String())
	}
	return form
}

// TestBenchByForm works a ticket by the bench's forms, with and without script: start, a finish that lacks
// something, one that a wrong value holds, and the office's accept.
func TestBenchByForm(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-014")
	cut, panel := codes[0], codes[2]
	bench := func(station string, form url.Values, script bool) answer {
		return s.post(t, stations.Bench, "/station/"+station+"/scan", form, script)
	}
	said := func(got answer) (a benchAnswer) {
		t.Helper()
		if err := json.Unmarshal(got.body, &a); err != nil {
			t.Fatalf("%s: %v", got.body, err)
		}
		return a
	}
	if a := said(bench("joining", url.Values{"code": {panel}, "key": {"k0"}}, true)); a.OK || a.Code != "cut_by_fabric" && a.Code != "wrong_station" && a.Code != "not_ready" {
		t.Errorf("an uncut panel: %+v", a)
	}
	first := received(s.Store.Floor().Ticket(plan.Code(cut)))
	first.Set("code", "http://shop.test/T/"+cut)
	first.Set("person", "Ada B")
	got := bench("cutting", first, false)
	if got.status != 303 || got.header.Get("Location") != "/station/cutting?ticket="+cut {
		t.Fatalf("start without script: %d to %q\n%s", got.status, got.header.Get("Location"), got.body)
	}
	if cookie := got.header.Get("Set-Cookie"); !strings.Contains(cookie, "person=Ada+B") {
		t.Errorf("the device forgets the person: %q", cookie)
	}
	if a := said(bench("cutting", url.Values{"code": {cut}, "action": {"scan"}, "key": {"k1"}}, true)); !a.OK {
		t.Errorf("scanning what is at work opens it: %+v", a)
	}
	if a := said(bench("cutting", url.Values{"code": {cut}, "action": {"finish"}, "key": {"k2"}}, true)); a.OK || a.Code != "entries_missing" || len(a.Missing) == 0 {
		t.Errorf("finish with nothing ticked: %+v", a)
	}
	for _, code := range codes[:2] {
		finish := url.Values{"code": {code}, "action": {"finish"}, "key": {"f" + code}}
		for _, check := range s.Store.Floor().Ticket(plan.Code(code)).Steps[0].Spec.Checks {
			finish.Add("check", check)
		}
		start := received(s.Store.Floor().Ticket(plan.Code(code)))
		start.Set("code", code)
		start.Set("action", "start")
		start.Set("key", "s"+code)
		bench("cutting", start, true)
		if a := said(bench("cutting", finish, true)); !a.OK {
			t.Fatalf("finish: %+v", a)
		}
	}
	bench("joining", url.Values{"code": {panel}, "action": {"start"}, "key": {"j1"}}, true)
	wrong := url.Values{"code": {panel}, "action": {"finish"}, "key": {"j2"}, "measured.flat_width": {"126 1/2"}}
	got = bench("joining", wrong, false)
	holds(t, "finish without its checks", got, 422, []string{`value="126 1/2"`, `class="tick missing"`})
	wrong["check"] = s.Store.Floor().Ticket(plan.Code(panel)).Steps[1].Spec.Checks
	if a := said(bench("joining", wrong, true)); !a.OK || !strings.Contains(a.Message, "out of tolerance") {
		t.Errorf("out of tolerance: %+v", a)
	}
	s.visit(t, stations.Bench, "/station/joining?ticket="+panel, 200, "A lead can decide here")
	s.visit(t, stations.Office, "/station/joining?ticket="+panel, 200, `value="accept"`, `id="accept-reason"`)
	accept := url.Values{"code": {panel}, "action": {"accept"}, "key": {"j3"}, "reason": {"hangs in a corner"}}
	if a := said(s.post(t, stations.Office, "/station/joining/scan", accept, true)); !a.OK {
		t.Errorf("accept: %+v", a)
	}
	if at := s.Store.Floor().Ticket(plan.Code(panel)).Station(); at != plan.Fold {
		t.Errorf("after the accept the panel is at %s", at)
	}
}

// TestHead: what asks only for the head of a page or document gets it, without its body; a change stays a POST.
func TestHead(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-014")
	for _, path := range []string{"/", "/board", "/t/" + codes[0], "/orders/SMI-014/tickets.pdf?paper=label", "/api/orders", "/healthz"} {
		get := s.try(t, scene{as: stations.Office, do: "GET " + path})
		req := s.request(scene{as: stations.Office, do: "HEAD " + path}, nil)
		res, err := s.app.Test(req, -1)
		if err != nil {
			t.Fatal(err)
		}
		head := read(t, res)
		if head.status != get.status || len(head.body) != 0 || head.header.Get("Content-Type") != get.header.Get("Content-Type") {
			t.Errorf("HEAD %s: %d, %d bytes of %s; GET %d of %s", path, head.status, len(head.body), head.header.Get("Content-Type"), get.status, get.header.Get("Content-Type"))
		}
	}
	for path, status := range map[string]int{"/orders/SMI-014/release": 405, "/api/events": 405, "/nowhere": 404} {
		if got := s.try(t, scene{as: stations.Office, do: "HEAD " + path}); got.status != status {
			t.Errorf("HEAD %s: %d, want %d", path, got.status, status)
		}
	}
}
