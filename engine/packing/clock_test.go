//go:build unix

package packing

import (
	"syscall"
	"time"
)

// taken is the processor time of this process: the clock on the wall counts what others do as well.
func taken() time.Duration {
	var r syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &r) != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
