package contract

import (
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"path/filepath"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// everyRoute is every address under /api but the sign-in.
var everyRoute = []string{
	"GET /api/openapi.json",
	"POST /api/orders", "GET /api/orders", "GET /api/orders/A-1", "PUT /api/orders/A-1", "GET /api/orders/A-1/workup",
	"GET /api/orders/A-1/tickets.pdf", "POST /api/orders/A-1/release", "POST /api/orders/A-1/cancel", "POST /api/orders/A-1/close",
	"GET /api/tickets/00000000A", "POST /api/scans", "GET /api/board", "GET /api/events", "GET /api/ready",
	"GET /api/prices", "PUT /api/prices", "POST /api/invoices", "GET /api/invoices/1", "GET /api/invoices/1.pdf",
	"POST /api/invoices/1/issue", "POST /api/invoices/1/credit", "DELETE /api/invoices/1",
}

func TestNothingIsOpenButHealth(t *testing.T) {
	s := shoptest.Open(t)
	for _, who := range []struct{ name, token string }{{"nobody", ""}, {"a made-up token", "00000000000000000000000000"}} {
		for _, route := range everyRoute {
			t.Run(who.name+" "+route, func(t *testing.T) {
				s.Ask(t, shoptest.Request{As: who.token, Do: route, Status: 401, Code: "unauthorized"})
			})
		}
	}
}

// TestRoles: office and program do all of these; station has scans, tickets and the board; screen the board and events.
func TestRoles(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "ROLE-1")
	open := "GET /api/tickets/" + f.Panels[0].Ticket
	s.Play(t, []shoptest.Request{
		{Name: "station posts an order", As: s.Station, Do: "POST /api/orders", Send: shoptest.OrderFile(t, "ROLE-2"), Status: 403, Code: "forbidden"},
		{Name: "station releases", As: s.Station, Do: "POST /api/orders/ROLE-1/release", Send: shoptest.Fields{}, Status: 403, Code: "forbidden"},
		{Name: "station cancels", As: s.Station, Do: "POST /api/orders/ROLE-1/cancel", Send: shoptest.Fields{"reason": "no"}, Status: 403, Code: "forbidden"},
		{Name: "station reads prices", As: s.Station, Do: "GET /api/prices", Status: 403, Code: "forbidden"},
		{Name: "station sets prices", As: s.Station, Do: "PUT /api/prices", Send: priceList("1.00", "1.00"), Status: 403, Code: "forbidden"},
		{Name: "station reads what is ready", As: s.Station, Do: "GET /api/ready", Status: 403, Code: "forbidden"},
		{Name: "station bills", As: s.Station, Do: "POST /api/invoices", Send: shoptest.Fields{"customer": "Saltmarsh Inn", "panels": []string{}}, Status: 403, Code: "forbidden"},
		{Name: "station opens a ticket", As: s.Station, Do: open, Status: 200},
		{Name: "station reads the board", As: s.Station, Do: "GET /api/board", Status: 200},
		{Name: "station scans", As: s.Station, Do: "POST /api/scans", Send: shoptest.Scan(f.Cutting[0].Ticket, "start", "cutting"), Status: 200},
		{Name: "screen reads the board", As: s.Screen, Do: "GET /api/board", Status: 200},
		{Name: "screen opens a ticket", As: s.Screen, Do: open, Status: 403, Code: "forbidden"},
		{Name: "screen scans", As: s.Screen, Do: "POST /api/scans", Send: shoptest.Scan(f.Cutting[1].Ticket, "start", "cutting"), Status: 403, Code: "forbidden"},
		{Name: "screen lists orders", As: s.Screen, Do: "GET /api/orders", Status: 403, Code: "forbidden"},
		{Name: "screen posts an order", As: s.Screen, Do: "POST /api/orders", Send: shoptest.OrderFile(t, "ROLE-2"), Status: 403, Code: "forbidden"},
		{Name: "screen reads what is ready", As: s.Screen, Do: "GET /api/ready", Status: 403, Code: "forbidden"},
		{Name: "program posts an order", As: s.Program, Do: "POST /api/orders", Send: shoptest.OrderFile(t, "ROLE-2"), Status: 201},
		{Name: "program releases", As: s.Program, Do: "POST /api/orders/ROLE-2/release", Send: shoptest.Fields{}, Status: 200},
		{Name: "program sets prices", As: s.Program, Do: "PUT /api/prices", Send: priceList("40.00", "18.00"), Status: 200},
		{Name: "program reads what is ready", As: s.Program, Do: "GET /api/ready", Status: 200},
		{Name: "program opens a ticket", As: s.Program, Do: open, Status: 200},
		{Name: "office reads the API's own description", As: s.Office, Do: "GET /api/openapi.json", Status: 200,
			Check: func(t *testing.T, got shoptest.Answer) {
				if version := got.At("openapi"); len(version) < 4 || version[:4] != "3.0." {
					t.Errorf("OpenAPI %q, want 3.0", version)
				}
			}},
	})
	s.Audit(t)
}

func TestTokenNeedsARole(t *testing.T) {
	s := shoptest.Open(t)
	for _, args := range [][]string{{"token", "X", "--role", "owner"}, {"token", "X"}, {"token", "--role", "office"}} {
		if out, _, code := shoptest.Command(t, append(args, "--data", s.Dir)...); code == 0 {
			t.Errorf("%q printed %q", args, out)
		}
	}
}

func TestSignIn(t *testing.T) {
	s := shoptest.Open(t)
	passphrase := s.Passphrase(t)
	jar, _ := cookiejar.New(nil)
	browser := &http.Client{Jar: jar, Timeout: shoptest.Patience}
	ask := func(t *testing.T, method, path string, body any) shoptest.Answer {
		t.Helper()
		got, err := shoptest.Exchange(browser, method, s.URL+path, "", body)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}

	got := ask(t, "POST", "/api/session", shoptest.Fields{"passphrase": passphrase + "x"})
	if got.Status != 401 || got.At("code") != "unauthorized" || got.Header.Get("Set-Cookie") != "" {
		t.Errorf("a wrong passphrase: %d %s, cookie %q", got.Status, got.Body, got.Header.Get("Set-Cookie"))
	}
	if got := ask(t, "GET", "/api/orders", nil); got.Status != 401 {
		t.Errorf("orders after a refused sign-in: %d", got.Status)
	}
	got = ask(t, "POST", "/api/session", shoptest.Fields{"passphrase": passphrase})
	cookies := (&http.Response{Header: got.Header}).Cookies()
	if got.Status != 204 || len(cookies) == 0 || !cookies[0].HttpOnly {
		t.Fatalf("the right passphrase: %d %s, cookies %v", got.Status, got.Body, cookies)
	}
	if got := ask(t, "GET", "/api/orders", nil); got.Status != 200 {
		t.Errorf("orders after the sign-in: %d %s", got.Status, got.Body)
	}
}

// TestGuessingAPassphrase: whoever guesses on is told to wait.
func TestGuessingAPassphrase(t *testing.T) {
	s := shoptest.Open(t)
	for range 100 {
		switch got := s.Send(t, shoptest.Request{Do: "POST /api/session", Send: shoptest.Fields{"passphrase": "open sesame"}}); got.Status {
		case 401:
		case 429:
			got.MustExplain(t, "the sign-in")
			s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders", Status: 200}) // who is in stays in
			return
		default:
			t.Fatalf("guess answered %d %s", got.Status, got.Body)
		}
	}
	t.Error("a hundred guesses at the passphrase and no 429")
}

// TestGuessersBehindAProxy: one who guesses behind a proxy keeps nobody else behind it waiting, and what he says he is
// doesn't free him.
func TestGuessersBehindAProxy(t *testing.T) {
	s := shoptest.Open(t)
	guess := func(from string) int {
		t.Helper()
		req, err := http.NewRequest("POST", s.URL+"/api/session", strings.NewReader(`{"passphrase":"open sesame"}`))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("X-Forwarded-For", from)
		res, err := shoptest.Patient.Do(req)
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
	s, cmd := shoptest.StartProcess(t, filepath.Join(t.TempDir(), "shop"), "TABLEHAND_PASSPHRASE=salt marsh reed bed")
	s.Ask(t, shoptest.Request{Do: "POST /api/session", Send: shoptest.Fields{"passphrase": "salt marsh reed bed"}, Status: 204})
	shoptest.Interrupt(t, cmd)
	s.Audit(t)
}
