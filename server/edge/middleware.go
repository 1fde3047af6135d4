package edge

import (
	"crypto/rand"
	"crypto/subtle"
	"fmt"
	"net/url"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/auth"
	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/views"
)

// Names of what a request carries from middleware to handler.
const (
	localID      = "request"
	localActor   = "actor"
	localDevice  = "device"
	localSignIn  = "sign-in"
	localToken   = "token"
	localPrinter = "printer"
)

// policy lets a page load only what this server sends, and no script or style written into the page.
const policy = "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// begin gives a request its id and the headers of every answer.
func begin(c *fiber.Ctx) {
	id := rand.Text()
	c.Locals(localID, id)
	c.Set(fiber.HeaderXRequestID, id)
	c.Set(fiber.HeaderContentSecurityPolicy, policy)
	c.Set(fiber.HeaderXContentTypeOptions, "nosniff")
	c.Set(fiber.HeaderReferrerPolicy, "same-origin")
	c.Set(fiber.HeaderCacheControl, "no-store")
	c.Vary(fiber.HeaderAcceptLanguage)
}

// Trace begins a request, turns a panic into an error, and writes the access log with the route in place of the
// address, so that codes and names stay out of it.
func (e *Edge) Trace(c *fiber.Ctx) error {
	defer e.bodies.give(&c.Request().Header)
	began := time.Now() // durations go by the machine's clock, whatever the shop's says
	begin(c)
	done, err := e.byHTTPS(c)
	if !done {
		err = e.guard(c)
	}
	if err != nil {
		if err := e.AnswerError(c, err); err != nil {
			return err
		}
	}
	took, status, path := time.Since(began), c.Response().StatusCode(), routeOf(c)
	e.Metrics.count(requestKind{path, c.Method(), status}, took)
	actor, _ := ActorOf(c)
	e.Desk.Log.Info("request", "request", RequestID(c), "method", c.Method(), "route", path, "status", status,
		"took", took.Round(time.Microsecond), "device", actor.Device)
	return nil
}

// guard runs the rest of a request and returns a panic of it as an error.
func (e *Edge) guard(c *fiber.Ctx) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("server: panic: %v\n%s", r, debug.Stack())
		}
	}()
	return c.Next()
}

// routeOf returns the pattern of the route that a request reached: bounded, so that it can be a label.
func routeOf(c *fiber.Ctx) string {
	if path := c.Route().Path; path != "/" || c.Path() == "/" {
		return path
	}
	return "none"
}

func RequestID(c *fiber.Ctx) string {
	id, _ := c.Locals(localID).(string)
	return id
}

// ActorOf returns who asks; false for a stranger.
func ActorOf(c *fiber.Ctx) (stations.Actor, bool) {
	a, ok := c.Locals(localActor).(stations.Actor)
	return a, ok
}

// TokenOf returns the token that forms of a page for this request have to carry, "" where the request came without
// a cookie: nothing can be sent in its name.
func TokenOf(c *fiber.Ctx) string {
	token, _ := c.Locals(localToken).(string)
	return token
}

// CheckToken refuses a form that a browser sends with its cookie but that is none of a page that we made for this
// sign-in. The API takes no forms: there the rule of the origin and a cookie that other sites' forms don't send
// (SameSite) are what protects a sign-in.
func CheckToken(c *fiber.Ctx) error {
	if token := TokenOf(c); token != "" && !auth.Safe(c.Method()) && !forPrograms(c.Path()) {
		sent := c.Get(views.TokenHeader)
		if sent == "" {
			sent = c.FormValue(views.TokenField)
		}
		if subtle.ConstantTimeCompare([]byte(sent), []byte(token)) != 1 {
			return desk.Refuse("forbidden", views.TokenField, "Stale", true)
		}
	}
	return nil
}

// forPrograms reports whether an address is the API's, not a page's.
func forPrograms(path string) bool { return strings.HasPrefix(strings.ToLower(path), "/api/") }

// Admit lets those in whom a route is for.
func (e *Edge) Admit(who Access) fiber.Handler {
	return func(c *fiber.Ctx) error {
		actor, known := ActorOf(c)
		switch {
		case who == nil:
			return c.Next()
		case !known:
			return desk.Refuse("unauthorized", "")
		case !slices.Contains(who, actor.Role):
			return desk.Refuse("forbidden", "", "Role", string(actor.Role))
		}
		if err := CheckToken(c); err != nil {
			return err
		}
		return c.Next()
	}
}

// Param returns a part of the address as it was meant, "%20" being a space.
func Param(c *fiber.Ctx, name string) string {
	raw := c.Params(name)
	if plain, err := url.PathUnescape(raw); err == nil {
		return plain
	}
	return raw
}
