package server

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"tablehand/stations"
)

func contextFor(d time.Duration) (context.Context, context.CancelFunc) {
	return context.WithTimeout(context.Background(), d)
}

// TestLargeUpload: what is too large is told so, over a real connection, rather than cut off; and the client can
// go on.
func TestLargeUpload(t *testing.T) {
	s := openShop(t)
	url := s.listen(t) + "/api/orders"
	for _, upload := range []struct {
		name string
		body io.Reader // a bytes.Reader announces its length, another reader comes in chunks
	}{
		{"9 MB, less than any request may have", bytes.NewReader(make([]byte, 9<<20))},
		{"20 MB", bytes.NewReader(make([]byte, 20<<20))},
		{"20 MB in chunks", io.LimitReader(strings.NewReader(strings.Repeat("# reeds\n", 4<<20)), 20<<20)},
	} {
		t.Run(upload.name, func(t *testing.T) {
			req, err := http.NewRequest("POST", url, upload.body)
			if err != nil {
				t.Fatal(err)
			}
			req.Header.Set("Authorization", "Bearer "+s.tokens[stations.Office])
			req.Header.Set("Content-Type", "application/yaml")
			res, err := http.DefaultClient.Do(req)
			if err != nil {
				t.Fatal(err)
			}
			if got := read(t, res); got.status != 413 || got.at("code") != "too_large" || got.at("message") == "" ||
				got.header.Get("X-Request-Id") == "" {
				t.Errorf("answered %d %s", got.status, got.body)
			}
		})
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders", status: 200, has: map[string]string{"orders.#": "0"}})
}
