package main

import (
	"fmt"
	"io"
	"net"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// network lies between a browser and the shop, and can be cut.
type network struct {
	listener net.Listener
	to       string

	mu    sync.Mutex
	cut   bool
	conns map[net.Conn]struct{}
}

// between opens a network to the shop for the time of the test.
func between(t *testing.T, s *shop) *network {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	n := &network{listener: ln, to: strings.TrimPrefix(s.url, "http://"), conns: map[net.Conn]struct{}{}}
	t.Cleanup(func() { ln.Close(); n.set(true) })
	go n.serve()
	return n
}

func (n *network) serve() {
	for {
		client, err := n.listener.Accept()
		if err != nil {
			return
		}
		server, err := net.Dial("tcp", n.to)
		if err != nil || !n.keep(client, server) {
			client.Close()
			continue
		}
		go pipe(client, server)
		go pipe(server, client)
	}
}

// keep notes the ends of a connection, so that it can be cut; false while the network is cut.
func (n *network) keep(ends ...net.Conn) bool {
	n.mu.Lock()
	defer n.mu.Unlock()
	for _, c := range ends {
		if n.cut {
			c.Close()
			continue
		}
		n.conns[c] = struct{}{}
	}
	return !n.cut
}

// set cuts the network or mends it.
func (n *network) set(cut bool) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.cut = cut
	if cut {
		for c := range n.conns {
			c.Close()
		}
		clear(n.conns)
	}
}

func pipe(to, from net.Conn) {
	io.Copy(to, from)
	to.Close()
	from.Close()
}

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

// through is the shop seen through the network.
func (n *network) through(s *shop) *shop {
	seen := *s
	seen.url = "http://" + n.listener.Addr().String()
	return &seen
}

// catchesUp cuts the network during 50 scans; afterwards each page equals a fresh one.
func catchesUp(t *testing.T, c *chromium) {
	s := openShop(t)
	f := s.release(t, "SMI-1", manyWindows("5")...)
	f.cutAll(t)
	n := between(t, s)
	b := c.signIn(t, n.through(s))
	paths := []string{"/board", "/station/joining", "/screen", "/t/" + f.panels[0].Ticket}
	var pages []*tab
	for _, path := range paths {
		pages = append(pages, b.tab(t, 1280, 800, path))
	}

	n.set(true)
	mended := time.Now().Add(cutFor())
	scans := 0
	for _, panel := range f.panels { // five scans each, by which one half is held at the fold and the other at work at the tape
		code := panel.Ticket
		s.finish(t, s.station, code, s.start(t, s.station, code))
		st := s.start(t, s.station, code)
		if panel.Panel == "L" {
			s.done(t, s.station, scan(code, "undo", ""), nil)
			s.done(t, s.station, scan(code, "hold", "", "reason", "Flaw in width 2 of copy "+fmt.Sprint(panel.Copy)), nil)
		} else {
			s.finish(t, s.station, code, st)
			s.start(t, s.station, code)
		}
		scans += 5
	}
	if scans != 50 {
		t.Fatalf("%d scans, want 50", scans)
	}
	for _, p := range pages {
		p.wait(`!document.getElementById('lost').hidden`) // it says plainly that it is out of date
		if text := p.sees("#lost"); len(text) < 20 {
			t.Errorf("cut off, the page says %q", text)
		}
	}
	time.Sleep(time.Until(mended))
	n.set(false)

	elsewhere := c.signIn(t, s)
	for i, p := range pages {
		p.wait(`document.getElementById('lost').hidden`)
		fresh := read[string](elsewhere.tab(t, 1280, 800, paths[i]), liveRegions)
		var shown string
		equal := func() bool { shown = read[string](p, liveRegions); return shown == fresh }
		for deadline := time.Now().Add(patience); !equal(); time.Sleep(50 * time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatalf("%s does not catch up\nit shows\n%s\nwant\n%s", paths[i], shown, fresh)
			}
		}
	}
}

// keepsScans scans while the network is away: the page keeps the scans, says so, and sends them in order.
func keepsScans(t *testing.T, c *chromium) {
	s := openShop(t)
	f := s.release(t, "SMI-1", manyWindows("3")...)
	f.cutAll(t)
	ahead := f.panels[2].Ticket // will be refused: it is not here any more
	s.workTo(t, ahead, "fold")
	n := between(t, s)
	bench := c.signIn(t, n.through(s)).tab(t, 1280, 800, "/station/joining")
	before := s.board(t).Seq

	n.set(true)
	for _, panel := range f.panels {
		bench.do(chromedp.Focus(chromedp.CSS("#scan")), chromedp.KeyEvent(panel.Ticket+"\r"))
	}
	bench.wait(`!document.getElementById('kept').hidden`)
	for _, panel := range f.panels {
		bench.wait(fmt.Sprintf(`document.getElementById('kept').textContent.includes(%q)`, panel.Ticket))
	}
	if now := s.board(t).Seq; now != before {
		t.Fatalf("the ledger moved from %d to %d while the network was away", before, now)
	}
	// A photograph can't be kept by the page: it is left out, and said so; what is wrong is kept like any scan.
	held := f.panels[3].Ticket
	bench.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{ const form = Object.assign(document.createElement("form"), { id: "with-photo" });
		form.method = "post"; form.action = "/station/joining/scan"; form.dataset.scan = "ticket";
		form.innerHTML = '<input name="code" value="%s"><input name="action" value="hold"><input name="reason" value="A pulled thread"><input type="file" name="photo" data-away="left out">';
		const photo = new DataTransfer(); photo.items.add(new File(["x"], "x.jpg", { type: "image/jpeg" }));
		document.body.append(form); form.querySelector("[type=file]").files = photo.files; form.requestSubmit(); }`, held)))
	bench.wait(`document.querySelector("#answer .said.refused")?.textContent.includes("left out")`)
	bench.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("with-photo").requestSubmit()`))
	bench.wait(fmt.Sprintf(`document.getElementById('kept').textContent.includes(%q)`, held))
	n.set(false)
	bench.wait(`document.getElementById('kept').hidden`)
	events := s.events(t, s.office, fmt.Sprintf("?after=%d", before), "")
	for _, panel := range f.panels {
		if panel.Ticket == ahead {
			s.expect(t, ahead, "fold", "ready")
			continue
		}
		if panel.Ticket != held {
			s.expect(t, panel.Ticket, "joining", "at_work")
		}
		select {
		case e := <-events:
			if e.Data.Ticket != panel.Ticket || e.Data.Action != "start" {
				t.Errorf("%s of %s, want the start of %s: the scans in the order in which they were made", e.Data.Action, e.Data.Ticket, panel.Ticket)
			}
		case <-time.After(patience):
			t.Fatal("a scan that was kept never arrives")
		}
	}
	bench.until("the hold arrives", func() bool { return s.look(t, held).Step.State == "held" })
}
