package server

import (
	"context"
	"errors"
	"io"

	"tablehand/views/i18n"
)

func (d Desk) Tickets(ctx context.Context, w io.Writer, order, address string, say *i18n.Printer) (int, error) {
	return 0, errors.New("coming")
}
