package server

import (
	"bytes"
	"cmp"
	"context"
	"io"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/views/paper"
)

// printing reads how paper is wanted: the sheet asked for, or the first that the paper comes on.
func (s *Server) printing(c *fiber.Ctx, sheets ...paper.Sheet) (Printing, error) {
	sheet := paper.Sheet(cmp.Or(c.Query("paper"), string(sheets[0])))
	if !slices.Contains(sheets, sheet) {
		return Printing{}, refuse("bad_value", "paper", "Value", string(sheet))
	}
	return Printing{Sheet: sheet, Address: s.shop().Address, Say: s.printer(c)}, nil
}

// sendPaper sends what is written as a document of a name; the context ends with the store's patience.
func sendPaper(c *fiber.Ctx, name string, write func(ctx context.Context, w io.Writer) error) error {
	ctx, cancel := waiting()
	defer cancel()
	var pdf bytes.Buffer
	if err := write(ctx, &pdf); err != nil {
		return err
	}
	return sendPDF(c, name, pdf.Bytes())
}

// printPlacards: GET /placards.pdf, a sheet for every station.
func (s *Server) printPlacards(c *fiber.Ctx) error {
	how, err := s.printing(c, paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	return sendPaper(c, "placards", func(_ context.Context, w io.Writer) error { return paper.Placards(w, how.ofShop(s.Clock())) })
}

// printCards: GET /cards.pdf, the commands that a scanner can give.
func (s *Server) printCards(c *fiber.Ctx) error {
	how, err := s.printing(c, paper.Letter, paper.A4, paper.Labels)
	if err != nil {
		return err
	}
	return sendPaper(c, "cards", func(_ context.Context, w io.Writer) error { return paper.Cards(w, how.ofShop(s.Clock())) })
}

// ofShop is for paper that is no order's.
func (p Printing) ofShop(made time.Time) paper.ShopDoc {
	return paper.ShopDoc{Say: p.Say, Sheet: p.Sheet, Address: p.Address, Made: made}
}
