package edge

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// metrics are the server's own figures since it started, shown in the text format that monitors read
// (prometheus.io/docs/instrumenting/exposition_formats).
type metrics struct {
	Streams atomic.Int64

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

// Write writes the figures; gauges are by turns a name and its value.
func (m *metrics) Write(w io.Writer, gauges ...any) {
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
