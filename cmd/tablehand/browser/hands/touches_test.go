package hands

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// hand is somebody at a station's page, and counts what they do there: a ticket scanned, a touch of the glass, a key that takes
// something. Where they go by Tab isn't counted: the focus goes ahead by itself, and the test has it do so.
type hand struct {
	*browser.Tab
	scans, touches, keys int
}

func (h *hand) all() int { return h.scans + h.touches + h.keys }

// TestBrowserTouches takes right panels through every station, the first of a pair and its mate, by scanner and finger, by finger
// alone and by keys alone, on a phone's glass. Start and finish are counted: the last thing asked finishes a step. No station takes
// more than 6 but two with five measures, a panel by tape no more than 32, its mate 28, a lined one of pinch pleats 26.
func TestBrowserTouches(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	metric := []string{"units: in", "units: cm", "usable_width: 54\n    match_width: 53", "usable_width: 137\n    match_width: 134", "vertical_repeat: 13 1/2", "vertical_repeat: 34.5",
		"use: lining\n    usable_width: 54", "use: lining\n    usable_width: 137", "{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, top_drop: 1/4, end_margin: {nominal: 3/4, min: 1/2, max: 1}, trim_beyond: 1, insert_length: 12}",
		"{id: cart-4, period: 16.5, space: 6.5, height: 10, cords: 3, top_drop: 0.5, end_margin: {nominal: 2, min: 1, max: 3}, trim_beyond: 2.5, insert_length: 30}",
		"face_width: 84", "face_width: 213", "return: 3 1/2", "return: 9", "overlap: 6", "overlap: 15", "finished_length: 95 1/2", "finished_length: 242.5"}
	under := func(heading string, more ...string) []string {
		return append([]string{"heading: cartridge-tape", "heading: " + heading}, more...)
	}
	pinched := under("pinch-3")
	pole := func(heading string, more ...string) []string {
		return under(heading, append([]string{"    tape: cart-4\n", "", "    cord_end: wound\n", "", "treatments:\n", "rods: [{id: pole, diameter: 1, carrier_pitch: 3}]\ntreatments:\n"}, more...)...)
	}
	pencil := under("pencil-tape", "{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, top_drop: 1/4, end_margin: {nominal: 3/4, min: 1/2, max: 1}, trim_beyond: 1, insert_length: 12}", "{id: cart-4, kind: pencil, height: 3, cords: 3}")
	wave := under("wave-tape", "{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, top_drop: 1/4, end_margin: {nominal: 3/4, min: 1/2, max: 1}, trim_beyond: 1, insert_length: 12}",
		"{id: cart-4, kind: wave, height: 3, pocket_pitch: 3/4, pockets: 8}", "treatments:\n", "rods: [{id: track, kind: track, carrier_pitch: 3}]\ntreatments:\n")
	for _, way := range []struct {
		name, by string
		most     [2]int // of the first of a pair, and of its mate
		quick    bool
		changes  []string
	}{
		{"TAPED", "scanner", [2]int{32, 28}, true, nil}, {"TAPED-K", "keys", [2]int{32, 28}, false, nil}, {"TAPED-F", "finger", [2]int{32, 28}, false, nil},
		{"PINCHED", "finger", [2]int{26, 26}, true, pinched}, {"PINCHED-K", "keys", [2]int{26, 26}, true, pinched}, {"METRIC", "scanner", [2]int{32, 28}, false, metric},
		{"BOXED", "finger", [2]int{26, 26}, false, under("box")}, {"BOXED-K", "keys", [2]int{26, 26}, false, under("box")}, {"GOBLETS", "scanner", [2]int{28, 28}, false, under("goblet")},
		{"LOOPS", "finger", [2]int{26, 26}, false, under("cartridge-hand")}, {"PINCH-TAPE", "keys", [2]int{30, 28}, false, under("pinch-tape", "{id: cart-4,", "{id: cart-4, kind: pinch,")},
		{"EYELETS", "keys", [2]int{26, 26}, false, pole("eyelet")}, {"TABS", "finger", [2]int{26, 26}, false, pole("tab")}, {"RINGS", "scanner", [2]int{26, 26}, false, pole("ring")},
		{"POCKETS", "finger", [2]int{26, 26}, false, pole("rod-pocket", "finished_length: 95 1/2", "finished_length: 95 1/2\n    pocket: {stand: 1}")},
		{"PENCIL", "keys", [2]int{30, 28}, false, pencil}, {"WAVES", "scanner", [2]int{30, 28}, false, wave},
	} {
		if !way.quick && !browser.Everything() {
			continue
		}
		f := s.Release(t, way.name, way.changes...)
		if way.by == "scanner" {
			for _, piece := range f.Cutting {
				passes(t, b, piece.Ticket, way.by)
			}
		} else {
			f.CutAll(t)
		}
		for i, panel := range f.Panels[:2] {
			sum, stations := 0, 0
			for at := s.Look(t, panel.Ticket).Step; at != nil; at = s.Look(t, panel.Ticket).Step {
				n := passes(t, b, panel.Ticket, way.by)
				if n > mostAt(at.Station) {
					t.Errorf("%s by %s: %s takes %d", way.name, way.by, at.Station, n)
				}
				sum += n
				stations++
			}
			t.Logf("%s %s by %s: %d", way.name, panel.Panel, way.by, sum)
			if state := s.Look(t, panel.Ticket).State; state != "finished" || stations < 4 || sum > way.most[i] {
				t.Errorf("%s %s by %s: after %d stations and %d touches it is %s, want at most %d", way.name, panel.Panel, way.by, stations, sum, state, way.most[i])
			}
		}
	}
}

// mostAt is how many touches a panel may take at a station: one to start, one for each measure, one for each act. Where tabs or a pocket are
// sewn, a first panel has five measures, three lengths and two of what holds it: each is taken at a place of its own on the cloth, so none of
// them can be had by another's touch.
func mostAt(station string) int {
	if station == "tabs" || station == "rod_pocket" {
		return 7
	}
	return 6
}

// passes takes a ticket through the station that it waits at, where it is the next, and returns what that took.
func passes(t *testing.T, b *browser.Session, code, by string) int {
	t.Helper()
	station := b.Look(t, code).Step.Station
	h := &hand{Tab: b.Tab(t, 360, 740, "/station/"+station)}
	if by != "keys" {
		h.Do(chromedp.EmulateViewport(360, 740, chromedp.EmulateTouch, chromedp.EmulateMobile))
	}
	h.Do(chromedp.Evaluate[chromedp.Void](`window.neverLoadedAgain = true; undefined`))
	h.open(code, by)
	if before := b.Look(t, code).Step; before.State == "ready" { // what is measured before the work: the last of it starts it
		h.Unsaid()
		for _, e := range before.Enter {
			h.measure(e, by)
		}
		h.Answered("done")
	}
	h.works(b, code, station, by)
	if !browser.Read[bool](h.Tab, "window.neverLoadedAgain === true") || browser.Read[string](h.Tab, "location.pathname") != "/station/"+station {
		t.Errorf("%s: the page has gone on to %s", station, browser.Read[string](h.Tab, "location.href"))
	}
	h.Do(chromedp.Navigate("about:blank")) // a browser keeps six connections to a server, and each page's stream takes one
	return h.all()
}

// works does what the page asks of the ticket that lies open at work, until its step is finished.
func (h *hand) works(b *browser.Session, code, station, by string) {
	t := h.T
	t.Helper()
	h.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"][data-station="%s"]')`, code, station))
	st := b.Look(t, code).Step
	if filled := browser.Read[int](h.Tab, `[...document.querySelectorAll('#work [name^="measured."]')].filter((f) => f.type === "radio" ? f.checked : f.value).length + document.querySelectorAll('#work [type=checkbox]:checked, #work [aria-pressed=true]').length`); filled > 0 {
		t.Errorf("%s: %d things are filled in before a hand has touched anything", station, filled)
	}
	h.Unsaid()
	for _, e := range st.Asked() {
		h.measure(e, by)
	}
	for _, act := range st.Acts {
		if slices.ContainsFunc(st.Asked(), func(e shoptest.Entry) bool { return e.Name == act.With }) {
			continue // it is made with the choice
		}
		tile := fmt.Sprintf(`#work .act:has([value=%q])`, act.Checks[0])
		if by == "keys" {
			h.key(tile, " ")
		} else {
			h.touch(tile + " .act-tile")
		}
	}
	if browser.Read[bool](h.Tab, `Boolean(document.querySelector(".finish-once"))`) { // by the list of cuts: a button says that all is cut
		h.touch(".finish-once")
	}
	h.Answered("done")
	after := b.Look(t, code)
	if after.Step != nil && after.Step.Station == station || after.State == "held" {
		t.Errorf("%s: after all touches it is %s", station, after.State)
	}
	t.Logf("%-9s by %-7s %d scans, %d touches, %d keys for %d measures and %d checks", station, by, h.scans, h.touches, h.keys, len(st.Asked()), len(st.Checks))
}

// TestBrowserTouchesAtOneBench: a tablet at a bench of three stations takes a panel through them by one scan. After each finish its page
// lies open at the next, says so in its title and head, and has Undo in the band; one touch starts that.
func TestBrowserTouchesAtOneBench(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel, mate := f.Panels[0].Ticket, f.Panels[1].Ticket
	own := []string{"joining", "fold", "tape"}
	device := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/devices", Send: shoptest.Fields{"name": "Long table", "kind": "bench", "stations": own}, Status: 201})
	tablet := c.Stranger(t, s)
	tablet.Do(chromedp.EmulateViewport(768, 1024, chromedp.EmulateTouch, chromedp.EmulateMobile))
	tablet.Open("/enter/" + device.At("code"))
	tablet.Do(chromedp.Click(chromedp.CSS(`form[action="/enter"] .main-action`)))
	tablet.Wait(`location.pathname === "/station/joining" && document.querySelector("#scan")`)
	h := &hand{Tab: tablet}
	office := c.SignIn(t, s)
	h.Do(chromedp.Evaluate[chromedp.Void](`window.neverLoadedAgain = true; undefined`))
	h.open(panel, "scanner")
	for i, station := range own {
		before := h.all()
		if i > 0 {
			h.Unsaid()
			h.touch(`.bar .main-action[value="start"]`)
			h.Answered("done")
		}
		h.works(office, panel, station, "finger")
		if n := h.all() - before; n > 6 {
			t.Errorf("%s takes %d touches", station, n)
		}
		if i+1 < len(own) {
			h.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="ready"][data-station="%s"]') && document.querySelector('.bench-top .undo:not([hidden])')`, panel, own[i+1]))
			h.Wait(`document.querySelector('.own[aria-current] span').textContent === document.querySelector('.ticket-head .at strong').textContent`)
		}
	}
	if h.scans != 1 || h.all() > 15 || !browser.Read[bool](h.Tab, "window.neverLoadedAgain === true") {
		t.Errorf("three stations take %d scans and %d touches, want 1 and at most 15 on one page", h.scans, h.touches)
	}
	for _, name := range []string{"Joining & hems", "Heading fold", "Tape sewing"} {
		if !browser.Read[bool](h.Tab, fmt.Sprintf(`document.title.includes(%[1]q) && document.querySelector("h1").textContent.includes(%[1]q) && document.querySelector('label[for="scan"]').textContent.includes(%[1]q)`, name)) {
			t.Errorf("title, head and scan box don't all say %s", name)
		}
	}
	h.touch(".bench-top .undo") // the last finish
	h.Wait(`document.querySelector('#open article[data-state="at_work"][data-station="tape"]')`)
	h.Wait(fmt.Sprintf(`document.querySelector('#queue a[href="/station/joining?ticket=%s"] .at')`, mate))
	h.open(mate, "scanner") // at another of its stations: head, title and where a form comes back to follow
	h.Wait(fmt.Sprintf(`document.querySelector('.own[aria-current]').textContent.includes("Joining") && document.querySelector('[type="hidden"][name="next"]').value.endsWith("ticket=%s")`, mate))
}

// open begins a ticket: its code is read by a scanner or typed, which is one thing to do, or the finger starts the next.
func (h *hand) open(code, by string) {
	h.T.Helper()
	if by == "finger" {
		h.Unsaid()
		h.touch(fmt.Sprintf(`.start-next:has(input[value="%s"]) .main-action`, code))
		h.Answered("done")
	} else {
		h.Scan(code, "done")
		h.scans++
	}
	h.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"]')`, code))
}

// measure takes what is asked: one touch where the cloth ends, of a count or of a choice; by keys one where the focus has gone.
func (h *hand) measure(e shoptest.Entry, by string) {
	h.T.Helper()
	entry := fmt.Sprintf(`[data-entry=%q]`, e.Name)
	value := strings.TrimSpace(strings.TrimRight(h.Beside(e), "cimn")) // as it is written beside the field, without its unit
	switch {
	case by == "keys":
		h.Wait(fmt.Sprintf("document.activeElement?.closest(%q)", entry))
		if held := browser.Read[string](h.Tab, `(() => { const e = document.activeElement.closest("[data-entry]"); document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", repeat: true, bubbles: true, cancelable: true }));
			return e.querySelector("input:not([type=radio], [type=checkbox])")?.value ?? ""; })()`); held != "" {
			h.T.Errorf("a key held down measures %s as %q", e.Name, held)
		}
		h.key(entry, map[bool]string{true: " ", false: "\r"}[e.Kind == "choice"])
	case e.Kind == "choice":
		h.touch(fmt.Sprintf(`#work label:has(input[name="measured.%s"][value="%s"])`, e.Name, value))
	case e.Kind == "count":
		h.touch(entry + fmt.Sprintf(` [data-count="%s"]`, value))
	default:
		h.touch(entry + " .ruler .wanted")
	}
	if e.Kind == "choice" {
		return
	}
	got := browser.Read[string](h.Tab, fmt.Sprintf(`document.getElementById("entry-%s")?.value ?? ""`, e.Name))
	between := strings.HasSuffix(value, "/32") || strings.HasPrefix(value, "≈ ") // of two marks of the rule: it is read at one of them, and is within
	if within := browser.Read[bool](h.Tab, fmt.Sprintf(`Boolean(document.querySelector(%q))`, entry+".is-within")); got != "" && strings.TrimSpace(got) != value && !(between && within) {
		h.T.Errorf("one touch of %s makes %q, want %q", e.Name, got, value)
	}
}

// key presses a key where the focus has gone by itself, by a keyboard's own events: a character sent apart from its key would press
// the button that the focus goes on to.
func (h *hand) key(within, key string) {
	h.T.Helper()
	h.Wait(fmt.Sprintf("document.activeElement?.closest(%q)", within))
	h.Keys(key)
	h.keys++
}

// touch taps what a finger must be able to hit: it is seen, nothing lies over it, and its middle is on the glass.
func (h *hand) touch(selector string) {
	h.T.Helper()
	h.Wait(fmt.Sprintf("document.querySelector(%q)?.checkVisibility()", selector))
	at := browser.Read[[]float64](h.Tab, fmt.Sprintf(`(() => { const e = document.querySelector(%q), of = e.closest(".ruler") ?? e; e.scrollIntoView({ block: "center", behavior: "instant" });
		const r = e.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
		return of.contains(document.elementFromPoint(x, y)) ? [x, y] : []; })()`, selector))
	if len(at) == 0 {
		h.T.Fatalf("no finger gets at %s\n%s", selector, browser.Read[string](h.Tab, "document.body.innerText"))
	}
	h.Do(chromedp.TapXY(at[0], at[1]))
	h.touches++
}
