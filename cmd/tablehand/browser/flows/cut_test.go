package flows

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// cutFor is how long the network stays cut: long enough for the page to say so; ten seconds in the long tier.
func cutFor() time.Duration {
	if os.Getenv("TABLEHAND_LONG") != "" {
		return 10 * time.Second
	}
	return 5 * time.Second
}

// liveRegions is what a page shows of the floor, without what is its own: its next scan's key and its sign-in's token,
// and which of its pages the shop screen is at.
const liveRegions = `[...document.querySelectorAll('[data-live][id]')].map((r) => r.id + r.innerHTML.replace(/name="(key|form_token)" value="[^"]*"| hidden=""| aria-current="true"|\d+\/\d+(?=<)/g, '')).join('\n')`

// catchesUp cuts the network during 50 scans; afterwards each page equals a fresh one.
func catchesUp(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1", shoptest.ManyWindows("5")...)
	f.CutAll(t)
	n := browser.Between(t, s)
	b := c.SignIn(t, n.Through(s))
	paths := []string{"/board", "/station/joining", "/screen", "/t/" + f.Panels[0].Ticket}
	var pages []*browser.Tab
	for _, path := range paths {
		pages = append(pages, b.Tab(t, 1280, 800, path))
	}

	n.Set(true)
	mended := time.Now().Add(cutFor())
	scans := 0
	for _, panel := range f.Panels { // five scans each, by which one half is held at the fold and the other at work at the tape
		code := panel.Ticket
		s.Finish(t, s.Station, code, s.Start(t, s.Station, code))
		st := s.Start(t, s.Station, code)
		if panel.Panel == "L" {
			s.Done(t, s.Station, shoptest.Scan(code, "undo", ""), nil)
			s.Done(t, s.Station, shoptest.Scan(code, "hold", "", "reason", "Flaw in width 2 of copy "+fmt.Sprint(panel.Copy)), nil)
		} else {
			s.Finish(t, s.Station, code, st)
			s.Start(t, s.Station, code)
		}
		scans += 5
	}
	if scans != 50 {
		t.Fatalf("%d scans, want 50", scans)
	}
	for _, p := range pages {
		p.Wait(`!document.getElementById('lost').hidden`) // it says plainly that it is out of date
		if text := p.Sees("#lost"); len(text) < 20 {
			t.Errorf("cut off, the page says %q", text)
		}
	}
	time.Sleep(time.Until(mended))
	n.Set(false)

	elsewhere := c.SignIn(t, s)
	for i, p := range pages {
		p.Wait(`document.getElementById('lost').hidden`)
		fresh := browser.Read[string](elsewhere.Tab(t, 1280, 800, paths[i]), liveRegions)
		var shown string
		equal := func() bool { shown = browser.Read[string](p, liveRegions); return shown == fresh }
		for deadline := time.Now().Add(shoptest.Patience); !equal(); time.Sleep(50 * time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatalf("%s does not catch up\nit shows\n%s\nwant\n%s", paths[i], shown, fresh)
			}
		}
	}
}

// keepsScans scans while the network is away: the page keeps the scans, says so, and sends them in order.
func keepsScans(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1", shoptest.ManyWindows("3")...)
	f.CutAll(t)
	ahead := f.Panels[2].Ticket // will be refused: it is not here any more
	s.WorkTo(t, ahead, "fold")
	n := browser.Between(t, s)
	bench := c.SignIn(t, n.Through(s)).Tab(t, 1280, 800, "/station/joining")
	before := s.Board(t).Seq

	n.Set(true)
	for _, panel := range f.Panels {
		bench.Do(chromedp.Focus(chromedp.CSS("#scan")), chromedp.KeyEvent(panel.Ticket+"\r"))
	}
	bench.Wait(`!document.getElementById('kept').hidden`)
	for _, panel := range f.Panels {
		bench.Wait(fmt.Sprintf(`document.getElementById('kept').textContent.includes(%q)`, panel.Ticket))
	}
	if now := s.Board(t).Seq; now != before {
		t.Fatalf("the ledger moved from %d to %d while the network was away", before, now)
	}
	// A photograph can't be kept by the page: it is left out, and said so; what is wrong is kept like any scan.
	held := f.Panels[3].Ticket
	bench.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{ const form = Object.assign(document.createElement("form"), { id: "with-photo" });
		form.method = "post"; form.action = "/station/joining/scan"; form.dataset.scan = "ticket";
		form.innerHTML = '<input name="code" value="%s"><input name="action" value="hold"><input name="reason" value="A pulled thread"><input type="file" name="photo" data-away="left out">';
		const photo = new DataTransfer(); photo.items.add(new File(["x"], "x.jpg", { type: "image/jpeg" }));
		document.body.append(form); form.querySelector("[type=file]").files = photo.files; form.requestSubmit(); }`, held)))
	bench.Wait(`document.querySelector("#answer .said.refused")?.textContent.includes("left out")`)
	bench.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("with-photo").requestSubmit()`))
	bench.Wait(fmt.Sprintf(`document.getElementById('kept').textContent.includes(%q)`, held))
	n.Set(false)
	bench.Wait(`document.getElementById('kept').hidden`)
	events := s.Events(t, s.Office, fmt.Sprintf("?after=%d", before), "")
	for _, panel := range f.Panels {
		if panel.Ticket == ahead {
			s.Expect(t, ahead, "fold", "ready")
			continue
		}
		if panel.Ticket != held {
			s.Expect(t, panel.Ticket, "joining", "at_work")
		}
		select {
		case e := <-events:
			if e.Data.Ticket != panel.Ticket || e.Data.Action != "start" {
				t.Errorf("%s of %s, want the start of %s: the scans in the order in which they were made", e.Data.Action, e.Data.Ticket, panel.Ticket)
			}
		case <-time.After(shoptest.Patience):
			t.Fatal("a scan that was kept never arrives")
		}
	}
	bench.Until("the hold arrives", func() bool { return s.Look(t, held).Step.State == "held" })
}
