package server

import (
	"context"
	"net/url"
	"strings"
	"testing"
	"time"

	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations"
)

// newShop is a shop that nobody has set up yet, on a machine with two addresses in its network.
func newShop(t testing.TB) *shop {
	t.Helper()
	now := &clock{now: time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)}
	st, err := store.Open(context.Background(), store.Options{Dir: t.TempDir(), Clock: now.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	s := &shop{describer: newDescriber(t), tokens: map[stations.Role]string{}, clock: now}
	keeper := newTestKeeper(t, st, now.Now)
	keeper.Pass = ""
	if err := keeper.SetPassphrase(context.Background(), testPassphrase); err != nil {
		t.Fatal(err)
	}
	for _, role := range edge.EveryRole {
		s.tokens[role] = newTestToken(t, keeper, role)
	}
	s.Server, err = New(Config{Store: st, Auth: keeper, Clock: now.Now, Zone: time.UTC, Reach: func() []string {
		return []string{"http://192.168.1.20:8080", "http://10.0.0.7:8080"}
	}})
	if err != nil {
		t.Fatal(err)
	}
	s.Desk = s.Server.desk
	return s
}

// goodForm is a set-up form as a person fills it in, with changes.
func goodForm(changes ...string) url.Values {
	form := url.Values{"shop_name": {"Reed & Daughter"}, "units": {"mm"}, "address": {"http://10.0.0.7:8080"}, "language": {"en"}, "zone": {"Europe/Oslo"}}
	for i := 0; i+1 < len(changes); i += 2 {
		form.Set(changes[i], changes[i+1])
	}
	return form
}

// TestSetUp leads a new shop from its first page to its settings.
func TestSetUp(t *testing.T) {
	s := newShop(t)
	office := stations.Office
	if got := s.try(t, scene{as: office, do: "GET /", header: map[string]string{"Accept": "text/html"}}); got.status != 303 || got.header.Get("Location") != "/setup" {
		t.Fatalf("the office's first page: %d to %q", got.status, got.header.Get("Location"))
	}
	s.visit(t, stations.Program, "/", 200)
	s.visit(t, stations.Bench, "/", 200)
	s.visit(t, office, "/setup", 200, `value="http://192.168.1.20:8080" checked`, `value="http://10.0.0.7:8080"`, `name="passphrase"`)
	for name, tt := range map[string]struct {
		change []string
		says   string
	}{
		"no name":           {[]string{"shop_name", "  "}, "Give the workroom a name"},
		"a long name":       {[]string{"shop_name", strings.Repeat("x", 61)}, "too long"},
		"no such unit":      {[]string{"units", "ft"}, "Choose inches"},
		"no such language":  {[]string{"language", "tlh"}, "no such language"},
		"no such zone":      {[]string{"zone", "Middle/Earth"}, "no such time zone"},
		"this machine only": {[]string{"address", "other", "address_other", "http://localhost:8080"}, "Only this computer can use that address"},
		"no address":        {[]string{"address", "other", "address_other", "192.168.1.20"}, "not an address"},
		"a page":            {[]string{"address", "other", "address_other", "http://192.168.1.20:8080/board"}, "not an address"},
		"a short secret":    {[]string{"passphrase", "tape"}, "At least 15 characters"},
	} {
		got := s.post(t, office, "/setup", goodForm(tt.change...), false)
		page := holds(t, name, got, 422, []string{tt.says})
		if name != "no name" && name != "a long name" && !strings.Contains(page, "Reed &amp; Daughter") {
			t.Errorf("%s: what was typed is gone\n%s", name, page)
		}
	}
	if !s.Unset() || s.Address() != "http://192.168.1.20:8080" {
		t.Error("something of a refused form was kept")
	}
	got := s.post(t, office, "/setup", goodForm("passphrase", "four words of our own", "print_sidemark", "yes"), false)
	if got.status != 303 || got.header.Get("Location") != "/check?did=set_up" {
		t.Fatalf("set up: %d %s", got.status, got.body)
	}
	s.visit(t, office, "/", 200, "Reed &amp; Daughter")
	s.clock.Add(15*time.Hour + 30*time.Minute) // 23:30 UTC is the next day in Oslo
	if s.Today() != "2026-12-02" || s.Address() != "http://10.0.0.7:8080" || s.Shop().Units != "mm" || !s.Shop().PrintSidemark {
		t.Errorf("the shop goes by %s, %+v", s.Today(), s.Shop())
	}
	s.visit(t, office, "/taking", 200, "units: mm") // a new order's
	s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 401})
	s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": "four words of our own"}, status: 204})
	// Later the passphrase is changed only by who knows it.
	if page := s.visit(t, office, "/setup", 200); strings.Contains(page, `name="passphrase"`) {
		t.Error("a shop that is set up asks for another passphrase")
	}
	if got := s.post(t, office, "/setup", goodForm("passphrase", "one of somebody else"), false); got.status != 403 {
		t.Errorf("another passphrase by the set-up form: %d %s", got.status, got.body)
	}
	s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": "one of somebody else"}, status: 401})
	again, err := New(Config{Store: s.Store, Auth: s.edge.Auth, Address: "http://given.test"})
	if err != nil {
		t.Fatal(err)
	}
	if n := again.desk.Shop(); n.Name != "Reed & Daughter" || n.Zone.String() != "Europe/Oslo" || n.Units != "mm" || n.Address != "http://given.test" {
		t.Errorf("opened again it goes by %+v", n)
	}
}

// TestAnInvoicesSheet: it is printed on the sheet that the shop had set when it was issued, on another where that is asked for; its
// order's sidemark is the one of then, and only where it may be shown.
func TestAnInvoicesSheet(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	mark := []string{"sidemark: Floor 1, room 14", "sidemark: Gull's Nest"}
	panels := s.workThrough(t, s.release(t, "SMI-1", mark...))
	s.ask(t, scene{as: office, do: "PUT /api/prices", send: pricesOfTape("40.00", "18.00"), status: 200})
	bill := func(code string) string {
		return s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{code}}, status: 201}).at("draft")
	}
	prints := func(invoice, box string) {
		t.Helper()
		if pdf := s.ask(t, scene{as: office, do: "GET /api/invoices/" + invoice, status: 200}).body; !strings.Contains(string(pdf), box) {
			t.Errorf("%s isn't printed on %s", invoice, box)
		}
	}
	letter, a4 := "/MediaBox [0 0 612 792]", "/MediaBox [0 0 595.28 841.89]"
	first := bill(panels[0])
	prints(first+".pdf", letter)
	prints(first+".pdf?paper=a4", a4)
	s.ask(t, scene{as: office, do: "GET /api/invoices/" + first + ".pdf?paper=label", status: 422})
	s.visit(t, office, "/invoices/"+first, 200, "Order SMI-1<") // the shop shows no sidemarks
	number := s.ask(t, scene{as: office, do: "POST /api/invoices/" + first + "/issue", status: 200}).at("number")
	second := bill(panels[1])
	if got := s.post(t, office, "/settings", goodForm("paper", "a4", "units", "in", "print_sidemark", "yes"), false); got.status != 303 {
		t.Fatalf("settings: %d %s", got.status, got.body)
	}
	prints(number+".pdf", letter)
	prints(second+".pdf", a4)
	s.visit(t, office, "/invoices/"+number, 200, "Order SMI-1<")
	s.visit(t, office, "/invoices/"+second, 200, "Order SMI-1 · Gull&#39;s Nest<")
	s.audited(t)
}

// TestSettings changes what was set; only the office may, not its programs.
func TestSettings(t *testing.T) {
	s := newShop(t)
	office := stations.Office
	for _, path := range []string{"/setup", "/settings", "/check", "/check/sheet.pdf", "/check/backup"} {
		for _, role := range []stations.Role{stations.Program, stations.Bench, stations.Screen} {
			s.visit(t, role, path, 403)
		}
		s.visit(t, "", path, 401)
	}
	if s.Shop().Paper != "letter" {
		t.Errorf("a new shop's invoices are on %s", s.Shop().Paper)
	}
	if s.post(t, office, "/settings", goodForm(), false); s.Shop().Paper != "a4" { // in millimeters
		t.Errorf("a metric shop's invoices are on %s", s.Shop().Paper)
	}
	holds(t, "no such paper", s.post(t, office, "/settings", goodForm("paper", "papyrus"), false), 422, []string{"Choose letter or A4"})
	form := goodForm("postal_address", "Marsh Lane 4\r\nSaltmarsh\r\n", "payment_terms", "30 days", "paper", "letter")
	if got := s.post(t, office, "/settings", form, false); got.status != 303 {
		t.Fatalf("settings: %d %s", got.status, got.body)
	}
	s.visit(t, office, "/settings?did=settings", 200, "The settings are saved", "Marsh Lane 4\nSaltmarsh</textarea>", "30 days", `value="letter" checked`)
	holds(t, "a name too long", s.post(t, office, "/settings", goodForm("shop_name", strings.Repeat("x", 61)), false), 422, []string{"too long"})

	secret := func(now, next string) answer {
		return s.post(t, office, "/settings/passphrase", url.Values{"now": {now}, "next": {next}}, false)
	}
	holds(t, "too short", secret(testPassphrase, "tape"), 422, []string{"At least 15"})
	holds(t, "not knowing the old one", secret("guess guess guess", "another long enough"), 403, []string{"not the shop"})
	s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204})
	cookie, _, _ := strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204}).header.Get("Set-Cookie"), ";")
	signedIn := func(want int) {
		t.Helper()
		if got := s.try(t, scene{do: "GET /api/orders", header: map[string]string{"Cookie": cookie}}); got.status != want {
			t.Errorf("a browser that was signed in: %d, want %d", got.status, want)
		}
	}
	if got := secret(testPassphrase, "another long enough"); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	signedIn(401) // who knew only the old one is out
	s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 401})
	cookie, _, _ = strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": "another long enough"}, status: 204}).header.Get("Set-Cookie"), ";")
	signedIn(200)
	all := url.Values{"now": {"another long enough"}, "next": {"a third, long enough"}, "sign_out": {"yes"}}
	if got := s.post(t, office, "/settings/passphrase", all, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	signedIn(401)
}

// TestCheck looks at the page that looks after the shop.
func TestCheck(t *testing.T) {
	s := newShop(t)
	office := stations.Office
	s.visit(t, office, "/check", 200, "http://192.168.1.20:8080", "No copy of the shop has been made yet", "<svg", "/check/sheet.pdf?paper=a4", "Free on its disk")
	s.visit(t, office, "/check/backup", 404)
	if got := s.post(t, office, "/check/backup", url.Values{}, false); got.status != 303 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	page := s.visit(t, office, "/check?did=backed_up", 200, "it is whole", "Tue 1 Dec 2026, 08:00:00 UTC", `href="/check/backup"`)
	if strings.Contains(page, "more than two days") {
		t.Error("a copy of just now is old")
	}
	s.visit(t, office, "/check/backup", 200, "the whole shop", ">tablehand-2026", `name="passphrase"`)
	holds(t, "without knowing the passphrase", s.post(t, office, "/check/backup", url.Values{"passphrase": {"guess guess guess"}}, false), 403, []string{"not the shop"})
	got := s.post(t, office, "/check/backup", url.Values{"passphrase": {testPassphrase}}, false)
	if got.status != 200 || !strings.HasPrefix(string(got.body), "SQLite format 3") || !strings.Contains(got.header.Get("Content-Disposition"), "tablehand-2026") {
		t.Errorf("the copy is sent as %d %v %.20q", got.status, got.header, got.body)
	}
	s.clock.Add(49 * time.Hour)
	s.visit(t, office, "/check", 200, "more than two days")
	for _, sheet := range []string{"label", "letter", "a4"} {
		if got := s.try(t, scene{as: office, do: "GET /check/sheet.pdf?paper=" + sheet}); got.status != 200 || !strings.HasPrefix(string(got.body), "%PDF") {
			t.Errorf("test sheet on %s: %d", sheet, got.status)
		}
	}
	s.visit(t, office, "/check/sheet.pdf?paper=slate", 422)
	if err := s.KeepSettings(context.Background(), map[store.Setting]string{store.Address: "http://127.0.0.1:1"}); err != nil {
		t.Fatal(err)
	}
	s.visit(t, office, "/check?now=1", 200, "Only this computer can use this address", "does not answer from this computer", "What the pages show is what the ledger says")
	if err := s.KeepSettings(context.Background(), map[store.Setting]string{store.Address: "http://192.168.7.7:8080"}); err != nil {
		t.Fatal(err)
	}
	s.visit(t, office, "/check", 200, "no longer one of this computer")
	s.visit(t, "", "/HELLO", 200, "It works")
}

// TestEmptyPages: every page of a shop in which nothing has happened says what comes next.
func TestEmptyPages(t *testing.T) {
	s := openShop(t)
	for path, says := range map[string][]string{
		"/":                {`class="empty"`, `href="/orders"`, `href="/check"`},
		"/orders":          {`class="empty"`, `type="file"`},
		"/board":           {`class="empty"`, `href="/orders"`},
		"/screen":          {`class="empty"`, "Release an order"},
		"/ready":           {`class="empty"`, "after check and pack", `href="/prices"`},
		"/prices":          {"No price is set yet"},
		"/station/cutting": {`class="empty"`, "when an order is released"},
		"/station/packing": {`class="empty"`, "when an order is released"},
	} {
		s.visit(t, stations.Office, path, 200, says...)
	}
	s.visit(t, stations.Bench, "/", 200, `class="empty"`, "The office adds")
}

// TestAClockThatJumps: what is late, who is signed in and what may be undone go by the clock as it is, and are right
// again when it is; the ledger's order never depends on it.
func TestAClockThatJumps(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1") // due 18 December
	cookie, _, _ := strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase, "keep": true}, status: 204}).header.Get("Set-Cookie"), ";")
	late := func() string {
		return s.ask(t, scene{as: stations.Screen, do: "GET /api/board", status: 200}).at("orders.0.late")
	}
	signedIn := func() bool {
		return s.try(t, scene{do: "GET /api/orders", header: map[string]string{"Cookie": cookie}}).status == 200
	}
	at := func(jump time.Duration, wantLate string, wantIn bool) {
		t.Helper()
		s.clock.Add(jump)
		if got := late(); got != wantLate {
			t.Errorf("after %v: late is %s", jump, got)
		}
		if got := signedIn(); got != wantIn {
			t.Errorf("after %v: signed in is %v", jump, got)
		}
	}
	const day = 24 * time.Hour
	at(0, "false", true)
	at(29*day, "true", true)
	at(-29*day, "false", true)
	at(200*day, "true", false) // a sign-in that is kept lasts 30 days; tokens don't end
	at(-200*day, "false", true)
	at(-400*day, "false", true)

	// At the wrong time work is done and undone; then the clock is set right.
	first := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "start", "cutting"), status: 200})
	s.clock.Add(400 * day)
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "undo", ""), status: 409, code: "undo_late"})
	second := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[1], "start", "cutting"), status: 200})
	s.clock.Add(-2 * time.Hour)
	third := s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[1], "undo", ""), status: 200})
	if a, b, c := first.at("seq"), second.at("seq"), third.at("seq"); a != "3" || b != "4" || c != "5" {
		t.Errorf("the ledger has them as %s, %s, %s", a, b, c)
	}
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + codes[1], status: 200, has: map[string]string{"state": "ready"}})
}
