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

// between opens a network to the shop; the shop's address is the network's from then on.
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

func (n *network) url() string { return "http://" + n.listener.Addr().String() }

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

// liveRegions is what a page shows of the floor.
const liveRegions = `[...document.querySelectorAll('[data-live][id]')].map((r) => r.id + r.innerHTML.replace(/name="key" value="[^"]*"/g, '')).join('\n')`

// TestBrowserCatchesUp cuts the network during 50 scans; afterwards each page equals a fresh one.
func TestBrowserCatchesUp(t *testing.T) {
	s := openShop(t)
	b := openBrowser(t, s)
	f := s.release(t, "SMI-1", manyWindows("5")...)
	f.cutAll(t)
	n := between(t, s)
	direct := b.url
	b.shop = &shop{url: n.url(), dir: s.dir, printed: s.printed} // what the browser sees; the scans go straight
	paths := []string{"/board", "/station/joining", "/screen"}
	signIn := b.tab(t, 800, 600, "/sign-in#"+s.passphrase(t))
	signIn.wait(`location.pathname === "/"`)
	var pages []*tab
	for _, path := range paths {
		pages = append(pages, b.tab(t, 1280, 800, path))
	}
	for _, p := range pages {
		p.wait(`document.readyState === "complete"`)
	}

	n.set(true)
	mended := time.Now().Add(cutFor())
	for i := range 50 {
		code := f.panels[i%len(f.panels)].Ticket
		switch i / len(f.panels) % 2 {
		case 0:
			s.done(t, s.station, scan(code, "hold", "", "reason", fmt.Sprintf("Scan %d", i)), nil)
		default:
			s.done(t, s.station, scan(code, "resume", ""), nil)
		}
	}
	for _, p := range pages {
		p.wait(`!document.getElementById('lost').hidden`) // it says plainly that it is out of date
	}
	time.Sleep(time.Until(mended))
	n.set(false)

	for i, p := range pages {
		b.shop = s
		fresh := b.tab(t, 1280, 800, paths[i])
		want := read[string](fresh, liveRegions)
		p.wait(`document.getElementById('lost').hidden`)
		for deadline := time.Now().Add(patience); ; time.Sleep(50 * time.Millisecond) {
			got := read[string](p, liveRegions)
			if got == want {
				break
			}
			if time.Now().After(deadline) {
				t.Fatalf("%s (%s) does not catch up\nit shows\n%s\nwant\n%s", paths[i], direct, got, want)
			}
		}
	}
}

// TestBrowserKeepsScans scans while the network is away: the page keeps the scans, says so, and sends them in order.
func TestBrowserKeepsScans(t *testing.T) {
	s := openShop(t)
	b := openBrowser(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	n := between(t, s)
	b.shop = &shop{url: n.url(), dir: s.dir, printed: s.printed}
	bench := b.tab(t, 1280, 800, "/sign-in#"+s.passphrase(t))
	bench.wait(`location.pathname === "/"`)
	bench.open("/station/joining")
	bench.wait(`document.readyState === "complete"`)

	n.set(true)
	for _, panel := range f.panels {
		bench.do(chromedp.Focus(chromedp.CSS("#scan")), chromedp.KeyEvent(panel.Ticket+"\r"))
	}
	bench.wait(`!document.getElementById('kept').hidden`)
	for _, panel := range f.panels {
		bench.wait(fmt.Sprintf(`document.getElementById('kept').textContent.includes(%q)`, panel.Ticket))
		s.expect(t, panel.Ticket, "joining", "ready")
	}
	before := s.board(t).Seq
	n.set(false)
	bench.wait(`document.getElementById('kept').hidden`)
	for _, panel := range f.panels {
		s.expect(t, panel.Ticket, "joining", "at_work")
	}
	events := s.events(t, s.office, fmt.Sprintf("?after=%d", before), "")
	for _, panel := range f.panels {
		select {
		case e := <-events:
			if e.Data.Ticket != panel.Ticket || e.Data.Action != "start" {
				t.Errorf("%s of %s, want the scans in the order in which they were made", e.Data.Action, e.Data.Ticket)
			}
		case <-time.After(patience):
			t.Fatal("a scan that was kept never arrives")
		}
	}
}
