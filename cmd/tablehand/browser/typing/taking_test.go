package typing

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserTaking plays the order form in a Chromium of its own, by the keyboard alone.
func TestBrowserTaking(t *testing.T) {
	c := browser.Start(t)
	for _, part := range []struct {
		name string
		play func(*testing.T, *browser.Chromium)
	}{
		{"an order typed by keyboard", typesAnOrder},
		{"Enter through an empty form", passesWhatIsEmpty},
		{"form and file follow each other", followsTheFile},
		{"every key is answered", answersEachKey},
	} {
		t.Run(part.name, func(t *testing.T) { part.play(t, c) })
	}
}

// typesAnOrder types an order of two windows as on the phone: a tape, a length from the floor, a mistake that is
// told at its field and mended, the second window a copy that becomes a hand-set heading.
func typesAnOrder(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	p := c.SignIn(t, s).Tab(t, 1280, 900, "/taking")
	countPresses(p)
	p.Back(`[name="order"]`)
	p.TypeIn("order", "SMI-1")
	p.TypeIn("customer", "Saltmarsh Inn")
	p.TypeIn("sidemark", "")
	p.TypeIn("due", "12202037") // a Sunday; of days that are past none is offered
	p.Wait(`document.querySelector('[id="f-due-told"]')?.textContent.includes("The shop is closed on Sun 20 Dec")`)
	p.Back(`[data-key="due"] .beside button`)
	p.Keys("\t", chromedp.ModifierShift) // from the Monday after to the Friday before
	p.Keys("\r")
	p.Wait(`!document.querySelector('[id="f-due-told"]')`)
	if due := browser.Read[string](p, `(pressed = 0, document.querySelector('[name="due"]').value)`); due != "2037-12-18" {
		t.Errorf("the offered day is taken as %s", due)
	}
	p.TypeIn("fabrics.0.id", "reed")
	p.TypeIn("usable_width", "54")
	p.TypeIn("vertical_repeat", "")
	p.TypeIn("fabrics.0.bolts.0.id", "R1")
	p.TypeIn(".length", "60 yd")
	if units := browser.Read[string](p, `[...document.querySelectorAll('#sheet [data-group="fabrics.0"] .unit')].filter((u) => u.checkVisibility()).map((u) => u.previousElementSibling.name.split(".").pop() + " " + u.textContent).join()`); strings.Contains(","+units, ",length ") || !strings.Contains(units, "usable_width in") {
		t.Errorf("beside the lengths stands %s", units)
	}
	p.TypeIn(".lot", "")
	p.TypeIn(".bolts.0.from", "")
	p.TypeIn(".first_repeat", "")
	p.TypeIn("fabrics.1.id", "")
	for _, f := range [][2]string{{".id", "cart-4"}, {".period", "6 1/2"}, {".space", "2 1/2"}, {".height", "4"}, {".cords", "3"}} {
		p.TypeIn(f[0], f[1])
	}
	p.TypeIn("treatments.0.window", "Bay, left")
	p.TypeIn(".room", "14")
	p.TypeIn(".quantity", "")
	p.TypeIn(".draw", "")
	p.TypeIn(".face_width", "8' 3x")
	p.Wait(`document.querySelector('[id="f-treatments.0.face_width-told"]')?.textContent.includes("8' 3x")`)
	if wrong := browser.Read[string](p, `[...document.querySelectorAll("[aria-invalid]")].map((f) => f.name).join()`); wrong != "treatments.0.face_width" {
		t.Errorf("marked wrong: %s", wrong)
	}
	p.Keys(kb.Tab, chromedp.ModifierShift)
	p.TypeIn(".face_width", "8' 3")
	p.TypeIn(".length_by", "f") // from the floor
	p.TypeIn(".hang.bearing_to_floor", "98 1/4")
	p.TypeIn(".hang.heading_above_bearing", "3/4")
	p.TypeIn(".hang.clearance", "1/2")
	p.TypeIn(".heading", "")
	p.TypeIn(".tape", "")
	p.TypeIn(".face", "")
	p.TypeIn(".lining", "")
	p.TypeIn(".return", "")
	p.TypeIn(".overlap", "")
	p.Wait(`document.querySelector('.sum:not([hidden])')?.innerText.includes("98 1⁄2")`)
	p.Wait(`document.querySelector('#results svg .pleat') && document.querySelectorAll('#results .numbers dl').length === 1`)

	if at, told := p.Focus(), p.Sees("#told"); at != "treatments.0.overlap" || !strings.Contains(told, "F4 adds a window") {
		t.Errorf("after the last field Enter goes to %s and says %q", at, told)
	}
	if pressed := browser.Read[int](p, "pressed"); pressed != 0 {
		t.Errorf("Enter has pressed %d buttons", pressed)
	}
	p.Keys(kb.F2)
	p.TypeIn("treatments.1000.window", "Bay, right") // what is copied is selected, so it is typed over
	p.TypeIn(".room", "15")
	p.TypeIn(".quantity", "")
	p.TypeIn(".draw", "")
	p.TypeIn(".face_width", "60")
	p.TypeIn(".length_by", "")
	p.TypeIn(".hang.bearing_to_floor", "")
	p.TypeIn(".hang.heading_above_bearing", "")
	p.TypeIn(".hang.clearance", "")
	p.Keys(kb.ArrowDown + kb.ArrowDown)
	p.TypeIn(".heading", "")
	p.TypeIn(".fullness", "2 1/2")
	p.Wait(`document.querySelector('[id="f-treatments.1000.fullness-told"]')`)
	p.Keys(kb.Tab, chromedp.ModifierShift)
	p.TypeIn(".fullness", "2.5")
	p.Keys(kb.PageUp)
	if at := p.Focus(); at != "treatments.0.face" {
		t.Errorf("Page Up goes to %s", at)
	}
	p.Wait(`document.querySelectorAll('#results .numbers dl').length === 2 && document.getElementById("taking").dataset.errors === "0"`)
	shown := browser.Read[string](p, `document.getElementById("source").value`)
	p.Keys("\r", chromedp.ModifierCtrl)
	p.Wait(`location.pathname === "/orders/SMI-1"`)

	byHand := strings.Join([]string{"order: SMI-2", "customer: Saltmarsh Inn", "due: 2026-12-18", "units: in", "fabrics:",
		"- {id: reed, use: face, usable_width: 54, bolts: [{id: R1, length: 60 yd}]}", "tapes:", "- {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}", "treatments:",
		"- {window: 'Bay, left', room: 14, heading: cartridge-tape, face_width: 99, finished_length: 98 1/2, face: reed}",
		"- {window: 'Bay, right', room: 15, heading: pinch-3, fullness: 2.5, face_width: 60, finished_length: 98 1/2, face: reed}"}, "\n")
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders", Send: byHand, Status: 201})
	if typed, written := numbersOf(t, s, "SMI-1"), numbersOf(t, s, "SMI-2"); typed != written {
		t.Errorf("typed it comes to\n%s\nwritten by hand to\n%s\nthe file:\n%s", typed, written, shown)
	}
	if said := p.Sees(".window .sum"); !strings.Contains(said, "98 1") {
		t.Errorf("the order's page shows the sum as %q", said)
	}
}

// countPresses counts what is pressed or sent on the page: pressed.
func countPresses(p *browser.Tab) {
	p.T.Helper()
	p.Do(chromedp.Evaluate[chromedp.Void](`window.pressed = 0; for (const what of ["click", "submit"])
		addEventListener(what, (e) => { if (e.target.closest("form, button")) pressed++; }, true); undefined`))
}

// passesWhatIsEmpty goes by Enter alone from the first field to the last: through each that is in view and has to be
// typed, past a bolt, a lining and a tape that are left empty, and presses nothing on the way.
func passesWhatIsEmpty(t *testing.T, c *browser.Chromium) {
	p := c.SignIn(t, shoptest.Open(t)).Tab(t, 1280, 900, "/taking")
	countPresses(p)
	p.Back(`[name="order"]`)
	var went []string
	for at := p.Focus(); len(went) == 0 || at != went[len(went)-1]; at = p.Focus() {
		went = append(went, at)
		p.Keys("\r")
	}
	want := strings.Fields(`order customer sidemark due fabrics.0.id fabrics.0.usable_width fabrics.0.vertical_repeat fabrics.0.bolts.0.id fabrics.1.id
		tapes.0.id treatments.0.window treatments.0.room treatments.0.quantity treatments.0.draw treatments.0.face_width treatments.0.length_by
		treatments.0.finished_length treatments.0.heading treatments.0.tape treatments.0.face treatments.0.lining treatments.0.return treatments.0.overlap`)
	if !slices.Equal(went, want) {
		t.Errorf("Enter goes to\n%v, want\n%v", went, want)
	}
	if pressed := browser.Read[int](p, "pressed"); pressed != 0 {
		t.Errorf("Enter has pressed %d buttons", pressed)
	}
}

// numbersOf is an order's work-up without what tells files apart.
func numbersOf(t *testing.T, s *shoptest.Shop, order string) string {
	t.Helper()
	var w struct {
		Treatments, Totals json.RawMessage
	}
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/" + order + "/workup", Status: 200}).Into(t, &w)
	return string(w.Treatments) + string(w.Totals)
}

// followsTheFile changes an order in the form and in the file by turns: each follows, nothing that only the file has
// is lost, and a page with unsaved work asks before it goes.
func followsTheFile(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders", Send: "# Ring first\n" + shoptest.OrderFile(t, "SMI-1"), Status: 201})
	p := c.SignIn(t, s).Tab(t, 1280, 900, "/orders/SMI-1/edit")
	p.Do(chromedp.Focus(chromedp.CSS(`[name="customer"]`)))
	p.Keys("a", chromedp.ModifierCtrl)
	p.Keys("Reed & Daughter")
	p.Wait(`document.getElementById("source").value.includes("customer: Reed & Daughter")`)
	p.Wait(`document.getElementById("source").value.startsWith("# Ring first")`)
	p.Keys(kb.F4)
	p.TypeIn("treatments.1000.window", "Kitchen")
	p.Wait(`document.getElementById("source").value.includes("- window: Kitchen")`)
	if told := p.Sees(".ask.wrong"); told != "" {
		t.Errorf("told before anybody was there: %s", told)
	}
	p.TabTo("remove:treatments.1000")
	p.Keys("\r")
	p.Wait(`!document.getElementById("source").value.includes("Kitchen")`)
	p.Keys("\r") // put it back
	p.Wait(`document.getElementById("source").value.includes("- window: Kitchen")`)
	p.TabTo("remove:treatments.1000")
	p.Keys("\r")
	p.Wait(`!document.getElementById("source").value.includes("Kitchen")`)

	p.Do(chromedp.Focus(chromedp.CSS(".file summary")))
	p.Keys("\r\t")
	p.Keys(kb.End, chromedp.ModifierCtrl)
	p.Keys("notes: By the yard gate")
	p.Wait(`document.querySelector('[name="notes"]').value === "By the yard gate" && document.querySelector('[name="customer"]').value === "Reed & Daughter"`)
	p.Keys("\r[")
	p.Wait(`document.querySelector('#results .problem.error')`)
	if kept := browser.Read[string](p, `document.querySelector('[name="customer"]').value`); kept != "Reed & Daughter" {
		t.Errorf("a slip in the file has cost the form its fields: %q", kept)
	}
	if asks := browser.Read[bool](p, `!dispatchEvent(new Event("beforeunload", {cancelable: true}))`); !asks {
		t.Error("the page would go with unsaved work")
	}
	p.Keys(kb.Backspace + kb.Backspace)
	p.Wait(`document.getElementById("taking").dataset.errors === "0"`)
	p.Keys("s", chromedp.ModifierCtrl)
	p.Wait(`location.pathname === "/orders/SMI-1" && document.querySelector(".said")`)
	if text := p.Sees("main"); !strings.Contains(text, "By the yard gate") || !strings.Contains(text, "Reed & Daughter") {
		t.Errorf("the order's page says %s", text)
	}
}

// answersEachKey types into an order of ten windows and says how long numbers took to follow.
func answersEachKey(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	file := shoptest.OrderFile(t, "SMI-1")
	at := strings.Index(file, "  - window:")
	var windows strings.Builder
	for i := range 10 {
		windows.WriteString(strings.Replace(file[at:], "Bay, left", fmt.Sprintf("Room %d", 21+i), 1))
	}
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders", Send: file[:at] + windows.String(), Status: 201})
	p := c.SignIn(t, s).Tab(t, 1280, 900, "/orders/SMI-1/edit")
	p.Wait(`document.querySelectorAll('#results .numbers dl').length === 10`)
	p.Do(chromedp.Evaluate[chromedp.Void](`window.took = []; window.typed = 0;
		addEventListener("keydown", () => { typed = performance.now(); }, true);
		document.addEventListener("cloth:worked", () => { const t = typed; requestAnimationFrame(() => { if (t) took.push(performance.now() - t); }); }); undefined`))
	p.Do(chromedp.Focus(chromedp.CSS(`[name="treatments.4.face_width"]`)))
	for i := range 20 {
		before := browser.Read[int](p, "took.length")
		p.Keys([]string{"1", kb.Backspace}[i%2])
		p.Wait(fmt.Sprintf("took.length > %d", before))
	}
	// What isn't answered is asked again without another key.
	p.Do(chromedp.Evaluate[chromedp.Void](`window.shopFetch = window.fetch, window.unanswered = 0, window.fetch = () => { unanswered++; return Promise.reject(new TypeError()); }, undefined`))
	p.Keys("1")
	p.Wait(`unanswered > 0`)
	p.Do(chromedp.Evaluate[chromedp.Void](`window.answered = took.length, window.fetch = window.shopFetch, undefined`))
	p.Wait(`took.length > answered`)
	took := browser.Read[[]float64](p, "took")[:20]
	slices.Sort(took)
	t.Logf("a key's numbers stood on the page after %.0f ms (median), at most %.0f ms, of %d keys", took[len(took)/2], took[len(took)-1], len(took))
}
