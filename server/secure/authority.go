// Package secure is how a shop speaks HTTPS: on the port of its plain HTTP, by a certificate of its own authority or by files
// that somebody else renews. Neither needs a restart when a certificate is renewed.
package secure

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// How long certificates are good for. A phone is made to trust the authority by hand, so that lasts; a server's own is renewed
// by itself. Apple's systems take none of a server that lasts longer than 825 days (from memory). Our own choices.
const (
	authorityLife = 10 * 365 * 24 * time.Hour
	serverLife    = 90 * 24 * time.Hour
	renewBefore   = 30 * 24 * time.Hour
	clocksDiffer  = 24 * time.Hour // how far a device's clock may be behind
)

const (
	folder   = "certificates"
	certFile = "authority.pem"
	keyFile  = "authority.key"
)

// privateRanges are the addresses that the authority may vouch for: those of networks of one's own (RFC 1918, RFC 4193),
// of the link (RFC 3927, RFC 4291) and of the machine itself.
var privateRanges = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "169.254.0.0/16", "fc00::/7", "fe80::/10", "::1/128"}

// Authority is a shop's own. Its certificate says, and whoever trusts it holds it to that, that it vouches only for the names
// given when it was made and for addresses of private networks: who steals its key can't pretend to be a bank.
type Authority struct {
	cert  *x509.Certificate
	key   *ecdsa.PrivateKey
	clock func() time.Time

	mu        sync.Mutex
	addresses []string // that this machine was asked by, beside the loopback's
	leaf      *tls.Certificate
}

// Exists reports whether a data folder has an authority.
func Exists(dir string) bool {
	_, err := os.Stat(filepath.Join(dir, folder, certFile))
	return err == nil
}

// Make makes the authority of a data folder for these names, beside localhost. The error is fs.ErrExist where there is one:
// phones trust that.
func Make(dir string, names []string, now time.Time) (err error) {
	if Exists(dir) {
		return fmt.Errorf("secure: %s: %w", filepath.Join(dir, folder), fs.ErrExist)
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return err
	}
	template := &x509.Certificate{
		Subject:   pkix.Name{CommonName: "tablehand " + now.Format(time.DateOnly), Organization: []string{"The workroom's own"}},
		NotBefore: now.Add(-clocksDiffer), NotAfter: now.Add(authorityLife),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true,
		KeyUsage: x509.KeyUsageCertSign | x509.KeyUsageCRLSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: allNames(names),
	}
	for _, r := range privateRanges {
		_, network, err := net.ParseCIDR(r)
		if err != nil {
			return err
		}
		template.PermittedIPRanges = append(template.PermittedIPRanges, network)
	}
	cert, err := sign(template, template, &key.PublicKey, key)
	if err != nil {
		return err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Join(dir, folder), 0o700); err != nil {
		return err
	}
	// The certificate last: only with it there is an authority.
	if err := writePEM(filepath.Join(dir, folder, keyFile), "PRIVATE KEY", secret, 0o600); err != nil {
		return err
	}
	return writePEM(filepath.Join(dir, folder, certFile), "CERTIFICATE", cert, 0o644)
}

// allNames are the names with localhost, each once, in small letters.
func allNames(names []string) []string {
	all := []string{"localhost"}
	for _, name := range names {
		if name = oneName(name); name != "" {
			all = append(all, name)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// oneName is a name as certificates have it.
func oneName(name string) string {
	return strings.ToLower(strings.TrimSuffix(strings.TrimSpace(name), "."))
}

func sign(template, parent *x509.Certificate, public *ecdsa.PublicKey, key *ecdsa.PrivateKey) ([]byte, error) {
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127))
	if err != nil {
		return nil, err
	}
	template.SerialNumber = serial
	return x509.CreateCertificate(rand.Reader, template, parent, public, key)
}

func writePEM(file, kind string, body []byte, mode fs.FileMode) error {
	f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, mode)
	if err != nil {
		return err
	}
	return errors.Join(f.Chmod(mode), pem.Encode(f, &pem.Block{Type: kind, Bytes: body}), f.Sync(), f.Close())
}

// OpenKeyError is a key that others than its owner may read.
type OpenKeyError struct{ File string }

func (e *OpenKeyError) Error() string { return "secure: others may read the key " + e.File }

// Open reads the authority of a data folder; fs.ErrNotExist where there is none, *OpenKeyError where its key lies open.
func Open(dir string, clock func() time.Time) (*Authority, error) {
	file := filepath.Join(dir, folder, keyFile)
	if info, err := os.Stat(file); err != nil {
		return nil, err
	} else if liesOpen(info) {
		return nil, &OpenKeyError{file}
	}
	pair, err := tls.LoadX509KeyPair(filepath.Join(dir, folder, certFile), file)
	if err != nil {
		return nil, fmt.Errorf("secure: the authority: %w", err)
	}
	key, ok := pair.PrivateKey.(*ecdsa.PrivateKey)
	if !ok {
		return nil, errors.New("secure: the authority's key is of another kind")
	}
	return &Authority{cert: pair.Leaf, key: key, clock: clock}, nil
}

// Certificate is the authority's own, to be trusted, in DER.
func (a *Authority) Certificate() []byte { return a.cert.Raw }

// Fingerprint is the SHA-256 of the certificate as people compare it: "AB:CD:…".
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.cert.Raw)
	return strings.ReplaceAll(fmt.Sprintf("% X", sum), " ", ":")
}

// Names are those that it may vouch for, beside private addresses.
func (a *Authority) Names() []string { return a.cert.PermittedDNSDomains }

// VouchesFor reports whether it may vouch for a name.
func (a *Authority) VouchesFor(name string) bool { return slices.Contains(a.Names(), oneName(name)) }

// Ends is when it has to be made again, and be trusted again.
func (a *Authority) Ends() time.Time { return a.cert.NotAfter }

// Pool has the authority alone, for who asks the shop from its own machine.
func (a *Authority) Pool() *x509.CertPool {
	pool := x509.NewCertPool()
	pool.AddCert(a.cert)
	return pool
}

// ForHello returns the certificate for a connection: one that names the address it came by, and is good for a while yet. Its
// key is in memory alone.
func (a *Authority) ForHello(hello *tls.ClientHelloInfo) (*tls.Certificate, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	known := true
	if hello.Conn != nil {
		if tcp, ok := hello.Conn.LocalAddr().(*net.TCPAddr); ok && a.mayVouchFor(tcp.IP) && !slices.Contains(a.addresses, tcp.IP.String()) {
			a.addresses, known = append(a.addresses, tcp.IP.String()), false
		}
	}
	now := a.clock() // may have been set back
	if known && a.leaf != nil && a.leaf.Leaf.NotAfter.Sub(now) > renewBefore && a.leaf.Leaf.NotBefore.Before(now) {
		return a.leaf, nil
	}
	leaf, err := a.issue()
	if err == nil {
		a.leaf = leaf
	}
	return leaf, err
}

func (a *Authority) mayVouchFor(ip net.IP) bool {
	return slices.ContainsFunc(a.cert.PermittedIPRanges, func(r *net.IPNet) bool { return r.Contains(ip) })
}

// issue makes a certificate for the shop, as long as the authority itself is good.
func (a *Authority) issue() (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	now := a.clock()
	template := &x509.Certificate{
		Subject:   pkix.Name{Organization: []string{"tablehand"}},
		NotBefore: now.Add(-clocksDiffer), NotAfter: now.Add(serverLife),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
		DNSNames: a.Names(), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback},
	}
	if template.NotAfter.After(a.cert.NotAfter) {
		template.NotAfter = a.cert.NotAfter
	}
	for _, address := range a.addresses {
		template.IPAddresses = append(template.IPAddresses, net.ParseIP(address))
	}
	der, err := sign(template, a.cert, &key.PublicKey, a.key)
	if err != nil {
		return nil, err
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	return &tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key, Leaf: leaf}, nil
}
