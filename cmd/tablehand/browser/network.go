package browser

import (
	"io"
	"net"
	"strings"
	"sync"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// Network lies between a browser and the shop, and can be cut.
type Network struct {
	listener net.Listener
	to       string

	mu    sync.Mutex
	cut   bool
	conns map[net.Conn]struct{}
}

// Between opens a network to the shop for the time of the test.
func Between(t *testing.T, s *shoptest.Shop) *Network {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	n := &Network{listener: ln, to: strings.TrimPrefix(s.URL, "http://"), conns: map[net.Conn]struct{}{}}
	t.Cleanup(func() { ln.Close(); n.Set(true) })
	go n.serve()
	return n
}
func (n *Network) serve() {
	for {
		client, err := n.listener.Accept()
		if err != nil {
			return
		}
		server, err := net.Dial("tcp", n.to)
		if err != nil || !n.keep(client, server) {
			client.Close()
			continue
		}
		go pipe(client, server)
		go pipe(server, client)
	}
}

// keep notes the ends of a connection, so that it can be cut; false while the network is cut.
func (n *Network) keep(ends ...net.Conn) bool {
	n.mu.Lock()
	defer n.mu.Unlock()
	for _, c := range ends {
		if n.cut {
			c.Close()
			continue
		}
		n.conns[c] = struct{}{}
	}
	return !n.cut
}

// Set cuts the network or mends it.
func (n *Network) Set(cut bool) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.cut = cut
	if cut {
		for c := range n.conns {
			c.Close()
		}
		clear(n.conns)
	}
}
func pipe(to, from net.Conn) {
	io.Copy(to, from)
	to.Close()
	from.Close()
}

// Through is the shop seen through the network.
func (n *Network) Through(s *shoptest.Shop) *shoptest.Shop {
	seen := *s
	seen.URL = "http://" + n.listener.Addr().String()
	return &seen
}
