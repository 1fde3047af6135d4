package edge

import (
	"errors"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"

	"tablehand/server/auth"
	"tablehand/server/desk"
	"tablehand/stations"
)

// asking is what a request shows of who sends it: a bearer token, else the cookie of a sign-in.
type asking struct{ token, cookie string }

// askingOf reads it of a header.
func askingOf(h *fasthttp.RequestHeader) asking {
	scheme, token, found := strings.Cut(string(h.Peek(fiber.HeaderAuthorization)), " ")
	if found && strings.EqualFold(scheme, "Bearer") {
		return asking{token: strings.TrimSpace(token)}
	}
	return asking{cookie: string(h.Cookie(auth.CookieName))}
}

// whoIs finds out who that is. The error is auth.ErrUnknown for nobody whom the shop knows.
func (e *Edge) whoIs(a asking) (stations.Actor, error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	switch {
	case a.token != "":
		return e.Auth.Token(ctx, a.token)
	case a.cookie != "":
		return e.Auth.Session(ctx, a.cookie)
	}
	return stations.Actor{}, auth.ErrUnknown
}

// StillIn returns a way to ask later whether who sent a request is still let in as what they were.
func (e *Edge) StillIn(c *fiber.Ctx) func() bool {
	asked := askingOf(&c.Request().Header)
	was, _ := ActorOf(c)
	return func() bool {
		is, err := e.whoIs(asked)
		return err == nil && is.Role == was.Role
	}
}

// Identify finds out who asks. A change that comes with the cookie must come from a page of ours, or another site could
// have the browser send it.
func (e *Edge) Identify(c *fiber.Ctx) error {
	asked := askingOf(&c.Request().Header)
	if asked.cookie != "" && !ourOrigin(c) {
		return desk.Refuse("forbidden", "origin")
	}
	actor, err := e.whoIs(asked)
	heardOn(c, err == nil)
	switch {
	case err == nil:
		c.Locals(localActor, actor)
		if asked.cookie != "" {
			c.Locals(localToken, auth.FormToken(asked.cookie))
		}
	case !errors.Is(err, auth.ErrUnknown):
		return err
	}
	return c.Next()
}

// ourOrigin reports whether a request comes from a page of this server, or changes nothing.
func ourOrigin(c *fiber.Ctx) bool {
	return auth.SameOrigin(c.Method(), string(c.Request().Host()), c.Get("Sec-Fetch-Site"), c.Get(fiber.HeaderOrigin))
}

// OpenSession gives the browser a cookie for the right passphrase. The error is unauthorized for a wrong one and
// too_many for one guess too many.
func (e *Edge) OpenSession(c *fiber.Ctx, passphrase string) error {
	if !ourOrigin(c) {
		return desk.Refuse("forbidden", "origin")
	}
	e.SigningIn.Lock() // one at a time: a hash of it costs much memory by design
	defer e.SigningIn.Unlock()
	guesser := e.guesser(c)
	if seconds := e.Guesses.Wait(guesser); seconds > 0 {
		return desk.Refuse("too_many", "", "Seconds", seconds)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	secret, expires, err := e.Auth.SignIn(ctx, passphrase)
	if errors.Is(err, auth.ErrUnknown) {
		e.Guesses.Fail(guesser)
		return desk.Refuse("unauthorized", "passphrase")
	}
	if err != nil {
		return err
	}
	c.Cookie(e.cookie(secret, expires))
	return nil
}

// guesser is whom guesses of the passphrase are counted against: what one user of a network has for himself.
func (e *Edge) guesser(c *fiber.Ctx) string { return "passphrase " + network(e.Client(c)).String() }

// Guess reports whether somebody knows the shop's passphrase, and how many seconds to wait after one guess too many.
func (e *Edge) Guess(c *fiber.Ctx, passphrase string) (right bool, wait int, err error) {
	e.SigningIn.Lock()
	defer e.SigningIn.Unlock()
	guesser := e.guesser(c)
	if wait = e.Guesses.Wait(guesser); wait > 0 {
		return false, wait, nil
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if right, err = e.Auth.IsPassphrase(ctx, passphrase); err == nil && !right {
		e.Guesses.Fail(guesser)
	}
	return right, 0, err
}

// CloseSession forgets the browser's sign-in, here and in the browser.
func (e *Edge) CloseSession(c *fiber.Ctx) error {
	if secret := c.Cookies(auth.CookieName); secret != "" {
		ctx, cancel := desk.Waiting()
		defer cancel()
		if err := e.Auth.SignOut(ctx, secret); err != nil {
			return err
		}
	}
	c.Cookie(e.cookie("", e.Desk.Clock().Add(-time.Hour)))
	return nil
}

// cookie makes the sign-in's cookie, which no script can read.
func (e *Edge) cookie(secret string, expires time.Time) *fiber.Cookie {
	return &fiber.Cookie{
		Name: auth.CookieName, Value: secret, Path: "/", Expires: expires, HTTPOnly: true,
		SameSite: fiber.CookieSameSiteLaxMode, Secure: strings.HasPrefix(e.Desk.Shop().Address, "https://"),
	}
}
