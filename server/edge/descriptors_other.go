//go:build !unix

package edge

// descriptors returns how many files and connections the program may have open at once: Windows sets no bound that is near.
func descriptors() int { return usualMost + reserved }
