package pages

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
	"tablehand/views"
)

// Floor returns the pages of stations, tickets and screens, those that a device or a stranger sees, and those of help.
func Floor(t *testing.T, b *BusyShop) []Page {
	t.Helper()
	pages := []Page{
		{name: "screen", path: "/screen"},
		{name: "badge", path: "/p/" + b.badge[1:], by: b.Station},
		{name: "piece", path: "/t/" + b.piece, by: b.Station},
		{name: "count", path: "/count", by: b.Station},
		{name: "count-ended", path: "/count/" + b.count, by: b.Station},
		{name: "shelf-count", path: "/shelf/count/" + b.stocktake, by: b.Station, do: func(p *browser.Tab) {
			p.Do(chromedp.SendKeys(chromedp.CSS("#at"), "5C"), chromedp.SendKeys(chromedp.CSS("#code"), b.bolt+"\r"))
			p.Wait(`document.querySelector('.saw .said.held')`)
		}},
		{name: "shelf-bench", path: "/shelf", by: b.Station},
		{name: "bolt-bench", path: "/b/" + b.heldBolt, by: b.Station},
		{name: "inspect", path: "/b/" + b.bolt + "/inspect", by: b.Station},
		{name: "enter", path: "/enter", by: "stranger"},
		{name: "enter-device", path: "/enter/" + b.code, by: "stranger"},
		{name: "enter-unknown", path: "/enter/000000000", by: "stranger"},
		{name: "check", path: "/check"},
		{name: "check-done", path: "/check?now=1"},
		{name: "backup", path: "/check/backup"},
		{name: "hello", path: "/hello"},
		{name: "trust", path: "/trust", by: "stranger"},
		{name: "find", path: "/t"},
		{name: "not-found", path: "/nowhere", fails: true},
		{name: "no-such-ticket", path: "/t/00000000X", fails: true},
		{name: "sign-in", path: "/sign-in?next=/board", by: "stranger"},
		{name: "sign-in-wrong", path: "/sign-in", by: "stranger", do: func(p *browser.Tab) {
			p.Do(chromedp.SendKeys(chromedp.CSS(`[name="passphrase"]`), "not the passphrase"), chromedp.Click(chromedp.CSS(`[data-signin] button`)))
			p.Wait(`document.querySelector('.said.refused')`)
		}},
		{name: "help", path: "/help"},
		{name: "help-stranger", path: "/help/sign-in", by: "stranger"},
		{name: "help-bench", path: "/help", by: b.Station},
		{name: "home-bench", path: "/", by: b.Station},
		{name: "board-bench", path: "/board", by: b.Station},
		{name: "screen-wall", path: "/screen", by: b.Screen},
		{name: "not-for-a-bench", path: "/orders", by: b.Station, fails: true},
		{name: "ticket-uncut", path: "/t/" + b.uncut.Panels[0].Ticket},
		{name: "ticket-cutting", path: "/t/" + b.uncut.Cutting[0].Ticket},
		{name: "ticket-remade", path: "/t/" + b.remade, do: openAll},
		{name: "ticket-ended-billed", path: "/t/" + b.ended, do: openAll},
		{name: "ticket-ended-unbilled", path: "/t/" + b.scrapped},
		{name: "ticket-ending", path: "/t/" + b.closing.Panels[2].Ticket, do: func(p *browser.Tab) { unfolds(p, `#scrap-reason`) }},
		{name: "ticket-ending-untold", path: "/t/" + b.cutting.Panels[0].Ticket, do: func(p *browser.Tab) { unfolds(p, `#scrap-reason`) }},
		{name: "ticket-ending-refused", path: "/t/" + b.closing.Panels[2].Ticket, do: func(p *browser.Tab) {
			unfolds(p, `#scrap-reason`)
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#scrap-reason").value = " "; document.querySelector('[name="billable"][value="no"]').checked = true`))
			p.Do(chromedp.Click(chromedp.CSS(`form:has(#scrap-reason) button.danger`)))
			p.Wait(`document.querySelector('.said.refused')`)
		}},
		{name: "ticket-changed", path: "/t/" + b.revised.Panels[0].Ticket, do: openAll},
		{name: "station-cutting-ready", path: "/station/cutting?ticket=" + b.uncut.Cutting[0].Ticket},
		{name: "station-refused", path: "/station/tape", do: func(p *browser.Tab) { p.Scan("000000000", "refused") }},
		{name: "station-empty", path: "/station/joining"},
		{name: "station-apart", path: "/station/packing?ticket=" + b.apart.Panels[1].Ticket, do: func(p *browser.Tab) {
			p.FillIn(shoptest.Entry{Name: "finished_width"}, "48 3/4")
			p.Wait(`document.querySelector('.pair-bar.is-apart')`)
		}},
		{name: "bench-several", path: "/station/fold?ticket=" + b.taped.Panels[6].Ticket, by: "long table"},
	}
	for i, panel := range b.taped.Panels[:b.taped.Taken] {
		look := b.Look(t, panel.Ticket)
		name := fmt.Sprintf("%d-%s", i, look.State)
		first := !slices.ContainsFunc(pages, func(pg Page) bool {
			return strings.HasPrefix(pg.name, "ticket-") && strings.HasSuffix(pg.name, "-"+look.State)
		})
		if first || browser.Everything() { // a ticket's own page and a bench's differ little from the office's station
			pages = append(pages, Page{name: "ticket-" + name, path: "/t/" + panel.Ticket})
		}
		if look.Step == nil {
			continue
		}
		station := "/station/" + look.Step.Station + "?ticket=" + panel.Ticket
		pages = append(pages, Page{name: "station-" + look.Step.Station + "-" + name, path: station})
		if first || browser.Everything() {
			pages = append(pages, Page{name: "bench-" + look.Step.Station + "-" + name, path: station, by: b.Station, do: openAll})
		}
	}
	for _, panel := range b.taped.Panels[:b.taped.Taken] {
		if look := b.Look(t, panel.Ticket); look.State == "at_work" {
			pages = append(pages, Page{name: "station-" + look.Step.Station + "-filled", path: "/station/" + look.Step.Station + "?ticket=" + panel.Ticket, do: fillsIn})
		}
	}
	for _, panel := range b.taped.Panels[:b.taped.Taken] {
		if look := b.Look(t, panel.Ticket); look.State == "at_work" && look.Step.Station == "pull_up" {
			path := "/station/pull_up?ticket=" + panel.Ticket
			pages = append(pages, Page{name: "station-pull_up-holding", path: path, do: func(p *browser.Tab) { p.Hit(".hold-link") }},
				Page{name: "station-pull_up-beyond", path: path, do: goesBeyond})
		}
	}
	for _, panel := range b.pinched.Panels {
		station := b.Look(t, panel.Ticket).Step.Station
		pages = append(pages, Page{name: "station-" + station, path: "/station/" + station + "?ticket=" + panel.Ticket})
	}
	pages = append(pages, b.table.pages(b)...)
	for i, name := range views.HelpPages() { // which differ in their words alone
		if i%3 == 0 || browser.Everything() {
			pages = append(pages, Page{name: "help-" + name, path: "/help/" + name})
		}
	}
	return pages
}
