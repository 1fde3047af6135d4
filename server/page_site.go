package server

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
)

// pages is what the pages need beside the server's own.
type pages struct{}

func newPages(Config) (*pages, error) { return &pages{}, nil }

// showError tells a person what was refused; the status is set already.
func (s *Server) showError(c *fiber.Ctx, r *stations.Refusal) error {
	return c.SendString(s.printer(c).Refusal(r))
}
