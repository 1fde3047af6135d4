package secure

import (
	"bufio"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"io"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// made returns a new authority for shop.local and its folder, and a clock to turn.
func made(t *testing.T) (a *Authority, dir string, now *time.Time) {
	t.Helper()
	now, dir = new(time.Time), t.TempDir()
	*now = time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)
	if err := Make(dir, []string{"Shop.Local.", "shop.local", " ", "bench-pc"}, *now); err != nil {
		t.Fatal(err)
	}
	a, err := Open(dir, func() time.Time { return *now })
	if err != nil {
		t.Fatal(err)
	}
	return a, dir, now
}

// reached is a connection that came by an address of this machine.
type reached struct {
	net.Conn
	by string
}

func (c reached) LocalAddr() net.Addr { return &net.TCPAddr{IP: net.ParseIP(c.by), Port: 8080} }

// TestCertificateOfTheShop: what devices that trust the authority accept, and for how long, by Go's verification.
func TestCertificateOfTheShop(t *testing.T) {
	a, _, now := made(t)
	for _, tt := range []struct {
		by, asks string
		good     bool
	}{
		{"192.168.1.20", "192.168.1.20", true}, {"192.168.1.20", "shop.local", true}, {"192.168.1.20", "bench-pc", true}, {"127.0.0.1", "localhost", true},
		{"fd00::20", "fd00::20", true}, {"127.0.0.1", "127.0.0.1", true}, {"10.0.0.7", "192.168.1.20", true}, // it has been asked by both
		{"192.168.1.20", "example.com", false}, {"192.168.1.20", "192.168.1.21", false}, {"203.0.113.7", "203.0.113.7", false},
	} {
		got, err := a.ForHello(&tls.ClientHelloInfo{Conn: reached{by: tt.by}})
		if err != nil {
			t.Fatal(err)
		}
		_, err = got.Leaf.Verify(x509.VerifyOptions{Roots: a.Pool(), DNSName: tt.asks, CurrentTime: *now})
		if (err == nil) != tt.good {
			t.Errorf("asked by %s for %s: %v", tt.by, tt.asks, err)
		}
	}
	first, err := a.ForHello(&tls.ClientHelloInfo{})
	if err != nil {
		t.Fatal(err)
	}
	if life := first.Leaf.NotAfter.Sub(first.Leaf.NotBefore); life > 398*24*time.Hour {
		t.Errorf("a server's certificate lasts %v, which some systems refuse", life)
	}
	// It is renewed in time, for who asks next.
	begun := *now
	for _, tt := range []struct {
		days    int
		renewed bool
	}{{59, false}, {61, true}, {62, false}, {-30, true}} { // the last: the clock is set back
		*now = begun.AddDate(0, 0, tt.days)
		later, err := a.ForHello(&tls.ClientHelloInfo{})
		if err != nil || (later != first) != tt.renewed {
			t.Errorf("after %d days it is renewed: %v, %v", tt.days, later != first, err)
		}
		first = later
		if _, err := later.Leaf.Verify(x509.VerifyOptions{Roots: a.Pool(), DNSName: "shop.local", CurrentTime: begun.AddDate(0, 0, max(0, tt.days))}); tt.days >= 0 && err != nil {
			t.Errorf("after %d days: %v", tt.days, err)
		}
	}
}

// forged is a certificate for another's name that somebody with the authority's key has made.
func forged(t *testing.T, a *Authority, name string, ip net.IP) []byte {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{NotBefore: a.clock().Add(-time.Hour), NotAfter: a.clock().Add(time.Hour), KeyUsage: x509.KeyUsageDigitalSignature,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
	if name != "" {
		template.DNSNames = []string{name}
	}
	if ip != nil {
		template.IPAddresses = []net.IP{ip}
	}
	der, err := sign(template, a.cert, &key.PublicKey, a.key)
	if err != nil {
		t.Fatal(err)
	}
	return der
}

// TestNameConstraints: with the authority's key nobody makes certificates for others' names that its devices take; Go's
// verification and OpenSSL's say so.
func TestNameConstraints(t *testing.T) {
	a, dir, now := made(t)
	openssl, noOpenSSL := exec.LookPath("openssl")
	for _, tt := range []struct {
		name string
		ip   net.IP
		good bool
	}{{"shop.local", nil, true}, {"bench-pc", nil, true}, {"", net.IPv4(192, 168, 1, 20), true}, {"", net.ParseIP("fd00::7"), true},
		{"example.com", nil, false}, {"shop.local.example.com", nil, false}, {"other.example", nil, false},
		{"", net.IPv4(203, 0, 113, 7), false}, {"", net.ParseIP("2001:db8::7"), false}} {
		der := forged(t, a, tt.name, tt.ip)
		cert, err := x509.ParseCertificate(der)
		if err != nil {
			t.Fatal(err)
		}
		_, err = cert.Verify(x509.VerifyOptions{Roots: a.Pool(), CurrentTime: *now})
		var invalid x509.CertificateInvalidError
		if (err == nil) != tt.good || err != nil && !(errors.As(err, &invalid) && invalid.Reason == x509.CANotAuthorizedForThisName) {
			t.Errorf("for %s%v: %v", tt.name, tt.ip, err)
		}
		if noOpenSSL != nil {
			continue
		}
		file := filepath.Join(t.TempDir(), "forged.pem")
		if err := os.WriteFile(file, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600); err != nil {
			t.Fatal(err)
		}
		said, err := exec.Command(openssl, "verify", "-CAfile", filepath.Join(dir, folder, certFile), "-attime", "1796112000", file).CombinedOutput()
		if (err == nil) != tt.good || err != nil && !strings.Contains(string(said), "permitted subtree violation") {
			t.Errorf("OpenSSL, for %s%v: %v %s", tt.name, tt.ip, err, said)
		}
	}
	if noOpenSSL != nil {
		t.Log("no openssl here: Go's verification alone was asked")
	}
}

// TestKeysAreTheOwners: nobody else may read the key, a key that lies open isn't used, and an authority is made once.
func TestKeysAreTheOwners(t *testing.T) {
	_, dir, now := made(t)
	key := filepath.Join(dir, folder, keyFile)
	if runtime.GOOS != "windows" {
		for file, want := range map[string]fs.FileMode{key: 0o600, filepath.Join(dir, folder): 0o700} {
			if info, err := os.Stat(file); err != nil || info.Mode().Perm() != want {
				t.Errorf("%s has mode %v, want %v", file, info.Mode().Perm(), want)
			}
		}
		if err := os.Chmod(key, 0o640); err != nil {
			t.Fatal(err)
		}
		var open *OpenKeyError
		if _, err := Open(dir, time.Now); !errors.As(err, &open) {
			t.Errorf("a key that others may read: %v", err)
		}
	}
	before, _ := os.ReadFile(key)
	if err := Make(dir, nil, *now); !errors.Is(err, fs.ErrExist) {
		t.Errorf("made again: %v", err)
	}
	if after, _ := os.ReadFile(key); string(after) != string(before) {
		t.Error("the key that devices trust is another")
	}
}

// TestFilesAreReadAgain: a certificate that is renewed in place is the one that is shown; while its files don't belong together
// it is the one before.
func TestFilesAreReadAgain(t *testing.T) {
	dir := t.TempDir()
	cert, key := filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	now := time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)
	write := func(name string, both bool) {
		t.Helper()
		other := t.TempDir()
		if err := Make(other, []string{name}, now); err != nil {
			t.Fatal(err)
		}
		for from, to := range map[string]string{certFile: cert, keyFile: key} {
			if to == key && !both {
				continue
			}
			body, err := os.ReadFile(filepath.Join(other, folder, from))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(to, body, 0o600); err != nil {
				t.Fatal(err)
			}
			if err := os.Chtimes(to, now, now); err != nil {
				t.Fatal(err)
			}
		}
	}
	write("one.test", true)
	f, err := OpenFiles(cert, key, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	first, _ := f.ForHello(nil)
	shown := func(want bool, when string) {
		t.Helper()
		if got, err := f.ForHello(nil); err != nil || (got == first) != want {
			t.Errorf("%s the first is shown: %v, %v", when, got == first, err)
		}
	}
	now = now.Add(2 * time.Minute)
	write("two.test", false)
	shown(true, "while only one of the files is new")
	now = now.Add(2 * time.Minute)
	write("two.test", true)
	shown(false, "once both are new")
	if _, err := OpenFiles(cert, filepath.Join(dir, "nowhere"), time.Now); err == nil {
		t.Error("a key that isn't there is no error")
	}
}

// TestOnePort: TLS and plain connections are told apart by what they begin with, and each hears what it says.
func TestOnePort(t *testing.T) {
	a, _, now := made(t)
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	both := Listen(ln, Config(a.ForHello))
	t.Cleanup(func() { both.Close() })
	encrypted := make(chan bool, 4)
	go func() {
		for {
			c, err := both.Accept()
			if err != nil {
				return
			}
			go func() { // says what it hears
				defer c.Close()
				said, err := bufio.NewReader(c).ReadString('\n')
				if err == nil {
					encrypted <- c.(*conn).Encrypted()
					io.WriteString(c, said)
				}
			}()
		}
	}()
	echo := func(c net.Conn) string {
		t.Helper()
		defer c.Close()
		c.SetDeadline(time.Now().Add(10 * time.Second))
		io.WriteString(c, "GET /\n")
		said, _ := io.ReadAll(c)
		return string(said)
	}
	plain, err := net.Dial("tcp", ln.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	if said := echo(plain); said != "GET /\n" || <-encrypted {
		t.Errorf("plain: %q", said)
	}
	safe, err := tls.Dial("tcp", ln.Addr().String(), &tls.Config{RootCAs: a.Pool(), Time: func() time.Time { return *now }})
	if err != nil {
		t.Fatal(err)
	}
	if said := echo(safe); said != "GET /\n" || !<-encrypted {
		t.Errorf("TLS: %q", said)
	}
	if _, err := tls.Dial("tcp", ln.Addr().String(), &tls.Config{RootCAs: a.Pool(), MaxVersion: tls.VersionTLS11, Time: func() time.Time { return *now }}); err == nil {
		t.Error("TLS 1.1 is spoken")
	}
}
