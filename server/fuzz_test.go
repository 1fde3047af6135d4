package server

import (
	"net/http/httptest"
	"strings"
	"testing"

	"tablehand/stations"
)

// FuzzScan: whatever a device sends, it is done or refused with a reason, and never a fault of the server.
func FuzzScan(f *testing.F) {
	s := openShop(f)
	code := s.release(f, "SMI-1")[0]
	for _, body := range []string{
		`{"ticket":"CODE","station":"cutting","action":"start","key":"a"}`,
		`{"ticket":"CODE","station":"cutting","action":"finish","key":"b","measured":{"x":"1/2 in"},"checks":["y"]}`,
		`{"ticket":"CODE","action":"hold","key":"c","reason":"lunch","at":"2026-12-01T08:00:00Z"}`,
		`{"ticket":"CODE","action":"send_back","key":"d","to":"cutting","reason":"r"}`,
		`{"ticket":"CODE","action":"undo","key":"e"}`, `{"ticket":"000000000","action":"start","key":"f"}`,
		`null`, `[]`, `{}`, `{"ticket":null}`, "", "{\"key\":\"\x00\xff\"}",
	} {
		f.Add(strings.ReplaceAll(body, "CODE", code))
	}
	f.Fuzz(func(t *testing.T, body string) {
		req := httptest.NewRequest("POST", "/api/scans", strings.NewReader(body))
		req.Header.Set("Authorization", "Bearer "+s.tokens[stations.Office])
		res, err := s.app.Test(req, -1)
		if err != nil {
			t.Fatal(err)
		}
		got := read(t, res)
		switch {
		case got.status >= 500 && got.at("code") != "not_supported":
			t.Errorf("%q answered %d %s", body, got.status, got.body)
		case got.status == 200 && got.at("seq") == "":
			t.Errorf("%q was done without a seq: %s", body, got.body)
		case got.status >= 400 && (got.at("code") == "" || got.at("message") == ""):
			t.Errorf("%q was refused without a reason: %d %s", body, got.status, got.body)
		}
	})
}
