package main

import (
	"fmt"
	"strings"

	"github.com/chromedp/chromedp"
)

// What a person's hands do at the open page of a station.

// scan types a ticket into the scan box as a keyboard scanner does, and waits until the page has answered.
func (p *tab) scan(text, answer string) {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren()`))
	p.do(chromedp.Focus(chromedp.CSS("#scan")), chromedp.KeyEvent(text+"\r"))
	p.wait(fmt.Sprintf("document.querySelector('#answer .said.%s')", answer))
}

// hit clicks something that may lie under what sticks to the foot of the page: as a person does, who moves it up first.
func (p *tab) hit(selector string) {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.querySelector(%q).scrollIntoView({block: "center", behavior: "instant"})`, selector)))
	p.do(chromedp.Click(chromedp.CSS(selector)))
}

// press clicks and waits for the page's answer.
func (p *tab) press(selector, answer string) {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren()`))
	p.do(chromedp.Click(chromedp.CSS(selector)))
	p.wait(fmt.Sprintf("document.querySelector('#answer .said.%s')", answer))
}

// fillIn types a measured value, or picks it where it is a choice.
func (p *tab) fillIn(e entry, value string) {
	p.t.Helper()
	p.turnTo(e.Name)
	if e.Kind == "choice" {
		p.hit(fmt.Sprintf(`#work input[name="measured.%s"][value="%s"]`, e.Name, value))
		return
	}
	p.do(chromedp.SendKeys(chromedp.CSS("#entry-"+e.Name), value))
}

// turnTo has the page ask for an entry, or for the "checks".
func (p *tab) turnTo(name string) {
	p.t.Helper()
	if read[bool](p, `Boolean(document.querySelector(".entry-tabs"))`) {
		p.hit(fmt.Sprintf(`[data-ask="%s"]`, name))
	}
}

// beside is the target that the page shows beside an entry, as a person would type it.
func (p *tab) beside(e entry) string {
	p.t.Helper()
	if e.Kind == "choice" {
		return e.Target
	}
	return strings.NewReplacer("\u2044", "/", "\u00a0", " ").Replace(p.sees("#entry-" + e.Name + "-target strong"))
}

// tick ticks every hand check of the open ticket.
func (p *tab) tick(st *step) {
	p.t.Helper()
	if len(st.Checks) > 0 {
		p.turnTo("checks")
	}
	for _, check := range st.Checks {
		p.hit(fmt.Sprintf(`#work input[name="check"][value="%s"]`, check.Name))
	}
}

// isEmpty holds the open ticket to asking and not suggesting: nothing is filled in, nothing ticked.
func (p *tab) isEmpty(st *step) {
	p.t.Helper()
	if n := read[int](p, `document.querySelectorAll('#work input:is([type="checkbox"], [type="radio"]):checked').length`); n != 0 {
		p.t.Errorf("%s: %d ticks before anybody has ticked", st.Station, n)
	}
	if n := read[int](p, `document.querySelectorAll('#work input[name="check"]').length`); n != len(st.Checks) {
		p.t.Errorf("%s: %d checks on the page, want %d", st.Station, n, len(st.Checks))
	}
	if filled := read[[]string](p, `[...document.querySelectorAll('#work input[name^="measured."]:not([type="radio"])')].map((f) => f.value).filter(Boolean)`); len(filled) > 0 {
		p.t.Errorf("%s: the entries start with %q, want them empty", st.Station, filled)
	}
	for _, e := range st.Enter {
		if e.Kind != "choice" && p.beside(e) == "" {
			p.t.Errorf("%s: no target stands beside %s", st.Station, e.Name)
		}
	}
}

// start scans a ticket that is ready and waits until it lies open at work.
func (p *tab) start(code string) {
	p.t.Helper()
	p.scan(code, "done")
	p.wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, code))
}

// work plays the open station's step of a ticket: scan, fill in what stands beside, tick, finish.
func (p *tab) work(s *shop, code string) {
	p.t.Helper()
	p.start(code)
	st := s.look(p.t, code).Step
	p.isEmpty(st)
	for _, e := range st.Enter {
		p.fillIn(e, p.beside(e))
	}
	p.tick(st)
	p.press(".bar .main-action", "done")
}
