package server

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"testing"
	"time"

	"tablehand/server/edge"
	"tablehand/stations"
)

// TestBodiesOfStrangers: what a stranger sends is refused by its header once it is longer than a sign-in can be, and
// somebody whom the shop knows may send a whole photograph.
func TestBodiesOfStrangers(t *testing.T) {
	s := openShop(t)
	url := s.listen(t)
	send := func(token string, body io.Reader) (status int, text string) {
		t.Helper()
		req, err := http.NewRequest("POST", url+"/api/orders", body)
		if err != nil {
			t.Fatal(err)
		}
		if token != "" {
			req.Header.Set("Authorization", "Bearer "+token)
		}
		res, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		got, _ := io.ReadAll(res.Body)
		return res.StatusCode, string(got)
	}
	long := "order: X # " + strings.Repeat("x", 100_000)
	office := s.tokens[stations.Office]
	for _, tt := range []struct {
		name, token string
		body        io.Reader
		status      int
	}{
		{"a stranger's", "", strings.NewReader(long), 413},
		{"a stranger's, in chunks", "", struct{ io.Reader }{strings.NewReader(long)}, 413},
		{"one with a token of nobody's", office + "x", strings.NewReader(long), 413},
		{"a stranger's short one", "", strings.NewReader("order: X"), 401},
		{"the office's", office, strings.NewReader(long), 422},
		{"the office's, in chunks", office, struct{ io.Reader }{strings.NewReader(long)}, 422},
		{"the office's, too long", office, strings.NewReader(long + strings.Repeat("x", edge.MaxBody)), 413},
	} {
		if status, text := send(tt.token, tt.body); status != tt.status {
			t.Errorf("%s: %d %.200s", tt.name, status, text)
		}
	}
}

// TestUnfinishedBodies: sixty strangers who announce a large body and never finish it cost the shop next to nothing.
func TestUnfinishedBodies(t *testing.T) {
	s := openShop(t)
	address := strings.TrimPrefix(s.listen(t), "http://")
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	for range 60 {
		conn, err := net.Dial("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		fmt.Fprintf(conn, "POST /api/orders HTTP/1.1\r\nHost: shop\r\nContent-Length: %d\r\n\r\n%s", edge.MaxBody, strings.Repeat("x", 10_000))
	}
	for _, path := range []string{"/healthz", "/sign-in"} {
		res, err := (&http.Client{Timeout: 20 * time.Second}).Get("http://" + address + path)
		if err != nil || res.StatusCode != 200 {
			t.Fatalf("%s beside them: %v %v", path, res, err)
		}
		res.Body.Close()
	}
	runtime.ReadMemStats(&after)
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 60*64<<10+16<<20 {
		t.Errorf("they cost %d MB", grown>>20)
	}
}
