package cli

import (
	"runtime"
	"testing"
)

// The limit is what is asked for, and never so near to what lives that the program does nothing but collect.
func TestMemoryLimit(t *testing.T) {
	for _, tt := range []struct {
		asked, living uint64 // MB
		want          int64
	}{{160, 20, 160}, {160, 80, 160}, {160, 81, 162}, {160, 700, 1400}, {1, 20, 40}} {
		if got := (memory{uint16(tt.asked)}).limit(tt.living << 20); got != tt.want<<20 {
			t.Errorf("asked %d MB, %d live: %d bytes, want %d MB", tt.asked, tt.living, got, tt.want)
		}
	}
	kept := make([]byte, 50<<20)
	runtime.GC()
	if got := living(); got < 50<<20 {
		t.Errorf("%d bytes live beside 50 MB", got)
	}
	runtime.KeepAlive(kept)
}
