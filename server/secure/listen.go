package secure

import (
	"crypto/tls"
	"errors"
	"net"
	"sync/atomic"
)

// Config returns how the shop speaks TLS, by whatever gives it its certificates.
func Config(forHello func(*tls.ClientHelloInfo) (*tls.Certificate, error)) *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}, GetCertificate: forHello}
}

// Listen takes TLS and plain connections on one port: the printed codes of a shop that spoke plain HTTP before still lead to
// it, and a phone that doesn't trust the shop yet can come and learn how.
func Listen(ln net.Listener, config *tls.Config) net.Listener { return &listener{ln, config} }

type listener struct {
	net.Listener
	config *tls.Config
}

func (l *listener) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return &conn{Conn: c, config: l.config}, nil
}

// handshake is the first byte of a TLS connection (RFC 8446, 5.1): no request of HTTP begins so.
const handshake = 22

// conn finds out at its first byte, which who serves it waits for, what is spoken on it.
type conn struct {
	net.Conn
	config *tls.Config
	spoken atomic.Pointer[net.Conn] // nil until the first byte has come
}

// Encrypted reports whether TLS is spoken on the connection, once something was read of it.
func (c *conn) Encrypted() bool {
	spoken := c.spoken.Load()
	if spoken == nil {
		return false
	}
	_, is := (*spoken).(*tls.Conn)
	return is
}

func (c *conn) Read(b []byte) (int, error) {
	if spoken := c.spoken.Load(); spoken != nil {
		return (*spoken).Read(b)
	}
	first := make([]byte, 1)
	if n, err := c.Conn.Read(first); n == 0 {
		return 0, err
	}
	var spoken net.Conn = &begun{Conn: c.Conn, first: first}
	if first[0] == handshake {
		spoken = tls.Server(spoken, c.config)
	}
	c.spoken.Store(&spoken)
	return spoken.Read(b)
}

func (c *conn) Write(b []byte) (int, error) {
	if spoken := c.spoken.Load(); spoken != nil {
		return (*spoken).Write(b)
	}
	return c.Conn.Write(b)
}

// CloseWrite ends what is said, not what is heard.
func (c *conn) CloseWrite() error {
	if c.Encrypted() {
		return (*c.spoken.Load()).(*tls.Conn).CloseWrite()
	}
	if half, ok := c.Conn.(interface{ CloseWrite() error }); ok {
		return half.CloseWrite()
	}
	return errors.ErrUnsupported
}

// begun is a connection whose first byte has been read already.
type begun struct {
	net.Conn
	first []byte
}

func (c *begun) Read(b []byte) (int, error) {
	if len(c.first) > 0 && len(b) > 0 {
		n := copy(b, c.first)
		c.first = c.first[n:]
		return n, nil
	}
	return c.Conn.Read(b)
}
