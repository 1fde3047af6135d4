package flows

import (
	_ "embed"
	"testing"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// showsTheWork holds every station to showing its main action and its first number, both large, without scrolling.
func showsTheWork(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	phone := b.Tab(t, 360, 640, "/")
	glance := func(path string) {
		t.Helper()
		phone.Open(path)
		action := browser.Box(phone, ".main-action")
		if action.Height < 48 || action.Top < 0 || action.Bottom > 640 {
			t.Errorf("%s: the main action is %v, want at least 48 px high and in view", path, action)
		}
		number := browser.Box(phone, ".is-current .hero-number")
		action.Top = min(action.Top, browser.Read[float64](phone, `document.querySelector(".keypad:not([hidden])")?.closest(".entries").getBoundingClientRect().top ?? 640`))
		if size := browser.Read[float64](phone, `parseFloat(getComputedStyle(document.querySelector('.is-current .hero-number')).fontSize)`); size < 48 || number.Top < 0 || number.Height == 0 || number.Bottom > action.Top {
			t.Errorf("%s: the first number is set in %.0f px at %v, want at least 48 and in view above what is pressed at %v", path, size, number, action)
		}
	}
	work := func(code, station string) {
		t.Helper()
		for _, path := range []string{"/station/" + station + "?ticket=" + code, "/t/" + code} {
			glance(path) // ready
		}
		st := s.Start(t, s.Station, code)
		for _, path := range []string{"/station/" + station + "?ticket=" + code, "/t/" + code} {
			glance(path) // at work
		}
		s.Finish(t, s.Station, code, st)
	}
	for _, piece := range f.Cutting {
		work(piece.Ticket, "cutting")
	}
	for _, station := range routeSeen[1:] {
		work(f.Panels[0].Ticket, station.key)
	}
}
