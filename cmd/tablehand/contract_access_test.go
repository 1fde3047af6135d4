package main

import (
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// everyRoute is every address of the contract under /api but the sign-in.
var everyRoute = []string{
	"GET /api/openapi.json",
	"POST /api/orders", "GET /api/orders", "GET /api/orders/A-1", "PUT /api/orders/A-1", "GET /api/orders/A-1/workup",
	"GET /api/orders/A-1/tickets.pdf", "POST /api/orders/A-1/release", "POST /api/orders/A-1/cancel",
	"GET /api/tickets/00000000A", "POST /api/scans", "GET /api/board", "GET /api/events", "GET /api/ready",
	"GET /api/prices", "PUT /api/prices", "POST /api/invoices", "GET /api/invoices/1", "GET /api/invoices/1.pdf",
	"POST /api/invoices/1/issue", "DELETE /api/invoices/1",
}

func TestNothingIsOpenButHealth(t *testing.T) {
	s := openShop(t)
	for _, who := range []struct{ name, token string }{{"nobody", ""}, {"a made-up token", "00000000000000000000000000"}} {
		for _, route := range everyRoute {
			t.Run(who.name+" "+route, func(t *testing.T) {
				s.ask(t, request{as: who.token, do: route, status: 401, code: "unauthorized"})
			})
		}
	}
}

// TestRoles: office and program do all of these; station has scans, tickets and the board; screen the board and events.
func TestRoles(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "ROLE-1")
	open := "GET /api/tickets/" + f.panels[0].Ticket
	s.play(t, []request{
		{name: "station posts an order", as: s.station, do: "POST /api/orders", send: orderFile(t, "ROLE-2"), status: 403, code: "forbidden"},
		{name: "station releases", as: s.station, do: "POST /api/orders/ROLE-1/release", send: fields{}, status: 403, code: "forbidden"},
		{name: "station cancels", as: s.station, do: "POST /api/orders/ROLE-1/cancel", send: fields{"reason": "no"}, status: 403, code: "forbidden"},
		{name: "station reads prices", as: s.station, do: "GET /api/prices", status: 403, code: "forbidden"},
		{name: "station sets prices", as: s.station, do: "PUT /api/prices", send: priceList("1.00", "1.00"), status: 403, code: "forbidden"},
		{name: "station reads what is ready", as: s.station, do: "GET /api/ready", status: 403, code: "forbidden"},
		{name: "station bills", as: s.station, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{}}, status: 403, code: "forbidden"},
		{name: "station opens a ticket", as: s.station, do: open, status: 200},
		{name: "station reads the board", as: s.station, do: "GET /api/board", status: 200},
		{name: "station scans", as: s.station, do: "POST /api/scans", send: scan(f.cutting[0].Ticket, "start", "cutting"), status: 200},
		{name: "screen reads the board", as: s.screen, do: "GET /api/board", status: 200},
		{name: "screen opens a ticket", as: s.screen, do: open, status: 403, code: "forbidden"},
		{name: "screen scans", as: s.screen, do: "POST /api/scans", send: scan(f.cutting[1].Ticket, "start", "cutting"), status: 403, code: "forbidden"},
		{name: "screen lists orders", as: s.screen, do: "GET /api/orders", status: 403, code: "forbidden"},
		{name: "screen posts an order", as: s.screen, do: "POST /api/orders", send: orderFile(t, "ROLE-2"), status: 403, code: "forbidden"},
		{name: "screen reads what is ready", as: s.screen, do: "GET /api/ready", status: 403, code: "forbidden"},
		{name: "program posts an order", as: s.program, do: "POST /api/orders", send: orderFile(t, "ROLE-2"), status: 201},
		{name: "program releases", as: s.program, do: "POST /api/orders/ROLE-2/release", send: fields{}, status: 200},
		{name: "program sets prices", as: s.program, do: "PUT /api/prices", send: priceList("40.00", "18.00"), status: 200},
		{name: "program reads what is ready", as: s.program, do: "GET /api/ready", status: 200},
		{name: "program opens a ticket", as: s.program, do: open, status: 200},
		{name: "office reads the API's own description", as: s.office, do: "GET /api/openapi.json", status: 200,
			check: func(t *testing.T, got answer) {
				if version := got.at("openapi"); len(version) < 4 || version[:4] != "3.0." {
					t.Errorf("OpenAPI %q, want 3.0", version)
				}
			}},
	})
	s.audit(t)
}

func TestTokenNeedsARole(t *testing.T) {
	s := openShop(t)
	for _, args := range [][]string{{"token", "X", "--role", "owner"}, {"token", "X"}, {"token", "--role", "office"}} {
		if out, _, code := command(t, append(args, "--data", s.dir)...); code == 0 {
			t.Errorf("%q printed %q", args, out)
		}
	}
}

func TestSignIn(t *testing.T) {
	s := openShop(t)
	passphrase := s.passphrase(t)
	jar, _ := cookiejar.New(nil)
	browser := &http.Client{Jar: jar, Timeout: patience}
	ask := func(t *testing.T, method, path string, body any) answer {
		t.Helper()
		got, err := exchange(browser, method, s.url+path, "", body)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}

	got := ask(t, "POST", "/api/session", fields{"passphrase": passphrase + "x"})
	if got.status != 401 || got.at("code") != "unauthorized" || got.header.Get("Set-Cookie") != "" {
		t.Errorf("a wrong passphrase: %d %s, cookie %q", got.status, got.body, got.header.Get("Set-Cookie"))
	}
	if got := ask(t, "GET", "/api/orders", nil); got.status != 401 {
		t.Errorf("orders after a refused sign-in: %d", got.status)
	}
	got = ask(t, "POST", "/api/session", fields{"passphrase": passphrase})
	cookies := (&http.Response{Header: got.header}).Cookies()
	if got.status != 204 || len(cookies) == 0 || !cookies[0].HttpOnly {
		t.Fatalf("the right passphrase: %d %s, cookies %v", got.status, got.body, cookies)
	}
	if got := ask(t, "GET", "/api/orders", nil); got.status != 200 {
		t.Errorf("orders after the sign-in: %d %s", got.status, got.body)
	}
}

// TestGuessingAPassphrase: whoever guesses on is told to wait.
func TestGuessingAPassphrase(t *testing.T) {
	s := openShop(t)
	for range 100 {
		switch got := s.send(t, request{do: "POST /api/session", send: fields{"passphrase": "open sesame"}}); got.status {
		case 401:
		case 429:
			got.mustExplain(t, "the sign-in")
			s.ask(t, request{as: s.office, do: "GET /api/orders", status: 200}) // who is in stays in
			return
		default:
			t.Fatalf("guess answered %d %s", got.status, got.body)
		}
	}
	t.Error("a hundred guesses at the passphrase and no 429")
}

// TestGuessersBehindAProxy: one who guesses behind a proxy keeps nobody else behind it waiting, and what he says he is
// doesn't free him.
func TestGuessersBehindAProxy(t *testing.T) {
	s := openShop(t)
	guess := func(from string) int {
		t.Helper()
		req, err := http.NewRequest("POST", s.url+"/api/session", strings.NewReader(`{"passphrase":"open sesame"}`))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("X-Forwarded-For", from)
		res, err := patient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		return res.StatusCode
	}
	for i := range 100 {
		if guess(fmt.Sprintf("10.9.8.%d, 192.168.1.7", i)) == 429 {
			if status := guess("192.168.1.8"); status != 401 {
				t.Errorf("another behind the proxy: %d, want 401", status)
			}
			return
		}
	}
	t.Error("a hundred guesses behind a proxy and no 429")
}

// TestPassphraseOfTheEnvironment starts a process whose owner has set the passphrase, and stops it in order.
func TestPassphraseOfTheEnvironment(t *testing.T) {
	s, cmd := startProcess(t, filepath.Join(t.TempDir(), "shop"), "TABLEHAND_PASSPHRASE=salt marsh reed bed")
	s.ask(t, request{do: "POST /api/session", send: fields{"passphrase": "salt marsh reed bed"}, status: 204})
	interrupt(t, cmd)
	s.audit(t)
}

// passphrase returns the one that serve made and printed.
func (s *shop) passphrase(t *testing.T) string {
	t.Helper()
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if made, ok := s.line("passphrase"); ok {
			return made
		}
	}
	t.Fatalf("a new shop printed no passphrase: %s", s.printed.String())
	return ""
}
