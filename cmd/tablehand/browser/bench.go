package browser

import (
	"fmt"
	"strings"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/shoptest"
)

// What a person's hands do at the open page of a station.

// Scan types a ticket into the scan box as a keyboard scanner does, and waits until the page has answered.
func (p *Tab) Scan(text, answer string) {
	p.T.Helper()
	p.Unsaid()
	p.Do(chromedp.Focus(chromedp.CSS("#scan")))
	p.Keys(text + "\r")
	p.Answered(answer)
}

// Answered waits until the band says how what was done last has ended. Empty it before the act: the event stream may bring what was
// done before its answer is there.
func (p *Tab) Answered(answer string) {
	p.T.Helper()
	p.Wait(fmt.Sprintf("document.querySelector('#answer .said.%s')", answer))
}

// Hit clicks something that may lie under what sticks to the foot of the page: as a person does, who moves it up first.
func (p *Tab) Hit(selector string) {
	p.T.Helper()
	p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.querySelector(%q).scrollIntoView({block: "center", behavior: "instant"})`, selector)))
	p.Do(chromedp.Click(chromedp.CSS(selector)))
}

// Press clicks and waits for the page's answer.
func (p *Tab) Press(selector, answer string) {
	p.T.Helper()
	p.Unsaid()
	p.Do(chromedp.Click(chromedp.CSS(selector)))
	p.Answered(answer)
}

// FillIn types a measured value behind "Other value", or picks it where it is a choice. Where that is the last thing asked, it
// finishes the step.
func (p *Tab) FillIn(e shoptest.Entry, value string) {
	p.T.Helper()
	if e.Kind == "choice" {
		p.Hit(fmt.Sprintf(`#work input[name="measured.%s"][value="%s"]`, e.Name, value))
		return
	}
	p.Other(e.Name)
	// Keys go to whatever has the focus: typed into an element, they would be typed twice where the page is fetched meanwhile.
	p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`(() => { const f = document.getElementById("entry-%s"); f.value = ""; f.focus(); })()`, e.Name)))
	p.Keys(value + "\r")
}

// Other brings the field and the keypad of an entry, where its script has put them away.
func (p *Tab) Other(name string) {
	p.T.Helper()
	if !Read[bool](p, fmt.Sprintf(`document.getElementById("entry-%s").checkVisibility()`, name)) {
		p.Hit(fmt.Sprintf(`[data-entry="%s"] [data-other]`, name))
	}
}

// Beside is the target that the page shows beside an entry, as a person would type it.
func (p *Tab) Beside(e shoptest.Entry) string {
	p.T.Helper()
	if e.Kind == "choice" {
		return e.Target
	}
	return strings.NewReplacer("\u2044", "/", "\u00a0", " ").Replace(p.Sees("#entry-" + e.Name + "-target strong"))
}

// Tick confirms every act of the open ticket that isn't yet: the last one finishes the step, where all is measured.
func (p *Tab) Tick() {
	p.T.Helper()
	for _, check := range Read[[]string](p, `[...document.querySelectorAll('#work .act:has([data-all]:not(:checked)) [name="check"]:first-of-type')].map((c) => c.value)`) {
		if act := fmt.Sprintf(`#work .act:has([value=%q]) [data-all]`, check); !Read[bool](p, fmt.Sprintf(`document.querySelector(%q)?.checked ?? true`, act)) {
			p.Hit(act)
		}
	}
}

// Finishes waits until what finished a step is answered; where something was asked about first, it presses on.
func (p *Tab) Finishes(answer string) {
	p.T.Helper()
	p.Wait(fmt.Sprintf("document.querySelector('#answer .said.%s') || document.querySelector('.bar .beyond:not([hidden])')", answer))
	if Read[bool](p, `Boolean(document.querySelector('.bar .beyond:not([hidden])'))`) {
		p.Hit(".bar .main-action")
	}
	p.Answered(answer)
}

// Unsaid empties the band, so that its next answer isn't taken for the last.
func (p *Tab) Unsaid() {
	p.T.Helper()
	p.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren()`))
}

// IsEmpty holds the open ticket to asking and not suggesting: nothing is filled in, nothing ticked.
func (p *Tab) IsEmpty(st *shoptest.Step) {
	p.T.Helper()
	if n := Read[int](p, `document.querySelectorAll('#work input:is([type="checkbox"], [type="radio"]):checked').length`); n != 0 {
		p.T.Errorf("%s: %d ticks before anybody has ticked", st.Station, n)
	}
	if n := Read[int](p, `document.querySelectorAll('#work input[name="check"]').length`); n != len(st.Checks) {
		p.T.Errorf("%s: %d checks on the page, want %d", st.Station, n, len(st.Checks))
	}
	if filled := Read[[]string](p, `[...document.querySelectorAll('#work input[name^="measured."]:not([type="radio"])')].map((f) => f.value).filter(Boolean)`); len(filled) > 0 {
		p.T.Errorf("%s: the entries start with %q, want them empty", st.Station, filled)
	}
	for _, e := range st.Asked() {
		if e.Kind != "choice" && p.Beside(e) == "" {
			p.T.Errorf("%s: no target stands beside %s", st.Station, e.Name)
		}
	}
}

// Start scans a ticket that is ready, measures what its page asks before it is begun, and waits until it lies open at
// work.
func (p *Tab) Start(code string) {
	p.T.Helper()
	p.Scan(code, "done")
	p.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"]')`, code))
	if names := Read[[]string](p, `[...document.querySelectorAll('#open article[data-state="ready"] #work [data-entry]')].map((e) => e.dataset.entry)`); len(names) > 0 {
		p.Unsaid()
		for _, name := range names {
			e := shoptest.Entry{Name: name}
			p.FillIn(e, p.Beside(e))
		}
		p.Finishes("done")
	}
	p.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, code))
}

// Work plays the open station's step of a ticket: scan, fill in what stands beside, tick, finish.
func (p *Tab) Work(s *shoptest.Shop, code string) {
	p.T.Helper()
	p.Start(code)
	st := s.Look(p.T, code).Step
	p.IsEmpty(st)
	p.Unsaid()
	for _, e := range st.Asked() {
		p.FillIn(e, p.Beside(e))
	}
	p.Tick()
	if Read[bool](p, `Boolean(document.querySelector(".finish-once"))`) { // cut by the list: that all of it is cut is said by a button
		p.Do(chromedp.Click(chromedp.CSS(".finish-once")))
	}
	p.Finishes("done")
}

// Finish is the button that finishes a step: its main one, or where the next cut is that, the one for who cuts by the list.
const Finish = ".finish-once, article:not(:has(.finish-once)) .bar .main-action"

// Stands is true on the shop screen when it names the panel at the station: at work, held, or next.
func Stands(station, panel string) string {
	return fmt.Sprintf(`[...document.querySelectorAll('.told')].some((e) => e.querySelector('.at').textContent === %q && `+
		`e.textContent.includes('Bay, left') && [...e.querySelectorAll('.side')].some((s) => s.textContent.trim() === %q))`, station, panel)
}

// Upload gives the orders page a file.
func (p *Tab) Upload(file string) {
	p.T.Helper()
	p.Do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}), chromedp.Click(chromedp.CSS(`form[enctype] button`)))
}
