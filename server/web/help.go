package web

import (
	"bytes"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/views"
)

// helpIndexPage: GET /help, the pages of help that there are.
func (s *Site) helpIndexPage(c *fiber.Ctx) error { return s.sendHelp(c, "") }

// helpPage: GET /help/{page}. The page about signing in is for strangers too.
func (s *Site) helpPage(c *fiber.Ctx) error { return s.sendHelp(c, edge.Param(c, "page")) }

// signInHelpPage: GET /help/sign-in.
func (s *Site) signInHelpPage(c *fiber.Ctx) error { return s.sendHelp(c, "sign-in") }

func (s *Site) sendHelp(c *fiber.Ctx, name string) error {
	var b bytes.Buffer
	known, err := s.viewsFor(c).Help(&b, views.HelpPage{Frame: s.frame(c, s.Desk.Store.Floor()), Name: name})
	if err != nil {
		return err
	}
	if !known {
		return desk.Refuse("not_found", "")
	}
	return sendHTML(c, b.Bytes())
}
