package main

import (
	"errors"
	"net"
	"strconv"
	"syscall"
)

// lanAddress returns the machine's address on its own network, for tickets and phones; the loopback address when
// it has none. It sends nothing.
func lanAddress() string {
	addrs, err := net.InterfaceAddrs()
	if err != nil {
		return "127.0.0.1"
	}
	for _, a := range addrs {
		if ip, ok := a.(*net.IPNet); ok && ip.IP.IsPrivate() && ip.IP.To4() != nil {
			return ip.IP.String()
		}
	}
	return "127.0.0.1"
}

// publicAddress is the base URL under which others reach a listener.
func publicAddress(ln net.Listener) string {
	host, port, err := net.SplitHostPort(ln.Addr().String())
	if err != nil {
		return "http://" + ln.Addr().String()
	}
	if ip := net.ParseIP(host); ip == nil || ip.IsUnspecified() {
		host = lanAddress()
	}
	return "http://" + net.JoinHostPort(host, port)
}

// portOf is the port that a listener got.
func portOf(ln net.Listener) string {
	_, port, err := net.SplitHostPort(ln.Addr().String())
	if err != nil {
		return ln.Addr().String()
	}
	return port
}

// listenNear listens on addr or, where that port is taken, on the next free one of the twenty behind it.
func listenNear(addr string) (net.Listener, error) {
	ln, err := net.Listen("tcp", addr)
	host, port, splitErr := net.SplitHostPort(addr)
	first, portErr := strconv.Atoi(port)
	if err == nil || splitErr != nil || portErr != nil || !errors.Is(err, syscall.EADDRINUSE) {
		return ln, err
	}
	for next := first + 1; next <= first+20; next++ {
		if ln, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(next))); err == nil {
			return ln, nil
		}
	}
	return nil, err
}
