package web

import (
	"context"
	"io"

	"github.com/gofiber/fiber/v2"

	"tablehand/views/paper"
)

// printPlacards: GET /placards.pdf, a sheet for every station.
func (s *Site) printPlacards(c *fiber.Ctx) error {
	how, err := s.Printing(c, paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	return s.SendPaper(c, "placards", func(_ context.Context, w io.Writer) error { return paper.Placards(w, how.OfShop(s.Desk.Clock())) })
}

// printCards: GET /cards.pdf, the commands that a scanner can give.
func (s *Site) printCards(c *fiber.Ctx) error {
	how, err := s.Printing(c, paper.Letter, paper.A4, paper.Labels)
	if err != nil {
		return err
	}
	return s.SendPaper(c, "cards", func(_ context.Context, w io.Writer) error { return paper.Cards(w, how.OfShop(s.Desk.Clock())) })
}
