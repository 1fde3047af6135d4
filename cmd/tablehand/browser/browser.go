package browser

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

	"tablehand/cmd/tablehand/shoptest"
)

// Chromium is a running browser without a window.
type Chromium struct{ Ctx context.Context }

// Start starts a browser for the time of the test. On CI a missing Chromium is a failure.
func Start(t *testing.T) *Chromium {
	t.Helper()
	if testing.Short() && os.Getenv("CI") == "" {
		t.Skip("a browser takes long")
	}
	path := executable()
	if path == "" && os.Getenv("CI") != "" {
		t.Fatal("chromium is missing, and CI must have it")
	}
	if path == "" {
		t.Skip("there is no chromium here")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.UserDataDir(t.TempDir()), chromedp.DisableGPU, chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true), chromedp.WSURLReadTimeout(shoptest.Patience))
	process, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	ctx, closeFirst := chromedp.NewContext(process)
	t.Cleanup(closeFirst)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return &Chromium{Ctx: ctx}
}

// executable finds Chromium, "" where there is none: the build without windows of its own where it is, since the other draws
// its tab strip even when nobody sees it, which takes half of the time.
func executable() string {
	for _, name := range []string{"chromium-headless-shell", "chromium"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// Session is a person's browser at a shop; its tabs share the sign-in.
type Session struct {
	*shoptest.Shop
	Ctx context.Context
}

// SignIn opens a browser at the shop and signs in with the passphrase that serve printed.
func (c *Chromium) SignIn(t *testing.T, s *shoptest.Shop) *Session {
	t.Helper()
	ctx, leave := chromedp.NewContext(c.Ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(leave)
	b := &Session{Shop: s, Ctx: ctx}
	first := b.use(t, ctx, 1280, 800)
	first.Open("/sign-in#" + url.PathEscape(s.Passphrase(t)))
	first.Wait(`["/", "/setup"].includes(location.pathname)`)
	if Read[string](first, "location.pathname") == "/setup" {
		first.SetUp("Saltmarsh Workroom")
	}
	first.Do(chromedp.Navigate("about:blank")) // a browser keeps six connections to a server, and each page's stream takes one
	return b
}

// Tab is one page of the browser.
type Tab struct {
	T   *testing.T
	Ctx context.Context
	url string

	Traffic *Traffic // nil where nobody watches it
	Weighs  int      // bytes that its last load took

	mu       sync.Mutex
	troubles []string // what the console complained of
}

// Tab opens an address of the shop in a tab of its own.
func (b *Session) Tab(t *testing.T, width, height int64, path string) *Tab {
	t.Helper()
	ctx, closeTab := chromedp.NewContext(b.Ctx)
	t.Cleanup(closeTab)
	p := b.use(t, ctx, width, height)
	p.Open(path)
	return p
}

// use makes a tab of a browser's context and listens to its console. Nothing may be wrong there at the end.
func (b *Session) use(t *testing.T, ctx context.Context, width, height int64) *Tab {
	t.Helper()
	p := b.Listen(t, ctx, width, height)
	t.Cleanup(func() {
		for _, trouble := range p.Heard() {
			t.Errorf("console: %s", trouble)
		}
	})
	return p
}

// Listen makes a tab of a browser's context that notes what its console complains of.
func (b *Session) Listen(t *testing.T, ctx context.Context, width, height int64) *Tab {
	t.Helper()
	p := &Tab{T: t, Ctx: ctx, url: b.URL}
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
	p.Do(chromedp.EmulateViewport(width, height))
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

// Heard is what the console has complained of.
func (p *Tab) Heard() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.troubles)
}

// NewlyHeard is what the console has complained of since the last time.
func (p *Tab) NewlyHeard() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	said := p.troubles
	p.troubles = nil
	return said
}

func (p *Tab) complain(trouble string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.troubles = append(p.troubles, trouble)
}

func (p *Tab) Do(steps ...chromedp.Action[chromedp.Void]) {
	p.T.Helper()
	ctx, cancel := context.WithTimeout(p.Ctx, shoptest.Patience)
	defer cancel()
	for _, step := range steps {
		err := chromedp.Do(ctx, step)
		for isStale(err) && ctx.Err() == nil {
			err = chromedp.Do(ctx, step)
		}
		if err != nil {
			p.T.Fatalf("browser: %v", err)
		}
	}
}

// isStale reports whether what was to be clicked or typed into was replaced by a live page just before: nothing was done
// to it. A hand would meet what stands there now.
func isStale(err error) bool {
	return err != nil && slices.ContainsFunc(replaced, func(told string) bool { return strings.Contains(err.Error(), told) })
}

// replaced is how the browser tells of an element that is no longer in the page: when it is looked up, scrolled to, or its place asked.
var replaced = []string{"Could not find node with given id", "Node is detached from document", "Could not compute content quads"}

func (p *Tab) Open(path string) {
	p.T.Helper()
	p.Do(chromedp.Navigate(p.url + path))
	p.Wait("true") // a page before it may have been on its way to another one
}

// Read evaluates an expression in the page.
func Read[T any](p *Tab, expression string, with ...chromedp.EvaluateOption) T {
	p.T.Helper()
	ctx, cancel := context.WithTimeout(p.Ctx, shoptest.Patience)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, with...))
	if err != nil {
		p.T.Fatalf("browser: %s: %v", expression, err)
	}
	return value
}

// Wait waits until an expression is true in a page that is whole: before its scripts have run, a press would send a form by a
// page of its own. The empty page that a browser begins another with is complete, too.
func (p *Tab) Wait(condition string) {
	p.T.Helper()
	p.Until(condition, func() bool {
		ctx, cancel := context.WithTimeout(p.Ctx, shoptest.Patience)
		defer cancel()
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("document.readyState === 'complete' && Boolean(document.documentElement) && Boolean("+condition+")"))
		return err == nil && ok // an error: the page is changing
	})
}

// Until waits until something has come to be, and tells what the page shows when it never does.
func (p *Tab) Until(what string, is func() bool) {
	p.T.Helper()
	for deadline := time.Now().Add(shoptest.Patience); !is(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			p.T.Fatalf("the page never comes to %s\n%s", what, Read[string](p, "document.body.innerText"))
		}
	}
}

// Sees reports what a selector's first element says.
func (p *Tab) Sees(selector string) string {
	p.T.Helper()
	return Read[string](p, fmt.Sprintf("document.querySelector(%q)?.textContent.trim() ?? ''", selector))
}

// Stranger is a phone that has never been here.
func (c *Chromium) Stranger(t *testing.T, s *shoptest.Shop) *Tab {
	t.Helper()
	ctx, leave := chromedp.NewContext(c.Ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(leave)
	return (&Session{Shop: s, Ctx: ctx}).use(t, ctx, 360, 740)
}

// SetUp fills in what a new shop is asked: its first sign-in leads there.
func (p *Tab) SetUp(name string) {
	p.T.Helper()
	p.Wait(`document.querySelector('[name="zone"]')?.value`) // the browser's own
	p.Do(chromedp.SendKeys(chromedp.CSS(`[name="shop_name"]`), name), chromedp.Click(chromedp.CSS(`form[action="/setup"] .main-action`)))
	p.Wait(`location.pathname === "/check" && document.querySelector('.said')`)
}
