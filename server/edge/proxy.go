package edge

import (
	"net/netip"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"
)

// Client returns the address that a request comes from: the other end of the connection, or where that is a proxy
// of the shop's, the nearest before it that is none. X-Forwarded-For is read from its end, because each proxy adds
// whom it heard, and what stands before that anyone may have written. The machine itself counts as a proxy: who can
// connect from there needs no disguise.
func (e *Edge) Client(c *fiber.Ctx) netip.Addr {
	from, _ := netip.AddrFromSlice(c.Context().RemoteIP())
	from = from.Unmap()
	var told []string
	for _, line := range c.Request().Header.PeekAll(fiber.HeaderXForwardedFor) {
		told = append(told, strings.Split(string(line), ",")...)
	}
	for i := len(told) - 1; i >= 0 && e.isProxy(from); i-- {
		addr, err := netip.ParseAddr(strings.TrimSpace(told[i]))
		if err != nil {
			break
		}
		from = addr.Unmap().WithZone("")
	}
	return from
}

func (e *Edge) isProxy(addr netip.Addr) bool {
	return addr.IsLoopback() || e.ThroughProxy(addr)
}

// ThroughProxy reports whether an address is that of a proxy which the shop was told of.
func (e *Edge) ThroughProxy(addr netip.Addr) bool {
	return slices.ContainsFunc(e.Proxies, func(network netip.Prefix) bool { return network.Contains(addr) })
}
