package pages

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	cdpnet "github.com/chromedp/cdproto/network"
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

// busyShop fills a shop so that everything a page may show is there: panels at each station, ready, at work, held,
// out of tolerance, sent back, changed, remade and finished; orders at each state; a draft and an invoice.
type busyShop struct {
	*shoptest.Shop
	taped, pinched, revised, uncut *shoptest.Floor
	closing, cutting, apart        *shoptest.Floor
	draft, invoice                 string
	credited, credit, creditDraft  string // an invoice, its credit note, and the draft of another's
	remade                         string // the ticket that another was remade for
	ended, scrapped                string // panels that ended, billed and not
	table                          table
	awaited, code                  string // a device that may enter, and by what
	lead, badge                    string // a lead, and their badge
	piece                          string // a ticket of a piece that isn't a panel
	count                          string // a count of a station that has ended, with a ticket astray
}

// piecesOrder has no window: two cushions, a valance, and a repair that goes out of the house.
const piecesOrder = `
order: SMI-40
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - {id: canvas, usable_width: 54, use: face, bolts: [{id: C1, length: 12 yd, lot: A}]}
pieces:
  - {piece: cushion, text: Bench seat, quantity: 2, sizes: {width: 22, depth: 20, thickness: 3, welt: 1 1/2}, notes: Zip at the back}
  - {piece: valance, text: Kitchen valance, sizes: {width: 60, drop: 14, fullness: 2}}
  - {piece: repair, text: Torn hem, route: [outside, sewing, packing], outside: {who: Marsh Upholstery, back: 2026-12-10}, sizes: {tear: 9}}
`

// fillShop makes the busy shop of an empty one.
func fillShop(t *testing.T, s *shoptest.Shop) *busyShop {
	t.Helper()
	b := &busyShop{Shop: s}
	office := func(do string, send any, status int) shoptest.Answer {
		t.Helper()
		return s.Ask(t, shoptest.Request{As: s.Office, Do: do, Send: send, Status: status})
	}
	office("PUT /api/prices", shoptest.Fields{"currency": "USD", "rows": []shoptest.Fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}, {"heading": "pinch-3", "panel": "38.50", "width": "16.00"}}}, 200)
	office("POST /api/devices", shoptest.Fields{"name": "Wall by the door", "kind": "wall", "language": "en"}, 201)
	device := office("POST /api/devices", shoptest.Fields{"name": "Joining tablet", "kind": "bench", "stations": []string{"joining", "fold"}, "language": "en"}, 201)
	lead := office("POST /api/people", shoptest.Fields{"name": "Ada Brook", "floor": "lead", "sign_in": "office"}, 201)
	b.lead, b.badge = lead.At("person"), lead.At("badge")
	office("POST /api/people", shoptest.Fields{"name": "Ben Tide", "floor": "hand"}, 201)
	office("POST /api/customers", shoptest.Fields{"name": "Salt House Lodge", "kind": "trade", "phone": "555 0199", "mail": "desk@salt-house.test", "billing": "2 Quay Street\nReedham", "order_form": "SHL-{n:3}"}, 201)
	b.awaited, b.code = device.At("device"), device.At("code")
	b.taped = s.Release(t, "SMI-1", shoptest.ManyWindows("9")...)
	b.taped.CutAll(t)
	b.pinched = s.Release(t, "SMI-2", "heading: cartridge-tape", "heading: pinch-3", "due: 2026-12-18", "due: 2026-01-05", "Bay, left", "Breakfast room, east wall")
	b.pinched.CutAll(t)
	office("POST /api/orders", shoptest.OrderFile(t, "SMI-3", "length: 40 yd", "length: 12 yd"), 201) // taken, and short of cloth
	office("POST /api/orders", shoptest.OrderFile(t, "SMI-4"), 201)
	office("POST /api/orders/SMI-4/cancel", shoptest.Fields{"reason": "House sold"}, 200)
	office("POST /api/orders", shoptest.OrderFile(t, "SMI-8", "customer: Saltmarsh Inn\n", ""), 201)
	office("POST /api/orders", longOrder(t, "SMI-20"), 201)
	office("POST /api/orders", roomOrder(t), 201)
	b.uncut = s.Release(t, "SMI-6", shoptest.ManyWindows("2")...)

	finished := []string{b.taped.NextPanel(t), b.taped.NextPanel(t), b.taped.NextPanel(t), b.taped.NextPanel(t), b.taped.NextPanel(t)}
	for _, code := range finished {
		s.WorkTo(t, code, "")
	}
	b.draft = office("POST /api/invoices", shoptest.Fields{"customer": "Saltmarsh Inn", "panels": finished[:1]}, 201).At("draft")
	issued := office("POST /api/invoices", shoptest.Fields{"customer": "Saltmarsh Inn", "panels": finished[1:2]}, 201).At("draft")
	b.invoice = office("POST /api/invoices/"+issued+"/issue", shoptest.Fields{}, 200).At("number")
	b.bills(t, finished[3:])

	for _, station := range []string{"fold", "tape", "pull_up", "inserts", "pressing", "packing"} {
		b.startAt(t, b.taped.NextPanel(t), station)
	}
	b.startAt(t, b.pinched.Panels[0].Ticket, "pleating")
	b.startAt(t, b.pinched.Panels[1].Ticket, "tacking")

	out := b.taped.NextPanel(t) // out of tolerance
	s.WorkTo(t, out, "pull_up")
	s.Finish(t, s.Station, out, s.Start(t, s.Station, out), "finished_width", "52in")
	back := b.taped.NextPanel(t)
	s.WorkTo(t, back, "pull_up")
	s.Done(t, s.Station, shoptest.Scan(back, "send_back", "", "to", "fold", "reason", "The fold is a quarter short"), nil)
	held := b.taped.NextPanel(t)
	s.Done(t, s.Station, shoptest.Scan(held, "hold", "", "reason", "Flaw in the middle of the second width"), nil)

	b.revised = s.Release(t, "SMI-5", shoptest.ManyWindows("2")...)
	b.revised.CutAll(t)
	s.WorkTo(t, b.revised.Panels[0].Ticket, "tape")
	s.Put(t, "SMI-5", "", shoptest.OrderFile(t, "SMI-5", append(shoptest.ManyWindows("2"), "finished_length: 95 1/2", "finished_length: 94")...))
	b.remade = b.revised.Panels[1].Ticket
	s.Done(t, s.Station, shoptest.Scan(b.remade, "hold", "", "reason", "Scorched at the iron"), nil)
	s.Done(t, s.Office, shoptest.Scan(b.remade, "remake", "", "reason", "Scorched at the iron"), nil)
	b.apart = s.Release(t, "SMI-31")
	b.apart.CutAll(t)
	s.WorkTo(t, b.apart.Panels[0].Ticket, "")
	b.startAt(t, b.apart.Panels[1].Ticket, "packing")
	b.ends(t)
	b.table = b.cuts(t)
	office("POST /api/orders", piecesOrder, 201)
	b.piece = office("POST /api/orders/SMI-40/release", shoptest.Fields{}, 200).At("tickets.4.ticket")
	office("PUT /api/conventions", shoptest.Fields{"shrink": "1"}, 200) // what is on the books was taken before
	b.count = office("POST /api/floor_counts", shoptest.Fields{"station": "fold"}, 201).At("count")
	office("POST /api/floor_counts/"+b.count+"/seen", shoptest.Fields{"ticket": b.revised.Panels[0].Ticket}, 200)
	office("POST /api/floor_counts/"+b.count+"/end", shoptest.Fields{}, 200)
	return b
}

// ends has one panel of an order end that is billed and one that isn't, and closes another order; a third is being cut.
func (b *busyShop) ends(t *testing.T) {
	t.Helper()
	b.closing = b.Release(t, "SMI-9", shoptest.ManyWindows("2")...)
	b.closing.CutAll(t)
	b.ended, b.scrapped = b.closing.Panels[0].Ticket, b.closing.Panels[1].Ticket
	b.Done(t, b.Office, shoptest.Scan(b.ended, "scrap", "", "billable", true, "reason", "House sold"), nil)
	b.Done(t, b.Office, shoptest.Scan(b.scrapped, "scrap", "", "billable", false, "reason", "Scorched at the iron"), nil)
	closed := b.Release(t, "SMI-10")
	closed.CutAll(t)
	b.Ask(t, shoptest.Request{As: b.Office, Do: "POST /api/orders/SMI-10/close", Send: shoptest.Fields{"reason": "House sold"}, Status: 200})
	b.cutting = b.Release(t, "SMI-11")
	b.Start(t, b.Station, b.cutting.Cutting[0].Ticket)
}

// bills issues an invoice of each of two panels; the first is credited, a credit note of the second is drafted.
func (b *busyShop) bills(t *testing.T, panels []string) {
	t.Helper()
	office := func(do string, send any, status int) shoptest.Answer {
		t.Helper()
		return b.Ask(t, shoptest.Request{As: b.Office, Do: do, Send: send, Status: status})
	}
	for i, code := range panels {
		draft := office("POST /api/invoices", shoptest.Fields{"customer": "Saltmarsh Inn", "panels": []string{code}}, 201).At("draft")
		number := office("POST /api/invoices/"+draft+"/issue", shoptest.Fields{}, 200).At("number")
		b.creditDraft = office("POST /api/invoices/"+number+"/credit",
			shoptest.Fields{"whole": true, "frees": true, "reason": "Billed to the hotel, not to its owner"}, 201).At("draft")
		if i == 0 {
			b.credited, b.credit = number, office("POST /api/invoices/"+b.creditDraft+"/issue", shoptest.Fields{}, 200).At("number")
		}
	}
}

// startAt takes a panel to a station and starts it there.
func (b *busyShop) startAt(t *testing.T, code, station string) {
	t.Helper()
	b.WorkTo(t, code, station)
	b.Start(t, b.Station, code)
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
		{name: "piece", path: "/t/" + b.piece, by: b.Station},
		{name: "order-bring-up", path: "/orders/SMI-6", do: func(p *browser.Tab) {
			p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector('form[action$="/bring-up"]').closest("details").open = true`))
			p.Do(chromedp.Click(chromedp.CSS(`form[action$="/bring-up"] button`)))
			p.Wait(`location.pathname.endsWith("/bring-up")`)
		}},
		{name: "tolerances", path: "/settings/tolerances", do: openAll},
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

// visitor walks through the pages of its shops, in one language and one tab for each who looks.
type visitor struct {
	t        *testing.T
	chrome   *browser.Chromium
	busy     *shoptest.Shop
	language string
	tabs     map[string]*browser.Tab
	prepare  func(*browser.Tab) // a new tab
}

// newVisitor returns one who looks at the shops' pages in a language.
func newVisitor(t *testing.T, c *browser.Chromium, busy *shoptest.Shop, language string, prepare func(*browser.Tab)) *visitor {
	return &visitor{t: t, chrome: c, busy: busy, language: language, tabs: map[string]*browser.Tab{}, prepare: prepare}
}

// go opens a page in the tab of who looks at it, and does what is done there.
func (v *visitor) visit(pg page) *browser.Tab {
	v.t.Helper()
	s := pg.shop
	if s == nil {
		s = v.busy
	}
	key := s.URL + pg.by
	p := v.tabs[key]
	if p == nil {
		p = v.enter(s, pg.by)
		v.tabs[key] = p
	}
	p.Traffic.Begin()
	p.Open(pg.path)
	p.Quiet()
	p.Weighs, _ = p.Traffic.Sums()
	if failed := browser.Read[bool](p, `document.body.classList.contains("failure")`); failed != pg.fails {
		v.t.Errorf("%s: does %s say what went wrong? %v", pg.name, pg.path, failed)
	}
	if pg.do != nil {
		pg.do(p)
		p.Quiet()
	}
	return p
}

// enter opens a tab at a shop for who looks.
func (v *visitor) enter(s *shoptest.Shop, by string) *browser.Tab {
	v.t.Helper()
	ctx, leave := chromedp.NewContext(v.chrome.Ctx, chromedp.WithNewBrowserContext())
	v.t.Cleanup(leave)
	b := &browser.Session{Shop: s, Ctx: ctx}
	p := b.Listen(v.t, ctx, 1280, 800)
	p.Traffic = browser.Watch(v.t, ctx, s.URL)
	v.prepare(p)
	switch by {
	case "stranger":
		p.Open("/hello?language=" + v.language)
	case "long table":
		device := s.Ask(v.t, shoptest.Request{As: s.Office, Do: "POST /api/devices", Send: shoptest.Fields{"name": "Long table", "kind": "bench", "stations": []string{"fold", "tape", "pull_up"}, "language": v.language}, Status: 201})
		p.Open("/enter/" + device.At("code"))
		p.Do(chromedp.Click(chromedp.CSS(`form[action="/enter"] .main-action`)))
		p.Wait(`location.pathname === "/station/fold"`)
	case "":
		p.Open("/sign-in?language=" + v.language + "#" + url.PathEscape(s.Passphrase(v.t)))
		p.Wait(`["/", "/setup"].includes(location.pathname)`)
		if browser.Read[string](p, "location.pathname") == "/setup" {
			p.SetUp("Saltmarsh Workroom")
		}
	default:
		p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, cdpnet.SetExtraHTTPHeaders, cdpnet.SetExtraHTTPHeadersParams{Headers: cdpnet.Headers{"Authorization": "Bearer " + by}})
			return err
		}))
		p.Open("/board?language=" + v.language)
	}
	p.NewlyHeard()
	return p
}

// copied has the office make a copy of a shop, which then can be sent.
func copied(p *browser.Tab) {
	p.Open("/check")
	p.Do(chromedp.Click(chromedp.CSS(`form[action="/check/backup"] button`)))
	p.Wait(`location.search === "?did=backed_up"`)
}

// wanted are the pages whose names hold one of the words of TABLEHAND_PAGES ("board,screen"), all where it is empty.
func wanted(pages []page) []page {
	words := strings.Split(os.Getenv("TABLEHAND_PAGES"), ",")
	return slices.DeleteFunc(pages, func(pg page) bool {
		return !slices.ContainsFunc(words, func(word string) bool { return strings.Contains(pg.name, word) })
	})
}

// roomOrder is the file of an order with a window of every kind in one room.
func roomOrder(t *testing.T) string {
	t.Helper()
	file, err := os.ReadFile(filepath.Join(filepath.Dir(shoptest.ExampleFile), "../orderfile/room.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return string(file)
}

// longOrder is the file of an order of sixteen windows, made in six ways.
func longOrder(t *testing.T, id string) string {
	file := shoptest.OrderFile(t, id)
	for i := range 15 {
		file += fmt.Sprintf("  - {window: 2%02d, room: %d, heading: cartridge-tape, face_width: %d, finished_length: 84, face: reed, lining: sateen}\n", i, i+10, 40+i%5)
	}
	return file
}
