package server

import (
	"crypto/rand"
	"regexp"
	"strings"
	"testing"
	"time"

	"tablehand/server/auth"
	"tablehand/stations"
	"tablehand/stations/plan"
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
	again, err := New(Config{Store: s.Store, Auth: s.edge.Auth, Clock: s.clock.Now, Zone: time.UTC})
	if err != nil {
		t.Fatal(err)
	}
	s.Server = again
	got := s.ask(t, scene{do: "GET /board", as: stations.Office, status: 200, header: map[string]string{"Accept": "text/html", "Cookie": "person=Ada"}})
	if said := lang.FindStringSubmatch(string(got.body)); said == nil || said[1] != "es" {
		t.Errorf("after a restart Ada reads %v, want es", said)
	}
}

// TestDecimalsTypedAsTheLanguageWritesThem: prices and measures are taken with a comma where that is how decimals are
// written, and are kept with a point.
func TestDecimalsTypedAsTheLanguageWritesThem(t *testing.T) {
	s := openShop(t)
	form := map[string]string{"Content-Type": "application/x-www-form-urlencoded", "Accept": "text/html", "Accept-Language": "es-ES"}
	got := s.try(t, scene{as: stations.Office, do: "POST /prices", send: "currency=EUR&heading=cartridge-tape&panel=40,50&width=18,00", header: form})
	if got.status != 303 {
		t.Fatalf("prices with commas: %d %s", got.status, got.body)
	}
	list := s.ask(t, scene{as: stations.Office, do: "GET /api/prices", status: 200})
	if panel, width := list.at("rows.0.panel"), list.at("rows.0.width"); panel != "40.50" || width != "18.00" {
		t.Errorf("40,50 and 18,00 are kept as %s and %s", panel, width)
	}
	if page := s.ask(t, scene{as: stations.Office, do: "GET /prices", status: 200, header: form}); !strings.Contains(string(page.body), `value="40,50"`) {
		t.Error("the form shows another amount than was typed")
	}
	cut := s.release(t, "SMI-1")
	for _, code := range cut {
		if ticket := s.Store.Floor().Ticket(plan.Code(code)); ticket.Spec.Kind == plan.CuttingTicket {
			s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
			step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + code, status: 200})
			s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(step, code), status: 200})
		}
	}
	panel := cut[len(cut)-1]
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(panel, "start", "joining"), status: 200})
	sent := "code=" + panel + "&action=finish&key=" + rand.Text() + "&measured.flat_width=124,5"
	for _, check := range s.Store.Floor().Ticket(plan.Code(panel)).Current().Spec.Checks {
		sent += "&check=" + check
	}
	if got := s.try(t, scene{as: stations.Bench, do: "POST /station/joining/scan", send: sent, header: form}); got.status != 303 {
		t.Fatalf("a measure with a comma: %d %s", got.status, got.body)
	}
	if measured := s.Store.Floor().Ticket(plan.Code(panel)).Steps[1].Measured["flat_width"]; measured.String() != "124.5in" {
		t.Errorf("124,5 is kept as %s", measured)
	}
}

// TestErrorsAreToldInTheLanguageAskedFor: a program's, a bench's and a stranger's, their codes the same in every language.
func TestErrorsAreToldInTheLanguageAskedFor(t *testing.T) {
	s := openShop(t)
	for _, c := range []struct {
		scene
		code, english, spanish string
	}{
		{scene{do: "GET /api/orders/NONE", as: stations.Program, status: 404}, "not_found", "There is nothing here by that name.", "Eso no existe aquí."},
		{scene{do: "GET /api/orders", status: 401}, "unauthorized", "Sign in first, or send a token that this shop has given out.", "Entre primero, o envíe una llave de acceso que haya dado este taller."},
		{scene{do: "POST /api/scans", as: stations.Bench, send: scanOf("000000999", "start", "cutting"), status: 422}, "bad_code", "One character of “000000999” is wrong", "Un signo de “000000999” está mal"},
		{scene{do: "POST /api/orders", as: stations.Office, send: "order: X\nunits: in\n", status: 422}, "missing_key", "treatments is missing here", "Aquí falta treatments"},
	} {
		for language, want := range map[string]string{"": c.english, "en-GB": c.english, "es": c.spanish, "es-MX,es;q=0.9,en;q=0.5": c.spanish, "fr": c.english} {
			c.header = map[string]string{"Accept-Language": language, "Content-Type": c.header["Content-Type"]}
			got := s.try(t, c.scene)
			if got.status != c.status || !strings.Contains(string(got.body), want) || !strings.Contains(string(got.body), `"`+c.code+`"`) {
				t.Errorf("%s in %q: %d %s, want %q", c.do, language, got.status, got.body, want)
			}
		}
	}
}
