package edge

import (
	"cmp"
	"context"
	"errors"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"

	"tablehand/server/auth"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
)

// asking is what a request shows of who sends it: a bearer token, else the cookies of a device and of a sign-in.
type asking struct{ token, device, cookie string }

// askingOf reads it of a header.
func askingOf(h *fasthttp.RequestHeader) asking {
	scheme, token, found := strings.Cut(string(h.Peek(fiber.HeaderAuthorization)), " ")
	if found && strings.EqualFold(scheme, "Bearer") {
		return asking{token: strings.TrimSpace(token)}
	}
	return asking{device: cookieOf(h, auth.DeviceCookie), cookie: cookieOf(h, auth.CookieName)}
}

// requester is who asks.
type requester struct {
	actor  stations.Actor
	device *store.Device // that asks, also one at which nobody has signed in; nil where the shop knows none
	secret string        // of the cookie by which it is let in, "" by a token
	signIn store.Session // by which it is let in, zero by anything else
}

// whoIs finds out who that is. The error is auth.ErrUnknown for nobody who may do anything. A bench and a wall are what they
// are whoever has signed in there: nobody reads prices off them who happens to stand by.
func (e *Edge) whoIs(a asking) (who requester, err error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	if a.token != "" {
		who.actor, err = e.Auth.Token(ctx, a.token)
		return who, err
	}
	if a.device != "" {
		d, err := e.Auth.Device(ctx, a.device)
		switch {
		case err == nil && d.Role() != "":
			return requester{actor: d.Actor(), device: &d, secret: a.device}, nil
		case err == nil:
			who.device = &d
		case !errors.Is(err, auth.ErrUnknown):
			return who, err
		}
	}
	if a.cookie == "" {
		return who, auth.ErrUnknown
	}
	if who.signIn, err = e.Auth.SignedIn(ctx, a.cookie); err != nil {
		return who, err
	}
	who.actor, who.secret = who.signIn.Actor(), a.cookie
	return who, nil
}

// StillIn returns a way to ask later whether who sent a request is still let in as what they were.
func (e *Edge) StillIn(c *fiber.Ctx) func() bool {
	asked := askingOf(&c.Request().Header)
	was, _ := ActorOf(c)
	return func() bool {
		is, err := e.whoIs(asked)
		return err == nil && is.actor.Role == was.Role
	}
}

// Identify finds out who asks. A change that comes with a cookie must come from a page of ours, or another site could
// have the browser send it.
func (e *Edge) Identify(c *fiber.Ctx) error {
	asked := askingOf(&c.Request().Header)
	if (asked.cookie != "" || asked.device != "") && !ourOrigin(c) {
		return desk.Refuse("forbidden", "origin")
	}
	who, err := e.whoIs(asked)
	heardOn(c, err == nil || who.device != nil)
	if who.device != nil {
		c.Locals(localDevice, who.device)
		e.sawDevice(c, who.device, asked.device)
	}
	switch {
	case err == nil:
		c.Locals(localActor, who.actor)
		if who.secret != "" {
			c.Locals(localToken, auth.FormToken(who.secret))
		}
		if who.signIn.ID != "" {
			c.Locals(localSignIn, who.signIn)
			e.renew(c, who.signIn, asked.cookie)
		}
	case !errors.Is(err, auth.ErrUnknown):
		return err
	}
	return c.Next()
}

// renew has a sign-in that is used last as long again. That it couldn't be kept is no reason to refuse what is asked.
func (e *Edge) renew(c *fiber.Ctx, s store.Session, cookie string) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	until, err := e.Auth.Renew(ctx, s)
	switch {
	case err != nil:
		e.Desk.Log.Warn("a sign-in is used, which is not kept", "request", RequestID(c), "error", err)
	case !until.IsZero():
		c.Cookie(e.cookie(c, auth.CookieName, cookie, until))
	}
}

// SignInOf returns the sign-in by which somebody asks, the zero one for who came in otherwise.
func SignInOf(c *fiber.Ctx) store.Session {
	s, _ := c.Locals(localSignIn).(store.Session)
	return s
}

// ourOrigin reports whether a request comes from a page of this server, or changes nothing.
func ourOrigin(c *fiber.Ctx) bool {
	return auth.SameOrigin(c.Method(), string(c.Request().Host()), c.Get("Sec-Fetch-Site"), c.Get(fiber.HeaderOrigin))
}

// SignIn is what somebody signs in with.
type SignIn struct {
	Person     string // a name, "" the owner
	Passphrase string
	Keep       bool // on this device, for long
}

// OpenSession gives the browser a cookie for the right passphrase. The error is unauthorized for a wrong one, too_many for
// one guess too many, sign_in_busy where more wait than there is room for, and forbidden at a bench and a wall. Guesses of a
// person's are counted by that person too, but for devices that the shop knows.
func (e *Edge) OpenSession(c *fiber.Ctx, with SignIn) error {
	if !ourOrigin(c) {
		return desk.Refuse("forbidden", "origin")
	}
	if d := DeviceOf(c); d != nil && d.Role() != "" {
		return desk.Refuse("forbidden", "device")
	}
	person := ""
	if _, known := e.guesser(c); with.Person != "" && !known {
		person = "person " + strings.ToLower(strings.TrimSpace(with.Person))
	}
	if seconds := e.Guesses.Wait(person); person != "" && seconds > 0 {
		return desk.Refuse("too_many", "", "Seconds", seconds)
	}
	var secret string
	var expires time.Time
	right, wait, err := e.inTurn(c, func(ctx context.Context) (err error) {
		secret, expires, err = e.Auth.SignInAs(ctx, with.Person, with.Passphrase, with.Keep)
		return err
	})
	switch {
	case err != nil:
		return err
	case wait > 0:
		return desk.Refuse("too_many", "", "Seconds", wait)
	case !right:
		if person != "" {
			e.Guesses.Fail(person)
		}
		e.note(c, store.Entry{Who: with.Person, What: store.SignInFailed, Address: e.Client(c).String()})
		return desk.Refuse("unauthorized", "passphrase")
	}
	e.note(c, store.Entry{Who: cmp.Or(with.Person, ownersName), What: store.SignedIn, Address: e.Client(c).String()})
	if before := cookieOf(&c.Request().Header, auth.CookieName); before != "" { // it takes the place of the one before
		ctx, cancel := desk.Waiting()
		defer cancel()
		if err := e.Auth.SignOut(ctx, before); err != nil {
			return err
		}
	}
	c.Cookie(e.cookie(c, auth.CookieName, secret, expires))
	return e.remember(c)
}

// ownersName is what the record calls who signs in with the shop's own passphrase.
const ownersName = "office"

// note keeps an entry of the record. A shop whose disk is full still lets its people in.
func (e *Edge) note(c *fiber.Ctx, entry store.Entry) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := e.Desk.Store.Note(ctx, entry); err != nil {
		e.Desk.Log.Warn("not noted in the record", "request", RequestID(c), "what", string(entry.What), "error", err)
	}
}

// Note keeps in the record what the one who asks has done.
func (e *Edge) Note(c *fiber.Ctx, what store.Deed, about string) { e.note(c, e.Deed(c, what, about)) }

// remember gives a browser that has signed in the cookie by which it is known.
func (e *Edge) remember(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	known, err := e.Auth.MakeKnown(ctx)
	if err != nil {
		return err
	}
	c.Cookie(e.cookie(c, auth.KnownName, known, e.Desk.Clock().Add(auth.KnownLife)))
	return nil
}

// Guess reports whether somebody knows the shop's passphrase, and how many seconds to wait after one guess too many. The
// error is sign_in_busy where more wait than there is room for.
func (e *Edge) Guess(c *fiber.Ctx, passphrase string) (right bool, wait int, err error) {
	return e.inTurn(c, func(ctx context.Context) error {
		right, err := e.Auth.IsPassphrase(ctx, passphrase)
		if err == nil && !right {
			return auth.ErrUnknown
		}
		return err
	})
}

// comeBack is after how many seconds to try again who waited in vain for a turn.
const comeBack = 1

// inTurn tries a passphrase when its turn has come, unless its guesser has to wait; auth.ErrUnknown is a wrong one.
func (e *Edge) inTurn(c *fiber.Ctx, try func(context.Context) error) (right bool, wait int, err error) {
	guesser, known := e.guesser(c)
	if wait = e.Guesses.Wait(guesser); wait > 0 {
		return false, wait, nil
	}
	if !e.turns.take(known) {
		e.Guesses.Fail(guesser) // who comes back at once, again and again, has soon used up what anybody may
		return false, 0, desk.Refuse("sign_in_busy", "", "Seconds", comeBack)
	}
	defer e.turns.give()
	if wait = e.Guesses.Wait(guesser); wait > 0 { // others from there were wrong meanwhile
		return false, wait, nil
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	err = try(ctx)
	if errors.Is(err, auth.ErrUnknown) {
		e.Guesses.Fail(guesser)
		e.Desk.Log.Warn("wrong passphrase", "request", RequestID(c), "from", e.Client(c).String())
		return false, 0, nil
	}
	return err == nil, 0, err
}

// guesser is whom guesses of the passphrase are counted against: the device, where the shop knows it or somebody has signed
// in on it before, else what one user of a network has for himself.
func (e *Edge) guesser(c *fiber.Ctx) (name string, known bool) {
	if actor, in := ActorOf(c); in {
		return "passphrase " + actor.Device, true
	}
	if d := DeviceOf(c); d != nil {
		return "passphrase device " + d.ID, true
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if id, err := e.Auth.Knows(ctx, cookieOf(&c.Request().Header, auth.KnownName)); err == nil && id != "" {
		return "passphrase device " + id, true
	}
	return "passphrase " + network(e.Client(c)).String(), false
}

// CloseSession forgets the browser's sign-ins, by HTTPS and by plain HTTP, here and in the browser.
func (e *Edge) CloseSession(c *fiber.Ctx) error {
	ended := e.Desk.Clock().Add(-time.Hour)
	for _, name := range []string{hostPrefix + auth.CookieName, auth.CookieName} {
		secret := c.Cookies(name)
		if secret == "" {
			continue
		}
		ctx, cancel := desk.Waiting()
		defer cancel()
		if err := e.Auth.SignOut(ctx, secret); err != nil {
			return err
		}
		if name == auth.CookieName && Encrypted(c) {
			c.Cookie(&fiber.Cookie{Name: name, Path: "/", Expires: ended})
		}
	}
	c.Cookie(e.cookie(c, auth.CookieName, "", ended))
	return nil
}
