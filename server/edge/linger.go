package edge

import (
	"io"
	"net"
	"sync/atomic"
	"time"

	"github.com/gofiber/fiber/v2"
)

const (
	lingerTime  = 5 * time.Second
	lingerBytes = 64 << 20
)

// Lingering is a listener whose connections can be closed with care. A refused upload is answered before it has
// been read; closing then makes the kernel reset the connection, and the reset can overtake the answer. So such a
// connection is first closed for writing only, and what still arrives is thrown away for a while.
type Lingering struct{ net.Listener }

func (l Lingering) Accept() (net.Conn, error) {
	conn, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	if tcp, ok := conn.(*net.TCPConn); ok {
		return &lingerConn{TCPConn: tcp}, nil
	}
	return conn, nil
}

type lingerConn struct {
	*net.TCPConn
	linger atomic.Bool
}

// lingerAfter has the request's connection closed with care.
func lingerAfter(c *fiber.Ctx) {
	c.Context().SetConnectionClose()
	if conn, ok := c.Context().Conn().(*lingerConn); ok {
		conn.linger.Store(true)
	}
}

// Close closes the connection; one that lingers within lingerTime, after reading at most lingerBytes.
func (c *lingerConn) Close() error {
	if c.linger.CompareAndSwap(true, false) && c.CloseWrite() == nil {
		c.SetReadDeadline(time.Now().Add(lingerTime)) // the kernel's clock, not the shop's
		_, _ = io.CopyN(io.Discard, c.TCPConn, lingerBytes)
	}
	return c.TCPConn.Close()
}
