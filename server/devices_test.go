package server

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"tablehand/server/auth"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// letIn lets a device in and returns its id, its code and, once it has entered, its cookie.
func (s *shop) letIn(t testing.TB, device fields) (id, code, cookie string) {
	t.Helper()
	got := s.ask(t, scene{as: stations.Office, do: "POST /api/devices", send: device, status: 201})
	id, code = got.at("device"), got.at("code")
	entered := s.ask(t, scene{do: "POST /api/devices/enter", send: fields{"code": code}, status: 204})
	cookie, _, _ = strings.Cut(entered.header.Get("Set-Cookie"), ";")
	return id, code, cookie
}

// TestDeviceEnters: a code lets one device in, once, in its time; the cookie that it gets is the device's from then on.
func TestDeviceEnters(t *testing.T) {
	s := openShop(t)
	got := s.ask(t, scene{as: stations.Office, do: "POST /api/devices", send: fields{"name": "Joining tablet", "kind": "bench", "stations": []string{"joining"}, "language": "es"}, status: 201})
	code := got.at("code")
	if want := "HTTP://SHOP.TEST:8080/ENTER/" + code; got.at("url") != want || got.at("expires") != "2026-12-01T08:10:00Z" {
		t.Errorf("it enters by %s until %s, want %s until ten past", got.at("url"), got.at("expires"), want)
	}
	enter := scene{do: "POST /api/devices/enter", send: fields{"code": "http://shop.test:8080/enter/" + strings.ToLower(code)}, status: 204}
	entered := s.ask(t, enter)
	cookie := entered.header.Get("Set-Cookie")
	for _, part := range []string{auth.DeviceCookie + "=", "HttpOnly", "SameSite=Lax", "path=/", "expires=Wed, 05 Jan 2028"} {
		if !strings.Contains(cookie, part) {
			t.Errorf("the cookie %q lacks %s", cookie, part)
		}
	}
	cookie, _, _ = strings.Cut(cookie, ";")
	with := map[string]string{"Cookie": cookie}
	enter.status, enter.code = 410, "code_used"
	s.ask(t, enter)
	s.play(t, []scene{
		{name: "reads the board", do: "GET /api/board", header: with, status: 200},
		{name: "no orders", do: "GET /api/orders", header: with, status: 403, code: "forbidden"},
		{name: "no prices, in its language", do: "GET /api/prices", header: with, status: 403, code: "forbidden"},
		{name: "another site's form", do: "POST /api/scans", send: scanOf("0", "scan", "joining"), header: map[string]string{"Cookie": cookie, "Origin": "http://evil.test"}, status: 403, code: "forbidden"},
	})
	s.ask(t, scene{do: "POST /api/devices/enter", send: fields{"code": string(plan.NewCode(7))}, status: 404, code: "unknown_code"})
	s.ask(t, scene{do: "POST /api/devices/enter", send: fields{"code": "123"}, status: 422, code: "bad_code", has: map[string]string{"field": "code"}})

	late := s.ask(t, scene{as: stations.Office, do: "POST /api/devices", send: fields{"name": "Wall", "kind": "wall"}, status: 201}).at("code")
	s.clock.Add(auth.CodeLife)
	s.ask(t, scene{do: "POST /api/devices/enter", send: fields{"code": late}, status: 410, code: "code_expired"})
}

// TestDeviceAsked: what is let in has to be something.
func TestDeviceAsked(t *testing.T) {
	s := openShop(t)
	for field, send := range map[string]fields{
		"name": {"name": " ", "kind": "bench"}, "kind": {"name": "x", "kind": "phone"}, "language": {"name": "x", "kind": "wall", "language": "xx"},
		"stations": {"name": "x", "kind": "bench", "stations": []string{"weaving"}}, "stations ": {"name": "x", "kind": "wall", "stations": []string{"fold"}},
		"stations  ": {"name": "x", "kind": "bench", "stations": []string{"fold", "fold"}}, " name": {"name": strings.Repeat("x", 101), "kind": "wall"},
	} {
		s.ask(t, scene{as: stations.Office, do: "POST /api/devices", send: send, status: 422, has: map[string]string{"field": strings.TrimSpace(field)}})
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/devices", status: 200, has: map[string]string{"devices.#": "0"}})
}

// TestBenchWorksAtItsStations: a bench starts and finishes at its own stations only; holds go by the ticket.
func TestBenchWorksAtItsStations(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	_, _, cookie := s.letIn(t, fields{"name": "Fold bench", "kind": "bench", "stations": []string{"fold", "tape"}})
	_, _, anywhere := s.letIn(t, fields{"name": "Floor phone", "kind": "bench"})
	scan := func(cookie, action, station string, status int, code string, more ...any) {
		t.Helper()
		s.ask(t, scene{do: "POST /api/scans", send: scanOf(codes[2], action, station, more...), header: map[string]string{"Cookie": cookie}, status: status, code: code})
	}
	for _, action := range []string{"start", "finish", "scan"} {
		scan(cookie, action, "joining", 403, "not_its_station")
	}
	scan(cookie, "cut", "", 403, "not_its_station", "cut", "1")
	scan(cookie, "hold", "", 200, "", "reason", "a stain")
	scan(cookie, "resume", "", 200, "")
	scan(cookie, "start", "fold", 409, "not_ready")
	scan(anywhere, "start", "joining", 200, "")
	page := s.try(t, scene{do: "POST /station/joining/scan", send: "code=" + codes[2] + "&form_token=" + formTokenOf(cookie),
		header: map[string]string{"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded", "Accept": "application/json", "Sec-Fetch-Site": "same-origin"}})
	if page.status != 403 || page.at("code") != "not_its_station" || !strings.Contains(page.at("message"), "Fold the heading") && !strings.Contains(page.at("message"), "fold") {
		t.Errorf("by its page: %d %s", page.status, page.body)
	}
	home := s.try(t, scene{do: "GET /station/fold", header: map[string]string{"Cookie": cookie, "Accept": "text/html"}})
	holds(t, "its own page", home, 200, []string{"/station/fold", "Heading fold", "Tape sewing"})
	if strings.Contains(string(home.body), `href="/station/joining"`) || strings.Contains(string(home.body), "/sign-out") {
		t.Error("a bench is shown others' stations, or a way to sign out")
	}
}

func formTokenOf(cookie string) string {
	_, secret, _ := strings.Cut(cookie, "=")
	return auth.FormToken(secret)
}

// TestABenchStaysABench: whoever signs in at it, and a device of the office lets nobody in by itself.
func TestABenchStaysABench(t *testing.T) {
	s := openShop(t)
	session, _, _ := strings.Cut(s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, status: 204}).header.Get("Set-Cookie"), ";")
	_, _, bench := s.letIn(t, fields{"name": "Fold bench", "kind": "bench"})
	_, _, desk := s.letIn(t, fields{"name": "Front desk", "kind": "office"})
	s.play(t, []scene{
		{name: "signed in at a bench", do: "GET /api/prices", header: map[string]string{"Cookie": session + "; " + bench}, status: 403},
		{name: "at the office's device, not signed in", do: "GET /api/board", header: map[string]string{"Cookie": desk}, status: 401},
		{name: "signed in there", do: "GET /api/prices", header: map[string]string{"Cookie": session + "; " + desk}, status: 200},
	})
	code := s.ask(t, scene{as: stations.Office, do: "POST /api/devices", send: fields{"name": "Tablet", "kind": "bench"}, status: 201}).at("code")
	s.ask(t, scene{do: "POST /api/devices/enter", send: fields{"code": code}, header: map[string]string{"Cookie": session}, status: 204})
	s.ask(t, scene{name: "entering ends the sign-in", do: "GET /api/prices", header: map[string]string{"Cookie": session}, status: 401})
}

// TestEnterPages: looking at a code's address changes nothing; the button lets in.
func TestEnterPages(t *testing.T) {
	s := openShop(t)
	page := s.post(t, stations.Office, "/settings/devices", url.Values{"name": {"Wall by the door"}, "kind": {"wall"}, "station": {"fold"}, "language": {"es"}}, false)
	if page.status != 303 {
		t.Fatalf("let in: %d %s", page.status, page.body)
	}
	shown := s.visit(t, stations.Office, page.header.Get("Location"), 200, "Wall by the door", "<svg", "until 08:10")
	_, code, _ := strings.Cut(shown, `<div class="enter-code">`)
	code, _, _ = strings.Cut(code, "</div>")
	address := "/enter/" + strings.ReplaceAll(code, " ", "")
	for range 3 {
		s.visit(t, "", address, 200, "Wall by the door", `action="/enter"`, "This is Wall by the door")
	}
	s.visit(t, stations.Office, "/settings/devices", 200, "Waiting for its code")
	got := s.post(t, "", "/enter", url.Values{"code": {code}}, false)
	if got.status != 303 || got.header.Get("Location") != "/" {
		t.Fatalf("entered: %d to %s", got.status, got.header.Get("Location"))
	}
	cookies := got.header.Values("Set-Cookie")
	cookie, _, _ := strings.Cut(cookies[0], ";")
	if len(cookies) != 2 || !strings.HasPrefix(cookies[1], "language=es") {
		t.Errorf("the device gets %q", cookies)
	}
	home := s.try(t, scene{do: "GET /", header: map[string]string{"Cookie": cookie}})
	if home.status != 303 && home.status != 302 || home.header.Get("Location") != "/screen" {
		t.Errorf("a wall begins at %d %s", home.status, home.header.Get("Location"))
	}
	s.visit(t, "", address, 410, "has let a device in already")
	s.visit(t, stations.Office, page.header.Get("Location"), 200, "is in.")
	refused := s.post(t, stations.Office, "/settings/devices", url.Values{"name": {""}, "kind": {"bench"}, "station": {"fold"}}, false)
	holds(t, "refused", refused, 422, []string{`value="fold" checked`})
}

// TestShutOut: a device and a token are out at once, their streams too, and a list says who is in.
func TestShutOut(t *testing.T) {
	s := openShop(t)
	id, _, cookie := s.letIn(t, fields{"name": "Lost phone", "kind": "bench", "stations": []string{"fold"}})
	with := map[string]string{"Cookie": cookie}
	listed := s.ask(t, scene{as: stations.Office, do: "GET /api/devices", status: 200, has: map[string]string{
		"devices.0.device": id, "devices.0.name": "Lost phone", "devices.0.kind": "bench", "devices.0.stations.0": "fold", "devices.0.seen": "2026-12-01T08:00:00Z"}})
	if listed.at("devices.0.address") == "" {
		t.Errorf("no address: %s", listed.body)
	}
	req, err := http.NewRequest("GET", s.listen(t)+"/api/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Cookie", cookie)
	stream, err := http.DefaultClient.Do(req)
	if err != nil || stream.StatusCode != 200 {
		t.Fatalf("stream: %v %v", stream, err)
	}
	defer stream.Body.Close()
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for buf := make([]byte, 1024); ; {
			if _, err := stream.Body.Read(buf); err != nil {
				return
			}
		}
	}()
	s.ask(t, scene{as: stations.Office, do: "DELETE /api/devices/" + id, status: 204})
	s.ask(t, scene{do: "GET /api/board", header: with, status: 401})
	select {
	case <-ended:
	case <-time.After(patience):
		t.Error("its stream goes on")
	}
	s.ask(t, scene{as: stations.Office, do: "DELETE /api/devices/" + id, status: 404})
	tokens := s.ask(t, scene{as: stations.Office, do: "GET /api/tokens", status: 200, has: map[string]string{"tokens.#": "5"}})
	for i := range edge.EveryRole {
		if at := fmt.Sprintf("tokens.%d.", i); tokens.at(at+"role") == "screen" {
			s.ask(t, scene{as: stations.Office, do: "DELETE /api/tokens/" + tokens.at(at+"token"), status: 204})
		}
	}
	s.ask(t, scene{as: stations.Screen, do: "GET /api/board", status: 401})
	record := s.ask(t, scene{as: stations.Office, do: "GET /api/record", status: 200})
	for _, want := range []string{`"what":"let_in","about":"bench"`, `"who":"Lost phone"`, `"what":"shut_out","about":"Lost phone"`, `"what":"token_revoked","about":"screen"`} {
		if !strings.Contains(string(record.body), want) {
			t.Errorf("the record lacks %s: %s", want, record.body)
		}
	}
	last := record.at("entries.#")
	s.ask(t, scene{as: stations.Office, do: "GET /api/record?after=" + last, status: 200, has: map[string]string{"entries.#": "0"}})
}

// TestGuessingCodes: who tries many codes waits, and the one that is right as well.
func TestGuessingCodes(t *testing.T) {
	s := openShop(t)
	code := s.ask(t, scene{as: stations.Office, do: "POST /api/devices", send: fields{"name": "Wall", "kind": "wall"}, status: 201}).at("code")
	for i := range edge.GuessBurst {
		s.ask(t, scene{do: "POST /api/devices/enter", send: fields{"code": string(plan.NewCode(uint64(i)))}, status: 404, code: "unknown_code"})
	}
	s.ask(t, scene{do: "POST /api/devices/enter", send: fields{"code": code}, status: 429, code: "too_many"})
	if page := s.try(t, scene{do: "GET /enter/" + code, header: map[string]string{"Accept": "text/html"}}); page.status != 429 {
		t.Errorf("the page tells codes apart to who guesses: %d", page.status)
	}
	s.clock.Add(edge.GuessEvery)
	s.ask(t, scene{do: "POST /api/devices/enter", send: fields{"code": code}, status: 204})
}

// TestCodesStayOutOfTheLog: nor does a cookie get there.
func TestCodesStayOutOfTheLog(t *testing.T) {
	s := openShop(t)
	var log lockedLog
	s.Log = slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	_, code, cookie := s.letIn(t, fields{"name": "Wall", "kind": "wall"})
	s.visit(t, "", "/enter/"+code, 410)
	s.ask(t, scene{do: "GET /api/board", header: map[string]string{"Cookie": cookie}, status: 200})
	_, secret, _ := strings.Cut(cookie, "=")
	if said := log.String(); strings.Contains(said, code) || strings.Contains(said, secret) || !strings.Contains(said, "/enter/:code") {
		t.Errorf("the log says\n%s", said)
	}
}

// TestDeviceSeen: when it was last seen is kept each minute, and its cookie kept as long again.
func TestDeviceSeen(t *testing.T) {
	s := openShop(t)
	_, _, cookie := s.letIn(t, fields{"name": "Wall", "kind": "wall"})
	look := func() answer {
		return s.ask(t, scene{do: "GET /api/board", header: map[string]string{"Cookie": cookie}, status: 200})
	}
	look()
	s.clock.Add(10 * time.Second)
	if got := look(); got.header.Get("Set-Cookie") != "" {
		t.Error("the cookie is sent with every answer")
	}
	s.clock.Add(time.Minute)
	if got := look(); !strings.HasPrefix(got.header.Get("Set-Cookie"), cookie+";") {
		t.Errorf("renewed: %q", got.header.Get("Set-Cookie"))
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/devices", status: 200, has: map[string]string{"devices.0.seen": "2026-12-01T08:01:10Z"}})
}

// TestOnlyHashesOfDevicesAreKept: what a copied database says lets nobody in.
func TestOnlyHashesOfDevicesAreKept(t *testing.T) {
	s := openShop(t)
	_, code, cookie := s.letIn(t, fields{"name": "Wall", "kind": "wall"})
	_, secret, _ := strings.Cut(cookie, "=")
	copied := t.TempDir() + "/copy.db"
	if err := s.Store.Backup(context.Background(), copied); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(raw, []byte(code)) || bytes.Contains(raw, []byte(secret)) || !bytes.Contains(raw, []byte("Wall")) {
		t.Error("the copy has the code or the secret in it")
	}
	for keep, status := range map[bool]int{false: 401, true: 200} {
		dir := t.TempDir()
		if _, err := store.Restore(context.Background(), dir, copied, s.clock.Now(), keep); err != nil {
			t.Fatal(err)
		}
		restored := openShopIn(t, dir)
		restored.ask(t, scene{do: "GET /api/board", header: map[string]string{"Cookie": cookie}, status: status})
	}
}
