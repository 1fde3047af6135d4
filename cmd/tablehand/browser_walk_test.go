package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// route is the cartridge-tape route with the names that people see.
var routeSeen = []struct{ key, name string }{
	{"cutting", "Cutting"}, {"joining", "Joining & hems"}, {"fold", "Heading fold"}, {"tape", "Tape sewing"},
	{"pull_up", "Pull-up & cords"}, {"inserts", "Inserts"}, {"pressing", "Pressing"}, {"packing", "Check & pack"},
}

// hangsAt is the page's own answer to where a panel hangs on the board: the place of its station, from 0.
func hangsAt(code string) string {
	return fmt.Sprintf(`[...document.querySelectorAll('.hangings > li')].findIndex((li) => li.querySelector('a[href="/t/%s"]'))`, code)
}

// stands is true on the shop screen when the panel is on the station's lane.
func stands(station, panel string) string {
	return fmt.Sprintf(`[...document.querySelectorAll('.lane')].some((lane) => lane.getAttribute('aria-label') === %q && `+
		`[...lane.querySelectorAll('.told')].some((e) => e.textContent.includes('Bay, left') && e.querySelector('.side')?.textContent.trim() === %q))`, station, panel)
}

// TestBrowserWalk plays a pair from its order file to the issued invoice, with one page at the stations, while the
// board and the shop screen, open in other pages, show every move.
func TestBrowserWalk(t *testing.T) {
	s := openShop(t)
	b := openBrowser(t, s)
	s.ask(t, request{as: s.office, do: "PUT /api/prices", status: 200,
		send: fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}})

	file := filepath.Join(t.TempDir(), "order.yaml")
	if err := os.WriteFile(file, []byte(orderFile(t, "SMI-1")), 0o600); err != nil {
		t.Fatal(err)
	}
	office := b.tab(t, 1280, 800, "/orders")
	office.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}), chromedp.Click(chromedp.CSS(`form[enctype] .main-action`)))
	office.wait(`location.pathname === "/orders/SMI-1"`)
	board := b.tab(t, 1280, 800, "/board")
	screen := b.tab(t, 1920, 1080, "/screen")
	office.do(chromedp.Click(chromedp.CSS(`form[action$="/release"] .main-action`)))
	office.wait(`document.querySelector('a[href*="tickets.pdf"]')`)

	f := &floor{shop: s, order: "SMI-1"}
	var got struct{ Tickets []row }
	s.ask(t, request{as: s.office, do: "GET /api/orders/SMI-1", status: 200}).into(t, &got)
	for _, r := range got.Tickets {
		if r.Kind == "cutting" {
			f.cutting = append(f.cutting, r)
		} else {
			f.panels = append(f.panels, r)
		}
	}

	bench := b.tab(t, 1280, 800, "/station/cutting")
	for _, c := range f.cutting {
		bench.work(s, c.Ticket)
	}
	for i, station := range routeSeen[1:] {
		bench.open("/station/" + station.key)
		for _, panel := range f.panels {
			board.wait(hangsAt(panel.Ticket) + fmt.Sprintf(" === %d", i+1))
			screen.wait(stands(station.name, panel.Panel))
			bench.work(s, panel.Ticket)
		}
	}
	for _, panel := range f.panels {
		s.expect(t, panel.Ticket, "packing", "finished")
		screen.wait("!" + stands("Check & pack", panel.Panel))
	}
	board.wait(`document.querySelector('.rod-due').textContent.includes('2 of 2')`)

	office.open("/ready")
	office.wait(`document.querySelectorAll('input[name="panel"]:checked').length === 2`)
	office.do(chromedp.Click(chromedp.CSS(`#ready .main-action`)))
	office.wait(`location.pathname.startsWith("/invoices/")`)
	if text := read[string](office, "document.querySelector('main').innerText"); !strings.Contains(text, "170.00") { // 2 × (40 + 2½ × 18)
		t.Errorf("the draft does not come to 170.00:\n%s", text)
	}
	office.do(chromedp.Click(chromedp.CSS(`form[action$="/issue"] .main-action`)))
	office.wait(`document.querySelector('a[href$=".pdf"]')`)
	if state := f.state(t); state != "invoiced" {
		t.Errorf("the order is %s, want invoiced", state)
	}
}

// TestBrowserTolerance types a value out of tolerance, sees the hold, accepts it as the office, and undoes a start.
func TestBrowserTolerance(t *testing.T) {
	s := openShop(t)
	b := openBrowser(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	held, other := f.panels[0].Ticket, f.panels[1].Ticket
	s.workTo(t, held, "pull_up")
	s.workTo(t, other, "pull_up")
	bench := b.tab(t, 1280, 800, "/station/pull_up")

	bench.start(held)
	st := s.look(t, held).Step
	bench.isEmpty(st)
	bench.press(".bar .main-action", "refused") // nothing is filled in yet
	s.expect(t, held, "pull_up", "at_work")
	for _, e := range st.Enter {
		value := e.Target
		if e.Name == "finished_width" {
			value = "49 1/2" // an inch over 48 1/2, half an inch is allowed
		}
		bench.fillIn(e, value)
	}
	bench.tick()
	bench.do(chromedp.Click(chromedp.CSS(".bar .main-action")))
	bench.wait(`document.querySelector('#open .note.held')`)
	s.expect(t, held, "pull_up", "held")
	if text := bench.sees("#open .note.held"); !strings.Contains(text, "49") || !strings.Contains(text, "48") {
		t.Errorf("the hold says %q, want what was measured and its target", text)
	}
	bench.do(chromedp.Click(chromedp.CSS(".bar .main-action"))) // the browser itself asks for the reason
	s.expect(t, held, "pull_up", "held")
	bench.do(chromedp.SendKeys(chromedp.CSS("#accept-reason"), "The rod was cut long as well"))
	bench.press(".bar .main-action", "done")
	s.expect(t, held, "inserts", "ready")

	bench.start(other)
	s.expect(t, other, "pull_up", "at_work")
	bench.press(".bar .undo", "done")
	s.expect(t, other, "pull_up", "ready")
}

// TestBrowserSaysWhatIsWrong scans what doesn't belong here and uploads a bad file.
func TestBrowserSaysWhatIsWrong(t *testing.T) {
	s := openShop(t)
	b := openBrowser(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	panel := f.panels[0].Ticket
	bench := b.tab(t, 360, 640, "/station/tape")
	mangled := "A" + panel[1:]
	if panel[0] == 'A' {
		mangled = "B" + panel[1:]
	}
	for what, code := range map[string]string{"a panel of another station": panel, "a mangled code": mangled, "a finished cutting": f.cutting[0].Ticket} {
		bench.scan(code, "refused")
		if text := bench.sees("#answer"); len(text) < 20 {
			t.Errorf("%s: the page says %q", what, text)
		}
	}
	s.expect(t, panel, "joining", "ready")

	bad := orderFile(t, "SMI-2", "face_width: 84", "face_widht: 84", "quantity: 1", "quantity: -1")
	file := filepath.Join(t.TempDir(), "bad.yaml")
	if err := os.WriteFile(file, []byte(bad), 0o600); err != nil {
		t.Fatal(err)
	}
	office := b.tab(t, 1280, 800, "/orders")
	office.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}), chromedp.Click(chromedp.CSS(`form[enctype] .main-action`)))
	office.wait(`document.querySelectorAll('.source li.wrong').length >= 2`)
	for _, part := range []string{"face_widht", "quantity: -1"} {
		line, _ := position(t, bad, part, part)
		if text := office.sees(fmt.Sprintf("#L%d.wrong", line)); !strings.Contains(text, part) {
			t.Errorf("line %d is not shown as wrong: %q", line, text)
		}
	}
	if kept := read[string](office, "document.getElementById('source').value"); strings.TrimSpace(kept) != strings.TrimSpace(bad) {
		t.Error("the page has lost what was uploaded")
	}
}
