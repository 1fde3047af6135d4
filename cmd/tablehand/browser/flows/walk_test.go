package flows

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// route is the cartridge-tape route with the names that people see.
var routeSeen = []struct{ key, name string }{
	{"cutting", "Cutting"}, {"joining", "Joining & hems"}, {"fold", "Heading fold"}, {"tape", "Tape sewing"},
	{"pull_up", "Pull-up & cords"}, {"inserts", "Inserts"}, {"pressing", "Pressing"}, {"packing", "Check & pack"},
}

// next is the station after the one at a place of the route, "" after the last.
func next(at int) string {
	if at+1 == len(routeSeen) {
		return ""
	}
	return routeSeen[at+1].key
}

// hangsAt is the page's own answer to where a panel hangs on the board: the place of its station, from 0.
func hangsAt(code string) string {
	return fmt.Sprintf(`[...document.querySelectorAll('.hangings > li')].findIndex((li) => li.querySelector('a[href="/t/%s"]'))`, code)
}

// playsAPair plays a pair from its order file to the issued invoice, the first panel with one page at the stations, while the
// board and the shop screen, open in other pages, show every move.
func playsAPair(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	s.Ask(t, shoptest.Request{As: s.Office, Do: "PUT /api/prices", Status: 200,
		Send: shoptest.Fields{"currency": "USD", "rows": []shoptest.Fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}})

	office := b.Tab(t, 1280, 800, "/orders")
	office.Upload(shoptest.WriteFile(t, "order.yaml", shoptest.OrderFile(t, "SMI-1")))
	office.Wait(`location.pathname === "/orders/SMI-1"`)
	board := b.Tab(t, 1280, 800, "/board")
	screen := b.Tab(t, 1920, 1080, "/screen")
	for _, p := range []*browser.Tab{board, screen} {
		p.Do(chromedp.Evaluate[chromedp.Void](`window.neverLoadedAgain = true`))
	}
	office.Do(chromedp.Click(chromedp.CSS(`form[action$="/release"] .main-action`)))
	office.Wait(`location.search === "?did=released"`)

	f := &shoptest.Floor{Shop: s, Order: "SMI-1"}
	var got struct{ Tickets []shoptest.Row }
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/SMI-1", Status: 200}).Into(t, &got)
	for _, r := range got.Tickets {
		if r.Kind == "cutting" {
			f.Cutting = append(f.Cutting, r)
		} else {
			f.Panels = append(f.Panels, r)
		}
	}

	bench := b.Tab(t, 1280, 800, "/station/cutting")
	for _, piece := range f.Cutting {
		bench.Work(s, piece.Ticket)
	}
	for i, station := range routeSeen[1:] {
		bench.Open("/station/" + station.key)
		for _, panel := range f.Panels {
			board.Wait(hangsAt(panel.Ticket) + fmt.Sprintf(" === %d", i+1))
			screen.Wait(browser.Stands(station.name, panel.Panel))
		}
		bench.Work(s, f.Panels[0].Ticket)
		s.WorkTo(t, f.Panels[1].Ticket, next(i+1)) // somebody else's: what its page asks is seen where touches are counted
	}
	for _, panel := range f.Panels {
		s.Expect(t, panel.Ticket, "packing", "finished")
		screen.Wait("!" + browser.Stands("Check & pack", panel.Panel))
	}
	board.Wait(`document.querySelector('.rod-due').textContent.includes('2 of 2')`)
	for _, p := range []*browser.Tab{board, screen} {
		p.Wait(`window.neverLoadedAgain`)
	}

	office.Open("/ready")
	office.Wait(`document.querySelectorAll('input[name="panel"]:checked').length === 2`)
	office.Do(chromedp.Click(chromedp.CSS(`#ready .main-action`)))
	office.Wait(`location.pathname.startsWith("/invoices/")`)
	if text := browser.Read[string](office, "document.querySelector('main').innerText"); !strings.Contains(text, "170.00") { // 2 × (40 + 2½ × 18)
		t.Errorf("the draft does not come to 170.00:\n%s", text)
	}
	office.Do(chromedp.Click(chromedp.CSS(`form[action$="/issue"] .main-action`)))
	office.Wait(`document.querySelector('.note.done') && document.querySelector('a[href$=".pdf"]')`)
	if state := f.State(t); state != "invoiced" {
		t.Errorf("the order is %s, want invoiced", state)
	}
}
