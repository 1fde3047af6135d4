package flows

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// numberShown is the number that stands large on the open page, as it is read: "126 1/2 in".
func numberShown(p *browser.Tab) string {
	p.T.Helper()
	return strings.ReplaceAll(p.Sees(".is-current .hero-number"), "\u2044", "/")
}

// drawingsShare is how much of a number's card its drawing has.
const drawingsShare = `(() => {
	const area = (e) => { const r = e.getBoundingClientRect(); return r.width * r.height; };
	return area(document.querySelector(".is-current .spot-drawing svg")) / area(document.querySelector(".is-current"));
})()`

// readsNumbers goes through a step's numbers one by one, by touch and by key, each with where on the cloth it is, and
// sees all of them at once by one key.
func readsNumbers(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel := f.Panels[0].Ticket
	s.WorkTo(t, panel, "tape")
	p := b.Tab(t, 360, 740, "/station/tape?ticket="+panel)
	st := s.Look(t, panel).Step
	var want []string
	for _, v := range st.Values {
		want = append(want, v.Name)
	}
	shown := func() string {
		return browser.Read[string](p, `document.querySelector(".is-current").dataset.move`)
	}
	for i, name := range want {
		if got := shown(); got != name {
			t.Fatalf("number %d is %s, want %s, in the order of the work", i+1, got, name)
		}
		if p.Sees(".is-current .move-do") == "" {
			t.Errorf("%s has no word of what to do", name)
		}
		if share := browser.Read[float64](p, drawingsShare); share < 0.4 {
			t.Errorf("the drawing of where %s is has %.0f %% of its card", name, 100*share)
		}
		if i+1 == len(want) {
			break
		}
		switch i % 3 {
		case 0:
			p.Do(chromedp.Click(chromedp.CSS(`[data-step="1"]`)))
		case 1:
			p.Do(chromedp.KeyEvent(kb.ArrowRight))
		case 2:
			p.Do(chromedp.Evaluate[chromedp.Void](`{ const m = document.querySelector("[data-moves]"), at = (type, x) => {
				const touch = new Touch({ identifier: 1, target: m, clientX: x, clientY: 200 });
				m.dispatchEvent(new TouchEvent(type, { bubbles: true, touches: type === "touchstart" ? [touch] : [], changedTouches: [touch] })); };
				at("touchstart", 300); at("touchend", 120); }`))
		}
	}
	if said := p.Sees("[data-said]"); !strings.Contains(said, fmt.Sprintf("%d of %d", len(want), len(want))) || !strings.Contains(said, "in") {
		t.Errorf("who can't see the number hears %q", said)
	}
	p.Do(chromedp.KeyEvent(kb.ArrowDown)) // all numbers
	if n := browser.Read[int](p, `[...document.querySelectorAll(".move")].filter((e) => e.checkVisibility()).length`); n != len(want) {
		t.Errorf("%d numbers are shown at once, want all %d", n, len(want))
	}
	p.Open("/station/tape?ticket=" + panel)
	if !browser.Read[bool](p, `!document.querySelector(".moves").classList.contains("one")`) {
		t.Error("the device forgets that its people know the numbers")
	}
	p.Do(chromedp.Click(chromedp.CSS("[data-all-numbers]")))
	if got := shown(); got != want[len(want)-1] {
		t.Errorf("back at one number, %s is shown, want the last one read, %s", got, want[len(want)-1])
	}
}

// keypad presses keys of the page's keypad.
func keypad(p *browser.Tab, keys ...string) {
	p.T.Helper()
	for _, k := range keys {
		p.Hit(fmt.Sprintf(`.keypad [data-key="%s"]`, k))
	}
}

// measuresByKeypad enters by the keypad: fractions make one value, the scale and the words say how it lies, and what
// can't be is refused where it is typed and never sent.
func measuresByKeypad(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel := f.Panels[0].Ticket
	s.WorkTo(t, panel, "fold")
	s.Start(t, s.Station, panel)
	p := b.Tab(t, 360, 740, "/station/fold?ticket="+panel)
	keyed := func() string { // the entry that the keypad stands by
		return browser.Read[string](p, `document.querySelector("#work .keypad:not([hidden])")?.closest("[data-entry]").dataset.entry ?? ""`)
	}
	value := func(name string) string {
		return browser.Read[string](p, fmt.Sprintf("document.getElementById('entry-%s').value", name))
	}
	told := func() string { return p.Sees("[data-entry=length_return] .told") }
	if keyed() != "" || browser.Read[bool](p, `document.getElementById("entry-length_return").checkVisibility()`) {
		t.Error("the keypad stands there before anybody has asked for it")
	}
	p.Other("length_return")
	if target := p.Beside(shoptest.Entry{Name: "length_return"}); target != "95 1/2 in" || keyed() != "length_return" {
		t.Fatalf("%s is asked, beside %s", keyed(), target)
	}
	for _, step := range []struct {
		keys          []string
		value, says   string
		within, taken bool
	}{
		{[]string{"9", "5"}, "95", "1/4 in under the limit", false, false},
		{[]string{"e4"}, "95 1/2", "as it should be", true, false},
		{[]string{"s"}, "95 9/16", "1/16 in over", true, false},
		{[]string{"back", "e6"}, "95 3/4", "1/4 in over", true, false},
		{[]string{"back", "back", "back"}, "", "Touch", false, false},
		{[]string{"e4"}, "1/2", "", false, false},
		{[]string{"next"}, "1/2", "", false, false}, // absurd
		{[]string{"back", "9", "5", "0", "next"}, "950", "", false, false},
		{[]string{"back", "e4", "next"}, "95 1/2", "", false, true},
	} {
		keypad(p, step.keys...)
		if got := value("length_return"); got != step.value {
			t.Errorf("%v gives %q, want %q", step.keys, got, step.value)
		}
		if got := told(); !step.taken && (!strings.Contains(got, step.says) || step.says == "" && got != "") {
			t.Errorf("%q: the page says %q, want %q", step.value, got, step.says)
		}
		if on := browser.Read[bool](p, `Boolean(document.querySelector("[data-entry=length_return].is-within"))`); on != step.within && !step.taken {
			t.Errorf("%q: within its tolerance: %v", step.value, on)
		}
		if went := keyed() != "length_return"; went != step.taken {
			t.Fatalf("%q: the keys stand by %q", step.value, keyed())
		}
	}
	if text := p.Sees("#answer"); !strings.Contains(text, "950") || !strings.Contains(text, "95 1/2") {
		t.Errorf("the absurd is refused by %q", text)
	}
	// Typed past the keypad it is not sent either.
	p.Other("length_middle")
	p.Do(chromedp.SendKeys(chromedp.CSS("#entry-length_middle"), "9.55"))
	p.Press(".bar .main-action", "refused")
	if text := p.Sees("#answer"); !strings.Contains(text, "9.55") {
		t.Errorf("a finish with an absurd value is refused by %q", text)
	}
	s.Expect(t, panel, "fold", "at_work")
}

// worksByScannerAlone takes a panel through a station with nothing but a scanner: its ticket, and key cards.
func worksByScannerAlone(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel := f.Panels[0].Ticket
	p := b.Tab(t, 1280, 800, "/station/joining")
	types := func(text string) { // a scanner types wherever the page has put the focus
		p.Do(chromedp.KeyEvent(text + "\r"))
	}
	types("HTTP://192.168.1.20:8080/T/" + panel)
	p.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, panel))
	st := s.Look(t, panel).Step
	first := numberShown(p)
	types("DO NUMBER")
	if second := numberShown(p); second == "" {
		t.Errorf("after %q the card shows %q", first, second)
	}
	for _, card := range []string{"DO KEY 9", "DO RUB OUT", "DO KEY 1", "DO KEY 2", "DO KEY 4", "DO EIGHTHS 4", "DO NEXT"} {
		types(card)
	}
	if got := browser.Read[string](p, "document.getElementById('entry-flat_width').value"); got != "124 1/2" {
		t.Fatalf("the key cards enter %q", got)
	}
	p.Unsaid()
	for range st.Acts {
		types("DO CHECK")
	}
	p.Answered("done")
	s.Expect(t, panel, "fold", "ready")
	if text := p.Sees("#answer"); !strings.Contains(text, "Next here") {
		t.Errorf("the next panel is not announced: %q", text)
	}
	p.Wait(`!document.querySelector("#work [data-entry], #work .checks")`)
	types("DO EIGHTHS 4") // nothing asks
	p.Answered("refused")
}
