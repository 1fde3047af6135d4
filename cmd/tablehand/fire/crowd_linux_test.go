package fire

import (
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tablehand/cmd/tablehand/shoptest"
)

// crowd is how many half-open connections a stranger holds: many more than the shop may have, which a test in the
// long tier takes from the machine's own bound.
func crowd() (connections, most string, strangers int) {
	if os.Getenv("TABLEHAND_LONG") != "" {
		return "", "", 20_000
	}
	return "--connections", "400", 3_000
}

// TestCrowdOfStrangers: connections that are opened and never ask for anything keep nobody from working and don't end
// the shop. They are opened again as soon as they are closed.
func TestCrowdOfStrangers(t *testing.T) {
	dir := t.TempDir()
	option, most, strangers := crowd()
	args := shoptest.ServeArgs(dir)
	if option != "" {
		args = append(args, option, most)
	}
	s := shoptest.ServeBy(t, dir, args)
	s.Office, s.Station = s.Token(t, "Office", "office"), s.Token(t, "Bench 1", "station")
	f := s.Release(t, "CROWD-1")
	address := strings.TrimPrefix(s.URL, "http://")
	stop := make(chan struct{})
	var opened atomic.Int64
	var wg sync.WaitGroup
	for i := range 8 {
		// Linux has all of 127.0.0.0/8 for itself, so that the strangers come from addresses of their own.
		from := net.Dialer{Timeout: time.Second, LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 1, 0, byte(i+1))}}
		wg.Go(func() {
			var held []net.Conn
			for {
				select {
				case <-stop:
					for _, c := range held {
						c.Close()
					}
					return
				default:
				}
				conn, err := from.Dial("tcp", address)
				if err != nil {
					time.Sleep(time.Millisecond)
					continue
				}
				conn.Write([]byte("POST /api/scans HTTP/1.1\r\nHost: shop\r\n")) // and no more
				opened.Add(1)
				if held = append(held, conn); len(held) > 500 {
					held[0].Close()
					held = held[1:]
				}
			}
		})
	}
	for opened.Load() < int64(strangers) {
		s.Done(t, s.Station, shoptest.Scan(f.Cutting[0].Ticket, "start", "cutting"), nil)
		http.DefaultTransport.(*http.Transport).CloseIdleConnections() // each scan as one that has to be let in
		s.Done(t, s.Station, shoptest.Scan(f.Cutting[0].Ticket, "undo", "cutting"), nil)
	}
	close(stop)
	wg.Wait()
	f.CutAll(t)
	s.Audit(t)
}
