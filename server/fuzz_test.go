package server

import (
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"
	"unicode"

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
		got := s.offer(t, "POST", "/api/scans", "application/json", body)
		if got.status == 200 && got.at("seq") == "" {
			t.Errorf("%q was done without a seq: %s", body, got.body)
		}
	})
}

// FuzzPicture: whatever a phone uploads is kept, read or refused with a reason.
func FuzzPicture(f *testing.F) {
	s := openShop(f)
	code := s.release(f, "SMI-1")[0]
	form, kind := photoForm(f, photoOfCloth(f), nil)
	f.Add(kind, form)
	f.Add("image/jpeg", string(photoOfCode(f, code)))
	f.Add("image/jpeg", "\xff\xd8\xff\xe1\x00\x10Exif\x00\x00II*\x00\xff\xff\xff\xff")
	f.Add("image/png", "\x89PNG\r\n\x1a\n")
	f.Add("multipart/form-data; boundary=b", "--b\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"x\"\r\n\r\n\r\n--b--")
	f.Add("multipart/form-data", "--b")
	f.Fuzz(func(t *testing.T, kind, body string) {
		for path, done := range map[string]string{"/api/pictures": "picture", "/api/pictures/read": "ticket"} {
			got := s.offer(t, "POST", path, kind, body)
			if got.status < 300 && got.at(done) == "" {
				t.Errorf("%s: %q was done without a %s: %s", path, body, done, got.body)
			}
		}
	})
}

// FuzzTicketAddress: whatever is typed or scanned in a ticket's place leads to a ticket of that code or is refused
// with a reason, in the address and in the box alike.
func FuzzTicketAddress(f *testing.F) {
	s := openShop(f)
	code := s.release(f, "SMI-1")[0]
	for _, typed := range []string{code, strings.ToLower(code), code[:4] + "-" + code[4:], "HTTP://SHOP.TEST/T/" + code, "000000000", "", "..", "%00", "\xff", "é ?#/"} {
		f.Add(typed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		want, err := stations.ParseCode(typed)
		got := s.offer(t, "GET", "/api/tickets/"+url.PathEscape(typed), "", "")
		if known := err == nil && s.Store.Floor().Ticket(want) != nil; got.status == 200 && got.at("route.#") != "" && (!known || got.at("ticket") != string(want)) {
			t.Errorf("%q leads to %s", typed, got.at("ticket"))
		}
		s.offer(t, "GET", "/t?code="+url.QueryEscape(typed), "", "")
	})
}

// FuzzOrderUpload: whatever file is sent as an order is taken or refused with its problems; what is taken comes back
// as an order that can be worked out.
func FuzzOrderUpload(f *testing.F) {
	s := openShop(f)
	whole := orderFile(f, "SMI-1")
	f.Add(whole)
	f.Add(strings.ReplaceAll(whole, "cartridge-tape", "pinch-2"))
	f.Add(whole[:len(whole)/2])
	f.Add(strings.ReplaceAll(whole, "84", "-84"))
	f.Add("order: X\nunits: in\ntreatments: [{}]\n")
	f.Add("a: &a [*a]")
	f.Add("\x00\xff")
	f.Fuzz(func(t *testing.T, file string) {
		got := s.offer(t, "POST", "/api/orders", "application/yaml", file)
		if got.status == 201 {
			s.offer(t, "GET", "/api/orders/"+url.PathEscape(got.at("order"))+"/workup", "", "")
		}
	})
}

// FuzzPriceFile: whatever is sent as a file of prices is taken or refused with its problems, and what is taken comes
// back as a file that is taken again.
func FuzzPriceFile(f *testing.F) {
	s := openShop(f)
	for _, file := range []string{
		"currency: USD\nrows:\n  - {heading: cartridge-tape, panel: 40.00, width: 18.00}\n", `{"currency":"JPY","rows":[{"heading":"pinch-2","panel":"4000","width":"1800.5"}]}`,
		"currency: USD\nrows: []\n", "currency: USD\nrows: &a [*a]\n", "currency: [", "rows: 1", "- 1", "", "\x00\xff",
	} {
		f.Add(file)
	}
	f.Fuzz(func(t *testing.T, file string) {
		if s.offer(t, "PUT", "/api/prices", "application/json", file); s.offer(t, "PUT", "/api/prices", "application/yaml", file).status != 200 {
			return
		}
		again := s.offer(t, "GET", "/api/prices.yaml", "", "")
		if got := s.offer(t, "PUT", "/api/prices", "application/yaml", string(again.body)); got.status != 200 {
			t.Errorf("%q comes back as %q, which is refused: %s", file, again.body, got.body)
		}
	})
}

// unsendable passes over an input that the fuzzing made and nobody can send. On CI there is no fuzzing but the seeds,
// and each of those is there to be sent.
func unsendable(t *testing.T, why string) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatal("a seed that can't be sent: ", why)
	}
	t.Skip(why)
}

// offer makes a request of the office and holds the answer to being no fault of the server, and a refusal to having
// its reason.
func (s *shop) offer(t *testing.T, method, path, kind, body string) answer {
	t.Helper()
	req, err := http.NewRequest(method, "http://shop.test"+path, strings.NewReader(body))
	if err != nil {
		unsendable(t, err.Error())
	}
	req.Header.Set("Authorization", "Bearer "+s.tokens[stations.Office])
	if kind != "" {
		if strings.ContainsFunc(kind, unicode.IsControl) {
			unsendable(t, "no header can be this")
		}
		req.Header.Set("Content-Type", kind)
	}
	res, err := s.app.Test(req, -1)
	if err != nil && strings.Contains(err.Error(), "multipart/form-data") {
		unsendable(t, "refused before there is a request: TestBrokenForm")
	}
	if err != nil {
		t.Fatal(err)
	}
	got := read(t, res)
	switch reason := got.at("message") + got.at("problems.0.message"); {
	case path == "/api/pictures" && got.at("code") == "busy": // 500 pictures wait to be named
	case got.status >= 500:
		t.Errorf("%s %s: %q answered %d %s", method, path, body, got.status, got.body)
	case got.status >= 400 && reason == "":
		t.Errorf("%s %s: %q was refused without a reason: %d %s", method, path, body, got.status, got.body)
	}
	return got
}
