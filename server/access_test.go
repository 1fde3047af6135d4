package server

import (
	"strings"
	"testing"
	"time"

	"tablehand/stations"
)

// TestStrangers: every address but the open ones, there or not, answers a stranger alike.
func TestStrangers(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	for _, r := range s.routes() {
		if r.who == nil || !strings.HasPrefix(r.path, "/api/") {
			continue
		}
		path := strings.NewReplacer(":order", "SMI-1", ":code", "000000000", ":invoice", "1").Replace(r.path)
		s.ask(t, scene{do: r.method + " " + path, status: 401, code: "unauthorized"})
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

// TestPermissions goes through every route as every role.
func TestPermissions(t *testing.T) {
	s := openShop(t)
	for _, r := range s.routes() {
		if r.who == nil || r.path == "/api/events" || !strings.HasPrefix(r.path, "/api/") {
			continue
		}
		for _, role := range everyRole {
			req := scene{as: role, do: r.method + " " + r.path, send: fields{"zz": 1}}
			got := s.try(t, req)
			let := false
			for _, may := range r.who {
				let = let || may == role
			}
			if refused := got.status == 403; refused == let {
				t.Errorf("%s as %s answered %d", req.do, role, got.status)
			}
		}
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

// TestGuessing: whoever fails too often waits, whoever is in stays in, and time forgives.
func TestGuessing(t *testing.T) {
	s := openShop(t)
	wrong := scene{do: "POST /api/session", send: fields{"passphrase": "open sesame"}, status: 401, code: "unauthorized"}
	for range guessBurst {
		s.ask(t, wrong)
	}
	right := scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 429, code: "too_many"}
	if got := s.ask(t, right); got.header.Get("Retry-After") != "3" {
		t.Errorf("Retry-After %q, want 3", got.header.Get("Retry-After"))
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders", status: 200})
	s.clock.Add(guessEvery)
	right.status, right.code = 204, ""
	s.ask(t, right)

	s.release(t, "SMI-1")
	code := s.Store.Floor().Order("SMI-1").Tickets[0].Spec.Code
	unknown := scene{as: stations.Bench, do: "GET /api/tickets/" + string(stations.NewCode(7)), status: 404, code: "unknown_ticket"}
	for range guessBurst {
		s.ask(t, unknown)
	}
	unknown.status, unknown.code = 429, "too_many"
	s.ask(t, unknown)
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + string(code), status: 200})
}

func TestLimiterForgets(t *testing.T) {
	now := time.Unix(0, 0)
	l := newLimiter(func() time.Time { return now })
	for i := range maxGuesser {
		l.fail(string(rune(i)))
	}
	now = now.Add(guessEvery)
	l.fail("one more")
	if len(l.debts) != 1 {
		t.Errorf("%d guessers remembered, one still owes", len(l.debts))
	}
	for i := range maxGuesser + 5 {
		l.fail(string(rune(i)))
	}
	if len(l.debts) > maxGuesser {
		t.Errorf("%d guessers remembered", len(l.debts))
	}
}
