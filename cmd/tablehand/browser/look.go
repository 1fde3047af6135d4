package browser

import (
	"context"
	_ "embed"
	"fmt"
	"os"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdpnet "github.com/chromedp/cdproto/network"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

//go:embed look.js
var LookScript string

// Everything reports whether this is the long tier.
func Everything() bool { return os.Getenv("TABLEHAND_LONG") != "" }

// FaultsSeen tells of each fault where it was seen.
type FaultsSeen map[string][]string

func (f FaultsSeen) Add(where string, faults []string) {
	for _, fault := range faults {
		f[fault] = append(f[fault], where)
	}
}

// Bring has a script in every page of the tab before the page's own. It comes by the browser, not by the page, so the
// page's content policy stays as it is.
func (p *Tab) Bring(script string) {
	p.T.Helper()
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, cdpnet.SetCacheDisabled, cdpnet.SetCacheDisabledParams{CacheDisabled: true}) // each load is a first one
		return err
	}))
}

// Edges are where something lies in the window, in px.
type Edges struct{ Top, Bottom, Height float64 }

// Box is where the first element of a selector lies, above the page when there is none.
func Box(p *Tab, selector string) Edges {
	p.T.Helper()
	got := Read[[]float64](p, fmt.Sprintf(`(() => { const r = document.querySelector(%q)?.getBoundingClientRect(); return r ? [r.top, r.bottom, r.height] : [-1, -1, 0]; })()`, selector))
	return Edges{got[0], got[1], got[2]}
}

// Look is how a page is looked at.
type Look struct {
	Language string
	Width    int64
	Dark     bool
}

func (l Look) String() string {
	return fmt.Sprintf("%s, %d px, %s", l.Language, l.Width, l.Scheme())
}

// Scheme is the colours' name, as a browser knows it.
func (l Look) Scheme() string {
	if l.Dark {
		return "dark"
	}
	return "light"
}

// Heights of the screens that are so wide, in px.
var Heights = map[int64]int64{320: 640, 360: 740, 768: 1024, 1280: 800, 1920: 1080, 3840: 2160}

// As has the page shown as it is looked at, on a screen as high as the page, so that nothing that sticks to an edge
// lies over anything. Nothing moves meanwhile: a change of colours would fade.
func (p *Tab) As(l Look) {
	p.T.Helper()
	p.Do(chromedp.EmulateViewport(l.Width, Heights[l.Width]), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: l.Scheme()}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
		return err
	}))
	p.drawn()
	if high := Read[int64](p, "document.documentElement.scrollHeight"); high > Heights[l.Width] {
		p.Do(chromedp.EmulateViewport(l.Width, high))
		p.drawn()
	}
}

// drawn waits until the page has been drawn at its new size, which its own scripts hear of then. A tab behind another
// isn't drawn, so the wait has an end.
func (p *Tab) drawn() {
	p.T.Helper()
	Read[bool](p, "new Promise((done) => { setTimeout(() => done(true), 500); requestAnimationFrame(() => requestAnimationFrame(() => done(true))); })", chromedp.EvalAwaitPromise)
}

// Many is how often something is done: in the long tier, or else.
func Many(long, quick int) int {
	if os.Getenv("TABLEHAND_LONG") != "" {
		return long
	}
	return quick
}
