package pages

import (
	"context"
	"net/url"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	cdpnet "github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

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
func (v *visitor) visit(pg Page) *browser.Tab {
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

// openShops opens the busy shop and an empty one, and returns one who visits them in each of the languages.
func openShops(t *testing.T, c *browser.Chromium, languages []string, prepare func(*browser.Tab)) (*BusyShop, []*visitor) {
	t.Helper()
	s, empty := shoptest.OpenSecure(t), shoptest.Open(t)
	var visitors []*visitor
	for _, language := range languages {
		visitors = append(visitors, newVisitor(t, c, s, language, prepare))
	}
	visitors[0].enter(empty, "") // which sets it up
	copied(visitors[0].enter(s, ""))
	return fillShop(t, s, empty), visitors
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
