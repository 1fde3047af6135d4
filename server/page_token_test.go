package server

import (
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tablehand/server/auth"
	"tablehand/stations"
)

// TestEveryPagesFormsCarryTheToken reads every page that there is, in a shop with something of everything, as a browser
// that is signed in: each form that changes something carries the token of its sign-in, and no other does, for an
// address that is looked up shows what it was asked with.
func TestEveryPagesFormsCarryTheToken(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "TAKEN"), status: 201})
	panels := s.workThrough(t, s.release(t, "SMI-1"))
	open := s.release(t, "SMI-2")
	list := fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}
	s.ask(t, scene{as: stations.Office, do: "PUT /api/prices", send: list, status: 200})
	draft := s.ask(t, scene{as: stations.Office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": panels[:1]}, status: 201}).at("draft")
	cookie, _, _ := strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204}).header.Get("Set-Cookie"), ";")
	_, secret, _ := strings.Cut(cookie, "=")
	field := `name="form_token" value="` + auth.FormToken(secret) + `"`

	in := strings.NewReplacer(":order", "SMI-2", ":code", open[0], ":station", "cutting", ":invoice", draft)
	pages := []string{"/orders/TAKEN", "/orders/SMI-1", "/orders/TAKEN/edit", "/t/" + panels[1], "/t/" + open[2], "/station/joining", "/station/cutting?ticket=" + open[0]}
	for _, r := range s.routes() {
		if r.Method == "GET" && !strings.HasPrefix(r.Path, "/api/") && !strings.Contains(r.Path, ":hash") {
			pages = append(pages, in.Replace(r.Path))
		}
	}
	tag := regexp.MustCompile(`(?is)<form\b[^>]*>`)
	read, forms := 0, 0
	look := func(path string, got answer) {
		if !strings.HasPrefix(got.header.Get("Content-Type"), "text/html") {
			return
		}
		read++
		for _, form := range formsOf(string(got.body)) {
			posts := strings.Contains(strings.ToLower(tag.FindString(form)), `method="post"`)
			if carries := strings.Count(form, field); posts && carries != 1 || !posts && carries != 0 {
				t.Errorf("%s: a form carries the token %d times:\n%s", path, carries, form)
			}
			if strings.Count(form, `name="form_token"`) != strings.Count(form, field) {
				t.Errorf("%s: a form carries another token:\n%s", path, form)
			}
			if posts {
				forms++
			}
		}
	}
	for _, path := range pages {
		look(path, s.try(t, scene{do: "GET " + path, header: map[string]string{"Accept": "text/html", "Cookie": cookie}}))
	}
	for path, sent := range map[string]url.Values{ // what comes back when it is refused
		"/orders": {"source": {"order: ["}}, "/prices/file": {"source": {"rows: 1"}}, "/prices": {"currency": {"UDS"}}, "/ready": {"customer": {"x"}},
		"/orders/TAKEN/release": {"override": {"yes"}}, "/orders/TAKEN/cancel": {}, "/settings": {"shop_name": {""}},
		"/station/cutting/scan": {"ticket": {"?"}, "action": {"scan"}}, "/settings/passphrase": {"now": {"x"}, "next": {"y"}},
	} {
		sent.Set("form_token", auth.FormToken(secret))
		got := s.try(t, scene{do: "POST " + path, send: sent.Encode(), header: map[string]string{"Accept": "text/html", "Cookie": cookie,
			"Content-Type": "application/x-www-form-urlencoded", "Sec-Fetch-Site": "same-origin"}})
		if got.status < 400 || got.at("field") == "form_token" {
			t.Errorf("%s is not refused: %d %s", path, got.status, got.body)
		}
		look(path, got)
	}
	if read < 33 || forms <= read {
		t.Errorf("only %d forms on %d pages", forms, read)
	}
}

// formsOf returns a page's forms, each with all that is in it.
func formsOf(page string) []string {
	var forms []string
	for _, part := range regexp.MustCompile(`(?i)<form\b`).Split(page, -1)[1:] {
		inside, _, _ := strings.Cut(part, "</form>")
		forms = append(forms, "<form"+inside)
	}
	return forms
}
