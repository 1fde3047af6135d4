package server

import (
	"regexp"
	"strings"
	"testing"

	"tablehand/server/auth"
	"tablehand/stations"
)

// TestLanguageOfAPage: an address may ask for a language, else it is that of the person, of the device, of the browser.
func TestLanguageOfAPage(t *testing.T) {
	s := openShop(t)
	cookie, _, _ := strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204}).header.Get("Set-Cookie"), ";")
	_, secret, _ := strings.Cut(cookie, "=")
	choose := func(tag, cookies string) answer {
		t.Helper()
		return s.try(t, scene{do: "POST /language", send: "language=" + tag + "&next=/board?language=en%26find=SMI&form_token=" + auth.FormToken(secret),
			header: map[string]string{"Cookie": cookies, "Content-Type": "application/x-www-form-urlencoded", "Accept": "text/html", "Sec-Fetch-Site": "same-origin"}})
	}
	if got := choose("es", cookie+"; person=Ada"); got.status != 303 || got.header.Get("Location") != "/board?find=SMI" || !strings.Contains(got.header.Get("Set-Cookie"), "language=es") {
		t.Fatalf("choosing Spanish: %d to %q, cookie %q", got.status, got.header.Get("Location"), got.header.Get("Set-Cookie"))
	}
	if got := choose("xx", cookie); got.status != 422 {
		t.Errorf("a language that there isn't: %d, want 422", got.status)
	}
	if got := s.try(t, scene{do: "POST /language", send: "language=es", header: map[string]string{"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded", "Sec-Fetch-Site": "same-origin"}}); got.status != 403 {
		t.Errorf("a form without its token: %d, want 403", got.status)
	}
	lang := regexp.MustCompile(`<html lang="([^"]+)"`)
	for _, c := range []struct{ name, path, cookies, accept, want string }{
		{"nobody chose", "/board", "", "", "en"},
		{"the browser's", "/board", "", "es-MX,es;q=0.9,en;q=0.5", "es"},
		{"one that there isn't", "/board", "", "fr", "en"},
		{"the device's", "/board", "language=es", "en", "es"},
		{"the person's", "/board", "language=en; person=Ada", "en", "es"},
		{"a person who never chose", "/board", "language=en; person=Bo", "es", "en"},
		{"the address's", "/screen?language=es", "", "en", "es"},
		{"the address's before the person's", "/board?language=en", "person=Ada", "es", "en"},
		{"an address that asks for nothing that there is", "/board?language=xx", "", "es", "es"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := s.ask(t, scene{do: "GET " + c.path, as: stations.Office, status: 200, header: map[string]string{"Accept": "text/html", "Accept-Language": c.accept, "Cookie": c.cookies}})
			if found := lang.FindStringSubmatch(string(got.body)); found == nil || found[1] != c.want {
				t.Errorf("the page is in %v, want %s", found, c.want)
			}
		})
	}
	if err := s.readSpoken(); err != nil || (*s.spoken.Load())["Ada"] != "es" {
		t.Errorf("after a restart Ada reads %q, %v; want es", (*s.spoken.Load())["Ada"], err)
	}
}
