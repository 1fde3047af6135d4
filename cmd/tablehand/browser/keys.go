package browser

import (
	"context"
	"fmt"
	"strings"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Keys presses keys where the focus is, as a keyboard does: a page that takes a key for itself leaves no character to
// what has the focus then.
func (p *Tab) Keys(keys string, with ...chromedp.Modifier) {
	p.T.Helper()
	for _, r := range keys {
		events := kb.Encode(r)
		down, up := *events[0], *events[len(events)-1]
		chromedp.KeyModifiers(with...)(&down)
		chromedp.KeyModifiers(with...)(&up)
		if len(events) == 3 && down.Modifiers&^int64(chromedp.ModifierShift) == 0 {
			down.Text, down.UnmodifiedText = events[1].Text, events[1].UnmodifiedText
		}
		p.Do(KeyEvent(down), KeyEvent(up))
	}
}

// KeyEvent is one event of a keyboard, to be done.
func KeyEvent(key input.DispatchKeyEventParams) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, input.DispatchKeyEvent, key)
		return err
	})
}

// TypeIn types into the field that has the focus, which must be that one, and goes on with Enter.
func (p *Tab) TypeIn(field, text string) {
	p.T.Helper()
	if at := p.Focus(); !strings.HasSuffix(at, field) {
		p.T.Fatalf("the focus is at %q, want %s", at, field)
	}
	p.Keys(text + "\r")
}

// Focus is the name of the field that has the focus, or what its button does.
func (p *Tab) Focus() string {
	p.T.Helper()
	return Read[string](p, `document.activeElement.tagName === "BUTTON" ? document.activeElement.value : document.activeElement.name || ""`)
}

// TabTo presses Tab until a button or field has the focus.
func (p *Tab) TabTo(field string) {
	p.T.Helper()
	for range 20 {
		if strings.HasSuffix(p.Focus(), field) {
			return
		}
		p.Keys("\t")
	}
	p.T.Fatalf("Tab never comes to %s", field)
}

// Enter goes to something by Tab, and through it by Enter, until what comes of that is there.
func (p *Tab) Enter(selector, comes string) {
	p.T.Helper()
	p.Reach(selector)
	p.Keys("\r")
	p.Wait(comes)
}

// Reach presses Tab until the focus is on what a selector names.
func (p *Tab) Reach(selector string) { p.T.Helper(); p.wander(selector) }

// Back is Reach with Shift: the other way round.
func (p *Tab) Back(selector string) { p.T.Helper(); p.wander(selector, chromedp.ModifierShift) }

func (p *Tab) wander(selector string, with ...chromedp.Modifier) {
	p.T.Helper()
	for range 150 {
		if Read[bool](p, fmt.Sprintf("Boolean(document.activeElement?.matches(%q))", selector)) {
			p.MustSee(selector)
			return
		}
		p.Keys("\t", with...)
		if why := Read[string](p, seen); why != "nowhere" { // the way round goes over the browser's own parts
			p.MustSee("on the way to " + selector)
		}
	}
	p.T.Fatalf("Tab never comes to %s\n%s", selector, Read[string](p, "document.body.innerText"))
}

// MustSee holds the focus to being somewhere, and seen.
func (p *Tab) MustSee(when string) {
	p.T.Helper()
	if why := Read[string](p, seen); why != "" {
		p.T.Errorf("%s, %s: the focus is %s", Read[string](p, "location.pathname"), when, why)
	}
}

// seen says what is wrong with where the focus is: nowhere, not marked by an outline, or under something else. A field
// may be marked at its label's side; what the skip link leads to is the page itself.
const seen = `(() => {
	const e = document.activeElement;
	if (!e || e === document.body || e === document.documentElement) return "nowhere";
	if (e.matches("main")) return "";
	const s = getComputedStyle(e), where = e.tagName + "." + e.className + "#" + e.id + " " + e.textContent.trim().slice(0, 30);
	if (!e.matches(":focus-visible") || s.outlineStyle === "none" || parseFloat(s.outlineWidth) < 2) return "not marked: " + where;
	const r = e.getBoundingClientRect();
	for (const [x, y] of [[.5, .5], [.1, .2], [.9, .2], [.1, .8], [.9, .8]]) {
		const over = document.elementFromPoint(r.x + r.width * x, r.y + r.height * y);
		if (over && (e.contains(over) || over.contains(e))) return "";
	}
	return "hidden: " + where;
})()`
