package server

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"net"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tablehand/stations"
	"tablehand/stations/board"
	"tablehand/stations/plan"
)

// hall has so many readers on real connections, and tells when each has read one more event.
type hall struct {
	readers int
	missing atomic.Int64
	all     chan struct{}
}

func newHall(readers int) *hall { return &hall{readers: readers, all: make(chan struct{}, 1)} }

// read takes in what a connection sends until it closes, counting the empty lines that end the events.
func (h *hall) read(from *bufio.Reader) {
	for {
		line, err := from.ReadSlice('\n')
		if err != nil {
			return
		}
		if bytes.HasPrefix(line, []byte("data: ")) && h.missing.Add(-1) == 0 {
			h.all <- struct{}{}
		}
	}
}

// expect says that an event is about to be sent; wait waits until every reader has it.
func (h *hall) expect() { h.missing.Store(int64(h.readers)) }

func (h *hall) wait(tb testing.TB) {
	select {
	case <-h.all:
	case <-time.After(patience):
		tb.Fatalf("%d of %d readers never got an event", h.missing.Load(), h.readers)
	}
}

// follow opens so many event streams of the shop.
func (h *hall) follow(tb testing.TB, s *shop) {
	tb.Helper()
	host := strings.TrimPrefix(s.listen(tb), "http://")
	for range h.readers {
		conn, err := net.Dial("tcp", host)
		if err != nil {
			tb.Fatal(err)
		}
		tb.Cleanup(func() { conn.Close() })
		fmt.Fprintf(conn, "GET /api/events HTTP/1.1\r\nHost: %s\r\nAuthorization: Bearer %s\r\n\r\n", host, s.tokens[stations.Screen])
		from := bufio.NewReader(conn)
		for { // the stream's first words
			line, err := from.ReadString('\n')
			if err != nil {
				tb.Fatal(err)
			}
			if strings.HasPrefix(line, "retry: ") {
				break
			}
		}
		go h.read(from)
	}
}

// dial opens so many bare connections and returns their writing ends.
func (h *hall) dial(tb testing.TB) []net.Conn {
	tb.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { ln.Close() })
	conns := make([]net.Conn, h.readers)
	for i := range conns {
		conn, err := net.Dial("tcp", ln.Addr().String())
		if err != nil {
			tb.Fatal(err)
		}
		if conns[i], err = ln.Accept(); err != nil {
			tb.Fatal(err)
		}
		tb.Cleanup(func() { conn.Close(); conns[i].Close() })
		go h.read(bufio.NewReader(conn))
	}
	return conns
}

// BenchmarkPatch tells 200 readers on real connections of one scan, from the command until the last of them has read
// it: by the server's event streams, a durable commit included, and by a bare loop that writes the same bytes to as
// many connections, which commits nothing. The two take turns, so that whatever else the machine does bears on both;
// their times and the ratios are reported, in the mean and of the slowest in a hundred, and those of the commit alone.
func BenchmarkPatch(b *testing.B) {
	const readers = 200
	s, quiet := openShop(b), openShop(b)
	code, other := plan.Code(s.release(b, "SMI-1")[0]), plan.Code(quiet.release(b, "SMI-1")[0])
	bare, streams := newHall(readers), newHall(readers)
	conns := bare.dial(b)
	streams.follow(b, s)
	e := toggle(b, quiet, other, 0)
	text := fmt.Appendf(nil, "id: %d\nevent: change\ndata: %s\n\n", e.Seq, encode(b, board.ChangeOf(e))) // as the stream sends it
	var byLoop, byStreams, commit []time.Duration
	turn := 0
	for b.Loop() {
		turn++
		bare.expect()
		began := time.Now()
		for _, conn := range conns {
			if _, err := conn.Write(text); err != nil {
				b.Fatal(err)
			}
		}
		bare.wait(b)
		byLoop = append(byLoop, time.Since(began))

		began = time.Now()
		toggle(b, quiet, other, turn)
		commit = append(commit, time.Since(began))

		streams.expect()
		began = time.Now()
		toggle(b, s, code, turn-1)
		streams.wait(b)
		byStreams = append(byStreams, time.Since(began))
	}
	bareMean, bareSlow := times(b, byLoop, "bare")
	times(b, commit, "commit")
	mean, slow := times(b, byStreams, "streams")
	b.ReportMetric(mean/bareMean, "streams/bare")
	b.ReportMetric(slow/bareSlow, "p99-streams/bare")
}

// times reports the mean of times and their 99th in a hundred, in microseconds.
func times(b *testing.B, took []time.Duration, name string) (mean, p99 float64) {
	slices.Sort(took)
	for _, d := range took {
		mean += float64(d.Nanoseconds()) / 1e3 / float64(len(took))
	}
	p99 = float64(took[len(took)*99/100].Nanoseconds()) / 1e3
	b.ReportMetric(mean, name+"-µs")
	b.ReportMetric(p99, name+"-p99-µs")
	return mean, p99
}

// toggle holds a ticket and resumes it by turns.
func toggle(b *testing.B, s *shop, code plan.Code, turn int) stations.Event {
	scan := stations.Scan{Actor: stations.Actor{Role: stations.Bench, Device: "tablet"}, Ticket: code, Action: stations.Hold, Reason: "lunch", Key: fmt.Sprint(turn)}
	if turn%2 == 1 {
		scan.Action = stations.Resume
	}
	e, err := s.Store.Do(context.Background(), scan)
	if err != nil {
		b.Fatal(err)
	}
	return e
}
