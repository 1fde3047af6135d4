package main

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// The browser tests do what people do, in a real headless Chromium, and look at what the page then shows.

// browser is one browser that has signed in at a shop; its tabs share the sign-in as a person's do.
type browser struct {
	*shop
	ctx context.Context
}

// openBrowser starts Chromium and signs in at the shop. On CI a missing Chromium is a failure.
func openBrowser(t *testing.T, s *shop) *browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("chromium is missing, and CI must have it")
	}
	if err != nil || testing.Short() {
		t.Skip("no Chromium here, or a short run")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("no-first-run", true))
	process, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	ctx, closeFirst := chromedp.NewContext(process)
	t.Cleanup(closeFirst)
	b := &browser{shop: s, ctx: ctx}
	first := b.use(t, ctx, 1280, 800)
	first.open(s.url + "/sign-in#" + url.PathEscape(s.passphrase(t)))
	first.wait(`location.pathname === "/"`)
	return b
}

// tab is one page of the browser.
type tab struct {
	t   *testing.T
	ctx context.Context
	url string

	mu       sync.Mutex
	troubles []string // what the console complained of
}

// tab opens an address of the shop in a tab of its own.
func (b *browser) tab(t *testing.T, width, height int64, path string) *tab {
	t.Helper()
	ctx, closeTab := chromedp.NewContext(b.ctx)
	t.Cleanup(closeTab)
	p := b.use(t, ctx, width, height)
	p.open(b.url + path)
	return p
}

// use makes a tab of a browser's context and listens to its console. Nothing may be wrong there at the end.
func (b *browser) use(t *testing.T, ctx context.Context, width, height int64) *tab {
	t.Helper()
	p := &tab{t: t, ctx: ctx, url: b.url}
	if err := chromedp.Do(ctx); err != nil { // the tab lives as long as the context of its first call
		t.Fatal(err)
	}
	p.do(chromedp.EmulateViewport(width, height))
	err := chromedp.Listen(ctx, func(event any) {
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			p.complain("exception: " + e.ExceptionDetails.Text)
		case *cdplog.EventEntryAdded:
			// What the network does, refusals among it, is what tests are about.
			if e.Entry.Level == "error" && e.Entry.Source != "network" {
				p.complain(string(e.Entry.Source) + ": " + e.Entry.Text)
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		for _, trouble := range p.troubles {
			t.Errorf("console: %s", trouble)
		}
	})
	return p
}

func (p *tab) complain(trouble string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.troubles = append(p.troubles, trouble)
}

func (p *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.t.Fatalf("browser: %v", err)
	}
}

func (p *tab) open(address string) {
	p.t.Helper()
	if strings.HasPrefix(address, "/") {
		address = p.url + address
	}
	p.do(chromedp.Navigate(address))
}

// read evaluates an expression in the page.
func read[T any](p *tab, expression string) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.t.Fatalf("browser: %s: %v", expression, err)
	}
	return value
}

// wait waits until an expression is true in the page.
func (p *tab) wait(condition string) {
	p.t.Helper()
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(25 * time.Millisecond) {
		ctx, cancel := context.WithTimeout(p.ctx, patience)
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("Boolean("+condition+")"))
		cancel()
		if err == nil && ok { // an error: the page is changing
			return
		}
	}
	p.t.Fatalf("the page never comes to %s\n%s", condition, read[string](p, "document.body.innerText"))
}

// sees reports what a selector's first element says.
func (p *tab) sees(selector string) string {
	p.t.Helper()
	return read[string](p, fmt.Sprintf("document.querySelector(%q)?.textContent.trim() ?? ''", selector))
}

// scan types a ticket into the scan box as a keyboard scanner does, and waits until the page has answered.
func (p *tab) scan(text, answer string) {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren()`))
	p.do(chromedp.Focus(chromedp.CSS("#scan")), chromedp.KeyEvent(text+"\r"))
	p.wait(fmt.Sprintf("document.querySelector('#answer .said.%s')", answer))
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
	if e.Kind == "choice" {
		p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.querySelector('#work input[name="measured.%s"][value="%s"]').click()`, e.Name, value)))
		return
	}
	p.do(chromedp.SendKeys(chromedp.CSS("#entry-"+e.Name), value))
}

// tick ticks every hand check of the open ticket.
func (p *tab) tick() {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll('#work input[name="check"]').forEach((c) => c.click())`))
}

// isEmpty holds the open ticket to asking and not suggesting: nothing filled in, nothing ticked, targets beside.
func (p *tab) isEmpty(st *step) {
	p.t.Helper()
	if n := read[int](p, `document.querySelectorAll('#work input[type="checkbox"]:checked, #work input[type="radio"]:checked').length`); n != 0 {
		p.t.Errorf("%s: %d ticks before anybody has ticked", st.Station, n)
	}
	if n := read[int](p, `document.querySelectorAll('#work input[name="check"]').length`); n != len(st.Checks) {
		p.t.Errorf("%s: %d checks on the page, want %d", st.Station, n, len(st.Checks))
	}
	for _, e := range st.Enter {
		if e.Kind == "choice" {
			continue
		}
		if value := read[string](p, fmt.Sprintf("document.getElementById('entry-%s').value", e.Name)); value != "" {
			p.t.Errorf("%s: %s starts as %q, want it empty", st.Station, e.Name, value)
		}
		whole, _, _ := strings.Cut(strings.TrimRight(e.Target, "inmc"), ".")
		if target := p.sees("#entry-" + e.Name + "-target"); whole != "0" && !strings.Contains(target, whole) {
			p.t.Errorf("%s: beside %s stands %q, want its target %s", st.Station, e.Name, target, e.Target)
		}
	}
}

// start scans a ticket that is ready and waits until it lies open at work.
func (p *tab) start(code string) {
	p.t.Helper()
	p.scan(code, "done")
	p.wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, code))
}

// work plays the open station's step of a ticket: scan, fill in, tick, finish.
func (p *tab) work(s *shop, code string) {
	p.t.Helper()
	p.start(code)
	st := s.look(p.t, code).Step
	p.isEmpty(st)
	for _, e := range st.Enter {
		p.fillIn(e, e.Target)
	}
	p.tick()
	p.press(".bar .main-action", "done")
}
