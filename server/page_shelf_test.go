package server

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestShelfByForms receives a bolt, inspects it, holds and frees it, all without script.
func TestShelfByForms(t *testing.T) {
	s := withCloths(t)
	s.visit(t, stations.Office, "/shelf", 200, "No cloth has come in yet")
	s.visit(t, stations.Office, "/shelf/receive", 200, "Reed, oat")
	come := url.Values{"cloth": {"reed-oat"}, "lot": {"L7"}, "supplier_piece": {"P1"}, "invoiced": {"50 yd"}, "place": {"3B"}}
	page := s.post(t, stations.Office, "/shelf/receive", come, false).header.Get("Location")
	s.visit(t, stations.Office, page, 200, "1 bolt is in", "labels.pdf")
	_, code, _ := strings.Cut(page, "new=")
	if got := s.post(t, stations.Office, "/shelf/receive", come, false); got.status != 409 || !strings.Contains(string(got.body), `name="again"`) {
		t.Errorf("the same piece again: %d", got.status)
	}
	come.Set("again", "yes")
	if got := s.post(t, stations.Office, "/shelf/receive", come, false); got.status != 303 {
		t.Errorf("another of that number: %d", got.status)
	}
	if got := s.post(t, stations.Office, "/shelf/receive", url.Values{"cloth": {"reed-oat"}, "invoiced": {"long"}}, false); got.status != 422 || !strings.Contains(string(got.body), `value="long"`) {
		t.Errorf("no length: %d", got.status)
	}
	at := "/b/" + code
	s.visit(t, stations.Bench, at, 200, "Reed, oat", "1800", "not inspected")
	s.visit(t, stations.Bench, "/t/"+code, 303)
	flaws := url.Values{"length": {"49.5 yd"}, "width_1": {"54in"}, "from": {"100in", "", "200in"}, "to": {"104in", "", ""}, "kind": {"weave", "", "hole"}, "points": {"", "", "edge"}}
	more := url.Values{"more": {"yes"}}
	for key, values := range flaws {
		more[key] = values
	}
	if got := s.post(t, stations.Bench, at+"/inspect", more, false); strings.Count(string(got.body), `name="from"`) != 2+5 || !strings.Contains(string(got.body), `value="104in"`) {
		t.Errorf("more rows are %d", strings.Count(string(got.body), `name="from"`))
	}
	if got := s.post(t, stations.Bench, at+"/inspect", flaws, false); got.status != 200 || !strings.Contains(string(got.body), "Less came than was invoiced") {
		t.Errorf("inspected: %d\n%s", got.status, got.body)
	}
	s.visit(t, stations.Bench, at, 200, "weaving fault", "2 points", "at the edge")
	if got := s.post(t, stations.Bench, at+"/inspect", url.Values{"from": {"9000in"}, "to": {""}, "kind": {""}, "points": {""}}, false); got.status != 422 || !strings.Contains(string(got.body), "9000in") {
		t.Errorf("off the bolt: %d", got.status)
	}
	do := s.formAt(t, at)
	if body := do(422, "action", "hold_bolt"); !strings.Contains(body, "Say why") {
		t.Errorf("held without a reason:\n%s", body)
	}
	do(303, "action", "hold_bolt", "reason", "shade", "lot", "yes")
	s.visit(t, stations.Office, "/shelf", 200, "2 held")
	do(303, "action", "free_bolt", "reason", "matched")
	do(303, "action", "place", "place", "4A")
	s.visit(t, stations.Office, at+"?did=place", 200, "Moved", `value="undo"`)
	do(303, "action", "undo")
	s.visit(t, stations.Office, "/shelf?find=3b", 200, code)
	s.visit(t, stations.Office, "/shelf?find=OAT", 200, code, `below soft">Reed, oat<`)
	do(303, "action", "keep", "customer", "Saltmarsh Inn")
	s.visit(t, stations.Office, at, 200, "kept for Saltmarsh Inn")
	do(303, "action", "unkeep")
	do(303, "action", "lose")
	s.visit(t, stations.Office, at, 200, "missing", `value="find"`)
	do(303, "action", "find")
	do(303, "action", "give_back", "reason", "wrong lot")
	s.visit(t, stations.Office, "/shelf/reed-oat?gone=true", 200, code)
	if gone := s.visit(t, stations.Office, at, 200, "Gone back"); strings.Contains(gone, "Still there") || strings.Contains(gone, "label.pdf") {
		t.Error("of a bolt that has gone back it is said that it is still there, or its label is to be printed")
	}
	do(422, "action", "embroider")
	s.visit(t, stations.Office, "/shelf/kelp", 404)
	s.audited(t)
}

// TestRefusedFormsOfABolt: what a bolt's page folds comes back open where it is refused, with why and with what was typed, and is said there
// alone; what the page has no form for is said on top. Each state has the forms of what can be done in it.
func TestRefusedFormsOfABolt(t *testing.T) {
	s := withCloths(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed-oat", "lot": "L7", "length": "40 yd", "place": "3B", "owner": "Salt House Lodge"})
	at := "/b/" + bolt
	sent := s.formAt(t, at)
	folds := func(page string) (open []string) {
		for _, fold := range strings.Split(page, "<details")[1:] {
			if head, rest, _ := strings.Cut(fold, "</summary>"); strings.Contains(strings.SplitN(head, ">", 2)[0], " open") {
				open = append(open, head[strings.LastIndex(head, ">")+1:])
				if rest, _, _ = strings.Cut(rest, "</details>"); strings.Contains(page, `said refused"`) && !strings.Contains(rest, `said refused"`) {
					t.Errorf("%s is open and doesn't say why", open)
				}
			}
		}
		return open
	}
	for fold, kv := range map[string][]string{
		"Hold it":                            {"action", "hold_bolt", "reason", strings.Repeat("shade ", 60)},
		"Keep it for an order or a customer": {"action", "keep", "customer", "Saltmarsh Inn"},
		"Take it off the shelf":              {"action", "scrap", "reason", " "},
		"Make it the shop&#39;s":             {"action", "release_cloth", "reason", ""},
	} {
		status := map[string]int{"keep": 409}[kv[1]]
		if status == 0 {
			status = 422
		}
		page := sent(status, kv...)
		if open := folds(page); len(open) != 1 || open[0] != fold || strings.Count(page, `said refused"`) != 1 {
			t.Errorf("%s refused, open are %q:\n%s", kv[1], open, page)
		}
		if typed := strings.TrimSpace(kv[3]); typed != "" && !strings.Contains(page, `value="`+typed+`"`) {
			t.Errorf("%s refused, what was typed is gone", kv[1])
		}
	}
	if page := sent(409, "action", "find", "place", "5C"); len(folds(page)) > 0 || !strings.Contains(page, `said refused"`) || strings.Contains(page, "5C") {
		t.Errorf("found, and it isn't missing:\n%s", page)
	}
	has := func(as, page string, forms ...string) {
		t.Helper()
		for _, act := range []string{"place", "find", "hold_bolt", "free_bolt", "keep", "unkeep", "scrap", "release_cloth"} {
			if strings.Contains(page, `value="`+act+`"`) != slices.Contains(forms, act) {
				t.Errorf("%s, there should be %v, and of %s it is otherwise", as, forms, act)
			}
		}
	}
	office := func() string { return s.visit(t, stations.Office, at, 200) }
	if page := office(); len(folds(page)) > 0 {
		t.Errorf("at first open are %q", folds(page))
	}
	has("here", office(), "place", "hold_bolt", "keep", "scrap", "release_cloth")
	has("at the bench", s.visit(t, stations.Bench, at, 200), "place", "hold_bolt", "scrap")
	sent(303, "action", "keep", "customer", "Salt House Lodge")
	has("kept", office(), "place", "hold_bolt", "unkeep", "scrap", "release_cloth")
	sent(303, "action", "hold_bolt", "reason", "shade")
	has("held", office(), "place", "free_bolt", "unkeep", "scrap", "release_cloth")
	sent(303, "action", "free_bolt")
	sent(303, "action", "unkeep")
	sent(303, "action", "lose")
	has("missing", office(), "find", "hold_bolt", "release_cloth")
	sent(303, "action", "find", "place", "5C")
	if b := s.bolted(bolt); b.Place != "5C" {
		t.Errorf("found at 5C it lies at %s", b.Place)
	}
	sent(303, "action", "scrap", "reason", "soaked")
	has("used up", office())
	if open := folds(office()); len(open) != 1 || open[0] != "Where the cloth went" {
		t.Errorf("used up, open are %q", open)
	}
}

// TestShelfCountByForms counts a shelf without script: one bolt is lost, one lies elsewhere, one is short, one is right.
func TestShelfCountByForms(t *testing.T) {
	s := withCloths(t)
	come := func(place string) string {
		return s.receiveBolt(t, fields{"cloth": "reed-oat", "lot": "L7", "length": "40yd", "place": place})
	}
	right, astray, short, lost := come("3B"), come("3B"), come("4A"), come("5C")
	s.visit(t, stations.Bench, "/shelf/count", 200, "The office begins one")
	if got := s.post(t, stations.Bench, "/shelf/count", url.Values{}, false); got.status != 403 {
		t.Errorf("begun at a bench: %d", got.status)
	}
	s.visit(t, stations.Office, "/shelf/count", 200, "<option>4A</option>")
	at := s.post(t, stations.Office, "/shelf/count", url.Values{"place": {""}}, false).header.Get("Location")
	s.visit(t, stations.Bench, "/shelf", 200, at)
	s.visit(t, stations.Bench, at, 200, "4 not seen yet")
	seen := func(code, place, length string, has ...string) {
		t.Helper()
		got := s.post(t, stations.Bench, at+"/seen", url.Values{"code": {code}, "at": {place}, "length": {length}}, false)
		if got.status != 303 {
			t.Fatalf("seen %s: %d", code, got.status)
		}
		s.visit(t, stations.Bench, got.header.Get("Location"), 200, has...)
	}
	seen(shopAddress+"/B/"+right, "3b", "", "It lies where it should", `value="3B"`, "3 not seen yet")
	seen(astray, "5C", "", "It belongs at 3B")
	seen(short, "", "", "Noted. It belongs at 4A")
	seen(short, "", "39 yd", "The length is off", "1 not seen yet")
	if got := s.post(t, stations.Bench, at+"/seen", url.Values{"code": {"000000000"}, "at": {"5C"}}, false); got.status != 404 || !strings.Contains(string(got.body), `value="5C"`) {
		t.Errorf("no label: %d", got.status)
	}
	if got := s.post(t, stations.Bench, at+"/settle", url.Values{"bolt": {lost}, "as": {"missing"}}, false); got.status != 403 {
		t.Errorf("settled at a bench: %d", got.status)
	}
	if got := s.post(t, stations.Bench, at+"/end", url.Values{}, false); got.status != 303 {
		t.Errorf("ended at a bench: %d", got.status)
	}
	s.visit(t, stations.Office, at, 200, "unseen-"+lost, "elsewhere-"+astray, "differs-"+short, "1 length off", "belongs at 3B")
	s.visit(t, stations.Office, "/shelf/count", 200, "3 lines open")
	if got := s.post(t, stations.Bench, at+"/seen", url.Values{"code": {lost}}, false); got.status != 409 {
		t.Errorf("scanned after its end: %d", got.status)
	}
	settle := func(bolt, as string, status int) {
		t.Helper()
		if got := s.post(t, stations.Office, at+"/settle", url.Values{"bolt": {bolt}, "as": {as}}, false); got.status != status {
			t.Errorf("settled as %s: %d, want %d", as, got.status, status)
		}
	}
	settle(lost, "measured", 422)
	settle(lost, "missing", 303)
	settle(astray, "moved", 303)
	settle(short, "measured", 303)
	s.visit(t, stations.Office, "/b/"+astray, 200, "5C")
	s.visit(t, stations.Office, "/b/"+short, 200, "1404")
	s.visit(t, stations.Office, "/b/"+lost, 200, "missing")
	ended := at
	at = s.post(t, stations.Office, "/shelf/count", url.Values{"place": {"5C"}}, false).header.Get("Location")
	if got := s.post(t, stations.Bench, ended+"/seen", url.Values{"code": {right}}, false); got.status != 409 {
		t.Errorf("scanned on the page of the count before: %d", got.status)
	}
	seen(lost, "", "", "It was missing, and is found", "It lies where it should")
	s.post(t, stations.Bench, "/b/"+right, url.Values{"action": {"place"}, "place": {"5c"}}, false)
	s.visit(t, stations.Bench, "/b/"+right, 200, `value="5C"`)
	s.post(t, stations.Bench, "/b/"+right, url.Values{"action": {"place"}, "place": {"3B"}}, false)
	s.visit(t, stations.Bench, "/b/"+right, 200, `value="count_bolt"`)
	got := s.post(t, stations.Bench, "/b/"+right, url.Values{"action": {"count_bolt"}, "place": {"5C"}}, false)
	s.visit(t, stations.Bench, got.header.Get("Location"), 200, "Seen at a count")
	s.visit(t, stations.Office, at, 200, "It belongs at 3B")
	s.visit(t, stations.Office, "/shelf/count/none", 404)
	s.audited(t)
}

// TestBoltInTheScanBox: a bolt's label opens the bolt wherever a ticket is scanned, and a code means one thing under either address.
func TestBoltInTheScanBox(t *testing.T) {
	s := withCloths(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed-oat", "length": "40yd", "place": "3B"})
	s.release(t, "SMI-1")
	ticket := s.ticketOf(t, "SMI-1", "Bay, left", "L")
	for _, typed := range []string{bolt, shopAddress + "/B/" + bolt, strings.ToLower(bolt), shopAddress + "/T/" + bolt} {
		for _, station := range []string{"tape", "cutting"} {
			form := url.Values{"code": {typed}, "action": {"scan"}, "open": {ticket}}
			if got := s.post(t, stations.Bench, "/station/"+station+"/scan", form, false); got.status != 303 || got.header.Get("Location") != "/b/"+bolt {
				t.Errorf("%s at %s: %d to %q", typed, station, got.status, got.header.Get("Location"))
			}
			got := s.post(t, stations.Bench, "/station/"+station+"/scan", form, true)
			if got.status != 200 || got.at("go") != "/b/"+bolt || !strings.Contains(got.at("message"), "Reed, oat") {
				t.Errorf("%s at %s by script: %d %s", typed, station, got.status, got.body)
			}
		}
	}
	for from, to := range map[string]string{"/T/" + bolt: "/b/" + bolt, "/t?code=" + bolt: "/t/" + bolt, "/B/" + ticket: "/t/" + ticket, "/search?q=" + bolt: "/b/" + bolt, "/shelf?find=" + bolt: "/b/" + bolt} {
		got := s.try(t, scene{as: stations.Bench, do: "GET " + from, header: map[string]string{"Accept": "text/html"}})
		if got.status != 302 && got.status != 303 || got.header.Get("Location") != to {
			t.Errorf("%s: %d to %q, want %q", from, got.status, got.header.Get("Location"), to)
		}
	}
	s.visit(t, stations.Bench, "/B/"+bolt, 200, "Reed, oat")
	photo := photoOfCode(t, bolt)
	s.ask(t, scene{as: stations.Bench, do: "POST /api/pictures/read", send: string(photo), header: asJPEG, status: 200, has: map[string]string{"bolt": bolt}})
	form, kind := photoForm(t, photo, nil)
	for _, path := range []string{"/t", "/station/tape/photo"} {
		got := s.try(t, scene{as: stations.Bench, do: "POST " + path, send: form, header: map[string]string{"Content-Type": kind, "Accept": "text/html"}})
		if got.status != 303 || got.header.Get("Location") != "/b/"+bolt {
			t.Errorf("a photograph at %s: %d to %q", path, got.status, got.header.Get("Location"))
		}
	}
}

// TestBoltLaidByItsLabel: at the cutting ticket that is at work a bolt's label lays it on the table; one that it isn't cut from is refused
// with the one that it is.
func TestBoltLaidByItsLabel(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd", "place": "3B"})
	ticket := s.linked(t, "A")
	other := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd", "place": "9Z"})
	scan := func(station, code string) answer {
		return s.post(t, stations.Bench, "/station/"+station+"/scan", url.Values{"code": {shopAddress + "/B/" + code}, "action": {"scan"}, "open": {ticket}}, true)
	}
	if got := scan("cutting", bolt); got.at("go") != "/b/"+bolt {
		t.Errorf("before it is at work: %d %s", got.status, got.body)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
	if got := scan("cutting", other); got.status != 409 || !strings.Contains(got.at("message"), bolt) || !strings.Contains(got.at("message"), "3B") {
		t.Errorf("another bolt: %d %s", got.status, got.body)
	}
	if got := scan("tape", bolt); got.at("go") != "/b/"+bolt {
		t.Errorf("at another station: %d %s", got.status, got.body)
	}
	if got := scan("cutting", bolt); got.status != 200 || got.at("message") != bolt+" is on the table." || got.at("go") != "" {
		t.Errorf("its bolt: %d %s", got.status, got.body)
	}
	if state := s.bolted(bolt).State(); state != "on_table" {
		t.Errorf("the bolt is %s", state)
	}
	s.audited(t)
}

// TestOrdersPartOfABolt: what others cut off a bolt of the shelf before is gone and not told of; what the order cut itself is still drawn.
func TestOrdersPartOfABolt(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "60 yd"})
	first := s.linked(t, "A")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(first, "start", "cutting"), status: 200})
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + first, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(step, first), status: 200})
	second := s.linked(t, "B")
	begin := s.bolted(bolt).Begin
	for order, want := range map[string]measure.Length{"A": 0, "B": begin} {
		floor := s.Store.Floor()
		of := floor.Bolts(floor.Order(order), &orderfile.Fabric{ID: "reed", Cloth: "reed"}, s.Desk.Ways(measure.In))
		if len(of.Bolts) != 1 || of.Bolts[0].From != want {
			t.Errorf("%s has the bolts %+v, which begin at %s", order, of.Bolts, want.In(measure.In))
		}
	}
	if begin == 0 || len(s.Store.Floor().Ticket(plan.Code(second)).Spec.Parts) > 0 {
		t.Errorf("from %s on it is the order's, its ticket says", begin.In(measure.In))
	}
	if page := s.visit(t, stations.Office, "/orders/B", 200, bolt); strings.Contains(page, "another order’s") {
		t.Error("the page sends to the first end of a bolt that is gone")
	}
}

// TestShortOfTheShelf: what an order lacks of a cloth of the shelf is received there, not typed into the order; Today leads to what helps.
func TestShortOfTheShelf(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "5 yd"})
	s.take(t, "A", withoutBolts("A", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
	page := s.visit(t, stations.Office, "/orders/A", 200, `href="/shelf/receive?cloth=reed"`, `href="/orders/A/cloth#f-reed"`)
	if strings.Contains(page, "/edit?bolt=") {
		t.Error("a bolt of the shelf is typed into the order")
	}
	s.visit(t, stations.Office, "/shelf/receive?cloth=reed", 200, `<option value="reed"`, "selected")
	s.visit(t, stations.Office, "/", 200, `href="/orders/A/cloth#f-reed"`)
	s.take(t, "B", "length: 40 yd", "length: 9 yd")
	s.visit(t, stations.Office, "/orders/B", 200, `href="/orders/B/edit?bolt=`)
}

// TestTwoOrdersOnABolt: a bolt of the shelf is no bolt that two orders name by chance: an order that shares one is revised like any
// other.
func TestTwoOrdersOnABolt(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "90 yd"})
	s.linked(t, "A")
	s.linked(t, "B")
	if s.on("A", "reed")[bolt] == 0 || s.on("B", "reed")[bolt] == 0 {
		t.Fatalf("they lie on %v and %v", s.on("A", "reed"), s.on("B", "reed"))
	}
	file := example(t, "A", withoutBolts("A", "  - id: reed\n", "  - id: reed\n    cloth: reed\n", "face_width: 84", "face_width: 85")...)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/A", send: file, status: 200})
	s.promisedOnce(t)
	s.audited(t)
}

// formAt sends a form of the office's with such fields, wants that status, and returns the page.
func (s *shop) formAt(t *testing.T, at string) func(status int, kv ...string) string {
	return func(status int, kv ...string) string {
		t.Helper()
		form := url.Values{}
		for i := 0; i+1 < len(kv); i += 2 {
			form.Set(kv[i], kv[i+1])
		}
		got := s.post(t, stations.Office, at, form, false)
		if got.status != status {
			t.Fatalf("%v: %d, want %d", kv, got.status, status)
		}
		return string(got.body)
	}
}
