package pages

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// Office returns the pages of orders, money, books and settings, each in each of its states, and those of an empty shop.
func Office(t *testing.T, b *BusyShop) []Page {
	t.Helper()
	bad := shoptest.WriteFile(t, "bad.yaml", shoptest.OrderFile(t, "SMI-7", "face_width: 84", "face_widht: 84", "quantity: 1", "quantity: -1"))
	badPrices := shoptest.WriteFile(t, "prices.yaml", "currency: USD\nrows:\n  - {heading: cartridge-tape, panel: many}\n")
	pages := []Page{
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
		{name: "shelf", path: "/shelf"},
		{name: "shelf-found", path: "/shelf?find=L7"},
		{name: "shelf-cloth", path: "/shelf/reed-oat?new=" + b.bolt},
		{name: "shelf-receive", path: "/shelf/receive?cloth=reed-oat"},
		{name: "shelf-order-short", path: "/orders/SMI-45/cloth"},
		{name: "shelf-order", path: "/orders/SMI-3/cloth", do: openAll},
		{name: "shelf-counts", path: "/shelf/count"},
		{name: "shelf-count-ended", path: "/shelf/count/" + b.stocktaken},
		{name: "bolt", path: "/b/" + b.bolt, do: openAll},
		{name: "bolt-held", path: "/b/" + b.heldBolt},
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
			p.Do(chromedp.Evaluate[chromedp.Void](`for (const [name, value] of [["seam", "5/8"], ["own_name", "Reed loop"], ["own_key", "reed-loop"], ["own_like", "cartridge-hand"]])
				document.querySelector("[name=" + name + "]").value = value`), chromedp.Click(chromedp.CSS(`button[value="try"]`)))
			p.Wait(`document.querySelector('.tried table')`)
			openAll(p)
		}},
		{name: "record", path: "/settings/record"},
		{name: "calendar", path: "/settings/calendar", do: func(p *browser.Tab) {
			p.Do(chromedp.Click(chromedp.CSS(`form[action="/settings/calendar"] button`)))
			p.Wait(`document.querySelector('#address')`)
		}},
		{name: "purchases", path: "/purchases?from=2026-12-01&to=2026-12-31"},
	}
	for _, path := range []string{"/", "/orders", "/board", "/screen", "/ready", "/prices", "/station/tape", "/check"} {
		pages = append(pages, Page{name: strings.TrimSuffix("empty-"+strings.ReplaceAll(strings.Trim(path, "/"), "/", "-"), "-"), path: path, shop: b.empty})
	}
	return pages
}
