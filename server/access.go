package server

import (
	"errors"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/auth"
	"tablehand/stations"
)

// identify finds out who asks: by a bearer token, else by the cookie of a sign-in. A change that comes with the
// cookie must come from a page of ours, or another site could have the browser send it.
func (s *Server) identify(c *fiber.Ctx) error {
	ctx, cancel := waiting()
	defer cancel()
	var actor stations.Actor
	var err error
	scheme, token, found := strings.Cut(c.Get(fiber.HeaderAuthorization), " ")
	switch cookie := c.Cookies(auth.CookieName); {
	case found && strings.EqualFold(scheme, "Bearer"):
		actor, err = s.Auth.Token(ctx, strings.TrimSpace(token))
	case cookie == "":
		return c.Next()
	case !ourOrigin(c):
		return refuse("forbidden", "origin")
	default:
		actor, err = s.Auth.Session(ctx, cookie)
	}
	switch {
	case err == nil:
		c.Locals(localActor, actor)
		if !found {
			c.Locals(localToken, auth.FormToken(c.Cookies(auth.CookieName)))
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

// signIn: POST /api/session.
func (s *Server) signIn(c *fiber.Ctx) error {
	var body struct {
		Passphrase string `json:"passphrase"`
	}
	if err := decode(c, &body); err != nil {
		return err
	}
	if err := checkTexts(text("passphrase", body.Passphrase, true, maxReason)); err != nil {
		return err
	}
	if err := s.openSession(c, body.Passphrase); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// openSession gives the browser a cookie for the right passphrase. The error is unauthorized for a wrong one and
// too_many for one guess too many.
func (s *Server) openSession(c *fiber.Ctx, passphrase string) error {
	if !ourOrigin(c) {
		return refuse("forbidden", "origin")
	}
	s.signingIn.Lock() // one at a time: a hash of it costs much memory by design
	defer s.signingIn.Unlock()
	guesser := "passphrase " + s.client(c).String()
	if seconds := s.guesses.wait(guesser); seconds > 0 {
		return refuse("too_many", "", "Seconds", seconds)
	}
	ctx, cancel := waiting()
	defer cancel()
	secret, expires, err := s.Auth.SignIn(ctx, passphrase)
	if errors.Is(err, auth.ErrUnknown) {
		s.guesses.fail(guesser)
		return refuse("unauthorized", "passphrase")
	}
	if err != nil {
		return err
	}
	c.Cookie(s.cookie(secret, expires))
	return nil
}

// signOut: DELETE /api/session.
func (s *Server) signOut(c *fiber.Ctx) error {
	if err := s.closeSession(c); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// closeSession forgets the browser's sign-in, here and in the browser.
func (s *Server) closeSession(c *fiber.Ctx) error {
	if secret := c.Cookies(auth.CookieName); secret != "" {
		ctx, cancel := waiting()
		defer cancel()
		if err := s.Auth.SignOut(ctx, secret); err != nil {
			return err
		}
	}
	c.Cookie(s.cookie("", s.Clock().Add(-time.Hour)))
	return nil
}

// cookie makes the sign-in's cookie, which no script can read.
func (s *Server) cookie(secret string, expires time.Time) *fiber.Cookie {
	return &fiber.Cookie{
		Name: auth.CookieName, Value: secret, Path: "/", Expires: expires, HTTPOnly: true,
		SameSite: fiber.CookieSameSiteLaxMode, Secure: strings.HasPrefix(s.shop().Address, "https://"),
	}
}
