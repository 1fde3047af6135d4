package server

import (
	"bytes"
	"log/slog"
	"net/netip"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/paper"
)

const (
	anasPassphrase = "reed bed by the marsh"
	leadsPIN       = "73946182"
)

// addPerson adds somebody and returns their id and badge.
func (s *shop) addPerson(t testing.TB, person fields) (id, badge string) {
	t.Helper()
	got := s.ask(t, scene{as: stations.Office, do: "POST /api/people", send: person, status: 201})
	return got.at("person"), got.at("badge")
}

// TestPeople: people are added, changed and set aside, each under a name of their own.
func TestPeople(t *testing.T) {
	s := openShop(t)
	id, badge := s.addPerson(t, fields{"name": " Ana María Ruiz ", "language": "es", "floor": "lead", "sign_in": "accounts"})
	if len(badge) != 10 || badge[0] != 'P' {
		t.Errorf("badge %q", badge)
	}
	s.play(t, []scene{
		{name: "listed", as: stations.Office, do: "GET /api/people", status: 200, has: map[string]string{"people.0.name": "Ana María Ruiz", "people.0.initials": "AMR",
			"people.0.floor": "lead", "people.0.sign_in": "accounts", "people.0.has_pin": "false"}},
		{name: "the same name", as: stations.Office, do: "POST /api/people", send: fields{"name": "ANA MARÍA RUIZ"}, status: 409, code: "name_taken", has: map[string]string{"where.key": id}},
		{name: "no name", as: stations.Office, do: "POST /api/people", send: fields{"name": " "}, status: 422, has: map[string]string{"field": "name"}},
		{name: "no such floor", as: stations.Office, do: "POST /api/people", send: fields{"name": "x", "floor": "king"}, status: 422, has: map[string]string{"field": "floor"}},
		{name: "no such role", as: stations.Office, do: "POST /api/people", send: fields{"name": "x", "sign_in": "program"}, status: 422, has: map[string]string{"field": "sign_in"}},
		{name: "changed", as: stations.Office, do: "PUT /api/people/" + id, send: fields{"name": "Ana Ruiz", "initials": "AR", "floor": "hand"}, status: 200,
			has: map[string]string{"name": "Ana Ruiz", "badge": badge, "sign_in": "none"}},
		{name: "a PIN of letters", as: stations.Office, do: "POST /api/people/" + id + "/pin", send: fields{"pin": "12a4"}, status: 422, code: "bad_pin"},
		{name: "a PIN", as: stations.Office, do: "POST /api/people/" + id + "/pin", send: fields{"pin": "4711"}, status: 204},
		{name: "a short passphrase", as: stations.Office, do: "POST /api/people/" + id + "/passphrase", send: fields{"passphrase": "marsh"}, status: 422, code: "bad_passphrase"},
		{name: "has a PIN", as: stations.Office, do: "GET /api/people", status: 200, has: map[string]string{"people.#": "1", "people.0.has_pin": "true"}},
		{name: "a badge", as: stations.Office, do: "GET /api/people/" + id + "/badge.pdf", status: 200},
		{name: "set aside", as: stations.Office, do: "POST /api/people/" + id + "/set_aside", status: 200, has: map[string]string{"set_aside": "true"}},
		{name: "nobody", as: stations.Office, do: "POST /api/people/NOBODY/set_aside", status: 404},
	})
	s.visit(t, stations.Office, "/settings/people", 200, "Ana Ruiz", "Set aside")
	s.visit(t, stations.Office, "/settings/people/"+id, 200, "There is a PIN", "Bring back")
}

// TestPeopleSignIn: each by their own passphrase, as what they are; a day, or a month where it is kept; and never longer than
// they are people of the shop.
func TestPeopleSignIn(t *testing.T) {
	s := openShop(t)
	id, _ := s.addPerson(t, fields{"name": "Ana Ruiz", "sign_in": "accounts"})
	in := func(person, passphrase string, keep bool, status int) map[string]string {
		t.Helper()
		got := s.ask(t, scene{do: "POST /api/session", send: fields{"person": person, "passphrase": passphrase, "keep": keep}, status: status})
		cookie, _, _ := strings.Cut(got.header.Get("Set-Cookie"), ";")
		return map[string]string{"Cookie": cookie}
	}
	in("Ana Ruiz", anasPassphrase, false, 401)
	s.ask(t, scene{as: stations.Office, do: "POST /api/people/" + id + "/passphrase", send: fields{"passphrase": anasPassphrase}, status: 204})
	in("Ana Ruiz", testPassphrase, false, 401)
	in("", anasPassphrase, false, 401)
	in("Ben", anasPassphrase, false, 401)
	day, month := in("ana ruiz", anasPassphrase, false, 204), in("Ana Ruiz", anasPassphrase, true, 204)
	board := func(with map[string]string, status int) {
		t.Helper()
		s.ask(t, scene{do: "GET /api/prices", header: with, status: status})
	}
	board(day, 200)
	s.ask(t, scene{do: "GET /api/people", header: day, status: 403})
	s.ask(t, scene{do: "POST /api/orders", send: orderFile(t, "SMI-1"), header: day, status: 403})
	s.clock.Add(11 * time.Hour)
	board(day, 200) // used, and so good for as long again
	s.clock.Add(11 * time.Hour)
	board(day, 200)
	s.clock.Add(12 * time.Hour)
	board(day, 401)
	board(month, 200)
	s.clock.Add(29*24*time.Hour + 23*time.Hour)
	board(month, 200)
	s.clock.Add(30 * 24 * time.Hour)
	board(month, 401)

	ended, kept := in("Ana Ruiz", anasPassphrase, true, 204), in("Ana Ruiz", anasPassphrase, true, 204)
	page := s.visit(t, stations.Office, "/settings/people/"+id, 200, "Signed in now")
	first, _, _ := strings.Cut(strings.TrimPrefix(ended["Cookie"], "tablehand="), ".")
	if n := strings.Count(page, `name="session"`); n != 2 || !strings.Contains(page, `value="`+first+`"`) {
		t.Errorf("%d sign-ins are listed, or not %s", n, first)
	}
	form := url.Values{"session": {first}}
	if got := s.post(t, stations.Office, "/settings/people/"+id+"/sign-out", form, false); got.status != 303 {
		t.Errorf("%d %s", got.status, got.body)
	}
	board(ended, 401)
	board(kept, 200)
	if got := s.post(t, stations.Office, "/settings/people/"+id+"/sign-out", form, false); got.status != 404 {
		t.Errorf("ended twice: %d", got.status)
	}

	one, two := in("Ana Ruiz", anasPassphrase, true, 204), in("", testPassphrase, true, 204)
	s.ask(t, scene{as: stations.Office, do: "POST /api/people/" + id + "/passphrase", send: fields{"passphrase": anasPassphrase + " again"}, status: 204})
	board(one, 401)
	board(two, 200)
	other := in("Ana Ruiz", anasPassphrase+" again", true, 204)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/people/" + id, send: fields{"name": "Ana Ruiz", "sign_in": "office"}, status: 200})
	board(other, 401) // as accounts she came in
	other = in("Ana Ruiz", anasPassphrase+" again", true, 204)
	s.ask(t, scene{as: stations.Office, do: "POST /api/people/" + id + "/set_aside", status: 200})
	board(other, 401)
	in("Ana Ruiz", anasPassphrase+" again", true, 401)
	record := string(s.ask(t, scene{as: stations.Office, do: "GET /api/record", status: 200}).body)
	for _, want := range []string{`"who":"Ana Ruiz","what":"signed_in"`, `"who":"Ben","what":"sign_in_failed"`, `"who":"office","what":"signed_in"`, `"what":"person_changed","about":"Ana Ruiz"`} {
		if !strings.Contains(record, want) {
			t.Errorf("the record lacks %s:\n%s", want, record)
		}
	}
}

// TestGuessingAPerson: guesses of one person's passphrase from many addresses are counted together.
func TestGuessingAPerson(t *testing.T) {
	s := openShop(t)
	s.addPerson(t, fields{"name": "Ana Ruiz", "sign_in": "office"})
	try := func(i, status int) {
		t.Helper()
		from := map[string]string{"X-Forwarded-For": "198.51.100." + string(rune('0'+i/10)) + string(rune('0'+i%10))}
		s.ask(t, scene{do: "POST /api/session", send: fields{"person": "Ana Ruiz", "passphrase": "open sesame"}, header: from, status: status})
	}
	s.Server.edge.Proxies = append(s.Server.edge.Proxies, netip.MustParsePrefix("0.0.0.0/0"))
	for i := range edge.GuessBurst {
		try(10+i, 401)
	}
	try(55, 429)
}

// TestLeadDecides: at a bench a lead's badge and PIN decide a tolerance, a pair and a cloth; nobody else's, and nothing else.
func TestLeadDecides(t *testing.T) {
	s := openShop(t)
	lead, badge := s.addPerson(t, fields{"name": "Ada Brook", "floor": "lead"})
	hand, handsBadge := s.addPerson(t, fields{"name": "Ben Tide", "floor": "hand"})
	for _, id := range []string{lead, hand} {
		s.ask(t, scene{as: stations.Office, do: "POST /api/people/" + id + "/pin", send: fields{"pin": leadsPIN}, status: 204})
	}
	codes := s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	hold := func(code string) {
		t.Helper()
		step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + code, status: 200})
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "joining"), status: 200})
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(step, code, "flat_width", "130in"), status: 200, has: map[string]string{"state": "held"}})
	}
	hold(codes[2])
	decide := func(action string, status int, code string, more ...any) fields {
		t.Helper()
		send := scanOf(codes[2], action, "", append([]any{"reason", "out of square"}, more...)...)
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: send, status: status, code: code})
		return send
	}
	decide("accept", 403, "lead_only")
	decide("send_back", 403, "lead_only", "to", "joining")
	decide("accept", 403, "lead_only", "person", badge)
	decide("accept", 403, "lead_only", "person", badge, "pin", "1111")
	decide("accept", 403, "lead_only", "person", handsBadge, "pin", leadsPIN)
	decide("accept", 403, "lead_only", "person", "Ada Brook", "pin", leadsPIN)
	decide("hold", 422, "bad_value", "person", badge, "pin", leadsPIN)
	decide("remake", 403, "forbidden")
	sent := decide("accept", 200, "", "person", badge, "pin", leadsPIN)
	s.ask(t, scene{name: "again", as: stations.Bench, do: "POST /api/scans", send: sent, status: 200})
	sent["pin"] = "1111"
	s.ask(t, scene{name: "again, with another's PIN", as: stations.Bench, do: "POST /api/scans", send: sent, status: 403, code: "lead_only"})
	if got := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + codes[2], status: 200}); got.at("step.station") != "fold" {
		t.Errorf("accepted, the panel is at %s", got.at("step.station"))
	}
	hold(codes[3])
	send := scanOf(codes[3], "send_back", "", "reason", "again", "to", "joining", "person", "http://shop.test:8080/p/"+strings.ToLower(badge[1:]), "pin", leadsPIN)
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: send, status: 200, has: map[string]string{"state": "ready"}})
	s.visit(t, stations.Bench, "/t/"+codes[2], 200, "Ada Brook")

	copied := t.TempDir() + "/copy.db"
	if err := s.Store.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(raw, []byte(leadsPIN)) || !bytes.Contains(raw, []byte("Ada Brook")) {
		t.Error("the PIN is kept")
	}
}

// TestLeadDecidesByForm: by the page of the bench, without script; the PIN comes back with nothing, and stands in no log.
func TestLeadDecidesByForm(t *testing.T) {
	s := openShop(t)
	var log lockedLog
	s.Log = slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	lead, badge := s.addPerson(t, fields{"name": "Ada Brook", "floor": "lead"})
	s.ask(t, scene{as: stations.Office, do: "POST /api/people/" + lead + "/pin", send: fields{"pin": leadsPIN}, status: 204})
	codes := s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + codes[2], status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[2], "start", "joining"), status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(step, codes[2], "flat_width", "130in"), status: 200})
	s.visit(t, stations.Bench, "/station/joining?ticket="+codes[2], 200, "A lead decides", `data-lead`, `name="pin"`)
	form := url.Values{"code": {codes[2]}, "action": {"accept"}, "reason": {"out of square"}, "lead": {badge}, "pin": {"99999999"}, "key": {"a"}}
	wrong := s.post(t, stations.Bench, "/station/joining/scan", form, false)
	page := holds(t, "a wrong PIN", wrong, 403, []string{badge, "out of square", "decide here"})
	if strings.Contains(page, "99999999") {
		t.Error("the PIN comes back")
	}
	form.Set("pin", leadsPIN)
	right := s.post(t, stations.Bench, "/station/joining/scan", form, false)
	if right.status != 303 || strings.Contains(strings.Join(right.header.Values("Set-Cookie"), " "), "person=") {
		t.Errorf("decided: %d %v", right.status, right.header)
	}
	if said := log.String(); strings.Contains(said, leadsPIN) || strings.Contains(said, "99999999") {
		t.Errorf("the log says\n%s", said)
	}
}

// TestBadgeAtABench: a badge says who works there, and stays; the next scan has the name.
func TestBadgeAtABench(t *testing.T) {
	s := openShop(t)
	_, badge := s.addPerson(t, fields{"name": "Ben Tide", "floor": "hand"})
	s.addPerson(t, fields{"name": "Cora Book", "floor": "none", "sign_in": "accounts"})
	codes := s.release(t, "SMI-1")
	got := s.post(t, stations.Bench, "/station/cutting/scan", url.Values{"code": {paper.BadgeURL("http://shop.test:8080", plan.Code(badge[1:]))}, "action": {"scan"}}, true)
	if got.status != 200 || got.at("person") != "Ben Tide" || !strings.Contains(got.header.Get("Set-Cookie"), "person=Ben") {
		t.Errorf("a badge at a bench: %d %s %s", got.status, got.body, got.header.Get("Set-Cookie"))
	}
	page := s.visit(t, stations.Bench, "/station/cutting", 200, `value="Ben Tide"`, ">BT<")
	if strings.Contains(page, "Cora") {
		t.Error("who isn't on the floor is shown at a bench")
	}
	chosen := s.post(t, stations.Bench, "/person", url.Values{"person": {"Ben Tide"}, "next": {"/station/cutting"}}, false)
	if chosen.status != 303 || chosen.header.Get("Location") != "/station/cutting" || !strings.Contains(chosen.header.Get("Set-Cookie"), "person=Ben") {
		t.Errorf("chosen by a tap: %d %v", chosen.status, chosen.header)
	}
	s.visit(t, stations.Bench, "/P/"+badge[1:], 200, "Work here as Ben Tide")
	s.visit(t, stations.Bench, "/p/000000000", 404, "Nobody here has that badge")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "start", "cutting", "person", badge), status: 200})
	s.visit(t, stations.Bench, "/t/"+codes[0], 200, "Ben Tide")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[1], "start", "cutting", "person", "P000000000"), status: 404, code: "unknown_badge"})
}

// TestRecordOfChanges: settings, prices, people and what was let in stand in the record, and the office reads it.
func TestRecordOfChanges(t *testing.T) {
	s := newShop(t)
	list := fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}
	s.ask(t, scene{as: stations.Office, do: "PUT /api/prices", send: list, status: 200})
	got := s.post(t, stations.Office, "/settings", url.Values{"shop_name": {"Marsh Lane"}, "units": {"in"}, "language": {"en"}, "address": {"http://192.168.1.20:8080"}}, false)
	if got.status != 303 {
		t.Fatalf("settings: %d %s", got.status, got.body)
	}
	s.letIn(t, fields{"name": "Wall", "kind": "wall"})
	page := s.visit(t, stations.Office, "/settings/record", 200, "Prices changed", "Settings changed", "shop_name", "Device let in", "Wall")
	if strings.Index(page, "Device let in") > strings.Index(page, "Prices changed") {
		t.Error("the newest isn't first")
	}
	if got := s.ask(t, scene{as: stations.Office, do: "GET /api/record?after=0", status: 200}); !strings.Contains(string(got.body), `"what":"price_changed"`) {
		t.Errorf("%s", got.body)
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/record?after=x", status: 422})
}
