package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// everyPage are the addresses of every page, of a shop with one order on the floor and one draft.
func everyPage(t *testing.T, s *shop) (paths []string, atWork string) {
	t.Helper()
	f := s.release(t, "SMI-1", manyWindows("3")...)
	s.ask(t, request{as: s.office, do: "POST /api/orders", send: orderFile(t, "SMI-2"), status: 201})
	f.cutAll(t)
	s.workTo(t, f.panels[0].Ticket, "")
	draft := s.ask(t, request{as: s.office, do: "POST /api/invoices", status: 201,
		send: fields{"customer": "Saltmarsh Inn", "panels": []string{f.panels[0].Ticket}}}).at("draft")
	s.workTo(t, f.panels[1].Ticket, "tape")
	s.start(t, s.station, f.panels[1].Ticket)
	s.done(t, s.station, scan(f.panels[2].Ticket, "hold", "", "reason", "Flaw in the middle of the second width"), nil)
	atWork = f.panels[1].Ticket
	paths = []string{"/", "/orders", "/orders/SMI-1", "/orders/SMI-2", "/taking", "/orders/SMI-2/edit", "/board", "/screen", "/ready", "/prices", "/setup", "/settings", "/check?now=1", "/hello", "/invoices/" + draft,
		"/t/" + f.panels[0].Ticket, "/t/" + atWork, "/t/" + f.panels[2].Ticket, "/t/" + f.cutting[0].Ticket, "/t/00000000X", "/nowhere", "/sign-in",
		"/station/tape?ticket=" + atWork}
	for _, r := range routeSeen {
		paths = append(paths, "/station/"+r.key)
	}
	return paths, atWork
}

// fitsAPhone holds every page to a width of 360.
func fitsAPhone(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	paths, _ := everyPage(t, s)
	phone := b.tab(t, 360, 640, "/")
	fits := func(what string) {
		t.Helper()
		if wide := read[[]int](phone, "[innerWidth, document.documentElement.scrollWidth]"); wide[0] != 360 || wide[1] > 360 {
			t.Errorf("%s: %d px wide on a screen of %d, so it scrolls sideways", what, wide[1], wide[0])
		}
	}
	for _, path := range paths {
		phone.open(path)
		fits(path)
	}
	phone.open("/orders")
	phone.upload(writeFile(t, "bad.yaml", orderFile(t, "SMI-3", "face_width: 84", "face_widht: 84")))
	phone.wait(`document.querySelector('.source li.wrong')`)
	fits("an order file with problems")
}

// showsTheWork holds every station to showing its main action and its first number, both large, without scrolling.
func showsTheWork(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	phone := b.tab(t, 360, 640, "/")
	glance := func(path string) {
		t.Helper()
		phone.open(path)
		action := box(phone, ".main-action")
		if action.height < 48 || action.top < 0 || action.bottom > 640 {
			t.Errorf("%s: the main action is %v, want at least 48 px high and in view", path, action)
		}
		number := box(phone, ".hero-number")
		if size := read[float64](phone, `parseFloat(getComputedStyle(document.querySelector('.hero-number')).fontSize)`); size < 48 || number.top < 0 || number.bottom > action.top {
			t.Errorf("%s: the first number is set in %.0f px at %v, want at least 48 and in view above the action at %v", path, size, number, action)
		}
	}
	work := func(code, station string) {
		t.Helper()
		for _, path := range []string{"/station/" + station + "?ticket=" + code, "/t/" + code} {
			glance(path) // ready
		}
		st := s.start(t, s.station, code)
		for _, path := range []string{"/station/" + station + "?ticket=" + code, "/t/" + code} {
			glance(path) // at work
		}
		s.finish(t, s.station, code, st)
	}
	for _, piece := range f.cutting {
		work(piece.Ticket, "cutting")
	}
	for _, station := range routeSeen[1:] {
		work(f.panels[0].Ticket, station.key)
	}
}

type edges struct{ top, bottom, height float64 }

// box is where the first element of a selector lies, above the page when there is none.
func box(p *tab, selector string) edges {
	p.t.Helper()
	got := read[[]float64](p, fmt.Sprintf(`(() => { const r = document.querySelector(%q)?.getBoundingClientRect(); return r ? [r.top, r.bottom, r.height] : [-1, -1, 0]; })()`, selector))
	return edges{got[0], got[1], got[2]}
}

// TestScreenshots draws every page in three sizes into the folder that TABLEHAND_SHOTS names, to be looked at.
func TestScreenshots(t *testing.T) {
	dir := os.Getenv("TABLEHAND_SHOTS")
	if dir == "" {
		t.Skip("TABLEHAND_SHOTS names no folder for pictures")
	}
	s := openShop(t)
	b := startChromium(t).signIn(t, s)
	paths, _ := everyPage(t, s)
	for _, size := range [][2]int64{{360, 740}, {1280, 800}, {1920, 1080}} {
		p := b.tab(t, size[0], size[1], "/")
		for _, path := range paths {
			p.open(path)
			picture, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(100))
			if err != nil {
				t.Fatal(err)
			}
			name := fmt.Sprintf("%d%s.png", size[0], strings.NewReplacer("/", "_", "?", "_").Replace(path))
			if err := os.WriteFile(filepath.Join(dir, name), picture, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}
