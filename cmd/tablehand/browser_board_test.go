package main

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// rodsShown are the orders on the board, as the page stands.
const rodsShown = `[...document.querySelectorAll('.rod h2')].map((h) => h.textContent.trim()).join(' ')`

// TestBrowserBoard sifts the board as somebody types, while others work; and decides what waits for the office.
func TestBrowserBoard(t *testing.T) {
	c := startChromium(t)
	t.Run("sifts", func(t *testing.T) { siftsTheBoard(t, c) })
	t.Run("decides", func(t *testing.T) { decidesToday(t, c) })
	t.Run("searches", func(t *testing.T) { searchesFromAnywhere(t, c) })
}

// siftsTheBoard asks for less by each letter, without loading the page; the address says what is asked for, changes on
// the floor keep it, and only rods that change are sent.
func siftsTheBoard(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1", manyWindows("6")...)
	s.release(t, "OAK-2", "window: Bay, left", "window: Landing")
	f.cutAll(t)
	p := b.tab(t, 1280, 800, "/board")
	p.wait(rodsShown + " === 'OAK-2 SMI-1' || " + rodsShown + " === 'SMI-1 OAK-2'")
	p.do(chromedp.Evaluate[chromedp.Void](`window.neverLoadedAgain = true; document.querySelector('#rod-OAK-2').dataset.mine = 'yes'`))
	at := `[...document.querySelectorAll('#rod-SMI-1 .hangings > li')].findIndex((li) => li.querySelector('a[href="/t/` + f.panels[0].Ticket + `"]'))`
	find := `document.querySelector('#sift-find')`
	set := func(value string) {
		t.Helper()
		read[bool](p, `(() => { const f = `+find+`; f.focus(); f.value = '`+value+`'; return f.dispatchEvent(new Event('input', { bubbles: true })) })()`)
	}
	set("landing")
	p.wait(rodsShown + " === 'OAK-2'")
	p.wait("location.search === '?find=landing'")
	p.wait("document.querySelector('#sifted').textContent.includes('1 of 2 orders')")
	s.workTo(t, f.panels[0].Ticket, "tape") // elsewhere
	s.release(t, "OAK-3", "window: Bay, left", "window: Landing")
	p.wait("document.querySelector('#sifted').textContent.includes('2 of 3 orders')")
	p.wait(find + ".value === 'landing' && document.activeElement === " + find)
	set("")
	p.wait(`document.querySelectorAll('.rod').length === 3 && location.search === ''`)
	p.wait(at + " === 3")

	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#rod-OAK-2').dataset.mine = 'yes'; document.querySelector('#rod-SMI-1 details').open = true`))
	s.workTo(t, f.panels[0].Ticket, "pull_up")
	p.wait(at + " === 4")
	p.wait(`document.querySelector('#rod-OAK-2').dataset.mine === 'yes' && document.querySelector('#rod-SMI-1 details').open`)
	p.wait("window.neverLoadedAgain")
	p.wait(`document.querySelectorAll('[data-same]').length === 0`)

	read[bool](p, `(() => { const f = document.querySelector('#sift-station'); f.value = 'pull_up'; return f.dispatchEvent(new Event('input', { bubbles: true })) })()`)
	p.wait(rodsShown + " === 'SMI-1' && location.search === '?station=pull_up'")
	s.workTo(t, f.panels[0].Ticket, "inserts")
	p.wait(`document.querySelector('#board-empty')`)
	p.open("/board?station=inserts") // as a link from elsewhere has it
	p.wait(rodsShown + " === 'SMI-1' && document.querySelector('#sift-station').value === 'inserts'")
}

// decidesToday accepts a panel out of tolerance and lets another go on, from the first page.
func decidesToday(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	off, stopped := f.panels[0].Ticket, f.panels[1].Ticket
	p := b.tab(t, 1280, 800, "/")
	p.wait(`document.querySelector('#today-nothing .empty')`)
	s.workTo(t, off, "pull_up")
	st := s.start(t, s.station, off)
	s.finish(t, s.station, off, st, "finished_width", "50in")
	s.done(t, s.station, scan(stopped, "hold", "", "reason", "Scorched at the iron"), nil)
	p.wait(`document.querySelector('#today-decide .scale .found') && document.querySelector('#today-stopped')?.textContent.includes('Scorched')`)

	reason := `document.querySelector('#why-` + off + `')`
	read[string](p, reason+".value = 'hangs behind a door'")
	s.done(t, s.station, scan(stopped, "resume", ""), nil) // what somebody types stays while others work
	p.wait(`!document.querySelector('#today-stopped .case')`)
	p.wait(reason + ".value === 'hangs behind a door'")
	p.do(chromedp.Click(chromedp.CSS(`#today-decide button[value="accept"]`)))
	p.wait(`document.querySelector('.said.done')?.textContent.includes('is accepted; it is now at Inserts')`)
	s.expect(t, off, "inserts", "ready")
	s.done(t, s.station, scan(off, "hold", "", "reason", "No buckram"), nil)
	p.wait(`document.querySelector('#today-stopped')?.textContent.includes('No buckram')`)
	p.do(chromedp.Click(chromedp.CSS(`#today-stopped button[value="resume"]`)))
	p.wait(`document.querySelector('.said.done')?.textContent.includes('goes on at Inserts')`)
	s.expect(t, off, "inserts", "ready")
}

// searchesFromAnywhere types what is looked for in the head of a page; a ticket's code leads to the ticket.
func searchesFromAnywhere(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	p := b.tab(t, 1280, 800, "/prices")
	seek := func(text string) {
		t.Helper()
		read[string](p, `(document.querySelector('.seek input').value = '`+text+`')`)
		p.do(chromedp.Click(chromedp.CSS(".seek button")))
	}
	seek("bay waiting")
	p.wait(`location.pathname === '/search' && document.querySelectorAll('.found .piece').length === 2`)
	seek("saltmarsh")
	p.wait(`document.querySelector('.found a[href="/orders/SMI-1"]')`)
	seek(f.panels[0].Ticket)
	p.wait(`location.pathname === '/t/` + f.panels[0].Ticket + `'`)
}
