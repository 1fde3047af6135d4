//go:build linux || darwin

package copies

import (
	"os"
	"syscall"
)

// SameDisk reports whether two folders are known to lie on one disk, as far as the system tells.
func SameDisk(a, b string) bool {
	one, err := os.Stat(a)
	if err != nil {
		return false
	}
	two, err := os.Stat(b)
	if err != nil {
		return false
	}
	x, known := one.Sys().(*syscall.Stat_t)
	y, both := two.Sys().(*syscall.Stat_t)
	return known && both && x.Dev == y.Dev
}
