package server

import (
	"net/http"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestBrokenForm: a form that ends in its middle is refused with a reason, on a real connection.
func TestBrokenForm(t *testing.T) {
	s := openShop(t)
	url := s.listen(t)
	for _, body := range []string{"--b", "--b\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"x\"\r\n\r\n\r\n-b--", "--b\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"x\"\r\n\r\n", ""} {
		for _, path := range []string{"/api/pictures", "/api/pictures/read", "/orders", "/prices/file"} {
			req, err := http.NewRequest("POST", url+path, strings.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			req.Header.Set("Authorization", "Bearer "+s.tokens[stations.Office])
			req.Header.Set("Content-Type", "multipart/form-data; boundary=b")
			res, err := http.DefaultClient.Do(req)
			if err != nil {
				t.Errorf("%s: %q: %v", path, body, err)
				continue
			}
			if got := read(t, res); got.status < 400 || got.status >= 500 || got.at("message") == "" {
				t.Errorf("%s: %q answered %d %s", path, body, got.status, got.body)
			}
		}
	}
}
