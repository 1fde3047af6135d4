package server

import (
	"maps"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// TestStrangers: every address but the open ones, there or not, answers a stranger alike.
func TestStrangers(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	for _, r := range s.routes() {
		if r.Who == nil || !strings.HasPrefix(r.Path, "/api/") {
			continue
		}
		path := strings.NewReplacer(":order", "SMI-1", ":code", "000000000", ":invoice", "1").Replace(r.Path)
		s.ask(t, scene{do: r.Method + " " + path, status: 401, code: "unauthorized"})
	}
	s.ask(t, scene{do: "GET /api/nothing", status: 401, code: "unauthorized"})
	s.ask(t, scene{do: "PATCH /api/orders", status: 401, code: "unauthorized"})
	s.ask(t, scene{do: "GET /api/orders", header: map[string]string{"Authorization": "Bearer x"}, status: 401, code: "unauthorized"})
	s.ask(t, scene{do: "GET /healthz", status: 200})
	s.ask(t, scene{do: "GET /metrics", status: 401, code: "unauthorized"})
	s.ask(t, scene{as: stations.Office, do: "GET /api/nothing", status: 404, code: "not_found"})
	s.ask(t, scene{as: stations.Office, do: "PATCH /api/orders", status: 405, code: "method_not_allowed"})
	got := s.ask(t, scene{as: stations.Screen, do: "GET /metrics", status: 200})
	if !strings.Contains(string(got.body), `tablehand_request_seconds_count{route="/api/orders",method="POST",status="201"} 1`) {
		t.Errorf("the metrics don't count the order taken:\n%s", got.body)
	}
}

// TestSignIn: the passphrase, the cookie and its origin rule, and signing out.
func TestSignIn(t *testing.T) {
	s := openShop(t)
	got := s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204})
	cookie := got.header.Get("Set-Cookie")
	for _, part := range []string{"HttpOnly", "SameSite=Lax", "path=/"} {
		if !strings.Contains(cookie, part) {
			t.Errorf("the cookie %q lacks %s", cookie, part)
		}
	}
	cookie, _, _ = strings.Cut(cookie, ";")
	with := func(more ...string) map[string]string {
		h := map[string]string{"Cookie": cookie}
		for i := 0; i+1 < len(more); i += 2 {
			h[more[i]] = more[i+1]
		}
		return h
	}
	order := func(name string) string { return orderFile(t, name) }
	s.play(t, []scene{
		{name: "reads", do: "GET /api/orders", header: with(), status: 200},
		{name: "reads from another site's link", do: "GET /api/orders", header: with("Sec-Fetch-Site", "cross-site"), status: 200},
		{name: "writes from our page", do: "POST /api/orders", send: order("A"), header: with("Sec-Fetch-Site", "same-origin"), status: 201},
		{name: "writes with our origin, on plain HTTP", do: "POST /api/orders", send: order("B"), header: with("Origin", "http://example.com"), status: 201},
		{name: "another site's form", do: "POST /api/orders", send: order("C"), header: with("Sec-Fetch-Site", "cross-site"), status: 403, code: "forbidden"},
		{name: "another origin", do: "POST /api/orders", send: order("C"), header: with("Origin", "http://evil.test"), status: 403, code: "forbidden"},
		{name: "another site signs in", do: "POST /api/session", send: fields{"passphrase": testPassphrase},
			header: map[string]string{"Origin": "http://evil.test"}, status: 403, code: "forbidden"},
		{name: "signs out", do: "DELETE /api/session", header: with(), status: 204},
		{name: "is out", do: "GET /api/orders", header: with(), status: 401, code: "unauthorized"},
	})
}

// TestFormToken: a form that comes with the cookie has to carry its sign-in's token, as a field or as a header; what
// comes with a bearer token, and the API, need none.
func TestFormToken(t *testing.T) {
	s := openShop(t)
	signIn := func() (cookie, token string) {
		cookie, _, _ = strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204}).header.Get("Set-Cookie"), ";")
		page := s.try(t, scene{do: "GET /prices", header: map[string]string{"Cookie": cookie, "Accept": "text/html"}})
		found := regexp.MustCompile(`name="form_token" value="([^"]+)"`).FindSubmatch(page.body)
		if found == nil {
			t.Fatalf("the price form carries no token:\n%s", page.body)
		}
		return cookie, string(found[1])
	}
	cookie, token := signIn()
	_, others := signIn()
	prices := url.Values{"currency": {"USD"}, "heading": {"cartridge-tape"}, "panel": {"40.00"}, "width": {"18.00"}}
	send := func(path, kind, body string, header ...string) answer {
		req := s.request(scene{do: "POST " + path, send: body}, []byte(body))
		req.Header.Set("Content-Type", kind)
		req.Header.Set("Accept", "text/html")
		req.Header.Set("Sec-Fetch-Site", "same-origin") // so only the token is in question
		for i := 0; i+1 < len(header); i += 2 {
			req.Header.Set(header[i], header[i+1])
		}
		res, err := s.app.Test(req, -1)
		if err != nil {
			t.Fatal(err)
		}
		return read(t, res)
	}
	const coded = "application/x-www-form-urlencoded"
	form := func(token string) string {
		sent := maps.Clone(prices)
		if token != "" {
			sent.Set("form_token", token)
		}
		return sent.Encode()
	}
	parts := func(token string) string {
		return "--b\r\nContent-Disposition: form-data; name=\"form_token\"\r\n\r\n" + token +
			"\r\n--b\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.yaml\"\r\n\r\n" + orderFile(t, "FILE-1") + "\r\n--b--\r\n"
	}
	bearer := s.request(scene{as: stations.Office, do: "GET /"}, nil).Header.Get("Authorization")
	for _, tt := range []struct {
		name   string
		got    answer
		status int
	}{
		{"none", send("/prices", coded, form(""), "Cookie", cookie), 403},
		{"made up", send("/prices", coded, form(token+"x"), "Cookie", cookie), 403},
		{"another sign-in's", send("/prices", coded, form(others), "Cookie", cookie), 403},
		{"its own", send("/prices", coded, form(token), "Cookie", cookie), 303},
		{"its own as a header", send("/prices", coded, form(""), "Cookie", cookie, "X-Form-Token", token), 303},
		{"a stale field beside the header", send("/prices", coded, form(others), "Cookie", cookie, "X-Form-Token", token), 303},
		{"a wrong header", send("/prices", coded, form(token), "Cookie", cookie, "X-Form-Token", others), 403},
		{"with a file, none", send("/orders", "multipart/form-data; boundary=b", parts(""), "Cookie", cookie), 403},
		{"with a file", send("/orders", "multipart/form-data; boundary=b", parts(token), "Cookie", cookie), 303},
		{"in capitals", send("/PRICES", coded, form(""), "Cookie", cookie), 403},
		{"by a program", send("/prices", coded, form(""), "Authorization", bearer), 303},
		{"another site, with the token", send("/prices", coded, form(token), "Cookie", cookie, "Sec-Fetch-Site", "cross-site"), 403},
		{"signing out, none", send("/sign-out", coded, "", "Cookie", cookie), 403},
		{"signing in anew", send("/sign-in", coded, "passphrase="+url.QueryEscape(testPassphrase), "Cookie", cookie), 303},
		{"signing out", send("/sign-out", coded, "form_token="+token, "Cookie", cookie), 303},
	} {
		if tt.got.status != tt.status {
			t.Errorf("%s: %d, want %d\n%s", tt.name, tt.got.status, tt.status, tt.got.body)
		}
	}
	if got := s.ask(t, scene{as: stations.Office, do: "GET /api/orders", status: 200}); got.at("orders.#") != "1" {
		t.Errorf("a form without its token stored something: %s", got.body)
	}
}

// TestEveryChangeNeedsTheToken: no page's address that changes something is left out. Only signing in has no
// sign-in to carry the token of.
func TestEveryChangeNeedsTheToken(t *testing.T) {
	s := openShop(t)
	cookie, _, _ := strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204}).header.Get("Set-Cookie"), ";")
	for _, r := range s.routes() {
		if r.Method == "GET" || strings.HasPrefix(r.Path, "/api/") || r.Path == "/sign-in" {
			continue
		}
		got := s.try(t, scene{do: r.Method + " " + r.Path, send: "", header: map[string]string{"Cookie": cookie, "Sec-Fetch-Site": "same-origin"}})
		if got.status != 403 || got.at("field") != "form_token" {
			t.Errorf("%s %s without a token: %d %s", r.Method, r.Path, got.status, got.body)
		}
	}
}

// TestGuessing: whoever fails too often waits, whoever is in stays in, and time forgives.
func TestGuessing(t *testing.T) {
	s := openShop(t)
	wrong := scene{do: "POST /api/session", send: fields{"passphrase": "open sesame"}, status: 401, code: "unauthorized"}
	for range edge.GuessBurst {
		s.ask(t, wrong)
	}
	right := scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 429, code: "too_many"}
	if got := s.ask(t, right); got.header.Get("Retry-After") != "3" {
		t.Errorf("Retry-After %q, want 3", got.header.Get("Retry-After"))
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders", status: 200})
	s.clock.Add(edge.GuessEvery)
	right.status, right.code = 204, ""
	s.ask(t, right)

	s.release(t, "SMI-1")
	code := s.Store.Floor().Order("SMI-1").Tickets[0].Spec.Code
	unknown := scene{as: stations.Bench, do: "GET /api/tickets/" + string(plan.NewCode(7)), status: 404, code: "unknown_ticket"}
	for range edge.GuessBurst {
		s.ask(t, unknown)
	}
	unknown.status, unknown.code = 429, "too_many"
	s.ask(t, unknown)
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + string(code), status: 200})
}
