//go:build linux || darwin

package store

import "syscall"

// diskSpace returns what a disk has free for us and what it holds at all, in bytes.
func diskSpace(dir string) (free, all int64, err error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, 0, err
	}
	return int64(s.Bavail) * int64(s.Bsize), int64(s.Blocks) * int64(s.Bsize), nil
}
