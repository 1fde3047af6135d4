package server

import (
	"bytes"
	"encoding/json"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

func TestPaperIsServed(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-014")
	s.try(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-2"), header: map[string]string{"Content-Type": "application/yaml"}})
	for path, want := range map[string]struct {
		as     stations.Role
		status int
	}{
		"/orders/SMI-014/tags.pdf":                      {stations.Office, 200},
		"/orders/SMI-014/tags.pdf?paper=a4":             {stations.Office, 200},
		"/api/orders/SMI-014/tags.pdf?paper=letter":     {stations.Program, 200},
		"/orders/SMI-014/packet.pdf":                    {stations.Office, 200},
		"/api/orders/SMI-014/packet.pdf?paper=a4":       {stations.Program, 200},
		"/t/" + codes[2] + "/ticket.pdf":                {stations.Bench, 200},
		"/t/" + codes[0] + "/ticket.pdf?paper=letter":   {stations.Bench, 200},
		"/api/tickets/" + codes[2] + "/ticket.pdf":      {stations.Bench, 200},
		"/placards.pdf":                                 {stations.Office, 200},
		"/cards.pdf?paper=label":                        {stations.Office, 200},
		"/cards.pdf?paper=a4":                           {stations.Office, 200},
		"/api/orders/SMI-014/packet.pdf?paper=label":    {stations.Office, 422},
		"/orders/SMI-014/rooms.pdf":                     {stations.Office, 200},
		"/orders/SMI-014/rooms.pdf?paper=a4&room=14":    {stations.Accounts, 200},
		"/api/orders/SMI-2/rooms.pdf?paper=letter":      {stations.Program, 200}, // not released
		"/api/orders/SMI-2/rooms.pdf?room=15":           {stations.Program, 404},
		"/api/orders/SMI-2/rooms.pdf?room=":             {stations.Program, 404},
		"/api/orders/SMI-2/rooms.pdf?paper=label":       {stations.Program, 422},
		"/api/orders/SMI-3/rooms.pdf":                   {stations.Program, 404},
		"/orders/SMI-014/rooms.pdf?bench":               {stations.Bench, 403},
		"/placards.pdf?paper=label":                     {stations.Office, 422},
		"/api/orders/SMI-014/tags.pdf?paper=papyrus":    {stations.Office, 422},
		"/api/orders/SMI-2/packet.pdf":                  {stations.Office, 409},
		"/api/orders/SMI-3/tags.pdf":                    {stations.Office, 404},
		"/api/orders/SMI-014/tags.pdf?paper=label&as=b": {stations.Bench, 403},
		"/cards.pdf":                       {stations.Bench, 403},
		"/t/" + codes[2] + "/ticket.pdf?x": {stations.Screen, 403},
	} {
		got := s.try(t, scene{as: want.as, do: "GET " + path})
		if got.status != want.status || got.status == 200 && (!bytes.HasPrefix(got.body, []byte("%PDF-")) || got.header.Get("Content-Type") != "application/pdf") {
			t.Errorf("%s: status %d, want %d: %.80s", path, got.status, want.status, got.body)
		}
	}
	s.visit(t, stations.Office, "/orders/SMI-014", 200, `action="/orders/SMI-014/print"`, `value="packet-letter"`, `value="tags-label"`)
	s.visit(t, stations.Bench, "/t/"+codes[2], 200, "/t/"+codes[2]+"/ticket.pdf")
	s.visit(t, stations.Office, "/", 200, "/placards.pdf?paper=letter", "/cards.pdf?paper=letter")
}

// TestALostTicket: printed again it has its code, and the old one still leads to the panel.
func TestALostTicket(t *testing.T) {
	toText, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftotext is missing, and CI must have it")
		}
		t.Skip("pdftotext is not installed")
	}
	s := openShop(t)
	code := s.release(t, "SMI-014")[2]
	pdf := s.try(t, scene{as: stations.Bench, do: "GET /t/" + code + "/ticket.pdf"}).body
	cmd := exec.Command(toText, "-raw", "-", "-")
	cmd.Stdin = bytes.NewReader(pdf)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	typed := code[:4] + "-" + code[4:8] + "-" + code[8:]
	if text := string(out); strings.Count(text, "\f") != 1 || !strings.Contains(text, typed) || !strings.Contains(text, "Left panel") {
		t.Errorf("the ticket printed again does not say %s:\n%s", typed, text)
	}
	for _, lost := range []string{code, strings.ToLower(typed), "HTTP://SHOP.TEST/T/" + code} {
		got := s.try(t, scene{as: stations.Bench, do: "GET /api/tickets/" + url.PathEscape(lost)})
		if got.status != 200 || !bytes.Contains(got.body, []byte(`"ticket":"`+code+`"`)) {
			t.Errorf("%s: status %d: %s", lost, got.status, got.body)
		}
	}
}

// TestAPlacardsAddress: its QR has the address in upper case.
func TestAPlacardsAddress(t *testing.T) {
	s := openShop(t)
	got := s.try(t, scene{as: stations.Bench, do: "GET /STATION/PULL_UP", header: map[string]string{"Accept": "text/html"}})
	if got.status != 303 || got.header.Get("Location") != "/station/pull_up" {
		t.Errorf("%d to %q", got.status, got.header.Get("Location"))
	}
	s.visit(t, stations.Bench, "/station/pull_up", 200, "Pull-up")
}

// benchAnswer is what the scan script hears of a form that it sent.
type benchAnswer struct {
	OK            bool
	Code, Message string
	Missing       []string
	Open          *string
}

// TestCardsAtTheBench works the open ticket by cards, with the page's script and without it.
func TestCardsAtTheBench(t *testing.T) {
	s := openShop(t)
	cut := s.release(t, "SMI-014")[0]
	key := 0
	show := func(card, open string, more url.Values) (a benchAnswer) {
		t.Helper()
		key++
		form := url.Values{"code": {card}, "action": {"scan"}, "open": {open}, "key": {"card" + strings.Repeat("i", key)}}
		for name, values := range more {
			form[name] = values
		}
		got := s.post(t, stations.Bench, "/station/cutting/scan", form, true)
		if err := json.Unmarshal(got.body, &a); err != nil {
			t.Fatalf("%s: %v", got.body, err)
		}
		return a
	}
	ticket := func() *stations.Ticket { return s.Store.Floor().Ticket(plan.Code(cut)) }
	if a := show("DO START", "", nil); a.OK || a.Code != "nothing_open" || a.Message == "" {
		t.Errorf("a card with nothing open: %+v", a)
	}
	if a := show("do start", cut, nil); a.OK || a.Code != "entries_missing" || len(a.Missing) != 2 {
		t.Errorf("start of cloth that nobody has measured: %+v", a)
	}
	if a := show("do start", cut, received(ticket())); !a.OK || ticket().State() != stations.AtWork {
		t.Errorf("start: %+v, %s", a, ticket().State())
	}
	if a := show("DO HOLD PATTERN", cut, nil); !a.OK || ticket().State() != stations.Held || ticket().Current().Reason != "Pattern does not meet" {
		t.Errorf("hold: %+v, %s", a, ticket().State())
	}
	if a := show("DO START", cut, nil); a.OK || a.Code != "held" {
		t.Errorf("start of what is held: %+v", a)
	}
	if a := show("DORESUME", cut, nil); !a.OK || ticket().State() != stations.AtWork {
		t.Errorf("resume: %+v, %s", a, ticket().State())
	}
	if a := show("DO FINISH", cut, nil); a.OK || a.Code != "entries_missing" || len(a.Missing) == 0 {
		t.Errorf("finish with nothing ticked: %+v", a)
	}
	if a := show("DO FINISH", cut, url.Values{"check": ticket().Steps[0].Spec.Checks}); !a.OK || ticket().State() != stations.Finished {
		t.Errorf("finish: %+v, %s", a, ticket().State())
	}
	if a := show("DO UNDO", cut, nil); !a.OK || ticket().State() != stations.AtWork {
		t.Errorf("undo: %+v, %s", a, ticket().State())
	}
	if a := show("DO DANCE", cut, nil); a.OK || a.Code != "bad_code" {
		t.Errorf("no card: %+v", a)
	}
	got := s.post(t, stations.Bench, "/station/cutting/scan", url.Values{"code": {"DO HOLD CLOTH"}, "action": {"scan"}, "open": {cut}}, false)
	if got.status != 303 || ticket().State() != stations.Held {
		t.Errorf("hold without script: status %d, %s", got.status, ticket().State())
	}
	s.visit(t, stations.Bench, "/station/cutting?ticket="+cut, 200, `name="open" value="`+cut+`"`, "Flaw or shade in the cloth")
	for _, c := range stations.Cards() {
		if got := s.post(t, stations.Bench, "/station/cutting/scan", url.Values{"code": {c.String()}, "action": {"scan"}}, false); got.status == 303 || got.status >= 500 {
			t.Errorf("%s with nothing open: status %d", c, got.status)
		}
	}
}

// TestPrintMenuRemembers: the menu of an order's page leads to the paper that is chosen, and has it chosen the next time in
// that browser; a paper that there isn't is refused.
func TestPrintMenuRemembers(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	for chosen, file := range map[string]string{"rooms-a4": "rooms.pdf?paper=a4", "tickets-a4": "tickets.pdf?paper=a4", "packet-letter": "packet.pdf?paper=letter", "tags-label": "tags.pdf?paper=label", "tags-tag": "tags.pdf?paper=tag"} {
		got := s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-1/print?paper=" + chosen, status: 303})
		if to := got.header.Get("Location"); to != "/orders/SMI-1/"+file {
			t.Errorf("%s leads to %s", chosen, to)
		}
		s.ask(t, scene{as: stations.Office, do: "GET " + got.header.Get("Location"), status: 200})
		cookie, _, _ := strings.Cut(got.header.Get("Set-Cookie"), ";")
		page := string(s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-1", header: map[string]string{"Cookie": cookie}, status: 200}).body)
		if !strings.Contains(page, `value="`+chosen+`" selected`) || strings.Count(page, " selected>") != 1 {
			t.Errorf("the menu doesn't remember %s by %q", chosen, cookie)
		}
	}
	s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-1/print?paper=vellum", status: 422, code: "bad_value"})
}
