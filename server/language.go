package server

import (
	"net/url"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/views"
	"tablehand/views/i18n"
)

// languageCookie remembers the language of a device; languageQuery sets it by an address, as for a screen on the
// wall that nobody touches: /screen?language=es.
const (
	languageCookie = "language"
	languageQuery  = "language"
)

// printer returns the printer of the language that the request is for: that of its address, else of the person who
// works at the device, of the device, of the browser, of the shop.
func (s *Server) printer(c *fiber.Ctx) *i18n.Printer {
	if p, ok := c.Locals(localPrinter).(*i18n.Printer); ok {
		return p
	}
	p := i18n.For(s.languageOf(c), c.Get(fiber.HeaderAcceptLanguage), s.shop().Language)
	c.Locals(localPrinter, p)
	return p
}

// languageOf returns the language that somebody chose, "" where nobody has.
func (s *Server) languageOf(c *fiber.Ctx) string {
	if asked := c.Query(languageQuery); thereIs(asked) {
		rememberLanguage(c, asked, s.Clock())
		return asked
	}
	if theirs := (*s.spoken.Load())[personOf(c)]; thereIs(theirs) {
		return theirs
	}
	if device := c.Cookies(languageCookie); thereIs(device) {
		return device
	}
	return ""
}

// thereIs reports whether a language has a catalogue.
func thereIs(tag string) bool { return slices.Contains(i18n.Languages(), tag) }

func rememberLanguage(c *fiber.Ctx, tag string, now time.Time) {
	c.Cookie(&fiber.Cookie{Name: languageCookie, Value: tag, Path: "/", Expires: now.AddDate(1, 0, 0), SameSite: fiber.CookieSameSiteLaxMode})
}

// chooseLanguage: POST /language, by the device and, where somebody works at it, for that person.
func (s *Server) chooseLanguage(c *fiber.Ctx) error {
	if err := checkToken(c); err != nil {
		return err
	}
	tag := c.FormValue(languageQuery)
	if !thereIs(tag) {
		return refuse("bad_value", languageQuery, "Name", languageQuery, "Value", tag)
	}
	rememberLanguage(c, tag, s.Clock())
	if _, known := actorOf(c); known {
		if err := s.speakTo(personOf(c), tag); err != nil {
			return err
		}
	}
	return goOn(c, withoutLanguage(ownAddress(c.FormValue("next"))))
}

// speakTo keeps a person's language.
func (s *Server) speakTo(name, tag string) error {
	if name == "" {
		return nil
	}
	ctx, cancel := waiting()
	defer cancel()
	if err := s.Store.SpeaksTo(ctx, name, tag); err != nil {
		return err
	}
	return s.readSpoken()
}

// readSpoken takes over the languages that people have chosen.
func (s *Server) readSpoken() error {
	ctx, cancel := waiting()
	defer cancel()
	spoken, err := s.Store.Spoken(ctx)
	if err != nil {
		return err
	}
	s.spoken.Store(&spoken)
	return nil
}

// withoutLanguage returns an address that asks for no language of its own.
func withoutLanguage(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "/"
	}
	q := u.Query()
	q.Del(languageQuery)
	u.RawQuery = q.Encode()
	return u.String()
}

// tongues are the languages that a page offers, its own marked.
func (s *Server) tongues(c *fiber.Ctx) []views.Tongue {
	own := s.printer(c).Language()
	var all []views.Tongue
	for _, tag := range i18n.Languages() {
		all = append(all, views.Tongue{Tag: tag, Name: i18n.For(tag).T("language.own_name"), Chosen: tag == own})
	}
	return all
}
