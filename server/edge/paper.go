package edge

import (
	"bytes"
	"cmp"
	"context"
	"io"
	"slices"
	"strconv"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/views/paper"
)

// Printing reads how paper is wanted: the sheet asked for, or the first that the paper comes on.
func (e *Edge) Printing(c *fiber.Ctx, sheets ...paper.Sheet) (desk.Printing, error) {
	sheet := paper.Sheet(cmp.Or(c.Query("paper"), string(sheets[0])))
	if !slices.Contains(sheets, sheet) {
		return desk.Printing{}, desk.Refuse("bad_value", "paper", "Value", string(sheet))
	}
	since, err := strconv.Atoi(cmp.Or(c.Query("since"), "0"))
	if err != nil || since < 0 {
		return desk.Printing{}, desk.Refuse("bad_value", "since", "Name", "since", "Value", c.Query("since"))
	}
	return desk.Printing{Sheet: sheet, Address: e.Desk.Shop().Address, Say: e.Printer(c), Since: since}, nil
}

// SendPaper sends what is written, in its turn, as a document of a name; the context ends with the store's patience. The error
// is paper_busy where its turn doesn't come.
func (e *Edge) SendPaper(c *fiber.Ctx, name string, write func(ctx context.Context, w io.Writer) error) error {
	leave, err := e.Desk.PaperTurn()
	if err != nil {
		return err
	}
	defer leave()
	ctx, cancel := desk.Waiting()
	defer cancel()
	var pdf bytes.Buffer
	if err := write(ctx, &pdf); err != nil {
		return err
	}
	return SendPDF(c, name, pdf.Bytes())
}
