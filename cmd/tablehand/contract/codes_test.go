package contract

import (
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// alphabet is Crockford's base32: no I, L, O, U.
const alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// TestCodes: a code is read however it is typed or scanned, and one wrong character is always seen.
func TestCodes(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "CODE-1", shoptest.ManyWindows("3")...)
	code := f.Cutting[0].Ticket
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
			holdAndResume(t, s, form.typed, code)
			s.Ask(t, shoptest.Request{As: s.Station, Do: "GET /api/tickets/" + url.PathEscape(form.typed), Status: 200, Has: map[string]string{"ticket": code}})
		})
	}
	for _, scanned := range []string{
		s.URL + "/T/" + code, strings.ToUpper(s.URL) + "/T/" + code, s.URL + "/t/" + strings.ToLower(code),
		"https://old.address.example:8443/shop/T/" + code,
	} {
		t.Run(scanned, func(t *testing.T) { holdAndResume(t, s, scanned, code) })
	}

	t.Run("one wrong character", func(t *testing.T) {
		for i := range code {
			for shift := 1; shift < len(alphabet); shift += 6 {
				other := alphabet[(strings.IndexByte(alphabet, code[i])+shift)%len(alphabet)]
				badCode(t, s, code[:i]+string(other)+code[i+1:])
			}
		}
	})
	t.Run("two neighbours swapped", func(t *testing.T) {
		for i := range len(code) - 1 {
			if code[i] != code[i+1] {
				badCode(t, s, code[:i]+code[i+1:i+2]+code[i:i+1]+code[i+2:])
			}
		}
	})
	t.Run("not a code", func(t *testing.T) {
		for _, typed := range []string{code[:8], code + "0", "hello", "U" + code[1:], s.URL} {
			badCode(t, s, typed)
		}
	})

	t.Run("the ticket of another shop", func(t *testing.T) {
		empty := shoptest.Open(t)
		empty.Ask(t, shoptest.Request{As: empty.Station, Do: "GET /api/tickets/" + code, Status: 404, Code: "unknown_ticket"})
		empty.Ask(t, shoptest.Request{As: empty.Station, Do: "POST /api/scans", Send: shoptest.Scan(code, "start", "cutting"), Status: 404, Code: "unknown_ticket"})
	})

	t.Run("no two alike", func(t *testing.T) {
		seen := map[string]bool{}
		for _, r := range append(f.Cutting, f.Panels...) {
			if seen[r.Ticket] {
				t.Errorf("%s twice in one order", r.Ticket)
			}
			seen[r.Ticket] = true
		}
	})
	s.Audit(t)
}

// holdAndResume scans the ticket as typed and sees that the right one is meant.
func holdAndResume(t *testing.T, s *shoptest.Shop, typed, code string) {
	t.Helper()
	s.Done(t, s.Station, shoptest.Scan(typed, "hold", "", "reason", "typed"), map[string]string{"ticket": code, "state": "held"})
	s.Done(t, s.Station, shoptest.Scan(typed, "resume", ""), map[string]string{"ticket": code, "state": "ready"})
}

func badCode(t *testing.T, s *shoptest.Shop, typed string) {
	t.Helper()
	s.Ask(t, shoptest.Request{As: s.Station, Do: "POST /api/scans", Send: shoptest.Scan(typed, "start", "cutting"), Status: 422, Code: "bad_code"})
}

// TestTicketAddress: what the QR holds and what a hand types are one page, and a phone that isn't let in sees no ticket.
func TestTicketAddress(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "ADDR-1")
	code := f.Panels[0].Ticket
	for _, address := range []string{"/T/" + code, "/t/" + strings.ToLower(code)} {
		for _, who := range []struct {
			token string
			sees  bool
		}{{s.Station, true}, {"", false}} {
			got, err := shoptest.Exchange(shoptest.Patient, "GET", s.URL+address, who.token, nil)
			if err != nil {
				t.Fatal(err)
			}
			if sees := strings.Contains(string(got.Body), "Bay, left"); sees != who.sees || who.sees && got.Status != 200 {
				t.Errorf("%s, let in %v: status %d, shows the window %v", address, who.sees, got.Status, sees)
			}
		}
	}
}
