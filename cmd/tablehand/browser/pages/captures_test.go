package pages

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
	"tablehand/views/i18n"
)

// tallest is how far down a picture of a page goes, in px.
const tallest = 8000

// TestCaptures takes a picture of every page as a phone, a tablet, a desk and a wall show it, in each language, by day
// and by night, into the folder that TABLEHAND_SHOTS names, and lays them out on sheets and in an index.html.
// TABLEHAND_PAGES narrows it to pages whose names hold one of its words, TABLEHAND_SIZES to widths ("360,1280"),
// TABLEHAND_LANGUAGES to languages, TABLEHAND_SCHEMES to "light" or "dark".
func TestCaptures(t *testing.T) {
	dir := os.Getenv("TABLEHAND_SHOTS")
	switch {
	case dir == "" && os.Getenv("CI") == "":
		t.Skip("TABLEHAND_SHOTS names no folder for pictures")
	case dir == "": // nobody looks at them there, but they have to be made
		dir = t.TempDir()
		t.Setenv("TABLEHAND_PAGES", "hello")
		t.Setenv("TABLEHAND_SIZES", "360")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	c := browser.Start(t)
	demo := openDemo(t)
	b, visitors := openShops(t, c, chosen("TABLEHAND_LANGUAGES", i18n.Languages()), func(*browser.Tab) {})
	pages := slices.Concat(Office(t, b), Floor(t, b))
	for _, path := range []string{"/", "/orders", "/board", "/screen", "/ready"} { // of a week's work
		pages = append(pages, Page{name: "week-" + strings.Trim(path, "/"), path: path, shop: demo})
	}
	var all []capture
	for _, pg := range wanted(pages) {
		for _, v := range visitors {
			p := v.visit(pg)
			for _, l := range lookedAt(v.language) {
				shot := capture{page: pg.name, look: l}
				p.As(l)
				if err := os.WriteFile(filepath.Join(dir, shot.file()), picture(p), 0o644); err != nil {
					t.Fatal(err)
				}
				all = append(all, shot)
			}
		}
	}
	if err := laySheets(dir, all); err != nil {
		t.Fatal(err)
	}
	if len(all) == 0 {
		t.Fatal("no page was wanted, so no picture was taken")
	}
	for _, made := range []string{all[0].file(), "index.html"} {
		if got, err := os.Stat(filepath.Join(dir, made)); err != nil || got.Size() == 0 {
			t.Errorf("%s was not made: %v", made, err)
		}
	}
	t.Logf("%d pictures: open %s", len(all), filepath.Join(dir, "index.html"))
}

// openDemo serves the demo's week.
func openDemo(t *testing.T) *shoptest.Shop {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	return shoptest.ServeBy(t, dir, []string{"demo", "--listen", "127.0.0.1:0", "--data", dir})
}

// chosen are the words of a variable, or all there are.
func chosen(variable string, all []string) []string {
	if words := os.Getenv(variable); words != "" {
		return strings.Split(words, ",")
	}
	return all
}

// lookedAt are the looks at a page that are wanted of one language.
func lookedAt(language string) (all []browser.Look) {
	schemes := chosen("TABLEHAND_SCHEMES", []string{"light", "dark"})
	for _, size := range chosen("TABLEHAND_SIZES", []string{"360", "768", "1280", "1920"}) {
		width, err := strconv.ParseInt(size, 10, 64)
		if err != nil || browser.Heights[width] == 0 {
			continue
		}
		for _, dark := range []bool{false, true} {
			if l := (browser.Look{Language: language, Width: width, Dark: dark}); slices.Contains(schemes, l.Scheme()) {
				all = append(all, l)
			}
		}
	}
	return all
}

// capture is the picture of a page.
type capture struct {
	page string
	look browser.Look
}

func (c capture) file() string {
	return fmt.Sprintf("%s-%s-%d-%s.png", c.page, c.look.Language, c.look.Width, c.look.Scheme())
}

// picture takes a picture of the whole page, as a PNG.
func picture(p *browser.Tab) []byte {
	p.T.Helper()
	size := browser.Read[[]float64](p, `[document.documentElement.scrollWidth, document.documentElement.scrollHeight]`)
	got, err := chromedp.Run(p.Ctx, func(ctx context.Context, t *chromedp.Target) ([]byte, error) {
		beyond, fast := true, true
		res, err := cdp.Call(ctx, t, cdppage.CaptureScreenshot, cdppage.CaptureScreenshotParams{Format: cdppage.CaptureScreenshotFormatPng,
			Clip: &cdppage.Viewport{Width: size[0], Height: min(size[1], tallest), Scale: 1}, CaptureBeyondViewport: &beyond, OptimizeForSpeed: &fast})
		return res.Data, err
	})
	if err != nil {
		p.T.Fatalf("picture: %v", err)
	}
	return got
}
