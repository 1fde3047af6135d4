package hands

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// hand is somebody at a station's page who has a scanner and a finger, and counts what they do.
type hand struct {
	*browser.Tab
	scans, taps int // of tickets; of buttons
	ticks, keys int // of checks; of the keypad, and choices
}

// TestBrowserTouches takes a panel through every station by scanner and finger, on a phone's glass: two touches where
// nothing is entered, a third where the cloth is measured before it is cut, one more for each check and the keys of each
// measure, and never another page.
func TestBrowserTouches(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	metric := []string{"units: in", "units: cm", "usable_width: 54\n    match_width: 53", "usable_width: 137\n    match_width: 134", "vertical_repeat: 13 1/2", "vertical_repeat: 34.5",
		"use: lining\n    usable_width: 54", "use: lining\n    usable_width: 137", "{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, top_drop: 1/4, end_margin: {nominal: 3/4, min: 1/2, max: 1}, trim_beyond: 1, insert_length: 12}",
		"{id: cart-4, period: 16.5, space: 6.5, height: 10, cords: 3, top_drop: 0.5, end_margin: {nominal: 2, min: 1, max: 3}, trim_beyond: 2.5, insert_length: 30}",
		"face_width: 84", "face_width: 213", "return: 3 1/2", "return: 9", "overlap: 6", "overlap: 15", "finished_length: 95 1/2", "finished_length: 242.5"}
	for _, route := range []struct {
		name         string
		scans, quick bool // a scanner is there; or all is done by touch
		changes      []string
	}{{"TAPED", true, true, nil}, {"PINCHED", false, true, []string{"heading: cartridge-tape", "heading: pinch-3"}}, {"METRIC", true, false, metric}} {
		if !route.quick && !browser.Everything() {
			continue
		}
		f := s.Release(t, route.name, route.changes...)
		for _, piece := range f.Cutting {
			passes(t, b, piece.Ticket, route.scans)
		}
		panel := f.Panels[0].Ticket
		stations := 0
		for s.Look(t, panel).Step != nil {
			passes(t, b, panel, route.scans)
			stations++
		}
		if state := s.Look(t, panel).State; state != "finished" || stations < 6 {
			t.Errorf("%s: after %d stations the panel is %s", route.name, stations, state)
		}
	}
}

// passes takes a ticket through the station that it waits at, where it is the next, and holds the hand to its count.
func passes(t *testing.T, b *browser.Session, code string, scans bool) {
	t.Helper()
	station := b.Look(t, code).Step.Station
	h := &hand{Tab: b.Tab(t, 360, 740, "/station/"+station)}
	h.Do(chromedp.EmulateViewport(360, 740, chromedp.EmulateTouch, chromedp.EmulateMobile))
	h.Do(chromedp.Evaluate[chromedp.Void](`window.neverLoadedAgain = true; undefined`))
	before := h.open(code, scans)
	asked := 0
	for _, e := range before { // what is measured before the work goes along with its start
		asked += h.measure(station, e)
	}
	if len(before) > 0 {
		h.touch(&h.taps, ".bar .main-action")
	}
	h.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, code))
	st := b.Look(t, code).Step
	for _, e := range st.Asked() {
		asked += h.measure(station, e)
	}
	for _, check := range st.Checks {
		h.touch(&h.ticks, fmt.Sprintf(`#work label:has(input[name="check"][value="%s"])`, check.Name))
	}
	h.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren()`))
	h.touch(&h.taps, browser.Finish)
	h.Wait("document.querySelector('#answer .said.done')")
	after := b.Look(t, code)
	if after.Step != nil && after.Step.Station == station || after.State == "held" {
		t.Errorf("%s: after all touches it is %s", station, after.State)
	}
	if !browser.Read[bool](h.Tab, "window.neverLoadedAgain === true") || browser.Read[string](h.Tab, "location.pathname") != "/station/"+station {
		t.Errorf("%s: the page has gone on to %s", station, browser.Read[string](h.Tab, "location.href"))
	}
	most := 2
	if len(before) > 0 {
		most = 3
	}
	if h.scans+h.taps > most || h.ticks != len(st.Checks) || h.keys != asked {
		t.Errorf("%s: %d scans and %d taps, want at most %d; %d of %d checks; %d keys of measures, want %d", station, h.scans, h.taps, most, h.ticks, len(st.Checks), h.keys, asked)
	}
	t.Logf("%-9s %d scan, %d tap, %d checks, %d keys for %d measures", station, h.scans, h.taps, h.ticks, h.keys, len(st.Enter))
	h.Do(chromedp.Navigate("about:blank")) // a browser keeps six connections to a server, and each page's stream takes one
}

// open begins a ticket by scanner or finger, and returns what its page measures before.
func (h *hand) open(code string, scans bool) []shoptest.Entry {
	h.T.Helper()
	if scans {
		h.Scan(code, "done")
		h.scans++
	} else {
		h.touch(&h.taps, fmt.Sprintf(`.start-next:has(input[value="%s"]) .main-action`, code))
	}
	h.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"]')`, code))
	var before []shoptest.Entry
	for _, name := range browser.Read[[]string](h.Tab, `[...document.querySelectorAll('#open article[data-state="ready"] #work [data-entry]')].map((e) => e.dataset.entry)`) {
		before = append(before, shoptest.Entry{Name: name, Kind: "length"})
	}
	return before
}

// measure types what stands beside an entry on the keypad, or picks it, and returns how many keys that should take.
func (h *hand) measure(station string, e shoptest.Entry) (keys int) {
	h.T.Helper()
	value := strings.TrimSpace(strings.TrimRight(h.Beside(e), "cimn")) // as it is written beside the field, without its unit
	if e.Kind == "choice" {
		h.touch(&h.keys, fmt.Sprintf(`#work label:has(input[name="measured.%s"][value="%s"])`, e.Name, value))
		return 1
	}
	h.Wait(fmt.Sprintf(`document.querySelector('[data-entry="%s"]:not([hidden])')`, e.Name)) // it asks for that by itself
	typed := keysOf(value)
	for _, key := range typed {
		h.touch(&h.keys, fmt.Sprintf(`[data-key="%s"]`, key))
	}
	if got := browser.Read[string](h.Tab, fmt.Sprintf(`document.getElementById("entry-%s").value`, e.Name)); strings.TrimSpace(got) != value {
		h.T.Errorf("%s: the keys %v make %q of %s, want %q", station, typed, got, e.Name, value)
	}
	h.touch(&h.keys, `[data-key="next"]`)
	return len(typed) + 1
}

// touch taps what a finger must be able to hit: it is seen, nothing lies over it, and its middle is on the glass.
func (h *hand) touch(count *int, selector string) {
	h.T.Helper()
	h.Wait(fmt.Sprintf("document.querySelector(%q)?.checkVisibility()", selector))
	at := browser.Read[[]float64](h.Tab, fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.scrollIntoView({ block: "nearest", behavior: "instant" });
		let r = e.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
		if (!e.contains(document.elementFromPoint(x, y))) { e.scrollIntoView({ block: "center", behavior: "instant" }); r = e.getBoundingClientRect(); x = r.x + r.width / 2; y = r.y + r.height / 2; }
		return e.contains(document.elementFromPoint(x, y)) ? [x, y] : []; })()`, selector))
	if len(at) == 0 {
		h.T.Fatalf("no finger gets at %s\n%s", selector, browser.Read[string](h.Tab, "document.body.innerText"))
	}
	h.Do(chromedp.TapXY(at[0], at[1]))
	*count++
}

var written = regexp.MustCompile(`^(\d*)(?:([.,])(\d+))?(?: ?(\d+)/(\d+))?$`)

// keysOf are the keys that write a value on the keypad: "48 3/16" is 4, 8, one eighth, and one sixteenth more.
func keysOf(value string) []string {
	parts := written.FindStringSubmatch(value)
	if parts == nil {
		return nil
	}
	keys := strings.Split(parts[1], "")
	if parts[1] == "" {
		keys = nil
	}
	if parts[2] != "" {
		keys = append(append(keys, "mark"), strings.Split(parts[3], "")...)
	}
	if parts[4] == "" {
		return keys
	}
	var num, den int
	fmt.Sscan(parts[4], &num)
	fmt.Sscan(parts[5], &den)
	sixteenths := num * 16 / den
	if sixteenths >= 2 {
		keys = append(keys, fmt.Sprintf("e%d", sixteenths/2))
	}
	if sixteenths%2 == 1 {
		keys = append(keys, "s")
	}
	return keys
}
