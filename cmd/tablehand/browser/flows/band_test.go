package flows

import (
	"fmt"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// hearTones notes the pitches that a page sounds.
const hearTones = `window.tones = [];
	window.AudioContext = class { currentTime = 0; destination = {}; resume() {}
		createOscillator() { return { frequency: { set value(pitch) { tones.push(pitch); } }, connect: (to) => to, start() {}, stop() {} }; }
		createGain() { return { gain: { setValueAtTime() {}, exponentialRampToValueAtTime() {} }, connect() {} }; } };`

// band is what the band across the top shows and sounds: somebody a step away goes by each of these alone.
type band struct {
	State, Word, Shape, Colour, Outline string
	Top, Bottom, Left, Right            float64
	Tones                               []int
	Text                                string
}

const bandShown = `(() => { const top = document.querySelector(".bench-top"), said = document.querySelector("#answer .said"), shape = said.querySelector(".shape"), s = getComputedStyle(shape);
	const rects = [...said.querySelectorAll(":scope > *")].map((e) => e.getBoundingClientRect()), seen = rects.every((r) => r.width > 0 && top.contains(document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2)));
	return { state: said.className.replace("said ", ""), word: said.querySelector(".word").textContent, shape: shape.textContent, colour: getComputedStyle(top).backgroundColor, outline: s.borderRadius + " " + s.clipPath,
		top: seen ? Math.min(...rects.map((r) => r.top)) : -1, bottom: Math.max(...rects.map((r) => r.bottom)), left: Math.min(...rects.map((r) => r.left)), right: Math.max(...rects.map((r) => r.right)),
		tones: tones.splice(0), text: top.textContent }; })()`

// answersInTheBand does everything that a bench is answered for, on a phone and on a tablet: each answer stays wholly in
// view wherever the page is scrolled, moves nothing, and says its state by word, shape, colour and sound.
func answersInTheBand(t *testing.T, c *browser.Chromium) {
	languages := []string{"en"}
	if browser.Everything() {
		languages = append(languages, "es")
	}
	for _, language := range languages {
		for _, width := range []int64{360, 768} {
			t.Run(fmt.Sprintf("%s at %d px", language, width), func(t *testing.T) { answers(t, c, language, width) })
		}
	}
}

func answers(t *testing.T, c *browser.Chromium, language string, width int64) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1", shoptest.ManyWindows("2")...)
	f.CutAll(t)
	panel, other := f.Panels[0].Ticket, f.Panels[1].Ticket
	s.WorkTo(t, f.Panels[2].Ticket, "fold")
	p := b.Tab(t, width, browser.Heights[width], "/hello")
	p.Bring(hearTones + watchShifts)
	p.Open("/station/joining")
	if language != "en" {
		p.Hit(fmt.Sprintf(`.tongues [value=%q]`, language))
		p.Wait(fmt.Sprintf(`document.documentElement.lang === %q`, language))
	}
	seen := map[string]band{}
	answered := func(what, state string) {
		t.Helper()
		for _, to := range []string{"0", "document.body.scrollHeight"} {
			p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf("scrollTo({ top: %s, behavior: 'instant' })", to)))
			got := browser.Read[band](p, bandShown)
			if len(got.Tones) == 0 {
				got.Tones = seen[what].Tones
			}
			got.Tones = got.Tones[max(0, len(got.Tones)-2):] // each outcome has two
			seen[what] = got
			if got.State != state || got.Top < 0 || got.Bottom > float64(browser.Heights[width]) || got.Left < 0 || got.Right > float64(width) {
				t.Errorf("%s: the band says %+v, want %s and wholly in view", what, got, state)
			}
			if state != "done" && slices.Contains([]rune(got.Text), '✓') {
				t.Errorf("%s: the band has a tick: %s", what, got.Text)
			}
		}
	}
	press := func(selector, answer string) {
		t.Helper()
		p.Hit(selector)
		p.Wait("document.querySelector('#answer .said." + answer + "')")
	}
	before := func() { // an answer that was there before isn't taken for the new one
		t.Helper()
		p.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren(); tones.length = 0`))
	}

	p.Scan(panel, "done")
	p.Wait(`document.querySelector('#open article[data-state="at_work"]')`)
	answered("start", "done")
	before()
	press(".bar .main-action", "refused")
	answered("missing check", "refused")
	before()
	press(".bench-top .undo", "done")
	answered("undo", "done")
	p.Scan(f.Panels[2].Ticket, "refused")
	answered("wrong ticket", "refused")
	p.Open("/station/joining?ticket=" + panel)
	p.Hit(".hold-link")
	before()
	press(`#hold [value="size"]`, "held")
	answered("hold", "held")
	s.Done(t, s.Station, shoptest.Scan(panel, "resume", ""), nil)
	s.Start(t, s.Station, panel)
	s.Expect(t, panel, "joining", "at_work")
	p.Open("/station/joining?ticket=" + panel)
	before()
	p.Tick()
	p.Do(chromedp.Evaluate[chromedp.Void](`window.sent = 0; document.addEventListener("submit", () => { sent++; }, true)`))
	for _, e := range s.Look(t, panel).Step.Enter {
		p.FillIn(e, "140")
	}
	p.Wait(`document.querySelector(".bar .beyond:not([hidden])")`)
	if sent := browser.Read[int](p, "sent"); sent > 0 {
		t.Errorf("a value beyond its limit is confirmed by the Enter that typed it")
	}
	p.Finishes("held")
	answered("out of tolerance", "held")
	s.Expect(t, panel, "joining", "held")
	p.Work(s, other)
	answered("finish", "done")

	for i, one := range []string{"finish", "hold", "wrong ticket"} {
		for _, two := range []string{"finish", "hold", "wrong ticket"}[i+1:] {
			a, b := seen[one], seen[two]
			if a.Word == b.Word || a.Shape == b.Shape || a.Colour == b.Colour || a.Outline == b.Outline || len(a.Tones) == 0 || slices.Equal(a.Tones, b.Tones) {
				t.Errorf("%s and %s are told alike: %+v, %+v", one, two, a, b)
			}
		}
	}
	for _, pair := range [][2]string{{"hold", "out of tolerance"}, {"wrong ticket", "missing check"}, {"start", "finish"}, {"start", "undo"}} {
		a, b := seen[pair[0]], seen[pair[1]]
		if a.Colour != b.Colour || a.Shape != b.Shape || !slices.Equal(a.Tones, b.Tones) {
			t.Errorf("%s and %s are of one kind and are told apart: %+v, %+v", pair[0], pair[1], a, b)
		}
	}
}
