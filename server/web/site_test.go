package web

import "testing"

// TestOwnAddress: after signing in one goes on only within the site.
func TestOwnAddress(t *testing.T) {
	for asked, want := range map[string]string{
		"/t/7K3M9Q2T5": "/t/7K3M9Q2T5", "/station/tape?ticket=7": "/station/tape?ticket=7", "": "/", "//evil.test/x": "/",
		"https://evil.test": "/", `/\evil.test`: "/", "evil": "/", "/sign-out": "/", "javascript:alert(1)": "/",
	} {
		if got := ownAddress(asked); got != want {
			t.Errorf("ownAddress(%q) = %q, want %q", asked, got, want)
		}
	}
}
