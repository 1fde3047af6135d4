package store

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// panelsOf releases an order whose n panels can be held and resumed, and returns their codes.
func panelsOf(tb testing.TB, s *Store, n int) []plan.Code {
	tb.Helper()
	order(tb, s, "SMI-1", 1, n)
	codes := make([]plan.Code, n)
	for i := range codes {
		codes[i] = code(2 + i)
	}
	return codes
}

// toggle holds a panel and resumes it by turns.
func toggle(c plan.Code, turn int, key string) stations.Scan {
	if turn%2 == 0 {
		return scan(c, stations.Hold, "", key)
	}
	return scan(c, stations.Resume, "", key)
}

// burst makes n scans from so many callers at once, each on a panel of its own.
func burst(tb testing.TB, s *Store, panels []plan.Code, callers, n int) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for c := range callers {
		wg.Go(func() {
			for turn := 0; next.Add(1) <= int64(n); turn++ {
				cmd := toggle(panels[c], turn, fmt.Sprint(c, "-", turn))
				if _, err := s.Do(context.Background(), cmd); err != nil {
					tb.Error(err)
					return
				}
			}
		})
	}
	wg.Wait()
}

// BenchmarkScans compares group commit with one commit a scan, each scan durable before its answer.
func BenchmarkScans(b *testing.B) {
	for _, callers := range []int{1, 64} {
		for _, way := range []struct {
			name  string
			batch int
		}{{"one_commit_each", 1}, {"group_commit", batchLimit}} {
			b.Run(fmt.Sprintf("%s/callers=%d", way.name, callers), func(b *testing.B) {
				s, err := Open(context.Background(), Options{Dir: b.TempDir(), Clock: ticking(), batch: way.batch})
				if err != nil {
					b.Fatal(err)
				}
				defer s.Close()
				panels := panelsOf(b, s, callers)
				b.ResetTimer()
				burst(b, s, panels, callers, b.N)
			})
		}
	}
}

// BenchmarkOpen100k opens a shop whose ledger has 100,000 events: reading and folding all of it.
func BenchmarkOpen100k(b *testing.B) {
	dir := b.TempDir()
	s, err := Open(context.Background(), Options{Dir: dir, Clock: ticking()})
	if err != nil {
		b.Fatal(err)
	}
	burst(b, s, panelsOf(b, s, 256), 256, 100_000)
	if err := s.Close(); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		s, err := Open(context.Background(), Options{Dir: dir})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(s.Floor().Seq()), "events")
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
