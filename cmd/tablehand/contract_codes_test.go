package main

import (
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// alphabet is Crockford's base32: no I, L, O, U.
const alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// TestCodes: a code is read however it is typed or scanned, and one wrong character is always seen.
func TestCodes(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "CODE-1", manyWindows("3")...)
	code := f.cutting[0].Ticket
	if !regexp.MustCompile(`^[` + alphabet + `]{9}$`).MatchString(code) {
		t.Fatalf("code %q: want 8 symbols and a check symbol", code)
	}

	for _, form := range []struct{ name, typed string }{
		{"as printed", code},
		{"lower case", strings.ToLower(code)},
		{"hyphens", code[:4] + "-" + code[4:8] + "-" + code[8:]},
		{"spaces", " " + code[:3] + " " + code[3:6] + " " + code[6:] + " "},
		{"letters for digits", strings.NewReplacer("0", "o", "1", "l").Replace(code)},
		{"letters for digits, upper case", strings.NewReplacer("0", "O", "1", "I").Replace(code)},
	} {
		t.Run(form.name, func(t *testing.T) {
			s.holdAndResume(t, form.typed, code)
			s.ask(t, request{as: s.station, do: "GET /api/tickets/" + url.PathEscape(form.typed), status: 200, has: map[string]string{"ticket": code}})
		})
	}
	for _, scanned := range []string{
		s.url + "/T/" + code, strings.ToUpper(s.url) + "/T/" + code, s.url + "/t/" + strings.ToLower(code),
		"https://old.address.example:8443/shop/T/" + code,
	} {
		t.Run(scanned, func(t *testing.T) { s.holdAndResume(t, scanned, code) })
	}

	t.Run("one wrong character", func(t *testing.T) {
		for i := range code {
			for shift := 1; shift < len(alphabet); shift += 6 {
				other := alphabet[(strings.IndexByte(alphabet, code[i])+shift)%len(alphabet)]
				s.badCode(t, code[:i]+string(other)+code[i+1:])
			}
		}
	})
	t.Run("two neighbours swapped", func(t *testing.T) {
		for i := range len(code) - 1 {
			if code[i] != code[i+1] {
				s.badCode(t, code[:i]+code[i+1:i+2]+code[i:i+1]+code[i+2:])
			}
		}
	})
	t.Run("not a code", func(t *testing.T) {
		for _, typed := range []string{code[:8], code + "0", "hello", "U" + code[1:], s.url} {
			s.badCode(t, typed)
		}
	})

	t.Run("the ticket of another shop", func(t *testing.T) {
		empty := openShop(t)
		empty.ask(t, request{as: empty.station, do: "GET /api/tickets/" + code, status: 404, code: "unknown_ticket"})
		empty.ask(t, request{as: empty.station, do: "POST /api/scans", send: scan(code, "start", "cutting"), status: 404, code: "unknown_ticket"})
	})

	t.Run("no two alike", func(t *testing.T) {
		seen := map[string]bool{}
		for _, r := range append(f.cutting, f.panels...) {
			if seen[r.Ticket] {
				t.Errorf("%s twice in one order", r.Ticket)
			}
			seen[r.Ticket] = true
		}
	})
	s.audit(t)
}

// holdAndResume scans the ticket as typed and sees that the right one is meant.
func (s *shop) holdAndResume(t *testing.T, typed, code string) {
	t.Helper()
	s.done(t, s.station, scan(typed, "hold", "", "reason", "typed"), map[string]string{"ticket": code, "state": "held"})
	s.done(t, s.station, scan(typed, "resume", ""), map[string]string{"ticket": code, "state": "ready"})
}

func (s *shop) badCode(t *testing.T, typed string) {
	t.Helper()
	s.ask(t, request{as: s.station, do: "POST /api/scans", send: scan(typed, "start", "cutting"), status: 422, code: "bad_code"})
}

// TestTicketAddress: what the QR holds and what a hand types are one page, and a phone that isn't let in sees no ticket.
func TestTicketAddress(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "ADDR-1")
	code := f.panels[0].Ticket
	for _, address := range []string{"/T/" + code, "/t/" + strings.ToLower(code)} {
		for _, who := range []struct {
			token string
			sees  bool
		}{{s.station, true}, {"", false}} {
			got, err := exchange(patient, "GET", s.url+address, who.token, nil)
			if err != nil {
				t.Fatal(err)
			}
			if sees := strings.Contains(string(got.body), "Bay, left"); sees != who.sees || who.sees && got.status != 200 {
				t.Errorf("%s, let in %v: status %d, shows the window %v", address, who.sees, got.status, sees)
			}
		}
	}
}
