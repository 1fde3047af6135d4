package web

import (
	"net/url"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/views"
	"tablehand/views/i18n"
)

// chooseLanguage: POST /language, by the device and, where somebody works at it, for that person.
func (s *Site) chooseLanguage(c *fiber.Ctx) error {
	if err := edge.CheckToken(c); err != nil {
		return err
	}
	tag := c.FormValue(edge.LanguageQuery)
	if !edge.ThereIs(tag) {
		return desk.Refuse("bad_value", edge.LanguageQuery, "Name", edge.LanguageQuery, "Value", tag)
	}
	edge.RememberLanguage(c, tag, s.Desk.Clock())
	if _, known := edge.ActorOf(c); known {
		if err := s.SpeakTo(edge.PersonOf(c), tag); err != nil {
			return err
		}
	}
	return goOn(c, withoutLanguage(ownAddress(c.FormValue("next"))))
}

// withoutLanguage returns an address that asks for no language of its own.
func withoutLanguage(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "/"
	}
	q := u.Query()
	q.Del(edge.LanguageQuery)
	u.RawQuery = q.Encode()
	return u.String()
}

// tongues are the languages that a page offers, its own marked.
func (s *Site) tongues(c *fiber.Ctx) []views.Tongue {
	own := s.Printer(c).Language()
	var all []views.Tongue
	for _, tag := range i18n.Languages() {
		all = append(all, views.Tongue{Tag: tag, Name: i18n.For(tag).T("language.own_name"), Chosen: tag == own})
	}
	return all
}
