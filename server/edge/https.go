package edge

import (
	"cmp"
	"net"
	"net/netip"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"

	"tablehand/server/auth"
)

// HTTPS is how the shop itself speaks it.
type HTTPS struct {
	Spoken bool // beside plain HTTP, on the same port
	// Public reports that browsers trust the certificate by themselves, so that they may be told to come by HTTPS alone. A
	// certificate of the shop's own authority isn't so: a device that doesn't trust it yet has to come and learn how.
	Public bool
}

// stayEncrypted has browsers come by HTTPS alone for a year, the least that OWASP ASVS asks for (from memory). Other names of
// the same domain are none of the shop's business.
const stayEncrypted = "max-age=31536000"

// cameEncrypted is the cookie of a browser that has come by HTTPS: it is led there from the plain addresses of older codes.
const cameEncrypted = "tablehand_https"

// hostPrefix begins the names of cookies that a browser keeps for this host and HTTPS alone (RFC 6265bis). Those of plain HTTP
// are kept beside them, so that a shop can go back to that.
const hostPrefix = "__Host-"

// Encrypted reports whether a request came by the shop's own HTTPS.
func Encrypted(c *fiber.Ctx) bool {
	conn, ok := c.Context().Conn().(*connection)
	if !ok {
		return false
	}
	by, ok := conn.Conn.(interface{ Encrypted() bool })
	return ok && by.Encrypted()
}

// byHTTPS gives what comes by HTTPS its header and cookie, and leads a browser there that has come by it before. done is that
// the answer is given.
func (e *Edge) byHTTPS(c *fiber.Ctx) (done bool, err error) {
	switch {
	case !e.HTTPS.Spoken:
		return false, nil
	case Encrypted(c):
		if e.HTTPS.Public && named(string(c.Request().Host())) {
			c.Set(fiber.HeaderStrictTransportSecurity, stayEncrypted)
		}
		if c.Cookies(cameEncrypted) == "" && e.WantsPage(c) {
			c.Cookie(&fiber.Cookie{Name: cameEncrypted, Value: "yes", Path: "/", Expires: e.Desk.Clock().Add(auth.KnownLife), HTTPOnly: true,
				SameSite: fiber.CookieSameSiteLaxMode})
		}
		return false, nil
	case c.Method() == fiber.MethodGet && c.Cookies(cameEncrypted) != "" && e.WantsPage(c) && len(c.Request().Header.Peek(fiber.HeaderXForwardedFor)) == 0:
		return true, c.Redirect("https://"+string(c.Request().Host())+c.OriginalURL(), fiber.StatusFound)
	}
	return false, nil
}

// named reports whether a host, with its port or without, is a name and no address: only names can be bound to HTTPS.
func named(host string) bool {
	if alone, _, err := net.SplitHostPort(host); err == nil {
		host = alone
	}
	_, err := netip.ParseAddr(strings.Trim(host, "[]"))
	return err != nil
}

// cookieOf returns the value of a cookie of ours, that of HTTPS before that of plain HTTP.
func cookieOf(h *fasthttp.RequestHeader, name string) string {
	return cmp.Or(string(h.Cookie(hostPrefix+name)), string(h.Cookie(name)))
}

// cookie makes a cookie that no script can read. Behind a proxy that speaks HTTPS for the shop its address tells that.
func (e *Edge) cookie(c *fiber.Ctx, name, secret string, expires time.Time) *fiber.Cookie {
	made := &fiber.Cookie{
		Name: name, Value: secret, Path: "/", Expires: expires, HTTPOnly: true,
		SameSite: fiber.CookieSameSiteLaxMode, Secure: !e.HTTPS.Spoken && strings.HasPrefix(e.Desk.Shop().Address, "https://"),
	}
	if Encrypted(c) {
		made.Name, made.Secure = hostPrefix+name, true
	}
	return made
}
