package pages

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
	"tablehand/views"
)

// page is a page of the shop in one of its states: its address, and what is done there before it is looked at.
type page struct {
	name  string // also of its pictures
	path  string
	by    string // who looks: "" the office, else "stranger", "long table" a bench of several stations, or the token of a device
	do    func(*browser.Tab)
	shop  *shoptest.Shop // another than the busy one; nil: that
	fails bool           // it is a page that says what went wrong
}

// everyPage returns every page of the shop in each of its states, those of an empty shop beside it, and those that
// devices without an office see.
func everyPage(t *testing.T, b *busyShop, empty *shoptest.Shop) []page {
	t.Helper()
	bad := shoptest.WriteFile(t, "bad.yaml", shoptest.OrderFile(t, "SMI-7", "face_width: 84", "face_widht: 84", "quantity: 1", "quantity: -1"))
	badPrices := shoptest.WriteFile(t, "prices.yaml", "currency: USD\nrows:\n  - {heading: cartridge-tape, panel: many}\n")
	pages := []page{
		{name: "home", path: "/"},
		{name: "home-unfolded", path: "/", do: openAll},
		{name: "orders", path: "/orders"},
		{name: "orders-found", path: "/orders?find=smi&state=taken&sort=customer"},
		{name: "orders-bad-file", path: "/orders", do: func(p *browser.Tab) {
			p.Upload(bad)
			p.Wait(`document.querySelector('.source li.wrong')`)
		}},
		{name: "order", path: "/orders/SMI-1", do: openAll},
		{name: "order-short", path: "/orders/SMI-3"},
		{name: "order-nobodys", path: "/orders/SMI-8"},
		{name: "order-long", path: "/orders/SMI-20?find=207"},
		{name: "order-cancelled", path: "/orders/SMI-4"},
		{name: "order-revised", path: "/orders/SMI-5", do: openAll},
		{name: "order-ended-panels", path: "/orders/SMI-9"},
		{name: "order-closed", path: "/orders/SMI-10", do: openAll},
		{name: "order-closing", path: "/orders/SMI-9", do: func(p *browser.Tab) { unfolds(p, `form[action$="/close"]`) }},
		{name: "order-closing-refused", path: "/orders/SMI-9", do: func(p *browser.Tab) {
			unfolds(p, `form[action$="/close"]`)
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#close-reason").value = " "`), chromedp.Click(chromedp.CSS(`form[action$="/close"] button`)))
			p.Wait(`document.querySelector('.said.refused')`)
		}},
		{name: "order-rules", path: "/orders/SMI-1/rules"},
		{name: "room", path: "/orders/SMI-021/room?name=14"},
		{name: "order-edit", path: "/orders/SMI-1/edit", do: worked},
		{name: "order-change", path: "/orders/SMI-1/edit", do: changesLength},
		{name: "order-edit-table", path: "/orders/SMI-1/edit", do: func(p *browser.Tab) { // a phone keeps the form
			worked(p)
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("[data-table]").click(); document.querySelector('[value^="ways:"]').click()`))
			p.Wait(`document.querySelectorAll(".way").length > 2`)
		}},
		{name: "taking", path: "/taking"},
		{name: "taking-refused", path: "/taking", do: func(p *browser.Tab) {
			p.Do(chromedp.Click(chromedp.CSS("#taking .bar .main-action")))
			p.Wait(`document.querySelector('.ask.wrong')`)
		}},
		{name: "board", path: "/board"},
		{name: "board-unfolded", path: "/board", do: openAll},
		{name: "board-found", path: "/board?find=breakfast"},
		{name: "board-none-found", path: "/board?find=nowhere"},
		{name: "search", path: "/search"},
		{name: "search-found", path: "/search?q=SMI"},
		{name: "search-nothing", path: "/search?q=nowhere"},
		{name: "screen", path: "/screen"},
		{name: "ready", path: "/ready"},
		{name: "invoice-draft", path: "/invoices/" + b.draft},
		{name: "invoice", path: "/invoices/" + b.invoice, do: openAll},
		{name: "invoice-credited", path: "/invoices/" + b.credited},
		{name: "credit-note", path: "/invoices/" + b.credit},
		{name: "credit-note-draft", path: "/invoices/" + b.creditDraft},
		{name: "prices", path: "/prices"},
		{name: "prices-bad-file", path: "/prices", do: func(p *browser.Tab) {
			p.Do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{badPrices}), chromedp.Click(chromedp.CSS(`form[enctype] button`)))
			p.Wait(`document.querySelector('.source li.wrong')`)
		}},
		{name: "setup", path: "/setup"},
		{name: "settings", path: "/settings"},
		{name: "settings-refused", path: "/settings", do: func(p *browser.Tab) {
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector('[name="zone"]').value = "Moon/Tycho"`))
			p.Do(chromedp.Click(chromedp.CSS(`form[action="/settings"] .main-action`)))
			p.Wait(`document.querySelector('[aria-invalid="true"]')`)
		}},
		{name: "devices", path: "/settings/devices"},
		{name: "devices-refused", path: "/settings/devices", do: func(p *browser.Tab) {
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#device-name').value = "x".repeat(101)`))
			p.Do(chromedp.Click(chromedp.CSS(`form[action="/settings/devices"] .main-action`)))
			p.Wait(`document.querySelector('.said.refused')`)
		}},
		{name: "device-code", path: "/settings/devices/" + b.awaited},
		{name: "people", path: "/settings/people"},
		{name: "person", path: "/settings/people/" + b.lead},
		{name: "badge", path: "/p/" + b.badge[1:], by: b.Station},
		{name: "books", path: "/books"},
		{name: "book", path: "/books/customers"},
		{name: "entry", path: "/books/customers/salt-house-lodge?into=salt"},
		{name: "entry-new", path: "/books/rods/new"},
		{name: "import", path: "/books/customers/import", do: func(p *browser.Tab) {
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#source').value = "Client,Mail\nTern Cottage,nobody\n"`))
			p.Do(chromedp.Click(chromedp.CSS(`form[action="/books/customers/import"] .main-action`)))
			p.Wait(`document.querySelector('.bring-in')`)
		}},
		{name: "measuring", path: "/settings/measuring"},
		{name: "order-pieces", path: "/orders/SMI-40"},
		{name: "taking-pieces", path: "/orders/SMI-40/edit"},
		{name: "piece", path: "/t/" + b.piece, by: b.Station},
		{name: "order-bring-up", path: "/orders/SMI-6", do: func(p *browser.Tab) {
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector('form[action$="/bring-up"]').closest("details").open = true`))
			p.Do(chromedp.Click(chromedp.CSS(`form[action$="/bring-up"] button`)))
			p.Wait(`location.pathname.endsWith("/bring-up")`)
		}},
		{name: "tolerances", path: "/settings/tolerances", do: openAll},
		{name: "closed-days", path: "/settings/closed-days"},
		{name: "stations", path: "/settings/stations", do: func(p *browser.Tab) {
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("[name=pull_up-off], [name=pull_up-next]").forEach(b => b.checked = true)`))
			p.Do(chromedp.Click(chromedp.CSS(`button[value="try"]`)))
			p.Wait(`document.querySelector('.tried')`)
			openAll(p)
		}},
		{name: "conventions", path: "/settings/conventions", do: func(p *browser.Tab) {
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector('[name="seam"]').value = "5/8"`), chromedp.Click(chromedp.CSS(`button[value="try"]`)))
			p.Wait(`document.querySelector('.tried table')`)
			openAll(p)
		}},
		{name: "record", path: "/settings/record"},
		{name: "calendar", path: "/settings/calendar", do: func(p *browser.Tab) {
			p.Do(chromedp.Click(chromedp.CSS(`form[action="/settings/calendar"] button`)))
			p.Wait(`document.querySelector('#address')`)
		}},
		{name: "count", path: "/count", by: b.Station},
		{name: "purchases", path: "/purchases?from=2026-12-01&to=2026-12-31"},
		{name: "count-ended", path: "/count/" + b.count, by: b.Station},
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
		first := !slices.ContainsFunc(pages, func(pg page) bool {
			return strings.HasPrefix(pg.name, "ticket-") && strings.HasSuffix(pg.name, "-"+look.State)
		})
		if first || browser.Everything() { // a ticket's own page and a bench's differ little from the office's station
			pages = append(pages, page{name: "ticket-" + name, path: "/t/" + panel.Ticket})
		}
		if look.Step == nil {
			continue
		}
		station := "/station/" + look.Step.Station + "?ticket=" + panel.Ticket
		pages = append(pages, page{name: "station-" + look.Step.Station + "-" + name, path: station})
		if first || browser.Everything() {
			pages = append(pages, page{name: "bench-" + look.Step.Station + "-" + name, path: station, by: b.Station, do: openAll})
		}
	}
	for _, panel := range b.taped.Panels[:b.taped.Taken] {
		if look := b.Look(t, panel.Ticket); look.State == "at_work" {
			pages = append(pages, page{name: "station-" + look.Step.Station + "-filled", path: "/station/" + look.Step.Station + "?ticket=" + panel.Ticket, do: fillsIn})
		}
	}
	for _, panel := range b.taped.Panels[:b.taped.Taken] {
		if look := b.Look(t, panel.Ticket); look.State == "at_work" && look.Step.Station == "pull_up" {
			path := "/station/pull_up?ticket=" + panel.Ticket
			pages = append(pages, page{name: "station-pull_up-holding", path: path, do: func(p *browser.Tab) { p.Hit(".hold-link") }},
				page{name: "station-pull_up-beyond", path: path, do: goesBeyond})
		}
	}
	for _, panel := range b.pinched.Panels {
		station := b.Look(t, panel.Ticket).Step.Station
		pages = append(pages, page{name: "station-" + station, path: "/station/" + station + "?ticket=" + panel.Ticket})
	}
	pages = append(pages, b.table.pages(b)...)
	for i, name := range views.HelpPages() { // which differ in their words alone
		if i%3 == 0 || browser.Everything() {
			pages = append(pages, page{name: "help-" + name, path: "/help/" + name})
		}
	}
	for _, path := range []string{"/", "/orders", "/board", "/screen", "/ready", "/prices", "/station/tape", "/check"} {
		pages = append(pages, page{name: strings.TrimSuffix("empty-"+strings.ReplaceAll(strings.Trim(path, "/"), "/", "-"), "-"), path: path, shop: empty})
	}
	return pages
}

// openAll unfolds what is folded away.
func openAll(p *browser.Tab) {
	p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach((d) => { d.open = true; })`))
}

// unfolds opens what folds a part of a page away.
func unfolds(p *browser.Tab, part string) {
	p.Do(chromedp.Evaluate[chromedp.Void]("document.querySelector(`" + part + "`).closest('details').open = true"))
}

// worked waits until the order form has its numbers.
func worked(p *browser.Tab) { p.Wait(`document.querySelector('#results .numbers dl')`) }

// changesLength asks for another length and comes to the page that shows what that changes; nothing is changed yet.
func changesLength(p *browser.Tab) {
	worked(p)
	p.Do(chromedp.Evaluate[chromedp.Void](`(() => { const e = document.querySelector('[name="treatments.0.finished_length"]'); e.value = "93"; e.dispatchEvent(new Event("input", {bubbles: true})); })()`))
	p.Do(chromedp.Click(chromedp.CSS("#taking .bar .main-action")))
	p.Wait(`document.querySelector('input[value="confirm"]')`)
}

// fillsIn fills in what a station asks for, and confirms its acts but for the last, which would finish the step.
func fillsIn(p *browser.Tab) {
	p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("#work [data-entry]").forEach((e, i) => {
		const choice = e.querySelector("input[type=radio]");
		if (choice) { choice.click(); return; }
		e.querySelector("input").value = e.querySelector(".target strong").textContent.replace("⁄", "/").replace(/[^0-9/., ].*/, "").trim();
		e.querySelector("input").dispatchEvent(new Event("input", { bubbles: true }));
	}); [...document.querySelectorAll("#work [data-all]")].slice(0, -1).forEach((c) => { if (!c.checked) c.click(); })`))
}

// goesBeyond fills in a step with a width that is too wide by far: it is asked about before the panel is held.
func goesBeyond(p *browser.Tab) {
	fillsIn(p)
	p.Do(chromedp.Evaluate[chromedp.Void](`{ const f = document.getElementById("entry-finished_width"); f.value = "50"; f.dispatchEvent(new Event("input", { bubbles: true })); }
		[...document.querySelectorAll("#work [data-all]")].at(-1).click()`))
	p.Wait(`document.querySelector(".bar .beyond:not([hidden])")`)
}

// wanted are the pages whose names hold one of the words of TABLEHAND_PAGES ("board,screen"), all where it is empty.
func wanted(pages []page) []page {
	words := strings.Split(os.Getenv("TABLEHAND_PAGES"), ",")
	return slices.DeleteFunc(pages, func(pg page) bool {
		return !slices.ContainsFunc(words, func(word string) bool { return strings.Contains(pg.name, word) })
	})
}
