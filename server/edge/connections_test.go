package edge

import (
	"errors"
	"fmt"
	"io"
	"net"
	"net/netip"
	"os"
	"sync"
	"syscall"
	"testing"
	"time"
)

// line is a listener whose connections come from where a test says.
type line struct {
	come   chan any // a net.Conn or an error
	end    chan struct{}
	ending sync.Once
}

func newLine() *line { return &line{come: make(chan any, 100), end: make(chan struct{})} }

func (l *line) Accept() (net.Conn, error) {
	select {
	case <-l.end:
		return nil, net.ErrClosed
	case next := <-l.come:
		if err, ok := next.(error); ok {
			return nil, err
		}
		return next.(net.Conn), nil
	}
}

func (l *line) Close() error {
	l.ending.Do(func() { close(l.end) })
	return nil
}

func (l *line) Addr() net.Addr { return &net.TCPAddr{} }

// caller is one end of a connection that a test opens from an address.
type caller struct {
	net.Conn
	from string
}

func (c caller) RemoteAddr() net.Addr {
	return net.TCPAddrFromAddrPort(netip.AddrPortFrom(netip.MustParseAddr(c.from), 4000))
}

// call connects from an address and returns both ends, the shop's as it was accepted.
func call(t *testing.T, l *Connections, from string) (theirs net.Conn, ours *connection) {
	t.Helper()
	theirs, other := net.Pipe()
	l.Listener.(*line).come <- caller{other, from}
	conn, err := l.Accept()
	if err != nil {
		t.Fatal(err)
	}
	return theirs, conn.(*connection)
}

// isOpen reports whether the shop still holds a connection.
func isOpen(theirs net.Conn) bool {
	theirs.SetReadDeadline(time.Now().Add(5 * time.Millisecond))
	_, err := theirs.Read(make([]byte, 1))
	return !errors.Is(err, io.EOF)
}

func nobody(netip.Addr) bool { return false }

// A machine that has no descriptors left for a while is one that the shop waits for.
func TestAcceptsAgain(t *testing.T) {
	for _, code := range []syscall.Errno{syscall.EMFILE, syscall.ENFILE, syscall.ECONNABORTED, syscall.ENOBUFS} {
		l := Listen(newLine(), 10, nobody)
		theirs, _ := call(t, l, "192.168.1.7")
		for range 5 {
			l.Listener.(*line).come <- error(&net.OpError{Op: "accept", Err: os.NewSyscallError("accept4", code)})
		}
		began := time.Now()
		if _, ours := call(t, l, "192.168.1.8"); ours == nil {
			t.Fatal("nobody was let in")
		}
		if least := (1 + 2 + 4 + 8 + 16) * firstPause; time.Since(began) < least {
			t.Errorf("%v: five tries within %v: the pause has to grow", code, time.Since(began))
		}
		if isOpen(theirs) {
			t.Errorf("%v: no stranger made room", code)
		}
	}
}

func TestAcceptEnds(t *testing.T) {
	l := Listen(newLine(), 10, nobody)
	broken := errors.New("the network is gone")
	l.Listener.(*line).come <- broken
	if _, err := l.Accept(); !errors.Is(err, broken) {
		t.Errorf("a lasting fault is %v", err)
	}
	for range 20 {
		l.Listener.(*line).come <- error(syscall.EMFILE)
	}
	ended := make(chan error)
	go func() { _, err := l.Accept(); ended <- err }()
	time.Sleep(20 * time.Millisecond)
	if err := errors.Join(l.Close(), l.Close()); err != nil {
		t.Error(err)
	}
	select {
	case err := <-ended:
		if !errors.Is(err, net.ErrClosed) {
			t.Errorf("closed: %v", err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("a closed listener goes on pausing")
	}
}

// One address, or one network of IPv6, can't take the room of others: its own oldest stranger goes.
func TestConnectionsOfAnAddress(t *testing.T) {
	for _, tt := range []struct {
		name  string
		from  func(i int) string
		limit bool
	}{
		{"one address", func(int) string { return "192.168.1.7" }, true},
		{"one address, written as IPv6", func(int) string { return "::ffff:192.168.1.7" }, true},
		{"one network of IPv6", func(i int) string { return fmt.Sprintf("2001:db8:1:2::%x", i+1) }, true},
		{"many addresses", func(i int) string { return fmt.Sprintf("192.168.%d.%d", i/200, i%200+1) }, false},
		{"many networks of IPv6", func(i int) string { return fmt.Sprintf("2001:db8:1:%x::1", i) }, false},
		{"a proxy", func(int) string { return "10.0.0.9" }, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := Listen(newLine(), 1000, func(a netip.Addr) bool { return a == netip.MustParseAddr("10.0.0.9") })
			other, _ := call(t, l, "192.168.99.1")
			known, ours := call(t, l, tt.from(0))
			l.heard(ours, true)
			var theirs []net.Conn
			for i := range perAddress + 3 {
				one, _ := call(t, l, tt.from(i))
				theirs = append(theirs, one)
			}
			for i, one := range theirs {
				if want := !tt.limit || i >= 3; isOpen(one) != want {
					t.Errorf("connection %d of %d is open: %v", i, len(theirs), !want)
				}
			}
			if !isOpen(other) || !isOpen(known) {
				t.Errorf("another's is open: %v; a known one: %v", isOpen(other), isOpen(known))
			}
		})
	}
}

// With the shop full, the stranger that has been silent longest makes room, never somebody it knows.
func TestConnectionsInAll(t *testing.T) {
	l := Listen(newLine(), 4, nobody)
	known, ours := call(t, l, "192.168.1.1")
	l.heard(ours, true)
	silent, _ := call(t, l, "192.168.1.2")
	asking, ours := call(t, l, "192.168.1.3")
	after, _ := call(t, l, "192.168.1.4")
	l.heard(ours, false)
	call(t, l, "192.168.1.5")
	if isOpen(silent) || !isOpen(known) || !isOpen(asking) || !isOpen(after) {
		t.Error("the one that was silent longest had to go, and nobody else")
	}
	call(t, l, "192.168.1.6")
	if isOpen(after) || !isOpen(asking) {
		t.Error("who has just asked stays before who hasn't")
	}
}

// Where all are known, the next one has to wait until somebody goes.
func TestConnectionsAllKnown(t *testing.T) {
	l := Listen(newLine(), 2, nobody)
	_, first := call(t, l, "192.168.1.1")
	_, second := call(t, l, "192.168.1.2")
	l.heard(first, true)
	l.heard(second, true)
	theirs, other := net.Pipe()
	l.Listener.(*line).come <- caller{other, "192.168.1.3"}
	accepted := make(chan struct{})
	go func() {
		if _, err := l.Accept(); err == nil {
			close(accepted)
		}
	}()
	if theirs.SetReadDeadline(time.Now().Add(10 * time.Second)); !isClosed(theirs) {
		t.Error("one too many is open")
	}
	if err := errors.Join(first.Close(), first.Close()); err != nil {
		t.Error(err)
	}
	_, next := net.Pipe()
	l.Listener.(*line).come <- caller{next, "192.168.1.4"}
	<-accepted
	if l.open != 2 {
		t.Errorf("%d are counted", l.open)
	}
}

// isClosed waits for the shop to close a connection.
func isClosed(theirs net.Conn) bool {
	_, err := theirs.Read(make([]byte, 1))
	return errors.Is(err, io.EOF)
}
