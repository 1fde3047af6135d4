package server

import (
	"bytes"
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
