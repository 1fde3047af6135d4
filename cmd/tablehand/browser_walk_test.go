package main

import (
	"fmt"
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
		`[...lane.querySelectorAll('.told')].some((e) => e.textContent.includes('Bay, left') && [...e.querySelectorAll('.side')].some((s) => s.textContent.trim() === %q)))`, station, panel)
}

// playsAPair plays a pair from its order file to the issued invoice, with one page at the stations, while the
// board and the shop screen, open in other pages, show every move.
func playsAPair(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	s.ask(t, request{as: s.office, do: "PUT /api/prices", status: 200,
		send: fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}})

	office := b.tab(t, 1280, 800, "/orders")
	office.upload(writeFile(t, "order.yaml", orderFile(t, "SMI-1")))
	office.wait(`location.pathname === "/orders/SMI-1"`)
	board := b.tab(t, 1280, 800, "/board")
	screen := b.tab(t, 1920, 1080, "/screen")
	for _, p := range []*tab{board, screen} {
		p.do(chromedp.Evaluate[chromedp.Void](`window.neverLoadedAgain = true`))
	}
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
	for _, piece := range f.cutting {
		bench.work(s, piece.Ticket)
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
	for _, p := range []*tab{board, screen} {
		p.wait(`window.neverLoadedAgain`)
	}

	office.open("/ready")
	office.wait(`document.querySelectorAll('input[name="panel"]:checked').length === 2`)
	office.do(chromedp.Click(chromedp.CSS(`#ready .main-action`)))
	office.wait(`location.pathname.startsWith("/invoices/")`)
	if text := read[string](office, "document.querySelector('main').innerText"); !strings.Contains(text, "170.00") { // 2 × (40 + 2½ × 18)
		t.Errorf("the draft does not come to 170.00:\n%s", text)
	}
	office.do(chromedp.Click(chromedp.CSS(`form[action$="/issue"] .main-action`)))
	office.wait(`document.querySelector('.note.done') && document.querySelector('a[href$=".pdf"]')`)
	if state := f.state(t); state != "invoiced" {
		t.Errorf("the order is %s, want invoiced", state)
	}
}

// upload gives the orders page a file.
func (p *tab) upload(file string) {
	p.t.Helper()
	p.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}), chromedp.Click(chromedp.CSS(`form[enctype] .main-action`)))
}
