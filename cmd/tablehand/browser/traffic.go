package browser

import (
	"context"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	cdpnet "github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/shoptest"
)

// Traffic is what a tab asks for over the network.
type Traffic struct {
	home string // the host that is asked

	mu     sync.Mutex
	open   map[cdpnet.RequestID]string
	last   time.Time // when something began or ended
	bytes  float64   // that came over the wire: heads and compressed bodies
	abroad []string  // requests to other hosts
}

// Watch follows the requests of a tab's context.
func Watch(t *testing.T, ctx context.Context, home string) *Traffic {
	t.Helper()
	at, err := url.Parse(home)
	if err != nil {
		t.Fatal(err)
	}
	w := &Traffic{home: at.Host, open: map[cdpnet.RequestID]string{}}
	err = chromedp.Listen(ctx, func(event any) {
		w.mu.Lock()
		defer w.mu.Unlock()
		switch e := event.(type) {
		case *cdpnet.EventRequestWillBeSent:
			if to, err := url.Parse(e.Request.URL); err != nil || (to.Scheme == "http" || to.Scheme == "https" || to.Scheme == "ws" || to.Scheme == "wss") && to.Host != w.home {
				w.abroad = append(w.abroad, e.Request.URL)
			}
			// The stream has no end, and what the page's beat is answered is not read.
			if e.Type != cdpnet.ResourceTypeEventSource && !strings.HasSuffix(e.Request.URL, "/healthz") {
				w.open[e.RequestID] = e.Request.URL
			}
		case *cdpnet.EventLoadingFinished:
			if _, begun := w.open[e.RequestID]; begun { // else it is of a page before
				w.bytes += e.EncodedDataLength
			}
			delete(w.open, e.RequestID)
		case *cdpnet.EventLoadingFailed:
			delete(w.open, e.RequestID)
		default:
			return
		}
		w.last = time.Now()
	})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Begin forgets what was.
func (w *Traffic) Begin() {
	w.mu.Lock()
	defer w.mu.Unlock()
	clear(w.open)
	w.bytes, w.abroad = 0, nil
}

// Sums returns the bytes since the beginning, and the requests to other hosts.
func (w *Traffic) Sums() (bytes int, abroad []string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return int(w.bytes), w.abroad
}

// waits says what is still on its way, or was a moment ago; "" when nothing is.
func (w *Traffic) waits() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	since := time.Since(w.last)
	for _, address := range w.open {
		if since < time.Second { // of a page that was left, the browser doesn't tell every end
			return address
		}
	}
	if since < 30*time.Millisecond {
		return "a moment"
	}
	return ""
}

// Quiet waits until the tab asks for nothing any more.
func (p *Tab) Quiet() {
	p.T.Helper()
	for deadline := time.Now().Add(shoptest.Patience); ; time.Sleep(10 * time.Millisecond) {
		waits := p.Traffic.waits()
		if waits == "" {
			return
		}
		if time.Now().After(deadline) {
			p.T.Fatalf("the page never comes to be quiet: %s", waits)
		}
	}
}
