package flows

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// staysWithinTolerance types a value out of tolerance, sees the hold, and accepts it as the office.
func staysWithinTolerance(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	held := f.Panels[0].Ticket
	s.WorkTo(t, held, "pull_up")
	bench := b.Tab(t, 1280, 800, "/station/pull_up")

	bench.Start(held)
	st := s.Look(t, held).Step
	bench.IsEmpty(st)
	bench.Press(".bar .main-action", "refused") // nothing is filled in yet
	s.Expect(t, held, "pull_up", "at_work")
	for _, e := range st.Enter {
		value := bench.Beside(e)
		if e.Name == "finished_width" {
			value = "49 1/2" // an inch over 48 1/2, half an inch is allowed
		}
		bench.FillIn(e, value)
	}
	bench.Unsaid()
	bench.Tick()
	if said := bench.Sees(".bar .beyond"); !strings.Contains(said, "1/2 in over the limit") {
		t.Errorf("before the panel is held the page says %q", said)
	}
	s.Expect(t, held, "pull_up", "at_work")
	bench.Finishes("held")
	bench.Wait(`document.querySelector('#open .note.held')`)
	s.Expect(t, held, "pull_up", "held")
	if text := bench.Sees("#open .note.held"); !strings.Contains(text, "49") || !strings.Contains(text, "48") {
		t.Errorf("the hold says %q, want what was measured and its target", text)
	}
	bench.Do(chromedp.Click(chromedp.CSS(".bar .main-action"))) // the browser itself asks for the reason
	s.Expect(t, held, "pull_up", "held")
	bench.Do(chromedp.SendKeys(chromedp.CSS("#accept-reason"), "The rod was cut long as well"))
	bench.Press(".bar .main-action", "done")
	s.Expect(t, held, "inserts", "ready")
}

// takesBack undoes a start, and a finish with what was entered for it.
func takesBack(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel := f.Panels[0].Ticket
	bench := b.Tab(t, 1280, 800, "/station/joining")
	bench.Start(panel)
	s.Expect(t, panel, "joining", "at_work")
	bench.Press(".bench-top .undo", "done")
	s.Expect(t, panel, "joining", "ready")

	bench.Work(s, panel)
	s.Expect(t, panel, "fold", "ready")
	bench.Press(".bench-top .undo", "done")
	st := s.Expect(t, panel, "joining", "at_work").Step
	bench.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, panel))
	for _, e := range st.Enter {
		if kept := browser.Read[string](bench, fmt.Sprintf("document.getElementById('entry-%s').value", e.Name)); kept == "" {
			t.Errorf("what was entered as %s is lost by the undo", e.Name)
		}
	}
}

// saysWhatIsWrong scans what doesn't belong here: each is answered in words that help, and nothing changes.
func saysWhatIsWrong(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel, cut := f.Panels[0].Ticket, f.Cutting[0].Ticket
	bench := b.Tab(t, 360, 640, "/station/tape")
	mangled := "A" + panel[1:]
	if panel[0] == 'A' {
		mangled = "B" + panel[1:]
	}
	before := s.Board(t).Seq
	for _, wrong := range []struct{ what, code, says string }{
		{"a panel of another station", panel, "Joining & hems"},
		{"one wrong character", mangled, mangled},
		{"a code of no ticket", "000000000", "000000000"},
		{"too few characters", panel[:5], panel[:5]},
		{"a cutting ticket, which is finished", cut, "All the work"},
	} {
		bench.Scan(wrong.code, "refused")
		text := bench.Sees("#answer")
		if !strings.Contains(text, wrong.says) || !strings.HasSuffix(text, ".") {
			t.Errorf("%s: the page says %q, want a sentence with %q", wrong.what, text, wrong.says)
		}
		if value := browser.Read[string](bench, "document.getElementById('scan').value"); value != "" {
			t.Errorf("%s: the scan box keeps %q, and the next scan would land behind it", wrong.what, value)
		}
	}
	if after := s.Board(t).Seq; after != before {
		t.Errorf("refused scans moved the ledger from %d to %d", before, after)
	}

	bench.Open("/station/joining")
	bench.Start(panel)
	bench.Do(chromedp.Evaluate[chromedp.Void](`{ const plain = fetch; window.fetch = (to, how) => how?.method === "POST" ? plain(to, how) : new Promise(() => {}); }`)) // the page comes late
	bench.Press(".bar .main-action", "refused")
	if !browser.Read[bool](bench, `Boolean(document.querySelector("#work .act-tile.missing"))`) {
		t.Error("what is missing is marked only when the page has come")
	}
	bench.Press(".bar .main-action", "refused") // and it is tried again before that
	const edge = `getComputedStyle(document.querySelector("#work .act-tile")).borderColor`
	lacking := browser.Read[string](bench, edge)
	bench.Hit("#work .act-tile.missing [data-all]")
	if ticked := browser.Read[string](bench, edge); ticked == lacking {
		t.Errorf("a check that was missing keeps its red edge, %s, when it is ticked", ticked)
	}
}

// showsBadLines uploads a bad order file: each problem is shown at its line, and the file can be mended there.
func showsBadLines(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	bad := shoptest.OrderFile(t, "SMI-2", "face_width: 84", "face_widht: 84", "quantity: 1", "quantity: -1")
	office := b.Tab(t, 1280, 800, "/orders")
	office.Upload(shoptest.WriteFile(t, "bad.yaml", bad))
	office.Wait(`document.querySelectorAll('.source li.wrong').length >= 2`)
	for _, part := range []string{"face_widht", "quantity: -1"} {
		line, _ := shoptest.Position(t, bad, part, part)
		if text := office.Sees(fmt.Sprintf("#L%d.wrong", line)); !strings.Contains(text, part) || len(text) < len(part)+20 {
			t.Errorf("line %d is not shown as wrong: %q", line, text)
		}
	}
	if kept := browser.Read[string](office, "document.getElementById('source').value"); strings.TrimSpace(kept) != strings.TrimSpace(bad) {
		t.Error("the page has lost what was uploaded")
	}
	if over := browser.Read[int](office, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
		t.Errorf("the problems scroll sideways by %d px", over)
	}
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/SMI-2", Status: 404})
}
