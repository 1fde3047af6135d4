package cli

import (
	"context"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

// memory is how much the program may take before it tidies up more often.
type memory struct {
	Memory uint16 `default:"160" placeholder:"MB" help:"${help_memory}"`
}

// garbage may grow to so many percent of what lives before it is collected: at Go's own 100 a quarter of what a scan
// costs is collecting. Our own choice, measured.
const garbage = 400

const memoryLook = time.Minute // how often the limit follows what lives

// mind has garbage collected seldom, and often where the limit is near. The limit is a soft one, and at least twice what
// the shop needs: a long history must not have the program do nothing else. GOGC and GOMEMLIMIT go before.
func (m memory) mind(ctx context.Context) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(garbage)
	}
	if os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	runtime.GC() // what opening the shop left behind doesn't count
	debug.SetMemoryLimit(m.limit(living()))
	go func() {
		look := time.NewTicker(memoryLook)
		defer look.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-look.C:
				debug.SetMemoryLimit(m.limit(living()))
			}
		}
	}()
}

// limit is the soft limit in bytes where so many live.
func (m memory) limit(living uint64) int64 { return max(int64(m.Memory)<<20, 2*int64(living)) }

// living is how many bytes the last collection left.
func living() uint64 {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	return live[0].Value.Uint64()
}
