package secure

import (
	"crypto/tls"
	"io/fs"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"
)

// filesLook is how often it is looked whether the files have changed. Our own choice.
const filesLook = time.Minute

// Files are a certificate and its key that somebody else renews, in place.
type Files struct {
	cert, key string
	clock     func() time.Time

	mu     sync.Mutex
	pair   *tls.Certificate
	looked time.Time
	stamp  [2]time.Time
}

// OpenFiles reads a certificate, with those between it and its authority behind it, and its key, both PEM.
func OpenFiles(cert, key string, clock func() time.Time) (*Files, error) {
	f := &Files{cert: cert, key: key, clock: clock}
	pair, err := tls.LoadX509KeyPair(cert, key)
	if err != nil {
		return nil, err
	}
	f.pair, f.looked, f.stamp = &pair, clock(), f.stamps()
	return f, nil
}

// ForHello returns the certificate as the files have it. While they can't be read, or don't belong together because they are
// just being renewed, it is the one before.
func (f *Files) ForHello(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if now := f.clock(); now.Sub(f.looked).Abs() >= filesLook {
		f.looked = now
		if stamp := f.stamps(); stamp != f.stamp {
			if pair, err := tls.LoadX509KeyPair(f.cert, f.key); err == nil {
				f.pair, f.stamp = &pair, stamp
			}
		}
	}
	return f.pair, nil
}

// Names are those that the certificate is for, but for patterns of names.
func (f *Files) Names() []string {
	return slices.DeleteFunc(slices.Clone(f.pair.Leaf.DNSNames), func(name string) bool { return strings.Contains(name, "*") })
}

// stamps are when the files were written last.
func (f *Files) stamps() (stamps [2]time.Time) {
	for i, name := range []string{f.cert, f.key} {
		if info, err := os.Stat(name); err == nil {
			stamps[i] = info.ModTime()
		}
	}
	return stamps
}

// liesOpen reports whether others than its owner may read a file, as far as its mode tells.
func liesOpen(info fs.FileInfo) bool {
	return runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0
}
