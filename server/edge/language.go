package edge

import (
	"net/url"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/views/i18n"
)

// languageCookie remembers the language of a device; languageQuery sets it by an address, as for a screen on the
// wall that nobody touches: /screen?language=es.
const (
	languageCookie = "language"
	LanguageQuery  = "language"
)

// Printer returns the printer of the language that the request is for: that of its address, else of the person who
// works at the device, of the device, of the browser, of the shop.
func (e *Edge) Printer(c *fiber.Ctx) *i18n.Printer {
	if p, ok := c.Locals(localPrinter).(*i18n.Printer); ok {
		return p
	}
	shop := e.Desk.Shop()
	p := shop.Words.Speak(i18n.For(e.languageOf(c), c.Get(fiber.HeaderAcceptLanguage), shop.Language))
	c.Locals(localPrinter, p)
	return p
}

// languageOf returns the language that somebody chose, "" where nobody has.
func (e *Edge) languageOf(c *fiber.Ctx) string {
	if asked := c.Query(LanguageQuery); ThereIs(asked) {
		RememberLanguage(c, asked, e.Desk.Clock())
		return asked
	}
	if theirs := (*e.spoken.Load())[PersonOf(c)]; ThereIs(theirs) {
		return theirs
	}
	if device := c.Cookies(languageCookie); ThereIs(device) {
		return device
	}
	return ""
}

// ThereIs reports whether a language has a catalogue.
func ThereIs(tag string) bool { return slices.Contains(i18n.Choices(), tag) }

func RememberLanguage(c *fiber.Ctx, tag string, now time.Time) {
	c.Cookie(&fiber.Cookie{Name: languageCookie, Value: tag, Path: "/", Expires: now.AddDate(1, 0, 0), SameSite: fiber.CookieSameSiteLaxMode})
}

// SpeakTo keeps a person's language.
func (e *Edge) SpeakTo(name, tag string) error {
	if name == "" {
		return nil
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := e.Desk.Store.SpeaksTo(ctx, name, tag); err != nil {
		return err
	}
	return e.readSpoken()
}

// readSpoken takes over the languages that people have chosen.
func (e *Edge) readSpoken() error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	spoken, err := e.Desk.Store.Spoken(ctx)
	if err != nil {
		return err
	}
	e.spoken.Store(&spoken)
	return nil
}

// PersonCookie remembers who works at a device.
const PersonCookie = "person"

func PersonOf(c *fiber.Ctx) string {
	name, err := url.QueryUnescape(c.Cookies(PersonCookie))
	if err != nil || len(name) > 4*MaxName {
		return ""
	}
	return name
}
