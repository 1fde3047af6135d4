package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestBrowserTaking plays the order form in a Chromium of its own, by the keyboard alone.
func TestBrowserTaking(t *testing.T) {
	c := startChromium(t)
	for _, part := range []struct {
		name string
		play func(*testing.T, *chromium)
	}{
		{"an order typed by keyboard", typesAnOrder},
		{"form and file follow each other", followsTheFile},
		{"every key is answered", answersEachKey},
	} {
		t.Run(part.name, func(t *testing.T) { part.play(t, c) })
	}
}

// keys presses keys where the focus is, as a keyboard does: a page that takes a key for itself leaves no character to
// what has the focus then.
func (p *tab) keys(keys string, with ...chromedp.Modifier) {
	p.t.Helper()
	for _, r := range keys {
		events := kb.Encode(r)
		down, up := *events[0], *events[len(events)-1]
		chromedp.KeyModifiers(with...)(&down)
		chromedp.KeyModifiers(with...)(&up)
		if len(events) == 3 && down.Modifiers&^int64(chromedp.ModifierShift) == 0 {
			down.Text, down.UnmodifiedText = events[1].Text, events[1].UnmodifiedText
		}
		p.do(press(down), press(up))
	}
}

func press(key input.DispatchKeyEventParams) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, input.DispatchKeyEvent, key)
		return err
	})
}

// in types into the field that has the focus, which must be that one, and goes on with Enter.
func (p *tab) in(field, text string) {
	p.t.Helper()
	if at := p.focus(); !strings.HasSuffix(at, field) {
		p.t.Fatalf("the focus is at %q, want %s", at, field)
	}
	p.keys(text + "\r")
}

// focus is the name of the field that has the focus, or what its button does.
func (p *tab) focus() string {
	p.t.Helper()
	return read[string](p, `document.activeElement.tagName === "BUTTON" ? document.activeElement.value : document.activeElement.name || ""`)
}

// tabTo presses Tab until a button or field has the focus.
func (p *tab) tabTo(field string) {
	p.t.Helper()
	for range 20 {
		if strings.HasSuffix(p.focus(), field) {
			return
		}
		p.keys("\t")
	}
	p.t.Fatalf("Tab never comes to %s", field)
}

// typesAnOrder types an order of two windows as on the phone: a tape, a length from the floor, a mistake that is
// told at its field and mended, the second window a copy that becomes a hand-set heading.
func typesAnOrder(t *testing.T, c *chromium) {
	s := openShop(t)
	p := c.signIn(t, s).tab(t, 1280, 900, "/taking")
	p.in("order", "SMI-1")
	p.in("customer", "Saltmarsh Inn")
	p.in("sidemark", "")
	p.in("due", "12182026")
	p.in("units", "")
	p.in("fabrics.0.id", "reed")
	p.in("fabrics.0.use", "")
	p.in("usable_width", "54")
	p.tabTo("add:fabrics.0.bolts")
	p.keys("\r")
	p.in(".bolts.1000.id", "R1")
	p.in(".length", "60 yd")
	p.tabTo("add:tapes")
	p.keys("\r")
	for _, f := range [][2]string{{".id", "cart-4"}, {".period", "6 1/2"}, {".space", "2 1/2"}, {".height", "4"}, {".cords", "3"}} {
		p.in(f[0], f[1])
	}
	p.in("treatments.0.window", "Bay, left")
	p.in(".room", "14")
	p.in(".quantity", "")
	p.in(".draw", "")
	p.in(".face_width", "8' 3x")
	p.wait(`document.querySelector('[id="f-treatments.0.face_width-told"]')?.textContent.includes("8' 3x")`)
	if wrong := read[string](p, `[...document.querySelectorAll("[aria-invalid]")].map((f) => f.name).join()`); wrong != "treatments.0.face_width" {
		t.Errorf("marked wrong: %s", wrong)
	}
	p.keys(kb.Tab, chromedp.ModifierShift)
	p.in(".face_width", "8' 3")
	p.in(".length_by", "f") // from the floor
	p.in(".hang.bearing_to_floor", "98 1/4")
	p.in(".hang.heading_above_bearing", "3/4")
	p.in(".hang.clearance", "1/2")
	p.in(".heading", "")
	p.in(".tape", "")
	p.in(".face", "")
	p.in(".lining", "")
	p.in(".return", "")
	p.in(".overlap", "")
	p.wait(`document.querySelector('.sum:not([hidden])')?.innerText.includes("98 1⁄2")`)
	p.wait(`document.querySelector('#results svg .pleat') && document.querySelectorAll('#results .numbers dl').length === 1`)

	p.in("copy:treatments.0", "")
	p.in("treatments.1002.window", "Bay, right") // what is copied is selected, so it is typed over
	p.in(".room", "15")
	p.in(".quantity", "")
	p.in(".draw", "")
	p.in(".face_width", "60")
	p.in(".length_by", "")
	p.in(".hang.bearing_to_floor", "")
	p.in(".hang.heading_above_bearing", "")
	p.in(".hang.clearance", "")
	p.keys(kb.ArrowDown + kb.ArrowDown)
	p.in(".heading", "")
	p.in(".fullness", "2 1/2")
	p.wait(`document.querySelector('[id="f-treatments.1002.fullness-told"]')`)
	p.keys(kb.Tab, chromedp.ModifierShift)
	p.in(".fullness", "2.5")
	p.keys(kb.PageUp)
	if at := p.focus(); at != "treatments.0.face" {
		t.Errorf("Page Up goes to %s", at)
	}
	p.wait(`document.querySelectorAll('#results .numbers dl').length === 2 && document.getElementById("taking").dataset.errors === "0"`)
	shown := read[string](p, `document.getElementById("source").value`)
	p.keys("\r", chromedp.ModifierCtrl)
	p.wait(`location.pathname === "/orders/SMI-1"`)

	byHand := strings.Join([]string{"order: SMI-2", "customer: Saltmarsh Inn", "due: 2026-12-18", "units: in", "fabrics:",
		"- {id: reed, use: face, usable_width: 54, bolts: [{id: R1, length: 60 yd}]}", "tapes:", "- {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}", "treatments:",
		"- {window: 'Bay, left', room: 14, heading: cartridge-tape, face_width: 99, finished_length: 98 1/2, face: reed}",
		"- {window: 'Bay, right', room: 15, heading: pinch-3, fullness: 2.5, face_width: 60, finished_length: 98 1/2, face: reed}"}, "\n")
	s.ask(t, request{as: s.office, do: "POST /api/orders", send: byHand, status: 201})
	if typed, written := s.numbersOf(t, "SMI-1"), s.numbersOf(t, "SMI-2"); typed != written {
		t.Errorf("typed it comes to\n%s\nwritten by hand to\n%s\nthe file:\n%s", typed, written, shown)
	}
	if said := p.sees(".window .sum"); !strings.Contains(said, "98 1") {
		t.Errorf("the order's page shows the sum as %q", said)
	}
}

// numbersOf is an order's work-up without what tells files apart.
func (s *shop) numbersOf(t *testing.T, order string) string {
	t.Helper()
	var w struct {
		Treatments, Totals json.RawMessage
	}
	s.ask(t, request{as: s.office, do: "GET /api/orders/" + order + "/workup", status: 200}).into(t, &w)
	return string(w.Treatments) + string(w.Totals)
}

// followsTheFile changes an order in the form and in the file by turns: each follows, nothing that only the file has
// is lost, and a page with unsaved work asks before it goes.
func followsTheFile(t *testing.T, c *chromium) {
	s := openShop(t)
	s.ask(t, request{as: s.office, do: "POST /api/orders", send: "# Ring first\n" + orderFile(t, "SMI-1"), status: 201})
	p := c.signIn(t, s).tab(t, 1280, 900, "/orders/SMI-1/edit")
	p.do(chromedp.Focus(chromedp.CSS(`[name="customer"]`)))
	p.keys("a", chromedp.ModifierCtrl)
	p.keys("Reed & Daughter")
	p.wait(`document.getElementById("source").value.includes("customer: Reed & Daughter")`)
	p.wait(`document.getElementById("source").value.startsWith("# Ring first")`)
	p.keys(kb.F4)
	p.in("treatments.1000.window", "Kitchen")
	p.wait(`document.getElementById("source").value.includes("- window: Kitchen")`)
	if told := p.sees(".ask.wrong"); told != "" {
		t.Errorf("told before anybody was there: %s", told)
	}
	p.tabTo("remove:treatments.1000")
	p.keys("\r")
	p.wait(`!document.getElementById("source").value.includes("Kitchen")`)
	p.keys("\r") // put it back
	p.wait(`document.getElementById("source").value.includes("- window: Kitchen")`)
	p.tabTo("remove:treatments.1000")
	p.keys("\r")
	p.wait(`!document.getElementById("source").value.includes("Kitchen")`)

	p.do(chromedp.Focus(chromedp.CSS(".file summary")))
	p.keys("\r\t")
	p.keys(kb.End, chromedp.ModifierCtrl)
	p.keys("notes: By the yard gate")
	p.wait(`document.querySelector('[name="notes"]').value === "By the yard gate" && document.querySelector('[name="customer"]').value === "Reed & Daughter"`)
	p.keys("\r[")
	p.wait(`document.querySelector('#results .problem.error')`)
	if kept := read[string](p, `document.querySelector('[name="customer"]').value`); kept != "Reed & Daughter" {
		t.Errorf("a slip in the file has cost the form its fields: %q", kept)
	}
	if asks := read[bool](p, `!dispatchEvent(new Event("beforeunload", {cancelable: true}))`); !asks {
		t.Error("the page would go with unsaved work")
	}
	p.keys(kb.Backspace + kb.Backspace)
	p.wait(`document.getElementById("taking").dataset.errors === "0"`)
	p.keys("s", chromedp.ModifierCtrl)
	p.wait(`location.pathname === "/orders/SMI-1" && document.querySelector(".said")`)
	if text := p.sees("main"); !strings.Contains(text, "By the yard gate") || !strings.Contains(text, "Reed & Daughter") {
		t.Errorf("the order's page says %s", text)
	}
}

// answersEachKey types into an order of ten windows and says how long numbers took to follow.
func answersEachKey(t *testing.T, c *chromium) {
	s := openShop(t)
	file := orderFile(t, "SMI-1")
	at := strings.Index(file, "  - window:")
	var windows strings.Builder
	for i := range 10 {
		windows.WriteString(strings.Replace(file[at:], "Bay, left", fmt.Sprintf("Room %d", 21+i), 1))
	}
	s.ask(t, request{as: s.office, do: "POST /api/orders", send: file[:at] + windows.String(), status: 201})
	p := c.signIn(t, s).tab(t, 1280, 900, "/orders/SMI-1/edit")
	p.wait(`document.querySelectorAll('#results .numbers dl').length === 10`)
	p.do(chromedp.Evaluate[chromedp.Void](`window.took = []; window.typed = 0;
		addEventListener("keydown", () => { typed = performance.now(); }, true);
		document.addEventListener("cloth:worked", () => { const t = typed; requestAnimationFrame(() => { if (t) took.push(performance.now() - t); }); }); undefined`))
	p.do(chromedp.Focus(chromedp.CSS(`[name="treatments.4.face_width"]`)))
	for i := range 20 {
		before := read[int](p, "took.length")
		p.keys([]string{"1", kb.Backspace}[i%2])
		p.wait(fmt.Sprintf("took.length > %d", before))
	}
	took := read[[]float64](p, "took")
	slices.Sort(took)
	t.Logf("a key's numbers stood on the page after %.0f ms (median), at most %.0f ms, of %d keys", took[len(took)/2], took[len(took)-1], len(took))
}
