package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// staysWithinTolerance types a value out of tolerance, sees the hold, and accepts it as the office.
func staysWithinTolerance(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	held := f.panels[0].Ticket
	s.workTo(t, held, "pull_up")
	bench := b.tab(t, 1280, 800, "/station/pull_up")

	bench.start(held)
	st := s.look(t, held).Step
	bench.isEmpty(st)
	bench.press(".bar .main-action", "refused") // nothing is filled in yet
	s.expect(t, held, "pull_up", "at_work")
	for _, e := range st.Enter {
		value := bench.beside(e)
		if e.Name == "finished_width" {
			value = "49 1/2" // an inch over 48 1/2, half an inch is allowed
		}
		bench.fillIn(e, value)
	}
	bench.tick(st)
	bench.do(chromedp.Click(chromedp.CSS(".bar .main-action")))
	bench.wait(`document.querySelector('#open .note.held')`)
	s.expect(t, held, "pull_up", "held")
	if text := bench.sees("#open .note.held"); !strings.Contains(text, "49") || !strings.Contains(text, "48") {
		t.Errorf("the hold says %q, want what was measured and its target", text)
	}
	bench.do(chromedp.Click(chromedp.CSS(".bar .main-action"))) // the browser itself asks for the reason
	s.expect(t, held, "pull_up", "held")
	bench.do(chromedp.SendKeys(chromedp.CSS("#accept-reason"), "The rod was cut long as well"))
	bench.press(".bar .main-action", "done")
	s.expect(t, held, "inserts", "ready")
}

// takesBack undoes a start, and a finish with what was entered for it.
func takesBack(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	panel := f.panels[0].Ticket
	bench := b.tab(t, 1280, 800, "/station/joining")
	bench.start(panel)
	s.expect(t, panel, "joining", "at_work")
	bench.press(".bar .undo", "done")
	s.expect(t, panel, "joining", "ready")

	bench.work(s, panel)
	s.expect(t, panel, "fold", "ready")
	bench.press(".bar .undo", "done")
	st := s.expect(t, panel, "joining", "at_work").Step
	bench.wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, panel))
	for _, e := range st.Enter {
		if kept := read[string](bench, fmt.Sprintf("document.getElementById('entry-%s').value", e.Name)); kept == "" {
			t.Errorf("what was entered as %s is lost by the undo", e.Name)
		}
	}
}

// saysWhatIsWrong scans what doesn't belong here: each is answered in words that help, and nothing changes.
func saysWhatIsWrong(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	panel, cut := f.panels[0].Ticket, f.cutting[0].Ticket
	bench := b.tab(t, 360, 640, "/station/tape")
	mangled := "A" + panel[1:]
	if panel[0] == 'A' {
		mangled = "B" + panel[1:]
	}
	before := s.board(t).Seq
	for _, wrong := range []struct{ what, code, says string }{
		{"a panel of another station", panel, "Joining & hems"},
		{"one wrong character", mangled, mangled},
		{"a code of no ticket", "000000000", "000000000"},
		{"too few characters", panel[:5], panel[:5]},
		{"a cutting ticket, which is finished", cut, "All the work"},
	} {
		bench.scan(wrong.code, "refused")
		text := bench.sees("#answer")
		if !strings.Contains(text, wrong.says) || !strings.HasSuffix(text, ".") {
			t.Errorf("%s: the page says %q, want a sentence with %q", wrong.what, text, wrong.says)
		}
		if value := read[string](bench, "document.getElementById('scan').value"); value != "" {
			t.Errorf("%s: the scan box keeps %q, and the next scan would land behind it", wrong.what, value)
		}
	}
	if after := s.board(t).Seq; after != before {
		t.Errorf("refused scans moved the ledger from %d to %d", before, after)
	}
}

// showsBadLines uploads a bad order file: each problem is shown at its line, and the file can be mended there.
func showsBadLines(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	bad := orderFile(t, "SMI-2", "face_width: 84", "face_widht: 84", "quantity: 1", "quantity: -1")
	office := b.tab(t, 1280, 800, "/orders")
	office.upload(writeFile(t, "bad.yaml", bad))
	office.wait(`document.querySelectorAll('.source li.wrong').length >= 2`)
	for _, part := range []string{"face_widht", "quantity: -1"} {
		line, _ := position(t, bad, part, part)
		if text := office.sees(fmt.Sprintf("#L%d.wrong", line)); !strings.Contains(text, part) || len(text) < len(part)+20 {
			t.Errorf("line %d is not shown as wrong: %q", line, text)
		}
	}
	if kept := read[string](office, "document.getElementById('source').value"); strings.TrimSpace(kept) != strings.TrimSpace(bad) {
		t.Error("the page has lost what was uploaded")
	}
	if over := read[int](office, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
		t.Errorf("the problems scroll sideways by %d px", over)
	}
	s.ask(t, request{as: s.office, do: "GET /api/orders/SMI-2", status: 404})
}
