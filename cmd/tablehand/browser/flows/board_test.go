package flows

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// rodsShown are the orders on the board, as the page stands.
const rodsShown = `[...document.querySelectorAll('.rod h2')].map((h) => h.textContent.trim()).join(' ')`

// TestBrowserBoard sifts the board as somebody types, while others work; and decides what waits for the office.
func TestBrowserBoard(t *testing.T) {
	c := browser.Start(t)
	t.Run("sifts", func(t *testing.T) { siftsTheBoard(t, c) })
	t.Run("holds thirty orders", func(t *testing.T) { holdsThirtyOrders(t, c) })
	t.Run("decides", func(t *testing.T) { decidesToday(t, c) })
	t.Run("searches", func(t *testing.T) { searchesFromAnywhere(t, c) })
}

// holdsThirtyOrders sees that a full board stays in view: rows of 40 px with all that is said of an order, higher where one is opened;
// few orders have larger panels.
func holdsThirtyOrders(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	const days = 24 * time.Hour
	for i := range 30 {
		f := s.Release(t, fmt.Sprintf("SMI-%03d", i), append(shoptest.ManyWindows(fmt.Sprint(1+i%4)), "due: 2026-12-18", "due: "+time.Now().Add(time.Duration(i-5)*days).Format(time.DateOnly))...)
		if i%3 == 0 {
			f.CutAll(t)
		}
		if i%6 == 0 {
			s.Start(t, s.Station, f.Panels[0].Ticket)
		}
	}
	p := c.SignIn(t, s).Tab(t, 1280, 800, "/hello")
	p.Bring(browser.LookScript)
	p.Open("/board?language=en")
	rows := browser.Read[[]float64](p, `[...document.querySelectorAll(".rod")].map((r) => r.getBoundingClientRect().height)`)
	if len(rows) != 30 || slices.Max(rows) > 40.5 || slices.Min(rows) < 39.5 {
		t.Errorf("the rows are %v px high", rows)
	}
	if high := browser.Box(p, "#board").Height; high > 1300 {
		t.Errorf("thirty orders are %.0f px high", high)
	}
	size := `(() => { const r = document.querySelector('.hangings .strip:not(.pair):not(:has([href="#bolt"]))').getBoundingClientRect(); return [r.width, r.height]; })()`
	if got := browser.Read[[]float64](p, size); !slices.Equal(got, []float64{24, 34}) {
		t.Errorf("a panel is %v px", got)
	}
	for _, fault := range browser.Read[[]string](p, "look.faults()") {
		t.Error(fault)
	}
	opened := browser.Read[float64](p, `(() => { const d = document.querySelector(".hangings details"); d.open = true; return d.closest(".rod").getBoundingClientRect().height; })()`)
	if opened < 64 {
		t.Errorf("an opened row is %.0f px high", opened)
	}
	p.Open("/board?find=SMI-000")
	if got := browser.Read[[]float64](p, size); !slices.Equal(got, []float64{36, 51}) {
		t.Errorf("where few hang a panel is %v px", got)
	}
}

// siftsTheBoard asks for less by each letter, without loading the page; the address says what is asked for, changes on
// the floor keep it, and only rods that change are sent.
func siftsTheBoard(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1", shoptest.ManyWindows("6")...)
	s.Release(t, "OAK-2", "window: Bay, left", "window: Landing")
	f.CutAll(t)
	p := b.Tab(t, 1280, 800, "/board")
	p.Wait(rodsShown + " === 'OAK-2 SMI-1' || " + rodsShown + " === 'SMI-1 OAK-2'")
	p.Do(chromedp.Evaluate[chromedp.Void](`window.neverLoadedAgain = true; document.querySelector('#rod-OAK-2').dataset.mine = 'yes'`))
	at := `[...document.querySelectorAll('#rod-SMI-1 .hangings > li')].findIndex((li) => li.querySelector('a[href="/t/` + f.Panels[0].Ticket + `"]'))`
	find := `document.querySelector('#sift-find')`
	set := func(value string) {
		t.Helper()
		browser.Read[bool](p, `(() => { const f = `+find+`; f.focus(); f.value = '`+value+`'; return f.dispatchEvent(new Event('input', { bubbles: true })) })()`)
	}
	set("landing")
	p.Wait(rodsShown + " === 'OAK-2'")
	p.Wait("location.search === '?find=landing'")
	p.Wait("document.querySelector('#sifted').textContent.includes('1 of 2 orders')")
	s.WorkTo(t, f.Panels[0].Ticket, "tape") // elsewhere
	s.Release(t, "OAK-3", "window: Bay, left", "window: Landing")
	p.Wait("document.querySelector('#sifted').textContent.includes('2 of 3 orders')")
	p.Wait(find + ".value === 'landing' && document.activeElement === " + find)
	set("")
	p.Wait(`document.querySelectorAll('.rod').length === 3 && location.search === ''`)
	p.Wait(at + " === 3")

	p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#rod-OAK-2').dataset.mine = 'yes'; document.querySelector('#rod-SMI-1 details').open = true`))
	s.WorkTo(t, f.Panels[0].Ticket, "pull_up")
	p.Wait(at + " === 4")
	p.Wait(`document.querySelector('#rod-OAK-2').dataset.mine === 'yes' && document.querySelector('#rod-SMI-1 details').open`)
	p.Wait("window.neverLoadedAgain")
	p.Wait(`document.querySelectorAll('[data-same]').length === 0`)

	browser.Read[bool](p, `(() => { const f = document.querySelector('#sift-station'); f.value = 'pull_up'; return f.dispatchEvent(new Event('input', { bubbles: true })) })()`)
	p.Wait(rodsShown + " === 'SMI-1' && location.search === '?station=pull_up'")
	s.WorkTo(t, f.Panels[0].Ticket, "inserts")
	p.Wait(`document.querySelector('#board-empty')`)
	p.Open("/board?station=inserts") // as a link from elsewhere has it
	p.Wait(rodsShown + " === 'SMI-1' && document.querySelector('#sift-station').value === 'inserts'")
}

// decidesToday accepts a panel out of tolerance and lets another go on, from the first page.
func decidesToday(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1", "due: 2026-12-18", "due: 2037-12-18") // what is late waits for the office too
	f.CutAll(t)
	off, stopped := f.Panels[0].Ticket, f.Panels[1].Ticket
	p := b.Tab(t, 1280, 800, "/")
	p.Wait(`document.querySelector('#today-nothing .empty')`)
	s.WorkTo(t, off, "pull_up")
	st := s.Start(t, s.Station, off)
	s.Finish(t, s.Station, off, st, "finished_width", "50in")
	s.Done(t, s.Station, shoptest.Scan(stopped, "hold", "", "reason", "Scorched at the iron"), nil)
	p.Wait(`document.querySelector('#today-decide .scale .found') && document.querySelector('#today-stopped')?.textContent.includes('Scorched')`)

	reason := `document.querySelector('#why-` + off + `')`
	browser.Read[string](p, reason+".value = 'hangs behind a door'")
	s.Done(t, s.Station, shoptest.Scan(stopped, "resume", ""), nil) // what somebody types stays while others work
	p.Wait(`!document.querySelector('#today-stopped .case')`)
	p.Wait(reason + ".value === 'hangs behind a door'")
	p.Do(chromedp.Click(chromedp.CSS(`#today-decide button[value="accept"]`)))
	p.Wait(`document.querySelector('.said.done')?.textContent.includes('is accepted; it is now at Inserts')`)
	s.Expect(t, off, "inserts", "ready")
	s.Done(t, s.Station, shoptest.Scan(off, "hold", "", "reason", "No buckram"), nil)
	p.Wait(`document.querySelector('#today-stopped')?.textContent.includes('No buckram')`)
	p.Do(chromedp.Click(chromedp.CSS(`#today-stopped button[value="resume"]`)))
	p.Wait(`document.querySelector('.said.done')?.textContent.includes('Work resumes')`)
	s.Expect(t, off, "inserts", "ready")
}

// searchesFromAnywhere types what is looked for in the head of a page; a ticket's code leads to the ticket.
func searchesFromAnywhere(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	p := b.Tab(t, 1280, 800, "/prices")
	seek := func(text string) {
		t.Helper()
		browser.Read[string](p, `(document.querySelector('.seek input').value = '`+text+`')`)
		p.Do(chromedp.Click(chromedp.CSS(".seek button")))
	}
	seek("bay waiting")
	p.Wait(`location.pathname === '/search' && document.querySelectorAll('.found .piece').length === 2`)
	seek("saltmarsh")
	p.Wait(`document.querySelector('.found a[href="/orders/SMI-1"]')`)
	seek(f.Panels[0].Ticket)
	p.Wait(`location.pathname === '/t/` + f.Panels[0].Ticket + `'`)
}
