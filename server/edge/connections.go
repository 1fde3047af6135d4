package edge

import (
	"container/list"
	"errors"
	"io"
	"net"
	"net/netip"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/gofiber/fiber/v2"
)

const (
	// perAddress is how many connections one address may hold open that haven't yet shown a cookie or a token that the
	// shop knows. Our own choice: a browser opens six, and a workroom behind one address signs in few devices at once.
	perAddress = 64
	// reserved are descriptors that connections leave to the database, its log, pictures and backups. Our own choice.
	reserved = 64
	// usualMost bounds the connections of machines that allow a program a million descriptors: each open one costs some
	// 20 kB. Our own choice.
	usualMost = 16_384

	firstPause   = 5 * time.Millisecond // after an Accept that failed, doubled up to longestPause
	longestPause = time.Second

	lingerTime  = 5 * time.Second
	lingerBytes = 64 << 20
)

// Connections is a listener that no crowd of strangers can end or fill. An Accept that fails for want of descriptors is
// tried again; where the shop, or one address, has as many connections as it may, the stranger that has been silent
// longest makes room. A connection that has shown a cookie or token of the shop's is no stranger's any more and isn't
// closed for others.
type Connections struct {
	net.Listener
	most    int
	inAll   func(netip.Addr) bool // addresses that are counted only in all: proxies, which many people stand behind
	closing sync.Once
	closed  chan struct{}

	mu        sync.Mutex
	open      int
	strangers list.List                 // of *connection, the one heard last at its end
	near      map[netip.Addr]*list.List // the same by the network they come from
}

// Listen guards a listener. most is how many connections may be open at once, 0 for what the machine allows; inAll
// says which addresses are proxies.
func Listen(ln net.Listener, most int, inAll func(netip.Addr) bool) *Connections {
	if most <= 0 {
		most = min(usualMost, max(1, descriptors()-reserved))
	}
	return &Connections{Listener: ln, most: most, inAll: inAll, closed: make(chan struct{}), near: map[netip.Addr]*list.List{}}
}

// Accept waits for the next connection that there is room for.
func (l *Connections) Accept() (net.Conn, error) {
	for pause := firstPause; ; {
		conn, err := l.Listener.Accept()
		switch {
		case err == nil:
			if c := l.admit(conn); c != nil {
				return c, nil
			}
			conn.Close()
		case !passing(err):
			return nil, err
		default:
			l.makeRoom()
			select {
			case <-time.After(pause):
			case <-l.closed:
				return nil, net.ErrClosed
			}
			pause = min(2*pause, longestPause)
		}
	}
}

// Close ends Accept, also one that pauses. Connections stay open.
func (l *Connections) Close() error {
	l.closing.Do(func() { close(l.closed) })
	return l.Listener.Close()
}

// passing reports whether an Accept may do better later: the fault is the one connection's, or a want that ends.
func passing(err error) bool {
	return slices.ContainsFunc([]syscall.Errno{syscall.EMFILE, syscall.ENFILE, syscall.ENOBUFS, syscall.ENOMEM,
		syscall.ECONNABORTED, syscall.ECONNRESET, syscall.EPROTO, syscall.EINTR},
		func(e syscall.Errno) bool { return errors.Is(err, e) })
}

// admit takes a connection in, for whose sake others may be closed; nil where all that are open are known ones.
func (l *Connections) admit(conn net.Conn) *connection {
	c := &connection{Conn: conn, of: l, network: networkOf(conn.RemoteAddr())}
	if l.inAll(c.network) {
		c.network = netip.Addr{}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if near := l.near[c.network]; c.network.IsValid() && near != nil && near.Len() >= perAddress {
		l.drop(near.Front().Value.(*connection))
	}
	if l.open >= l.most && l.strangers.Len() > 0 {
		l.drop(l.strangers.Front().Value.(*connection))
	}
	if l.open >= l.most {
		return nil
	}
	l.open++
	l.line(c)
	return c
}

// makeRoom closes the stranger that has been silent longest, if there is one.
func (l *Connections) makeRoom() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if oldest := l.strangers.Front(); oldest != nil {
		l.drop(oldest.Value.(*connection))
	}
}

// DropStrangers closes the connections of all whom the shop doesn't know.
func (l *Connections) DropStrangers() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for next := l.strangers.Front(); next != nil; next = l.strangers.Front() {
		l.drop(next.Value.(*connection))
	}
}

// line puts a stranger at the end of the line.
func (l *Connections) line(c *connection) {
	c.inLine = l.strangers.PushBack(c)
	if l.near[c.network] == nil {
		l.near[c.network] = list.New()
	}
	c.inNear = l.near[c.network].PushBack(c)
}

// unline takes a connection out of the line, if it stands there.
func (l *Connections) unline(c *connection) {
	if c.inLine == nil {
		return
	}
	l.strangers.Remove(c.inLine)
	near := l.near[c.network]
	near.Remove(c.inNear)
	if near.Len() == 0 {
		delete(l.near, c.network)
	}
	c.inLine, c.inNear = nil, nil
}

// release counts a connection out, once.
func (l *Connections) release(c *connection) {
	if !c.released {
		c.released = true
		l.open--
		l.unline(c)
	}
}

// drop closes a connection for another's sake.
func (l *Connections) drop(c *connection) {
	l.release(c)
	c.Conn.Close()
}

// heard moves a connection by whether the shop knows who asks on it: a stranger to the end of the line, anybody else
// out of it.
func (l *Connections) heard(c *connection, known bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if c.inLine == nil {
		return
	}
	l.unline(c)
	if !known {
		l.line(c)
	}
}

// networkOf returns what one user of a network has for himself: an IPv4 address, or the 64 leading bits of an IPv6 one.
func networkOf(addr net.Addr) netip.Addr {
	from, err := netip.ParseAddrPort(addr.String())
	if err != nil {
		return netip.Addr{}
	}
	return network(from.Addr())
}

// network is networkOf for an address alone.
func network(addr netip.Addr) netip.Addr {
	addr = addr.Unmap().WithZone("")
	if addr.Is4() {
		return addr
	}
	wide, _ := addr.Prefix(64) // an IPv6 address has them
	return wide.Addr()
}

// connection is one that Connections let in.
type connection struct {
	net.Conn
	of      *Connections
	network netip.Addr // it comes from; the zero one where that isn't counted
	linger  atomic.Bool

	// Guarded by of.mu.
	inLine, inNear *list.Element // nil where it is no stranger's, or closed
	released       bool
}

// heardOn tells the connection of a request whether the shop knows who asks.
func heardOn(c *fiber.Ctx, known bool) {
	if conn, ok := c.Context().Conn().(*connection); ok {
		conn.of.heard(conn, known)
	}
}

// lingerAfter has the request's connection closed with care. A refused upload is answered before it has been read;
// closing then makes the kernel reset the connection, and the reset can overtake the answer. So such a connection is
// first closed for writing only, and what still arrives is thrown away for a while.
func lingerAfter(c *fiber.Ctx) {
	c.Context().SetConnectionClose()
	if conn, ok := c.Context().Conn().(*connection); ok {
		conn.linger.Store(true)
	}
}

// Close closes the connection; one that lingers within lingerTime, after reading at most lingerBytes.
func (c *connection) Close() error {
	if half, ok := c.Conn.(interface{ CloseWrite() error }); ok && c.linger.CompareAndSwap(true, false) && half.CloseWrite() == nil {
		c.SetReadDeadline(time.Now().Add(lingerTime)) // the kernel's clock, not the shop's
		_, _ = io.CopyN(io.Discard, c.Conn, lingerBytes)
	}
	c.of.mu.Lock()
	c.of.release(c)
	c.of.mu.Unlock()
	return c.Conn.Close()
}
