package flows

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserOwnStation: the office adds a station behind pressing, by the page; a panel that is released then is taken through it by
// scans, its check and measure in the shop's words, on its ticket too.
func TestBrowserOwnStation(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	office := b.Tab(t, 1280, 800, "/settings/stations")
	office.Do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach((d) => { d.open = true })`))
	types(office, "#own-name", "Steaming")
	office.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#own-after-cartridge-tape").value = "pressing"`))
	types(office, "#own-check-1", "Hung straight overnight")
	office.Hit(`input[name="own-enter"][value="finished_width"]`)
	office.Hit(`button[value="try"]`)
	office.Wait(`document.querySelector(".tried")`)
	if said := office.Sees(".tried"); !strings.Contains(said, "Steaming") {
		t.Errorf("the routes as they would be are %q", said)
	}
	office.Hit(`button[value="save"]`)
	office.Wait(`location.search.includes("did=settings")`)

	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel := f.Panels[0].Ticket
	s.WorkTo(t, panel, "own_a")
	p := b.Tab(t, 768, 1024, "/station/own_a")
	if said := p.Sees("h1"); !strings.Contains(said, "Steaming") {
		t.Errorf("the bench is called %q", said)
	}
	p.Scan(panel, "done")
	p.Wait(`document.querySelector('#open article[data-state="at_work"]')`)
	if said := p.Sees("#work"); !strings.Contains(said, "Hung straight overnight") || !strings.Contains(said, "Finished width") {
		t.Errorf("the bench asks %q", said)
	}
	p.Unsaid()
	for _, e := range s.Look(t, panel).Step.Asked() {
		p.FillIn(e, p.Beside(e))
	}
	p.Tick()
	p.Finishes("done")
	s.Expect(t, panel, "packing", "ready")

	paper := s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/tickets/" + panel + "/ticket.pdf?paper=letter", Status: 200})
	read := exec.Command("pdftotext", "-", "-")
	read.Stdin = bytes.NewReader(paper.Body)
	if text, err := read.Output(); err == nil && !strings.Contains(string(text), "Steaming") {
		t.Errorf("the ticket doesn't name the station:\n%s", text)
	}
	s.Audit(t)
}
