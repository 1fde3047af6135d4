package server

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gofiber/fiber/v2"
)

// metrics are the server's own figures since it started, shown in the text format that monitors read
// (prometheus.io/docs/instrumenting/exposition_formats).
type metrics struct {
	streams atomic.Int64

	mu       sync.Mutex
	requests map[requestKind]requestSum
}

// requestKind is what requests are counted by; the route is a pattern, so there are few.
type requestKind struct {
	route, method string
	status        int
}

type requestSum struct {
	count int64
	took  time.Duration
}

func newMetrics() *metrics { return &metrics{requests: map[requestKind]requestSum{}} }

// count counts one request that has been answered.
func (m *metrics) count(kind requestKind, took time.Duration) {
	m.mu.Lock()
	defer m.mu.Unlock()
	sum := m.requests[kind]
	m.requests[kind] = requestSum{sum.count + 1, sum.took + took}
}

// write writes the figures; gauges are by turns a name and its value.
func (m *metrics) write(w io.Writer, gauges ...any) {
	m.mu.Lock()
	defer m.mu.Unlock()
	kinds := make([]requestKind, 0, len(m.requests))
	for kind := range m.requests {
		kinds = append(kinds, kind)
	}
	slices.SortFunc(kinds, func(a, b requestKind) int {
		return cmp.Or(cmp.Compare(a.route, b.route), cmp.Compare(a.method, b.method), cmp.Compare(a.status, b.status))
	})
	fmt.Fprintln(w, "# TYPE tablehand_request_seconds summary")
	for _, k := range kinds {
		labels, sum := fmt.Sprintf("{route=%q,method=%q,status=\"%d\"}", k.route, k.method, k.status), m.requests[k]
		fmt.Fprintf(w, "tablehand_request_seconds_count%s %d\n", labels, sum.count)
		fmt.Fprintf(w, "tablehand_request_seconds_sum%s %g\n", labels, sum.took.Seconds())
	}
	for i := 0; i+1 < len(gauges); i += 2 {
		fmt.Fprintf(w, "# TYPE tablehand_%s gauge\ntablehand_%s %v\n", gauges[i], gauges[i], gauges[i+1])
	}
}

// showMetrics: GET /metrics, for a token or for the machine itself when no proxy stands between.
func (s *Server) showMetrics(c *fiber.Ctx) error {
	_, known := actorOf(c)
	local := c.Context().RemoteIP().IsLoopback() && c.Get(fiber.HeaderXForwardedFor) == "" && c.Get("Forwarded") == ""
	if !known && !local {
		return refuse("unauthorized", "")
	}
	var memory runtime.MemStats
	runtime.ReadMemStats(&memory)
	var text bytes.Buffer
	s.metrics.write(&text, "streams", s.metrics.streams.Load(), "ledger_seq", s.Store.Floor().Seq(),
		"goroutines", runtime.NumGoroutine(), "heap_bytes", memory.HeapAlloc)
	c.Set(fiber.HeaderContentType, "text/plain; version=0.0.4; charset=utf-8")
	return c.Send(text.Bytes())
}
