//go:build unix

package edge

import "syscall"

// descriptors returns how many files and connections the program may have open at once.
func descriptors() int {
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_NOFILE, &limit); err != nil || limit.Cur > usualMost {
		return usualMost + reserved
	}
	return int(limit.Cur)
}
