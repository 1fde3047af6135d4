package cli

import (
	"errors"
	"net"
	"slices"
	"strconv"
	"syscall"
)

// lanAddresses returns the machine's addresses on its own networks, the one that leads out first; none where it has
// none. It sends nothing.
func lanAddresses() []string {
	addrs, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	var all []string
	for _, a := range addrs {
		if ip, ok := a.(*net.IPNet); ok && ip.IP.IsPrivate() && ip.IP.To4() != nil {
			all = append(all, ip.IP.String())
		}
	}
	if i := slices.Index(all, outward()); i > 0 {
		all[0], all[i] = all[i], all[0]
	}
	return all
}

// outward returns the machine's address towards other networks, "" where it has no way there. Nothing is sent: for
// UDP a connection is only an entry in a table, and the address is one kept for examples (RFC 5737).
func outward() string {
	conn, err := net.Dial("udp4", "192.0.2.1:9")
	if err != nil {
		return ""
	}
	defer conn.Close()
	host, _, _ := net.SplitHostPort(conn.LocalAddr().String())
	return host
}

// lanAddress returns the likeliest of them, the loopback address when there is none.
func lanAddress() string {
	if all := lanAddresses(); len(all) > 0 {
		return all[0]
	}
	return "127.0.0.1"
}

// publicAddresses are the base URLs under which others may reach a listener, the likeliest first. A certificate that browsers
// trust by themselves is for names, so those go before addresses, and those of the shop's own authority behind them.
func publicAddresses(ln net.Listener, by https) []string {
	host, port, err := net.SplitHostPort(ln.Addr().String())
	if err != nil {
		return []string{by.scheme() + ln.Addr().String()}
	}
	hosts := []string{host}
	if ip := net.ParseIP(host); ip == nil || ip.IsUnspecified() {
		if hosts = lanAddresses(); len(hosts) == 0 {
			hosts = []string{"127.0.0.1"}
		}
		if by.authority != nil { // a name of this machine may lead to any of its addresses
			hosts = append(hosts, by.names...)
		}
	}
	if by.authority == nil {
		hosts = slices.Concat(by.names, hosts)
	}
	all := make([]string, len(hosts))
	for i, host := range hosts {
		all[i] = by.scheme() + net.JoinHostPort(host, port)
	}
	return all
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
