package edge

import (
	"errors"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/auth"
	"tablehand/server/desk"
	"tablehand/stations"
)

// Identify finds out who asks: by a bearer token, else by the cookie of a sign-in. A change that comes with the
// cookie must come from a page of ours, or another site could have the browser send it.
func (e *Edge) Identify(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	var actor stations.Actor
	var err error
	formToken := "" // of the sign-in, where it is that of the cookie
	scheme, token, found := strings.Cut(c.Get(fiber.HeaderAuthorization), " ")
	switch cookie := c.Cookies(auth.CookieName); {
	case found && strings.EqualFold(scheme, "Bearer"):
		actor, err = e.Auth.Token(ctx, strings.TrimSpace(token))
	case cookie == "":
		heardOn(c, false)
		return c.Next()
	case !ourOrigin(c):
		return desk.Refuse("forbidden", "origin")
	default:
		actor, err = e.Auth.Session(ctx, cookie)
		formToken = auth.FormToken(cookie)
	}
	heardOn(c, err == nil)
	switch {
	case err == nil:
		c.Locals(localActor, actor)
		c.Locals(localToken, formToken)
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
	guesser := "passphrase " + e.Client(c).String()
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
