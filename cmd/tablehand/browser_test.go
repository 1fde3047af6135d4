package main

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// The browser tests do what people do, in a real headless Chromium, and look at what the page then shows.

// TestBrowser plays its parts in one Chromium that they share; each signs in afresh, in a profile of its own.
func TestBrowser(t *testing.T) {
	c := startChromium(t)
	for _, part := range []struct {
		name string
		play func(*testing.T, *chromium)
	}{
		{"it hears the console", hearsTheConsole},
		{"a pair from file to invoice", playsAPair},
		{"out of tolerance", staysWithinTolerance},
		{"takes back", takesBack},
		{"works by cards", worksByCards},
		{"reads numbers", readsNumbers},
		{"measures by keypad", measuresByKeypad},
		{"works by a scanner alone", worksByScannerAlone},
		{"speaks to each", speaksToEach},
		{"says what is wrong", saysWhatIsWrong},
		{"a bad order file", showsBadLines},
		{"a new shop", setsUp},
		{"works by phone", worksByPhone},
		{"the work at the first glance", showsTheWork},
		{"catches up", catchesUp},
		{"keeps scans", keepsScans},
		{"many tabs", manyTabs},
	} {
		t.Run(part.name, func(t *testing.T) { part.play(t, c) })
	}
}

// chromium is a running browser without a window.
type chromium struct{ ctx context.Context }

// startChromium starts a browser for the time of the test. On CI a missing Chromium is a failure.
func startChromium(t *testing.T) *chromium {
	t.Helper()
	if testing.Short() && os.Getenv("CI") == "" {
		t.Skip("a browser takes long")
	}
	path, err := exec.LookPath("chromium")
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("chromium is missing, and CI must have it")
	}
	if err != nil {
		t.Skip("there is no chromium here")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.UserDataDir(t.TempDir()), chromedp.DisableGPU, chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true))
	process, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	ctx, closeFirst := chromedp.NewContext(process)
	t.Cleanup(closeFirst)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return &chromium{ctx: ctx}
}

// browser is a person's browser at a shop; its tabs share the sign-in.
type browser struct {
	*shop
	ctx context.Context
}

// signIn opens a browser at the shop and signs in with the passphrase that serve printed.
func (c *chromium) signIn(t *testing.T, s *shop) *browser {
	t.Helper()
	ctx, leave := chromedp.NewContext(c.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(leave)
	b := &browser{shop: s, ctx: ctx}
	first := b.use(t, ctx, 1280, 800)
	first.open("/sign-in#" + url.PathEscape(s.passphrase(t)))
	first.wait(`["/", "/setup"].includes(location.pathname)`)
	if read[string](first, "location.pathname") == "/setup" {
		first.setUp("Saltmarsh Workroom")
	}
	first.do(chromedp.Navigate("about:blank")) // a browser keeps six connections to a server, and each page's stream takes one
	return b
}

// tab is one page of the browser.
type tab struct {
	t   *testing.T
	ctx context.Context
	url string

	traffic *traffic // nil where nobody watches it
	weighs  int      // bytes that its last load took

	mu       sync.Mutex
	troubles []string // what the console complained of
}

// tab opens an address of the shop in a tab of its own.
func (b *browser) tab(t *testing.T, width, height int64, path string) *tab {
	t.Helper()
	ctx, closeTab := chromedp.NewContext(b.ctx)
	t.Cleanup(closeTab)
	p := b.use(t, ctx, width, height)
	p.open(path)
	return p
}

// use makes a tab of a browser's context and listens to its console. Nothing may be wrong there at the end.
func (b *browser) use(t *testing.T, ctx context.Context, width, height int64) *tab {
	t.Helper()
	p := b.listen(t, ctx, width, height)
	t.Cleanup(func() {
		for _, trouble := range p.heard() {
			t.Errorf("console: %s", trouble)
		}
	})
	return p
}

// listen makes a tab of a browser's context that notes what its console complains of.
func (b *browser) listen(t *testing.T, ctx context.Context, width, height int64) *tab {
	t.Helper()
	p := &tab{t: t, ctx: ctx, url: b.url}
	if err := chromedp.Do(ctx); err != nil { // the tab lives as long as the context of its first call
		t.Fatal(err)
	}
	err := chromedp.Listen(ctx, func(event any) {
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			p.complain("exception: " + e.ExceptionDetails.Text + " " + thrown(e.ExceptionDetails))
		case *runtime.EventConsoleAPICalled:
			if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
				p.complain("a script's own " + string(e.Type))
			}
		case *cdplog.EventEntryAdded:
			// What the network does, refusals among it, is what tests are about; but a page's own files must come.
			ours := e.Entry.Source != "network" || strings.Contains(e.Entry.URL, "/assets/") && !strings.Contains(e.Entry.Text, "net::")
			if (e.Entry.Level == "error" || e.Entry.Level == "warning") && ours {
				p.complain(string(e.Entry.Source) + ": " + e.Entry.Text + " " + e.Entry.URL)
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.EmulateViewport(width, height))
	return p
}

// thrown describes what a script threw.
func thrown(d *runtime.ExceptionDetails) string {
	if d.Exception == nil {
		return ""
	}
	first, _, _ := strings.Cut(d.Exception.Description, "\n")
	return fmt.Sprintf("%s at %s:%d", first, d.URL, d.LineNumber+1)
}

// hearsTheConsole holds these tests to their own ears: a script's exception, a breach of the content policy and a
// missing file of ours are each heard.
func hearsTheConsole(t *testing.T, c *chromium) {
	b := c.signIn(t, openShop(t))
	for trouble, script := range map[string]string{
		"exception":        `setTimeout(() => { throw new Error("thrown") })`,
		"script's own":     `console.error("said")`,
		"Content Security": `document.body.append(Object.assign(document.createElement("script"), {textContent: "1"}))`,
		"/assets/0/none":   `fetch("/assets/0/none.js")`,
	} {
		ctx, closeTab := chromedp.NewContext(b.ctx)
		defer closeTab()
		p := b.listen(t, ctx, 800, 600)
		p.open("/board")
		p.do(chromedp.Evaluate[chromedp.Void](script + "; undefined"))
		p.until("hear "+trouble, func() bool { return strings.Contains(strings.Join(p.heard(), "\n"), trouble) })
	}
}

// heard is what the console has complained of.
func (p *tab) heard() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.troubles)
}

// newlyHeard is what the console has complained of since the last time.
func (p *tab) newlyHeard() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	said := p.troubles
	p.troubles = nil
	return said
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

func (p *tab) open(path string) {
	p.t.Helper()
	p.do(chromedp.Navigate(p.url + path))
}

// read evaluates an expression in the page.
func read[T any](p *tab, expression string, with ...chromedp.EvaluateOption) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, with...))
	if err != nil {
		p.t.Fatalf("browser: %s: %v", expression, err)
	}
	return value
}

// wait waits until an expression is true in the page.
func (p *tab) wait(condition string) {
	p.t.Helper()
	p.until(condition, func() bool {
		ctx, cancel := context.WithTimeout(p.ctx, patience)
		defer cancel()
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("Boolean("+condition+")"))
		return err == nil && ok // an error: the page is changing
	})
}

// until waits until something has come to be, and tells what the page shows when it never does.
func (p *tab) until(what string, is func() bool) {
	p.t.Helper()
	for deadline := time.Now().Add(patience); !is(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			p.t.Fatalf("the page never comes to %s\n%s", what, read[string](p, "document.body.innerText"))
		}
	}
}

// sees reports what a selector's first element says.
func (p *tab) sees(selector string) string {
	p.t.Helper()
	return read[string](p, fmt.Sprintf("document.querySelector(%q)?.textContent.trim() ?? ''", selector))
}
