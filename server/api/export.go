package api

import (
	"context"
	"errors"
	"io"
	"os"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/store"
)

// exportTime is how long an export may take to be written: a hundred thousand events take seconds.
const exportTime = 5 * time.Minute

// exportShop: GET /api/export.json, all that the shop has. It is written to a file first, so that one that breaks off is never taken
// for a whole one.
func (a *API) exportShop(c *fiber.Ctx) error {
	file, err := os.CreateTemp("", "tablehand-export-*.json")
	if err != nil {
		return err
	}
	passing := passingFile{file}
	ctx, cancel := context.WithTimeout(context.Background(), exportTime)
	defer cancel()
	err = a.Desk.Export(ctx, file)
	size, sought := file.Seek(0, io.SeekCurrent)
	if _, back := file.Seek(0, io.SeekStart); err != nil || sought != nil || back != nil {
		return errors.Join(err, sought, back, passing.Close())
	}
	a.Note(c, store.ShopCopied, "export.json")
	c.Attachment("tablehand-" + a.Desk.Today() + ".json")
	c.Set(fiber.HeaderContentType, fiber.MIMEApplicationJSON)
	return c.SendStream(passing, int(size)) // closes it
}

// passingFile is gone once it is closed.
type passingFile struct{ *os.File }

func (f passingFile) Close() error { return errors.Join(f.File.Close(), os.Remove(f.Name())) }
