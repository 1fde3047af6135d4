package server

import (
	"bytes"

	"github.com/gofiber/fiber/v2"

	"tablehand/views"
)

// helpIndexPage: GET /help, the pages of help that there are.
func (s *Server) helpIndexPage(c *fiber.Ctx) error { return s.sendHelp(c, "") }

// helpPage: GET /help/{page}. The page about signing in is for strangers too.
func (s *Server) helpPage(c *fiber.Ctx) error { return s.sendHelp(c, param(c, "page")) }

// signInHelpPage: GET /help/sign-in.
func (s *Server) signInHelpPage(c *fiber.Ctx) error { return s.sendHelp(c, "sign-in") }

func (s *Server) sendHelp(c *fiber.Ctx, name string) error {
	var b bytes.Buffer
	known, err := s.viewsFor(c).Help(&b, views.HelpPage{Frame: s.frame(c, s.Store.Floor()), Name: name})
	if err != nil {
		return err
	}
	if !known {
		return refuse("not_found", "")
	}
	return sendHTML(c, b.Bytes())
}
