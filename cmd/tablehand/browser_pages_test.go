package main

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdpnet "github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"tablehand/views"
)

// page is a page of the shop in one of its states: its address, and what is done there before it is looked at.
type page struct {
	name string // also of its pictures
	path string
	by   string // who looks: "" the office, else "stranger", or the token of a device
	do   func(*tab)
	shop *shop // another than the busy one; nil: that
}

// busyShop fills a shop so that everything a page may show is there: panels at each station, ready, at work, held,
// out of tolerance, sent back, changed, remade and finished; orders at each state; a draft and an invoice.
type busyShop struct {
	*shop
	taped, pinched, revised, uncut *floor
	draft, invoice                 string
	remade                         string // the ticket that another was remade for
}

// fillShop makes the busy shop of an empty one.
func fillShop(t *testing.T, s *shop) *busyShop {
	t.Helper()
	b := &busyShop{shop: s}
	office := func(do string, send any, status int) answer {
		t.Helper()
		return s.ask(t, request{as: s.office, do: do, send: send, status: status})
	}
	office("PUT /api/prices", fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}, {"heading": "pinch-3", "panel": "38.50", "width": "16.00"}}}, 200)
	b.taped = s.release(t, "SMI-1", manyWindows("8")...)
	b.taped.cutAll(t)
	b.pinched = s.release(t, "SMI-2", "heading: cartridge-tape", "heading: pinch-3", "due: 2026-12-18", "due: 2026-01-05", "Bay, left", "Breakfast room, east wall")
	b.pinched.cutAll(t)
	office("POST /api/orders", orderFile(t, "SMI-3", "length: 40 yd", "length: 12 yd"), 201) // taken, and short of cloth
	office("POST /api/orders", orderFile(t, "SMI-4"), 201)
	office("POST /api/orders/SMI-4/cancel", fields{"reason": "House sold"}, 200)
	office("POST /api/orders", orderFile(t, "SMI-8", "customer: Saltmarsh Inn\n", ""), 201)
	b.uncut = s.release(t, "SMI-6", manyWindows("2")...)

	finished := []string{b.taped.nextPanel(t), b.taped.nextPanel(t), b.taped.nextPanel(t)}
	for _, code := range finished {
		s.workTo(t, code, "")
	}
	b.draft = office("POST /api/invoices", fields{"customer": "Saltmarsh Inn", "panels": finished[:1]}, 201).at("draft")
	issued := office("POST /api/invoices", fields{"customer": "Saltmarsh Inn", "panels": finished[1:2]}, 201).at("draft")
	b.invoice = office("POST /api/invoices/"+issued+"/issue", fields{}, 200).at("number")

	for _, station := range []string{"fold", "tape", "pull_up", "inserts", "pressing", "packing"} {
		b.startAt(t, b.taped.nextPanel(t), station)
	}
	b.startAt(t, b.pinched.panels[0].Ticket, "pleating")
	b.startAt(t, b.pinched.panels[1].Ticket, "tacking")

	out := b.taped.nextPanel(t) // out of tolerance
	s.workTo(t, out, "pull_up")
	s.finish(t, s.station, out, s.start(t, s.station, out), "finished_width", "52in")
	back := b.taped.nextPanel(t)
	s.workTo(t, back, "pull_up")
	s.done(t, s.station, scan(back, "send_back", "", "to", "fold", "reason", "The fold is a quarter short"), nil)
	held := b.taped.nextPanel(t)
	s.done(t, s.station, scan(held, "hold", "", "reason", "Flaw in the middle of the second width"), nil)

	b.revised = s.release(t, "SMI-5", manyWindows("2")...)
	b.revised.cutAll(t)
	s.workTo(t, b.revised.panels[0].Ticket, "tape")
	s.put(t, "SMI-5", "", orderFile(t, "SMI-5", append(manyWindows("2"), "finished_length: 95 1/2", "finished_length: 94")...))
	b.remade = b.revised.panels[1].Ticket
	s.done(t, s.station, scan(b.remade, "hold", "", "reason", "Scorched at the iron"), nil)
	s.done(t, s.office, scan(b.remade, "remake", "", "reason", "Scorched at the iron"), nil)
	return b
}

// startAt takes a panel to a station and starts it there.
func (b *busyShop) startAt(t *testing.T, code, station string) {
	t.Helper()
	b.workTo(t, code, station)
	b.start(t, b.station, code)
}

// everyPage returns every page of the shop in each of its states, those of an empty shop beside it, and those that
// devices without an office see.
func everyPage(t *testing.T, b *busyShop, empty *shop) []page {
	t.Helper()
	bad := writeFile(t, "bad.yaml", orderFile(t, "SMI-7", "face_width: 84", "face_widht: 84", "quantity: 1", "quantity: -1"))
	badPrices := writeFile(t, "prices.yaml", "currency: USD\nrows:\n  - {heading: cartridge-tape, panel: many}\n")
	pages := []page{
		{name: "home", path: "/"},
		{name: "home-unfolded", path: "/", do: openAll},
		{name: "orders", path: "/orders"},
		{name: "orders-bad-file", path: "/orders", do: func(p *tab) {
			p.upload(bad)
			p.wait(`document.querySelector('.source li.wrong')`)
		}},
		{name: "order", path: "/orders/SMI-1", do: openAll},
		{name: "order-short", path: "/orders/SMI-3"},
		{name: "order-nobodys", path: "/orders/SMI-8"},
		{name: "order-cancelled", path: "/orders/SMI-4"},
		{name: "order-revised", path: "/orders/SMI-5", do: openAll},
		{name: "order-rules", path: "/orders/SMI-1/rules"},
		{name: "order-edit", path: "/orders/SMI-1/edit", do: worked},
		{name: "order-change", path: "/orders/SMI-1/edit", do: changesLength},
		{name: "taking", path: "/taking"},
		{name: "taking-refused", path: "/taking", do: func(p *tab) {
			p.do(chromedp.Click(chromedp.CSS("#taking .bar .main-action")))
			p.wait(`document.querySelector('.ask.wrong')`)
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
		{name: "invoice", path: "/invoices/" + b.invoice},
		{name: "prices", path: "/prices"},
		{name: "prices-bad-file", path: "/prices", do: func(p *tab) {
			p.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{badPrices}), chromedp.Click(chromedp.CSS(`form[enctype] button`)))
			p.wait(`document.querySelector('.source li.wrong')`)
		}},
		{name: "setup", path: "/setup"},
		{name: "settings", path: "/settings", do: openAll},
		{name: "settings-refused", path: "/settings", do: func(p *tab) {
			p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('[name="zone"]').value = "Moon/Tycho"`))
			p.do(chromedp.Click(chromedp.CSS(`form[action="/settings"] .main-action`)))
			p.wait(`document.querySelector('[aria-invalid="true"]')`)
		}},
		{name: "check", path: "/check"},
		{name: "check-done", path: "/check?now=1"},
		{name: "hello", path: "/hello"},
		{name: "find", path: "/t"},
		{name: "not-found", path: "/nowhere"},
		{name: "no-such-ticket", path: "/t/00000000X"},
		{name: "sign-in", path: "/sign-in?next=/board", by: "stranger"},
		{name: "sign-in-wrong", path: "/sign-in", by: "stranger", do: func(p *tab) {
			p.do(chromedp.SendKeys(chromedp.CSS(`[name="passphrase"]`), "not the passphrase"), chromedp.Click(chromedp.CSS(`[data-signin] button`)))
			p.wait(`document.querySelector('.said.refused')`)
		}},
		{name: "help", path: "/help"},
		{name: "help-stranger", path: "/help/sign-in", by: "stranger"},
		{name: "help-bench", path: "/help", by: b.station},
		{name: "home-bench", path: "/", by: b.station},
		{name: "board-bench", path: "/board", by: b.station},
		{name: "screen-wall", path: "/screen", by: b.screen},
		{name: "not-for-a-bench", path: "/orders", by: b.station},
		{name: "ticket-uncut", path: "/t/" + b.uncut.panels[0].Ticket},
		{name: "ticket-cutting", path: "/t/" + b.uncut.cutting[0].Ticket},
		{name: "ticket-remade", path: "/t/" + b.remade, do: openAll},
		{name: "ticket-changed", path: "/t/" + b.revised.panels[0].Ticket, do: openAll},
		{name: "station-cutting-ready", path: "/station/cutting?ticket=" + b.uncut.cutting[0].Ticket},
		{name: "station-refused", path: "/station/tape", do: func(p *tab) { p.scan("000000000", "refused") }},
		{name: "station-empty", path: "/station/joining"},
	}
	for i, panel := range b.taped.panels[:b.taped.taken] {
		look := b.look(t, panel.Ticket)
		name := fmt.Sprintf("%d-%s", i, look.State)
		first := !slices.ContainsFunc(pages, func(pg page) bool {
			return strings.HasPrefix(pg.name, "ticket-") && strings.HasSuffix(pg.name, "-"+look.State)
		})
		if first || everything() { // a ticket's own page and a bench's differ little from the office's station
			pages = append(pages, page{name: "ticket-" + name, path: "/t/" + panel.Ticket})
		}
		if look.Step == nil {
			continue
		}
		station := "/station/" + look.Step.Station + "?ticket=" + panel.Ticket
		pages = append(pages, page{name: "station-" + look.Step.Station + "-" + name, path: station})
		if first || everything() {
			pages = append(pages, page{name: "bench-" + look.Step.Station + "-" + name, path: station, by: b.station, do: openAll})
		}
	}
	for _, panel := range b.taped.panels[:b.taped.taken] {
		if look := b.look(t, panel.Ticket); look.State == "at_work" {
			pages = append(pages, page{name: "station-" + look.Step.Station + "-filled", path: "/station/" + look.Step.Station + "?ticket=" + panel.Ticket, do: fillsIn})
		}
	}
	for _, panel := range b.pinched.panels {
		station := b.look(t, panel.Ticket).Step.Station
		pages = append(pages, page{name: "station-" + station, path: "/station/" + station + "?ticket=" + panel.Ticket})
	}
	for _, name := range views.HelpPages() {
		pages = append(pages, page{name: "help-" + name, path: "/help/" + name})
	}
	for _, path := range []string{"/", "/orders", "/board", "/screen", "/ready", "/prices", "/station/tape", "/check"} {
		pages = append(pages, page{name: strings.TrimSuffix("empty-"+strings.ReplaceAll(strings.Trim(path, "/"), "/", "-"), "-"), path: path, shop: empty})
	}
	return pages
}

// openAll unfolds what is folded away.
func openAll(p *tab) {
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach((d) => { d.open = true; })`))
}

// worked waits until the order form has its numbers.
func worked(p *tab) { p.wait(`document.querySelector('#results .numbers dl')`) }

// changesLength asks for another length and comes to the page that shows what that changes; nothing is changed yet.
func changesLength(p *tab) {
	worked(p)
	p.do(chromedp.Evaluate[chromedp.Void](`(() => { const e = document.querySelector('[name="treatments.0.finished_length"]'); e.value = "93"; e.dispatchEvent(new Event("input", {bubbles: true})); })()`))
	p.do(chromedp.Click(chromedp.CSS("#taking .bar .main-action")))
	p.wait(`document.querySelector('input[value="confirm"]')`)
}

// fillsIn fills in what a station asks for, and ticks its checks; nothing is sent.
func fillsIn(p *tab) {
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("#work [data-entry]").forEach((e) => {
		const choice = e.querySelector("input[type=radio]");
		if (choice) { choice.click(); return; }
		e.querySelector("input").value = e.querySelector(".target strong").textContent.replace("⁄", "/").replace(/[^0-9/., ].*/, "").trim();
		e.querySelector("input").dispatchEvent(new Event("input", { bubbles: true }));
	}); document.querySelectorAll("#work [name=check]").forEach((c) => { if (!c.checked) c.click(); })`))
}

// look is how a page is looked at.
type look struct {
	language string
	width    int64
	dark     bool
}

func (l look) String() string {
	return fmt.Sprintf("%s, %d px, %s", l.language, l.width, l.scheme())
}

// scheme is the colours' name, as a browser knows it.
func (l look) scheme() string {
	if l.dark {
		return "dark"
	}
	return "light"
}

// heights of the screens that are so wide, in px.
var heights = map[int64]int64{320: 640, 360: 740, 768: 1024, 1280: 800, 1920: 1080}

// as has the page shown as it is looked at, on a screen as high as the page, so that nothing that sticks to an edge
// lies over anything. Nothing moves meanwhile: a change of colours would fade.
func (p *tab) as(l look) {
	p.t.Helper()
	p.do(chromedp.EmulateViewport(l.width, heights[l.width]), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: l.scheme()}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
		return err
	}))
	if high := read[int64](p, "document.documentElement.scrollHeight"); high > heights[l.width] {
		p.do(chromedp.EmulateViewport(l.width, high))
	}
}

// visitor walks through the pages of its shops, in one language and one tab for each who looks.
type visitor struct {
	t        *testing.T
	chrome   *chromium
	busy     *shop
	language string
	tabs     map[string]*tab
	prepare  func(*tab) // a new tab
}

// newVisitor returns one who looks at the shops' pages in a language.
func newVisitor(t *testing.T, c *chromium, busy *shop, language string, prepare func(*tab)) *visitor {
	return &visitor{t: t, chrome: c, busy: busy, language: language, tabs: map[string]*tab{}, prepare: prepare}
}

// go opens a page in the tab of who looks at it, and does what is done there.
func (v *visitor) visit(pg page) *tab {
	v.t.Helper()
	s := pg.shop
	if s == nil {
		s = v.busy
	}
	key := s.url + pg.by
	p := v.tabs[key]
	if p == nil {
		p = v.enter(s, pg.by)
		v.tabs[key] = p
	}
	p.traffic.begin()
	p.open(pg.path)
	p.quiet()
	p.weighs, _ = p.traffic.sums()
	if pg.do != nil {
		pg.do(p)
		p.quiet()
	}
	return p
}

// enter opens a tab at a shop for who looks.
func (v *visitor) enter(s *shop, by string) *tab {
	v.t.Helper()
	ctx, leave := chromedp.NewContext(v.chrome.ctx, chromedp.WithNewBrowserContext())
	v.t.Cleanup(leave)
	b := &browser{shop: s, ctx: ctx}
	p := b.listen(v.t, ctx, 1280, 800)
	p.traffic = watch(v.t, ctx, s.url)
	v.prepare(p)
	switch by {
	case "stranger":
		p.open("/hello?language=" + v.language)
	case "":
		p.open("/sign-in?language=" + v.language + "#" + url.PathEscape(s.passphrase(v.t)))
		p.wait(`["/", "/setup"].includes(location.pathname)`)
		if read[string](p, "location.pathname") == "/setup" {
			p.setUp("Saltmarsh Workroom")
		}
	default:
		p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, cdpnet.SetExtraHTTPHeaders, cdpnet.SetExtraHTTPHeadersParams{Headers: cdpnet.Headers{"Authorization": "Bearer " + by}})
			return err
		}))
		p.open("/board?language=" + v.language)
	}
	p.newlyHeard()
	return p
}

// wanted are the pages whose names hold one of the words of TABLEHAND_PAGES ("board,screen"), all where it is empty.
func wanted(pages []page) []page {
	words := strings.Split(os.Getenv("TABLEHAND_PAGES"), ",")
	return slices.DeleteFunc(pages, func(pg page) bool {
		return !slices.ContainsFunc(words, func(word string) bool { return strings.Contains(pg.name, word) })
	})
}
