package server

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net"
	"strings"
	"sync"
	"testing"
	"time"

	"tablehand/server/auth"
	"tablehand/server/edge"
	"tablehand/stations"
)

// TestFormTokenBesideAnotherHeader: a form that comes with the sign-in's cookie needs its token whatever else the request
// says of who sends it. A browser sends Basic by itself for an address with a name in it.
func TestFormTokenBesideAnotherHeader(t *testing.T) {
	s := openShop(t)
	cookie, _, _ := strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204}).header.Get("Set-Cookie"), ";")
	_, secret, _ := strings.Cut(cookie, "=")
	post := func(authorization, form string) answer {
		return s.try(t, scene{do: "POST /settings/passphrase", send: form, header: map[string]string{"Accept": "application/json", "Cookie": cookie,
			"Authorization": authorization, "Content-Type": "application/x-www-form-urlencoded", "Sec-Fetch-Site": "same-origin"}})
	}
	for _, other := range []string{"Basic eDp5", "Digest a=b", "x", "Bearer", "Negotiate "} {
		if got := post(other, "now=a&next=b"); got.status != 403 || got.at("field") != "form_token" {
			t.Errorf("beside %q: %d %s", other, got.status, got.body)
		}
		if got := post(other, "now=a&next=b&form_token="+auth.FormToken(secret)); got.at("field") == "form_token" {
			t.Errorf("with its token beside %q: %d %s", other, got.status, got.body)
		}
	}
	// A token of the shop's is what counts where there is one, and no site can have a browser send it.
	if got := post("Bearer "+s.tokens[stations.Office], "now=a&next=b"); got.at("field") == "form_token" {
		t.Errorf("a program: %d %s", got.status, got.body)
	}
	if got := post("Bearer nobody", "now=a&next=b"); got.status != 401 {
		t.Errorf("an unknown token beside a cookie: %d %s", got.status, got.body)
	}
}

// lockedLog is a log that a server writes while a test reads it.
type lockedLog struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (l *lockedLog) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.Write(p)
}

func (l *lockedLog) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.String()
}

// TestLogOfBrokenRequests: a request that can't be read leaves its kind in the log, never what it says.
func TestLogOfBrokenRequests(t *testing.T) {
	s := openShop(t)
	var log lockedLog
	s.Log = slog.New(slog.NewTextHandler(&log, nil))
	address := strings.TrimPrefix(s.listen(t), "http://")
	const secret = "SECRET0123456789"
	for _, tt := range []struct{ name, head, kind string }{
		{"cut off in its header", "GET /t/" + secret + " HTTP/1.1\r\nHost: shop\r\nCookie: tablehand=" + secret, "kind="},
		{"a header that isn't one", "GET / HTTP/1.1\r\nHost: shop\r\nAuthorization: Bearer " + secret + "\r\nCookie " + secret + "\r\n\r\n", "kind=bad_request"},
		{"no request", secret + " " + secret + "\r\n\r\n", "kind="},
		{"a wrong length", "POST / HTTP/1.1\r\nHost: shop\r\nCookie: tablehand=" + secret + "\r\nContent-Length: " + secret + "\r\n\r\n", "kind=bad_request"},
		{"too large", fmt.Sprintf("POST / HTTP/1.1\r\nHost: shop\r\nCookie: tablehand=%s\r\nContent-Length: %d\r\n\r\n", secret, edge.MaxBody+1), "kind=too_large"},
		{"a header too large", "GET / HTTP/1.1\r\nHost: shop\r\nCookie: tablehand=" + strings.Repeat(secret, 1000) + "\r\n\r\n", "kind=header_too_large"},
	} {
		before := len(log.String())
		conn, err := net.Dial("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		io.WriteString(conn, tt.head)
		conn.(*net.TCPConn).CloseWrite()
		conn.SetReadDeadline(time.Now().Add(10 * time.Second))
		io.Copy(io.Discard, conn)
		conn.Close()
		said := log.String()[before:]
		if !strings.Contains(said, tt.kind) || strings.Contains(said, secret) {
			t.Errorf("%s: the log says %q", tt.name, said)
		}
	}
}

// TestLogOfRequests: each request leaves a line that says its id, the one its answer carries, its route and status; what it
// says of itself and what it brings stay out of the log, also where it is refused or fails.
func TestLogOfRequests(t *testing.T) {
	s := openShop(t)
	var log lockedLog
	s.Log = slog.New(slog.NewJSONHandler(&log, nil))
	const guess, customer, window = "GUESSED-PASSPHRASE", "Marram House", "WINDOW-NAME"
	cookie, _, _ := strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204}).header.Get("Set-Cookie"), ";")
	_, secret, _ := strings.Cut(cookie, "=")
	s.release(t, "SMI-1")
	code := string(s.Desk.Store.Floor().Orders()[0].Tickets[0].Spec.Code)
	file := strings.NewReplacer("customer: Saltmarsh Inn", "customer: "+customer, "window: Bay, left", "window: "+window)
	answers := map[string]answer{}
	for _, sc := range []scene{
		{name: "a guess", do: "POST /api/session", send: fields{"passphrase": guess}},
		{name: "an order", as: stations.Office, do: "POST /api/orders?customer=" + guess, send: file.Replace(orderFile(t, "SMI-2"))},
		{name: "a file that can't be read", as: stations.Office, do: "POST /api/orders", send: guess + ": [" + customer},
		{name: "by cookie", do: "GET /api/tickets/" + code, header: map[string]string{"Cookie": cookie}},
		{name: "a scan", as: stations.Bench, do: "POST /api/scans", send: fields{"ticket": code, "station": "cutting", "action": "start", "key": guess, "person": customer}},
		{name: "nowhere", as: stations.Screen, do: "GET /" + guess},
		{name: "unknown token", do: "GET /api/board", header: map[string]string{"Authorization": "Bearer " + guess}},
	} {
		answers[sc.name] = s.try(t, sc)
	}
	if err := s.Desk.Store.Close(); err != nil {
		t.Fatal(err)
	}
	answers["failed"] = s.try(t, scene{as: stations.Bench, do: "POST /api/scans", send: fields{"ticket": code, "station": "cutting", "action": "finish", "key": guess + "2"}})
	said := log.String()
	for name, got := range answers {
		var lines int
		for line := range strings.Lines(said) {
			var entry struct {
				Request string `json:"request"`
				Route   string `json:"route"`
				Status  int    `json:"status"`
				Msg     string `json:"msg"`
			}
			if err := json.Unmarshal([]byte(line), &entry); err != nil {
				t.Fatalf("%q: %v", line, err)
			}
			if entry.Request == got.header.Get("X-Request-Id") && entry.Msg == "request" && entry.Route != "" && entry.Status == got.status {
				lines++
			}
		}
		if lines != 1 {
			t.Errorf("%s: %d lines of its id in the log", name, lines)
		}
	}
	id, _, _ := strings.Cut(secret, ".")
	for what, hidden := range map[string]string{"the passphrase": testPassphrase, "a guess": guess, "a cookie": strings.TrimPrefix(secret, id), "a token": s.tokens[stations.Bench],
		"a customer": customer, "a window": window, "a ticket's code": code, "the order's own name": "SMI-"} {
		if hidden == "" || strings.Contains(said, hidden) {
			t.Errorf("the log says %s, %q", what, hidden)
		}
	}
}
